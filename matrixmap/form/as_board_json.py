"""An adapter on a machine as JSON, for programs."""

from __future__ import annotations

from matrixmap.board.cautions import CAUTIONS
from matrixmap.board.matings import WORDS, matings, pin_to_blank
from matrixmap.board.nets import Board
from matrixmap.board.record import Judged
from matrixmap.board.routes import Route
from matrixmap.board.rules.run import BoardChecked
from matrixmap.board.wiring import control_rows, pin_rows
from matrixmap.form.parts.report import placed

Value = dict[str, object]


def board_json(checked: BoardChecked, with_matings: bool = False) -> Value:
    """The wiring, the route of each contact, the findings, and all matings if asked for."""
    machine, traced = checked.machine, checked.traced
    value: Value = {
        "adapter": checked.adapter.id,
        "machine": machine.id,
        "revision": checked.fit.revision,
        "contacts": {"all": machine.crosspoints + len(machine.direct), "closed": checked.routed},
        "how": traced.how if traced else None,
        "pins": [],
        "controls": [],
        "routes": [],
    }
    if traced is not None:
        judged = Judged(traced)
        value["pins"] = [
            {
                "pin": row.number,
                "line": row.line,
                "blanked": row.blank,
                "header_pin": row.own,
                "net": row.net,
                "leads_to": list(row.leads_to),
            }
            for row in pin_rows(judged)
        ]
        value["controls"] = [
            {"control": row.control, "role": row.role, "driven_by": list(row.driven_by), "held_by": list(row.held_by)}
            for row in control_rows(judged)
        ]
        value["routes"] = [_route(judged, route) for route in traced.routes]
    value["findings"] = [placed(finding) | {"count": finding.count} for finding in checked.findings]
    if with_matings and traced is not None:
        value |= _matings(traced.board)
    value["cautions"] = list(CAUTIONS)
    return value


def _route(judged: Judged, route: Route) -> Value:
    board = judged.board
    value: Value = {"contact": board.machine.contact_name(route.contact)}
    if route.ends is not None:
        value |= {
            "between": [board.shown(pin) for pin in route.ends],
            "bit": route.channel.bit if route.channel else None,
        }
    else:
        reads, drives = route.reads, route.drives
        value |= {
            "reads": board.shown(reads.pin) if reads and reads.pin else None,
            "pulls": board.shown(drives.pin) if drives and drives.pin else None,
        }
    return value


def _matings(board: Board) -> Value:
    best = pin_to_blank(board)
    found = [
        {
            "end": "machine" if mating.at is None else mating.at,
            "turn": mating.way.turn.value,
            "down": mating.way.down,
            "along": mating.way.along,
            "does": WORDS[mating.harm],
            "because": mating.because or None,
            "prevented_by": mating.prevented_by,
            "by_hand": mating.by_hand,
        }
        for mating in matings(board)
    ]
    blank = {"pin": best.pin, "left": best.left, "without": best.without, "now": best.now}
    return {"matings": found, "pin_to_blank": blank}
