"""The adapter and its keyboard: what a report can carry, the guard, and contacts that follow select lines."""

from __future__ import annotations

from collections.abc import Iterator

from matrixmap.check.guard import held_contacts
from matrixmap.check.record import CheckRule, Report
from matrixmap.check.study import Study
from matrixmap.check.subject import Item, Subject
from matrixmap.check.ways import held_and_lifted, together
from matrixmap.circuit.reading import phantoms, phantoms_possible
from matrixmap.hid.usages import BOOT_KEYS, MODIFIER_BITS
from matrixmap.model.finding import Severity
from matrixmap.model.layout import Contacts


def _beyond_six(study: Study) -> Iterator[Report]:
    """The smallest set of keys that the machine reads rightly and that needs a seventh place in the report."""
    subject = study.subject
    machine = study.plan.layout.machine
    fed_by_keys = {contact for usage, contact in subject.feeds.items() if usage not in MODIFIER_BITS}
    most = machine.scan.rollover if machine.scan.rollover is not None else BOOT_KEYS + 1
    if most + len(fed_by_keys) <= BOOT_KEYS:
        return
    held = sum(1 << subject.modifier_keys.index(contact) for contact in fed_by_keys)
    for bits in dict.fromkeys((0, held)):
        wanted = BOOT_KEYS + 1 - bits.bit_count()
        for items in _by_line(subject):
            chosen = _read_rightly(subject, items, bits, wanted) if wanted <= most else ()
            if len(chosen) == wanted:
                teller = study.teller
                witness = teller.witness(chosen, bits)
                yield Report(
                    f"{teller.press(witness)}: the machine reads all of them rightly, but a boot report has {BOOT_KEYS} places "
                    "besides the modifiers, so the keyboard reports none of them",
                    witness=witness,
                    place=teller.place(chosen),
                )
                return


def _by_line(subject: Subject) -> Iterator[list[Item]]:
    """Strokes by the select line, then by the sense line, of their first contact, and last all of them."""
    width = len(subject.plan.layout.machine.sense)
    items = sorted(subject.items, key=lambda item: item.unlikelihood)
    for by_sense in (False, True):
        lines: dict[int, list[Item]] = {}
        for item in items:
            lines.setdefault(divmod(item.stroke.contacts[0], width)[by_sense], []).append(item)
        yield from lines.values()
    yield items


def _read_rightly(subject: Subject, items: list[Item], bits: int, wanted: int) -> tuple[Item, ...]:
    """The first strokes, up to a number, that can be closed together with some modifiers and make no phantom."""
    plan = subject.plan
    chosen: tuple[Item, ...] = ()
    for item in items:
        wider = (*chosen, item)
        hold, lift = held_and_lifted(wider)
        closed = held_contacts(subject, hold | bits) | {contact for each in wider for contact in each.stroke.contacts}
        fits = together(wider) and not bits & lift
        if len(wider) <= wanted and fits and not phantoms(plan.layout.machine, closed, plan.contacts):
            chosen = wider
    return chosen


BEYOND_SIX_KEYS = CheckRule(
    slug="beyond-six-keys",
    severity=Severity.NOTE,
    purpose="The machine reads more keys at once than a boot report carries.",
    explanation="A boot report has six places besides the modifiers (HID 1.11, appendix B.1). With a seventh key held, the "
    "keyboard sends ErrorRollOver in every place (appendix C), and the runtime keeps what it had. A keyboard that reports a "
    "bitmap of all keys does not have this limit.",
    bad="scan: {period_us: 20000}",
    good="scan: {period_us: 20000, rollover: 2}",
    function=_beyond_six,
)


def _guard_off(study: Study) -> Iterator[Report]:
    layout = study.plan.layout
    if not study.plan.guard and phantoms_possible(layout.machine, layout.contacts):
        yield Report(
            "the guard is off, and phantoms are possible: keys held together may be read as others, and more keys than the "
            "machine tells apart may be lost or read out of order"
        )


GUARD_IS_OFF = CheckRule(
    slug="guard-is-off",
    severity=Severity.WARNING,
    purpose="The layout switches the phantom guard off although phantoms are possible.",
    explanation="Games may want what the bare keyboard did. The findings on keys held together then are what the machine reads.",
    bad="guard: off",
    good="guard: on",
    function=_guard_off,
)


def _follows_in_time(study: Study) -> Iterator[Report]:
    layout = study.plan.layout
    if layout.contacts is not Contacts.FOLLOWS_SELECT:
        return
    time = layout.machine.scan.strobe_to_read_us
    if time is None:
        yield Report(
            "contacts follow the select lines, but the machine's file does not say how soon after a strobe the sense lines are "
            "read; measure it and write strobe_to_read_us"
        )
    else:
        yield Report(
            f"contacts follow the select lines: the firmware has {time:g} microseconds from strobe to read, interrupts counted",
            at_most=Severity.NOTE,
        )


LITTLE_TIME_TO_FOLLOW = CheckRule(
    slug="little-time-to-follow",
    severity=Severity.WARNING,
    purpose="Contacts follow the select lines in software, and the time for that is short or not known.",
    explanation="Between strobing a select line and reading the sense lines the firmware must have driven them. A stated time "
    "makes it a note; switches that close a crosspoint have no such limit.",
    bad="contacts: follows-select",
    good="contacts: switch",
    function=_follows_in_time,
)


def _too_many_keys(study: Study) -> Iterator[Report]:
    machine = study.plan.layout.machine
    rollover = machine.scan.rollover
    for item in study.subject.items:
        keys = sum(contact < machine.crosspoints for contact in item.stroke.contacts)
        if rollover is not None and keys > rollover:
            yield Report(
                f"{study.teller.press(study.teller.witness((item,), 0))}: the stroke presses {keys} keys, but the machine tells "
                f"{rollover} apart; the runtime never closes it",
                place=study.teller.place((item,)),
                cases=len(item.ways),
            )


STROKE_EXCEEDS_ROLLOVER = CheckRule(
    slug="stroke-exceeds-rollover",
    severity=Severity.ERROR,
    purpose="A stroke presses more keys than the machine tells apart.",
    explanation="The machine's file says how many keys, modifiers apart, may be held while each is still read. The runtime "
    "closes no more, with the guard off too, so such a stroke is refused each time.",
    bad="keys: {F9: d1 + q + a}",
    good="keys: {F9: d1 + q}",
    function=_too_many_keys,
)

RULES = (STROKE_EXCEEDS_ROLLOVER, BEYOND_SIX_KEYS, GUARD_IS_OFF, LITTLE_TIME_TO_FOLLOW)
