"""Breaks what the runtime does for pads on purpose and sees the comparison with the model fail: python -m tests.agree.pad_edits."""

from __future__ import annotations

import random
import sys
import tempfile
from collections.abc import Iterator, Sequence
from pathlib import Path

from matrixmap.simulate.compiled import ROW_BYTES
from tests import tools
from tests.agree.both import Both, build
from tests.agree.conftest import SMALL
from tests.agree.mutations import Edit, write_mutant
from tests.agree.streams import Stream
from tests.agree.test_pads import few_streams, pad_plans
from tests.runtime import engine
from tests.runtime.test_pads import ALL, play, random_tables

# What shows only while modifiers lag has tests of its own in tests/runtime/test_pads.py: random events seldom meet it.
EDITS = tuple(
    Edit(promise=promise, breaks=breaks, old=old, new=new)
    for promise, breaks, old, new in (
        (
            "P1",
            "an unplugged pad keeps what it holds",
            "        pad->on = 0u;\n        pad->young",
            "        pad->young",
        ),
        ("P1", "an unplugged pad keeps its poll time", "        pad->young = 0u;\n        pad->old = 0u;\n", ""),
        (
            "P1",
            "a poll time never ends",
            "            pad->old = pad->young;\n",
            "            pad->old |= pad->young;\n",
        ),
        ("P3", "a tap is not kept", "(switches & (uint8_t)~pad->shut));", "0u);"),
        ("P3", "one that comes in a poll time is not kept for the next", "            fresh |= pad->young;\n", ""),
        ("P3", "the poll time is the close time", "time_at(state->pads, AT_POLL)", "time_at(state->table, AT_CLOSE)"),
        ("P3", "opposite switches stay closed", "            switches ^= one;\n", "            ;\n"),
        (
            "P3",
            "the time of an opposite switch goes on",
            "            over |= both ^ one;\n",
            "            ;\n",
        ),
        (
            "P2",
            "a stroke lifts what a pad holds",
            "(((state)->held & (uint8_t)~(asked)) == 0u)",
            "((asked) == (asked))",
        ),
        (
            "P2",
            "what a pad holds does not count as held",
            "    return state->typist | state->latches | state->held;\n",
            "    return state->typist | state->latches;\n",
        ),
        (
            "P5",
            "pulls do not count",
            "read = joined | other[PULLED];",
            "read = joined;",
        ),
        (
            "P5",
            "what is pulled whatever is strobed does not count on each line",
            "        *--line |= always;\n",
            "        --line;\n",
        ),
        ("P5", "the others are not looked at for the contact's line", "(joined & (mm_mask)~its) != 0u", "false"),
        ("P5", "what is pulled on its own line does not count", "contact | line[PULLED];", "contact;"),
        (
            "P3",
            "a stroke that gives way stays in its close time",
            "            if (clashed && in_close_time(state) && slot + 1 == end) {\n",
            "            if (!clashed && clashed) {\n",
        ),
        (
            "P6",
            "a clash counts as a refusal",
            "                if (first && PADDED(state)) {\n",
            "                if (!first && first) {\n",
        ),
        ("P3", "a refused key does not come back", "if ((!first || PADDED(state)) &&", "if (!first &&"),
        (
            "P8",
            "pads stay closed while a layout change is due",
            "        if (!due) {\n            shut",
            "        {\n            shut",
        ),
        (
            "P8",
            "no lead time passes before a new layout",
            "    if (due) {\n        state->settle_left",
            "    if (!due && due) {\n        state->settle_left",
        ),
        (
            "P8",
            "the controllers stay those of the old layout",
            "                state->table = state->input;\n#if MM_PADS\n                state->pads = state->input_pads;\n",
            "                state->table = state->input;\n#if MM_PADS\n",
        ),
        (
            "P3",
            "a whole scan goes on where a switch moves",
            "    if (changed && whole(state)) {\n",
            "    if (changed && !changed) {\n",
        ),
    )
)


STREAMS = 30


def survivors(edits: Sequence[Edit], streams: int) -> Iterator[Edit]:
    """The edits that nothing in so many streams tells from the model."""
    with tempfile.TemporaryDirectory() as name:
        plain = Both(pad_plans(), SMALL, build(Path(name), SMALL))
    played = [(stream, plain.model_rows(stream)) for stream in few_streams(plain.plans, streams)]
    assert not _differs(plain, played), "the runtime as it is differs from the model"
    flags = ("-std=c99", "-O1", "-w", "-fPIC", "-shared")
    for edit in edits:
        with tempfile.TemporaryDirectory() as name:
            sources = Path(name) / "runtime"
            write_mutant(edit, sources)
            both = Both(pad_plans(), SMALL, build(Path(name), SMALL, "gcc", sources, flags))
            if not _differs(both, played) and not _differs_by_hand(sources, Path(name), streams):
                yield edit


def _differs(both: Both, played: Sequence[tuple[Stream, bytes]]) -> bool:
    return any(both.compiled_rows(stream, len(rows) // ROW_BYTES + 1) != rows for stream, rows in played)


def _differs_by_hand(sources: Path, folder: Path, streams: int) -> bool:
    """Whether random tables, which have what no layout has, tell the runtime from its second writing."""
    shim = Path(engine.__file__).with_name("shim.c")
    flags = ("-std=c99", "-O1", "-w", "-fPIC", "-shared", "-DMM_KEYBOARDS=2", *ALL, f"-I{sources}")
    path = folder / "by_hand.so"
    tools.run(tools.tool("gcc"), *flags, "-o", path, *sorted(sources.glob("*.c")), shim)
    library = engine.load(path)
    for seed in range(2 * streams):
        rng = random.Random(seed)
        try:
            play(library, rng, random_tables(rng, everything=True), 300)
        except AssertionError:
            return True
    return False


def main() -> None:
    """Tries all edits; exit code 1 if one goes unnoticed."""
    tools.tool("gcc")
    left = list(survivors(EDITS, STREAMS))
    for edit in left:
        print(f"not noticed: {edit.promise}: {edit.breaks}")
    print(f"{len(EDITS) - len(left)} of {len(EDITS)} edits were noticed")
    sys.exit(1 if left else 0)


if __name__ == "__main__":
    main()
