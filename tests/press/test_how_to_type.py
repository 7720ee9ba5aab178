"""Ways in words and in order, against the decoder that reads the closed contacts with the machine's file."""

from __future__ import annotations

import pytest

from matrixmap.hid.usages import ALT_RIGHT
from matrixmap.model.plan import Stroke, Trigger
from matrixmap.press.how_to_type import ways_to_type
from matrixmap.press.levels import levels_of
from tests.agree.triggers import presses
from tests.project import ROOT, sample_ids, shipped_plan
from tests.reference.pressing import Press, closed_in_plan
from tests.reference.printed import read_layout


@pytest.mark.parametrize("id", sample_ids())
def test_levels_type_what_the_machine_reads(id: str) -> None:
    """For every trigger, made with the left keys: what is typed, or nothing where the runtime refuses it."""
    plan, machine = shipped_plan(id), read_layout(ROOT, id).machine
    levels = levels_of(plan)
    count = 0
    for press in presses(plan):
        held = Press(press.usage, press.level, frozenset(extra.value for extra in press.extras))
        if press.usage in held.held or not levels.is_key(press.usage):
            continue
        answers = [each for each in levels.answers(press) if set(each.press.hold) <= set(held.held)]
        if ALT_RIGHT in held.held and isinstance(plan.by_trigger.get(Trigger(usage=ALT_RIGHT, level=1)), Stroke):
            assert answers == [], "right Alt is a key of its own here and chooses no level"
            continue
        assert len(answers) == 1, press
        done = answers[0].done
        assert done is not None
        read = None if done.refused or done.lies else machine.typed(closed_in_plan(plan, held))
        assert done.text == read, press
        count += 1
    assert count > 200


@pytest.mark.parametrize("id", sample_ids())
def test_ways_are_sorted_by_ease(id: str) -> None:
    """Single presses come first; of these usual keys, then printed legends, then those with fewer further modifiers."""
    for found in ways_to_type(shipped_plan(id)).values():
        keys = [(len(way), not way[-1].usual, bool(way[-1].on) and way[-1].usage < 0x59) for way in found]
        assert keys == sorted(keys)
        printed = [
            (len(way), not way[-1].usual, len(way[-1].on), not way[-1].printed, len(way[-1].extras)) for way in found
        ]
        plain = [key for key, way in zip(printed, found, strict=True) if not way[-1].on]
        assert plain == sorted(plain)
        assert len(set(found)) == len(found)


def test_the_accent_of_a_dead_key_by_itself_is_typed() -> None:
    """After a dead key whose next press makes no pair, the machine reads the accent where it has it, such as ^."""
    plan = shipped_plan("quillon8-de-DE-symbolic")
    levels = levels_of(plan)
    done = {accent: levels.accent_alone(accent) for accent in plan.dead_keys.accents}
    assert "^" in done
    assert {accent: each.text if each else None for accent, each in done.items()} == {accent: accent for accent in done}


def test_the_keypad_comes_last() -> None:
    """A digit is typed on the digit row if it is there: small keyboards have no keypad."""
    found = ways_to_type(shipped_plan("quillon8-en-GB-symbolic"))["7"]
    assert (found[0][0].usage, found[0][0].level, found[0][0].hold) == (0x24, 1, ())
    assert {press.usage for way in found for press in way} == {0x24, 0x5F}
