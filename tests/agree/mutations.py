"""Breaks each promise in the C on purpose and sees the comparison with the model fail: python -m tests.agree.mutations.

An edit is a passage of the runtime's source, which must stand there exactly once, and what takes its place.
"""

from __future__ import annotations

import multiprocessing
import shutil
import sys
import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from importlib.resources import as_file, files
from pathlib import Path

from matrixmap.model.plan import Plan
from matrixmap.press.table.make import make_table
from matrixmap.simulate.compiled import compile_library, load_library
from matrixmap.simulate.engine import Sizes
from matrixmap.simulate.tape import ModelTape, play_compiled
from tests import tools
from tests.agree.layouts import few_plans, special_plans
from tests.agree.streams import composing_stream, random_stream

SOURCE = "mm_runtime.c"
SIZES = Sizes(keyboards=2, waiting=4, held=3)
STREAMS = 360
EVENTS = 250
SECONDS = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class Edit:
    """A small change of the source: which promise it breaks and how."""

    promise: str
    breaks: str
    old: str
    new: str


def _edit(promise: str, breaks: str, old: str, new: str) -> Edit:
    return Edit(promise=promise, breaks=breaks, old=old, new=new)


EDITS = (
    _edit(
        "P1",
        "a released key is not noticed",
        "            slot->what |= RELEASED;\n        }",
        "            ;\n        }",
    ),
    _edit(
        "P1",
        "a release of one keyboard releases the key of the other",
        "(slot->what & (OF_KEYBOARD | RELEASED)) == of_keyboard",
        "(slot->what & RELEASED) == 0u",
    ),
    _edit("P1", "a lost link changes nothing", "    (void)mm_boot_report(state, keyboard, NULL, 8u);\n", "    ;\n"),
    _edit("P2", "a stroke does not lift", "& (uint8_t)~MM_READ(pair)) | MM_READ(pair + 1)", ") | MM_READ(pair + 1)"),
    _edit("P2", "a stroke does not hold", "~MM_READ(pair)) | MM_READ(pair + 1));", "~MM_READ(pair)));"),
    _edit("P2", "a press does not take its modifiers along", "        state->typist = modifiers;\n", ""),
    _edit(
        "P2",
        "modifiers of the second keyboard do not count",
        "    for (i = 1u; i < MM_KEYBOARDS; i++) {\n        live |=",
        "    for (i = 1u; i < 1u; i++) {\n        live |=",
    ),
    _edit(
        "P2",
        "strokes that ask for other modifiers stay",
        "fits = WANTED(state, modifiers);",
        "fits = WANTED(state, modifiers) || (!first && FOLLOWS_PADS(state, modifiers));",
    ),
    _edit(
        "P2",
        "a stroke of modifiers alone does not count as the newest",
        "                        first = false;\n",
        "                        first = state->keys == 0u && state->closed[DIRECT_LINES] == 0u;\n",
    ),
    _edit(
        "P3",
        "the close time is too short",
        "            state->close_left = time_at(state->table, AT_CLOSE);\n            leave_line",
        "            state->close_left = time_at(state->table, AT_LEAD);\n            leave_line",
    ),
    _edit(
        "P3",
        "an opened contact closes again at once",
        "                state->recent |= BLOCKED;\n",
        "                ;\n",
    ),
    _edit(
        "P3",
        "a key closes together with its modifiers",
        "            state->modifiers = state->wanted;\n            state->settle_left = time_at(state->table, AT_LEAD);\n",
        "            state->modifiers = state->wanted;\n",
    ),
    _edit(
        "P3",
        "modifiers do not lag",
        "            slot->OPEN_LEFT = time_at(state->table, AT_OPEN);\n            state->settle_left = time_at(state->table, AT_LEAD);\n",
        "            slot->OPEN_LEFT = time_at(state->table, AT_OPEN);\n",
    ),
    _edit("P3", "the rollover does not wait for releases", "                state->recent++;\n", "                ;\n"),
    _edit(
        "P3",
        "an older stroke in its close time is opened by its release",
        "slot + in_close_time(state) >= end",
        "slot >= end",
    ),
    _edit(
        "P4",
        "presses of one report come in descending order",
        "        for (; fresh != 0u; fresh >>= 1, usage++) {\n            uint8_t lock = 0u;\n            if ((fresh & 1u) == 0u || usage == 0u) {",
        "        for (usage = (uint8_t)(usage + 7u); fresh != 0u; fresh = (uint8_t)(fresh << 1), usage--) {\n"
        "            uint8_t lock = 0u;\n            if ((fresh & 0x80u) == 0u || usage == 0u) {",
    ),
    _edit("P5", "the guard is off", "FLAG_GUARD) != 0u &&", "FLAG_GUARD) == 0xFFu &&"),
    _edit(
        "P5",
        "the guard does not look at the first select line",
        "            if (contact != read) {",
        "            if (contact != read && left != DIRECT_LINES) {",
    ),
    _edit(
        "P5",
        "more keys than the rollover stay",
        "if (keys > byte_at(state->table, AT_ROLLOVER) ||",
        "if (keys > byte_at(state->table, AT_ROLLOVER) + 1 ||",
    ),
    _edit("P5", "a refused press is not counted", "                state->refusals++;\n", ""),
    _edit("P6", "a dropped press is not counted", "                state->overflows++;\n", ""),
    _edit("P6", "the line is one press short", "state->waiting < MM_WAITING)", "state->waiting < MM_WAITING - 1u)"),
    _edit("P6", "one place is never used", "state->strokes < MM_HELD)", "state->strokes < MM_HELD - 1u)"),
    _edit(
        "P6", "with all places taken none is made", "            state->slots[0].what |= RELEASED;\n", "            ;\n"
    ),
    _edit("P7", "a report without keys told apart changes keys", "(down[0] & ROLL_OVER) != 0u", "false"),
    _edit(
        "P7",
        "its modifiers are not followed",
        "        set = known;\n",
        "        set = known;\n        modifiers = known[MODIFIER_BYTE];\n",
    ),
    _edit("P7", "a short report counts", "    if (length < 8u) {", "    if (length < 4u) {"),
    _edit(
        "P8",
        "a layout change does not wait for contacts to open",
        "if ((state->strokes | state->modifiers) == 0u && state->settle_left == 0u) {",
        "if (state->settle_left == 0u) {",
    ),
    _edit("P8", "latches outlive a layout change", "            state->latches = 0u;\n", ""),
    _edit(
        "P8",
        "a latch that has closed nothing yet outlives a layout change",
        "            state->latches = 0u;\n            if ((state->strokes | state->modifiers) == 0u &&",
        "            if (state->modifiers != 0u) {\n                state->latches = 0u;\n            }\n"
        "            if ((state->strokes | state->modifiers) == 0u &&",
    ),
    _edit(
        "P8",
        "presses for a layout that is replaced before its turn are played",
        "    if (state->behind != NO_CHANGE) {\n        state->waiting =",
        "    if (false) {\n        state->waiting =",
    ),
    _edit("dead keys", "pairs answer without their dead key", "(its ^ accent) > KIND_BITS", "false"),
    _edit(
        "dead keys",
        "Caps Lock counts twice where an accent comes before a key",
        "\n            slot[1].value = (uint8_t)(slot->what << SHIFT_TO_NUM_LOCK) & FLAG_NUM_LOCK;",
        "\n            slot[1].value = state->locks;",
    ),
    _edit(
        "dead keys",
        "a pair leaves the dead key pending",
        "        state->accent = 0u;\n    }\n#endif\n    slot->what",
        "    }\n#endif\n    slot->what",
    ),
    _edit(
        "dead keys",
        "an accent by itself stays closed",
        "            slot->what |= RELEASED;\n            slot[1]",
        "            slot[1]",
    ),
    _edit("dead keys", "a dead key is taken back by no key", "held == 0u && after == MM_TAKES_BACK", "false"),
    _edit("dead keys", "with Control the accent comes first, too", "held == 0u && after == 0u", "after == 0u"),
    _edit("dead keys", "locks end a dead key", "kind != NOTHING && after != MM_KEEPS", "kind != NOTHING"),
    _edit(
        "dead keys",
        "a key that does nothing ends a dead key",
        "state->accent != 0u && kind != NOTHING &&",
        "state->accent != 0u &&",
    ),
    _edit(
        "dead keys",
        "one outlives a layout change",
        "                state->accent = 0u;\n                return 0u;",
        "                return 0u;",
    ),
    _edit("levels", "Caps Lock counts with Control", "(how & HOW_CONTROL) == 0u &&", ""),
    _edit(
        "levels",
        "Num Lock is the wrong way round",
        "(lock >> SHIFT_TO_NUM_LOCK & HOW_SHIFT)",
        "(~lock >> SHIFT_TO_NUM_LOCK & HOW_SHIFT)",
    ),
    _edit("levels", "Shift counts on the keypad", "(how & (uint8_t)~(HOW_SHIFT | HOW_ALT_GR))", "how"),
    _edit("levels", "AltGr is an Alt as well", "        modifiers &= (uint8_t)~RIGHT_ALT;\n", ""),
    _edit(
        "levels",
        "a held Control hides what does not name it",
        "if (when != 0u && when != held) {",
        "if (when != held) {",
    ),
    _edit(
        "time",
        "the clock goes back while a lead time runs",
        "next == MM_NEVER && (state->close_left | state->settle_left | POLL_LEFT(state)) == 0u",
        "next == MM_NEVER && state->close_left == 0u",
    ),
    _edit("time", "a clock that steps back counts as hours", "step < HALF_RANGE", "true"),
    _edit(
        "time",
        "the clock goes back with a step back",
        "next == MM_NEVER && (state->close_left | state->settle_left | POLL_LEFT(state)) == 0u",
        "true",
    ),
    _edit(
        "time",
        "a pause while nothing runs is timed later",
        "next == MM_NEVER && (state->close_left | state->settle_left | POLL_LEFT(state)) == 0u",
        "false",
    ),
    _edit(
        "time",
        "the end of a close time is not told",
        "sooner(sooner(next, state->close_left), state->settle_left)",
        "sooner(next, state->settle_left)",
    ),
    _edit("taps", "a modifier that is tapped is not kept", "            state->typist |= state->tapped;\n", ""),
    _edit(
        "taps",
        "a modifier that is tapped is not shown for a close time",
        "            state->close_left = time_at(state->table, AT_CLOSE);\n        }\n#endif",
        "            state->close_left = 1u;\n        }\n#endif",
    ),
    _edit(
        "taps",
        "a stroke stays closed with modifiers alone",
        "return state->close_left != 0u && state->alone == 0u;",
        "return state->close_left != 0u;",
    ),
    _edit(
        "taps",
        "one that is tapped before a press is shown after it",
        "    state->tapped = 0u;\n    if (state->alone",
        "    if (state->alone",
    ),
    _edit(
        "taps",
        "a press waits for the close time of modifiers alone",
        "        state->alone = 0u;\n        state->close_left = 0u;\n    }\n}",
        "    }\n}",
    ),
    _edit(
        "taps", "a layout change waits for it", "#if MM_TAPS\n    forget_taps(state);\n#endif\n    for (i", "    for (i"
    ),
    _edit("keys come back", "none does", "                    slot->what |= ASIDE;\n", "                    ;\n"),
    _edit(
        "keys come back",
        "one does that breaks a rule alone",
        "if ((!first || PADDED(state)) && (slot->what & RELEASED)",
        "if ((slot->what & RELEASED)",
    ),
    _edit(
        "keys come back",
        "they do where the layout does not say so",
        "\n                    (byte_at(state->table, AT_FLAGS) & FLAG_RESUME) != 0u) {",
        "\n                    true) {",
    ),
    _edit(
        "keys come back",
        "one that was released keeps its place",
        "(slot->what & (ASIDE | RELEASED)) == ASIDE &&",
        "(slot->what & ASIDE) != 0u &&",
    ),
    _edit(
        "keys come back",
        "before its open time is over",
        "(back->what & ASIDE) == 0u || back->OPEN_LEFT != 0u ||",
        "(back->what & ASIDE) == 0u ||",
    ),
    _edit(
        "keys come back",
        "beside one that asks for other modifiers",
        "fits = asked_by(state, demands, slot) == asked && join",
        "fits = join",
    ),
    _edit(
        "keys come back",
        "one beside which nothing else may be closed",
        "            if ((slot->what & OPENED) == 0u) {\n                fits",
        "            if (false) {\n                fits",
    ),
    _edit(
        "keys come back",
        "a layout change waits for its release",
        " == ASIDE && state->waiting != state->behind) {",
        " == ASIDE) {",
    ),
    _edit(
        "keys come back",
        "a press waits for its release where places run short",
        "            if ((state->slots[0].what & OPENED) != 0u && state->slots[0].OPEN_LEFT == 0u) {\n                return 0u;\n            }\n",
        "",
    ),
    _edit(
        "keyboards",
        "modifiers of another keyboard do not count",
        "            how |= state->down[i][MODIFIER_BYTE];\n",
        "            ;\n",
    ),
    _edit(
        "keyboards",
        "they count where keyboards are apart",
        "i != keyboard && (byte_at(state->input, AT_FLAGS) & FLAG_APART) == 0u",
        "i != keyboard",
    ),
    _edit("pasted text", "a full line takes more", "mm_room(state) == 0u || usage", "usage"),
    _edit(
        "pasted text",
        "its modifiers are not those of the machine",
        "join_line(state, usage, how, live)->value",
        "join_line(state, usage, how, 0u)->value",
    ),
    _edit(
        "pasted text", "its keys stay down", "typed_by(state, modifiers, RELEASED)", "typed_by(state, modifiers, 0u)"
    ),
    _edit(
        "pasted text",
        "a modifier of the machine joins the line",
        "    if (is_down(known, 0u, usage)) {\n        return false;\n    }\n",
        "",
    ),
    _edit(
        "pasted text",
        "Num Lock off counts for it",
        "how, live)->value = 0u;",
        "how, live)->value = FLAG_NUM_LOCK;",
    ),
    _edit("commands", "a command is handed over again and again", "    state->command_due = 0u;\n", ""),
    _edit("locks", "a closed latch lights nothing", " | state->latches) != 0u", ") != 0u"),
    _edit("locks", "the LED of Caps Lock stays dark", "        leds |= MM_LED_CAPS_LOCK;\n", "        ;\n"),
    _edit(
        "whole scans",
        "an open time that is over begins anew",
        "if ((slot->what & OPENED) != 0u && slot->OPEN_LEFT != 0u) {",
        "if ((slot->what & OPENED) != 0u) {",
    ),
    _edit(
        "whole scans",
        "strokes are opened in a close time",
        "if (state->close_left != 0u && !CHANGED && whole(state)) {",
        "if (false) {",
    ),
    _edit(
        "whole scans",
        "none is opened in a close time of any machine",
        "if (state->close_left != 0u && !CHANGED && whole(state)) {",
        "if (state->close_left != 0u) {",
    ),
    _edit(
        "whole scans",
        "open times go on where modifiers change or strokes are opened",
        "(state->settle_left != time_at(state->table, AT_LEAD) &&",
        "(true &&",
    ),
    _edit(
        "whole scans",
        "open times go on where a stroke is closed",
        "!(in_close_time(state) && state->close_left == time_at(state->table, AT_CLOSE))",
        "true",
    ),
    _edit(
        "whole scans",
        "open times begin anew for a machine that compares each key",
        "if (!whole(state) || (state->settle_left",
        "if ((state->settle_left",
    ),
    _edit("whole scans", "the end of one that began anew is not told", "                next = open;\n", ""),
)


@dataclass(frozen=True, slots=True)
class Played:
    """A stream as a tape, and what the model shows for it."""

    tape: bytes
    rows: bytes


def plans_played() -> list[Plan]:
    """A few shipped layouts and those made for the tests."""
    return [*few_plans(), *special_plans()]


def played_by_model(streams: int) -> list[Played]:
    """Random streams on a few layouts with little memory."""
    plans = plans_played()
    model = ModelTape(plans, SIZES)
    out = []
    for seed in range(streams):
        number = seed % len(plans)
        stream = random_stream(seed, plans[number], number, EVENTS, keyboards=2, layouts=range(len(plans)))
        stream += composing_stream(seed, plans[number], number, EVENTS // 2)
        tape = b"".join(stream)
        out.append(Played(tape, model.play(tape)))
    return out


def write_mutant(edit: Edit, folder: Path) -> None:
    """The runtime's files with one edit."""
    with as_file(files("matrixmap") / "runtime") as runtime:
        shutil.copytree(runtime, folder, dirs_exist_ok=True)
    path = folder / SOURCE
    text = path.read_text(encoding="utf-8")
    assert text.count(edit.old) == 1, f"{edit.breaks}: the passage stands {text.count(edit.old)} times in {SOURCE}"
    path.write_text(text.replace(edit.old, edit.new), encoding="utf-8")


def _agrees(library: Path, played: Sequence[Played]) -> None:
    """Ends the process with 0 if the library shows the same everywhere; a mutant may also crash it or hang."""
    tables = [make_table(plan).to_bytes() for plan in plans_played()]
    loaded = load_library(library)
    for one in played:
        if play_compiled(loaded, tables, one.tape, len(one.rows) // 44 + 1) != one.rows:
            sys.exit(1)
    sys.exit(0)


def survives(edit: Edit | None, played: Sequence[Played]) -> bool:
    """Whether the runtime with an edit, or as it is, is not told from the model."""
    with tempfile.TemporaryDirectory() as name:
        sources = Path(name) / "runtime"
        if edit is not None:
            write_mutant(edit, sources)
        flags = ("-std=c99", "-O1", "-w", "-fPIC", "-shared")
        library = compile_library(
            Path(name), SIZES, tools.tool("gcc"), flags, sources if edit else None, ("MM_RESUME", "MM_WHOLE")
        )
        child = multiprocessing.get_context("fork").Process(target=_agrees, args=(library, played))
        child.start()
        child.join(SECONDS)
        if child.is_alive():
            child.kill()
            child.join()
        return child.exitcode == 0


def survivors(edits: Sequence[Edit], streams: int = STREAMS) -> Iterator[Edit]:
    """The edits that nothing in so many streams tells from the model."""
    played = played_by_model(streams)
    assert survives(None, played), "the runtime as it is differs from the model"
    yield from (edit for edit in edits if survives(edit, played))


def main() -> None:
    """Tries all edits; exit code 1 if one goes unnoticed."""
    left = list(survivors(EDITS))
    for edit in left:
        print(f"not noticed: {edit.promise}: {edit.breaks}")
    print(f"{len(EDITS) - len(left)} of {len(EDITS)} edits were noticed")
    sys.exit(1 if left else 0)


if __name__ == "__main__":
    main()
