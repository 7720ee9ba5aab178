"""What tells strokes apart, and which keys a press needs."""

from __future__ import annotations

from dataclasses import replace

import pytest

from matrixmap.hid.usages import CAPS_LOCK, NUM_LOCK, SHIFT_LEFT, by_code
from matrixmap.model.plan import Demand, Stroke
from matrixmap.model.press import KeyPress
from matrixmap.press.compiled import Compiled
from matrixmap.press.on_keyboard import keys_needed
from matrixmap.press.table.cells import stroke_key
from matrixmap.press.table.make import make_table
from tests.project import shipped_plan


def some_stroke() -> Stroke:
    """A stroke that holds a key of a modifier."""
    plan = shipped_plan("quillon8-en-US-symbolic")
    return next(each.action for each in plan.bindings if isinstance(each.action, Stroke) and each.action.holds)


def test_strokes_differ_in_each_thing_that_the_machine_sees() -> None:
    """Contacts, demands, what is held, and the strokes before: a change of one makes another stroke."""
    stroke = some_stroke()
    others = [
        replace(stroke, contacts=(*stroke.contacts, stroke.contacts[0])),
        replace(stroke, demands=tuple(Demand.PASS for _ in stroke.demands)),
        replace(stroke, holds=()),
        replace(stroke, before=(stroke,)),
    ]
    keys = [stroke_key(each) for each in (stroke, *others)]
    assert len(set(keys)) == len(keys)
    assert stroke_key(replace(stroke, types=None)) == stroke_key(stroke)


def test_the_limits_of_a_table_can_be_left_out() -> None:
    """The demo machine counts two keys and plain switches ask for the guard; without limits a table is read with neither."""
    table = make_table(shipped_plan("quillon8-en-US-symbolic")).to_bytes()
    limited, free = (Compiled(table, limits) for limits in (True, False))
    assert (limited.rollover, limited.guard) == (2, True)
    assert (free.rollover, free.guard) == (None, False)


@pytest.mark.parametrize("lock", [NUM_LOCK, CAPS_LOCK])
def test_a_press_needs_the_lock_that_is_on_for_it(lock: int) -> None:
    """The key itself, what is held, and the lock key that is pressed before."""
    key = by_code("Numpad7")[0]
    press = KeyPress(usage=key, level=2, extras=frozenset(), hold=(SHIFT_LEFT,), on=(lock,))
    assert list(keys_needed(press)) == [(key,), (SHIFT_LEFT,), (lock,)]
