"""What is wrong with the margins of a board: one function a rule, and limits in words."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from math import inf
from typing import NamedTuple

from matrixmap.margins import rules
from matrixmap.margins.enough import NEVER, OPEN, PRESSES, RISEN, Limit, rounded
from matrixmap.margins.run import Margins, Time
from matrixmap.margins.supply import Supply
from matrixmap.margins.table import OPEN_LINE, RESTING, Read, Sure
from matrixmap.model.finding import Finding, Severity
from matrixmap.model.place import Place
from matrixmap.model.rule import Rule

RINGS = 1.5
"""The peak of a filter from which on it is reported: common practice keeps it below 2."""


class Told(NamedTuple):
    """What a rule's function says about one case. A `place` of None means the line that names the adapter."""

    text: str
    place: Place | None = None
    at_most: Severity = Severity.ERROR


def _machine_place(margins: Margins) -> Place:
    machine = margins.traced.board.machine
    return margins.traced.board.electric.place or machine.place


def amount(value: float, unit: str) -> str:
    """A value with its unit in words: kilohms from 1,000 ohms on, at most four digits."""
    if unit == "ohms" and value >= 1000:
        return f"{value / 1000:.4g} kilohms"
    return f"{value:.4g} {unit}"


def limit_words(limit: Limit) -> str:
    """A limit as the end of a sentence: `ohms of a contact at most 358 ohms (now 185 ohms)`."""
    which = "at most" if limit.most else "at least"
    if limit.value is None:
        return f"{limit.change}: no value is enough by itself"
    return f"{limit.change} {which} {amount(limit.value, limit.unit)} (now {amount(limit.now, limit.unit)})"


def _cures(margins: Margins, holds: str) -> str:
    found = [
        limit_words(limit) + _beside(limit)
        for limit in margins.limits
        if limit.holds == holds and limit.value is not None
    ]
    return f"; one of these changes alone would be enough: {', or '.join(found)}" if found else ""


def _beside(limit: Limit) -> str:
    """The resistor on the board that makes a pull-up of the machine as small as needed."""
    if limit.unit != "ohms" or not limit.most or "pull-up" not in limit.change or limit.is_kept or not limit.value:
        return ""
    ohms = 1 / (1 / limit.value - 1 / limit.now)
    return f", by a resistor of {amount(rounded(ohms, True), 'ohms')} at most from each sense line to the supply"


def _missing(margins: Margins) -> Iterator[Told]:
    for each in margins.missing:
        value, source = each.typical
        ends = (
            "that of a silicon diode"
            if each.field == "diode"
            else f"{value.most:g}"
            if value.least == value.most
            else f"[{value.least:g}, {value.most:g}]"
        )
        place = each.place or _machine_place(margins)
        used = "it is used here, and is not a fact about this board" if margins.typical else "--typical uses that"
        yield Told(
            f"{each.of} does not say {each.field}, and the {each.needed_for} depend on it; the usual value is {ends} "
            f"({source}): {used}",
            place,
            Severity.ERROR if each.needed_for == "voltages" and not margins.typical else Severity.WARNING,
        )
    for supply in margins.supplies:
        for use, name in supply.missing:
            yield Told(
                f"{use.ref} does not say {name}, and the filter of the supply depends on it; its data sheet has the "
                "value",
                use.place,
                Severity.WARNING,
            )


def _no_room(margins: Margins) -> Iterator[Told]:
    facts = margins.facts
    if facts is None:
        return
    place = _machine_place(margins)
    if facts.supply.least <= facts.high:
        yield Told(
            f"an input surely reads high from {float(facts.high):g} V, but the pull-ups pull to "
            f"{float(facts.supply.least):g} V only: no line is ever surely high",
            place,
        )
    if facts.how != "follows-select" and facts.driver_v.most >= facts.low:
        yield Told(
            f"an input surely reads low up to {float(facts.low):g} V, but a strobed line may be at "
            f"{float(facts.driver_v.most):g} V: no contact is ever surely read, whatever closes it",
            place,
        )


def _not_sure(margins: Margins) -> Iterator[Told]:
    cures = _cures(margins, PRESSES)
    for row in margins.rows:
        if not row.closed or row.sure is Sure.SURE:
            continue
        if row.most <= row.low:
            continue  # only the driver's current is too much, which has a separate rule
        surely = "surely not read" if row.sure is Sure.NOT else "not surely read"
        yield Told(
            f"{row.kind}: the line has {float(row.least):.2f} to {float(row.most):.2f} V, but surely reads low only "
            f"up to {float(row.low):g} V, so the contact is {surely}{cures}"
        )
        cures = ""  # said once


def _not_high(margins: Margins) -> Iterator[Told]:
    for row in margins.rows:
        if row.kind in (OPEN_LINE, RESTING) and row.least < row.high:
            which = "with no closed contact" if row.kind == OPEN_LINE else "without a strobed select line"
            yield Told(
                f"a line {which} has {float(row.least):.2f} V at least, but surely reads high only from "
                f"{float(row.high):g} V: the leakage of the open switches pulls it down{_cures(margins, OPEN)}"
            )


def _overloaded(margins: Margins) -> Iterator[Told]:
    carried, facts = margins.carried, margins.facts
    if carried is None or facts is None or facts.amps is None:
        return
    over = [row for row in margins.rows if row.over and row.closed]
    for row in over:
        flows = (
            ("any current that the outputs can give") if row.amps is None else f"up to {float(row.amps) * 1000:.1f} mA"
        )
        yield Told(
            f"{row.kind}: {flows} flow into the output that is low, but its low voltage is promised only up to "
            f"{float(facts.amps) * 1000:g} mA",
            None,
        )
    if not over and carried[1] < len(facts.senses):
        yield Told(
            f"a select line can carry {carried[1]} closed contacts: its driver's low voltage is promised up to "
            f"{float(facts.amps) * 1000:g} mA; the sets examined here have fewer contacts",
            _machine_place(margins),
            Severity.NOTE,
        )


def _phantoms(margins: Margins) -> Iterator[Told]:
    row = margins.phantom
    if row is None:
        return
    volts = f"its line has {float(row.least):.2f} to {float(row.most):.2f} V"
    if row.read is Read.NEVER:
        yield Told(
            f"three contacts never make a phantom here: {volts}, and surely reads high from {float(row.high):g} V",
            None,
            Severity.NOTE,
        )
        return
    how = "really read" if row.read is Read.READ else "unsure: some machines may read it"
    guard = "the guard prevents it" if margins.guard else "the guard is off"
    limits = [limit_words(each) for each in margins.limits if each.holds == NEVER and each.value is not None]
    never = f"; the machine would never read it with {limits[0]}" if limits else ""
    yield Told(
        f"the phantom of three contacts is {how} ({volts}); {guard}{never}",
        None,
        Severity.NOTE if margins.guard else Severity.WARNING,
    )


def _late(margins: Margins, falls: bool) -> list[Time]:
    return [
        time for time in margins.times if time.falls is falls and time.limit is not None and time.is_in_time is False
    ]


def _falls_late(margins: Margins) -> Iterator[Told]:
    for time in _late(margins, True):
        if time.settles.bound == inf:
            continue  # it is never low enough, which has a separate rule
        yield Told(
            f"{time.kind}: the line is surely low {micros(time.settles.bound)} after the strobe, but the machine "
            f"reads it after {micros(float(time.limit or 0))} ({time.of})"
        )


def micros(seconds: float) -> str:
    """A time in microseconds, in words."""
    return "never" if seconds == inf else f"{seconds * 1e6:.3g} us"


def _carried_over(margins: Margins) -> Iterator[Told]:
    for time in _late(margins, False):
        whole = margins.line_time
        more = (
            (
                f"; that is longer than the {micros(whole)} of a whole line, so the machine may read it in further lines "
                "too"
            )
            if whole is not None and time.settles.bound > whole
            else ""
        )
        yield Told(
            f"{time.kind}: the line is surely high again {micros(time.settles.bound)} after the strobe, but the "
            f"machine reads the next line after {micros(float(time.limit or 0))} ({time.of}): it may read the contact "
            f"in the next row too, as a phantom that no guard sees{more}{_cures(margins, RISEN)}"
        )


def _joined(margins: Margins) -> Iterator[Told]:
    for fight in margins.fights:
        out = (
            ("any current that the outputs can give")
            if fight.out is None
            else f"up to {float(fight.out) * 1000:.3g} mA"
        )
        volts = "" if fight.volts is None else f", and the line has up to {float(fight.volts):.2f} V"
        limit = (
            "the file does not say how much an output tolerates (output_most_ma)"
            if fight.limit is None
            else f"an output tolerates {float(fight.limit) * 1000:g} mA" + (": too much" if fight.is_over else "")
        )
        yield Told(
            f"{fight.kind}: {out} flow from the line that is driven high into the strobed one{volts}; {limit}. "
            "Contacts with a diode, or contacts that follow their select line, join no outputs"
        )


def _volts(value: float) -> str:
    return f"{value:.3g} V" if value >= 1 else f"{value * 1000:.3g} mV"


def _supply_names(supply: Supply) -> str:
    assert supply.capacitor is not None
    return f"{supply.inductor.ref} and {supply.capacitor.ref}"


def _rings(margins: Margins) -> Iterator[Told]:
    for supply in margins.supplies:
        if supply.points and supply.peak[0] > RINGS:
            gain, hertz = supply.peak
            grows = "amplify without limit" if gain == inf else f"multiply by {gain:.3g}"
            yield Told(
                f"{_supply_names(supply)} {grows} the current at {hertz / 1000:.3g} kHz (damping "
                f"{min(each.damping for each in supply.points):.2g}); {amount(supply.damped_by(), 'ohms')} in series "
                f"with {supply.capacitor.ref if supply.capacitor else ''}, or with a larger capacitor beside it, "
                "would damp them to 0.5",
                supply.inductor.place,
            )


def _saturates(margins: Margins) -> Iterator[Told]:
    for supply in margins.supplies:
        most = supply.inductor.values.saturation_ma
        if not supply.points or most is None:
            continue
        steady = supply.milliamps + (supply.step_ma or 0.0)
        if steady > most:
            yield Told(
                f"{supply.inductor.ref} saturates from {most:g} mA on, but {', '.join(supply.loads)} draw up to "
                f"{steady:g} mA: it then filters nothing; use one for more current",
                supply.inductor.place,
            )
        amps, saturated = supply.inrush_a
        if saturated:
            limited = (
                "no stated value limits the current"
                if amps == inf
                else f"only resistances limit the current, to {amps:.3g} A"
            )
            yield Told(
                f"at power-on the current exceeds the {most:g} mA at which {supply.inductor.ref} saturates; then "
                f"{limited}",
                supply.inductor.place,
                Severity.NOTE,
            )


def _drops(margins: Margins) -> Iterator[Told]:
    for supply in margins.supplies:
        if not supply.points or supply.needs_v is None:
            continue
        left = supply.volts - supply.drop_v
        if left < supply.needs_v:
            yield Told(
                f"behind {_supply_names(supply)} a step of {supply.step_amps * 1000:g} mA lowers the voltage by "
                f"{_volts(supply.drop_v)}: {left:.2f} V are left, but {', '.join(supply.loads)} need "
                f"{supply.needs_v:g} V; a larger capacitor, or an inductor of fewer ohms or henries, helps",
                supply.inductor.place,
            )


FINDERS: dict[Rule, Callable[[Margins], Iterable[Told]]] = {
    rules.VALUE_MISSING: _missing,
    rules.NO_ROOM: _no_room,
    rules.NOT_SURELY_READ: _not_sure,
    rules.NOT_HIGH: _not_high,
    rules.OVERLOADED: _overloaded,
    rules.PHANTOM: _phantoms,
    rules.FALLS_LATE: _falls_late,
    rules.CARRIED_OVER: _carried_over,
    rules.JOINED: _joined,
    rules.RINGS_RULE: _rings,
    rules.SATURATES: _saturates,
    rules.DROPS: _drops,
}
"""The function that finds the cases of each rule."""


def findings_of(margins: Margins) -> tuple[Finding, ...]:
    """All findings about the margins of a board, the worst first; within one severity in the order of the rules."""
    place = margins.traced.board.adapter.place
    found = [
        Finding(slug=rule.slug, severity=min(rule.severity, told.at_most), place=told.place or place, text=told.text)
        for rule in rules.MARGIN_RULES
        for told in FINDERS[rule](margins)
    ]
    return tuple(sorted(found, key=lambda finding: -finding.severity))
