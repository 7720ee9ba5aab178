"""What changed in the host? What its keys type and print, what Caps Lock does, what dead keys compose."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import cast

from matrixmap.compare.items.item import Item, Part, Proof, Section
from matrixmap.compare.items.strokes import legend_text
from matrixmap.compare.sides.changes import ABSENT, Absent, Change
from matrixmap.compare.sides.facts import Value, legend_value
from matrixmap.compare.sides.held import hold_sets
from matrixmap.compare.sides.outcomes import Press
from matrixmap.compare.sides.pair import Pair, did, does
from matrixmap.compare.sides.words import Words, count_of, join_words, say
from matrixmap.hid.usages import CAPS_LOCK, Usage
from matrixmap.model.host import HostKey
from matrixmap.model.words import usage_name

MOST_PAIRS = 12
"""The most pairs of one accent that are named; beyond that, only their number."""

MOST_KEYS = 12
"""The most keys that are named because of changed print; beyond that, only their number."""


def host_items(pair: Pair) -> Iterator[Item]:
    """Items for all changes of a host."""
    if "host" in pair.another:
        yield _another_host(pair)
        return
    composed: dict[str, list[Change]] = {}
    # A code with two usages, such as Backslash, is one key to the reader.
    seen: dict[Words, tuple[Section, bool, list[Change]]] = {}
    proofs: dict[Words, Proof | None] = {}
    printed: dict[Change, tuple[list[str], list[str]]] = {}
    legends = {change.fact[1]: change for change in pair.changes.facts if change.fact[0] == "print"}
    for change in pair.changes.facts:
        match change.fact[0]:
            case "composes":
                composed.setdefault(str(change.fact[1]), []).append(change)
            case "print":
                seen.setdefault(_print_words(change), (Section.LEGENDS, False, []))[2].append(change)
            case "unprinted":
                on_key = _printed_on(pair, change)
                whole = legends.get(change.fact[1])
                if whole is None or any(on_key):
                    printed[change] = on_key
                else:
                    # A key is added or removed, or an unprinted legend of it: its legends already say so.
                    seen.setdefault(_print_words(whole), (Section.LEGENDS, False, []))[2].append(change)
            case "caps":
                seen.setdefault(_caps_words(change), (Section.LOCKS, _loses_caps(pair, change), []))[2].append(change)
                proofs.setdefault(_caps_words(change), _caps_proof(pair, change))
            case "host":
                seen.setdefault(_field_words(change), (_section(change), False, []))[2].append(change)
    for words, (section, breaking, changes) in seen.items():
        yield replace(_item(pair, section, breaking, words, changes), proof=proofs.get(words) if breaking else None)
    if printed:
        yield _item(pair, Section.LEGENDS, False, _printed_words(printed), list(printed))
    for accent, changes in composed.items():
        yield _item(pair, Section.DEAD_KEYS, False, _composed_words(accent, changes), changes)


HOST_KINDS = ("host", "print", "unprinted", "caps", "composes")


def _another_host(pair: Pair) -> Item:
    """A layout that is now for another keyboard: its different print is not a change of the keyboard."""
    names = pair.old.layout.host.id, pair.new.layout.host.id
    facts = {fact for fact in pair.changed if fact[0] in HOST_KINDS} | {("layout", "host")} & pair.changed.keys()
    return Item(
        part=Part.LAYOUT,
        section=Section.SETTINGS,
        breaking=False,
        words=say("is for another keyboard now: {}, was {}", names[1], names[0]),
        facts=frozenset(facts),
        place=pair.new.layout.place,
    )


def _item(pair: Pair, section: Section, breaking: bool, words: Words, changes: list[Change]) -> Item:
    host = pair.new.layout.host
    place = host.place
    for change in changes:
        if change.fact[0] in ("print", "unprinted", "caps") and Usage(cast(int, change.fact[1])) in host.keys:
            place = host.keys[Usage(cast(int, change.fact[1]))].place
    facts = {change.fact for change in changes}
    if ("host", "id") in facts:
        facts.add(("layout", "host"))
    return Item(part=Part.HOST, section=section, breaking=breaking, words=words, facts=frozenset(facts), place=place)


def _name(change: Change) -> str:
    return usage_name(Usage(cast(int, change.fact[1])))


def _print_words(change: Change) -> Words:
    if change.old is ABSENT:
        return say("new key {}: {}", _name(change), _legends(change.new))
    if change.new is ABSENT:
        return say("the key {} is gone: {}", _name(change), _legends(change.old))
    return say("{}: {}, was {}", _name(change), _legends(change.new), _legends(change.old))


def _legends(value: Value | Absent) -> Words:
    return join_words((legend_text(legend) for legend in cast(tuple[Value, ...], value)), comma=" ", last=" ")


def _printed_on(pair: Pair, change: Change) -> tuple[list[str], list[str]]:
    """The legends newly printed on one key, and those no longer printed; none for a new or removed key."""
    usage = Usage(cast(int, change.fact[1]))
    new, old = (side.layout.host.keys.get(usage) for side in (pair.new, pair.old))
    if new is None or old is None:
        return [], []
    return _printed_here_alone(new, old), _printed_here_alone(old, new)


def _printed_here_alone(key: HostKey, other: HostKey) -> list[str]:
    theirs = {other.legends[level - 1] for level in other.printed}
    ours = [key.legends[level - 1] for level in sorted(key.printed)]
    return [legend_text(legend_value(legend)) for legend in ours if legend not in theirs]


def _printed_words(printed: Mapping[Change, tuple[list[str], list[str]]]) -> Words:
    """The new print and the removed print, key by key if these are few."""
    parts: list[Words] = []
    for number, words in enumerate(("now {}", "no longer {}")):
        # A code with two usages, such as Backslash, is one key to the reader.
        keys = dict.fromkeys((_name(change), *found[number]) for change, found in printed.items() if found[number])
        if len(keys) > MOST_KEYS:
            parts.append(say(words, (f"some legends of {count_of(len(keys), 'key')}",)))
        elif keys:
            listed = [say("{} on {}", join_words(found, comma=" ", last=" "), name) for name, *found in keys]
            parts.append(say(words, join_words(listed, last=", ")))
    return say("what is printed on the keys: {}", join_words(parts or [("the same legends",)], comma="; ", last="; "))


CAPS_WORDS = {
    "shift": "plain with Shift",
    "altgr": "AltGr with Shift+AltGr",
    "both": "plain with Shift, and AltGr with Shift+AltGr",
}


def _caps_words(change: Change) -> Words:
    new, old = (CAPS_WORDS.get(str(value), "nothing") for value in (change.new, change.old))
    return say("Caps Lock on {} swaps {}, swapped {}", _name(change), (new,), (old,))


def _caps_proof(pair: Pair, change: Change) -> Proof | None:
    """A press with Caps Lock on that no longer gives what it gave, if there is one."""
    if pair.played is None or CAPS_LOCK not in pair.locks:
        return None
    for held in hold_sets(pair.altgr):
        press = Press(Usage(cast(int, change.fact[1])), held, CAPS_LOCK)
        before, after = pair.outcome(press)
        if before and before != after:
            usages = pair.played[0].every.usages_of(held)
            words = did(before), does(after)
            return Proof(key=press.usage, held=usages, first=(((), CAPS_LOCK),), before=words[0], after=words[1])
    return None


def _loses_caps(pair: Pair, change: Change) -> bool:
    """Whether some press with Caps Lock on lost what it gave; without tables, whether fewer levels are swapped."""
    if pair.played:
        return _caps_proof(pair, change) is not None
    pairs = {"shift": {1}, "altgr": {2}, "both": {1, 2}}
    new, old = (pairs.get(str(value), set()) for value in (change.new, change.old))
    return not old <= new


def _section(change: Change) -> Section:
    return Section.SETTINGS if change.fact[1] in ("form", "AltGr") else Section.NAMES


def _field_words(change: Change) -> Words:
    new, old = str(change.new), str(change.old)
    match change.fact[1]:
        case "AltGr":
            return ("right Alt is AltGr now" if change.new else "right Alt is no longer AltGr",)
        case "id":
            return say("the host {} is now {}", old, new)
    return say(f"{change.fact[1]} of the host: {{}}, was {{}}", new, old)


def _composed_words(accent: str, changes: list[Change]) -> Words:
    parts: list[Words] = []
    for kind, words in (("new", "new: {}"), ("gone", "gone: {}"), ("other", "changed: {}")):
        some = [change for change in changes if _kind(change) == kind]
        if len(some) > MOST_PAIRS:
            parts.append(say(words, (count_of(len(some), "pair"),)))
        elif some:
            parts.append(say(words, join_words(map(_pair_words, some), last=", ")))
    return say("what {} composes; {}", accent, join_words(parts, comma="; ", last="; "))


def _kind(change: Change) -> str:
    return "new" if change.old is ABSENT else "gone" if change.new is ABSENT else "other"


def _pair_words(change: Change) -> Words:
    result = change.old if change.new is ABSENT else change.new
    return say("{} to {}", str(change.fact[2]), str(result))
