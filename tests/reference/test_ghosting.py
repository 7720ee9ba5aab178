"""The circuit reads the worked examples and counts of ghosting-examples.yaml, whose sources that file names."""

from functools import cache
from itertools import combinations, product
from math import comb, factorial
from pathlib import Path

import pytest
import yaml

from matrixmap.check.engine.closers import Realizer, find_closers
from matrixmap.check.engine.conflicts import find_masks, find_phantoms
from matrixmap.check.engine.strokes import make_strokes
from matrixmap.circuit.corners import Corners, corners_of
from matrixmap.circuit.reading import ClosedCrosspoint, Conduction, read_matrix
from matrixmap.model.layout import Contacts
from matrixmap.model.machine import SelectIndex, SenseIndex
from tests.project import shipped_plan

HERE = Path(__file__).parent


@cache
def examples():
    return yaml.safe_load((HERE / "ghosting-examples.yaml").read_text(encoding="utf-8"))


def read(closed, selects, way=Conduction.BOTH):
    """The crosspoints that read closed for some that are."""
    masks = read_matrix([ClosedCrosspoint(SelectIndex(s), SenseIndex(n), way) for s, n in closed], selects)
    return {(s, n) for s, mask in enumerate(masks) for n in range(mask.bit_length()) if mask >> n & 1}


def corners(rows, columns):
    row = (1 << columns) - 1
    column = sum(1 << number * columns for number in range(rows))
    return Corners(
        rows=tuple(row << number * columns for number in range(rows)),
        columns=tuple(column << number for number in range(columns)),
    )


def dribin(names):
    """Keys of the article's 2x2 matrix as crosspoints; its columns are driven, so they are the select lines."""
    places = {
        name: (int(text[1]) - 1, int(text[3]) - 1) for name, text in examples()["dribin_2x2"]["crosspoints"].items()
    }
    return {places[name] for name in names}


def test_the_2x2_cases_of_the_article_read_as_it_says():
    """D. Dribin, Keyboard Matrix Help v1.1, sections 4, 5, 6 and 8, the diode case included."""
    for case in examples()["dribin_2x2"]["cases"]:
        way = Conduction.FORWARD if case.get("diode_per_key") else Conduction.BOTH
        got = read(dribin(case["pressed"]), 2, way)
        assert got == dribin(case["read"]), case
        assert got - dribin(case["pressed"]) == dribin(case.get("ghost", [])), case


def test_the_masking_sequence_of_the_article_reads_the_same_throughout():
    """D. Dribin, Keyboard Matrix Help v1.1, section 7: two events happen and the reading does not change."""
    for step in examples()["dribin_2x2"]["masking"]:
        assert read(dribin(step["pressed"]), 2) == dribin(step["read"]), step


def test_all_subsets_of_the_2x2_matrix_read_as_listed():
    """Every set of the article's four keys that it does not print follows from its model."""
    for case in examples()["dribin_2x2"]["all_subsets"]:
        assert read(dribin(case["pressed"]), 2) == dribin(case["read"]), case


def subsets_of_2x2():
    """All sixteen sets of the article's four keys with what reads pressed: those that it prints, and those that follow."""
    given = examples()["dribin_2x2"]
    listed = [*(case for case in given["cases"] if not case.get("diode_per_key")), *given["masking"]]
    known = {tuple(sorted(case["pressed"])): sorted(case["read"]) for case in [*listed, *given["all_subsets"]]}
    # One key reads as one key wherever it is: the article prints A alone.
    return {**known, **{(name,): [name] for name in "BCD"}}


def test_the_sixteen_subsets_read_alike_in_every_block_of_a_large_matrix():
    """Any two columns and two rows of 8x8, next to each other or not, are the 2x2 matrix of D. Dribin's article.

    So each of the 784 blocks shows the ghosts of section 6 and masks as in section 7, and nothing outside it reads pressed.
    """
    subsets = subsets_of_2x2()
    assert len(subsets) == 16
    blocks = list(product(combinations(range(8), 2), repeat=2))
    assert len(blocks) == 784
    for columns, rows in blocks:
        for pressed, wanted in subsets.items():
            closed = {(columns[column], rows[row]) for column, row in dribin(pressed)}
            assert read(closed, 8) == {(columns[column], rows[row]) for column, row in dribin(wanted)}


@pytest.mark.parametrize("row", examples()["table"], ids=lambda row: f"{row['rows']}x{row['columns']}")
def test_rectangles_and_phantom_triples_are_as_many_as_the_identities_say(row):
    """C(R,2) C(C,2) rectangles, four phantom triples each."""
    matrix = corners(row["rows"], row["columns"])
    every = (1 << row["rows"] * row["columns"]) - 1
    assert sum(1 for _ in matrix.rectangles(every)) == row["rectangles"]
    assert sum(1 for _ in matrix.triples(every)) == row["phantom_triples"]
    assert row["rectangles"] == comb(row["rows"], 2) * comb(row["columns"], 2)
    assert comb(row["rows"] * row["columns"], 3) == row["all_triples"]


def stirling(n, k):
    """Stirling numbers of the second kind, by inclusion and exclusion."""
    return sum((-1) ** (k - i) * comb(k, i) * i**n for i in range(k + 1)) // factorial(k)


@pytest.mark.parametrize("row", examples()["readable_states"], ids=lambda row: f"{row['rows']}x{row['columns']}")
def test_states_that_read_back_exactly_are_as_many_as_the_formula_says(row):
    """The sum over k of k! S(R+1,k+1) S(C+1,k+1); by brute force on the circuit up to 3x4."""
    rows, columns = row["rows"], row["columns"]
    most = min(rows, columns)
    assert (
        sum(factorial(k) * stirling(rows + 1, k + 1) * stirling(columns + 1, k + 1) for k in range(most + 1))
        == row["states"]
    )
    if rows * columns <= 12:
        cells = list(product(range(rows), range(columns)))
        exact = 0
        for mask in range(1 << len(cells)):
            closed = {cell for number, cell in enumerate(cells) if mask >> number & 1}
            exact += read(closed, rows) == closed
        assert exact == row["states"]


def handbook(name):
    """A handbook matrix: the key at each crosspoint that has one, and the number of rows."""
    if name == "zx_spectrum":
        rows = yaml.safe_load((HERE / "spectrum-matrix.yaml").read_text(encoding="utf-8"))["half_rows"]
        grid = [row["keys"] for row in sorted(rows, key=lambda row: row["row"])]
    else:
        figure = yaml.safe_load((HERE / "msx-matrix.yaml").read_text(encoding="utf-8"))["rb_figure_36_uk"]
        grid = [figure[row] for row in range(9)]
    return {(row, column): key for row, keys in enumerate(grid) for column, key in enumerate(keys) if key}, len(grid)


@pytest.mark.parametrize("case", examples()["machine_examples"], ids=lambda case: "+".join(case["pressed"]))
def test_keys_of_the_handbook_machines_show_the_listed_ghosts(case):
    """The matrices are those of the handbooks named in msx-matrix.yaml and spectrum-matrix.yaml."""
    keys, rows = handbook(case["matrix"])
    places = {key: place for place, key in reversed(keys.items())}
    closed = {places[key] for key in case["pressed"]}
    extra = read(closed, rows) - closed
    assert sorted(keys[place] for place in extra if place in keys) == sorted(case["ghosts"])
    assert sorted(place for place in extra if place not in keys) == case["ghosts_at_empty_crosspoints"]


@pytest.mark.parametrize("name", list(examples()["sparse_matrices"]))
def test_the_handbook_matrices_have_the_listed_numbers_of_phantoms(name):
    """Phantoms of three keys, those at a crosspoint without a key apart."""
    numbers = examples()["sparse_matrices"][name]
    keys, rows = handbook(name)
    columns = 1 + max(column for _, column in keys)
    among = sum(1 << row * columns + column for row, column in keys)
    found = list(corners(rows, columns).triples(among))
    visible = [phantom for *_, phantom in found if divmod(phantom, columns) in keys]
    assert (len(keys), rows, columns) == (numbers["keys"], numbers["rows"], numbers["cols"])
    assert len(visible) == numbers["phantom_triples_visible"]
    assert len(found) - len(visible) == numbers["phantom_triples_invisible"]
    assert comb(len(keys), 3) == numbers["triples"]


def test_no_two_keys_and_no_keys_of_one_line_make_a_phantom():
    """Two closed contacts read back exactly, and so does any set on one line."""
    cells = list(product(range(8), range(8)))
    for pair in combinations(cells, 2):
        assert read(set(pair), 8) == set(pair)
    for line in range(8):
        assert read({(line, n) for n in range(8)}, 8) == {(line, n) for n in range(8)}
        assert read({(s, line) for s in range(8)}, 8) == {(s, line) for s in range(8)}


def test_the_demo_machine_lists_every_phantom_of_a_full_matrix():
    """A layout that reaches all 64 crosspoints of the Quillon 8 has 3136 sets of contacts and 784 rectangles to report."""
    strokes = make_strokes(shipped_plan("quillon8-en-US-positional"))
    matrix = corners_of(strokes.plan.layout.machine, Contacts.SWITCH)
    assert matrix is not None
    realizer = Realizer(find_closers(strokes))
    assert sum(1 for _ in find_phantoms(realizer, matrix)) == 3136
    assert sum(1 for _ in find_masks(realizer, matrix)) == 784
