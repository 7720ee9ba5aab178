"""Presses whose outcome changed, and what can be typed or pressed that could not before, or no longer."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from matrixmap.check.reach import reached_contacts
from matrixmap.compare.facts import Fact, Name
from matrixmap.compare.item import Item, Part, Section
from matrixmap.compare.outcomes import LOCK_NAMES, Does, Outcome, with_one_fewer
from matrixmap.compare.pair import Pair, did, does
from matrixmap.compare.words import Words, join_words, listed, say
from matrixmap.join.typed import ease
from matrixmap.model.plan import Trigger, Way
from matrixmap.model.words import usage_name


@dataclass(frozen=True, slots=True, kw_only=True)
class PressChange:
    """Presses whose outcome changed.

    `presses` are one trigger, or more where keys of one name do the same (`Backslash` has two usages); each is a single
    press or a dead key and the next key. `as_before` and `as_after` name the modifier without which a press did or
    does the same, so that holding it meant nothing; None where it means something. `accent` is that of the dead key.
    """

    presses: tuple[Way, ...]
    before: Outcome
    after: Outcome
    as_before: str | None = None
    as_after: str | None = None
    accent: str | None = None

    @property
    def kind(self) -> str:
        """`added`, `removed` or `changed`."""
        if not self.before or self.as_before:
            return "added" if self.after else "changed"
        return "changed" if self.after and not self.as_after else "removed"

    @property
    def breaking(self) -> bool:
        """Whether the press gave the typist something, and now gives something else.

        With a modifier that meant nothing there it gave nothing of its own; Shift alone is the exception, for typists
        hold it on while they go on typing.
        """
        return bool(self.before) and self.as_before in (None, "Shift")


def press_changes(pair: Pair) -> tuple[PressChange, ...]:
    """The presses that do something else than before, the easiest first, each told once.

    A press is not told where one with a modifier fewer has changed in the same way.
    """
    candidates = {*pair.before.telling, *pair.after.telling, *_split_presses(pair)}
    changed = [press for press in candidates if pair.differs(press)]
    found: dict[tuple[object, ...], PressChange] = {}
    for press in sorted(changed, key=ease):
        before, after = pair.outcome(press)
        if any(pair.outcome(other) == (before, after) for other in with_one_fewer(press)):
            continue
        change = PressChange(
            presses=((press,),),
            before=before,
            after=after,
            as_before=pair.needless(press, 0),
            as_after=pair.needless(press, 1),
        )
        _add(found, (usage_name(press.usage), press.level, press.extras, before, after), change)
    return tuple(found.values())


def _split_presses(pair: Pair) -> Iterator[Trigger]:
    """Presses that did as without one modifier and now do as without another: they tell nothing on either side."""
    for press, _ in pair.changed_triggers:
        reasons = pair.needless(press, 0), pair.needless(press, 1)
        if None not in reasons and reasons[0] != reasons[1]:
            yield press


def _add(found: dict[tuple[object, ...], PressChange], key: tuple[object, ...], change: PressChange) -> None:
    other = found.get(key)
    found[key] = replace(other, presses=(*other.presses, *change.presses)) if other else change


def pair_changes(pair: Pair) -> tuple[PressChange, ...]:
    """The pairs of a dead key and the next key that type something else than before."""
    found: dict[tuple[object, ...], PressChange] = {}
    for cell in sorted({*pair.old_pairs, *pair.new_pairs}):
        accent, usage, level = cell
        press = Trigger(usage=usage, level=level)
        before, after = pair.pair_outcome(cell)
        simpler = ((accent, usage, other.level) for other in with_one_fewer(press))
        if before == after or any(pair.pair_outcome(other) == (before, after) for other in simpler):
            continue
        first = pair.dead_key(accent)
        change = PressChange(presses=((first, press),), before=before, after=after, accent=accent)
        _add(found, (accent, usage_name(usage), level, before, after), change)
    return tuple(found.values())


def press_items(pair: Pair, changes: tuple[PressChange, ...]) -> Iterator[Item]:
    """An item for each press that does something else."""
    for change in changes:
        presses = [way[0] for way in change.presses]
        yield Item(
            part=Part.LAYOUT,
            section=Section.LOCKS if Does.LOCK in (change.before.does, change.after.does) else Section.PRESSES,
            breaking=change.breaking,
            words=_press_words(pair, change),
            facts=frozenset(fact for press in presses for fact in _facts_of(pair, press)),
            place=next((place for press in presses if (place := pair.line_of(press))), pair.new.layout.place),
        )


def _facts_of(pair: Pair, press: Trigger) -> Iterator[Fact]:
    """The changed facts that a change of outcome tells: those of the press and of those with more modifiers held."""
    for other, fact in pair.changed_by_usage.get(press.usage, ()):
        if other == press or (_holds_more(other, press) and pair.outcome(other) == pair.outcome(press)):
            yield fact
    lock = ("layout", LOCK_NAMES.get(press.usage, ""))
    if lock in pair.changed:
        yield lock


def _holds_more(press: Trigger, than: Trigger) -> bool:
    return (press.level - 1) | (than.level - 1) == press.level - 1 and press.extras >= than.extras


def _press_words(pair: Pair, change: PressChange) -> Words:
    was = (*did(change.before), f" as without {change.as_before}") if change.as_before else did(change.before)
    now = (*does(change.after), f" as without {change.as_after}") if change.as_after else does(change.after)
    return say("{} {} and now {}{}", pair.way_words(change.presses[0]), was, now, _found_elsewhere(pair, change))


def _found_elsewhere(pair: Pair, change: PressChange) -> Words:
    """Where a character went that was easiest to type with this press."""
    text = change.before.text
    if change.before.does is not Does.TYPES or change.as_before:
        return ()
    if text not in pair.new_ways:
        return say("; {} can no longer be typed", text)
    if pair.old_ways.get(text, ((),))[0] in change.presses:
        return say("; {} is on {}", text, pair.new_way(text))
    return ()


def pair_items(pair: Pair, changes: tuple[PressChange, ...]) -> Iterator[Item]:
    """Items for the pairs of each dead key: one for all that came, one for all that went, one for each other change."""
    kinds: dict[tuple[str, str], list[PressChange]] = {}
    for number, change in enumerate(changes):
        kind = f"changed {number:03}" if change.kind == "changed" else change.kind
        kinds.setdefault((kind, change.accent or ""), []).append(change)
    for (kind, accent), group in sorted(kinds.items()):
        yield Item(
            part=Part.LAYOUT,
            section=Section.DEAD_KEYS,
            breaking=kind != "added",
            words=_pair_words(pair, kind, accent, group),
            facts=frozenset(fact for change in group for fact in _pair_facts(pair, accent, change)),
            place=pair.new.layout.place,
        )


def _pair_words(pair: Pair, kind: str, accent: str, group: list[PressChange]) -> Words:
    if kind == "added":
        return say("the dead key {} now makes {}", accent, _made(pair, [(way.presses[0], way.after) for way in group]))
    if kind == "removed":
        made = _made(pair, [(way.presses[0], way.before) for way in group])
        return say("the dead key {} made {} and no longer does", accent, made)
    change = group[0]
    return say("{} {} and now {}", pair.way_words(change.presses[0]), did(change.before), does(change.after))


def _made(pair: Pair, pairs: list[tuple[Way, Outcome]]) -> Words:
    return join_words(say("{} with {}", outcome.text, pair.press_name(way[1])) for way, outcome in pairs)


def _pair_facts(pair: Pair, accent: str, change: PressChange) -> Iterator[Fact]:
    for way in change.presses:
        for level in range(1, 5):
            cell = accent, way[1].usage, level
            if ("pair", *cell) in pair.changed and pair.pair_outcome(cell) == (change.before, change.after):
                yield ("pair", *cell)


def character_items(pair: Pair, changes: tuple[PressChange, ...]) -> Iterator[Item]:
    """Items for the characters and functions that no way leads to any more, or now does, and for keys likewise.

    What a changed press typed before is told with that press.
    """
    before, after = pair.old_ways, pair.new_ways
    told = {change.before.text for change in changes if change.before.does is Does.TYPES and not change.as_before}
    for text in before:
        if text not in after and text not in told:
            words = say("{} can no longer be typed (it was {})", text, pair.old_way(text))
            yield _reach_item(pair, Section.CHARACTERS, True, words)
    gained = [text for text in after if text not in before]
    if gained:
        ways = join_words(say("{} ({})", text, pair.new_way(text)) for text in gained)
        yield _reach_item(pair, Section.CHARACTERS, False, say("now can be typed: {}", ways))
    lost_keys, new_keys = reach_changes(pair)
    if lost_keys:
        yield _reach_item(pair, Section.KEYS, True, say("no press closes {} any more", listed(lost_keys)))
    if new_keys:
        yield _reach_item(pair, Section.KEYS, False, say("now can be pressed: {}", listed(new_keys)))


def reach_changes(pair: Pair) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Keys of the machine that presses closed and no longer do, and those that they now close, in the new names."""
    names: Mapping[Name, Name] = pair.names
    reached = []
    for plan in (pair.old, pair.new):
        contacts = reached_contacts(plan)
        reached.append([Name("key", key.name) for key in plan.layout.machine.keys if key.contact in contacts])
    before = [names.get(name, name) for name in reached[0]]
    lost = tuple(name.text for name in before if name not in reached[1])
    return lost, tuple(name.text for name in reached[1] if name not in before)


def _reach_item(pair: Pair, section: Section, breaking: bool, words: Words) -> Item:
    place = pair.new.layout.place
    return Item(part=Part.LAYOUT, section=section, breaking=breaking, words=words, facts=frozenset(), place=place)
