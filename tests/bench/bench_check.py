"""What a check costs: python -m tests.bench.bench_check; with --all for every layout that ships, with --many what these share.

The time of a check, all findings with the counts of all pairs and triples, is given as a ratio to the time of reading and
joining the same layout, measured in turn in one run by the processor's clock, the shortest of several.
"""

from __future__ import annotations

import gc
import os
import subprocess
import sys
from dataclasses import dataclass
from time import thread_time

from matrixmap.check.registry import known_slugs
from matrixmap.check.run import check_plan
from matrixmap.cli.main import QUIET_ALLOCATIONS
from matrixmap.join.plan import compile_plan
from matrixmap.model.plan import Plan
from matrixmap.source.folder import shipped_folder
from matrixmap.source.kinds.project import Project
from tests.check.cases import case_project
from tests.project import RUN, shipped_ids

SOME = ("quillon8-de-DE-positional", "quillon8-de-DE-symbolic", "quillon8-en-US-symbolic", "quillon8-fr-FR-symbolic")


@dataclass(frozen=True, slots=True, kw_only=True)
class Cost:
    """One layout: seconds to read and join it, seconds to check it, findings, contacts and triples counted."""

    join: float
    check: float
    findings: int
    contacts: int
    triples: int

    @property
    def ratio(self) -> float:
        """How many times longer the check takes."""
        return self.check / self.join


def read_and_join(id: str) -> Plan:
    """A shipped layout, read afresh."""
    loaded = Project([shipped_folder()], known_slugs()).layout(id)
    assert loaded is not None
    assert loaded.value is not None
    return compile_plan(loaded.value)


def shipped_cost(id: str, repeats: int) -> Cost:
    """The cost of a shipped layout."""
    joins, checks = [], []
    for _ in range(repeats):
        begun = thread_time()
        plan = read_and_join(id)
        joined = thread_time()
        checked = check_plan(plan)
        checks.append(thread_time() - joined)
        joins.append(joined - begun)
    return Cost(
        join=min(joins),
        check=min(checks),
        findings=len(checked.findings),
        contacts=len(plan.layout.machine.keys),
        triples=checked.verdict.tally.triples,
    )


def full_machine(lines: int) -> tuple[str, str, str]:
    """A machine full of keys with as many select as sense lines, a host with a key for each, and the layout between."""
    usages = [usage for usage in range(0x04, 0xE0) if not 0xA5 <= usage <= 0xAF and usage < 0xDE][: lines * lines]
    names = [f"k{number}" for number in range(lines * lines)]
    grid = [f"    S{row}: [{', '.join(names[row * lines : (row + 1) * lines])}]" for row in range(lines)]
    machine = [
        f"machine: full{lines}",
        "title: A machine full of keys",
        "source: made for this benchmark",
        "matrix:",
        f"  select: [{', '.join(f'S{row}' for row in range(lines))}]",
        f"  sense: [{', '.join(f'N{column}' for column in range(lines))}]",
        "  grid:",
        *grid,
        "types:",
        *(f"  {name}: {{plain: K{number:03}}}" for number, name in enumerate(names)),
        "scan: {period_us: 20000}",
    ]
    keys = [f"  0x{usage:02X}: {name}" for usage, name in zip(usages, names, strict=False)]
    # A keyboard has fewer keys than 256 crosspoints; the rest is reached with Shift.
    keys += [f"  Shift+0x{usage:02X}: {name}" for usage, name in zip(usages, names[len(usages) :], strict=False)]
    layout = ["layout: case", f"machine: full{lines}", "host: few", "join: positional", "keys:", *keys]
    return "\n".join([*machine, ""]), "few", "\n".join([*layout, ""])


def full_cost(lines: int, repeats: int) -> Cost:
    """The cost of a machine full of keys."""
    machine, _, layout = full_machine(lines)
    joins, checks = [], []
    for _ in range(repeats):
        begun = thread_time()
        loaded = case_project({"case": layout}, [machine]).layout("case")
        assert loaded is not None
        assert loaded.value is not None, loaded.findings[:3]
        plan = compile_plan(loaded.value)
        joined = thread_time()
        checked = check_plan(plan)
        checks.append(thread_time() - joined)
        joins.append(joined - begun)
    return Cost(
        join=min(joins),
        check=min(checks),
        findings=len(checked.findings),
        contacts=len(plan.layout.machine.keys),
        triples=checked.verdict.tally.triples,
    )


def peak_megabytes(*words: str) -> float:
    """The most memory that a process of its own takes (proc(5), VmHWM).

    Not getrusage(2), whose figure a process takes over from the one that starts it.
    """
    code = (
        "import sys\n"
        "from tests.bench import bench_check\n"
        "bench_check.work(sys.argv[1:])\n"
        "print(next(line for line in open('/proc/self/status') if line.startswith('VmHWM')))"
    )
    done = subprocess.run([sys.executable, "-c", code, *words], capture_output=True, text=True, check=True)
    return int(done.stdout.split()[-2]) / 1024


def work(words: list[str]) -> None:
    """Checks what is named, as `peak_megabytes` asks: a shipped layout, or `full16` for a machine full of keys."""
    for word in words:
        if word.startswith("full"):
            full_cost(int(word.removeprefix("full")), 1)
        else:
            check_plan(read_and_join(word))


FORMS = ("text", "markdown", "annotations", "json", "sarif")


def command_seconds(*words: str) -> tuple[float, int]:
    """Processor time of `matrixmap check`, its processes included, and the bytes that it prints."""
    before = os.times()
    done = subprocess.run([sys.executable, "-c", RUN, "check", *words], capture_output=True, check=False)
    after = os.times()
    spent = after.children_user + after.children_system - before.children_user - before.children_system
    return spent, len(done.stdout)


def shared_ratio() -> tuple[float, float]:
    """Processor time of checking all layouts that ship at once, and as a share of as many single runs."""
    together = command_seconds()[0]
    alone = sum(command_seconds(id)[0] for id in shipped_ids())
    return together, together / alone


def print_many() -> None:
    """What all layouts cost together, and the bytes of each form."""
    together, share = shared_ratio()
    print(f"all {len(shipped_ids())} layouts: {together:.1f} s of processor time, {share:.2f} of that of single runs")
    for form in FORMS:
        seconds, size = command_seconds("--format", form)
        print(f"{form:12} {size:10} bytes {seconds:6.1f} s")


def main() -> None:
    """Prints the figures."""
    if "--many" in sys.argv:
        print_many()
        return
    gc.set_threshold(QUIET_ALLOCATIONS)  # as the command does
    print(f"{'layout':30} {'join ms':>8} {'check ms':>9} {'ratio':>6} {'findings':>9} {'contacts':>9} {'triples':>9}")
    rows = [(id, shipped_cost(id, 9)) for id in (SOME if "--all" not in sys.argv else shipped_ids())]
    rows += [(f"full {lines} x {lines}", full_cost(lines, 2)) for lines in (4, 8, 12, 16)]
    for name, cost in rows:
        print(
            f"{name:30} {cost.join * 1e3:8.1f} {cost.check * 1e3:9.1f} {cost.ratio:6.1f} {cost.findings:9} "
            f"{cost.contacts:9} {cost.triples:9}"
        )
    for word in (SOME[1], "full16"):
        print(f"peak memory of {word}: {peak_megabytes(word):.0f} MB")


if __name__ == "__main__":
    main()
