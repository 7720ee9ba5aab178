"""A chart of a line's voltages, row by row of the table, against the band between the thresholds.

It is light or dark as the viewer prefers, and a title and a description say what it shows. Verdicts are drawn marks,
not only colours: a tick if everything is certain, a cross if it is surely wrong, a wave if it is uncertain.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil

from matrixmap.emit.pictures.svg import FONTS, element, markup, text_line, wrap
from matrixmap.margins.facts import Facts
from matrixmap.margins.run import Margins
from matrixmap.margins.table import Row, Sure

MARGIN = 24.0
LABELS = 330.0
CHART = 460.0
VERDICTS = 230.0
ENDS = 96.0
ROW = 30.0
BAR = 12.0
WIDTH = 2 * MARGIN + LABELS + CHART + VERDICTS

STYLE = """
text { font-family: %s; fill: #1b1b1b } .small { fill: #4d4d4d } .paper { fill: #ffffff }
.axis { stroke: #b9b9b9; stroke-width: 1 } .edge { stroke: #1b1b1b; stroke-width: 1.5; stroke-dasharray: 5 3 }
.band { fill: #f3d9a4 } .sure { fill: #1f6f43; stroke: #1f6f43 } .unsure { fill: #9a5b00; stroke: #9a5b00 }
.wrong { fill: #b3261e; stroke: #b3261e } .mark { fill: none; stroke-width: 2.5; stroke-linecap: round }
@media (prefers-color-scheme: dark) {
text { fill: #f0f0f0 } .small { fill: #c2c6ca } .paper { fill: #14181c } .axis { stroke: #59616a } .edge { stroke: #f0f0f0 }
.band { fill: #54431c } .sure { fill: #7fd6a4; stroke: #7fd6a4 } .unsure { fill: #ffc46b; stroke: #ffc46b }
.wrong { fill: #ff9d94; stroke: #ff9d94 } .mark { fill: none } }
"""

CLASSES = {Sure.SURE: "sure", Sure.UNSURE: "unsure", Sure.NOT: "wrong"}


def voltages_svg(margins: Margins, layout: str) -> str:
    """The chart of the margins of a board with a layout. The voltages must be known."""
    facts = margins.facts
    assert facts is not None
    board = margins.traced.board
    title = f"Voltages of {board.adapter.title} on {board.machine.title}"
    title += f", {board.fit.revision}" if board.fit.revision else ""
    top = float(ceil(max(float(facts.supply.most), *(float(row.most) for row in margins.rows))))
    y = MARGIN
    parts = [text_line(title, MARGIN, y + 14, WIDTH - 2 * MARGIN, 18, bold=True)]
    y += 30
    for line in _notes(margins, layout):
        for piece in wrap(line, 12, WIDTH - 2 * MARGIN, 4):
            parts.append(text_line(piece, MARGIN, y + 10, WIDTH - 2 * MARGIN, 12, class_="small"))
            y += 17
    y += 24
    height = ROW * len(margins.rows)
    parts += _scale(facts, top, y, height)
    for number, row in enumerate(margins.rows):
        parts += _row(row, top, y + ROW * number + ROW / 2)
    bottom = y + height + 34 + MARGIN
    return (
        element(
            "svg",
            element("title", markup(title), id="title"),
            element("desc", markup(_description(margins)), id="desc"),
            element("style", STYLE % FONTS),
            element("rect", x=0, y=0, width=WIDTH, height=bottom, class_="paper"),
            *parts,
            xmlns="http://www.w3.org/2000/svg",
            width=WIDTH,
            height=bottom,
            viewBox=f"0 0 {WIDTH:g} {bottom:g}",
            role="img",
            aria_labelledby="title desc",
        )
        + "\n"
    )


def _notes(margins: Margins, layout: str) -> Iterator[str]:
    facts = margins.facts
    assert facts is not None
    yield (
        f"With {layout}; contacts: {facts.how}, guard {'on' if margins.guard else 'off'}. Each bar reaches from the "
        "least to the most volts of a line in all corners of all values. A bar that ends in the band may be read "
        "either way."
    )
    if margins.typical and margins.missing:
        yield "USUAL VALUES replace the missing ones; the results are not facts about this board."
    yield f"Source of the machine: {margins.traced.board.machine.source}."


def _description(margins: Margins) -> str:
    """The whole chart as sentences."""
    facts = margins.facts
    assert facts is not None
    found = [
        f"An input surely reads low up to {float(facts.low):g} volts and high from {float(facts.high):g} volts; the "
        "band lies between them."
    ]
    found += [
        f"{row.kind}: {float(row.least):.2f} to {float(row.most):.2f} volts, {row.verdict}." for row in margins.rows
    ]
    return " ".join(found)


def _x(volts: float, top: float) -> float:
    return MARGIN + LABELS + CHART * volts / top


def _scale(facts: Facts, top: float, y: float, height: float) -> Iterator[str]:
    """The band, a line for each volt, and the names of the thresholds."""
    low, high = float(facts.low), float(facts.high)
    yield element("rect", x=_x(low, top), y=y, width=_x(high, top) - _x(low, top), height=height, class_="band")
    step = max(1, ceil(top / 12))
    for tick in range(0, int(top) + 1, step):
        at = _x(tick, top)
        yield element("line", x1=at, y1=y, x2=at, y2=y + height + 4, class_="axis")
        yield text_line(f"{tick} V", at, y + height + 17, 34, 11, anchor="middle", class_="small")
    for volts, words, anchor in ((low, f"low up to {low:g} V", "end"), (high, f"high from {high:g} V", "start")):
        at = _x(volts, top)
        yield element("line", x1=at, y1=y - 4, x2=at, y2=y + height, class_="edge")
        yield text_line(words, at, y - 8, 150, 11, anchor=anchor, class_="small")


def _row(row: Row, top: float, y: float) -> Iterator[str]:
    """A row: its name, the bar, the verdict as a mark and a word, and both ends as numbers."""
    kind = CLASSES[row.sure]
    yield text_line(row.kind, MARGIN, y + 4, LABELS - 16, 13)
    left, right = _x(max(float(row.least), 0.0), top), _x(float(row.most), top)
    yield element("rect", x=left, y=y - BAR / 2, width=max(right - left, 2.0), height=BAR, class_=kind)
    at = MARGIN + LABELS + CHART + 16
    marks = {
        "sure": f"M{at:g} {y:g}l4 5l8 -10",
        "wrong": f"M{at:g} {y - 5:g}l10 10m0 -10l-10 10",
        "unsure": f"M{at:g} {y:g}q3 -7 6 0t6 0",
    }
    yield element("path", d=marks[kind], class_=f"mark {kind}")
    yield text_line(row.verdict, at + 20, y + 4, VERDICTS - ENDS - 36, 13)
    ends = f"{float(row.least):.2f} to {float(row.most):.2f} V"
    yield text_line(ends, WIDTH - MARGIN, y + 4, ENDS, 11, anchor="end", class_="small")
