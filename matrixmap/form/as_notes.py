"""A comparison as release notes in Markdown, for people who type: grouped by what changed, without findings."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from matrixmap.compare.comparison import Comparison
from matrixmap.compare.gist import gist, slower_words
from matrixmap.compare.items.item import Audience, Section
from matrixmap.compare.layouts import Status
from matrixmap.compare.once import News, layouts_words
from matrixmap.compare.sides.words import Quoted, plain
from matrixmap.form.as_markdown import code, words_text
from matrixmap.form.comparison import CAUTION, needs_caution
from matrixmap.model.plan import Plan

MOST_NAMED = 12
"""The most layouts that a line names; if there are more, it only gives their number."""


def notes_report(comparison: Comparison) -> str:
    """The notes; one sentence if nothing changes for anybody who types."""
    lines = [f"## {words_text(gist(comparison))}"]
    for title, rows in _sections(comparison):
        if rows:
            lines += ["", f"### {title}", "", *(f"- {row}" for row in rows)]
    return "\n".join(lines) + "\n"


def _sections(comparison: Comparison) -> Iterator[tuple[str, list[str]]]:
    typist = [news for news in comparison.news if news.item.audience is Audience.TYPIST]
    board = [news for news in comparison.news if news.item.audience is Audience.BOARD and news.breaking]
    yield "New layouts", [f"{code(layout.name)}: {_title(layout.new)}" for layout in comparison.of_status(Status.ADDED)]
    yield "Layouts that are gone", [code(layout.name) for layout in comparison.of_status(Status.REMOVED)]
    yield "What you lose", _rows(typist, lambda news: news.breaking)
    yield "What you gain", _rows(typist, _is_gain)
    felt = (Section.PRESSES, Section.DEAD_KEYS, Section.LOCKS, Section.TOGETHER)
    yield (
        "What else is different at the keys",
        _rows(typist, lambda news: not news.breaking and not _is_gain(news) and news.item.section in felt),
    )
    slower = slower_words(comparison)
    yield "How fast it is", [words_text(slower)] if slower else []
    yield (
        "If you build or wire an adapter",
        [*map(_row, board), *([CAUTION] if needs_caution(comparison) and board else [])],
    )
    if comparison.of_status(Status.CHANGED, Status.ADDED, Status.REMOVED):
        flash = "Flash your adapter again." if comparison.firmware.flash else "Your adapter stays as it is."
        yield "What to do", [flash]


def _is_gain(news: News) -> bool:
    """Whether something can be typed that could not be typed before, or a press does something that did nothing."""
    proof = news.item.proof
    return bool(news.item.gains) or (not news.breaking and proof is not None and plain(proof.before) == "did nothing")


def _title(plan: Plan | None) -> str:
    assert plan is not None
    return words_text((Quoted(plan.layout.title),))


def _rows(some: list[News], wanted: Callable[[News], bool]) -> list[str]:
    return [_row(news) for news in some if wanted(news)]


def _row(news: News) -> str:
    more = f", in {news.others} of them in other words" if news.others else ""
    if not news.layouts:
        return words_text(news.item.short)
    return f"{words_text(news.item.words)} ({words_text(layouts_words(news.layouts, MOST_NAMED))}{more})"
