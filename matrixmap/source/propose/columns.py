"""Pasted text, cut into rows and columns: by tabs, bars or commas, or where blanks line up."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from matrixmap.model.place import Place
from matrixmap.source import rules
from matrixmap.source.propose.keytops import QUOTED
from matrixmap.source.propose.series import looks_like_lines
from matrixmap.source.report import Report

# Blanks of other widths, and box-drawing lines, as text from a document has them.
_PLAIN = str.maketrans(
    dict.fromkeys("\xa0\u2002\u2003\u2007\u2009\u202f\u3000", " ")
    | dict.fromkeys("│┃║", "|")
    | dict.fromkeys("─━═", "-")
    | dict.fromkeys("┌┬┐├┼┤└┴┘╔╦╗╠╬╣╚╩╝┏┳┓┣╋┫┗┻┛╞╪╡╟╫╢", "+")
)
_RULE = re.compile(r"[\s|+:=\-]*(?:---|===)[\s|+:=\-]*")

TABS, BARS, COMMAS, BLANKS = "tabs", "bars", "commas", "blanks"
BARS_AROUND = "bars on both sides"


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """The text in one column of a line, without blanks around it, and its place in the file."""

    text: str
    place: Place

    @property
    def start(self) -> int:
        """Its first column, counted from 0."""
        return self.place.column - 1

    @property
    def end(self) -> int:
        """The column after its last character, counted from 0."""
        return self.start + len(self.text)


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A line of the text, and its pieces from left to right."""

    line: int
    pieces: tuple[Piece, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """Rows of one length, and the separator of their columns."""

    rows: list[Row]
    form: str


def cut_rows(text: str, file: str, report: Report) -> Cut | None:
    """The rows of a text, all of one length; None after a finding.

    A first line with one piece fewer has an empty corner.
    """
    lines = [
        (number, line.translate(_PLAIN).rstrip(" \r"))
        for number, line in enumerate(text.splitlines(), 1)
        if line.strip()
    ]
    lines = [(number, line) for number, line in lines if not (_RULE.fullmatch(line) and _is_rule(line))]
    if not lines:
        report.add(
            rules.TABLE_UNCLEAR,
            Place(file=file, line=1, column=1),
            "there are only strokes here; expected a row of keys for each line of the matrix",
        )
        return None
    form = _form([line for _, line in lines])
    if form == BLANKS:
        rows = _by_blanks(lines, file, report)
    else:
        rows = [_row(number, line, _cuts(form, line), file, form) for number, line in lines]
    return _even(rows, form, report) if rows is not None else None


def pieces_of_line(line: str, number: int, file: str) -> tuple[Piece, ...]:
    """The pieces of a single line: by tabs, bars or commas, else by two blanks or more, else by single blanks."""
    text = line.translate(_PLAIN).rstrip(" \r")
    form = _form([text])
    if form != BLANKS:
        return _row(number, text, _cuts(form, text), file, form).pieces
    wide = _spans(text, 2)
    return _row(number, text, wide if len(wide) > 1 else _spans(text, 1), file).pieces


def _is_rule(line: str) -> bool:
    """Whether a line only separates rows; `---  ---` is a row of places without keys."""
    return "|" in line or "+" in line or "=" in line or len(line.split()) == 1


def _form(lines: Sequence[str]) -> str:
    if all("\t" in line for line in lines):
        return TABS
    bars = [len(_marks(line, "|")) for line in lines]
    if all(line.lstrip().startswith("|") for line in lines) and min(bars) > 1:
        return BARS_AROUND
    if min(bars) > 0 and len(set(bars)) == 1:
        return BARS
    if all(any(not at or line[at - 1] not in " \t" for at in _marks(line, ",")) for line in lines):
        return COMMAS
    return BLANKS


def _marks(line: str, mark: str) -> list[int]:
    """Where a mark separates columns: not inside quotes, and not a bar after a blank and a backslash."""
    found = []
    at = 0
    while at < len(line):
        quoted = QUOTED.match(line, at) if line[at] in "\"'" and (not at or line[at - 1] in f" \t/{mark}") else None
        if quoted and re.match(rf"\s*(?:$|[{re.escape(mark)}/]|\s\S)", line[quoted.end() :]):
            at = quoted.end()
            continue
        if line[at] == mark and not (mark == "|" and line[max(at - 2, 0) : at] == " \\"):
            found.append(at)
        at += 1
    return found


def _cuts(form: str, line: str) -> list[tuple[int, int]]:
    mark = {TABS: "\t", BARS: "|", BARS_AROUND: "|", COMMAS: ","}[form]
    marks = [at for at, char in enumerate(line) if char == "\t"] if form == TABS else _marks(line, mark)
    spans = list(zip([0, *(at + 1 for at in marks)], [*marks, len(line)], strict=True))
    if form == BARS_AROUND:
        spans = spans[1:]
        if line.rstrip().endswith("|"):
            spans = spans[:-1]
    return spans or [(0, 0)]


def _spans(line: str, gap: int) -> list[tuple[int, int]]:
    """The parts of a line between gaps of at least that many blanks."""
    pattern = rf"\S+(?:[ \t]{{1,{gap - 1}}}(?=\S)\S+)*" if gap > 1 else r"\S+"
    found: list[tuple[int, int]] = []
    at = 0
    while match := re.compile(r"\S").search(line, at):
        # A blank inside quotes does not separate.
        start = match.start()
        quoted = re.compile(r"(?:' '|\" \")(?=\s|/|$)").match(line, start)
        end = quoted.end() if quoted else start
        rest = re.compile(pattern).match(line, end)
        rest_end = end if quoted and not rest else rest.end() if rest else end
        found.append((start, rest_end))
        at = rest_end
    return found


def _row(number: int, line: str, spans: Sequence[tuple[int, int]], file: str, form: str = BLANKS) -> Row:
    pieces = []
    for start, end in spans:
        part = line[start:end]
        left = start + len(part) - len(part.lstrip())
        text = part.strip()
        if form in (BARS, BARS_AROUND) and not QUOTED.fullmatch(text):
            text = re.sub(r"(^|\s)\\\|", r"\1|", text)
        column = (left if text else start) + 1
        pieces.append(Piece(text=text, place=Place(file=file, line=number, column=column)))
    return Row(line=number, pieces=tuple(pieces))


def _by_blanks(lines: Sequence[tuple[int, str]], file: str, report: Report) -> list[Row] | None:
    """Rows in columns separated by blanks, or None after a finding.

    Gaps of two or more blanks separate. Single blanks do so if there are no wider gaps, or if columns line up.
    """
    lines = [(number, line.expandtabs()) for number, line in lines]
    wide, narrow = ([_row(number, line, _spans(line, gap), file) for number, line in lines] for gap in (2, 1))
    if all(len(row.pieces) == 1 for row in wide):
        return narrow
    # A first line that begins right of all other lines has an empty corner.
    side = max((row.pieces[0].end for row in wide[1:]), default=0)
    if wide[0].pieces[0].start >= side > 0:
        wide = [_cornered(wide[0]), *wide[1:]]
    if len({len(row.pieces) for row in wide}) == 1 and (
        _names_columns(wide[0]) or _stand_in_columns(wide) or _has_one_gap(wide)
    ):
        return wide
    aligned = _aligned(wide, side)
    if aligned is not None:
        return aligned
    if len({len(row.pieces) for row in narrow}) == 1 and all(
        len({piece.start for piece in column}) == 1 for column in _columns(narrow)
    ):
        return narrow
    if len({len(row.pieces) for row in wide}) > 1:
        return wide
    crooked = next(column for column in _columns(wide) if not _have_common(column))
    report.add(
        rules.TABLE_UNCLEAR,
        max(crooked, key=lambda piece: piece.start).place,
        "this is not below anything, so its column is not clear; write none where there is no key",
    )
    return None


def _columns(rows: Sequence[Row]) -> list[tuple[Piece, ...]]:
    return list(zip(*(row.pieces for row in rows), strict=True))


def _have_common(column: Sequence[Piece]) -> bool:
    """Whether the pieces of a column line up: all cover one common place."""
    filled = [piece for piece in column if piece.text]
    return not filled or max(piece.start for piece in filled) < min(piece.end for piece in filled)


def _stand_in_columns(rows: Sequence[Row]) -> bool:
    return all(_have_common(column) for column in _columns(rows))


def _names_columns(top: Row) -> bool:
    """Whether a first line names a line for each column, so that a row with as many pieces misses none."""
    return not top.pieces[0].text or looks_like_lines([piece.text for piece in top.pieces[1:]])


def _has_one_gap(rows: Sequence[Row]) -> bool:
    """Whether all gaps are equally wide: blanks then only separate, and nothing is aligned."""
    filled = [[piece for piece in row.pieces if piece.text] for row in rows]
    return len({second.start - first.end for row in filled for first, second in pairwise(row)}) == 1


def _aligned(rows: list[Row], side: int) -> list[Row] | None:
    """Rows with empty pieces wherever a row has nothing below a column of the longest rows; None if that is not clear.

    `side` is the end of the first column if the first line has an empty corner.
    """
    most = max(len(row.pieces) for row in rows)
    longest = [row for row in rows if len(row.pieces) == most]
    columns = _columns(longest)
    spans = [(min(piece.start for piece in column), max(piece.end for piece in column)) for column in columns]
    if not rows[0].pieces[0].text:
        spans[0] = (0, side)
    if most < 2 or not _stand_in_columns(longest) or any(second[0] < first[1] for first, second in pairwise(spans)):
        return None
    found = [row if len(row.pieces) == most else _fitted(row, spans) for row in rows]
    return [row for row in found if row is not None] if None not in found else None


def _fitted(row: Row, spans: Sequence[tuple[int, int]]) -> Row | None:
    pieces: list[Piece] = []
    left = list(row.pieces)
    for start, end in spans:
        if left and left[0].start < end and left[0].end > start:
            pieces.append(left.pop(0))
        else:
            place = Place(file=row.pieces[0].place.file, line=row.line, column=start + 1)
            pieces.append(Piece(text="", place=place))
    clear = not left and all(
        sum(piece.start < end and piece.end > start for start, end in spans) == 1 for piece in row.pieces
    )
    return Row(line=row.line, pieces=tuple(pieces)) if clear else None


def _cornered(row: Row) -> Row:
    place = Place(file=row.pieces[0].place.file, line=row.line, column=1)
    return Row(line=row.line, pieces=(Piece(text="", place=place), *row.pieces))


def _even(rows: list[Row], form: str, report: Report) -> Cut | None:
    """The rows, if all have the same length; else a finding for each row that differs from most."""
    lengths = [len(row.pieces) for row in rows]
    usual = max(set(lengths), key=lambda length: (lengths.count(length), length))
    if len(rows) > 1 and lengths[0] == usual - 1:
        rows = [_cornered(rows[0]), *rows[1:]]
    for row in rows:
        if len(row.pieces) != usual:
            place = row.pieces[min(usual, len(row.pieces) - 1)].place
            report.add(
                rules.TABLE_RAGGED,
                place,
                f"this line has {len(row.pieces)} column{'s' if len(row.pieces) != 1 else ''}, separated by {form}, "
                f"but most have {usual}; write none where there is no key, and put a legend in quotes if it contains "
                f"{_of(form)}",
            )
    return Cut(rows=rows, form=form) if all(len(row.pieces) == usual for row in rows) else None


def _of(form: str) -> str:
    return {TABS: "a tab", BARS: "a bar", BARS_AROUND: "a bar", COMMAS: "a comma"}.get(form, "blanks")
