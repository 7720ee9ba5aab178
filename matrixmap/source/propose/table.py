"""A matrix pasted as text becomes a Grid: columns by tabs, bars, commas or blanks, with names of lines or without."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from matrixmap.model.place import Place
from matrixmap.source import rules
from matrixmap.source.kinds.machine_wires import MOST_LINES
from matrixmap.source.propose.columns import Piece, Row, cut_rows
from matrixmap.source.propose.grid import SELECT_PREFIX, SENSE_PREFIX, Cell, Grid, given_lines, line_name
from matrixmap.source.propose.keytops import DASHES, bare_mark, is_empty
from matrixmap.source.propose.series import is_series, looks_like_lines, spelled_digits
from matrixmap.source.report import Report
from matrixmap.source.text.nodes import decode

# Words that tables use for their lines (common practice); a lone letter is the prefix of a numbered line.
SENSE_WORDS = frozenset({"SENSE", "READ", "IN", "INPUT", "BIT", "DATA", "D", "N"})
SELECT_WORDS = frozenset({"SELECT", "STROBE", "SCAN", "DRIVE", "OUT", "OUTPUT", "ADDRESS", "A", "S"})


@dataclass(frozen=True, slots=True, kw_only=True)
class TableChoices:
    """What a person says about a table; None leaves the decision to the table itself.

    `rows_are_sense`: its rows are sense lines; `header`: its first line names lines; `labels`: its first column does;
    `select`, `sense`: names for the lines (`A8-A15`, `X0,X1`, or a prefix).
    """

    rows_are_sense: bool | None = None
    header: bool | None = None
    labels: bool | None = None
    select: str | None = None
    sense: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """The contents of a pasted text: the grid, how its columns were separated, and whether its rows are sense lines."""

    grid: Grid
    form: str
    rows_are_sense: bool


def read_table(data: bytes, file: str, choices: TableChoices, report: Report) -> Table | None:
    """The matrix in a pasted text, or None after findings."""
    before = len(report.findings)
    text = decode(data, file, report)
    if text is None:
        return None
    if not text.strip():
        report.add(rules.EMPTY_FILE, Place(file=file, line=1, column=1), "there is no table; paste the matrix as text")
        return None
    cut = cut_rows(text, file, report)
    if cut is None:
        return None
    reader = _Reader(cut.rows, choices, report)
    table = reader.table(cut.form)
    return table if len(report.findings) == before else None


class _Reader:
    """Separates names of lines from keys, step by step."""

    def __init__(self, rows: list[Row], choices: TableChoices, report: Report) -> None:
        self.rows = rows
        self.choices = choices
        self.report = report
        self.corner: Piece | None = None

    def table(self, form: str) -> Table | None:
        labels = self._takes_labels()
        header = self._takes_header(labels)
        if labels is None or header is None:
            return None
        top = self.rows.pop(0) if header else None
        if top is not None and labels:
            self.corner = top.pieces[0]
            top = Row(line=top.line, pieces=top.pieces[1:])
        side = [row.pieces[0] for row in self.rows] if labels else None
        body = [row.pieces[1:] if labels else row.pieces for row in self.rows]
        if not body or not body[0]:
            place = (top or self.rows[0]).pieces[0].place
            self.report.add(rules.TABLE_UNCLEAR, place, "there are names of lines, but no keys beside or below them")
            return None
        turned = self._rows_are_sense(side, top)
        cells = self._cells(body)
        names = [[piece.text for piece in pieces] if pieces else None for pieces in (side, top.pieces if top else None)]
        places = [side[0].place if side else body[0][0].place, top.pieces[0].place if top else body[0][0].place]
        counts = [len(body), len(body[0])]
        if turned:
            cells = [list(column) for column in zip(*cells, strict=True)]
            for pair in (names, places, counts):
                pair.reverse()
        select = self._names(names[0], counts[0], places[0], "select")
        sense = self._names(names[1], counts[1], places[1], "sense")
        if select is None or sense is None:
            return None
        for name in sorted(set(select) & set(sense)):
            self.report.add(rules.NAME_TWICE, places[0], f"{name} is both a select line and a sense line")
        grid = Grid(select=tuple(select), sense=tuple(sense), rows=tuple(map(tuple, cells)))
        return Table(grid=grid, form=form, rows_are_sense=turned)

    def _takes_labels(self) -> bool | None:
        """Whether the first column names lines; None after a finding."""
        if self.choices.labels is not None:
            return self.choices.labels
        first = [row.pieces[0].text for row in self.rows]
        rest = first[1:] or first
        if len(self.rows[0].pieces) < 2:
            return len(first) > 1 and looks_like_lines(first)
        if len(self.rows) > 1 and not all(rest):
            return False
        if not first[0] and len(self.rows) > 1:
            return True
        if looks_like_lines(first if len(first) == 1 else rest) and len(set(rest)) == len(rest):
            return True
        numbers = first if is_series(first) else rest
        if not is_series(numbers) or not all(text.isdigit() for text in numbers):
            return False
        digits = Counter(spelled_digits(piece.text for row in self.rows for piece in row.pieces[1:]))
        return self._told(numbers, digits, self.rows[-1].pieces[0].place, "column", "labels")

    def _takes_header(self, labels: bool | None) -> bool | None:
        """Whether the first line names lines; None after a finding."""
        if self.choices.header is not None or labels is None:
            return self.choices.header
        top = [piece.text for piece in self.rows[0].pieces]
        if len(self.rows) == 1:
            return False
        if labels:
            side = [row.pieces[0].text for row in self.rows]
            if not top[0]:
                return True
            if is_series(side) or looks_like_lines(side):
                return False
            if not any(char.isdigit() for char in side[0]):
                return is_series(side[1:]) or looks_like_lines(side[1:])
            return is_series(top[1:]) or looks_like_lines(top[1:])
        if not is_series(top):
            return False
        if not all(text.isdigit() for text in top):
            return looks_like_lines(top)
        digits = Counter(spelled_digits(piece.text for row in self.rows[1:] for piece in row.pieces))
        return self._told(top, digits, self.rows[0].pieces[0].place, "line", "header")

    def _told(self, numbers: list[str], digits: Counter[str], place: Place, what: str, option: str) -> bool | None:
        """Whether numbers name lines: yes if each digit is also a key, equally often; no if no digit is.

        None after a finding.
        """
        if any(len(number) > 1 for number in numbers):
            return True
        if not any(digits[number] for number in numbers):
            return False
        if all(digits[number] for number in numbers):
            return len({digits[digit] for digit in "0123456789" if digits[digit]}) == 1
        self.report.add(
            rules.TABLE_UNCLEAR,
            place,
            f"the first {what} has the numbers {', '.join(numbers)}; are they keys or names of lines? Use --{option} "
            f"for names, --no-{option} for keys",
        )
        return None

    def _rows_are_sense(self, side: list[Piece] | None, top: Row | None) -> bool:
        if self.choices.rows_are_sense is not None:
            return self.choices.rows_are_sense
        rows = _kind([piece.text for piece in side]) if side else None
        columns = _kind([piece.text for piece in top.pieces]) if top else None
        if self.corner is not None and rows is None:
            rows = _kind([self.corner.text.replace("\\", " ").replace("/", " ").split(" ")[0]])
        return (rows == "sense" and columns != "sense") or (rows is None and columns == "select")

    def _cells(self, body: list[tuple[Piece, ...]]) -> list[list[Cell | None]]:
        """The cells, None where there is no key, once the meaning of a dash and a dot is clear."""
        holes = {mark for mark in "-." if self._is_hole(mark, body)}
        return [
            [
                None
                if is_empty(piece.text) or bare_mark(piece.text) in holes
                else Cell(text=piece.text, place=piece.place)
                for piece in row
            ]
            for row in body
        ]

    def _is_hole(self, mark: str, body: list[tuple[Piece, ...]]) -> bool:
        pieces = [piece for row in body for piece in row]
        bare = [piece for piece in pieces if bare_mark(piece.text) == mark]
        if len(bare) > 2 or (bare and any(piece.text in (f"'{mark}'", f'"{mark}"') for piece in pieces)):
            return True  # at most a main key and a keypad key share a mark
        if not bare or any(is_empty(piece.text) for piece in pieces):
            return False
        others = [piece for piece in pieces if _has_mark(piece.text, mark, "minus" if mark == "-" else "period")]
        if len(bare) == 1 and not others:
            return False
        other = (others or bare)[0]
        self.report.add(
            rules.CELL_UNCLEAR,
            bare[-1].place,
            f"{bare[-1].text} is here, and {other.text} is in line {other.place.line}: a key or no key? Write "
            f"'{mark}' in quotes if it is a key, none if there is no key",
        )
        return False

    def _names(self, labels: list[str] | None, count: int, place: Place, kind: str) -> list[str] | None:
        """The names of the lines of one kind: given, from the table, or by number."""
        prefix = SELECT_PREFIX if kind == "select" else SENSE_PREFIX
        given = self.choices.select if kind == "select" else self.choices.sense
        if count > MOST_LINES:
            fault = f"the table has {count} {kind} lines; the most is {MOST_LINES}"
            self.report.add(rules.TOO_MANY, place, fault)
            return None
        if given is not None:
            names = given_lines(given, labels or [str(number) for number in range(count)])
            if names is None or len(names) != count:
                told = "does not name lines" if names is None else f"names {len(names)} lines"
                self.report.add(
                    rules.TABLE_UNCLEAR, place, f"--{kind} {given} {told}, but the table has {count} {kind} lines"
                )
                return None
        elif labels is None:
            return [f"{prefix}{number}" for number in range(count)]
        else:
            named = [line_name(label, prefix) for label in labels]
            names = [name for name in named if name is not None]
            if len(names) < count:
                label = labels[named.index(None)]
                fault = (
                    f"a {kind} line has no name here" if not label else f"{label!r} cannot be the name of a {kind} line"
                )
                self.report.add(rules.TABLE_UNCLEAR, place, f"{fault}; expected letters and digits, such as {prefix}0")
                return None
        for name, times in Counter(names).items():
            if times > 1:
                self.report.add(rules.NAME_TWICE, place, f"{name} is already a name among the {kind} lines")
        return names


def _kind(labels: list[str]) -> str | None:
    """The kind of lines that their names suggest: `sense`, `select`, or None."""
    words = {label.upper().rstrip("0123456789 :.-").strip("/ ") for label in labels}
    if words and words <= SENSE_WORDS:
        return "sense"
    return "select" if words and words <= SELECT_WORDS else None


def _has_mark(text: str, mark: str, word: str) -> bool:
    """Whether the mark is surely a legend of the cell: by its name, or beside another legend."""
    marks = DASHES if mark == "-" else mark
    bare = text.strip()
    if bare.upper() == word.upper():
        return True
    parts = bare.replace("/", " ").split()
    if len(parts) == 1 and len(bare) == 2 and not is_empty(bare):
        parts = list(bare)
    return len(parts) > 1 and any(part in marks for part in parts) and not is_empty(bare)
