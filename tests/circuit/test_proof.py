"""A phantom exists if and only if some three closed contacts make one at a crosspoint that is open."""

from functools import cache
from itertools import combinations, combinations_with_replacement, permutations, product
from math import comb

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from matrixmap.circuit.corners import Corners
from matrixmap.circuit.reading import Conduction
from tests.circuit import naive

READABLE = (None, Conduction.BOTH, Conduction.FORWARD)
"""A contact is open, a plain switch, or one with a diode that lets its own key be read."""


def lies(points) -> bool:
    """Whether the plain model reads a crosspoint that is not closed."""
    closed = {(select, sense) for select, sense, _ in points}
    selects = 1 + max((select for select, _ in closed), default=0)
    senses = 1 + max((sense for _, sense in closed), default=0)
    return naive.read(points, selects, senses) != closed


@cache
def phantom_of(triple):
    """The crosspoints that three contacts alone make read."""
    closed = {(select, sense) for select, sense, _ in triple}
    return naive.read(triple, 1 + max(select for select, _ in closed), 1 + max(sense for _, sense in closed)) - closed


def some_triple_lies(points) -> bool:
    """Whether three of the contacts make a crosspoint read that none of all closes."""
    closed = {(select, sense) for select, sense, _ in points}
    return any(phantom_of(triple) - closed for triple in combinations(points, 3))


def rows_of(senses):
    """Every row: each crosspoint open, a switch, or a switch with a diode."""
    return list(product(READABLE, repeat=senses))


def points_of(rows):
    return tuple(
        (select, sense, way) for select, row in enumerate(rows) for sense, way in enumerate(row) if way is not None
    )


@pytest.mark.parametrize(("selects", "senses"), [(2, 2), (2, 3), (3, 2), (3, 3)])
def test_three_contacts_settle_every_set_of_a_small_matrix(selects, senses):
    """Every set of contacts of the matrix, with every pattern of diodes, lies if and only if three of it do."""
    for rows in product(rows_of(senses), repeat=selects):
        points = points_of(rows)
        assert lies(points) == some_triple_lies(points)


def test_three_contacts_settle_every_set_of_a_3x4_matrix():
    """The same on 3x4, of sets that differ in the order of their lines only one: the order changes nothing."""
    orders = list(permutations(range(4)))
    tried = 0
    for numbers in combinations_with_replacement(product(range(3), repeat=4), 3):
        # The least of a set's forms stands for all of them.
        if any(tuple(sorted(tuple(row[at] for at in order) for row in numbers)) < numbers for order in orders):
            continue
        points = points_of([[READABLE[number] for number in row] for row in numbers])
        assert lies(points) == some_triple_lies(points)
        tried += 1
    assert tried == 5053  # orbits of 3x4 arrays of three states under the orders of rows and columns (Burnside)


def test_the_number_of_3x4_sets_is_that_of_burnside():
    """The sets tried above are as many as Burnside's lemma counts."""
    total = 0
    for rows, columns in product(permutations(range(3)), permutations(range(4))):
        cells = {(row, column) for row in range(3) for column in range(4)}
        cycles = 0
        while cells:
            cycles += 1
            cell = cells.pop()
            while (cell := (rows[cell[0]], columns[cell[1]])) in cells:
                cells.remove(cell)
        total += 3**cycles
    assert total // (6 * 24) == 5053


@pytest.mark.campaign
def test_three_contacts_settle_every_set_of_a_3x4_matrix_in_every_order():
    """The same on 3x4 with the rows in every order: 531,441 sets."""
    for rows in product(rows_of(4), repeat=3):
        points = points_of(rows)
        assert lies(points) == some_triple_lies(points)


@settings(max_examples=400, deadline=None)
@given(
    st.dictionaries(
        st.tuples(st.integers(0, 7), st.integers(0, 7)),
        st.sampled_from([Conduction.BOTH, Conduction.FORWARD]),
        max_size=14,
    )
)
def test_three_contacts_settle_any_set_of_an_8x8_matrix(closed):
    """Any contacts of an 8x8 matrix, with any diodes, lie if and only if three of them do."""
    points = tuple((select, sense, way) for (select, sense), way in sorted(closed.items(), key=lambda item: item[0]))
    assert lies(points) == some_triple_lies(points)


def test_an_unreadable_contact_is_outside_the_theorem():
    """With a diode against the scan four contacts can lie where no three do, so such a contact is a fault of its own."""
    both, reverse = Conduction.BOTH, Conduction.REVERSE
    found = []
    for rows in product(product((None, both, reverse), repeat=2), repeat=2):
        points = points_of(rows)
        if any(way is reverse for *_, way in points) and lies(points) != some_triple_lies(points):
            found.append(points)
    assert found


@cache
def corners(selects, senses) -> Corners:
    row = (1 << senses) - 1
    column = sum(1 << select * senses for select in range(selects))
    return Corners(
        rows=tuple(row << select * senses for select in range(selects)),
        columns=tuple(column << sense for sense in range(senses)),
    )


@pytest.mark.parametrize(("selects", "senses"), [(2, 2), (2, 3), (3, 2), (3, 4), (4, 4)])
def test_corners_are_the_triples_that_lie(selects, senses):
    """The corners list each three contacts of plain switches that lie, once, with the crosspoint that they make read."""
    matrix = corners(selects, senses)
    every = (1 << selects * senses) - 1
    found = {}
    for corner, beside, below, phantom in matrix.triples(every):
        cell = frozenset((corner, beside, below))
        assert cell not in found
        found[cell] = phantom
    for triple in combinations(range(selects * senses), 3):
        points = tuple((*divmod(contact, senses), Conduction.BOTH) for contact in triple)
        read = naive.read(points, selects, senses)
        extra = {select * senses + sense for select, sense in read} - set(triple)
        assert extra == ({found[frozenset(triple)]} if frozenset(triple) in found else set())


@pytest.mark.parametrize(("selects", "senses"), [(2, 2), (2, 3), (3, 4), (8, 8)])
def test_the_third_contact_is_known_from_two(selects, senses):
    """For each two contacts, the mask of third ones is exactly those with which the corners list them."""
    matrix = corners(selects, senses)
    every = (1 << selects * senses) - 1
    triples = {frozenset(triple) for *triple, _ in matrix.triples(every)}
    table = matrix.table()
    for one, other in product(range(selects * senses), repeat=2):
        mask = sum(1 << third for third in range(selects * senses) if frozenset((one, other, third)) in triples)
        assert table[one][other] == matrix.completing(one, other) == (mask if one != other else 0)


@settings(max_examples=60, deadline=None)
@given(st.integers(1, 5), st.integers(1, 5), st.data())
def test_triples_and_rectangles_among_some_contacts_are_those_of_all(selects, senses, data):
    """Asked for a part of the contacts, the corners list what lies within that part and nothing else."""
    among = data.draw(st.integers(0, (1 << selects * senses) - 1))
    matrix = corners(selects, senses)
    every = (1 << selects * senses) - 1
    inside = [each for each in matrix.triples(every) if all(among >> contact & 1 for contact in each[:3])]
    assert sorted(matrix.triples(among)) == sorted(inside)
    whole = [each for each in matrix.rectangles(every) if all(among >> contact & 1 for contact in each)]
    assert sorted(matrix.rectangles(among)) == sorted(whole)
    assert len(list(matrix.rectangles(every))) == comb(selects, 2) * comb(senses, 2)
