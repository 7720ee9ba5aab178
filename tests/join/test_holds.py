"""Which of a modifier's keys a stroke holds: one that makes no phantom, wherever there is one."""

from __future__ import annotations

from itertools import combinations, product

import pytest

from matrixmap.join.demands import choose_holds
from matrixmap.model.layout import Contacts
from matrixmap.model.machine import Contact
from tests.project import shipped_plan

MACHINE = shipped_plan("quillon8-en-US-symbolic").layout.machine


def makes_phantom(contacts: tuple[Contact, ...]) -> bool:
    """Three corners of a rectangle closed and the fourth open, told by looking at every rectangle."""
    points = {MACHINE.lines(contact) for contact in contacts} - {None}
    for (one, two), (left, right) in product(combinations(range(8), 2), combinations(range(8), 2)):
        if len({(one, left), (one, right), (two, left), (two, right)} & points) == 3:
            return True
    return False


@pytest.mark.parametrize("held", [("shift",), ("shift", "blazon"), ("shift", "helm"), ("shift", "helm", "blazon")])
def test_the_choice_makes_no_phantom_if_any_can(held: tuple[str, ...]) -> None:
    """For every key of the machine: the first choice without a phantom, or the first of all where each makes one."""
    keys = {modifier.name: modifier.keys for modifier in MACHINE.modifiers}
    chosen_second = 0
    for key in MACHINE.keys:
        choices = [
            tuple(MACHINE.key(name).contact for name in names) for names in product(*(keys[name] for name in held))
        ]
        clean = [choice for choice in choices if not makes_phantom((key.contact, *choice))]
        chosen = choose_holds(MACHINE, Contacts.SWITCH, (key.contact,), held)
        assert chosen == (clean or choices)[0], key.name
        chosen_second += chosen != choices[0]
        assert choose_holds(MACHINE, Contacts.SWITCH_WITH_DIODE, (key.contact,), held) == choices[0]
    assert chosen_second > 0 or len(held) == 1


def test_two_contacts_never_make_a_phantom() -> None:
    """With one modifier held the first of its keys will do, whatever the key."""
    for key in MACHINE.keys:
        assert choose_holds(MACHINE, Contacts.SWITCH, (key.contact,), ("shift",)) == (
            MACHINE.key("shift-left").contact,
        )
