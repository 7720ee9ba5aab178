"""The most important result of a comparison in one sentence, and the version step that a release needs for it."""

from __future__ import annotations

from collections.abc import Iterator
from enum import IntEnum

from matrixmap.circuit.timing import TICK_US
from matrixmap.compare.comparison import Comparison
from matrixmap.compare.items.item import Audience, Section
from matrixmap.compare.layouts import FELT, LayoutComparison, Status
from matrixmap.compare.once import News, clash_news, layouts_words
from matrixmap.compare.sides.words import Words, count_of, join_words, listed, say

MOST_LOSSES = 2
"""The most losses that the sentence names; beyond that, it gives only their number."""

MOST_TEXTS = 6
"""The most characters that the sentence names in a row."""


def gist(comparison: Comparison) -> Words:
    """The sentence: losses first, then what is new, then whether boards are flashed again."""
    changed = comparison.of_status(Status.CHANGED)
    own = list(_of_changed(comparison, len(changed)))
    if own:
        own[0] = (*layouts_words(tuple(layout.name for layout in changed), 1), ": ", *own[0])
    clauses = [*_of_whole(comparison), *own, *_of_boards(comparison), *_of_new(comparison)]
    if not clauses:
        return ("Nothing changes for anybody.",)
    # If an adapter changed, only its maker knows whether the driver in its firmware did.
    other_board = any(news.breaking and not news.layouts for news in comparison.news)
    if comparison.firmware.flash:
        clauses.append(("flash again",))
    elif not other_board and not comparison.of_status(Status.BROKEN):
        clauses.append(("no need to flash",))
    return join_words(clauses, comma="; ", last="; ")


def _of_whole(comparison: Comparison) -> Iterator[Words]:
    """Layouts that nobody can use any more, and other faults of the change as a whole."""
    broken = comparison.of_status(Status.BROKEN)
    fresh = [layout for layout in broken if layout.new_faults and not layout.old_faults]
    for layouts, words in ((fresh, "cannot be read"), (comparison.of_status(Status.REMOVED), "removed")):
        if layouts:
            yield say(f"{{}} {words}", layouts_words(tuple(layout.name for layout in layouts)))
    if comparison.misnamed:
        yield say("{} not read", listed(comparison.misnamed, 3))
    for name in comparison.filled:
        yield say("{} is gone and the shipped one is used in its place", name)
    if comparison.clashes:
        yield (f"{count_of(len(clash_news(comparison.clashes)), 'thing')} changed on both branches, differently",)


def _of_changed(comparison: Comparison, changed: int) -> Iterator[Words]:
    """The other differences in the changed layouts."""
    for audience, what in ((Audience.TYPIST, "loss"), (Audience.BOARD, "change of the board")):
        yield from _breaking(comparison, changed, audience, what)
    yield from _gains(comparison)
    slower = slower_words(comparison)
    if slower:
        yield slower
    told = any(news.layouts and (news.breaking or news.item.gains) for news in comparison.news) or bool(slower)
    yield from _rest(comparison, changed, quiet=told)


def _of_new(comparison: Comparison) -> Iterator[Words]:
    """New layouts, layouts that can be read again, and what they move."""
    added = comparison.of_status(Status.ADDED)
    if added:
        yield say(f"new layout{'s' if len(added) > 1 else ''}: {{}}", listed((layout.name for layout in added), 3))
    moved = [layout for layout in comparison.layouts if layout.id and layout.old_id not in (None, layout.id)]
    if len(moved) == 1:
        yield say("{} is now {}", str(moved[0].old_id), moved[0].name)
    elif moved:
        yield (f"{len(moved)} layouts have another name",)
    mended = [layout for layout in comparison.of_status(Status.BROKEN) if layout.old_faults and not layout.new_faults]
    if mended:
        yield say("{} can be read again", layouts_words(tuple(layout.name for layout in mended)))
    gone = comparison.firmware.gone
    if gone:
        yield (f"{count_of(len(gone), 'name')} in C {'is' if len(gone) == 1 else 'are'} gone",)
    if comparison.firmware.moved:
        yield (f"{count_of(len(comparison.firmware.moved), 'layout')} at another place in mm_layouts",)


def _of_boards(comparison: Comparison) -> Iterator[Words]:
    """What changed in adapters and parts."""
    boards = [news for news in comparison.news if not news.layouts]
    breaking = [news for news in boards if news.breaking]
    for news in breaking[:MOST_LOSSES]:
        yield news.item.short
    rest = len(breaking) - MOST_LOSSES
    if rest > 0:
        yield (count_of(rest, "more change of adapters and parts", "more changes of adapters and parts"),)
    if boards and not breaking:
        cost = f"cost{'s' if len(boards) == 1 else ''} nobody anything"
        yield (f"{count_of(len(boards), 'change')} of adapters and parts that {cost}",)


def _breaking(comparison: Comparison, changed: int, audience: Audience, what: str) -> Iterator[Words]:
    own = (news for news in comparison.news if news.layouts and news.item.audience is audience)
    losses = list(_clauses_of([news for news in own if news.breaking]))
    losses.sort(key=lambda loss: -len(loss[1]))
    for words, layouts in losses[:MOST_LOSSES]:
        yield (*words, *_in(layouts, changed))
    if len(losses) > MOST_LOSSES:
        rest = len(losses) - MOST_LOSSES
        many = "losses" if what == "loss" else "changes of the board"
        yield (f"{rest} more {what if rest == 1 else many}",)


def _clauses_of(losses: list[News]) -> Iterator[tuple[Words, tuple[str, ...]]]:
    """Each loss with its layouts. If several presses typed a character and none does now, that is one loss."""
    texts: dict[str, list[News]] = {}
    for news in losses:
        if news.item.loses:
            texts.setdefault(news.item.loses, []).append(news)
    for text, some in texts.items():
        if len(some) > 1:
            layouts = dict.fromkeys(name for news in some for name in news.layouts)
            yield say("{} can no longer be typed", text), tuple(layouts)
    for news in losses:
        text = news.item.loses
        if not text or len(texts[text]) == 1:
            yield news.item.short or news.item.words, news.layouts


def _in(layouts: tuple[str, ...], changed: int) -> Words:
    return (f" in {len(layouts)}",) if len(layouts) < changed else ()


def _gains(comparison: Comparison) -> Iterator[Words]:
    """Who gains which characters: `2 gain é`."""
    for news in comparison.news:
        if news.item.gains:
            verb = "gains" if len(news.layouts) == 1 else "gain"
            who = news.layouts[0] if len(news.layouts) == 1 else (str(len(news.layouts)),)
            yield say(f"{{}} {verb} {{}}", who, listed(news.item.gains, MOST_TEXTS))


def slowdowns(comparison: Comparison) -> dict[float, int]:
    """How many milliseconds longer contacts stay closed -> in how many layouts; 0 is left out."""
    found: dict[float, int] = {}
    for layout in comparison.of_status(Status.CHANGED):
        ms = _slowdown(layout)
        if ms:
            found[ms] = found.get(ms, 0) + 1
    return found


def _slowdown(layout: LayoutComparison) -> float:
    assert layout.old
    assert layout.new
    ticks = layout.new.timing.close_ticks - layout.old.timing.close_ticks
    return round(ticks * TICK_US / 1000, 1)


def slower_words(comparison: Comparison) -> Words:
    """How much slower or faster strokes are: `all 20 ms slower`."""
    found = slowdowns(comparison)
    if not found:
        return ()
    changed = len(comparison.of_status(Status.CHANGED))
    who = "all " if sum(found.values()) == changed > 1 else "" if changed == 1 else f"{sum(found.values())} "
    worst = max(found, key=abs)
    most = "up to " if len(found) > 1 else ""
    return (f"{who}{most}{abs(worst):g} ms {'slower' if worst > 0 else 'faster'} a stroke",)


def _rest(comparison: Comparison, changed: int, quiet: bool) -> Iterator[Words]:
    """Changes that cost nobody anything, if there is nothing more to say; then changes for firmware only."""
    others = [
        news
        for news in comparison.news
        if news.layouts and not news.breaking and not news.item.gains and news.item.audience is not Audience.FIRMWARE
    ]
    named = [news for news in others if news.item.short]
    if len(named) == len(others) == 1 and not quiet:
        yield (*named[0].item.short, *_in(named[0].layouts, changed))
    elif others and not quiet:
        yield (f"{count_of(len(others), 'change')} that cost{'s' if len(others) == 1 else ''} nobody anything",)
    names = [news for news in comparison.news if news.item.audience is Audience.FIRMWARE]
    if names and not comparison.firmware.gone and not quiet:
        yield (f"{count_of(len(names), 'name or source', 'names or sources')} changed",)


class Step(IntEnum):
    """The part of a version number that a release raises."""

    NONE = 0
    PATCH = 1
    MINOR = 2
    MAJOR = 3

    @property
    def word(self) -> str:
        """The printed word."""
        return self.name.lower()


def step_of(comparison: Comparison) -> tuple[Step, Words]:
    """The part to raise, with the reason.

    Major: something is breaking for typist, board or firmware. Minor: somebody gains something, or a press without an
    effect of its own now has another one. Patch: tables, times, names or titles changed.
    """
    who = [audience.value for audience in Audience if comparison.breaks(audience)]
    if who:
        return Step.MAJOR, say("breaking for {}: {}", (f"the {' and the '.join(who)}",), gist(comparison))
    added = comparison.of_status(Status.ADDED)
    typist = [news.item for news in comparison.news if news.item.audience is Audience.TYPIST]
    felt = any(item.gains or item.section in (*FELT, Section.KEYS) for item in typist)
    if added or felt:
        return Step.MINOR, gist(comparison)
    if comparison.news or comparison.of_status(Status.BROKEN):
        return Step.PATCH, gist(comparison)
    return Step.NONE, gist(comparison)
