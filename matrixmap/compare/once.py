"""Which changes do several layouts share? Each is reported once, with its layouts."""

from __future__ import annotations

from collections import Counter
from collections.abc import Hashable, Iterable, Iterator
from dataclasses import dataclass, replace
from typing import cast

from matrixmap.compare.items.item import SECTION_ORDER, Audience, Item, Part
from matrixmap.compare.layouts import LayoutComparison
from matrixmap.compare.sides.words import Words, join_words, plain, say
from matrixmap.compare.threeway import Clash


@dataclass(frozen=True, slots=True, kw_only=True)
class News:
    """One change with its layouts, in the words of most of them; `others` report it in words with other keys.

    `subject` is the machine, host, adapter or part that it is about, empty for a change of layouts. `layouts` is empty
    for adapters and parts. `broken`: the file of an adapter or part can no longer be read.
    """

    item: Item
    layouts: tuple[str, ...]
    subject: str = ""
    others: int = 0
    broken: bool = False

    @property
    def breaking(self) -> bool:
        """Whether it costs its audience something."""
        return self.item.breaking

    def text(self) -> str:
        """The change in plain words."""
        return plain(self.item.words)


AUDIENCE_ORDER = {audience: number for number, audience in enumerate(Audience)}


def news_of(layouts: Iterable[LayoutComparison]) -> tuple[News, ...]:
    """All changes of layouts, each once: by audience, breaking ones first, then by kind and by number of layouts."""
    cells: dict[Hashable, list[tuple[str, Item]]] = {}
    for layout in layouts:
        for item in layout.items:
            same = item.same or ("words", item.words)
            cell = (_subject(layout, item), item.part, item.section, item.breaking, same)
            cells.setdefault(cell, []).append((layout.name, item))
    found = (_one(cast(tuple[str, ...], cell)[0], some) for cell, some in cells.items())
    return tuple(sorted(_gains_together(found), key=_order))


def _subject(layout: LayoutComparison, item: Item) -> str:
    if item.part is Part.LAYOUT or layout.new is None:
        return ""
    joined = layout.new.layout
    return f"{item.part.value} {joined.machine.id if item.part is Part.MACHINE else joined.host.id}"


def _one(subject: str, some: list[tuple[str, Item]]) -> News:
    """One change in its most common words; if several are equally common, in those of the first layout."""
    counts = Counter(item.words for _, item in some)
    words, times = max(counts.items(), key=lambda cell: cell[1])
    item = next(item for _, item in some if item.words == words)
    names = tuple(dict.fromkeys(name for name, _ in some))
    facts = frozenset(fact for _, other in some for fact in other.facts)
    return News(item=replace(item, facts=facts), layouts=names, subject=subject, others=len(some) - times)


def _gains_together(some: Iterable[News]) -> Iterator[News]:
    """The characters that the same layouts gain, merged into one sentence."""
    gains: dict[tuple[str, ...], list[News]] = {}
    for news in some:
        if isinstance(news.item.same, tuple) and news.item.same[0] == "gained":
            gains.setdefault(news.layouts, []).append(news)
        else:
            yield news
    for layouts, group in gains.items():
        words = say("now can be typed: {}", join_words(news.item.words for news in group))
        texts = tuple(text for news in group for text in news.item.gains)
        facts = frozenset(fact for news in group for fact in news.item.facts)
        item = replace(group[0].item, words=words, gains=texts, facts=facts)
        yield News(item=item, layouts=layouts, others=max(news.others for news in group))


def _order(news: News) -> tuple[int, bool, int, int]:
    item = news.item
    return AUDIENCE_ORDER[item.audience], not item.breaking, SECTION_ORDER[item.section], -len(news.layouts)


def layouts_words(names: tuple[str, ...], most: int = 3) -> Words:
    """Layouts by name, or only their number if there are many."""
    if len(names) > most:
        return (f"{len(names)} layouts",)
    return join_words(names)


@dataclass(frozen=True, slots=True, kw_only=True)
class ClashNews:
    """A clash of two branches, with its layouts."""

    clash: Clash
    layouts: tuple[str, ...]


def clash_news(clashes: Iterable[Clash]) -> tuple[ClashNews, ...]:
    """Clashes, each once."""
    cells: dict[tuple[Words, ...], list[Clash]] = {}
    for clash in clashes:
        cells.setdefault((clash.subject, clash.base, clash.ours, clash.theirs), []).append(clash)
    return tuple(
        ClashNews(clash=some[0], layouts=tuple(dict.fromkeys(clash.layout for clash in some)))
        for some in cells.values()
    )
