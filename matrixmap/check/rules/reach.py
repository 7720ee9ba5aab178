"""Reach: what on the machine no host key works, and which host keys work nothing."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from matrixmap.check.engine.plan_conflicts import PlanConflicts
from matrixmap.check.engine.record import CheckRule, Report
from matrixmap.check.engine.strokes import Item, PlanStrokes, is_refused
from matrixmap.hid.usages import CAPS_LOCK, NUM_LOCK, Usage
from matrixmap.join.symbolic import best_offers
from matrixmap.model.basic import SHIFTS, basic_keys
from matrixmap.model.finding import Severity
from matrixmap.model.legend import Legend
from matrixmap.model.machine import Contact
from matrixmap.model.plan import Latch
from matrixmap.model.press import Way
from matrixmap.model.sequences import modal_legends, sequences_of
from matrixmap.model.words import cap_name, shown, usage_name
from matrixmap.press.keyboard import PhysicalKey, key_usage
from matrixmap.press.levels import Levels
from matrixmap.press.modes import by_hand
from matrixmap.press.on_keyboard import keys_needed
from matrixmap.press.words import held_word, way_words


def listed(names: Iterable[str]) -> str:
    """Names in a row, each made safe to read."""
    return ", ".join(shown(name) for name in names)


def reached_contacts(strokes: PlanStrokes) -> frozenset[Contact]:
    """The contacts that some key of the host's form closes, even if only as the modifier of a stroke."""
    return frozenset(
        contact for contact, found in strokes.closing.items() if any(key.usual for key in (*found.own, *found.beside))
    )


def unreached_keys(strokes: PlanStrokes, direct: bool | None = None) -> list[str]:
    """The machine's keys that no key of the host's form works: all, those on direct lines, or those in the matrix."""
    reached = reached_contacts(strokes)
    machine = strokes.plan.layout.machine
    return [
        key.name
        for key in machine.keys
        if key.contact not in reached and direct in (None, key.contact >= machine.crosspoints)
    ]


def _other_key_of(strokes: PlanStrokes, name: str) -> str | None:
    """Another key of the same modifier that is reached, so the machine still gets it; None if there is none."""
    machine, reached = strokes.plan.layout.machine, reached_contacts(strokes)
    modifier = machine.modifier_of(name)
    names = next((each.keys for each in machine.modifiers if each.name == modifier), ())
    return next((other for other in names if machine.key(other).contact in reached), None)


def _unreachable_keys(conflicts: PlanConflicts) -> Iterator[Report]:
    strokes = conflicts.strokes
    names = unreached_keys(strokes, direct=False)
    spared = {name: other for name in names if (other := _other_key_of(strokes, name))}
    optional = [name for name in names if name in strokes.plan.layout.machine.optional and name not in spared]
    lost = [name for name in names if name not in spared and name not in optional]
    if lost:
        yield Report(
            f"no host key works {listed(lost)}: no key on this keyboard does what "
            f"{'it does' if len(lost) == 1 else 'they do'} on the machine; add a line under keys",
            cases=len(lost),
        )
    if optional:
        yield Report(
            f"no host key works {listed(optional)}, which only some of the machines have",
            cases=len(optional),
            at_most=Severity.NOTE,
        )
    if spared:
        pairs = listed(f"{name} ({other} takes its place)" for name, other in spared.items())
        yield Report(f"no host key works {pairs}", cases=len(spared), at_most=Severity.NOTE)


UNREACHABLE_KEY = CheckRule(
    slug="unreachable-key",
    severity=Severity.WARNING,
    purpose="No host key works a certain key of the machine.",
    explanation=(
        "A program on the machine may ask for exactly that key. A line under `keys` reaches it. For a modifier's "
        "second key the finding is only a note if the first one is reached; so it is for a key that only some "
        "machines have."
    ),
    bad="keys: {KeyA: a, KeyB: b, ShiftLeft: shift-left}",
    good="keys: {KeyA: a, KeyB: b, ShiftLeft: shift-left, F9: c}",
    function=_unreachable_keys,
)


def _unreachable_direct_lines(conflicts: PlanConflicts) -> Iterator[Report]:
    strokes = conflicts.strokes
    names = unreached_keys(strokes, direct=True)
    if names:
        machine = strokes.plan.layout.machine
        lines = listed(f"{name} ({machine.contact_name(machine.key(name).contact)})" for name in names)
        yield Report(f"no host key works the direct line of {lines}; add a line under keys", cases=len(names))


UNREACHABLE_DIRECT_LINE = CheckRule(
    slug="unreachable-direct-line",
    severity=Severity.WARNING,
    purpose="No host key works a key that has a line of its own.",
    explanation="Such a key interrupts or resets the machine, and no other key does the same.",
    bad="keys: {KeyA: a}",
    good="keys: {KeyA: a, F9: hail}",
    function=_unreachable_direct_lines,
)


def _unreachable_latches(conflicts: PlanConflicts) -> Iterator[Report]:
    strokes = conflicts.strokes
    plan = strokes.plan
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
    purpose="No host key works a latching key of the machine.",
    explanation=(
        "The latch is in parallel with a key that may well be reached, so only the latching is lost. A host lock "
        "works the latch with a line under `locks`."
    ),
    bad="keys: {KeyA: a}",
    good="keys: {KeyA: a}\nlocks: {CapsLock: blazon-latch}",
    function=_unreachable_latches,
)


def typed_texts(strokes: PlanStrokes) -> frozenset[str]:
    """All characters and functions that keys of the host's form can type, after a dead key too."""
    return frozenset(text for text, ways in strokes.typed.items() if any(is_usual(way) for way in ways))


def is_usual(way: Way) -> bool:
    """Whether all keys that a way presses are on the host's form."""
    return all(press.usual for press in way)


def unreached_texts(strokes: PlanStrokes, characters: bool) -> list[str]:
    """The machine's characters, or functions, that usual keys cannot type, neither in one of its modes nor in turn."""
    typed = typed_texts(strokes)
    machine = strokes.plan.layout.machine
    modal = (legend.text for _, _, legend in modal_legends(machine))
    offered = dict.fromkeys((*best_offers(machine), *sequences_of(machine), *modal))
    hands = by_hand(strokes.every)
    typed = typed.union(text for text, hand in hands.items() if is_usual(hand.way))
    return [text for text in offered if text not in typed and Legend(text).is_character is characters]


def _rare_ways(strokes: PlanStrokes, texts: Iterable[str]) -> str:
    """The keys that type some of the texts and are not on the host's form."""
    host = strokes.plan.layout.host
    found = [f"{shown(text)} by {way_words(host, strokes.typed[text][0])}" for text in texts if text in strokes.typed]
    return f" (only a larger keyboard: {', '.join(found)})" if found else ""


def _only_ways_refused(conflicts: PlanConflicts) -> Iterator[Report]:
    strokes = conflicts.strokes
    refused = refused_texts(strokes)
    for text, items in refused.items():
        presses = listed(dict.fromkeys(way_words(strokes.plan.layout.host, item.ways[0]) for item in items))
        places = {binding.trigger: binding.place for binding in strokes.plan.bindings if binding.place}
        yield Report(
            f"nobody can type {shown(text)}: the runtime refuses its only press, {presses}; choose another stroke for "
            "it, or close contacts through diodes",
            place=next((place for item in items if (place := places.get(item.trigger))), None),
        )


def refused_texts(strokes: PlanStrokes) -> dict[str, list[Item]]:
    """Characters and functions that no press types because their strokes are refused; with these strokes."""
    found: dict[str, list[Item]] = {}
    for item in strokes.items:
        types = item.stroke.types
        if types is not None and types.text not in strokes.typed and is_refused(strokes, item):
            found.setdefault(types.text, []).append(item)
    return found


ONLY_WAY_IS_REFUSED = CheckRule(
    slug="only-way-is-refused",
    severity=Severity.ERROR,
    purpose="The runtime refuses every press of a character or function.",
    explanation=(
        "The layout has a stroke that would type it. But the contacts of the stroke make a phantom, or are more "
        "than the machine can tell apart, so the stroke is never closed. Another stroke, or another key of the "
        "machine for a modifier, avoids that."
    ),
    bad="keys: {F9: shift + alt + a}",
    good="keys: {F9: shift + alt + b}",
    function=_only_ways_refused,
)


def _one_shift_only(conflicts: PlanConflicts) -> Iterator[Report]:
    found = one_shift_only(conflicts)
    if found:
        told = "; ".join(
            f"with {side} only: {', '.join(f'{shown(text)} ({way})' for text, way in texts)}"
            for side, texts in found.items()
        )
        yield Report(
            f"{told}; with the other Shift the press is refused or types nothing; let both Shift keys close the same "
            "key of the machine",
            cases=sum(map(len, found.values())),
        )


def one_shift_only(conflicts: PlanConflicts) -> dict[str, list[tuple[str, str]]]:
    """What one Shift key types and the other does not, with its press, by the words for that Shift.

    Nothing if the two are different modifiers of the machine, each of which types its own characters.
    """
    strokes = conflicts.strokes
    host, levels = strokes.plan.layout.host, Levels(strokes.every)
    machine, feeds = strokes.plan.layout.machine, strokes.feeds
    fed = {machine.modifier_of(strokes.keys[feeds[usage]].name) for usage in SHIFTS if usage in feeds}
    found: dict[str, list[tuple[str, str]]] = {}
    for text, ways in strokes.typed.items() if len(fed) < 2 else ():
        shift = _one_shift(ways[0])
        same = shift and all(_one_shift(way) == shift for way in ways)
        if same and not _types_with_other_shift(levels, ways[0]):
            found.setdefault(held_word(host, shift), []).append((text, way_words(host, ways[0])))
    return found


def _one_shift(way: Way) -> Usage:
    """The Shift that a way holds if the other one will not do; 0 for none."""
    press = way[-1]
    sided = [usage for usage in press.hold if usage in SHIFTS and usage not in press.either]
    return sided[0] if len(sided) == 1 else Usage(0)


def _types_with_other_shift(levels: Levels, way: Way) -> bool:
    """Whether the same press with the other Shift types another character, as when the two are different modifiers."""
    others = frozenset(way[-1].hold) - frozenset(SHIFTS)
    return len(way) == 1 and any(
        answer.done is not None and answer.done.text is not None
        for answer in levels.answers(way[-1].trigger)
        if _one_shift(way) not in answer.press.hold and frozenset(answer.press.hold) - frozenset(SHIFTS) == others
    )


ONE_SHIFT_ONLY = CheckRule(
    slug="one-shift-only",
    severity=Severity.WARNING,
    purpose="A character or function can be typed with one of the two Shift keys only.",
    explanation=(
        "People hold the Shift that is nearer. If the two close different keys of the machine, one of them may "
        "make a phantom with the key, and then the press is refused. A line under `keys` makes both close the same "
        "key. There is no finding if the other Shift types another character because the machine has two modifiers."
    ),
    bad="keys: {ShiftLeft: shift-left, ShiftRight: shift-right, AltLeft: blazon, KeyR: r}",
    good="keys: {ShiftLeft: shift-right, ShiftRight: shift-right, AltLeft: blazon, KeyR: r}",
    function=_one_shift_only,
)


def _unreachable_characters(conflicts: PlanConflicts) -> Iterator[Report]:
    strokes = conflicts.strokes
    refused = refused_texts(strokes)
    texts = [text for text in unreached_texts(strokes, characters=True) if text not in refused]
    if texts:
        yield Report(
            f"the machine types {listed(texts)}, but no press on this keyboard does{_rare_ways(strokes, texts)}; "
            "add a line under keys",
            cases=len(texts),
        )


UNREACHABLE_CHARACTER = CheckRule(
    slug="unreachable-character",
    severity=Severity.WARNING,
    purpose="No press types a certain character of the machine.",
    explanation=(
        "The host has no such legend, or the layout uses the keys that print it for something else. A line under "
        "`keys` gives the character a trigger of its own."
    ),
    bad="keys: {KeyA: a, ShiftLeft: shift-left}",
    good="keys: {KeyA: a, KeyB: b, ShiftLeft: shift-left}",
    function=_unreachable_characters,
)


def _unreachable_functions(conflicts: PlanConflicts) -> Iterator[Report]:
    strokes = conflicts.strokes
    refused = refused_texts(strokes)
    texts = [text for text in unreached_texts(strokes, characters=False) if text not in refused]
    if texts:
        yield Report(
            f"the machine has the function{'s' if len(texts) > 1 else ''} {listed(texts)}, "
            f"but no press on this keyboard gives {'them' if len(texts) > 1 else 'it'}{_rare_ways(strokes, texts)}; add a line under keys",
            cases=len(texts),
        )


UNREACHABLE_FUNCTION = CheckRule(
    slug="unreachable-function",
    severity=Severity.WARNING,
    purpose="No press gives a certain function of the machine.",
    explanation=(
        "Functions are found by their names (Enter, ArrowLeft); functions that no host prints, such as B1, need a "
        "line under `keys`."
    ),
    bad="keys: {KeyA: a, F9: hail}",
    good="keys: {KeyA: c, F9: hail}",
    function=_unreachable_functions,
)


def idle_keys(strokes: PlanStrokes) -> list[PhysicalKey]:
    """The host keys that do nothing in any press; a key that a layout silences with `none` does not count."""
    plan = strokes.plan
    bound = {binding.trigger.usage for binding in plan.bindings}
    composing = {accent for accent, _, _ in plan.dead_keys.pairs} | set(plan.dead_keys.accents)
    bound |= {trigger.usage for trigger, accent in plan.dead_keys.triggers.items() if accent in composing}
    bound |= {usage for _, usage, _ in plan.dead_keys.pairs}
    locks = {usage for usage, kept in ((CAPS_LOCK, plan.caps_lock), (NUM_LOCK, plan.num_lock)) if kept}
    busy = {key_usage(plan.layout.host, usage) for usage in bound | locks}
    return [key for key in strokes.every.keys if key.usage in plan.layout.host.keys and key.usage not in busy]


def _idle_host_keys(conflicts: PlanConflicts) -> Iterator[Report]:
    basic = basic_keys(conflicts.plan.layout.host)
    idle = [key for key in idle_keys(conflicts.strokes) if key.usage not in basic]
    if idle:
        usual = [usage_name(key.usage) for key in idle if key.usual]
        rare = [usage_name(key.usage) for key in idle if not key.usual]
        parts = [f"these host keys do nothing: {listed(usual)}"] if usual else []
        parts += [f"these, which few keyboards have, do nothing: {listed(rare)}"] if rare else []
        yield Report("; ".join(parts), cases=len(idle))


HOST_KEY_DOES_NOTHING = CheckRule(
    slug="host-key-does-nothing",
    severity=Severity.NOTE,
    purpose="A host key does nothing at any level.",
    explanation=(
        "These are mostly keys for which the machine has no use. The list shows which keys are free for more "
        "lines. It leaves out keys that a layout silences with `none`; letters, digits and other basic keys have a "
        "finding of their own."
    ),
    bad="keys: {KeyA: a, KeyB: b}",
    good="keys: {KeyA: a, KeyB: b, F9: none}",
    function=_idle_host_keys,
)


def _printed_but_elsewhere(conflicts: PlanConflicts) -> Iterator[Report]:
    """Cells that do not type their printed character although the machine has it."""
    wrong = conflicts.printed.differs
    if wrong:
        yield Report("the print and the machine differ: " + "; ".join(each.words for each in wrong), cases=len(wrong))


PRINT_DIFFERS = CheckRule(
    slug="print-differs",
    severity=Severity.NOTE,
    purpose="A host key prints a character that the machine has, but types another one.",
    explanation=(
        "In a positional layout that is normal, and stickers are made from this list. In a symbolic layout, a line "
        "of the layout causes it."
    ),
    bad="keys: {KeyA: b, ShiftLeft: shift-left, ShiftRight: shift-right}",
    good="keys: {KeyA: a, ShiftLeft: shift-left, ShiftRight: shift-right}",
    function=_printed_but_elsewhere,
)

# What smaller keyboards leave out. Common practice: tenkeyless boards have no keypad, compact ones no function row and
# no Insert block, and ANSI boards no key between left Shift and Z.
INSERT_BLOCK = ("Insert", "Delete", "Home", "End", "PageUp", "PageDown")
LACKING: tuple[tuple[str, Callable[[str], bool]], ...] = (
    ("no keypad", lambda name: name.startswith("Numpad")),
    ("no function keys", lambda name: name[:1] == "F" and name[1:].isdigit()),
    ("no Insert block", lambda name: name in INSERT_BLOCK),
    ("no IntlBackslash", lambda name: name == "IntlBackslash"),
)


def _needs_larger_keyboard(conflicts: PlanConflicts) -> Iterator[Report]:
    strokes = conflicts.strokes
    host = strokes.plan.layout.host
    rare = [text for text, ways in strokes.typed.items() if not any(map(is_usual, ways))]
    if rare:
        told = listed(f"{text} ({way_words(host, strokes.typed[text][0])})" for text in rare)
        yield Report(f"only keys that are missing on a keyboard of the form {host.form} type {told}", cases=len(rare))
    needed = {text: [_keys_of(strokes, way) for way in ways if is_usual(way)] for text, ways in strokes.typed.items()}
    for what, lacks in LACKING:
        texts = [
            text for text, ways in needed.items() if ways and not any(_typed_without(lacks, keys) for keys in ways)
        ]
        if texts:
            keys = {way[-1].usage for text in texts for way in strokes.typed[text] if is_usual(way)}
            names = listed(cap_name(host, usage) for usage in sorted(keys))
            yield Report(f"on a keyboard with {what} nobody can type {listed(texts)} ({names})", cases=len(texts))


def _keys_of(strokes: PlanStrokes, way: Way) -> list[tuple[Usage, ...]]:
    """The host keys that a way needs, one of each tuple: any dead key of the same accent will do."""
    *dead, press = way
    needed = list(keys_needed(press))
    for before in dead:
        triggers = strokes.plan.dead_keys.triggers
        accent = triggers.get(before.trigger)
        needed.append(tuple(other.usage for other, same in triggers.items() if same == accent))
    return needed


def _typed_without(lacks: Callable[[str], bool], needed: Iterable[tuple[Usage, ...]]) -> bool:
    """Whether a keyboard that lacks some keys still has everything that is needed."""
    return all(any(not lacks(usage_name(usage)) for usage in choice) for choice in needed)


NEEDS_LARGER_KEYBOARD = CheckRule(
    slug="needs-larger-keyboard",
    severity=Severity.NOTE,
    purpose="Something is typed only by keys that small keyboards lack.",
    explanation=(
        "Smaller keyboards have no keypad, no row of function keys and no Insert block; ANSI boards have no key "
        "beside left Shift. A second trigger on the main block makes it possible on these keyboards too."
    ),
    bad="keys: {F9: b}",
    good="keys: {F9: b, KeyB: b}",
    function=_needs_larger_keyboard,
)

RULES = (
    ONLY_WAY_IS_REFUSED,
    ONE_SHIFT_ONLY,
    UNREACHABLE_KEY,
    UNREACHABLE_DIRECT_LINE,
    UNREACHABLE_LATCH,
    UNREACHABLE_CHARACTER,
    UNREACHABLE_FUNCTION,
    HOST_KEY_DOES_NOTHING,
    PRINT_DIFFERS,
    NEEDS_LARGER_KEYBOARD,
)
