"""What changed in a layout other than its triggers? Join, guard, times, acceptances, names."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from matrixmap.circuit.timing import TICK_US
from matrixmap.compare.items.item import Item, Part, Section
from matrixmap.compare.sides.changes import ABSENT, Change
from matrixmap.compare.sides.facts import Fact
from matrixmap.compare.sides.pair import Pair
from matrixmap.compare.sides.words import Words, join_words, say
from matrixmap.model.layout import Contacts

TIMES = {"close": "contacts stay closed", "open": "contacts stay open", "lead": "modifiers lead by"}


def layout_items(pair: Pair, told: Iterable[Fact]) -> Iterator[Item]:
    """Items for the changes of a layout that no other item covers."""
    known = set(told)
    times = []
    for change in pair.changes.facts:
        if change.fact in known:
            continue
        match change.fact:
            case ("layout", str(field)) if field in TIMES:
                times.append(change)
            case ("layout", str(field)):
                # A title that follows its machine's or host's title is one change in many layouts.
                item = _item(pair, *_field(field, change), [change])
                yield replace(item, same=("title",)) if field == "title" else item
            case ("accept", str(slug)):
                yield _item(pair, Section.SETTINGS, False, _accept_words(slug, change), [change])
            case ("command name", int(number)):
                new, old = ("none" if value is ABSENT else str(value) for value in (change.new, change.old))
                words = say("the name in C of command {} is {}, was {}", (str(number),), new, old)
                yield _item(pair, Section.NAMES, False, words, [change])
            case ("pad", str(what)):
                new, old = ("nothing" if value is ABSENT else str(value) for value in (change.new, change.old))
                yield _item(pair, Section.SETTINGS, False, say("pads: {}: {}, was {}", what, new, old), [change])
    if times:
        words = join_words((_time_words(change) for change in times), last=", ")
        yield _item(pair, Section.TIMING, False, words, times)


def _item(pair: Pair, section: Section, breaking: bool, words: Words, changes: list[Change]) -> Item:
    facts = frozenset(change.fact for change in changes)
    place = pair.new.layout.place
    if len(changes) == 1 and changes[0].fact[0] == "accept":
        lines = (line.place for line in pair.new.layout.accept if line.slug == changes[0].fact[1])
        place = next(lines, place)
    return Item(part=Part.LAYOUT, section=section, breaking=breaking, words=words, facts=facts, place=place)


def _field(field: str, change: Change) -> tuple[Section, bool, Words]:
    new, old = str(change.new), str(change.old)
    match field:
        case "id":
            return Section.NAMES, False, say("the layout {} is now {}", old, new)
        case "title":
            return Section.NAMES, False, say("title: {}, was {}", new, old)
        case "machine" | "host":
            return Section.NAMES, False, say(f"joins the {field} {{}}, was {{}}", new, old)
        case "stand in":
            return Section.SETTINGS, False, say("stand-in host: {}, was {}", _or_none(new), _or_none(old))
        case "guard":
            words = "the phantom guard is on now" if change.new else "the phantom guard is off now"
            return Section.SETTINGS, False, (words,)
        case "resume":
            words = "comes back when" if change.new else "no longer comes back when"
            return (
                Section.SETTINGS,
                False,
                (f"a key that was opened for a newer one {words} the newer one is released",),
            )
        case "keyboards":
            apart = change.new == "apart"
            words = "count for its own keys only" if apart else "count for keys of all keyboards"
            return Section.SETTINGS, False, (f"Shift and the other modifiers of a keyboard {words}",)
        case "Caps Lock" | "Num Lock":
            verb = "is now" if change.new else "is no longer"
            return Section.LOCKS, False, (f"{field} {verb} kept by the adapter",)
        case "contacts":
            # Even if the board has diodes, plain switches are reported as such: it works, but could do more.
            words_of_board = say("contacts: {}, was {}; the board must have them", new, old)
            plain = new == Contacts.SWITCH.value and old == Contacts.SWITCH_WITH_DIODE.value
            return Section.WIRING, not plain, say("contacts: {}, was {}", new, old) if plain else words_of_board
    return Section.SETTINGS, False, say(f"{field}: {{}}, was {{}}", new, old)


def _or_none(text: str) -> str:
    return "none" if text == "None" else text


def _time_words(change: Change) -> Words:
    new, old = (float(str(value)) * TICK_US / 1000 for value in (change.new, change.old))
    return (f"{TIMES[str(change.fact[1])]} {new:.1f} ms, was {old:.1f}",)


def _accept_words(slug: str, change: Change) -> Words:
    if change.new is ABSENT:
        return say("no longer accepts {} ({})", slug, str(change.old))
    if change.old is ABSENT:
        return say("accepts {}: {}", slug, str(change.new))
    return say("accepts {}: {}, was {}", slug, str(change.new), str(change.old))
