"""The adapter and its keyboard: what a report can carry, the guard, diodes, and contacts that follow select lines."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from matrixmap.check.counts.tally import subsets
from matrixmap.check.engine.plan_conflicts import PlanConflicts
from matrixmap.check.engine.record import CheckRule, Report
from matrixmap.check.engine.strokes import Item, PlanStrokes, held_contacts
from matrixmap.circuit.corners import corners_of
from matrixmap.circuit.following import AVR_MHZ, following_of
from matrixmap.circuit.margin import EXAMPLE, SCHOTTKY, SILICON, Diode, low_v
from matrixmap.circuit.reading import phantoms_possible
from matrixmap.hid.usages import BOOT_KEYS, MODIFIER_BITS
from matrixmap.model.finding import Severity
from matrixmap.model.layout import Contacts
from matrixmap.model.machine import Contact, Machine
from matrixmap.model.rule import Rule
from matrixmap.press.table.format import LONGEST_TICKS
from matrixmap.press.table.make import TableError, make_table


def _beyond_six(conflicts: PlanConflicts) -> Iterator[Report]:
    """The smallest set of keys that the machine reads correctly and that needs a seventh place in the report."""
    strokes = conflicts.strokes
    rollover = conflicts.plan.layout.machine.scan.rollover
    fed_by_keys = {contact for usage, contact in strokes.feeds.items() if usage not in MODIFIER_BITS}
    held = sum(1 << strokes.modifier_keys.index(contact) for contact in fed_by_keys)
    for bits in sorted(subsets(held), key=int.bit_count):
        wanted = BOOT_KEYS + 1 - bits.bit_count()
        if wanted < 1 or (rollover is not None and rollover < wanted):
            continue
        chosen = _Search(strokes, bits).find(wanted)
        if chosen:
            wording = conflicts.wording
            witness = wording.witness(chosen, bits)
            yield Report(
                f"{wording.press(witness)}: the machine reads all of them correctly, but a boot report has "
                f"{BOOT_KEYS} places besides the modifiers, so the keyboard reports none of them",
                witness=witness,
                place=wording.place(chosen),
            )
            return


class _State(NamedTuple):
    """Strokes chosen so far: their host keys, contacts and demands, and the contacts that would now make a phantom."""

    items: tuple[Item, ...] = ()
    usages: int = 0
    pressed: int = 0
    closed: int = 0
    hold: int = 0
    lift: int = 0
    lying: int = 0


class _Search:
    """Looks for strokes that can be closed together with some modifiers and have no three contacts that make a phantom.

    A set without a phantom has none with one contact less, so strokes may be tried in any order.
    """

    def __init__(self, strokes: PlanStrokes, bits: int) -> None:
        machine = strokes.plan.layout.machine
        self.strokes = strokes
        self.bits = bits
        self.matrix = (1 << machine.crosspoints) - 1
        self.rollover = machine.scan.rollover
        self.corners = corners_of(machine, strokes.plan.contacts)
        self.width = len(machine.sense)

    def find(self, wanted: int) -> tuple[Item, ...]:
        """As many strokes as wanted, the likeliest of one line first; empty if there are no such strokes."""
        items = sorted(self.strokes.items, key=lambda item: item.unlikelihood)
        start = self._with_modifiers(_State(hold=self.bits))
        if start is None:
            return ()
        for by_sense in (False, True):
            lines: dict[int, list[Item]] = {}
            for item in items:
                if not item.stroke.contacts:
                    continue
                lines.setdefault(divmod(item.stroke.contacts[0], self.width)[by_sense], []).append(item)
            for line in lines.values():
                chosen = start
                for item in line:
                    chosen = self._wider(chosen, item) or chosen
                    if len(chosen.items) == wanted:
                        return chosen.items
        return self._extend(start, self._kinds(items), wanted)

    def _kinds(self, items: list[Item]) -> tuple[tuple[Item, ...], ...]:
        """Strokes by kind, alike except for the host key. Of keys with strokes of one kind only, the first will do."""
        kinds: dict[tuple[int, int, int], list[Item]] = {}
        for item in items:
            kinds.setdefault((item.mask, item.hold, item.lift), []).append(item)
        count: dict[int, int] = {}
        for kind in kinds.values():
            for usage in {item.usage for item in kind}:
                count[usage] = count.get(usage, 0) + 1
        own = ([item for item in kind if count[item.usage] == 1][:1] or kind for kind in kinds.values())
        return tuple(map(tuple, own))

    def _extend(self, state: _State, kinds: tuple[tuple[Item, ...], ...], wanted: int) -> tuple[Item, ...]:
        """The first strokes that make a state as large as wanted."""
        if len(state.items) == wanted:
            return state.items
        possible = [
            (kind, fitting)
            for kind in kinds
            if (fitting := tuple(filter(None, (self._wider(state, one) for one in kind))))
        ]
        contacts = 0
        for kind, _ in possible:
            contacts |= kind[0].mask
        if contacts.bit_count() < wanted - len(state.items):
            return ()
        for number, (_, states) in enumerate(possible):
            rest = tuple(kind for kind, _ in possible[number + 1 :])
            for wider in states:
                found = self._extend(wider, rest, wanted)
                if found:
                    return found
        return ()

    def _wider(self, state: _State, item: Item) -> _State | None:
        """The state with one more stroke; None if the stroke does not go with the others."""
        hold, lift = state.hold | item.hold, state.lift | item.lift
        if state.usages >> item.usage & 1 or state.pressed & item.mask or hold & lift:
            return None
        pressed = state.pressed | item.mask
        if self.rollover is not None and (pressed & self.matrix).bit_count() > self.rollover:
            return None
        wider = self._with_modifiers(state._replace(hold=hold, lift=lift, pressed=pressed))
        for contact in item.stroke.contacts:
            wider = wider and self._closing(wider, contact)
        return wider and wider._replace(items=(*state.items, item), usages=state.usages | 1 << item.usage)

    def _with_modifiers(self, state: _State) -> _State | None:
        """The state with everything closed that is held; None if that makes a phantom."""
        wider: _State | None = state
        for contact in held_contacts(self.strokes, state.hold):
            wider = wider and self._closing(wider, contact)
        return wider

    def _closing(self, state: _State, contact: Contact) -> _State | None:
        """The state with one more contact; None if that makes a phantom."""
        if state.closed >> contact & 1 or self.corners is None or not self.matrix >> contact & 1:
            return state._replace(closed=state.closed | 1 << contact)
        if state.lying >> contact & 1:
            return None
        lying, others = state.lying, state.closed & self.matrix
        while others:
            low = others & -others
            lying |= self.corners.completing(contact, low.bit_length() - 1)
            others ^= low
        return state._replace(closed=state.closed | 1 << contact, lying=lying)


BEYOND_SIX_KEYS = CheckRule(
    slug="beyond-six-keys",
    severity=Severity.NOTE,
    purpose="The machine reads more keys at once than a boot report can carry.",
    explanation=(
        "A boot report has six places besides the modifiers (HID 1.11, appendix B.1). If a seventh key is held, "
        "the keyboard sends ErrorRollOver in every place (appendix C), and the runtime keeps the keys from before. "
        "A keyboard that reports a bitmap of all keys does not have this limit."
    ),
    bad="scan: {period_us: 20000}",
    good="scan: {period_us: 20000, rollover: 2}",
    of_machine=True,
    function=_beyond_six,
)


def _guard_off(conflicts: PlanConflicts) -> Iterator[Report]:
    layout = conflicts.plan.layout
    # If the layout does not say it, the volts of an adapter have shown that no phantom is ever read.
    if not conflicts.plan.guard and layout.guard is False and phantoms_possible(layout.machine, layout.contacts):
        yield Report(
            "the guard is off, and phantoms are possible: keys held together may be read as other keys, and keys "
            "beyond those that the machine can tell apart may be lost or read out of order"
        )


GUARD_IS_OFF = CheckRule(
    slug="guard-is-off",
    severity=Severity.WARNING,
    purpose="The layout turns the phantom guard off although phantoms are possible.",
    explanation=(
        "Games may want exactly what the bare keyboard did. The findings about keys held together then say what "
        "the machine really reads."
    ),
    bad="guard: off",
    good="guard: on",
    function=_guard_off,
)


def _follows_in_time(conflicts: PlanConflicts) -> Iterator[Report]:
    return time_to_follow(conflicts.plan.layout.machine, conflicts.plan.layout.contacts)


def time_to_follow(machine: Machine, how: Contacts) -> Iterator[Report]:
    """Whether firmware can follow the select lines of a machine, if contacts close that way."""
    if how is not Contacts.FOLLOWS_SELECT:
        return
    time = machine.scan.strobe_to_read_us
    taken = following_of(machine)
    needs = (
        f"mm_follow.h needs up to {taken.us:g} on an AVR at {AVR_MHZ} MHz, for up to {taken.select} select and "
        f"{taken.sense} sense lines"
    )
    if time is None:
        yield Report(
            "contacts follow the select lines, but the machine file does not say how soon after a strobe the machine "
            f"reads the sense lines; in microseconds, {needs}; measure the machine and write strobe_to_read_us"
        )
    elif time < taken.us:
        yield Report(
            f"contacts follow the select lines, and the machine reads {time:g} microseconds after a strobe, but "
            f"{needs}: keys are lost; use a faster chip, or a crosspoint switch with contacts: switch"
        )
    else:
        yield Report(
            f"contacts follow the select lines: the machine reads {time:g} microseconds after a strobe, and {needs}; other "
            "interrupts add to that",
            at_most=Severity.NOTE,
        )


LITTLE_TIME_TO_FOLLOW = CheckRule(
    slug="little-time-to-follow",
    severity=Severity.WARNING,
    purpose="Contacts follow the select lines in software, and the time for that is too short or unknown.",
    explanation=(
        "Between the strobe of a select line and the moment when the machine reads, the firmware must drive the "
        "sense lines. The machine file says how long this time is. The time that mm_follow.h needs on an AVR at "
        f"{AVR_MHZ} MHz is measured, for several numbers of lines. The finding is a note if the time is enough. "
        "Switches that close a crosspoint have no such limit."
    ),
    bad="contacts: follows-select",
    good="contacts: switch",
    function=_follows_in_time,
)


def _low_volts(diodes: tuple[Diode, ...]) -> str:
    return " to ".join(f"{volts:.2f}" for volts in sorted(low_v(EXAMPLE, diode) for diode in diodes))


EXAMPLE_WORDS = (
    f"With a driver at {EXAMPLE.driver_low_v:g} V, {EXAMPLE.contact_ohms:g} ohms, and {EXAMPLE.pull_up_ohms / 1000:g} "
    f"kilohms up to {EXAMPLE.supply_v:g} V, the line falls to {low_v(EXAMPLE):.2f} V without a diode. With a silicon "
    f"diode it stays at {_low_volts(SILICON)} V, with a Schottky diode at {_low_volts(SCHOTTKY)} V. Such an input "
    f"surely reads low only up to {EXAMPLE.reads_low_v:g} V"
)


def _diodes(conflicts: PlanConflicts) -> Iterator[Report]:
    return margin_of_diodes(conflicts.plan.contacts)


def margin_of_diodes(how: Contacts) -> Iterator[Report]:
    """What contacts through diodes cost, if contacts close that way."""
    if how is Contacts.SWITCH_WITH_DIODE:
        yield Report(
            "contacts close through diodes, and the forward voltage of a diode keeps the sense line from falling as "
            f"low as it does without one. {EXAMPLE_WORDS}. Measure it on the machine before you make a board"
        )


DIODES_COST_MARGIN = CheckRule(
    slug="diodes-cost-margin",
    severity=Severity.NOTE,
    purpose="Contacts close through diodes, and the forward voltage may keep a press from being read.",
    explanation=(
        "This rule examines no voltages, and assumes that every closed contact is read. If the files of the "
        "machine and of an adapter have the values, `matrixmap margins` says whether each contact surely is. A "
        f"diode's forward voltage adds to the low voltage. {EXAMPLE_WORDS}. The models of the diodes are from "
        "memory; so are the driver's voltage and the pull-up, which differ from machine to machine. In this "
        "example, a weaker pull-up alone is not enough for a silicon diode. Measure the sense line while its "
        "select line is strobed and a contact is closed. Schottky diodes drop less. If select lines float while "
        "they are not strobed, switches without diodes and the guard are another way; so are open-drain outputs "
        "that follow the select lines. docs/firmware.md has the formula. Only qualified people should measure in "
        "an open machine, by the rules of the place."
    ),
    bad="contacts: switch-with-diode",
    good="contacts: switch",
    function=_diodes,
)


def _too_many_keys(conflicts: PlanConflicts) -> Iterator[Report]:
    machine = conflicts.plan.layout.machine
    rollover = machine.scan.rollover
    for item in conflicts.strokes.items:
        keys = sum(contact < machine.crosspoints for contact in item.stroke.contacts)
        if rollover is not None and keys > rollover:
            yield Report(
                f"{conflicts.wording.press(conflicts.wording.witness((item,), 0))}: the stroke presses {keys} keys, "
                f"but the machine can tell {rollover} apart; the runtime never closes it",
                place=conflicts.wording.place((item,)),
                cases=item.count,
            )


STROKE_EXCEEDS_ROLLOVER = CheckRule(
    slug="stroke-exceeds-rollover",
    severity=Severity.ERROR,
    purpose="A stroke presses more keys than the machine can tell apart.",
    explanation=(
        "The machine file says how many keys, besides modifiers, may be held while each of them is still read. The "
        "runtime never closes more, even with the guard off, so it refuses such a stroke each time."
    ),
    bad="keys: {F9: d1 + q + a}",
    good="keys: {F9: d1 + q}",
    function=_too_many_keys,
)


def _table_too_large(conflicts: PlanConflicts) -> Iterator[Report]:
    """Only times can be too large here: everything else already fits in a table, or there would be no check."""
    timing = conflicts.plan.timing
    if max(timing.close_ticks, timing.open_ticks, timing.lead_ticks) <= LONGEST_TICKS:
        return
    try:
        make_table(conflicts.plan)
    except TableError as fault:
        for breach in fault.breaches:
            yield Report(f"{breach.text}; build refuses the layout")


TABLE_TOO_LARGE = CheckRule(
    slug="table-too-large",
    severity=Severity.ERROR,
    purpose="The firmware's table has no room for a part of the layout.",
    explanation=(
        "A table counts its parts and times in a few bits; mm_runtime.h says how many. A machine that scans very "
        "slowly needs longer times than can be stored. If a layout has more parts than a table can count, it is "
        "not checked any further."
    ),
    bad="scan: {period_us: 1000000, samples_down: 16, samples_up: 2}",
    good="scan: {period_us: 20000, samples_down: 2, samples_up: 2}",
    function=_table_too_large,
)

TABLE_UNSOUND = Rule(
    slug="table-unsound",
    severity=Severity.ERROR,
    purpose="The firmware's table would break a rule of the runtime.",
    explanation=(
        "The runtime works the keys of modifiers and latches by itself, so no stroke may name the contact of such "
        "a key. A stroke names the modifier, and the runtime chooses the key. mm_runtime.h has all rules that a "
        "table must keep. Without a table nothing says what a press does, so the layout is not checked any further."
    ),
    bad="keys: {F9: a + shift-left}",
    good="keys: {F9: shift + a}",
)

RULES = (
    TABLE_TOO_LARGE,
    STROKE_EXCEEDS_ROLLOVER,
    BEYOND_SIX_KEYS,
    GUARD_IS_OFF,
    LITTLE_TIME_TO_FOLLOW,
    DIODES_COST_MARGIN,
)
