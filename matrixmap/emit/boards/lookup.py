"""The rows to look up after typing a whole list of presses, in HTML: where each class of faults differs."""

from __future__ import annotations

from collections.abc import Iterator

from matrixmap.emit.boards.kit_words import answer_html, at_most, class_words, marked, question_words
from matrixmap.emit.texts.language import Texts
from matrixmap.kit.fewest import Fewest
from matrixmap.kit.table import FaultTable

MOST_LISTED = 20
"""The most presses that fit beside each other on paper."""
MOST_LINES = 6
"""The most lines of one class in a row; the rest is counted."""


def lookup_section(table: FaultTable, listed: Fewest, texts: Texts) -> str:
    """The list to type and the rows to look up."""
    key = "list-exact" if listed.is_exact else "list-bound"
    said = texts.say(key, count=len(listed.chosen), bound=listed.at_least)
    heads = "".join(f"<th><kbd>{marked(question_words(texts, table, asks))}</kbd></th>" for asks in listed.chosen)
    right = "".join(f"<td>{_answer(texts, table.healthy[asks])}</td>" for asks in listed.chosen)
    blank = "<td></td>" * len(listed.chosen)
    return (
        f"<section><h2>{marked(texts.say('list'))}</h2><p>{marked(texts.say('list-lead'))} {marked(said)}</p>"
        f'<table class="lookup"><thead><tr>{heads}<th>{marked(texts.say("look"))}</th></tr></thead><tbody>'
        f"<tr>{right}<td>{marked(texts.say('list-right'))}</td></tr>"
        f'<tr class="blank">{blank}<td>{marked(texts.say("list-blank"))}</td></tr>'
        f"{''.join(_rows(table, listed, texts))}</tbody></table></section>"
    )


def _rows(table: FaultTable, listed: Fewest, texts: Texts) -> Iterator[str]:
    """One row per class, those that differ early first; a cell is empty if the expected text appears."""
    right = [table.healthy[asks] for asks in listed.chosen]
    rows = []
    for each in table.classes[1:]:
        shown = [each.answers[asks] for asks in listed.chosen]
        rows.append(([(one == must, one) for one, must in zip(shown, right, strict=True)], each.faults))
    for cells, faults in sorted(rows, key=lambda row: row[0]):
        lines = list(class_words(texts, table.board, faults))
        answers = "".join(f"<td>{'' if fits else _answer(texts, one)}</td>" for fits, one in cells)
        yield f"<tr>{answers}<td>{marked('; '.join(at_most(texts, lines, MOST_LINES)))}</td></tr>"


def _answer(texts: Texts, answer: str) -> str:
    return f"<bdi>{answer_html(texts, answer)}</bdi>"
