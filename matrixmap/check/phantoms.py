"""Phantoms: contacts that host keys close together and that make the machine read one more."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from matrixmap.check.conflicts import Conflict
from matrixmap.check.record import CheckRule, Report
from matrixmap.check.study import Study
from matrixmap.check.subject import Item, are_plain
from matrixmap.check.telling import Teller
from matrixmap.check.ways import held_and_lifted
from matrixmap.circuit.reading import phantoms
from matrixmap.model.finding import Severity
from matrixmap.model.machine import Contact
from matrixmap.model.plan import Stroke
from matrixmap.model.words import shown, stroke_name


def _lying_strokes(study: Study) -> Iterator[Report]:
    subject, plan, teller = study.subject, study.plan, study.teller
    cases: dict[tuple[Contact, ...], list[Item]] = {}
    for item in subject.items:
        cases.setdefault(_alone(item.stroke), []).append(item)
    for closed, items in cases.items():
        extra = tuple(sorted(phantoms(plan.layout.machine, closed, plan.contacts)))
        if extra:
            witness = teller.witness((items[0],), 0, extra)
            read = (
                ""
                if not plan.guard or teller.guard.refuses(items[0], 0)
                else " by its modifiers, which the guard leaves"
            )
            yield Report(
                f"{teller.press(witness)}: {_told_alone(study, items[0].stroke, extra, read)}",
                place=teller.place(items),
                cases=sum(len(item.ways) for item in items),
                witness=witness,
                likelihood=items[0].unlikelihood,
            )
    for accent, stroke in plan.dead_keys.accents.items():
        closed = _alone(stroke)
        extra = tuple(sorted(phantoms(plan.layout.machine, closed, plan.contacts)))
        if extra and closed not in cases:
            press = f"press the dead key {shown(accent)}, then a key that is no pair with it"
            yield Report(f"{press}: {_told_alone(study, stroke, extra)}")


def _alone(stroke: Stroke) -> tuple[Contact, ...]:
    """What a stroke closes while the typist holds no modifier besides."""
    return tuple(sorted({*stroke.contacts, *stroke.holds}))


def _told_alone(study: Study, stroke: Stroke, extra: tuple[Contact, ...], read: str = "") -> str:
    closed = _alone(stroke)
    return (
        f"{stroke_name(study.plan.layout.machine, stroke)} closes {study.teller.closes(closed)}, and the machine also reads "
        f"{study.teller.reads(extra, closed)}{read}; choose another stroke, or close contacts through diodes"
    )


STROKE_MAKES_PHANTOM = CheckRule(
    slug="stroke-makes-phantom",
    severity=Severity.ERROR,
    purpose="One press alone makes the machine read a key that is not pressed.",
    explanation="Three contacts of one stroke, its modifiers counted, lie at three corners of a rectangle of select and "
    "sense lines, and current finds its way to the fourth. The guard refuses such a stroke, so the key never works, save "
    "where all three are modifiers: these it never opens. "
    "Other keys avoid it, and so do diodes in the adapter.",
    bad="keys: {F9: d1 + q + d2}",
    good="keys: {F9: d1 + q}",
    function=_lying_strokes,
)


def _told(study: Study, pressed: int, guarded: str, severity: Severity) -> Iterator[Report]:
    """The phantoms of so many keys and more modifiers, each in words; `guarded` says what the guard does about them."""
    machine, how = study.plan.layout.machine, study.plan.contacts
    teller = study.teller
    keys = study.subject.keys

    def machine_reads(closed: tuple[Contact, ...]) -> frozenset[Contact]:
        return phantoms(machine, closed, how)

    for conflict in study.by_keys.get(pressed, ()):
        # The guard refuses a key whatever it would be read as; else a crosspoint without a key is another matter.
        if not conflict.how.fed if pressed == 1 else conflict.extra[0] not in keys:
            continue
        after, most = what_happens(study, conflict, guarded, "the guard is off, so this is read", severity)
        yield _report(teller, conflict, f"; {after}", most, machine_reads)


def what_happens(
    study: Study, conflict: Conflict, guarded: str, unguarded: str, severity: Severity
) -> tuple[str, Severity]:
    """What the runtime makes of a conflict, and how harmful it then is at most.

    `guarded` and `unguarded` are what it does with the guard on and off, if nothing else keeps it from it.
    """
    guard, items = study.teller.guard, conflict.items
    # Keys alone are closed alone and in any order, so most conflicts need not be asked.
    if conflict.how.fed or not are_plain(items):
        fed = conflict.how.fed | study.teller.needed(items, held_and_lifted(items)[0])
        own = study.teller.own
        if len(items) > 1 and any(guard.refuses(item, fed | own(item.trigger)) for item in items):
            return (
                "the runtime does not close one of these strokes even alone, so it does not come to that",
                Severity.NOTE,
            )
        if not study.teller.can_be_made(items, conflict.how.fed):
            opens = "but each of these presses opens what was pressed before it, so it does not come to that"
            return opens, Severity.NOTE
    if study.plan.guard:
        if not items or (len(items) == 1 and not guard.refuses(items[0], conflict.how.fed)):
            part = ", and the key has no part in it" if items and conflict.extra else ""
            return f"modifiers are never opened{part}, so this is read", Severity.WARNING
        return guarded, severity
    machine = study.plan.layout.machine
    keys = sum(contact < machine.crosspoints for item in items for contact in item.stroke.contacts)
    if machine.scan.rollover is not None and keys > machine.scan.rollover:
        apart = "the guard is off, but the machine tells fewer keys apart, so the runtime does not close them all"
        return apart, Severity.NOTE
    return unguarded, severity


def _report(
    teller: Teller,
    conflict: Conflict,
    after: str,
    severity: Severity,
    machine_reads: Callable[[tuple[Contact, ...]], frozenset[Contact]],
) -> Report:
    items, fed, combinations = conflict.how
    extra = conflict.extra
    witness = teller.witness(items, fed, extra)
    if len(witness.closed) > len(conflict.contacts):
        extra = tuple(sorted(machine_reads(witness.closed)))
        witness = teller.witness(items, fed, extra)
    return Report(
        f"{teller.press(witness)}: {teller.closes(witness.closed)} close, and the machine also reads "
        f"{teller.reads(extra, witness.closed)}{after}",
        teller.place(items),
        combinations,
        witness,
        unlikely(conflict),
        severity,
    )


def unlikely(conflict: Conflict) -> int:
    """How unlikely the keys of a conflict are to be held together."""
    items, fed, _ = conflict.how
    total = 2 * fed.bit_count()
    for item in items:
        total += item.unlikelihood
    return total


def _guarded(study: Study) -> Severity:
    """Phantoms that the guard prevents are notes."""
    return Severity.NOTE if study.plan.guard else Severity.WARNING


def _of_modifiers(study: Study) -> Iterator[Report]:
    return _told(study, 0, "", Severity.WARNING)


MODIFIERS_MAKE_PHANTOM = CheckRule(
    slug="modifiers-make-phantom",
    severity=Severity.WARNING,
    purpose="Modifiers alone, held together, make the machine read a key that is not pressed.",
    explanation="The guard never opens a modifier that the typist holds, so this is the one phantom that it lets pass.",
    bad="keys: {ShiftLeft: shift-left, ControlLeft: control, AltLeft: graph}",
    good="keys: {ShiftLeft: shift-left, ControlLeft: control}",
    function=_of_modifiers,
)


def _with_modifiers(study: Study) -> Iterator[Report]:
    after = "the guard does not close the key, and the press is lost"
    return _told(study, 1, after, Severity.WARNING)


MODIFIER_MAKES_PHANTOM = CheckRule(
    slug="modifier-makes-phantom",
    severity=Severity.WARNING,
    purpose="One key, with host modifiers held, makes the machine read a key that is not pressed.",
    explanation="Modifiers are not opened by the guard. Where the newest key and the modifiers make a phantom, the key is "
    "not closed, and the press is counted as refused. Feeding a modifier through another of its keys may avoid it.",
    bad="keys: {ShiftLeft: shift-left, ControlLeft: control, KeyQ: q}",
    good="keys: {ShiftLeft: shift-left, ControlLeft: control, KeyB: b}",
    function=_with_modifiers,
)


def _of_two(study: Study) -> Iterator[Report]:
    after = "the guard opens the older key"
    return _told(study, 2, after, _guarded(study))


TWO_KEYS_MAKE_PHANTOM = CheckRule(
    slug="two-keys-make-phantom",
    severity=Severity.WARNING,
    purpose="Two keys held together, with their modifiers, make the machine read a third.",
    explanation="Two keys and a modifier lie at three corners of a rectangle. With the guard on the older key is opened "
    "when the newer one closes, so the machine reads what was typed last; then this is a note.",
    bad="keys: {ShiftLeft: shift-left, KeyQ: q, KeyW: w}",
    good="keys: {ShiftLeft: shift-left, KeyQ: q, KeyA: a}",
    function=_of_two,
)


def _of_three(study: Study) -> Iterator[Report]:
    after = "the guard opens the oldest key"
    return _told(study, 3, after, _guarded(study))


THREE_KEYS_MAKE_PHANTOM = CheckRule(
    slug="three-keys-make-phantom",
    severity=Severity.WARNING,
    purpose="Three keys held together make the machine read a fourth.",
    explanation="The keys lie at three corners of a rectangle of select and sense lines. With the guard on the oldest key "
    "is opened when the newest one closes; then this is a note. Games hold three keys, typists seldom do.",
    bad="keys: {KeyQ: q, KeyW: w, KeyA: a}",
    good="keys: {KeyQ: q, KeyW: w, KeyE: e}",
    function=_of_three,
)


def _without_key(study: Study) -> Iterator[Report]:
    machine, how = study.plan.layout.machine, study.plan.contacts
    teller = study.teller
    keys = study.subject.keys
    cases: dict[Contact, list[Conflict]] = {}
    for conflict in study.phantoms:
        if conflict.extra[0] not in keys and len(conflict.items) != 1:
            cases.setdefault(conflict.extra[0], []).append(conflict)
    for conflicts in cases.values():
        worst = min(conflicts, key=unlikely)
        report = _report(teller, worst, "", Severity.NOTE, lambda closed: phantoms(machine, closed, how))
        yield Report(
            f"{report.text}; nothing is typed there, but a machine that counts closed crosspoints may ignore these keys",
            place=report.place,
            cases=len(conflicts),
            witness=report.witness,
            likelihood=report.likelihood,
        )


PHANTOM_WITHOUT_KEY = CheckRule(
    slug="phantom-without-key",
    severity=Severity.NOTE,
    purpose="Keys held together make the machine read a crosspoint that has no key.",
    explanation="Nothing is typed by it, but a machine that counts closed crosspoints may then ignore all keys. "
    "One finding a crosspoint, with the number of sets of contacts that reach it.",
    bad="S0: [a, b]\nS1: [c, none]",
    good="S0: [a, b]\nS1: [c, d]",
    function=_without_key,
)

RULES = (
    STROKE_MAKES_PHANTOM,
    MODIFIERS_MAKE_PHANTOM,
    MODIFIER_MAKES_PHANTOM,
    TWO_KEYS_MAKE_PHANTOM,
    THREE_KEYS_MAKE_PHANTOM,
    PHANTOM_WITHOUT_KEY,
)
