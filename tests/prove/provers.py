"""Runs the provers: what each is told, and what it says. The claims and their bounds stand in the C files beside this."""

from __future__ import annotations

import os
import re
import subprocess
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import NoReturn

from tests import tools
from tests.emit.compiled import write_build
from tests.project import shipped_plan

from . import cbmc

HERE = Path(__file__).parent
ROOT = HERE.parents[1]
RUNTIME = ROOT / "matrixmap" / "runtime"

HELD = 2
WAITING = 2
ALL = ("-DMM_RESUME=1", "-DMM_WHOLE=1", "-DMM_TAPS=1", "-DMM_CHECKSUM=0")
"""All that the state can do; and with no checksum a table may have any bytes."""
SMALLEST = ("-DMM_HELD=1", "-DMM_WAITING=1", *ALL)
SMALL = (f"-DMM_HELD={HELD}", f"-DMM_WAITING={WAITING}", *ALL)
MATRIX = ("-DMM_SELECT_MAX=2", "-DMM_SENSE_MAX=2", "-DMM_KEYBOARDS=1", "-DLIMIT=2")

# How often loops of the runtime go round with these sizes; CBMC proves that each is enough.
ROUNDS = {
    "adopt.0": 6,
    "adopt.1": 8,
    "sort_out.0": 4,
    "sort_out.1": 5,
    "come_back.0": 4,
    "come_back.1": 4,
    "phantom.0": 3,
    "join.0": 5,
    "begin.0": 3,
    "look_up.0": 4,
    "look_up.1": 8,
    "present.0": 5,
    "begin_anew.0": 5,
    "pass_time.0": 6,
    "caps_pairs.0": 1,
    "mm_usages.0": 6,
    "mm_usages.1": 10,
    "mm_usages.2": 30,
    "modifiers_of.0": 2,
    "modifiers_of.1": 3,
}

# The same where controllers are; `begin` and `close_pads` have the loops of the copy first.
ROUNDS_OF_PADS = {
    "begin.0": 4,
    "begin.1": 3,
    "close_pads.0": 7,
    "close_pads.1": 9,
    "close_pads.2": 3,
    "close_pads.3": 3,
    "follow_pads.0": 3,
    "mm_controller.0": 3,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """A passage of the runtime, which must stand there exactly once, and what takes its place."""

    old: str
    new: str


def source(fault: Fault | None = None) -> str:
    """The runtime's source, with a fault if one is given."""
    text = (RUNTIME / "mm_runtime.c").read_text(encoding="utf-8")
    if fault is None:
        return text
    assert text.count(fault.old) == 1, fault.old
    return text.replace(fault.old, fault.new)


OF_PADS = ("PADS", "FOLLOW", "SHOWN")
"""The parts with controllers."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """A part of steps.c with the numbers of strokes and presses, whether the first press is led, and whole scans compared."""

    part: str
    strokes: int
    waiting: int
    leading: int = 0
    whole: bool = False

    def __str__(self) -> str:
        return f"{self.part}-{self.strokes}-{self.waiting}-{self.leading}{'-whole' * self.whole}".lower()

    def defines(self) -> tuple[str, ...]:
        """The case as flags of a compiler."""
        numbers = (f"-DSTROKES={self.strokes}", f"-DWAITING={self.waiting}", f"-DLEADING={self.leading}")
        whole = ("-DCOMPARES_WHOLE",) if self.whole else ()
        pads = ("-DMM_PADS=1",) if self.part in OF_PADS else ()
        return (f"-DPART_{self.part}", *numbers, *whole, *pads, *SMALL, *MATRIX)


def all_counts(part: str, whole: bool = False) -> Iterator[Case]:
    """The part at every number of strokes and presses that the invariant knows."""
    for strokes in range(HELD + 1):
        for leading in (0, 1):
            if strokes + leading > HELD:
                continue
            most = min(WAITING + leading, HELD + WAITING - strokes)
            for waiting in range(leading, most + 1):
                yield Case(part=part, strokes=strokes, waiting=waiting, leading=leading, whole=whole)


PRESS = "                press_key(state, usage, how);\n"
COPIED = (
    ("next = pass_time(state", "next = passing_time(state"),
    (PRESS, PRESS.replace("_key", "ing")),
    # For a part of an array CBMC would take the bytes of the whole state.
    (
        "    memcpy(state->closed, state->closed + JOINED, PULLED * sizeof *state->closed);\n",
        "    for (i = 0u; i < PULLED; i++) {\n        state->closed[i] = state->closed[JOINED + i];\n    }\n",
    ),
    (
        "    memset(&state->closed[PULLED], 0, 2u * PULLED * sizeof *state->closed);\n",
        "    for (left = PULLED; left < 3u * PULLED; left++) {\n        state->closed[left] = 0u;\n    }\n"
        "    left = MM_READ(at);\n",
    ),
)
"""Passages of the runtime, and what takes their place for the provers."""


def write_copy(folder: Path, fault: Fault | None = None) -> None:
    """The runtime that calls passing_time and pressing, which steps.c defines, and copies and clears parts of arrays by loops."""
    text = source(fault)
    for call, other in COPIED:
        assert text.count(call) == 1, call
        text = text.replace(call, other)
    (folder / "copied.c").write_text(text, encoding="utf-8")


CHECKS = ("--bounds-check", "--pointer-check", "--pointer-overflow-check")


def prove_step(folder: Path, case: Case, fault: Fault | None = None, timeout: float = 900) -> list[str]:
    """The claims that CBMC refutes, memory safety among them; none: all are proven."""
    try:
        prover = cbmc.command()
    except cbmc.NotHereError as why:
        _sample_instead(folder, case, fault, str(why))
    write_copy(folder, fault)
    loops = ROUNDS | ROUNDS_OF_PADS if case.part in OF_PADS else ROUNDS
    rounds = ",".join(f"{loop}:{count}" for loop, count in loops.items())
    command = [*prover, str(HERE / "steps.c"), f"-I{folder}", f"-I{RUNTIME}", *case.defines()]
    command += ["--function", "step", *CHECKS, "--slice-formula"]
    command += ["--unwinding-assertions", "--unwind", "33", "--unwindset", rounds]
    done = subprocess.run(command, capture_output=True, text=True, timeout=timeout, check=False)
    assert re.search(r"^VERIFICATION (SUCCESSFUL|FAILED)$", done.stdout, re.M), (
        done.stdout[-2000:] + done.stderr[-2000:]
    )
    refuted = re.findall(r"^\[[^]]+\] (.*): FAILURE$", done.stdout, re.M)
    assert (done.returncode == 0) == (not refuted), done.stdout[-2000:]
    return refuted


INSTEAD = 1_000_000
"""States that are drawn where a proof cannot be made."""


def _sample_instead(folder: Path, case: Case, fault: Fault | None, why: str) -> NoReturn:
    """Tries random states of the case where CBMC is missing, and says that this is no proof; in CI nothing takes the place of one."""
    if os.environ.get("CI"):
        tools.missing(why)
    if fault is not None:
        tools.missing(f"{why}, whose own check by a seeded fault nothing replaces,")
    counted, broken = sample_step(folder, case, INSTEAD)
    assert broken == "", broken
    assert counted > 0
    tools.missing(f"{why}; {INSTEAD:,} states drawn at random broke no claim, which is no proof, but the prover")


def sample_step(folder: Path, case: Case, draws: int, fault: Fault | None = None) -> tuple[int, str]:
    """How many random states counted, and what was broken first ("" if nothing), under the sanitizers."""
    write_copy(folder, fault)
    program = folder / "sampled"
    flags = ("-std=c99", "-O1", "-g1", "-DSAMPLED", "-fsanitize=address,undefined", "-fno-sanitize-recover=all")
    strict = ("-fsanitize=bounds-strict",)
    includes = (f"-I{folder}", f"-I{RUNTIME}")
    tools.run(tools.tool("gcc"), *flags, *strict, *case.defines(), *includes, "-o", program, HERE / "steps.c")
    done = subprocess.run([program, str(draws)], capture_output=True, text=True, timeout=120, check=False)
    return (int(done.stdout), "") if done.returncode == 0 else (0, done.stderr or "stopped")


# Paths of these meet again after each round of a loop; those of all others stay apart.
MERGED = "modifiers_of,mm_usages,caps_pairs,live_of"
# In the search through a group they must stay apart, so only before each group do paths meet again.
NEXT_GROUP = "        uint8_t when = MM_READ_NEXT(at);\n"


def alarms(
    folder: Path, layout: str, call: str, machine: str, fault: Fault | None = None, sizes: Sequence[str] = SMALL
) -> list[str]:
    """The alarms of Eva, and assertions that it cannot prove, about a call with the table of a shipped layout, for a data model by its name."""
    text = source(fault)
    assert text.count(NEXT_GROUP) == 1
    merging = text.replace(NEXT_GROUP, "        /*@ slevel merge; */;\n" + NEXT_GROUP)
    (folder / "mm_runtime.c").write_text(merging, encoding="utf-8")
    tables = write_build(folder / "tables", [shipped_plan(layout)])
    name = f"mm_{layout.replace('-', '_')}"
    defines: Sequence[str] = (*sizes, "-DMM_KEYBOARDS=2", f"-DCALL={call}", f"-DTABLE={name}")
    flags = " ".join((f"-I{folder}", f"-I{tables}", *defines, f"-DTABLE_FILE='\"{layout}.c\"'"))
    command = [tools.tool("frama-c"), "-machdep", machine, f"-cpp-extra-args={flags}"]
    command += ["-eva", "-eva-precision", "0", "-eva-slevel", "3000", "-eva-ilevel", "256"]
    command += ["-eva-slevel-merge-after-loop", MERGED, "-eva-split-return-function", "sort_out:0,come_back:0"]
    done = subprocess.run(
        [*command, str(HERE / "any_state.c")], capture_output=True, text=True, timeout=900, check=False
    )
    assert done.returncode == 0, done.stdout[-3000:] + done.stderr[-3000:]
    count = re.search(r"^  (\d+) alarms? generated by the analysis", done.stdout, re.M)
    assert count is not None, done.stdout[-3000:]
    found = re.findall(r"^\[eva:alarm\] (.*\n.*)$", done.stdout, re.M)
    assert int(count[1]) == 0 or found, done.stdout[-3000:]
    return found
