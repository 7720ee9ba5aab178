"""The margins of a board for reading in a terminal: table, times, limits, supply, findings, cautions."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from math import inf

from matrixmap.board.cautions import CAUTIONS
from matrixmap.margins.enough import rounded
from matrixmap.margins.findings import findings_of, limit_words, micros
from matrixmap.margins.run import Margins, Time
from matrixmap.margins.supply import Supply
from matrixmap.model.words import shown


def margins_text(margins: Margins, layout: str) -> str:
    """The report of the margins of a board with a layout; no terminal obeys anything in it."""
    return "\n".join(shown(line) for line in _lines(margins, layout))


def _lines(margins: Margins, layout: str) -> Iterator[str]:
    board = margins.traced.board
    title = f"{board.adapter.id} on {board.fit.name} with {layout}"
    if margins.facts is None:
        yield f"{title}: the voltages cannot be known, because values are missing"
    else:
        yield from _table_lines(margins, title)
        yield from _time_lines(margins)
        yield from _limit_lines(margins)
    for supply in margins.supplies:
        yield ""
        yield from supply_lines(supply)
    yield ""
    findings = findings_of(margins)
    if not findings:
        yield "nothing was found"
    for finding in findings:
        yield f"{finding.severity.word}: {finding.slug}: {finding.text}"
        if finding.place is not None:
            yield f"  {finding.place}"
    yield ""
    yield "Before you wire anything (common practice):"
    yield from (f"- {caution}" for caution in CAUTIONS)


def _table_lines(margins: Margins, title: str) -> Iterator[str]:
    facts, sets = margins.facts, margins.sets
    assert facts is not None
    assert sets is not None
    yield f"{title}: contacts: {facts.how}, guard {'on' if margins.guard else 'off'}"
    if margins.typical and margins.missing:
        yield "USUAL VALUES replace the missing ones; the results are not facts about this board"
    yield (
        f"{sets.looked_at} sets of contacts were examined, and {sets.allowed} of them make no phantom; they come down "
        f"to {len(sets.shapes) + len(sets.phantoms)} shapes"
    )
    yield ""
    rows = (
        (
            row.kind,
            f"{float(row.least):.2f} to {float(row.most):.2f}",
            "low" if row.closed else "high",
            row.verdict + (" (by a bound)" if row.bound else ""),
            ("-" if row.amps is None else f"{float(row.amps) * 1000:.1f}") + (" (too much)" if row.over else ""),
            str(row.parts or "-"),
        )
        for row in margins.rows
    )
    yield from _table(("what is closed", "V of the line", "should be", "verdict", "mA", "how often"), rows)
    yield f"an input surely reads low up to {float(facts.low):g} V, and high from {float(facts.high):g} V"
    if margins.carried is not None:
        volts, amps = margins.carried
        by_current = (
            "; the file does not say up to which current the driver's low voltage is promised (driver_ma)"
            if facts.amps is None
            else f", and {amps} by the current of its driver"
        )
        yield f"a select line can carry {volts} of {len(facts.senses)} contacts by voltage{by_current}"
    for fight in margins.fights:
        current = "without limit" if fight.out is None else f"up to {float(fight.out) * 1000:.1f} mA"
        volts_of = "" if fight.volts is None else f", the line at up to {float(fight.volts):.2f} V"
        yield f"{fight.kind}: {current} between outputs that the machine drives against each other{volts_of}"


def _time_lines(margins: Margins) -> Iterator[str]:
    if not margins.times:
        return
    yield ""
    rows = ((_time_kind(time), *_time_cells(time)) for time in margins.times)
    yield from _table(("how long a line takes", "surely", "computed", "has", "in time"), rows)
    if margins.line_time is not None:
        yield f"the sweep leaves {micros(margins.line_time)} for one select line"


def _time_kind(time: Time) -> str:
    return f"{'falls after a strobe' if time.falls else 'rises after it'}: {time.kind}"


def _time_cells(time: Time) -> tuple[str, ...]:
    if time.course is None:
        return "not computed", "not computed", "-", "not known"
    known = {True: "yes", False: "no", None: "not known"}[time.is_in_time]
    has = "not stated" if time.limit is None else micros(float(time.limit))
    return micros(time.settles.bound), micros(time.settles.computed), has, known


def _limit_lines(margins: Margins) -> Iterator[str]:
    holds = dict.fromkeys(limit.holds for limit in margins.limits)
    if holds:
        yield ""
        yield "What would change it, one value at a time while the others stay:"
    for each in holds:
        yield f"{each} with"
        yield from (f"  {limit_words(limit)}" for limit in margins.limits if limit.holds == each)


def supply_lines(supply: Supply) -> Iterator[str]:
    """What the filter of a supply does."""
    parts = supply.inductor.ref + (f" and {supply.capacitor.ref}" if supply.capacitor is not None else "")
    yield f"filter of {parts}, from {supply.volts:g} V to {', '.join(supply.loads) or 'nothing'}:"
    if supply.capacitor is None:
        yield "  there is no capacitor to ground behind the inductor, so nothing is filtered"
    if not supply.points:
        return
    gain, hertz = supply.peak
    amps, saturated = supply.inrush_a
    corners = [each.corner_hz for each in supply.points]
    damping = [each.damping for each in supply.points]
    yield f"  corner {_span(corners, 1e-3)} kHz, damping {_span(damping)}"
    times = "without limit" if gain == inf else f"{gain:.3g} times"
    yield f"  peak {times} at {hertz / 1000:.3g} kHz" if gain > 1 else "  no peak"
    if supply.attenuation_db is None:
        yield "  the files do not say how often the loads draw in bursts (burst_khz)"
    else:
        found = abs(supply.attenuation_db)
        how = f"weaker by {found:.1f} dB" if supply.attenuation_db >= 0 else f"stronger by up to {found:.1f} dB"
        yield f"  bursts at {supply.bursts_khz:g} kHz are {how} before the filter"
    step = "a step of" if supply.step_ma is not None else "all that they draw at once,"
    yield f"  {step} {supply.step_amps * 1000:g} mA drops {supply.drop_v * 1000:.3g} mV"
    yield f"  inrush {'without limit' if amps == inf else f'{amps:.3g} A'}" + (
        ", because the inductor saturates" if saturated else ""
    )
    if supply.damped_by() > 0:
        yield f"  {rounded(supply.damped_by(), False):g} ohms in series with the capacitor make the damping 0.5"
    if supply.left_out:
        yield f"  smaller capacitors beside it are not counted: {', '.join(supply.left_out)}"


def _span(values: Sequence[float], scale: float = 1.0) -> str:
    least, most = min(values) * scale, max(values) * scale
    return f"{least:.3g}" if f"{least:.3g}" == f"{most:.3g}" else f"{least:.3g} to {most:.3g}"


def _table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> Iterator[str]:
    listed = [head, *rows]
    widths = [max(len(row[column]) for row in listed) for column in range(len(head))]
    for row in listed:
        yield "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()
