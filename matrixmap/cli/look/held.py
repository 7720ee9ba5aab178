"""Keys held together, as text and as JSON."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from textwrap import fill
from typing import TYPE_CHECKING

import typer

from matrixmap.check.engine.holding import Fate, Group, HeldKey, Holding, PhantomCause, Status
from matrixmap.hid.usages import BOOT_KEYS, MODIFIER_BITS
from matrixmap.model.words import key_name, shown, usage_name
from matrixmap.press.compiled import bits
from matrixmap.press.rules import Cause, Does

if TYPE_CHECKING:
    from matrixmap.check.cures import Held
    from matrixmap.model.machine import Contact, Machine

WIDTH = 80
MOST_TOLD = 4
"""The most outcomes and causes of each kind in the short report."""

RULES = {
    Cause.PHANTOM: "guard",
    Cause.ROLLOVER: "rollover",
    Cause.CONTACT: "same contact",
    Cause.MODIFIERS: "modifiers",
}
"""Why a stroke is not closed: the names of the rules."""

Row = dict[str, object]


class HeldWords:
    """Words for keys held together."""

    def __init__(self, held: Held) -> None:
        from matrixmap.model.words import printed_name
        from matrixmap.press.words import held_word, holding_words

        self.machine = held.plan.layout.machine
        host = held.plan.layout.host
        self.keys = held.holding.keys
        self.names = []
        for key in self.keys:
            modifier = key.usage in MODIFIER_BITS
            last = held_word(host, key.usage) if modifier else printed_name(host, key.usage)
            self.names.append(shown(" ".join((*holding_words(host, key.before), last))))

    def order(self, order: Iterable[int]) -> str:
        """Keys in the order in which they are pressed: `W, A, Space`."""
        return ", ".join(self.names[number] for number in order)

    def rule(self, fate: Fate) -> str:
        """Why a key is not closed."""
        rollover = self.machine.scan.rollover
        apart = f"{rollover} key{'s' if rollover != 1 else ''}"
        opened = fate.status is Status.OPENED
        return {
            Cause.PHANTOM: f"the guard: with {'the others' if opened else 'the modifiers'} it would make a phantom",
            Cause.ROLLOVER: f"the machine can tell {apart} apart",
            Cause.CONTACT: "its contact is that of a newer key" if opened else "its contact is already closed",
            Cause.MODIFIERS: "a newer key asks for other modifiers of the machine",
            None: "",
        }[fate.cause]

    def fate(self, number: int, fate: Fate) -> str:
        """What happens to a key: `W is opened (the machine tells 2 keys apart)`."""
        match fate.status:
            case Status.OPENED | Status.REFUSED:
                return f"{self.names[number]} is {fate.status.value} ({self.rule(fate)})"
            case Status.LIFTED:
                return f"{self.names[number]} is lifted by the newest key"
            case _:
                return f"{self.names[number]} {_does(fate)}"

    def reading(self, holding: Holding, group: Group) -> str:
        """What the machine reads of the contacts that are closed at the end: `shift; a (S1/N2), which types A`."""
        found = [self._key(contact, text) for contact, text, is_closed in _reads(holding, group) if is_closed]
        state = holding.rules.state(group.result.read)
        held = [self.machine.state_name(state)] if state else []
        return "; ".join([*held, *found]) or "nothing"

    def also(self, holding: Holding, group: Group) -> str:
        """What is read although nothing closes it, at the end or at some earlier moment."""
        end = {contact: text for contact, text, is_closed in _reads(holding, group) if not is_closed}
        return "; ".join(
            self._key(contact, end.get(contact)) + ("" if contact in end else " for a moment")
            for contact in map(_contact, bits(group.result.lies))
        )

    def lines(self, contacts: Iterable[int]) -> str:
        """Contacts by their lines."""
        return ", ".join(self.machine.contact_name(_contact(contact)) for contact in contacts)

    def _key(self, contact: Contact, text: str | None) -> str:
        name, line = key_name(self.machine, contact), self.machine.contact_name(contact)
        told = f"{name} ({line})" if name != line else name
        return f"{told}, which types {shown(text)}" if text is not None and text != name else told


def _contact(number: int) -> Contact:
    from matrixmap.model.machine import Contact

    return Contact(number)


def _does(fate: Fate) -> str:
    return "feeds a modifier" if fate.does is Does.MODIFIER else fate.does.value


def _reads(holding: Holding, group: Group) -> list[tuple[Contact, str | None, bool]]:
    """The keys read at the end, without modifiers: contact, what it types, and whether something closes it."""
    result = group.result
    return [
        (typed.contact, typed.legend.text if typed.legend else None, bool(result.closed >> typed.contact & 1))
        for typed in holding.rules.typed(0, result.closed)
    ]


def print_held(held: Held, every: bool) -> None:
    """Prints the result of keys held together, in 80 columns."""
    words = HeldWords(held)
    layout = held.plan.layout
    count = held.holding.orders
    _say(f"{layout.id}: hold {words.order(range(len(words.keys)))}, in {_orders(count, count)}.")
    _say(f"With the layout as it is ({_settings(held)}):", before=True)
    _print_groups(words, held.holding, every)
    if held.bare.groups() != held.holding.groups():
        _say("On the bare matrix, without the guard and rollover of the runtime:", before=True)
        _print_groups(words, held.bare, every)
    if held.causes:
        _say("What makes a phantom there:", before=True)
        for cause in held.causes if every else held.causes[:MOST_TOLD]:
            _say(_cause(words, cause), 2)
        _more(len(held.causes), every, "causes")
    _say(_release(held, words), before=True)
    _print_cures(held, words)
    _say(_boot(words), before=True)


def _say(text: str, indent: int = 0, before: bool = False) -> None:
    if before:
        typer.echo("")
    blanks = " " * indent
    typer.echo(fill(text, WIDTH, initial_indent=blanks, subsequent_indent=f"{blanks}  ", break_on_hyphens=False))


def _orders(some: int, count: int) -> str:
    """How many of all orders, in words."""
    if some < count:
        return f"{some} of {count} orders"
    return "the only order" if count == 1 else f"{'both' if count == 2 else f'all {count}'} orders"


def _more(count: int, every: bool, what: str) -> None:
    if count > MOST_TOLD and not every:
        _say(f"and {count - MOST_TOLD} more {what} (--all shows them)", 2)


def _settings(held: Held) -> str:
    rollover = held.plan.layout.machine.scan.rollover
    parts = [
        f"contacts: {held.plan.contacts.value}",
        f"guard {'on' if held.plan.guard else 'off'}",
        f"resume {'on' if held.plan.layout.resumes else 'off'}",
    ]
    return ", ".join([*parts, f"rollover {rollover}"] if rollover else parts)


def _print_groups(words: HeldWords, holding: Holding, every: bool) -> None:
    groups, count = holding.groups(), holding.orders
    for group in groups if every else groups[:MOST_TOLD]:
        few = len(group.orders) == 1
        such = f"{':' if few else ', such as'} {words.order(group.orders[0])}" if count > 1 else ""
        _say(f"in {_orders(len(group.orders), count)}{such}", 2)
        result = group.result
        closed = [words.names[n] for n, fate in enumerate(result.fates) if fate.status is Status.CLOSED]
        rest = [words.fate(n, fate) for n, fate in enumerate(result.fates) if fate.status is not Status.CLOSED]
        _say(f"closed: {', '.join(closed) or 'nothing'}", 4)
        for line in rest:
            _say(line, 4)
        _say(f"the machine reads {words.reading(holding, group)}", 4)
        if result.lies:
            _say(f"and also reads, although nothing closes it, {words.also(holding, group)}", 4)
        if result.unseen:
            _say(f"it cannot see one of these open while the others are closed: {words.lines(bits(result.unseen))}", 4)
    _more(len(groups), every, "outcomes")


def _cause(words: HeldWords, cause: PhantomCause) -> str:
    machine = words.machine
    corner, beside, below = cause.contacts
    name, line = key_name(machine, cause.reads), machine.contact_name(cause.reads)
    read = f"{name} ({line})" if name != line else f"{line}, where there is no key"
    return (
        f"{words.order(cause.keys)}: {words.lines((beside, corner, below))} are three corners, and the fourth is {read}"
    )


def _release(held: Held, words: HeldWords) -> str:
    """What comes back when a key is released, in a sentence."""
    told = []
    for holding, how in ((held.holding, "as it is"), (held.resumed, "with resume: on")):
        cases = list(holding.releases())
        back = [case for case in cases if case[2]]
        if not back:
            told.append(f"{how} no other key closes again")
        else:
            order, released, keys = back[0]
            told.append(
                f"{how} another key closes again in {len(back)} of {len(cases)} cases, such as {words.order(keys)} "
                f"when {words.names[released]} is released after {words.order(order)}"
            )
        if holding is held.resumed:
            break
    return f"After one key is released, {'; '.join(told)}."


def _print_cures(held: Held, words: HeldWords) -> None:
    if held.holding.is_whole:
        _say("Nothing to cure: in every order all contacts are closed, and nothing else is read.", before=True)
        return
    _say("What would cure it (each was tried):", before=True)
    merged: dict[str, list[str]] = {}
    for cure in held.cures:
        merged.setdefault(outcome(cure.holding, words), []).append(cure.line)
    for told, lines in merged.items():
        _say(f"{' or '.join(lines)}: {told}", 2)
    if held.diodes:
        told = outcome(held.unguarded, words, lying=False)
        _say(
            f"guard: off and a diode in {words.lines(held.diodes)} alone, the other contacts plain: {told}; a layout "
            "has one kind of contact for all, so nothing then guards other keys",
            2,
        )
    if any(cure.holding.is_whole for cure in held.cures):
        _say("A diode takes part of the voltage: measure whether the machine still reads the contact as low.", 2)
    else:
        _say("No kind of contact cures the rest: none of these makes the machine read all keys in every order.", 2)


def outcome(holding: Holding, words: HeldWords, lying: bool = True) -> str:
    """The result of keys under some rules, in one phrase."""
    from matrixmap.check.cures import losses, lying_orders

    count, lies = holding.orders, lying_orders(holding) if lying else 0
    causes: dict[str, int] = {}
    for fate, orders in losses(holding):
        why = words.rule(fate)
        causes[why] = min(count, causes.get(why, 0) + orders)
    told = [f"another key is read in {_orders(lies, count)}"] if lies else []
    told += [f"a key is still opened or refused in {_orders(some, count)} ({why})" for why, some in causes.items()]
    return "; ".join(told) or "all contacts are closed in every order, and nothing else is read"


def _boot(words: HeldWords) -> str:
    """What the keyboard may add to this."""
    count = len({usage for key in words.keys for usage in key.usages if usage not in MODIFIER_BITS})
    return (
        f"The keyboard itself was not examined: a boot report carries {BOOT_KEYS} keys besides modifiers (here "
        f"{count}); a keyboard without diodes may report fewer keys, or other keys."
    )


def facts(held: Held) -> Row:
    """The result of keys, for programs: everything in the text."""
    layout = held.plan.layout
    return {
        "layout": layout.id,
        "keys": [_key_row(key) for key in held.holding.keys],
        "orders": held.holding.orders,
        "whole": held.holding.is_whole,
        "contacts": held.plan.contacts.value,
        "guard": held.plan.guard,
        "resume": layout.resumes,
        "rollover": layout.machine.scan.rollover,
        "as_it_is": _group_rows(held, held.holding),
        "bare": _group_rows(held, held.bare),
        "causes": [_cause_row(layout.machine, held, cause) for cause in held.causes],
        "releases": {"as_it_is": _release_rows(held.holding), "resume_on": _release_rows(held.resumed)},
        "cures": [
            {"line": cure.line, "whole": cure.holding.is_whole, "outcomes": _group_rows(held, cure.holding)}
            for cure in held.cures
        ],
        "diodes": [layout.machine.contact_name(contact) for contact in held.diodes],
        "without_guard": _group_rows(held, held.unguarded),
    }


def _key_row(key: HeldKey) -> Row:
    return {"key": usage_name(key.usage), "before": [usage_name(usage) for usage in key.before]}


def _names(keys: Sequence[HeldKey], numbers: Iterable[int]) -> list[str]:
    return [usage_name(keys[number].usage) for number in numbers]


def _group_rows(held: Held, holding: Holding) -> list[Row]:
    machine, keys = held.plan.layout.machine, holding.keys
    return [
        {
            "orders": len(group.orders),
            "example": _names(keys, group.orders[0]),
            "keys": [
                {
                    "key": usage_name(key.usage),
                    "does": fate.does.value,
                    "status": fate.status.value,
                    "rule": RULES[fate.cause] if fate.cause else None,
                }
                for key, fate in zip(keys, group.result.fates, strict=True)
            ],
            "modifiers": sorted(holding.rules.state(group.result.read)),
            "reads": [
                {**_contact_row(machine, contact), "types": text, "closed": is_closed}
                for contact, text, is_closed in _reads(holding, group)
            ],
            "phantoms": [_contact_row(machine, _contact(contact)) for contact in bits(group.result.lies)],
            "unseen": [machine.contact_name(_contact(contact)) for contact in bits(group.result.unseen)],
        }
        for group in holding.groups()
    ]


def _contact_row(machine: Machine, contact: Contact) -> Row:
    return {"contact": machine.contact_name(contact), "key": key_name(machine, contact)}


def _cause_row(machine: Machine, held: Held, cause: PhantomCause) -> Row:
    return {
        "keys": _names(held.holding.keys, cause.keys),
        "contacts": [machine.contact_name(contact) for contact in cause.contacts],
        "corner": machine.contact_name(cause.contacts[0]),
        "reads": _contact_row(machine, cause.reads),
    }


def _release_rows(holding: Holding) -> Row:
    cases = list(holding.releases())
    back = [case for case in cases if case[2]]
    example: Row | None = None
    if back:
        order, released, closed = back[0]
        keys = holding.keys
        example = {
            "order": _names(keys, order),
            "released": usage_name(keys[released].usage),
            "back": _names(keys, closed),
        }
    return {"cases": len(cases), "back": len(back), "example": example}
