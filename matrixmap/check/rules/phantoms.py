"""Phantoms: contacts that host keys close together and that make the machine read one more."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from matrixmap.check.engine.conflict_words import ConflictWords, contacts_of
from matrixmap.check.engine.conflicts import Conflict, likeliest, unlikely
from matrixmap.check.engine.plan_conflicts import PlanConflicts
from matrixmap.check.engine.playing import Made
from matrixmap.check.engine.record import CheckRule, Report
from matrixmap.check.engine.strokes import Item, closed_by, lies, lies_alone, own_ways
from matrixmap.hid.usages import Usage
from matrixmap.model.finding import Severity
from matrixmap.model.machine import Contact
from matrixmap.model.plan import Stroke
from matrixmap.model.press import Way
from matrixmap.model.witness import Witness
from matrixmap.model.words import shown, stroke_name
from matrixmap.press.rules import Cause

UNLIKELIEST = 1 << 16
"""The likelihood of findings that come after all others of their rule."""

BEYOND = "the runtime never closes more at once"
"""Said about all conflicts together that press more keys than the machine tells apart."""

NOT_MADE = "but each of these presses opens the one before it, so this does not happen"
"""Said about strokes that no order of presses closes together."""


def _lying_strokes(conflicts: PlanConflicts) -> Iterator[Report]:
    """Ways to make a stroke that make a phantom with the modifiers held for them, on whatever side."""
    strokes, wording = conflicts.strokes, conflicts.wording
    cases: dict[tuple[int, bool], list[tuple[Item, Way]]] = {}
    for item in strokes.items:
        ways = own_ways(item)
        lying = [way for way in ways if lies(strokes, item, way)]
        for way in lying:
            spared = len(lying) < len(ways)
            cases.setdefault((closed_by(strokes, item, way), spared), []).append((item, way))
    for (closed, spared), found in cases.items():
        item, way = found[0]
        contacts = contacts_of(closed)
        extra = contacts_of(strokes.bare.phantoms(closed))
        witness = Witness(presses=(way,), closed=contacts, phantoms=extra)
        played = wording.hands.play((), (way,), 0)
        read = (
            ""
            if played.refused([item.usage]) or not conflicts.plan.guard
            else " by its modifiers, which the guard leaves"
        )
        other = f"; {wording.cap(next(each for each in own_ways(item) if each != way))} does it too" if spared else ""
        yield Report(
            f"{wording.press(witness)}: {_told_alone(conflicts, item.stroke, contacts, extra, read)}{other}",
            place=wording.place_of(way) or wording.place([item for item, _ in found]),
            cases=len(found),
            witness=witness,
            likelihood=item.unlikelihood,
            at_most=Severity.ERROR if wording.place_of(way) or not spared else Severity.WARNING,
        )
    known = {item.stroke for found in cases.values() for item, _ in found}
    for accent, stroke in conflicts.plan.dead_keys.accents.items():
        contacts = tuple(sorted({*stroke.contacts, *stroke.holds}))
        extra = contacts_of(strokes.bare.phantoms(sum(1 << contact for contact in contacts)))
        if extra and stroke not in known:
            press = f"press the dead key {shown(accent)}, then a key that makes no pair with it"
            yield Report(f"{press}: {_told_alone(conflicts, stroke, contacts, extra)}")


def _told_alone(
    conflicts: PlanConflicts, stroke: Stroke, closed: tuple[Contact, ...], extra: tuple[Contact, ...], read: str = ""
) -> str:
    return (
        f"{stroke_name(conflicts.plan.layout.machine, stroke)} closes {conflicts.wording.closes(closed)}, and the machine also reads "
        f"{conflicts.wording.reads(extra, closed)}{read}; choose another stroke, or close contacts through diodes"
    )


STROKE_MAKES_PHANTOM = CheckRule(
    slug="stroke-makes-phantom",
    severity=Severity.ERROR,
    purpose="One press alone makes the machine read a key that is not pressed.",
    explanation=(
        "Three contacts of one stroke, including its modifiers, are at three corners of a rectangle of select and "
        "sense lines, and current finds its way to the fourth. The guard refuses such a stroke, so the key never "
        "works. The exception is a stroke with three modifiers, because the guard never opens modifiers. Other "
        "keys avoid the phantom, and so do diodes in the adapter; diodes-cost-margin says what diodes cost."
    ),
    bad="keys: {F9: q + o + a}",
    good="keys: {F9: q + o}",
    function=_lying_strokes,
)


def _told(conflicts: PlanConflicts, pressed: int, severity: Severity) -> Iterator[Report]:
    """The phantoms of this many keys and more modifiers, each in words, with what the runtime does about them."""
    wording = conflicts.wording
    closed, beyond = _closed_together(conflicts, pressed)
    told, more = likeliest(closed)
    for conflict in told:
        after, most = what_happens(conflicts, conflict, "read", severity)
        report = _report(wording, conflict, f"; {after}", most, lambda closed: _phantoms_of(conflicts, closed))
        if report:
            yield report
    if beyond:
        sets = "one set of contacts" if beyond == 1 else f"{beyond} sets of contacts"
        yield never_together(conflicts, f"{sets} would make a phantom", beyond)
    if more:
        yield not_told(more, "sets of contacts would make a phantom", severity)


def _closed_together(conflicts: PlanConflicts, pressed: int) -> tuple[list[Conflict], int]:
    """The phantoms of this many keys to report, and how many more press more keys than the machine tells apart."""
    strokes, found, beyond = conflicts.strokes, [], 0
    for conflict in conflicts.by_keys.get(pressed, ()):
        # The guard refuses a single key whatever is read; for more keys, a crosspoint without a key is another rule's
        # matter.
        if not conflict.how.fed if pressed == 1 else conflict.extra[0] not in strokes.keys:
            continue
        if pressed == 1 and (
            lies_alone(strokes, conflict.items[0]) or not conflicts.wording.made(conflict.items, conflict.how.fed)
        ):
            continue
        if exceeds_rollover(conflicts, conflict):
            beyond += 1
        else:
            found.append(conflict)
    return found, beyond


def not_told(more: int, what: str, severity: Severity) -> Report:
    """The conflicts of a kind beyond those that are reported one by one."""
    text = (
        f"{more} more {what}, of keys that are less likely to be held together; they are counted here, not listed "
        "one by one"
    )
    return Report(text, cases=more, likelihood=UNLIKELIEST, at_most=severity)


def exceeds_rollover(conflicts: PlanConflicts, conflict: Conflict) -> bool:
    """Whether a conflict presses more keys than the machine tells apart, so that they never stay closed together."""
    rollover = conflicts.plan.layout.machine.scan.rollover
    if rollover is None or len(conflict.items) < 2:
        return False
    keys = 0
    for item in conflict.items:
        keys += (item.mask & conflicts.strokes.rules.crosspoints).bit_count()
    return keys > rollover


def never_together(conflicts: PlanConflicts, what: str, cases: int) -> Report:
    """All conflicts of a kind that press more keys than the machine tells apart, as one report."""
    rollover = conflicts.plan.layout.machine.scan.rollover
    apart = "1 key" if rollover == 1 else f"{rollover} keys"
    text = f"the machine can tell {apart} apart, and {BEYOND}; with more keys {what}"
    return Report(text, cases=cases, likelihood=UNLIKELIEST, at_most=Severity.NOTE)


def _phantoms_of(conflicts: PlanConflicts, closed: tuple[Contact, ...]) -> frozenset[Contact]:
    return frozenset(contacts_of(conflicts.strokes.bare.phantoms(sum(1 << contact for contact in closed))))


def what_happens(conflicts: PlanConflicts, conflict: Conflict, verb: str, severity: Severity) -> tuple[str, Severity]:
    """What the runtime does about a conflict, and the most harm that is then left.

    `verb` says what happens if the runtime leaves it closed: it is read, or it happens.
    """
    items = conflict.items
    made = conflicts.wording.made(items, conflict.how.fed)
    if made is None:
        return NOT_MADE, Severity.NOTE
    numbered, causes, count = conflicts.wording.hands.comes_of(made)
    if numbered:
        refused = {made.presses[number][-1].usage: cause for number, cause in numbered}
        return _refused_words(conflicts, made, refused, severity if len(items) == 1 else Severity.NOTE)
    if causes:
        return _opened_words(conflicts, len(items), count, causes), Severity.NOTE
    if conflicts.plan.guard:
        part = "the key plays no part in it, and " if items and conflict.extra else ""
        return f"{part}the guard opens no modifiers, so this is {verb}", Severity.WARNING
    return f"the guard is off, so this is {verb}", severity


def _refused_words(
    conflicts: PlanConflicts, made: Made, refused: Mapping[Usage, Cause], severity: Severity
) -> tuple[str, Severity]:
    cause = next(iter(refused.values()))
    if len(made.presses) == 1:
        after = "; if the key was held before them, it opens when they close" if made.held and not made.first else ""
        reason = {
            Cause.PHANTOM: "the guard does not close the key after these modifiers"
            if made.held or any(press.hold for press in made.presses[0])
            else "the guard never closes the stroke",
            Cause.ROLLOVER: "the stroke presses more keys than the machine can tell apart, and is refused",
            Cause.CONTACT: "one of its contacts is already closed, and the press is refused",
        }[cause]
        return f"{reason}{after}", severity
    names = {way[-1].usage: conflicts.wording.cap(way) for way in made.presses}
    which = " and ".join(names[usage] for usage in refused)
    return f"the runtime refuses {which}, so this does not happen", Severity.NOTE


def _opened_words(conflicts: PlanConflicts, pressed: int, count: int, causes: frozenset[Cause]) -> str:
    """The rule that keeps strokes from staying closed together, and how many of them are opened."""
    older = "the oldest key" if pressed > 2 else "the older key"
    if count > 1 or pressed < 2:
        older = "all of these keys" if count == pressed else "the older keys"
    rollover = conflicts.plan.layout.machine.scan.rollover
    if causes == {Cause.ROLLOVER}:
        apart = "1 key" if rollover == 1 else f"{rollover} keys"
        return f"the machine can tell {apart} apart, so the runtime opens {older}"
    if causes == {Cause.PHANTOM}:
        return f"the guard opens {older}"
    if causes == {Cause.ROLLOVER, Cause.PHANTOM}:
        return f"the guard or the limit of {rollover} keys opens {older}"
    return f"the runtime opens {older}, because the newest contradicts it"


def _report(
    wording: ConflictWords,
    conflict: Conflict,
    after: str,
    severity: Severity,
    machine_reads: Callable[[tuple[Contact, ...]], frozenset[Contact]],
) -> Report | None:
    """A conflict in words; None if a further key that a press needs closes the phantom's own corner."""
    items, fed, combinations = conflict.how
    extra = conflict.extra
    witness = wording.witness(items, fed, extra)
    if witness.closed != conflict.contacts:
        extra = tuple(sorted(machine_reads(witness.closed)))
        if not extra:
            return None
        witness = witness._replace(phantoms=extra)
    return Report(
        f"{wording.press(witness)}: {wording.closes(witness.closed)} close, and the machine also reads "
        f"{wording.reads(extra, witness.closed)}{after}",
        wording.place(items),
        combinations,
        witness,
        unlikely(conflict),
        severity,
    )


def _guarded(conflicts: PlanConflicts) -> Severity:
    """Phantoms that the guard prevents are notes."""
    return Severity.NOTE if conflicts.plan.guard else Severity.WARNING


def _of_modifiers(conflicts: PlanConflicts) -> Iterator[Report]:
    return _told(conflicts, 0, Severity.WARNING)


MODIFIERS_MAKE_PHANTOM = CheckRule(
    slug="modifiers-make-phantom",
    severity=Severity.WARNING,
    purpose="Modifiers alone, held together, make the machine read a key that is not pressed.",
    explanation="The guard never opens a modifier that the typist holds, so it cannot prevent this phantom.",
    bad="S0: [shift-left, helm, a]\nS1: [blazon, b, c]",
    good="S0: [shift-left, a, b]\nS1: [c, helm, d]\nS2: [e, f, blazon]",
    of_machine=True,
    function=_of_modifiers,
)


def _with_modifiers(conflicts: PlanConflicts) -> Iterator[Report]:
    return _told(conflicts, 1, Severity.WARNING)


MODIFIER_MAKES_PHANTOM = CheckRule(
    slug="modifier-makes-phantom",
    severity=Severity.WARNING,
    purpose="One key, with host modifiers held, makes the machine read a key that is not pressed.",
    explanation=(
        "The guard does not open modifiers. If the newest key makes a phantom together with the modifiers, the key "
        "is not closed, and the press counts as refused. Another key of the same modifier may avoid it."
    ),
    bad="keys: {ShiftLeft: shift-left, AltLeft: blazon, KeyR: r}",
    good="keys: {ShiftLeft: shift-right, AltLeft: blazon, KeyR: r}",
    of_machine=True,
    function=_with_modifiers,
)


def _of_two(conflicts: PlanConflicts) -> Iterator[Report]:
    return _told(conflicts, 2, _guarded(conflicts))


TWO_KEYS_MAKE_PHANTOM = CheckRule(
    slug="two-keys-make-phantom",
    severity=Severity.WARNING,
    purpose="Two keys held together, with their modifiers, make the machine read a third key.",
    explanation=(
        "Two keys and a modifier are at three corners of a rectangle. With the guard on, the older key opens when "
        "the newer one closes, so the machine reads the key that was typed last; then the finding is a note."
    ),
    bad="keys: {ShiftLeft: shift-left, KeyJ: j, KeyP: p}",
    good="keys: {ShiftLeft: shift-left, KeyJ: j, KeyA: a}",
    of_machine=True,
    function=_of_two,
)


def _of_three(conflicts: PlanConflicts) -> Iterator[Report]:
    return _told(conflicts, 3, _guarded(conflicts))


THREE_KEYS_MAKE_PHANTOM = CheckRule(
    slug="three-keys-make-phantom",
    severity=Severity.WARNING,
    purpose="Three keys held together make the machine read a fourth key.",
    explanation=(
        "The keys are at three corners of a rectangle of select and sense lines. With the guard on, the oldest key "
        "opens when the newest one closes; then the finding is a note. Games hold three keys; typists seldom do."
    ),
    bad="keys: {KeyQ: q, KeyO: o, KeyA: a}",
    good="keys: {KeyQ: q, KeyW: w, KeyE: e}",
    of_machine=True,
    function=_of_three,
)


def _without_key(conflicts: PlanConflicts) -> Iterator[Report]:
    wording = conflicts.wording
    keys = conflicts.strokes.keys
    cases: dict[Contact, list[Conflict]] = {}
    for conflict in conflicts.phantoms:
        if conflict.extra[0] not in keys and len(conflict.items) != 1:
            cases.setdefault(conflict.extra[0], []).append(conflict)
    for same in cases.values():
        told = (
            _report(wording, each, "", Severity.NOTE, lambda closed: _phantoms_of(conflicts, closed))
            for each in sorted(same, key=unlikely)
        )
        report = next(filter(None, told), None)
        if report is None:
            continue
        yield Report(
            f"{report.text}; nothing is typed there, but a machine that counts closed crosspoints may ignore these keys",
            place=report.place,
            cases=len(same),
            witness=report.witness,
            likelihood=report.likelihood,
        )


PHANTOM_WITHOUT_KEY = CheckRule(
    slug="phantom-without-key",
    severity=Severity.NOTE,
    purpose="Keys held together make the machine read a crosspoint that has no key.",
    explanation=(
        "It types nothing, but a machine that counts closed crosspoints may then ignore all keys. There is one "
        "finding for each crosspoint, with the number of sets of contacts that reach it."
    ),
    bad="S0: [a, b]\nS1: [c, none]",
    good="S0: [a, b]\nS1: [c, d]",
    of_machine=True,
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
