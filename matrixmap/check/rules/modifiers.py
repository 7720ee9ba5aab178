"""Modifiers: those that reach the machine unasked, states that nobody can make, sides, and locks."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from matrixmap.check.engine.plan_conflicts import PlanConflicts
from matrixmap.check.engine.record import CheckRule, Report
from matrixmap.check.engine.strokes import feeding_usages
from matrixmap.join.dead import pairs
from matrixmap.model.finding import Severity
from matrixmap.model.layout import Join
from matrixmap.model.place import Place
from matrixmap.model.plan import Demand, Stroke, Trigger, Way
from matrixmap.model.words import printed_press, shown
from matrixmap.press.levels import Levels
from matrixmap.press.reach import pressed_states
from matrixmap.press.words import side_words


def _unasked(conflicts: PlanConflicts) -> Iterator[Report]:
    plan = conflicts.plan
    if plan.layout.join is not Join.SYMBOLIC:
        return
    machine, levels = plan.layout.machine, Levels(conflicts.strokes.every)
    for way, stroke, place in _choosing_a_character(levels):
        key = conflicts.strokes.keys.get(stroke.contacts[0])
        if key is None or stroke.before or stroke.types is None or not stroke.types.is_character:
            continue
        asked = frozenset(
            each.name for each, demand in zip(machine.modifiers, stroke.demands, strict=True) if demand is Demand.HOLD
        )
        accent = levels.number_of(plan.dead_keys.triggers[way[0]]) if len(way) > 1 else 0
        for side, answer in side_words(plan.layout.host, levels.answers(way[-1], accent, exact=True)):
            done = answer.done
            if done is None or done.refused:
                continue
            state = conflicts.strokes.rules.state(done.modifiers | done.closed)
            typed = key.types.get(state & key.selectors)
            if state == asked or (state in key.types and typed == stroke.types):
                continue
            told = (
                f"the machine types {shown(typed.text) if typed else 'nothing'} with it"
                if typed != stroke.types
                else f"the machine file does not say what {key.name} types with {machine.state_name(state)}"
            )
            with_side = f" with {side}" if side else ""
            yield Report(
                f"{printed_press(plan.layout.host, way)}{with_side} types {shown(stroke.types.text)}, but the host "
                f"modifier that is held for it reaches the machine as {machine.state_name(state - asked)}, and {told}",
                place=place,
                at_most=Severity.WARNING if typed != stroke.types else Severity.NOTE,
            )


def _choosing_a_character(levels: Levels) -> Iterator[tuple[Way, Stroke, Place | None]]:
    """Presses of one contact with modifiers held only to choose the text: without them, they do something else."""
    plan = levels.every.plan
    feeding = feeding_usages(plan)
    for binding in plan.bindings:
        trigger, stroke = binding.trigger, binding.action
        if not levels.is_key(trigger.usage):
            continue
        if isinstance(stroke, Stroke) and trigger.usage not in feeding and len(stroke.contacts) == 1:
            plain = plan.by_trigger.get(Trigger(usage=trigger.usage, level=1))
            if plain != stroke or trigger.level == 1:
                yield (trigger,), stroke, binding.place
    for way, stroke in pairs(plan):
        accent, press = plan.dead_keys.triggers[way[0]], way[-1]
        if (
            press.level > 1
            and plan.dead_keys.pairs.get((accent, press.usage, 1)) != stroke
            and levels.is_key(press.usage)
        ):
            yield way, stroke, None


UNASKED_MODIFIER = CheckRule(
    slug="unasked-modifier",
    severity=Severity.WARNING,
    purpose="A host modifier reaches the machine together with a character that does not need it.",
    explanation=(
        "The typist holds a host modifier to choose the character, and the same key feeds a modifier of the "
        "machine that the stroke lets pass. The finding is a warning if the machine file says that the key then "
        "types something else, and a note if it says nothing. A level that does not feed the machine, such as "
        "AltGr, avoids it."
    ),
    bad="pass: {Alt: blazon}\nkeys: {Alt+KeyD: shift + at}",
    good="pass: {Alt: blazon}\nkeys: {F9: shift + at}",
    function=_unasked,
)


def _unreachable_states(conflicts: PlanConflicts) -> Iterator[Report]:
    machine = conflicts.plan.layout.machine
    reached = pressed_states(conflicts.strokes.every, usual=True)
    contacts = {contact for contact, _ in reached}
    keys = [key for key in machine.keys if key.contact in contacts and not machine.modifier_of(key.name)]
    names = [modifier.name for modifier in machine.modifiers]
    for state in [frozenset(choice) for count in (1, 2) for choice in combinations(names, count)]:
        missing = [key.name for key in keys if (key.contact, state) not in reached]
        if missing and len(missing) == len(keys):
            yield Report(
                f"nobody can hold {machine.state_name(state)} with any key of the machine; feed it by a host key under "
                "pass or keys",
                cases=len(missing),
            )
        elif missing:
            yield Report(
                f"nobody can press with {machine.state_name(state)} held: {', '.join(missing)}", cases=len(missing)
            )


UNREACHABLE_STATE = CheckRule(
    slug="unreachable-state",
    severity=Severity.NOTE,
    purpose="No host combination presses a certain key of the machine with a certain modifier of the machine held.",
    explanation=(
        "Programs on the machine may ask for Control together with any key. For each modifier, and for each pair "
        "of modifiers, the finding lists the keys that no press closes with exactly these held."
    ),
    bad="keys: {KeyA: a}",
    good="keys: {KeyA: a, ShiftLeft: shift-left}",
    function=_unreachable_states,
)


def _sides(conflicts: PlanConflicts, split: bool) -> Iterator[Report]:
    strokes = conflicts.strokes
    machine = conflicts.plan.layout.machine
    wording = conflicts.wording
    for modifier in machine.modifiers:
        contacts = {machine.key(name).contact: name for name in modifier.keys}
        fed = {contact for contact in strokes.feeds.values() if contact in contacts}
        if len(contacts) < 2 or not fed or (len(fed) > 1) is not split:
            continue
        feeders = [
            f"{wording.feeder(1 << strokes.modifier_keys.index(contact))[1]} closes {contacts[contact]}"
            for contact in sorted(fed)
        ]
        if split:
            yield Report(
                f"{', '.join(feeders)}: the sides of {modifier.name} are separate, as on the machine; strokes that "
                "need one side contradict those that need the other"
            )
        else:
            rest = [name for contact, name in contacts.items() if contact not in fed]
            sides = ", with either side held," if list(strokes.feeds.values()).count(*fed) > 1 else ""
            yield Report(
                f"{feeders[0]}{sides} and never {', '.join(rest)}: programs cannot tell the sides of {modifier.name} "
                "apart"
            )


def _merged(conflicts: PlanConflicts) -> Iterator[Report]:
    return _sides(conflicts, split=False)


def _split(conflicts: PlanConflicts) -> Iterator[Report]:
    return _sides(conflicts, split=True)


MODIFIER_SIDES_MERGED = CheckRule(
    slug="modifier-sides-merged",
    severity=Severity.NOTE,
    purpose="Two keys of one machine modifier work as one.",
    explanation=(
        "Symbolic layouts close one key of the machine's modifier for both host keys. So nothing changes if one "
        "side is released while the other is held. Few programs distinguish the sides."
    ),
    bad="join: symbolic",
    good="keys: {ShiftLeft: shift-left, ShiftRight: shift-right}",
    function=_merged,
)
MODIFIER_SIDES_SPLIT = CheckRule(
    slug="modifier-sides-split",
    severity=Severity.NOTE,
    purpose="Two keys of one machine modifier are worked by different host keys.",
    explanation=(
        "Positional layouts keep the sides separate. Both can be closed at once, which adds a contact to "
        "everything that is pressed meanwhile."
    ),
    bad="keys: {ShiftLeft: shift-left, ShiftRight: shift-right}",
    good="keys: {ShiftLeft: shift-left, ShiftRight: shift-left}",
    function=_split,
)


def _blind_locks(conflicts: PlanConflicts) -> Iterator[Report]:
    machine = conflicts.plan.layout.machine
    for line in conflicts.plan.layout.locks:
        if line.key not in machine.latching:
            yield Report(
                f"{line.text} presses {line.key}. The adapter cannot see the state that the machine keeps, so the "
                "light on the host's keyboard cannot show it",
                place=line.place,
            )


LOCK_NOT_MIRRORED = CheckRule(
    slug="lock-not-mirrored",
    severity=Severity.WARNING,
    purpose="A host lock works a lock of the machine, and the adapter cannot see that lock's state.",
    explanation=(
        "The adapter itself closes a mechanical latch, so the light can follow it. A lock that the machine's "
        "program keeps may change without the adapter."
    ),
    bad="locks: {CapsLock: lock}",
    good="locks: {CapsLock: blazon-latch}",
    function=_blind_locks,
)

RULES = (
    UNASKED_MODIFIER,
    UNREACHABLE_STATE,
    MODIFIER_SIDES_MERGED,
    MODIFIER_SIDES_SPLIT,
    LOCK_NOT_MIRRORED,
)
