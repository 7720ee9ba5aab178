"""Presses with a changed outcome, and what can be typed or pressed only now, or no longer."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from matrixmap.compare.items.item import Item, Part, Proof, Section
from matrixmap.compare.sides.differences import Difference, Differences
from matrixmap.compare.sides.facts import Fact, Name
from matrixmap.compare.sides.held import without_sides
from matrixmap.compare.sides.outcomes import LOCK_NAMES, NO_LOCK, Does, Outcome, Press
from matrixmap.compare.sides.pair import Pair, did, does
from matrixmap.compare.sides.words import Words, join_words, listed, say
from matrixmap.hid.usages import CAPS_LOCK, KEYPAD_DIGITS, NUM_LOCK, Usage
from matrixmap.model.machine import Key
from matrixmap.model.plan import Trigger
from matrixmap.model.press import KeyPress, Way
from matrixmap.model.words import usage_name
from matrixmap.press.keyboard import same_key
from matrixmap.press.table.format import Kind


@dataclass(frozen=True, slots=True, kw_only=True)
class PressChange:
    """Presses with a changed outcome.

    `presses` has one press, or more if keys of one name do the same (`Backslash` has two usages); each is a single
    press or a dead key and the next key. `as_before` and `as_after` name the modifier without which a press did or
    does the same, so that holding it had no meaning; None if it has one. `accent` is that of the dead key,
    `paired` says whether the press was and is a pair with it.
    """

    presses: tuple[Way, ...]
    before: Outcome
    after: Outcome
    as_before: str | None = None
    as_after: str | None = None
    accent: str | None = None
    paired: tuple[bool, bool] = (False, False)

    @property
    def kind(self) -> str:
        """`added`, `removed` or `changed`."""
        if self.accent is not None and self.paired != (True, True):
            return "added" if self.paired[1] else "removed"
        if not self.before or self.as_before:
            return "added" if self.after else "changed"
        return "changed" if self.after and not self.as_after else "removed"

    @property
    def breaking(self) -> bool:
        """Whether the press gave the typist something, and now gives something else.

        With a modifier without meaning, it gave nothing of its own. Shift alone is the exception, because typists hold
        it while they continue to type.
        """
        if self.accent is not None and not self.paired[0]:
            return False
        return bool(self.before) and self.as_before in (None, "Shift")


def press_changes(pair: Pair) -> tuple[PressChange, ...]:
    """The presses with a changed effect, the easiest first, each reported once.

    A press is left out if the same press with one modifier fewer changed in the same way, or, after a lock key, if the
    same press without the lock did.
    """
    if pair.played is None or pair.same_play:
        return ()
    differences = Differences(pair)
    found: list[Difference] = []
    for usage in filter(pair.may_differ, pair.usages):
        found += differences.of_key(usage)
        if usage in KEYPAD_DIGITS and NUM_LOCK in pair.locks:
            found += differences.of_key(usage, NUM_LOCK)
        known = {(some.before, some.after) for some in found if some.press.usage == usage}
        for lock in pair.locks_for(usage):
            # What Caps Lock swaps on the key is reported for the host.
            if lock != CAPS_LOCK or ("caps", usage) not in pair.changed:
                some = [each for each in differences.of_key(usage, lock) if (each.before, each.after) not in known]
                known |= {(each.before, each.after) for each in some}
                found += some
    return _merged(pair, found, None)


def pair_changes(pair: Pair) -> tuple[PressChange, ...]:
    """The pairs of a dead key and the next key that type something else than before."""
    if pair.played is None or pair.same_play:
        return ()
    differences = Differences(pair)
    changes: list[PressChange] = []
    for accent in sorted({accent for side in pair.played for accent in side.accents}):
        found = [each for usage in _paired(pair, accent) for each in differences.of_pairs(accent, usage)]
        # Naming the dead key requires every press of both sides.
        changes += _merged(pair, found, accent) if found else ()
    return tuple(changes)


def _paired(pair: Pair, accent: str) -> list[Usage]:
    """The keys with a press that was or is a pair with a dead key."""
    return sorted({usage for side in pair.played or () for usage in side.paired(accent)})


def _merged(pair: Pair, found: Iterable[Difference], accent: str | None) -> tuple[PressChange, ...]:
    """Differences as changes; equal ones from two usages of one key are merged."""
    merged: dict[tuple[object, ...], PressChange] = {}
    first = (dead_key(pair, accent),) if accent is not None else ()
    presses = ((some, pair.key_press(some.press, some.either)) for some in found)
    for some, press in sorted(presses, key=lambda each: _ease(each[1])):
        key = (usage_name(press.usage), *some.press[1:], *some[1:])
        change = PressChange(
            presses=((*first, press),),
            before=some.before,
            after=some.after,
            as_before=some.as_before,
            as_after=some.as_after,
            accent=accent,
            paired=some.paired,
        )
        other = merged.get(key)
        merged[key] = replace(other, presses=(*other.presses, *change.presses)) if other else change
    return tuple(merged.values())


def _ease(press: KeyPress) -> tuple[object, ...]:
    keypad = usage_name(press.usage).startswith("Numpad")
    locks = [usage for usage in press.on if usage != NUM_LOCK]
    _, _, extras = press.trigger.sort_key()
    return len(press.extras), locks, keypad, press.level, same_key(press.usage)[0], extras, not press.usual, press.hold


def dead_key(pair: Pair, accent: str) -> KeyPress:
    """The easiest dead key of an accent that both plans have, else the easiest that one of them has."""
    sets: dict[Usage, list[int]] = {}
    for press in sorted(pair.dead_keys(accent)):
        sets.setdefault(press.usage, []).append(press.held)
    presses = (
        pair.key_press(Press(usage, held), either)
        for usage, some in sets.items()
        for held, either in without_sides(some, pair.altgr)
    )
    return min(presses, key=_ease)


def press_items(pair: Pair, changes: tuple[PressChange, ...]) -> Iterator[Item]:
    """An item for each press with a changed effect."""
    for change in changes:
        presses = [way[0] for way in change.presses]
        locks = Does.LOCK in (change.before.does, change.after.does)
        yield Item(
            part=Part.LAYOUT,
            section=Section.LOCKS if locks else Section.PRESSES,
            breaking=change.breaking,
            words=_press_words(pair, change),
            same=_same(pair, change),
            short=_short_words(pair, change),
            loses=_lost_text(pair, change) or "",
            proof=proof_of(change),
            facts=frozenset(fact for press in presses for fact in _facts_of(pair, change, press)),
            place=next((place for press in presses if (place := pair.line_of(press.trigger))), pair.new.layout.place),
        )


def _facts_of(pair: Pair, change: PressChange, press: KeyPress) -> Iterator[Fact]:
    """The changed facts that a changed outcome covers: those of the press, and of presses with more modifiers held."""
    own = press.trigger
    for other, fact in pair.changed_by_usage.get(press.usage, ()):
        if other == own or (_holds_more(other, own) and _changes_alike(pair, change, other)):
            yield fact
    lock = ("layout", LOCK_NAMES.get(press.usage, ""))
    if lock in pair.changed:
        yield lock


def _changes_alike(pair: Pair, change: PressChange, other: Trigger) -> bool:
    return any(pair.outcome(press) == (change.before, change.after) for press in pair.presses_of(other))


def _holds_more(press: Trigger, than: Trigger) -> bool:
    return (press.level - 1) | (than.level - 1) == press.level - 1 and press.extras >= than.extras


def _press_words(pair: Pair, change: PressChange) -> Words:
    was = (*did(change.before), f" as without {change.as_before}") if change.as_before else did(change.before)
    now = (*does(change.after), f" as without {change.as_after}") if change.as_after else does(change.after)
    return say("{} {} and now {}{}", pair.way_words(change.presses[0]), was, now, _found_elsewhere(pair, change))


def _same(pair: Pair, change: PressChange) -> Hashable:
    """Equal for one change in several layouts, even if the print of the keys or other keys for the old text differ."""
    ways = tuple(tuple((press.usage, press.hold, press.on) for press in way) for way in change.presses)
    lost = _lost_text(pair, change)
    return "press", ways, change.before, change.after, change.as_before, change.as_after, lost


def _lost_text(pair: Pair, change: PressChange) -> str | None:
    """The text that a press typed and that no press types any more."""
    text = change.before.text if change.before.does is Does.TYPES and not change.as_before else None
    return text if text is not None and text not in pair.new_ways else None


def _short_words(pair: Pair, change: PressChange) -> Words:
    """A change for a headline: `Pause no longer types Attention`."""
    press = pair.way_words(change.presses[0])
    if change.breaking and change.before.does is Does.TYPES and not change.after:
        return say("{} no longer types {}", press, change.before.text)
    if not change.before or change.as_before:
        return say("{} {} now", press, does(change.after))
    if change.before.does is change.after.does is Does.TYPES:
        return say("{} types {}, not {}", press, change.after.text, change.before.text)
    return say("{} {} and now {}", press, did(change.before), does(change.after))


def proof_of(change: PressChange) -> Proof:
    """The witness of a change: the easiest of its presses."""
    *dead, press = change.presses[0]
    locks = [((), usage) for usage in press.on]
    first = (*locks, *((each.hold, each.usage) for each in dead))
    words = did(change.before), does(change.after)
    return Proof(key=press.usage, held=press.hold, first=tuple(first), before=words[0], after=words[1])


def _found_elsewhere(pair: Pair, change: PressChange) -> Words:
    """Where a character is now that was easiest to type with this press."""
    text = change.before.text
    if change.before.does is not Does.TYPES or change.as_before:
        return ()
    if text not in pair.new_ways:
        return say("; {} can no longer be typed", text)
    easiest = pair.old_ways[text][0] if text in pair.old_ways else ()
    if _keys_of(easiest) in map(_keys_of, change.presses):
        return say("; {} is on {}", text, pair.new_way(text))
    return ()


def _keys_of(way: Way) -> list[tuple[object, ...]]:
    return [(press.usage, press.hold, press.on) for press in way]


def pair_items(pair: Pair, changes: tuple[PressChange, ...]) -> Iterator[Item]:
    """Items for the pairs of each dead key: one for all new ones, one for all removed ones, one per other change."""
    kinds: dict[tuple[str, str], list[PressChange]] = {}
    for number, change in enumerate(changes):
        made = change.after if change.kind == "added" else change.before
        other = change.paired != (True, True) and change.before.text != change.after.text
        alike = other and made.does is Does.TYPES
        kind = change.kind if alike else f"changed {number:03}"
        kinds.setdefault((kind, change.accent or ""), []).append(change)
    for (kind, accent), group in sorted(kinds.items()):
        yield Item(
            part=Part.LAYOUT,
            section=Section.DEAD_KEYS,
            breaking=any(change.breaking for change in group),
            words=_pair_words(pair, kind, accent, group),
            same=("pairs", kind.split(" ")[0], accent, tuple(_same(pair, change) for change in group)),
            loses=(_lost_text(pair, group[0]) or "") if len(group) == 1 else "",
            proof=proof_of(next((change for change in group if change.breaking), group[0])),
            facts=frozenset(fact for change in group for fact in _pair_facts(pair, accent, change)),
            place=pair.new.layout.place,
        )


def _pair_words(pair: Pair, kind: str, accent: str, group: list[PressChange]) -> Words:
    change = group[0]
    stays = all(accent in side.accents for side in pair.played or ())
    if kind == "added":
        return say("the dead key {} now makes {}", accent, _made(pair, [(way.presses[0], way.after) for way in group]))
    if kind == "removed" and not (stays and len(group) == 1):
        made = _made(pair, [(way.presses[0], way.before) for way in group])
        return say("the dead key {} made {} and no longer does", accent, made)
    elsewhere = _found_elsewhere(pair, change)
    return say(
        "{} {} and now {}{}", pair.way_words(change.presses[0]), did(change.before), does(change.after), elsewhere
    )


def _made(pair: Pair, pairs: list[tuple[Way, Outcome]]) -> Words:
    return join_words(say("{} with {}", outcome.text, pair.press_name(way[1])) for way, outcome in pairs)


def _pair_facts(pair: Pair, accent: str, change: PressChange) -> Iterator[Fact]:
    for way in change.presses:
        for level in range(1, 5):
            fact = "pair", accent, way[1].usage, level
            if fact in pair.changed and _pairs_alike(pair, change, Trigger(usage=way[1].usage, level=level)):
                yield fact


def _pairs_alike(pair: Pair, change: PressChange, trigger: Trigger) -> bool:
    results = (pair.after_dead_key(press, change.accent or "") for press in pair.presses_of(trigger))
    return any(both == (change.before, change.after) for both, _ in results)


def accent_items(pair: Pair) -> Iterator[Item]:
    """Items for the changed accents before a key without a pair."""
    if pair.played is None or pair.same_play:
        return
    before, after = pair.played
    for accent in before.accents:
        both = before.alone(accent), after.alone(accent)
        if accent in after.accents and both[0] != both[1]:
            words = say(
                "the dead key {} before a key with which it makes nothing {} and now {}",
                accent,
                did(both[0]),
                does(both[1]),
            )
            yield Item(
                part=Part.LAYOUT,
                section=Section.DEAD_KEYS,
                breaking=bool(both[0]),
                words=words,
                facts=frozenset({("accent", accent)} & pair.changed.keys()),
                place=pair.new.layout.place,
            )


def character_items(pair: Pair, changes: tuple[PressChange, ...]) -> Iterator[Item]:
    """Items for the characters and functions that can no longer be typed, or only now, and for keys likewise.

    What a changed press typed before is reported with that press.
    """
    if pair.played is None:
        return
    before, after = pair.old_ways, pair.new_ways
    told = {change.before.text for change in changes if change.before.does is Does.TYPES and not change.as_before}
    for text in before:
        if text not in after and text not in told:
            words = say("{} can no longer be typed (it was {})", text, pair.old_way(text))
            short = say("{} can no longer be typed", text)
            proof = _way_proof(pair, before[text][0], ("typed ", *say("{}", text)))
            item = _reach_item(pair, Section.CHARACTERS, True, words)
            yield replace(item, same=("lost", text), short=short, loses=text, proof=proof)
    for text in after:
        if text not in before:
            item = _reach_item(pair, Section.CHARACTERS, False, say("{} ({})", text, pair.new_way(text)))
            yield replace(item, same=("gained", text), gains=(text,))
    lost, needless, new_keys = reach_changes(pair)
    if lost:
        item = _reach_item(pair, Section.KEYS, True, say("no press closes {} any more", listed(lost)))
        yield replace(item, proof=_closing_proof(pair, lost[0]))
    if needless:
        words = say("no press closes {} any more; other keys do the same", listed(needless))
        yield _reach_item(pair, Section.KEYS, False, words)
    if new_keys:
        yield _reach_item(pair, Section.KEYS, False, say("now can be pressed: {}", listed(new_keys)))


def _way_proof(pair: Pair, way: Way, was: Words) -> Proof:
    """The witness that an old way now does something else."""
    assert pair.played
    *dead, press = way
    first = (*(((), usage) for usage in press.on), *((each.hold, each.usage) for each in dead))
    # If the way begins with a dead key, the pending accent depends on the whole way.
    lock = press.on[0] if press.on else NO_LOCK
    outcome = pair.played[1].of(Press(press.usage, pair.played[1].every.mask_of(press.hold), lock))
    after = ("no longer does",) if dead else does(outcome)
    return Proof(key=press.usage, held=press.hold, first=tuple(first), before=was, after=after)


def _closing_proof(pair: Pair, key: str) -> Proof | None:
    """A press that closed a key of the machine; `key` is its new name."""
    assert pair.played
    before, after = pair.played
    machine = before.plan.layout.machine
    contact = next((some.contact for some in machine.keys if pair.new_key_name(some.name) == key), None)
    if contact is None:
        return None
    for pressed in before.every.single:
        done = pressed.done
        latch = done.kind is Kind.LATCH
        closes = before.rules.compiled.mask_of(done.value) if latch else done.closed | done.modifiers
        if closes >> contact & 1 and done.refused is None and not pressed.locks:
            held = before.every.classes[pressed.hold].sets[0]
            press = Press(pressed.key.usage, held)
            words = say("closed {}", key), does(after.of(press))
            return Proof(key=press.usage, held=before.every.usages_of(held), before=words[0], after=words[1])
    return None


def reach_changes(pair: Pair) -> tuple[list[str], list[str], list[str]]:
    """Keys of the machine that presses no longer close, and those that they close only now, by their new names.

    Of the keys that presses no longer close, those that the typist misses are first: no other key types what they
    typed, or is the same modifier.
    """
    if pair.played is None or pair.same_play:
        return [], [], []
    names: Mapping[Name, Name] = pair.names
    reached = [
        {Name("key", key.name): key for key in side.plan.layout.machine.keys if side.closed >> key.contact & 1}
        for side in pair.played
    ]
    before = {names.get(name, name): key for name, key in reached[0].items()}
    gone = {name.text: key for name, key in before.items() if name not in reached[1]}
    missed = [text for text, key in gone.items() if _is_missed(pair, key, reached[1])]
    needless = [text for text in gone if text not in missed]
    return missed, needless, [name.text for name in reached[1] if name not in before]


def _is_missed(pair: Pair, key: Key, reached: Mapping[Name, Key]) -> bool:
    """Whether the typist loses something with a key of the old machine that no press closes any more."""
    modifier = pair.old.layout.machine.modifier_of(key.name)
    if modifier is not None:
        name = pair.names.get(Name("modifier", modifier), Name("modifier", modifier)).text
        same = (each.keys for each in pair.new.layout.machine.modifiers if each.name == name)
        return not any(Name("key", other) in reached for keys in same for other in keys)
    texts = {legend.text for legend in key.types.values()} & pair.old_ways.keys()
    return not texts or not texts <= pair.new_ways.keys()


def _reach_item(pair: Pair, section: Section, breaking: bool, words: Words) -> Item:
    place = pair.new.layout.place
    return Item(part=Part.LAYOUT, section=section, breaking=breaking, words=words, facts=frozenset(), place=place)
