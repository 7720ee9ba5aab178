"""Diodes in some of the contacts: what is read, and which of them are the fewest, against the plain model and by trying all."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations
from random import Random

import pytest

from matrixmap.circuit.diodes import diodes_needed, read_with_diodes
from matrixmap.circuit.reading import Conduction
from matrixmap.model.machine import Contact, Machine
from tests.circuit import naive
from tests.project import shipped_plan


def matrix(selects: int, senses: int) -> Machine:
    """A machine of which only the lines of the matrix matter."""
    machine = shipped_plan("quillon8-en-US-symbolic").layout.machine
    return replace(
        machine,
        select=tuple(f"S{number}" for number in range(selects)),
        sense=tuple(f"N{number}" for number in range(senses)),
        direct=(),
    )


def read_plainly(machine: Machine, closed: frozenset[int], diodes: frozenset[int]) -> frozenset[int]:
    """What the plain model reads."""
    width = len(machine.sense)
    points = [
        (*divmod(contact, width), Conduction.FORWARD if contact in diodes else Conduction.BOTH) for contact in closed
    ]
    return frozenset(select * width + sense for select, sense in naive.read(points, len(machine.select), width))


def smallest(machine: Machine, moments: list[frozenset[int]]) -> list[frozenset[int]]:
    """All smallest sets of contacts with which nothing else is read at any moment, by trying every set."""
    contacts = sorted(frozenset[int]().union(*moments))
    for count in range(len(contacts) + 1):
        found = [
            frozenset(chosen)
            for chosen in combinations(contacts, count)
            if all(read_plainly(machine, closed, frozenset(chosen)) == closed for closed in moments)
        ]
        if found:
            return found
    raise AssertionError("with a diode in every contact something else is read")


def mask_of(contacts: frozenset[int]) -> int:
    return sum(1 << contact for contact in contacts)


@pytest.mark.parametrize(("selects", "senses"), [(2, 2), (3, 3), (3, 4), (4, 3)])
def test_the_diodes_needed_are_the_only_smallest_set(selects: int, senses: int) -> None:
    """For sets of closed contacts, of which some moments close fewer, no other set of as few diodes will do, and no smaller one."""
    machine, chosen = matrix(selects, senses), Random(f"{selects}x{senses}")
    sizes = set()
    for _ in range(60):
        whole = frozenset(chosen.sample(range(selects * senses), chosen.randint(1, min(7, selects * senses))))
        moments = [whole, *(frozenset(chosen.sample(sorted(whole), chosen.randint(1, len(whole)))) for _ in range(3))]
        found = diodes_needed(machine, map(mask_of, moments))
        assert [found] == smallest(machine, moments), moments
        sizes.add(len(found))
    assert {0, 1} < sizes


def test_what_is_read_through_some_diodes() -> None:
    """The plain model reads the same, contact by contact."""
    machine, chosen = matrix(4, 4), Random(4)
    for _ in range(300):
        closed = frozenset(map(Contact, chosen.sample(range(16), chosen.randint(0, 10))))
        diodes = frozenset(contact for contact in closed if chosen.random() < 0.4)
        assert read_with_diodes(machine, closed, diodes) == read_plainly(machine, closed, diodes)
