"""Strokes in turn: what one press plays, what the machine makes of it, and how a person is told."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from matrixmap.emit.tables.build import build_files
from matrixmap.hid.usages import Usage
from matrixmap.model.plan import Stroke, Trigger
from matrixmap.press.how_to_type import every_press, ways_to_type
from matrixmap.press.modes import by_hand
from matrixmap.press.table.format import FLAG_SEQUENCES
from matrixmap.press.table.make import make_table
from matrixmap.press.words import way_words
from matrixmap.simulate.compiled import Compiled, compile_library, load_library
from matrixmap.simulate.engine import Sizes
from tests import tools
from tests.turns import BY_PLACE, EBB, turn_plan, typed_and_read


@pytest.mark.parametrize("engine", ["model", "c"])
def test_a_typed_text_comes_out(engine: str) -> None:
    """Sequences of the file, of dead keys and of modes for one key are read as what they type, plain keys between them."""
    text = "{a}b[c?áéÁ´ßç€1!"
    assert typed_and_read(turn_plan(), text, engine) == (text, text)


@pytest.mark.parametrize("engine", ["model", "c"])
def test_an_accent_by_itself_is_played_in_turn(engine: str) -> None:
    """After the dead key of the host, a key that makes no pair types the accent, by two strokes, and then itself."""
    plan = turn_plan()
    assert typed_and_read(plan, "´d´1", engine) == ("´d´1", "´d´1")
    assert plan.dead_keys.accents["´"].before


def test_a_single_stroke_wins_over_a_sequence() -> None:
    """A character that a key types by itself is typed so, though a sequence of the file types it too."""
    machine = EBB.replace("'?': [mark, one]", "'?': [mark, one]\n  d: [mark, a]")
    stroke = turn_plan(machine).by_trigger[Trigger(usage=Usage(0x07), level=1)]
    assert isinstance(stroke, Stroke)
    assert not stroke.before


def test_a_sequence_of_the_file_wins_over_a_dead_key() -> None:
    """Where the file lists a sequence for what a dead key composes, that one is played."""
    machine = EBB.replace("'?': [mark, one]", "'é': [mark, e]")
    stroke = turn_plan(machine).dead_keys.pairs["´", Usage(0x08), 1]
    assert [contact for first in stroke.before for contact in first.contacts] == [11]


def test_a_positional_layout_plays_no_sequence_and_tells_them() -> None:
    """By place no press plays several strokes; howto tells the presses one by one, and modes in words."""
    plan = turn_plan(EBB, BY_PLACE)
    assert not make_table(plan).sequences
    host, hands = plan.layout.host, by_hand(every_press(plan))
    told = {text: (way_words(host, hand.way), hand.when) for text, hand in hands.items()}
    assert told["{"] == ("left Shift B, then left Control A", "")
    assert told["ß"] == ("left Shift left Control, then B", "")
    assert told["PRINT"] == ("1", "at the beginning of a line")
    assert told["B"] == ("B", "in the mode shout, from lock until lock")
    assert "é" not in told
    assert "{" not in ways_to_type(plan)


@pytest.mark.parametrize(("code", "usual"), [("ControlLeft", True), ("F13", False)])
def test_modifiers_on_keys_that_hardly_any_keyboard_has_are_told_apart(code: str, usual: bool) -> None:
    """Two modifiers held together are as easy as the rarer of their keys: left Shift is everywhere, F13 is not."""
    plan = turn_plan(EBB, BY_PLACE.replace("ControlLeft", code))
    assert by_hand(every_press(plan))["ß"].way[0].usual is usual


def test_the_config_asks_for_sequences_only_where_a_layout_has_some() -> None:
    """MM_SEQUENCES is 1 if a layout built together needs it, else 0; the flag of the header says which do."""
    by_print, by_place = turn_plan(), turn_plan(EBB, BY_PLACE)
    assert "#define MM_SEQUENCES 1" in build_files([by_print])["mm_config.h"]
    assert "#define MM_SEQUENCES 0" in build_files([by_place])["mm_config.h"]
    flags = [make_table(plan).flags & FLAG_SEQUENCES for plan in (by_print, by_place)]
    assert flags == [FLAG_SEQUENCES, 0]


def test_a_runtime_without_sequences_refuses_the_table(tmp_path: Path) -> None:
    """Without MM_SEQUENCES such a table is not sound; one without sequences is."""
    library = load_library(compile_library(tmp_path, Sizes(), tools.tool("cc"), features=("MM_RESUME",)))
    for plan, sound in ((turn_plan(), False), (turn_plan(EBB, BY_PLACE), True)):
        assert Compiled(library, plan.layout.machine, [make_table(plan).to_bytes()]).sound is sound


def test_the_files_of_a_build_tell_the_strokes() -> None:
    """The C comments, the JSON and the key list say which strokes a press plays."""
    files = build_files([turn_plan()])
    assert "MM_SEQUENCE | SEQUENCE_2_EBB_B, /* AltGr+Digit7 types { */" in files["ebb.c"]
    assert "/* in the sequence after ebb + b, AltGr: keys; hold flood, lift ebb */" in files["ebb.c"]
    triggers = {each["trigger"]: each for each in json.loads(files["ebb.json"])["triggers"]}
    assert [each["contacts"][0]["key"] for each in triggers["AltGr+Digit8"]["before"]] == ["b", "enter"]
    assert "ebb + b, then flood + a" in files["ebb.md"]
