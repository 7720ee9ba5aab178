"""Triggers with the same effect in another way: other keys, other demands, or a line that states what held anyway."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import cast

from matrixmap.compare.items.item import Item, Part, Section
from matrixmap.compare.sides.changes import ABSENT, Absent, Change, value_order
from matrixmap.compare.sides.differences import needless
from matrixmap.compare.sides.facts import Fact, Name, Value
from matrixmap.compare.sides.pair import Pair, does, trigger_of
from matrixmap.compare.sides.words import Words, join_words, listed, rendered, say
from matrixmap.hid.usages import Usage
from matrixmap.model.place import Place
from matrixmap.model.plan import Trigger
from matrixmap.model.words import shown


def stroke_items(pair: Pair, told: Iterable[Fact]) -> Iterator[Item]:
    """Items for the changed triggers, pairs and accents that no other item covers; similar ones are merged."""
    known = set(told)
    groups: dict[str, tuple[Words, list[tuple[str, Fact, Place | None]]]] = {}
    for fact, change in pair.changed.items():
        if fact in known or fact[0] not in ("trigger", "pair", "accent", "stand-in", "dead key"):
            continue
        words = _difference(pair, change)
        key = rendered(words, shown)
        groups.setdefault(key, (words, []))[1].append((_subject(pair, fact), fact, _place(pair, fact)))
    for words, cases in groups.values():
        names = listed(dict.fromkeys(name for name, _, _ in cases))
        yield Item(
            part=Part.LAYOUT,
            section=Section.STROKES,
            breaking=False,
            words=say("{}: {}", names, words),
            facts=frozenset(fact for _, fact, _ in cases),
            place=next((place for _, _, place in cases if place), pair.new.layout.place),
            same=("stroke", words),
        )


def _subject(pair: Pair, fact: Fact) -> str:
    match fact:
        case ("pair", str(accent), int(usage), int(level)):
            press = Trigger(usage=Usage(usage), level=level)
            return f"{accent} then {pair.trigger_words(press)}"
        case ("accent", str(accent)):
            return accent
    trigger = trigger_of(fact)
    assert trigger is not None, fact
    return pair.trigger_words(trigger)


def _place(pair: Pair, fact: Fact) -> Place | None:
    trigger = trigger_of(fact)
    return pair.line_of(trigger) if trigger else None


def _difference(pair: Pair, change: Change) -> Words:
    """The difference of a fact with the same outcome, or with an outcome reported elsewhere."""
    kind = change.fact[0]
    if change.old is ABSENT or change.new is ABSENT:
        return _came_or_went(pair, change)
    if kind == "stand-in":
        own, legend = cast(tuple[Value, Value], change.new)
        return say("types {} in place of {}", legend_text(legend), legend_text(own))
    if kind == "dead key":
        return say("is the dead key {}, was {}", str(change.new), str(change.old))
    parts = _stroke_difference(change.old, change.new)
    if parts is None:
        return say("{}, was {}", action_words(change.new), action_words(change.old))
    return join_words(parts, last=", ")


def _came_or_went(pair: Pair, change: Change) -> Words:
    came = change.old is ABSENT
    match change.fact:
        case ("stand-in", *_):
            return ("now has a stand-in of the second host",) if came else ("no longer has a stand-in",)
        case ("accent", *_):
            return ("the machine now types this accent alone",) if came else ("no longer typed alone",)
        case ("dead key", *_):
            return ("now a dead key",) if came else ("no longer a dead key",)
        case ("pair", *_):
            return ("now composes what it also types in another way",) if came else ("no longer composes",)
    trigger = trigger_of(change.fact)
    assert trigger is not None, change.fact
    if pair.played is None:
        return say("now {}", action_words(change.new)) if came else say("no longer {}", action_words(change.old))
    presses = pair.presses_of(trigger)
    press = next((press for press in presses if len(set(pair.outcome(press))) > 1), None)
    if press is None:
        return ("now named, but does the same as before" if came else ("no longer named, but does the same as before"),)
    side = 1 if came else 0
    reason = needless(pair, press, side)
    done = ("does",) if reason else does(pair.outcome(press)[side])
    return ("now " if came else "no longer ", *done, f" as without {reason}" if reason else "")


def _stroke_difference(old: Value | Absent, new: Value | Absent) -> list[Words] | None:
    """What two strokes close and ask differently; None if one of them is not a stroke."""
    if not (isinstance(old, tuple) and isinstance(new, tuple) and old[0] == new[0] == "stroke"):
        return None
    parts: list[Words] = []
    keys = [cast(tuple[Name, ...], stroke[1]) for stroke in (old, new)]
    if keys[0] != keys[1]:
        parts.append(say("now presses {}, was {}", _key_names(keys[1]), _key_names(keys[0])))
    asked = [
        {cast(Name, demand[1]): demand for demand in cast(frozenset[tuple[Value, ...]], stroke[2])}
        for stroke in (old, new)
    ]
    for modifier in sorted({*asked[0], *asked[1]}):
        before, after = asked[0].get(modifier), asked[1].get(modifier)
        if before != after:
            parts.append(say("now {}, was {}", _demand(modifier, after), _demand(modifier, before)))
    if old[3] != new[3] and not parts:
        parts.append(say("its key types {}, typed {}", legend_text(new[3]), legend_text(old[3])))
    return parts


def _key_names(keys: tuple[Name, ...]) -> str:
    return " + ".join(key.text for key in keys) or "no key"


def _demand(modifier: Name, demand: tuple[Value, ...] | None) -> Words:
    if demand is None:
        return say("pass {}", modifier.text)
    if demand[0] == "hold":
        key = cast(Name, demand[2]).text
        return say("hold {}", modifier.text) if key == modifier.text else say("hold {} ({})", modifier.text, key)
    return say("lift {}", modifier.text)


def action_words(action: Value | Absent) -> Words:
    """An action from the facts, in words."""
    match action:
        case ("stroke", tuple(keys), frozenset(demands), _):
            asked = [
                _demand(cast(Name, demand[1]), demand)
                for demand in sorted(cast(frozenset[tuple[Value, ...]], demands), key=value_order)
            ]
            return join_words([say("presses {}", _key_names(cast(tuple[Name, ...], keys))), *asked], last=", ")
        case ("modifier", Name() as modifier, Name() as key):
            return say("is {} ({})", modifier.text, key.text)
        case ("latch", Name() as latch, _, Name() as key):
            return say("works the latch {} ({})", latch.text, key.text)
        case ("command", int(number)):
            return (f"gives command {number}",)
        case ("nothing",):
            return ("does nothing, on purpose",)
    return ("does nothing",)


def legend_text(legend: Value | Absent) -> str:
    """A legend from the facts, as people read it."""
    match legend:
        case ("dead", str(accent)):
            return f"dead {accent}"
        case str(text):
            return text
    return "none"
