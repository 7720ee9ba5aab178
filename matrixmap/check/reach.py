"""Reach: what of the machine no host key works, and what of the host works nothing."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from matrixmap.check.record import CheckRule, Report
from matrixmap.check.study import Study
from matrixmap.check.subject import Press, Subject, feeding_usages
from matrixmap.hid.usages import CAPS_LOCK, KEYPAD_DIGITS, NUM_LOCK, Usage
from matrixmap.join.symbolic import best_offers, find_offer
from matrixmap.model.finding import Severity
from matrixmap.model.legend import Legend
from matrixmap.model.machine import Contact
from matrixmap.model.plan import Feed, Latch, Nothing, Plan, Stroke, Trigger, Way
from matrixmap.model.words import cap_name, printed_keys, shown, stroke_name, usage_name


def listed(names: Iterable[str]) -> str:
    """Names in a row, each as it is safe to read."""
    return ", ".join(shown(name) for name in names)


def reached_contacts(plan: Plan) -> frozenset[Contact]:
    """The contacts that some host key closes, be it only as the modifier of a stroke."""
    reached: set[Contact] = set()
    feeding = feeding_usages(plan)
    for binding in plan.bindings:
        match binding.action:
            case Stroke(contacts=contacts, holds=holds):
                if binding.trigger.usage not in feeding:
                    reached.update(contacts, holds)
            case Feed(contact=contact) | Latch(contact=contact):
                reached.add(contact)
    for stroke in (*plan.dead_keys.pairs.values(), *plan.dead_keys.accents.values()):
        reached.update(stroke.contacts, stroke.holds)
    return frozenset(reached)


def unreached_keys(subject: Subject, direct: bool | None = None) -> list[str]:
    """The keys of the machine that no host key works: all, or those on direct lines, or those in the matrix."""
    reached = reached_contacts(subject.plan)
    machine = subject.plan.layout.machine
    return [
        key.name
        for key in machine.keys
        if key.contact not in reached and direct in (None, key.contact >= machine.crosspoints)
    ]


def _other_key_of(subject: Subject, name: str) -> str | None:
    """Another key of the same modifier that is reached, by which the machine gets the modifier all the same."""
    machine, reached = subject.plan.layout.machine, reached_contacts(subject.plan)
    modifier = machine.modifier_of(name)
    names = next((each.keys for each in machine.modifiers if each.name == modifier), ())
    return next((other for other in names if machine.key(other).contact in reached), None)


def _unreachable_keys(study: Study) -> Iterator[Report]:
    subject = study.subject
    names = unreached_keys(subject, direct=False)
    spared = {name: other for name in names if (other := _other_key_of(subject, name))}
    lost = [name for name in names if name not in spared]
    if lost:
        yield Report(
            f"no host key works {listed(lost)}: nothing on this keyboard does what the machine does with "
            f"{'it' if len(lost) == 1 else 'them'}; add a line under keys",
            cases=len(lost),
        )
    if spared:
        pairs = listed(f"{name} (in place of it {other})" for name, other in spared.items())
        yield Report(f"no host key works {pairs}", cases=len(spared), at_most=Severity.NOTE)


UNREACHABLE_KEY = CheckRule(
    slug="unreachable-key",
    severity=Severity.WARNING,
    purpose="A key of the machine that no host key works.",
    explanation="A program on the machine may ask for that very key. Layouts reach a key with a line under `keys`. "
    "A modifier's second key is only a note where the first one is reached.",
    bad="keys: {KeyA: a, KeyB: b, ShiftLeft: shift-left}",
    good="keys: {KeyA: a, KeyB: b, ShiftLeft: shift-left, F9: c}",
    function=_unreachable_keys,
)


def _unreachable_direct_lines(study: Study) -> Iterator[Report]:
    subject = study.subject
    names = unreached_keys(subject, direct=True)
    if names:
        machine = subject.plan.layout.machine
        lines = listed(f"{name} ({machine.contact_name(machine.key(name).contact)})" for name in names)
        yield Report(f"no host key works the direct line of {lines}; add a line under keys", cases=len(names))


UNREACHABLE_DIRECT_LINE = CheckRule(
    slug="unreachable-direct-line",
    severity=Severity.WARNING,
    purpose="A key on a line of its own that no host key works.",
    explanation="Such keys interrupt or reset the machine, and no other key does the same.",
    bad="keys: {KeyA: a}",
    good="keys: {KeyA: a, F9: attention}",
    function=_unreachable_direct_lines,
)


def _unreachable_latches(study: Study) -> Iterator[Report]:
    subject = study.subject
    plan = subject.plan
    worked = {binding.action.key for binding in plan.bindings if isinstance(binding.action, Latch)}
    names = [name for name in plan.layout.machine.latching if name not in worked]
    if names:
        yield Report(
            f"no host key works the latch {listed(names)}; a line under locks sends a lock key there",
            cases=len(names),
        )


UNREACHABLE_LATCH = CheckRule(
    slug="unreachable-latch",
    severity=Severity.NOTE,
    purpose="A latching key of the machine that no host key works.",
    explanation="The latch is in parallel with a key that may well be reached, so nothing is lost but the latching. "
    "A host lock works it with a line under `locks`.",
    bad="keys: {KeyA: a}",
    good="keys: {KeyA: a}\nlocks: {CapsLock: shift-latch}",
    function=_unreachable_latches,
)


def typed_texts(subject: Subject) -> frozenset[str]:
    """All characters and functions that some press types, after a dead key too."""
    return frozenset(press.types.text for press in subject.pressed if press.types)


def unreached_texts(subject: Subject, characters: bool) -> list[str]:
    """The characters, or the functions, of the machine that no press types."""
    typed = typed_texts(subject)
    offered = best_offers(subject.plan.layout.machine)
    return [text for text in offered if text not in typed and Legend(text).is_character is characters]


def _unreachable_characters(study: Study) -> Iterator[Report]:
    subject = study.subject
    texts = unreached_texts(subject, characters=True)
    if texts:
        yield Report(
            f"the machine types {listed(texts)}, but no press on this keyboard does; add a line under keys",
            cases=len(texts),
        )


UNREACHABLE_CHARACTER = CheckRule(
    slug="unreachable-character",
    severity=Severity.WARNING,
    purpose="A character of the machine that no press types.",
    explanation="The host has no such legend, or the layout sends the keys that print it elsewhere. "
    "A line under `keys` gives the character a trigger of its own.",
    bad="keys: {KeyA: a, ShiftLeft: shift-left}",
    good="keys: {KeyA: a, KeyB: b, ShiftLeft: shift-left}",
    function=_unreachable_characters,
)


def _unreachable_functions(study: Study) -> Iterator[Report]:
    subject = study.subject
    texts = unreached_texts(subject, characters=False)
    if texts:
        yield Report(
            f"the machine has the function{'s' if len(texts) > 1 else ''} {listed(texts)}, "
            "but no press on this keyboard gives it; add a line under keys",
            cases=len(texts),
        )


UNREACHABLE_FUNCTION = CheckRule(
    slug="unreachable-function",
    severity=Severity.WARNING,
    purpose="A function of the machine that no press gives.",
    explanation="Functions are found by their name (Enter, ArrowLeft); those that no host prints, such as U1, "
    "need a line under `keys`.",
    bad="keys: {KeyA: a, F9: attention}",
    good="keys: {KeyA: c, F9: attention}",
    function=_unreachable_functions,
)


# Keyboard Application (ContextMenu), the last key of boards with 104 or 105 keys in the order of usages.
LAST_USUAL = Usage(0x65)


def _idle_host_keys(study: Study) -> Iterator[Report]:
    subject = study.subject
    plan = subject.plan
    bound = {binding.trigger.usage for binding in plan.bindings}
    composing = {accent for accent, _, _ in plan.dead_keys.pairs} | set(plan.dead_keys.accents)
    bound |= {trigger.usage for trigger, accent in plan.dead_keys.triggers.items() if accent in composing}
    bound |= {usage for _, usage, _ in plan.dead_keys.pairs}
    locks = {usage for usage, kept in ((CAPS_LOCK, plan.caps_lock), (NUM_LOCK, plan.num_lock)) if kept}
    idle = [usage for usage in plan.layout.host.keys if usage not in bound | locks]
    if idle:
        usual = [usage_name(usage) for usage in idle if usage <= LAST_USUAL]
        rare = [usage_name(usage) for usage in idle if usage > LAST_USUAL]
        parts = [f"these host keys do nothing: {listed(usual)}"] if usual else []
        parts += [f"these, which few keyboards have, do nothing: {listed(rare)}"] if rare else []
        yield Report("; ".join(parts), cases=len(idle))


HOST_KEY_DOES_NOTHING = CheckRule(
    slug="host-key-does-nothing",
    severity=Severity.NOTE,
    purpose="A host key that has no effect at any level.",
    explanation="Mostly keys that the machine has nothing for. The list tells what is free for more lines. "
    "A key that a layout silences with `none` is not listed.",
    bad="keys: {KeyA: a, KeyB: b}",
    good="keys: {KeyA: a, KeyB: b, F9: none}",
    function=_idle_host_keys,
)


def _printed_but_elsewhere(study: Study) -> Iterator[Report]:
    """Cells whose printed character the machine has, and which type another."""
    subject = study.subject
    plan = subject.plan
    offers = best_offers(plan.layout.machine)
    typed: dict[Way, Legend | None] = {}
    for press in subject.pressed:
        typed.setdefault(press.way, press.types)
    wrong: dict[str, None] = {}
    for usage, key in plan.layout.host.keys.items():
        levels = 2 if usage in KEYPAD_DIGITS else plan.layout.host.levels
        for level in range(1, min(levels, len(key.legends)) + 1):
            trigger = Trigger(usage=usage, level=level)
            legend = key.at(level)
            offer = find_offer(offers, legend) if legend and legend.is_character and not legend.dead else None
            action = plan.lookup(trigger)
            if legend is None or offer is None or not isinstance(action, Stroke | Nothing):
                continue
            printed = offer[0].types[offer[1]].text
            result = typed.get((trigger,))
            if result is None or result.text != printed:
                does = f"types {shown(result.text) if result else 'nothing'}"
                if isinstance(action, Stroke) and len(action.contacts) > 1:
                    does = f"presses {stroke_name(plan.layout.machine, action)}"
                wrong[f"{printed_keys(plan.layout.host, trigger)} prints {shown(legend.text)}, {does}"] = None
    if wrong:
        yield Report("the print and the machine differ: " + "; ".join(wrong), cases=len(wrong))


PRINT_DIFFERS = CheckRule(
    slug="print-differs",
    severity=Severity.NOTE,
    purpose="A host key prints a character that the machine has, but types another one.",
    explanation="In a positional layout that is its nature, and the list is what stickers are for. "
    "In a symbolic one a line of the layout causes it.",
    bad="keys: {KeyA: b, ShiftLeft: shift-left}",
    good="keys: {KeyA: a, ShiftLeft: shift-left}",
    function=_printed_but_elsewhere,
)

# What smaller keyboards leave out. Common practice: tenkeyless boards have no keypad, compact ones no function row
# and no Insert block, and ANSI boards no key between left Shift and Z.
INSERT_BLOCK = ("Insert", "Delete", "Home", "End", "PageUp", "PageDown")
LACKING = (
    ("no keypad", lambda name: name.startswith("Numpad")),
    ("no function keys", lambda name: name[:1] == "F" and name[1:].isdigit()),
    ("no Insert block", lambda name: name in INSERT_BLOCK),
    ("no IntlBackslash", lambda name: name == "IntlBackslash"),
)


def _needs_larger_keyboard(study: Study) -> Iterator[Report]:
    subject = study.subject
    by_text: dict[str, set[Usage]] = {}
    needed: dict[str, set[frozenset[Usage]]] = {}
    for press in subject.pressed:
        if press.types is not None:
            by_text.setdefault(press.types.text, set()).add(press.way[-1].usage)
            needed.setdefault(press.types.text, set()).update(_keys_of(subject.plan, press))
    for what, lacks in LACKING:
        missing = {usage for usage in _every_usage(needed) if lacks(usage_name(usage))}
        texts = [text for text in by_text if not any(missing.isdisjoint(keys) for keys in needed[text])]
        if texts:
            keys = {usage for text in texts for usage in by_text[text]}
            names = listed(cap_name(subject.plan.layout.host, usage) for usage in sorted(keys))
            yield Report(f"on a keyboard with {what} nobody can type {listed(texts)} ({names})", cases=len(texts))


def _keys_of(plan: Plan, press: Press) -> Iterator[frozenset[Usage]]:
    """The host keys that a press needs, for each dead key that may come before it."""
    *dead, trigger = press.way
    own = frozenset({trigger.usage, *press.held})
    if not dead:
        yield own
        return
    triggers = plan.dead_keys.triggers
    for other, accent in triggers.items():
        if accent == triggers[dead[0]]:
            yield own | {other.usage}


def _every_usage(needed: Mapping[str, Iterable[frozenset[Usage]]]) -> frozenset[Usage]:
    return frozenset(usage for sets in needed.values() for keys in sets for usage in keys)


NEEDS_LARGER_KEYBOARD = CheckRule(
    slug="needs-larger-keyboard",
    severity=Severity.NOTE,
    purpose="Something is typed only by keys that small keyboards lack.",
    explanation="Smaller keyboards have no keypad, no row of function keys, no Insert block, and ANSI boards no key "
    "beside left Shift. A second trigger on the main block lets their owners type it too.",
    bad="keys: {F9: b}",
    good="keys: {F9: b, KeyB: b}",
    function=_needs_larger_keyboard,
)

RULES = (
    UNREACHABLE_KEY,
    UNREACHABLE_DIRECT_LINE,
    UNREACHABLE_LATCH,
    UNREACHABLE_CHARACTER,
    UNREACHABLE_FUNCTION,
    HOST_KEY_DOES_NOTHING,
    PRINT_DIFFERS,
    NEEDS_LARGER_KEYBOARD,
)
