"""What belongs to a machine and the way its contacts close, under any layout: the same rules, reported once."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass

from matrixmap.check.engine.conflicts import conducting
from matrixmap.check.engine.machine_conflicts import MachineConflict, MachineConflicts, modifier_contacts
from matrixmap.check.engine.machine_words import MachineWords
from matrixmap.check.engine.record import CheckRule, Report
from matrixmap.check.rules import adapter, controllers, masks, phantoms, unfinished
from matrixmap.circuit.reading import switch_contacts
from matrixmap.circuit.timing import timing_of
from matrixmap.hid.usages import BOOT_KEYS
from matrixmap.limits import CONFLICTS
from matrixmap.model.finding import Finding, Severity
from matrixmap.model.machine import Contact, Machine, Wiring
from matrixmap.model.witness import Witness
from matrixmap.model.words import in_a_row, key_name
from matrixmap.press.table.format import LONGEST_TICKS


@dataclass(frozen=True, slots=True, kw_only=True)
class MachineRule:
    """A rule applied to a machine: its record, which layouts share, and the function that finds its cases."""

    rule: CheckRule
    function: Callable[[MachineConflicts], Iterable[Report]]

    def findings(self, conflicts: MachineConflicts) -> Iterator[Finding]:
        """The findings of this rule on a machine."""
        for report in self.function(conflicts):
            yield Finding(
                slug=self.rule.slug,
                severity=min(self.rule.severity, report.at_most),
                place=report.place or conflicts.machine.place,
                text=report.text,
                count=report.cases,
                witness=report.witness,
                likelihood=report.likelihood,
            )


def _pressed(machine: Machine, contacts: Iterable[Contact]) -> str:
    """Contacts by their keys, modifiers first: `hold helm, press caret and d0`."""
    modifiers = modifier_contacts(machine)
    held = [key_name(machine, contact) for contact in contacts if contact in modifiers]
    keys = [key_name(machine, contact) for contact in contacts if contact not in modifiers]
    parts = [f"hold {in_a_row(held)}"] if held else []
    parts += [f"press {in_a_row(keys)}"] if keys else []
    return ", ".join(parts)


def _phantoms(number: int) -> Callable[[MachineConflicts], Iterator[Report]]:
    """The phantoms of this many keys that are not modifiers."""

    def told(conflicts: MachineConflicts) -> Iterator[Report]:
        rollover = conflicts.machine.scan.rollover
        found = conflicts.by_keys[number]
        if rollover is not None and number > rollover:
            if found:
                apart = "1 key" if rollover == 1 else f"{rollover} keys"
                text = (
                    f"the machine can tell {apart} apart, so {len(found)} sets of {number} keys that make a phantom "
                    "do not count"
                )
                yield Report(text, cases=len(found), at_most=Severity.NOTE)
            return
        yield from _each(conflicts, found, Severity.WARNING if number == 0 else Severity.NOTE)

    return told


def _each(conflicts: MachineConflicts, found: Sequence[MachineConflict], at_most: Severity) -> Iterator[Report]:
    words = MachineWords(conflicts.machine)
    for conflict in found[:CONFLICTS]:
        closed = tuple(sorted(conflict.contacts))
        yield Report(
            f"{_pressed(conflicts.machine, closed)}: {words.closes(closed)} close, and the machine also reads "
            f"{words.reads(conflict.extra, closed)}",
            witness=Witness(closed=closed, phantoms=conflict.extra, made=False),
            at_most=at_most,
        )
    yield from _rest(found, "sets of contacts make a phantom", at_most)


def _rest(found: Sequence[MachineConflict], what: str, at_most: Severity) -> Iterator[Report]:
    more = len(found) - CONFLICTS
    if more > 0:
        yield Report(f"{more} more {what}; they are counted here, not listed one by one", cases=more, at_most=at_most)


def _without_key(conflicts: MachineConflicts) -> Iterator[Report]:
    cases: dict[Contact, list[MachineConflict]] = {}
    for conflict in conflicts.without_key:
        cases.setdefault(conflict.extra[0], []).append(conflict)
    for contact, same in sorted(cases.items()):
        closed = tuple(sorted(same[0].contacts))
        sets = "one set" if len(same) == 1 else f"{len(same)} sets"
        yield Report(
            f"{sets} of keys make the machine read {conflicts.machine.contact_name(contact)}, where there is no key "
            f"({_pressed(conflicts.machine, closed)}); nothing is typed there, but a machine that counts closed "
            "crosspoints may ignore these keys",
            cases=len(same),
            witness=Witness(closed=closed, phantoms=(contact,), made=False),
        )


def _masked(conflicts: MachineConflicts) -> Iterator[Report]:
    found = conflicts.masks
    if found:
        closed = found[0].contacts
        words = MachineWords(conflicts.machine)
        sets = "one rectangle" if len(found) == 1 else f"{len(found)} rectangles"
        yield Report(
            f"{sets} of four keys: while all four are closed, the machine cannot see one of them open or close (the "
            f"first: {words.closes(closed)})",
            cases=len(found),
            witness=Witness(closed=closed, unseen=closed, made=False),
            at_most=Severity.NOTE,
        )


def _pulled(conflicts: MachineConflicts) -> Iterator[Report]:
    machine = conflicts.machine
    words, modifiers = MachineWords(machine), modifier_contacts(machine)

    def keys(conflict: MachineConflict) -> int:
        return sum(contact not in modifiers for contact in conflict.contacts)

    # One key with its modifiers comes before two, and one switch before two, as they occur in practice.
    order = sorted(conflicts.pulls, key=lambda conflict: (keys(conflict) > 1, len(conflict.switches), keys(conflict)))
    for conflict in order[:CONFLICTS]:
        closed = tuple(sorted(conflict.contacts))
        names = in_a_row([words.switch(*switch) for switch in conflict.switches])
        yield Report(
            f"{_pressed(machine, closed)}, and close {names}: "
            f"{conducting(machine, words, conflict.contacts, conflict.switches)}, and the machine also reads "
            f"{words.reads(conflict.extra, closed)}",
            witness=Witness(
                switches=tuple((controller.name, switch.function) for controller, switch in conflict.switches),
                closed=closed,
                phantoms=conflict.extra,
                made=False,
            ),
            at_most=Severity.WARNING if keys(conflict) < 2 else Severity.NOTE,
        )
    yield from _rest(order, "sets of contacts and switches make a phantom", Severity.NOTE)


def _look_alike(conflicts: MachineConflicts) -> Iterator[Report]:
    machine, words = conflicts.machine, MachineWords(conflicts.machine)
    for controller in machine.controllers:
        for switch in controller.switches:
            alike = [contact for contact in switch_contacts(machine, switch) if contact in words.keys]
            if alike:
                manner = {Wiring.GROUND: "at once ", Wiring.CONTACT: "exactly "}.get(controller.wired, "")
                yield Report(
                    f"{words.switch(controller, switch)} reads {manner}like "
                    f"{', '.join(key_name(machine, contact) for contact in alike)}; while it is closed, the machine "
                    "cannot see a press of these",
                    cases=len(alike),
                )


def _beyond_six(conflicts: MachineConflicts) -> Iterator[Report]:
    rollover = conflicts.machine.scan.rollover
    if rollover is None or rollover > BOOT_KEYS:
        reads = "any number of keys" if rollover is None else f"{rollover} keys"
        yield Report(
            f"the machine reads {reads} at once, besides modifiers, if they make no phantom; a boot report carries "
            f"{BOOT_KEYS}"
        )


def _slow(conflicts: MachineConflicts) -> Iterator[Report]:
    machine = conflicts.machine
    timing = timing_of(machine.scan, len(machine.select))
    longest = max(timing.close_ticks, timing.open_ticks, timing.lead_ticks)
    if longest > LONGEST_TICKS:
        yield Report(
            f"to be read surely, a key must not change for {longest} ticks, but a table has room for {LONGEST_TICKS}; "
            "build refuses every layout of this machine"
        )


def _follows(conflicts: MachineConflicts) -> Iterator[Report]:
    return adapter.time_to_follow(conflicts.machine, conflicts.how)


def _diodes(conflicts: MachineConflicts) -> Iterator[Report]:
    return adapter.margin_of_diodes(conflicts.how)


def _sweep(conflicts: MachineConflicts) -> Iterator[Report]:
    return unfinished.sweep_not_stated(conflicts.machine)


def _unfinished(conflicts: MachineConflicts) -> Iterator[Report]:
    return unfinished.unfinished(conflicts.machine)


MACHINE_RULES: tuple[MachineRule, ...] = (
    MachineRule(rule=adapter.TABLE_TOO_LARGE, function=_slow),
    MachineRule(rule=unfinished.UNFINISHED_MACHINE, function=_unfinished),
    MachineRule(rule=unfinished.SWEEP_NOT_STATED, function=_sweep),
    MachineRule(rule=adapter.LITTLE_TIME_TO_FOLLOW, function=_follows),
    MachineRule(rule=phantoms.MODIFIERS_MAKE_PHANTOM, function=_phantoms(0)),
    MachineRule(rule=controllers.CONTROLLER_MAKES_PHANTOM, function=_pulled),
    MachineRule(rule=controllers.CONTROLLER_LOOKS_LIKE_KEY, function=_look_alike),
    MachineRule(rule=phantoms.MODIFIER_MAKES_PHANTOM, function=_phantoms(1)),
    MachineRule(rule=phantoms.TWO_KEYS_MAKE_PHANTOM, function=_phantoms(2)),
    MachineRule(rule=phantoms.THREE_KEYS_MAKE_PHANTOM, function=_phantoms(3)),
    MachineRule(rule=phantoms.PHANTOM_WITHOUT_KEY, function=_without_key),
    MachineRule(rule=masks.CHANGE_IS_MASKED, function=_masked),
    MachineRule(rule=adapter.BEYOND_SIX_KEYS, function=_beyond_six),
    MachineRule(rule=adapter.DIODES_COST_MARGIN, function=_diodes),
)
"""The rules about a machine, in the order of its report."""
