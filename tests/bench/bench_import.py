"""What the import of national keyboards costs and gives: python -m tests.bench.bench_import [--every N].

Every keyboard of xkb-data (or every Nth) is imported, written, read, joined with the demo and with a handbook machine, and
looked through for what can be typed. Times are processor time of this process; the whole is given as a ratio to
libxkbcommon compiling the same keymaps in the same run. The comparison with libxkbcommon's answers is timed apart.
"""

from __future__ import annotations

import argparse
import resource
from collections.abc import Callable
from time import process_time
from typing import TypeVar

from matrixmap.join.plan import compile_plan
from matrixmap.press.how_to_type import ways_to_type
from matrixmap.source.propose.xkb import MODEL, RULES, XkbName, XkbSystem
from tests.project import open_folders, read_layout
from tests.reference.all_keyboards import MACHINES, Answers, Tally, compare, import_keyboard, reach

AIM = 25
Value = TypeVar("Value")


class Clock:
    """Processor seconds by what they were spent on."""

    def __init__(self) -> None:
        self.spent: dict[str, float] = {}

    def time(self, what: str, work: Callable[[], Value]) -> Value:
        """Does some work and adds its time."""
        began = process_time()
        value = work()
        self.spent[what] = self.spent.get(what, 0.0) + process_time() - began
        return value


def take(clock: Clock, tally: Tally, system: XkbSystem, base: object, name: XkbName) -> None:
    """One keyboard through all steps."""
    clock.time(
        "keymaps compiled by libxkbcommon",
        lambda: system.context.keymap_new_from_names(
            rules=RULES, model=MODEL, layout=name.layout, variant=name.variant or None
        ),
    )
    keyboard, project = clock.time("import and writing", lambda: import_keyboard(system, base, name))
    tally.keyboards += 1
    tally.left_out.update(item.reason for item in keyboard.left_out)
    for machine in MACHINES:
        layout = clock.time("reading", lambda machine=machine: read_layout(project, machine))
        plan = clock.time("join", lambda layout=layout: compile_plan(layout))
        ways = clock.time("reach", lambda plan=plan: ways_to_type(plan))
        reach(tally, name, plan, ways)
    host = project.host("bench").value
    clock.time("comparison with libxkbcommon", lambda: compare(tally, name, keyboard, host, Answers(system, name)))


def main() -> None:
    """Prints the figures."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--every", type=int, default=1, help="take every Nth keyboard only")
    every = parser.parse_args().every
    system = XkbSystem()
    base = open_folders().host_draft("base").value
    clock, tally = Clock(), Tally()
    names = [name for name in system.names() if name.layout != "custom"][::every]
    for name in names:
        take(clock, tally, system, base, name)
    compiled = clock.spent["keymaps compiled by libxkbcommon"]
    compared = clock.spent["comparison with libxkbcommon"]
    whole = sum(clock.spent.values()) - compiled - compared
    print(f"{system.version()}: {tally.keyboards} keyboards, joined with {' and '.join(MACHINES)}")
    print(f"{tally.pairs} pairs of usage and level compared, {len(tally.differences)} differences")
    for machine, count in tally.reachable.items():
        print(
            f"{machine}: {count} characters of host and machine typed, {tally.composed[machine]} of them after a dead key only; "
            f"{len(tally.unreached)} on all machines not reached"
        )
    for reason, count in tally.left_out.most_common():
        print(f"left out, {reason}: {count}")
    for what, seconds in clock.spent.items():
        print(f"{what}: {seconds / tally.keyboards * 1000:.1f} ms a keyboard")
    print(f"import, files, joins and reach: {whole / compiled:.1f} times libxkbcommon's compiling (aim: at most {AIM})")
    print(f"peak memory: {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MiB")


if __name__ == "__main__":
    main()
