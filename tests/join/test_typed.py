"""What the project says is typed, against the decoder that reads the closed contacts with the machine's file."""

from __future__ import annotations

import pytest

from matrixmap.join.typed import presses, typed_by, ways_to_type
from matrixmap.model.plan import Trigger
from tests.project import ROOT, sample_ids, shipped_plan
from tests.reference.pressing import Press, closed_in_plan
from tests.reference.printed import read_layout


@pytest.mark.parametrize("id", sample_ids())
def test_typed_is_what_the_machine_reads(id: str) -> None:
    """For every press that a plan knows, with every set of further modifiers, both say the same."""
    plan, machine = shipped_plan(id), read_layout(ROOT, id).machine
    count = 0
    for press in presses(plan):
        held = Press(press.usage, press.level, frozenset(extra.value for extra in press.extras))
        if press.usage in held.held:
            continue
        legend = typed_by(plan, press)
        read = machine.typed(closed_in_plan(plan, held)) if legend or plan.lookup(press) else None
        assert (legend.text if legend else None) == read, press
        count += 1
    assert count > 200


@pytest.mark.parametrize("id", sample_ids())
def test_ways_are_sorted_by_ease(id: str) -> None:
    """Every way types its character; single presses come first, and of these the ones with fewer further modifiers."""
    plan = shipped_plan(id)
    ways = ways_to_type(plan)
    for text, found in ways.items():
        for way in found:
            if len(way) == 1:
                legend = typed_by(plan, way[0])
            else:
                dead, press = way
                legend = plan.dead_keys.pairs[plan.dead_keys.triggers[dead], press.usage, press.level].types
            assert legend is not None
            assert legend.text == text
        counts = [(len(way), len(way[-1].extras)) for way in found]
        assert counts == sorted(counts)
        assert len(set(found)) == len(found)


def test_the_keypad_comes_last() -> None:
    """A digit is typed on the digit row if it is there: small keyboards have no keypad."""
    found = ways_to_type(shipped_plan("quillon8-en-GB-symbolic"))["7"]
    assert found[0] == (Trigger(usage=0x24, level=1),)
    assert {press.usage for way in found for press in way} == {0x24, 0x5F}
