"""What changed in the machine? Names, keys and their wiring, what keys type, how it scans, its controllers."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import cast

from matrixmap.compare.items.item import Item, Part, Section
from matrixmap.compare.items.socket_words import SOCKET_KINDS, socket_words
from matrixmap.compare.items.strokes import legend_text
from matrixmap.compare.sides.changes import ABSENT, Absent, Change, renamed_facts
from matrixmap.compare.sides.facts import Fact, Facts, Name, Value, machine_facts
from matrixmap.compare.sides.pair import Pair
from matrixmap.compare.sides.words import Words, count_of, join_words, listed, say
from matrixmap.model.machine import Debounce
from matrixmap.model.place import Place

Told = tuple[Section, bool, Words]
Teller = Callable[[Pair, Change], Iterator[Told]]


def machine_items(pair: Pair) -> Iterator[Item]:
    """Items for all changes of a machine."""
    yield from conflict_items(pair)
    if "machine" in pair.another:
        yield _another_machine(pair)
        return
    yield from _rename_items(pair)
    keys = {change.fact[1]: change for change in pair.changes.facts if change.fact[0] == "key"}
    places: list[Change] = []
    sockets: list[Change] = []
    for change in pair.changes.facts:
        kind = change.fact[0]
        key = keys.get(change.fact[1]) if kind == "types" else None
        if kind == "place":
            places.append(change)
        elif kind in SOCKET_KINDS:
            sockets.append(change)
        elif kind in TELLERS and not (key and ABSENT in (key.old, key.new)):
            for section, breaking, words in TELLERS[kind](pair, change):
                facts: set[Fact] = {change.fact}
                if change.fact == ("machine", "id"):
                    facts.add(("layout", "machine"))
                if kind == "key" and ABSENT in (change.old, change.new):
                    facts |= {fact for fact in pair.changed if fact[0] == "types" and fact[1] == change.fact[1]}
                yield _item(pair, section, breaking, words, facts, change)
    yield from (
        _item(pair, Section.WIRING, breaking, words, facts)
        for breaking, words, facts in socket_words(sockets, lambda: _both_machines(pair))
    )
    if places:
        names = listed(cast(Name, change.fact[1]).text for change in places)
        words = say("drawn in another place: {}", names)
        yield _item(pair, Section.SETTINGS, False, words, [change.fact for change in places])


def _both_machines(pair: Pair) -> tuple[Facts, Facts]:
    """The facts of both machines, the old ones in new names."""
    before, after = (machine_facts(plan.layout.machine) for plan in (pair.old, pair.new))
    return renamed_facts(before, pair.changes.renames), after


MACHINE_KINDS = frozenset(
    [
        "machine",
        "source",
        "key",
        "types",
        "latching",
        "also",
        "option",
        "parallel",
        "modifier",
        "diode",
        "scan",
        "visible",
        "place",
        "connector",
        "pin",
        "shape",
        "electric",
        "value",
        "closes to",
        "revision",
        "wired",
        "switch",
    ]
) | {"in turn"}
WIRED_KINDS = ("key", "diode", "latching", "modifier", "switch", "wired", "machine")


def _another_machine(pair: Pair) -> Item:
    """A layout that now joins another machine."""
    names = pair.old.layout.machine.id, pair.new.layout.machine.id
    facts = {fact for fact in pair.changed if fact[0] in MACHINE_KINDS} | {("layout", "machine")} & pair.changed.keys()
    return Item(
        part=Part.LAYOUT,
        section=Section.WIRING,
        breaking=True,
        words=say("is for another machine now: {}, was {}", names[1], names[0]),
        facts=frozenset(facts),
        place=pair.new.layout.place,
    )


def conflict_items(pair: Pair) -> Iterator[Item]:
    """An item for the machine's key conflicts if their number changed; a check of the machine says which they are."""
    hows = pair.old.contacts, pair.new.contacts
    wired = any(change.fact[0] in WIRED_KINDS for change in pair.changes.facts)
    if not wired and hows[0] is hows[1]:
        return
    sides = (pair.old, hows[0]), (pair.new, hows[1])
    before, after = (pair.conflicts.of(plan.layout.machine, how) for plan, how in sides)
    kinds = ("sets of three that make a phantom", "rectangles that mask", "sets with switches of controllers")
    told = [f"{new} {kind}, were {old}" for old, new, kind in zip(before, after, kinds, strict=True) if old != new]
    if told:
        how = "" if hows[0] is hows[1] else f" (contacts: {hows[1].value}, was {hows[0].value})"
        words = (f"conflicts of the machine's own keys{how}: {'; '.join(told)}",)
        yield _item(pair, Section.TOGETHER, False, words, ())


def _item(
    pair: Pair, section: Section, breaking: bool, words: Words, facts: Iterable[Fact], change: Change | None = None
) -> Item:
    machine = pair.new.layout.machine
    place: Place = machine.place
    if change is not None and change.fact[0] in ("key", "types") and isinstance(change.fact[1], Name):
        named = (key.place for key in machine.keys if key.name == change.fact[1].text)
        place = next(named, place)
    return Item(part=Part.MACHINE, section=section, breaking=breaking, words=words, facts=frozenset(facts), place=place)


def _rename_items(pair: Pair) -> Iterator[Item]:
    for old, new in pair.changes.renames:
        words = say(f"the {old.kind} {{}} is now called {{}}", old.text, new.text)
        yield _item(pair, Section.NAMES, False, words, ())


def _key(pair: Pair, change: Change) -> Iterator[Told]:
    name = cast(Name, change.fact[1]).text
    if change.old is ABSENT:
        words = say("new key {} at {}{}", name, lines_text(change.new), _typed_words(pair, change.fact[1], 1))
        yield Section.KEYS, False, words
    elif change.new is ABSENT:
        words = say("the key {} at {} is gone{}", name, lines_text(change.old), _typed_words(pair, change.fact[1], 0))
        yield Section.KEYS, False, words
    else:
        words = say("the key {} moved from {} to {}", name, lines_text(change.old), lines_text(change.new))
        yield Section.WIRING, True, words


def _typed_words(pair: Pair, key: Value, side: int) -> Words:
    """What an added or removed key types."""
    values = [
        legend_text((change.old, change.new)[side])
        for change in pair.changes.facts
        if change.fact[0] == "types" and change.fact[1] == key
    ]
    return say("; it type{} {}", ("s" if side else "d",), listed(values)) if values else ()


def lines_text(value: Value | Absent) -> str:
    """A contact by its lines: `S0/N3`."""
    names = cast(tuple[Name | None, ...], value)
    return "/".join(name.text for name in names if name)


def _types(pair: Pair, change: Change) -> Iterator[Told]:
    _, key, state = change.fact
    held = cast(frozenset[Name], state)
    order = [modifier.name for modifier in pair.new.layout.machine.modifiers]
    names = sorted((name.text for name in held), key=lambda name: order.index(name) if name in order else len(order))
    where = say("{} with {}", cast(Name, key).text, " + ".join(names)) if names else say("{}", cast(Name, key).text)
    if change.old is ABSENT:
        yield Section.LEGENDS, False, say("{} types {}", where, legend_text(change.new))
    elif change.new is ABSENT:
        yield Section.LEGENDS, False, say("{} types {} no longer", where, legend_text(change.old))
    else:
        yield (
            Section.LEGENDS,
            False,
            say("{} types {}, was {}", where, legend_text(change.new), legend_text(change.old)),
        )


def _also(pair: Pair, change: Change) -> Iterator[Told]:
    _, key, state = change.fact
    held = sorted(name.text for name in cast(frozenset[Name], state))
    where = say("{} with {}", cast(Name, key).text, " + ".join(held)) if held else say("{}", cast(Name, key).text)
    new, old = (
        ("nothing",) if value is ABSENT else listed(map(str, cast(tuple[str, ...], value))) for value in _both(change)
    )
    yield Section.LEGENDS, False, say("further meanings of {}: {}, was {}", where, new, old)


def _option(pair: Pair, change: Change) -> Iterator[Told]:
    new, old = ("every machine" if value is ABSENT else f"the option {value}" for value in _both(change))
    yield Section.KEYS, False, say("the key {} is part of {}, was of {}", cast(Name, change.fact[1]).text, new, old)


def _in_turn(pair: Pair, change: Change) -> Iterator[Told]:
    what = str(change.fact[1])
    if change.old is ABSENT:
        told = say("new: {}: {}", what, str(change.new))
    elif change.new is ABSENT:
        told = say("{} is gone; it was {}", what, str(change.old))
    else:
        told = say("{} is {}, was {}", what, str(change.new), str(change.old))
    yield Section.LEGENDS, False, told


def _latching(pair: Pair, change: Change) -> Iterator[Told]:
    latch = cast(Name, change.fact[1]).text
    new, old = (cast(Name, value).text if value is not ABSENT else "" for value in (change.new, change.old))
    if change.old is ABSENT:
        yield Section.KEYS, False, say("new latch {}, in parallel with {}", latch, new)
    elif change.new is ABSENT:
        yield Section.KEYS, False, say("the latch {} is gone", latch)
    else:
        yield Section.WIRING, True, say("the latch {} is in parallel with {}, was {}", latch, new, old)


def _parallel(pair: Pair, change: Change) -> Iterator[Told]:
    cap = cast(Name, change.fact[1]).text
    new, old = (() if value is ABSENT else _names(value) for value in _both(change))
    if change.old is ABSENT:
        yield Section.KEYS, False, say("new cap {}, which closes {}", cap, new)
    elif change.new is ABSENT:
        yield Section.KEYS, False, say("the cap {} is gone, which closed {}", cap, old)
    else:
        yield Section.WIRING, False, say("the cap {} closes {}, closed {}", cap, new, old)


def _modifier(pair: Pair, change: Change) -> Iterator[Told]:
    name = cast(Name, change.fact[1]).text
    if change.new is ABSENT:
        yield Section.KEYS, False, say("{} is no longer a modifier", name)
    elif change.old is ABSENT:
        yield Section.KEYS, False, say("new modifier {}: {}", name, _names(change.new))
    else:
        yield Section.KEYS, False, say("the modifier {} has the keys {}, had {}", name, *map(_names, _both(change)))


def _both(change: Change) -> tuple[Value | Absent, Value | Absent]:
    return change.new, change.old


def _names(value: Value | Absent) -> Words:
    return listed(name.text for name in cast(tuple[Name, ...], value)) or ("none",)


def _diode(pair: Pair, change: Change) -> Iterator[Told]:
    lines = "/".join(cast(Name, part).text for part in cast(tuple[Value, ...], change.fact[1]))
    verb = "now has a diode" if change.old is ABSENT else "no longer has a diode"
    yield Section.WIRING, False, say("the crosspoint {} {}", lines, (verb,))


SCAN_WORDS = {
    "period_us": ("a scan starts every {} us", "was {}"),
    "sweep_us": ("microseconds that a scan takes: {}", "was {}"),
    "samples_down": ("equal scans that confirm a press: {}", "was {}"),
    "samples_up": ("equal scans that confirm a release: {}", "was {}"),
    "debounce": ("what must be equal in these scans: {}", "was {}"),
    "tolerance_percent": ("these times may be off by {} per cent", "was {}"),
    "rollover": ("keys that the machine can tell apart: {}", "was {}"),
    "repeat_delay_ms": ("a key that stays down repeats after: {} ms", "was {}"),
    "repeat_every_ms": ("and then every: {} ms", "was {}"),
    "strobe_to_read_us": ("from strobe to reading: {} us", "was {}"),
    "more_keys": ("what comes of more keys than that: {}", "was {}"),
    "poll_us": ("from one read of the controllers to the next: {} us", "was {}"),
}

DEBOUNCE_WORDS = {Debounce.KEY.value: "each key by itself", Debounce.WHOLE.value: "the whole scan"}


def _scan(pair: Pair, change: Change) -> Iterator[Told]:
    field = str(change.fact[1])
    now, was = SCAN_WORDS[field]
    numbers = [_scan_value(value) for value in _both(change)]
    if field == "rollover":
        numbers = ["no limit" if number == "not stated" else number for number in numbers]
    words = (now.format(numbers[0]), ", ", was.format(numbers[1]))
    # Whether the machine distinguishes fewer keys than before is found by playing keys held together.
    yield Section.TIMING, False, words


def _scan_value(value: Value | Absent) -> str:
    if isinstance(value, tuple):
        return " or ".join(map(str, value))
    if value is None:
        return "not stated"
    return DEBOUNCE_WORDS.get(str(value)) or f"{cast(float, value):g}"


def _visible(pair: Pair, change: Change) -> Iterator[Told]:
    """Nothing changes for a person who types: this concerns people who test boards by eye."""
    now, was = ("always" if value is ABSENT else str(value) for value in _both(change))
    yield Section.TIMING, False, say("{} shows on the screen: {}, was {}", str(change.fact[1]), now, was)


def _switch(pair: Pair, change: Change) -> Iterator[Told]:
    switch = say("{} {}", cast(Name, change.fact[1]).text, str(change.fact[2]))
    if change.old is ABSENT:
        yield Section.CONTROLLERS, False, say("new switch {} on {}", switch, lines_text(change.new))
    elif change.new is ABSENT:
        yield Section.CONTROLLERS, True, say("the switch {} on {} is gone", switch, lines_text(change.old))
    else:
        new, old = map(lines_text, _both(change))
        yield Section.CONTROLLERS, True, say("the switch {} is on {}, was on {}", switch, new, old)


def _wired(pair: Pair, change: Change) -> Iterator[Told]:
    name = cast(Name, change.fact[1]).text
    if change.old is ABSENT:
        yield Section.CONTROLLERS, False, say("new controller {}, wired: {}", name, str(change.new))
    elif change.new is ABSENT:
        yield Section.CONTROLLERS, True, say("the controller {}, wired: {}, is gone", name, str(change.old))
    else:
        yield Section.CONTROLLERS, True, say("{} is wired: {}, was {}", name, *map(str, _both(change)))


def _source(pair: Pair, change: Change) -> Iterator[Told]:
    name = cast(Name, change.fact[1]).text
    new, old = ("the machine's own" if value is ABSENT else str(value) for value in _both(change))
    yield Section.NAMES, False, say("source of the key {}: {}, was {}", name, new, old)


def _machine(pair: Pair, change: Change) -> Iterator[Told]:
    field = str(change.fact[1])
    match field:
        case "select" | "sense" | "direct":
            yield Section.WIRING, _renumbered(change), _line_words(field, change)
        case "modifiers" | "controllers":
            yield Section.SETTINGS, False, say(f"{field} in order: {{}}, was {{}}", *map(_names, _both(change)))
        case "id":
            yield Section.NAMES, False, say("the machine {} is now {}", str(change.old), str(change.new))
        case "host shift":
            new, old = (value.text if isinstance(value, Name) else "nothing" for value in _both(change))
            yield Section.SETTINGS, False, say("the host's Shift feeds {}, fed {}", new, old)
        case "diodes":
            new, old = map(str, _both(change))
            yield Section.WIRING, False, say("diodes of the machine's own keyboard: {}, was {}", new, old)
        case _:
            yield Section.NAMES, False, say(f"{field} of the machine: {{}}, was {{}}", str(change.new), str(change.old))


def _renumbered(change: Change) -> bool:
    """Whether a line that exists on both sides has another number, by which the adapter's firmware knows it."""
    new, old = (cast(tuple[Name, ...], value) for value in _both(change))
    return any(line in new and new.index(line) != number for number, line in enumerate(old))


def _line_words(field: str, change: Change) -> Words:
    new, old = (cast(tuple[Name, ...], value) for value in _both(change))
    parts = []
    for words, lines in (
        ("new: {}", [line.text for line in new if line not in old]),
        ("gone: {}", [line.text for line in old if line not in new]),
        ("with another number: {}", [line.text for line in old if line in new and new.index(line) != old.index(line)]),
    ):
        if lines:
            parts.append(say(words, listed(lines)))
    return say(f"{count_of(len(new), f'{field} line')}, {{}}", join_words(parts, last=", "))


TELLERS: dict[Value, Teller] = {
    "key": _key,
    "types": _types,
    "latching": _latching,
    "also": _also,
    "option": _option,
    "parallel": _parallel,
    "in turn": _in_turn,
    "modifier": _modifier,
    "diode": _diode,
    "scan": _scan,
    "visible": _visible,
    "wired": _wired,
    "switch": _switch,
    "machine": _machine,
    "source": _source,
}
