"""The margins of a board as JSON, for programs: volts, ohms, amperes, farads, seconds."""

from __future__ import annotations

from fractions import Fraction
from math import isinf

from matrixmap.board.cautions import CAUTIONS
from matrixmap.form.parts.report import placed
from matrixmap.margins.findings import findings_of
from matrixmap.margins.run import Margins, Time
from matrixmap.margins.supply import Supply
from matrixmap.margins.table import Row

Value = dict[str, object]


def margins_json(margins: Margins, layout: str) -> Value:
    """Everything that was computed; `null` if something is not stated or not known."""
    board = margins.traced.board
    head: Value = {
        "adapter": board.adapter.id,
        "machine": board.machine.id,
        "revision": board.fit.revision,
        "layout": layout,
        "how": margins.traced.how,
        "guard": margins.guard,
        "usual_values": margins.typical and bool(margins.missing),
    }
    return head | _values(margins) | _found(margins)


def _values(margins: Margins) -> Value:
    facts = margins.facts
    return {
        "missing": [
            {
                "field": each.field,
                "of": each.of,
                "needed_for": each.needed_for,
                "usual": list(each.typical.value) if each.field != "diode" else None,
                "source": each.typical.source,
            }
            for each in margins.missing
        ],
        "thresholds": None if facts is None else {"low": float(facts.low), "high": float(facts.high)},
        "sets": None
        if margins.sets is None
        else {
            "looked_at": margins.sets.looked_at,
            "without_phantom": margins.sets.allowed,
            "shapes": len(margins.sets.shapes) + len(margins.sets.phantoms),
        },
    }


def _found(margins: Margins) -> Value:
    return {
        "rows": [_row(margins, row) for row in margins.rows],
        "carried": None
        if margins.carried is None
        else {"by_volts": margins.carried[0], "by_current": margins.carried[1]},
        "times": [_time(time) for time in margins.times],
        "line_time": margins.line_time,
        "limits": [
            {
                "holds": each.holds,
                "change": each.change,
                "end": "most" if each.most else "least",
                "value": each.value,
                "now": each.now,
                "unit": each.unit,
            }
            for each in margins.limits
        ],
        "outputs_joined": [
            {
                "kind": each.kind,
                "out": _number(each.out),
                "into": _number(each.into),
                "volts": _number(each.volts),
                "limit": _number(each.limit),
            }
            for each in margins.fights
        ],
        "supplies": [_supply(each) for each in margins.supplies],
        "findings": [placed(finding) for finding in findings_of(margins)],
        "cautions": list(CAUTIONS),
    }


def _number(value: Fraction | float | None) -> float | None:
    return None if value is None or isinf(value) else float(value)


def _row(margins: Margins, row: Row) -> Value:
    machine = margins.traced.board.machine
    return {
        "kind": row.kind,
        "how_often": row.parts,
        "example": [machine.contact_name(contact) for contact in row.example],
        "shall_be": "low" if row.closed else "high",
        "least": float(row.least),
        "most": float(row.most),
        "verdict": row.verdict,
        "by_a_bound": row.bound,
        "driver_amps": _number(row.amps),
        "driver_over": row.over,
        "corners_tried": row.tried,
        "corner": {name: float(value) for name, value in sorted(row.worst.items())},
    }


def _time(time: Time) -> Value:
    return {
        "kind": time.kind,
        "falls": time.falls,
        "bound": _number(time.settles.bound),
        "computed": _number(time.settles.computed),
        "limit": _number(time.limit),
        "limit_of": time.of,
        "in_time": time.is_in_time,
    }


def _supply(supply: Supply) -> Value:
    value: Value = {
        "inductor": supply.inductor.ref,
        "capacitor": supply.capacitor.ref if supply.capacitor is not None else None,
        "volts": supply.volts,
        "loads": list(supply.loads),
        "missing": [f"{use.ref} {name}" for use, name in supply.missing],
        "left_out": list(supply.left_out),
    }
    if supply.points:
        amps, saturated = supply.inrush_a
        value |= {
            "corner_hz": [each(point.corner_hz for point in supply.points) for each in (min, max)],
            "damping": [each(point.damping for point in supply.points) for each in (min, max)],
            "peak": _number(supply.peak[0]),
            "peak_hz": supply.peak[1],
            "attenuation_db": _number(supply.attenuation_db),
            "step_amps": supply.step_amps,
            "drop_v": supply.drop_v,
            "inrush_a": _number(amps),
            "saturates": saturated,
            "damped_by_ohms": supply.damped_by(),
        }
    return value
