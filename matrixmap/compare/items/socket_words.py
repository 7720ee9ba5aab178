"""What changed at the key connector? Lines on pins, the pin arrangement, what the machine does to lines, and revisions.

None of it changes what a press does: it concerns people who make a board.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import cast

from matrixmap.compare.sides.changes import ABSENT, Absent, Change, value_order
from matrixmap.compare.sides.facts import ELECTRIC_FIELDS, Fact, Facts, Name, Value
from matrixmap.compare.sides.words import Words, count_of, join_words, say

SOCKET_KINDS = ("connector", "pin", "shape", "electric", "value", "closes to", "revision")

Told = tuple[bool, Words, tuple[Fact, ...]]
"""Whether a board made for the old files may be wrong, the change in words, and the facts that the words cover."""


def socket_words(changes: Iterable[Change], machines: Callable[[], tuple[Facts, Facts]]) -> Iterator[Told]:
    """The changes of facts of these kinds, in words; one sentence for anything added or removed as a whole.

    `machines` holds the facts of both machines, the old ones with new names: a revision inherits what it does not
    state.
    """
    some = list(changes)
    kinds: dict[Value, list[Change]] = {}
    for change in some:
        kinds.setdefault(change.fact[0], []).append(change)
    for kind, words in (("pin", _pins_words), ("shape", _shape_words), ("electric", _electric_words)):
        whole = [change for change in kinds.get(kind, []) if ABSENT in (change.old, change.new)]
        if whole and kind == "electric":
            # The ends to which lines close are part of it.
            whole += [change for change in kinds.get("closes to", []) if ABSENT in (change.old, change.new)]
            kinds["closes to"] = [change for change in kinds.get("closes to", []) if change not in whole]
        if whole:
            yield False, words(whole), tuple(change.fact for change in whole)
            kinds[kind] = [change for change in kinds[kind] if change not in whole]
    for change in some:
        if change in kinds[change.fact[0]]:
            told = _revision(change, machines) if change.fact[0] == "revision" else [_one(change)]
            yield from ((breaking, words, (change.fact,)) for breaking, words in told)


def _one(change: Change) -> tuple[bool, Words]:
    about, new, old = change.fact[1], change.new, change.old
    match change.fact[0]:
        case "pin":
            return True, say("pin {} carries {}, carried {}", str(about), _line(new), _line(old))
        case "connector":
            texts = ("none" if value in (ABSENT, None) else str(value) for value in (new, old))
            return True, say("blanked pin of the connector: {}, was {}", *texts)
        case "shape":
            return _shape(str(about), new, old)
        case "electric":
            return _electric(str(about), new, old)
        case "value":
            # The board stays the same: `matrixmap margins` says whether it still has its margins.
            return False, say(f"{VALUE_WORDS[str(about)]}: {{}}, was {{}}", _span(new), _span(old))
    name, ends = cast(Name, about).text, [_end(value) for value in (new, old)]
    if ends[0] != ends[1]:
        return True, say("the switch of the line {} closes to {}, closed to {}", name, *ends)
    stated = "now" if old is ABSENT else "no longer"
    return False, say(f"that the switch of the line {{}} closes to {{}} is {stated} stated", name, ends[0])


def _line(value: Value | Absent) -> str:
    return value.text if isinstance(value, Name) else str(value) if isinstance(value, str) else "nothing"


def _end(value: Value | Absent) -> str:
    """The other end of a direct line's switch; ground if not stated."""
    return "ground" if value is ABSENT else _line(value)


def _pins_words(changes: list[Change]) -> Words:
    came = sum(change.old is ABSENT for change in changes)
    told = [(f"{count_of(came, 'pin')} more",)] if came else []
    gone = len(changes) - came
    told += [(f"{count_of(gone, 'pin')} fewer",)] if gone else []
    return say("the connector is described with {}", join_words(told))


SHAPE_WORDS = {
    "rows": "rows of pins of the connector: {}, was {}",
    "columns": "pins of a row of the connector: {}, was {}",
    "numbering": "pins of the connector are counted: {}, was {}",
    "gender": "the machine's side of the connector is a {}, was a {}",
}
NUMBERING = {"rows": "row by row", "zigzag": "column by column"}


def _shape(field: str, new: Value | Absent, old: Value | Absent) -> tuple[bool, Words]:
    """A change of the pin arrangement. Other rows, counting or gender need another board, and so does less room."""
    if field == "shrouded":
        return bool(new), ("the connector has a shroud now" if new else "the connector no longer has a shroud",)
    if field == "clearance":
        texts = ("not stated" if value is None else str(value) for value in (new, old))
        less = isinstance(new, int) and isinstance(old, int) and new < old
        return less, say("room beside the connector, in widths of a pin: {}, was {}", *texts)
    texts = (NUMBERING.get(str(value), str(value)) for value in (new, old))
    return True, say(SHAPE_WORDS[field], *texts)


def _shape_words(changes: list[Change]) -> Words:
    """The pin arrangement, newly stated or no longer stated."""
    came = changes[0].old is ABSENT
    side = {str(change.fact[1]): change.new if came else change.old for change in changes}
    what = say(
        "{} of {}, counted {}, a {}",
        (count_of(cast(int, side["rows"]), "row"),),
        (count_of(cast(int, side["columns"]), "pin"),),
        (NUMBERING[str(side["numbering"])],),
        (f"{side['gender']}{' in a shroud' if side['shrouded'] else ''}",),
    )
    return say(
        "the places of the connector's pins are now stated: {}"
        if came
        else "the places of the connector's pins are no longer stated; they were {}",
        what,
    )


ELECTRIC_WORDS = {
    "supply_v": "volts of the supply pin: {}, was {}",
    "supply_ma": "milliamperes that the supply pin may give: {}, was {}",
    "line_v": "volts of a line that nothing pulls: {}, was {}",
    "select": "what the machine does to select lines: {}, was {}",
    "sense": "what the machine does to sense lines: {}, was {}",
    "direct": "what the machine does to direct lines: {}, was {}",
}
VALUE_WORDS = {
    "pull_up_ohms": "ohms of the pull-up of a line",
    "pull_up_v": "volts that the pull-ups lead to",
    "driver_low_v": "volts of a strobed line",
    "driver_ohms": "ohms of the driver of a select line",
    "driver_ma": "milliamperes up to which the low voltage of a strobed line is promised",
    "unselected_ohms": "ohms by which select lines that are not strobed are driven high",
    "output_most_ma": "milliamperes that an output tolerates",
    "reads_low_v": "volts up to which an input surely reads low",
    "reads_high_v": "volts from which an input surely reads high",
    "leakage_ua": "microamperes that leak at a line",
    "line_pf": "picofarads of a line",
    "own_key_ohms": "ohms of a closed key of its own keyboard",
    "strobe_end_to_read_us": "microseconds from the end of a strobe to the read of the next line",
}
DRIVES = {"low-only": "pulls them low", "push-pull": "drives them high and low", "input": "reads them"}


def _electric(field: str, new: Value | Absent, old: Value | Absent) -> tuple[bool, Words]:
    """A change of volts, current or drive. A newly stated value makes no board wrong, and neither does more current."""
    if field == "unselected_high":
        words = "driven high now" if new else "no longer driven high"
        return bool(new), (f"select lines that are not strobed are {words}",)
    breaking = new != old and None not in (new, old)
    if field == "supply_ma" and isinstance(new, float | int) and isinstance(old, float | int):
        breaking = new < old
    return breaking, say(ELECTRIC_WORDS[field], _amount(new), _amount(old))


def _amount(value: Value | Absent) -> str:
    if isinstance(value, float | int):
        return f"{value:g}"
    return "not stated" if value in (None, ABSENT) else DRIVES.get(str(value), str(value))


def _span(value: Value | Absent) -> str:
    """A number, or a least and a most."""
    if isinstance(value, tuple) and len(value) == 2:
        least, most = map(_amount, value)
        return least if least == most else f"{least} to {most}"
    return _amount(value)


def _electric_words(changes: list[Change]) -> Words:
    came = changes[0].old is ABSENT
    values = {change.fact[1]: change.new if came else change.old for change in changes if change.fact[0] == "electric"}
    stated = [_stated(field, values[field]) for field in ELECTRIC_FIELDS if values.get(field) not in (None, False)]
    stated += [
        say(
            "the switch of the line {} closes to {}",
            cast(Name, change.fact[1]).text,
            _end(change.new if came else change.old),
        )
        for change in changes
        if change.fact[0] == "closes to"
    ]
    words = "the electrical side is now stated: {}" if came else "the electrical side is no longer stated; it was {}"
    return say(words, join_words(stated, last=", "))


def _stated(field: str, value: Value | Absent) -> Words:
    if field == "unselected_high":
        return ("select lines that are not strobed are driven high",)
    return say(f"{ELECTRIC_WORDS[field].partition(':')[0]}: {{}}", _amount(value))


OWN = (("connector", "pin", "shape"), ("electric", "value", "closes to"))
"""What a revision either states as a whole or inherits from its machine."""


def _revision(change: Change, machines: Callable[[], tuple[Facts, Facts]]) -> Iterator[tuple[bool, Words]]:
    """A revision that was added or removed, or the changes in it."""
    name = str(change.fact[1])
    if change.old is ABSENT or change.new is ABSENT:
        gone = change.new is ABSENT
        yield gone, say("the revision {} is gone" if gone else "new revision {}", name)
        return
    sides = [dict(cast(frozenset[tuple[Fact, Value]], value)) for value in (change.old, change.new)]
    for kinds in OWN:
        states = [any(fact[0] in kinds for fact in side) for side in sides]
        if states[0] != states[1]:
            of = states.index(False)
            sides[of].update((fact, value) for fact, value in machines()[of].items() if fact[0] in kinds)
    facts = sorted({fact for fact, _ in sides[0].items() ^ sides[1].items()}, key=value_order)
    changes = [Change(fact=fact, old=sides[0].get(fact, ABSENT), new=sides[1].get(fact, ABSENT)) for fact in facts]
    for breaking, words, _ in socket_words(changes, machines):
        yield breaking, say("in the revision {}: {}", name, words)
    if not changes:
        yield False, say("the revision {} states the same in another way", name)
