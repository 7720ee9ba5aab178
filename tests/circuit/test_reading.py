"""The circuit reads what current allows: diodes either way, direct lines, controllers."""

from itertools import combinations, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from matrixmap.circuit.reading import (
    ClosedCrosspoint,
    Conduction,
    masked,
    phantoms,
    read_contacts,
    read_matrix,
)
from matrixmap.model.layout import Contacts
from matrixmap.model.machine import Contact, Machine, SelectIndex, SenseIndex, Switch
from tests.check.cases import plan_of
from tests.circuit import naive
from tests.project import shipped_plan


def quillon() -> Machine:
    return shipped_plan("quillon8-en-US-symbolic").layout.machine


def read(points, selects, pulls=()):
    """The pairs of lines that the project's circuit reads closed."""
    closed = [ClosedCrosspoint(SelectIndex(select), SenseIndex(sense), way) for select, sense, way in points]
    switches = [
        Switch(function="Pull", sense=SenseIndex(sense), select=None if select is None else SelectIndex(select))
        for sense, select in pulls
    ]
    masks = read_matrix(closed, selects, switches)
    return {
        (select, sense) for select, mask in enumerate(masks) for sense in range(mask.bit_length()) if mask >> sense & 1
    }


@pytest.mark.parametrize(("selects", "senses"), [(1, 1), (1, 3), (2, 2), (2, 3)])
def test_every_set_of_contacts_with_every_conduction_reads_as_the_plain_model_says(selects, senses):
    """On small matrices every closed set, each contact open or conducting either way or both, reads as pulling lines low does."""
    ways = (None, *Conduction)
    cells = list(product(range(selects), range(senses)))
    for chosen in product(ways, repeat=len(cells)):
        points = [(*cell, way) for cell, way in zip(cells, chosen, strict=True) if way]
        assert read(points, selects) == naive.read(points, selects, senses)


@pytest.mark.parametrize("ways", [(Conduction.BOTH,), (Conduction.FORWARD,), (Conduction.BOTH, Conduction.FORWARD)])
def test_every_set_of_pulls_reads_as_the_plain_model_says(ways):
    """On 2x3, every closed set with every set of at most two switches that pull reads as pulling lines low does."""
    cells = list(product(range(2), range(3)))
    pulls = [(sense, select) for sense in range(3) for select in (None, 0, 1)]
    for count in (1, 2):
        for closed in combinations(pulls, count):
            for chosen in product((None, *ways), repeat=len(cells)):
                points = [(*cell, way) for cell, way in zip(cells, chosen, strict=True) if way]
                assert read(points, 2, closed) == naive.read(points, 2, 3, closed)


@settings(max_examples=300, deadline=None)
@given(
    st.lists(st.tuples(st.integers(0, 7), st.integers(0, 7), st.sampled_from(Conduction)), max_size=20),
    st.lists(st.tuples(st.integers(0, 7), st.none() | st.integers(0, 7)), max_size=3),
)
def test_large_matrices_read_as_the_plain_model_says(points, pulls):
    """On 8x8 any closed contacts and switches read as pulling lines low does."""
    assert read(points, 8, pulls) == naive.read(points, 8, 8, pulls)


@settings(max_examples=200, deadline=None)
@given(st.sets(st.integers(0, 63), max_size=12))
def test_reading_what_was_read_changes_nothing(closed):
    """Without diodes the contacts that read closed, closed in earnest, read the same."""
    machine = quillon()
    once = read_contacts(machine, map(Contact, closed), Contacts.SWITCH)
    assert {Contact(number) for number in closed} <= once
    assert read_contacts(machine, once, Contacts.SWITCH) == once


@settings(max_examples=200, deadline=None)
@given(st.sets(st.integers(0, 64), max_size=12), st.sampled_from([Contacts.SWITCH_WITH_DIODE, Contacts.FOLLOWS_SELECT]))
def test_a_diode_a_contact_lets_no_phantom_be(closed, how):
    """With a diode in each contact, or contacts that follow their select line, only what is closed reads closed."""
    contacts = frozenset(map(Contact, closed))
    assert read_contacts(quillon(), contacts, how) == contacts


def test_a_contact_against_the_scan_reads_nothing_by_itself():
    """A diode that conducts from select to sense line makes its own key unreadable."""
    assert read([(0, 0, Conduction.REVERSE)], 1) == set()


def test_direct_lines_read_as_they_are():
    """A direct line takes no part in the matrix."""
    machine = quillon()
    line = Contact(machine.crosspoints)
    assert read_contacts(machine, {line, Contact(0)}, Contacts.SWITCH) == {line, Contact(0)}


def test_the_machine_s_own_diodes_do_not_count():
    """The machine's own keyboard is unplugged: its diodes change nothing that the adapter's contacts read."""
    text = "layout: case\nmachine: {}\nhost: few\njoin: positional\n"
    source = quillon_source()
    plain = plan_of(text.format("plain"), source.replace("machine: quillon8", "machine: plain")).layout.machine
    diodes = plan_of(
        text.format("diodes"),
        source.replace("machine: quillon8", "machine: diodes").replace("diodes: none", "diodes: all"),
    ).layout.machine
    closed = {Contact(0), Contact(1), Contact(8)}
    assert phantoms(plain, closed, Contacts.SWITCH) == phantoms(diodes, closed, Contacts.SWITCH) == {Contact(9)}


def quillon_source() -> str:
    from tests.project import ROOT

    return (ROOT / "shared/machines/quillon8.yaml").read_text(encoding="utf-8")


def test_masked_contacts_are_those_whose_opening_changes_nothing():
    """In a closed rectangle each contact is masked by the other three; in three corners none is."""
    machine = quillon()
    rectangle = frozenset(map(Contact, (0, 1, 8, 9)))
    assert masked(machine, rectangle, Contacts.SWITCH) == rectangle
    assert masked(machine, rectangle - {Contact(9)}, Contacts.SWITCH) == frozenset()
    assert masked(machine, rectangle, Contacts.SWITCH_WITH_DIODE) == frozenset()
