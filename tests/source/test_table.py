"""Pasted tables: any grid, printed in any of the forms that are taken, reads back as the same grid."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from matrixmap.source.propose.keytops import Keytop, read_keytop
from matrixmap.source.propose.table import Table, TableChoices, read_table
from matrixmap.source.report import Report

MARKS = "=;:'\"`,/\\[]{}()@^_*+<>?!#$%&|~£§é"
WORDS = {
    "ENTER": ("Enter",),
    "Cursor Up": ("ArrowUp",),
    "DEL": ("Delete",),
    "F1": ("F1",),
    "SPACE": (" ",),
    "page up": ("PageUp",),
    "Zonk": ("Zonk",),
    "LINE FEED": ("LineFeed",),
}
HELD = {"SHIFT": "shift", "CTRL": "control", "CAPS SHIFT": "caps-shift", "GRAPH": "graph"}
HOLES = ("none", "--", "", "NONE", "..")


@dataclass(frozen=True)
class Print:
    """What a cell holds: its legends, or the modifier, or nothing; and how it is written, bare or with care for a form."""

    meant: tuple[str, ...] | str | None
    parts: tuple[str, ...]
    joint: str


def written(cell: Print, form: str, bare: bool) -> str:
    """The text of a cell; a mark that the form or a hole could take is in quotes."""
    careful = {"commas": ",", "bars": "|"}.get(form, "") + ("" if bare else "'\"")
    parts = []
    for part in cell.parts:
        quote = '"' if part == "'" else "'"
        parts.append(f"{quote}{part}{quote}" if len(part) == 1 and part in careful + "'\"" else part)
    return cell.joint.join(parts)


@st.composite
def grids(draw: st.DrawFn) -> list[list[Print]]:
    """Two to eight rows and columns of different keys and holes, no column and no row of holes alone."""
    rows, columns = draw(st.integers(2, 8)), draw(st.integers(2, 8))
    pool: list[Print] = [Print((letter,), (letter,), "") for letter in "ABCDEFGHIJKLMNOPQRSTUVWXYZ"]
    pool += [Print((mark,), (mark,), "") for mark in MARKS]
    pool += [Print(legends, (word,), "") for word, legends in WORDS.items()]
    pool += [Print(name, (word,), "") for word, name in HELD.items()]
    joint = draw(st.sampled_from((" ", "/", "", " / ")))
    for digit, mark in zip("1234567890", draw(st.permutations("!#$%&()*=+")), strict=True):
        pair = draw(st.booleans())
        pool.append(Print((digit, mark), (digit, mark), joint) if pair else Print((digit,), (digit,), ""))
    keys = draw(st.permutations(pool))
    cells = [list(keys[row * columns : (row + 1) * columns]) for row in range(rows)]
    for row, column in draw(st.sets(st.tuples(st.integers(0, rows - 1), st.integers(0, columns - 1)), max_size=rows)):
        if row != column % rows:  # each row and column keeps a key
            cells[row][column] = Print(None, (draw(st.sampled_from(HOLES)),), "")
    return cells


def padded(texts: Sequence[Sequence[str]], gap: str) -> str:
    """Columns of blanks, one above the other."""
    widths = [max(map(len, column)) for column in zip(*texts, strict=True)]
    lines = [gap.join(text.ljust(width) for text, width in zip(row, widths, strict=True)) for row in texts]
    return "\n".join(line.rstrip() for line in lines) + "\n"


def printed(cells: Sequence[Sequence[str]], form: str) -> str:
    """The rows in a form."""
    if form == "tabs":
        return "\n".join("\t".join(row) for row in cells) + "\n"
    if form == "bars":
        rule = "|" + "---|" * len(cells[0])
        rows = [f"| {' | '.join(row)} |" for row in cells]
        return "\n".join([rows[0], rule, *rows[1:]]) + "\n"
    if form == "bars within":
        return "\n".join(" | ".join(row) for row in cells) + "\n"
    if form == "commas":
        return "\n".join(", ".join(row) for row in cells) + "\n"
    if form == "box":
        rule = "+" + "-----+" * len(cells[0])
        return "\n".join([rule, *(f"│{'│'.join(row)}│" for row in cells), rule]) + "\n"
    if form == "blanks of one width":
        return "\n".join("  ".join(row) for row in cells) + "\n"
    return padded(cells, "   ")


FORMS = ("tabs", "bars", "bars within", "commas", "box", "blanks", "blanks of one width")


def read(text: str, **choices: object) -> tuple[Table | None, list[str]]:
    """The table of a text, and what is told."""
    report = Report()
    table = read_table(text.encode(), "t", TableChoices(**choices), report)  # type: ignore[arg-type]
    return table, [f"{finding.place}: {finding.text}" for finding in report.findings]


def tops(table: Table) -> list[list[Keytop | None]]:
    """What each cell of a table says, as it is read."""
    report = Report()
    found = [[read_keytop(cell, (), report) if cell else None for cell in row] for row in table.grid.rows]
    assert report.findings == []
    return found


def meant(tops: list[list[Keytop | None]]) -> list[list[tuple[str, ...] | str | None]]:
    """The same as the test's own words."""
    return [[None if top is None else top.modifier or top.legends for top in row] for row in tops]


@settings(max_examples=200, deadline=None)
@given(data=st.data(), cells=grids(), form=st.sampled_from(FORMS))
def test_any_grid_in_any_form_reads_back(data: st.DataObject, cells: list[list[Print]], form: str) -> None:
    """Tabs, bars, commas and blanks, with and without names of lines, bare or in quotes: every crossing is the same."""
    kind = "bars" if form in ("bars within", "box") else form
    texts = [[written(cell, kind, bare=data.draw(st.booleans())) for cell in row] for row in cells]
    if form == "blanks of one width":
        texts = [[text or "none" for text in row] for row in texts]
    select = [f"A{number}" for number in range(8, 8 + len(cells))]
    sense = [f"D{number}" for number in range(len(cells[0]))]
    header, labels, turned = (data.draw(st.booleans()) for _ in range(3))
    if not (header and labels) and form == "blanks":
        texts = [[text or "none" for text in row] for row in texts]
    body, left, top = texts, select, sense
    if turned:
        body, left, top = [list(column) for column in zip(*texts, strict=True)], sense, select
    if labels:
        body = [[f"{label}{':' if form == 'commas' else ''}", *row] for label, row in zip(left, body, strict=True)]
    if header:
        corner = data.draw(st.sampled_from(("", "row"))) if labels else None
        body = [[*([corner or ("row" if form == "blanks of one width" else "")] if labels else []), *top], *body]
    told_by_names = turned and (header or labels)
    table, told = read(printed(body, form), rows_are_sense=None if told_by_names or not turned else True)
    assert told == []
    assert table is not None
    assert table.rows_are_sense == turned
    assert meant(tops(table)) == [[cell.meant for cell in row] for row in cells]
    assert list(table.grid.select) == (
        select if (header if turned else labels) else [f"S{n}" for n in range(len(select))]
    )
    assert list(table.grid.sense) == (sense if (labels if turned else header) else [f"N{n}" for n in range(len(sense))])


@settings(max_examples=200, deadline=None)
@given(text=st.text(st.sampled_from("AB12 \t|,'\"/-.\n:+=SHIFT"), max_size=120) | st.text(max_size=60))
def test_any_text_gives_a_table_or_findings(text: str) -> None:
    """No text ends in an error of the program: it is a table, or something is told with a place inside it."""
    report = Report()
    table = read_table(text.encode("utf-8", "surrogatepass"), "t", TableChoices(), report)
    assert (table is None) == bool(report.findings)
    for finding in report.findings:
        assert finding.place is not None
        assert 1 <= finding.place.line <= max(1, len(text.splitlines()))


@pytest.mark.parametrize(
    ("cell", "legends"),
    [
        ('2 "', ("2", '"')),
        ("1/!", ("1", "!")),
        ('2"', ("2", '"')),
        ("!1", ("!", "1")),
        ("//?", ("/", "?")),
        ("?//", ("?", "/")),
        ("/ ?", ("/", "?")),
        ("'/' ?", ("/", "?")),
        ("7 '", ("7", "'")),
        ("7 ’", ("7", "'")),
        ("“", ('"',)),
        ("'''", ("'",)),
        ("''''", ("'",)),
        ('"|"', ("|",)),
        ("' '", (" ",)),
        ("- _", ("-", "_")),
        ("– =", ("-", "=")),
        ("1 ! ½", ("1", "!", "½")),
        ("E €", ("E", "€")),
        ("P PRINT", ("P", "Print")),
        ("CLR/HOME", ("Clear", "Home")),
        ("INS DEL", ("Insert", "Delete")),
        ("F1/F2", ("F1", "F2")),
        ("Tray1", ("Tray1",)),
        ("minus", ("-",)),
        ("LINE FEED", ("LineFeed",)),
        ("↵", ("Enter",)),
        ("crsr-up", ("ArrowUp",)),
        ("CRSR ↑", ("ArrowUp",)),
    ],
)
def test_what_a_cell_says(cell: str, legends: tuple[str, ...]) -> None:
    """Two legends stand side by side, with a blank or a slash; words are functions; a phrase is one."""
    table, told = read(f"S0\t{cell}\tA\nS1\tB\tC\n")
    assert told == []
    assert table is not None
    top = tops(table)[0][0]
    assert top is not None
    assert (top.legends, top.modifier) == (legends, None)


@pytest.mark.parametrize(
    ("cell", "modifier", "side"),
    [
        ("SHIFT", "shift", None),
        ("Left Shift", "shift", "left"),
        ("SHIFT (R)", "shift", "right"),
        ("LSHIFT", "shift", "left"),
        ("⇧", "shift", None),
        ("CNTL", "control", None),
        ("CAPS SHIFT", "caps-shift", None),
        ("symbol-shift", "symbol-shift", None),
    ],
)
def test_keys_that_are_held(cell: str, modifier: str, side: str | None) -> None:
    """A modifier is known by its usual names, with the side if it is said; any other word with SHIFT names its own."""
    table, _ = read(f"S0\t{cell}\tA\nS1\tB\tC\n")
    assert table is not None
    top = tops(table)[0][0]
    assert top is not None
    assert (top.modifier, top.side, top.legends) == (modifier, side, ())


def test_digits_name_lines_only_where_they_are_keys_elsewhere() -> None:
    """Bare numbers above or beside a table are lines if each is a key too; else they are keys."""
    lines, _ = read(" \t1\t0\n0\tQ\t1\n1\tW\t0\n")
    assert lines is not None
    assert (lines.grid.select, lines.grid.sense) == (("S0", "S1"), ("N1", "N0"))
    keys, _ = read("1\t2\t3\nQ\tW\tE\n")
    assert keys is not None
    assert meant(tops(keys)) == [[("1",), ("2",), ("3",)], [("Q",), ("W",), ("E",)]]


def test_options_say_what_a_table_leaves_open() -> None:
    """Names for lines, by number, range or prefix; what rows are; whether numbers are lines."""
    table, _ = read("7\tQ\tW\n9\tA\tS\n", labels=True, select="Y", sense="X4-X5")
    assert table is not None
    assert (table.grid.select, table.grid.sense) == (("Y7", "Y9"), ("X4", "X5"))
    turned, _ = read("7\tQ\tW\n9\tA\tS\n", labels=True, rows_are_sense=True)
    assert turned is not None
    assert meant(tops(turned)) == [[("Q",), ("A",)], [("W",), ("S",)]]
    _, told = read("Q\tW\n", sense="X0,X1,X2")
    assert told == ["t:1:1: --sense X0,X1,X2 names 3 lines, but the table has 2 sense lines"]


@pytest.mark.parametrize(
    ("text", "holes"),
    [
        ("S0\t-\t1\nS1\t2\t3\n", 0),  # the one minus
        ("S0\t-\t1\nS1\t2\tnone\n", 1),  # holes are written otherwise
        ("S0\t-\t'-'\nS1\t2\t-\n", 2),  # the key is in quotes
        ("S0\t-\t-\nS1\t-\t3\n", 3),  # too many for keys
        ("S0\t.\t1\nS1\t2\t3\n", 0),
        ("S0\t.\t.\nS1\t.\t'.'\n", 3),
    ],
)
def test_a_dash_or_a_dot_is_a_key_or_no_key(text: str, holes: int) -> None:
    """One dash is the minus; where another is in quotes, or three stand, they are places without a key."""
    table, told = read(text)
    assert told == []
    assert table is not None
    assert sum(cell is None for row in table.grid.rows for cell in row) == holes


def test_a_bar_as_a_legend_is_quoted_or_escaped_in_a_table_of_bars() -> None:
    r"""`\|` and `'|'` are the bar there; in other tables a backslash and a bar are two legends."""
    bars, _ = read("| \\| | A |\n| '|' ~ | B |\n")
    assert bars is not None
    assert meant(tops(bars)) == [[("|",), ("A",)], [("|", "~"), ("B",)]]
    tabs, _ = read("\\|\tA\nC\tB\n")
    assert tabs is not None
    assert meant(tops(tabs))[0][0] == ("\\", "|")


@pytest.mark.parametrize("top", ["    N0  N1  N2\n", ""])
def test_a_blank_in_columns_of_blanks_is_a_hole_where_it_stands(top: str) -> None:
    """A row with fewer cells has its holes where nothing stands below the others."""
    table, told = read(f"{top}S0  Q   W   E\nS1      A   S\nS2  D       F\nS3  Z   X\n")
    assert told == []
    assert table is not None
    assert meant(tops(table)) == [
        [("Q",), ("W",), ("E",)],
        [None, ("A",), ("S",)],
        [("D",), None, ("F",)],
        [("Z",), ("X",), None],
    ]


def test_a_hole_in_each_row_is_found_by_the_names_of_the_columns() -> None:
    """Where no row is full, the first line says how many columns there are; without it the table is refused."""
    table, _ = read("    N0  N1\nS0  Q\nS1      A\n")
    assert table is not None
    assert meant(tops(table)) == [[("Q",), None], [None, ("A",)]]
    refused, told = read("Q   W       E\nA       S   D\n")
    assert refused is None
    assert told[0].startswith("t:2:9: this is not below anything")
