"""What to measure, as rows of a page in HTML: between which pins, the value on a correct board, the fault otherwise."""

from __future__ import annotations

from collections.abc import Iterable

from matrixmap.board.nets import Board
from matrixmap.emit.boards.kit_words import (
    MOST_SHOWN,
    at_most,
    class_words,
    fault_words,
    marked,
    pin_words,
    reading_words,
)
from matrixmap.emit.texts.language import Texts
from matrixmap.kit.meter import Meter

BOX = '<td class="box"></td>'


def rows_table(heads: Iterable[str], rows: Iterable[str]) -> str:
    """A table with a box to tick in front of each row."""
    head = "".join(f"<th>{marked(each)}</th>" for each in heads)
    return f"<table><thead><tr><th></th>{head}</tr></thead><tbody>{''.join(rows)}</tbody></table>"


def row(*cells: str) -> str:
    """A row of such a table."""
    return f"<tr>{BOX}{''.join(f'<td>{cell}</td>' for cell in cells)}</tr>"


def meter_lead(meter: Meter, texts: Texts) -> str:
    """How to measure, and how few measurements there are."""
    shown = {fault for each in meter.measurements for fault in each.shows}
    count = len(meter.measurements)
    key = "meter-lead" if meter.at_least == count else "meter-bound"
    return texts.say(key, count=count, faults=len(shown), bound=meter.at_least)


def meter_rows(board: Board, meter: Meter, texts: Texts) -> str:
    """The measurements, followed by what no meter shows."""
    rows = []
    for each in meter.measurements:
        one, other = (pin_words(texts, board, pin) for pin in each.pins)
        found = list(class_words(texts, board, each.shows))
        rows.append(
            row(
                f"{marked(one)} {marked(texts.say('and'))} {marked(other)}",
                marked(reading_words(texts, each.ohms)),
                marked("; ".join(at_most(texts, found, MOST_SHOWN))),
            )
        )
    table = rows_table((texts.say("between"), texts.say("read"), texts.say("finds")), rows)
    return table + bullets(texts.say("eye"), (fault_words(texts, board, fault) for fault in meter.by_eye))


def bullets(lead: str, lines: Iterable[str]) -> str:
    """Lines below a sentence; empty if there are none."""
    items = "".join(f"<li>{marked(line)}</li>" for line in lines)
    return f"<p>{marked(lead)}</p><ul>{items}</ul>" if items else ""
