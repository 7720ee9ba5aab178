"""The page: one HTML file to try layouts on, with the C runtime in it, compiled to WebAssembly."""

from __future__ import annotations

import json
from base64 import b64encode
from collections.abc import Mapping, Sequence
from importlib.resources import files
from typing import TypedDict

from matrixmap.circuit.reading import ADAPTER_CONDUCTION, Conduction, phantoms_possible
from matrixmap.emit.build import table_of
from matrixmap.emit.drawing import machine_places
from matrixmap.emit.faces import Column, Face, Faces, Kind, form_of
from matrixmap.emit.html import document
from matrixmap.emit.svg import FONTS, number, readable
from matrixmap.hid.geometry import Form
from matrixmap.hid.usages import KEYPAD_DIGITS, USAGES
from matrixmap.model.host import CapsLock
from matrixmap.model.layout import HostModifier
from matrixmap.model.machine import Machine
from matrixmap.model.plan import Feed, Latch, Plan, Stroke, Trigger
from matrixmap.model.words import action_name, key_name, printed_name, stroke_name
from matrixmap.press.table import NO_ROLLOVER

GUARD_BYTE = 9
GUARD_BIT = 0x02
ROLLOVER_BYTE = 10
"""Where the table says whether the guard is on, and the rollover: the page lets its reader switch these off."""

SCRIPTS = ("circuit.js", "engine.js", "drawing.js", "page.js")
KINDS = tuple(kind.value for kind in Kind)
CAPS_BITS = {CapsLock.NONE: 0, CapsLock.SHIFT: 1, CapsLock.ALTGR: 2, CapsLock.BOTH: 3}

FaceRow = tuple[str, str, str, int, str | None, tuple[str | None, ...], tuple[str | None, ...], tuple[int, ...]]
"""Name, print, print that tells apart (empty: the same), number of the kind, whole text, texts, strokes, dead places."""


class LayoutData(TypedDict):
    """A layout as the page has it: `faces` are numbers of faces, in the order of the form's keys."""

    id: str
    title: str
    machine: str
    hostTitle: str
    form: str
    table: str
    both: bool
    guard: bool
    phantoms: bool
    altgr: bool
    columns: list[tuple[str, int, str]]
    locks: dict[str, int]
    faces: list[int]


def page_html(plans: Sequence[Plan]) -> str:
    """The page for some plans, the first of which it shows first. Every host has a form that can be drawn.

    TooLargeError, with the layout's id, where a plan is more than a table can hold.
    """
    data = json.dumps(page_data(plans), ensure_ascii=False, separators=(",", ":"))
    # A script element ends at the first `</script`, and `<!--` begins another state of reading it.
    safe = data.replace("<", "\\u003c").replace("\u2028", "\\u2028").replace("\u2029", "\\u2029")
    module = b64encode((files("matrixmap") / "emit" / "web" / "runtime.wasm").read_bytes()).decode("ascii")
    body = (
        f"{_web_text('page.html').rstrip()}\n"
        f'<script type="application/json" id="data">{safe}</script>\n'
        f'<script type="application/octet-stream" id="runtime">{module}</script>'
    )
    style = _web_text("page.css").replace("FONTS", FONTS.replace("'", '"'))
    script = '"use strict";(() => {\n' + "\n".join(_web_text(name) for name in SCRIPTS) + "})();\n"
    title = plans[0].layout.machine.title if len({plan.layout.machine.id for plan in plans}) == 1 else "Layouts"
    return document(f"Try a layout: {title}", style, body, script)


def _web_text(name: str) -> str:
    return (files("matrixmap") / "emit" / "web" / name).read_text(encoding="utf-8")


def page_data(plans: Sequence[Plan]) -> Mapping[str, object]:
    """All that the page knows, with what several layouts share in it once."""
    pool: dict[FaceRow, int] = {}
    layouts = [_layout(plan, pool) for plan in plans]
    machines = {plan.layout.machine.id: plan.layout.machine for plan in plans}
    boards = {plan.layout.host.form: form_of(plan.layout.host) for plan in plans}
    codes: dict[str, list[int]] = {}
    for fact in USAGES:
        if fact.code is not None:
            codes.setdefault(fact.code, []).append(fact.usage)
    return {
        "table": {
            "guard": {"byte": GUARD_BYTE, "bit": GUARD_BIT},
            "rollover": {"byte": ROLLOVER_BYTE, "none": NO_ROLLOVER},
        },
        "kinds": KINDS,
        "fonts": FONTS,
        "codes": codes,
        "forms": {name: _form(board) for name, board in boards.items() if board is not None},
        "machines": {id: page_machine(machine) for id, machine in machines.items()},
        "faces": [row if row[-1] else row[:-1] for row in pool],
        "layouts": layouts,
    }


def _layout(plan: Plan, pool: dict[FaceRow, int]) -> LayoutData:
    layout = plan.layout
    board = form_of(layout.host)
    if board is None:
        raise ValueError(f"the form {layout.host.form} has no known geometry")
    faces = Faces(plan)
    columns = faces.columns
    rows = [_face(plan, face, columns) for face in faces.host(board)]
    conduction = ADAPTER_CONDUCTION[plan.contacts]
    caps = {usage: CAPS_BITS[key.caps] for usage, key in layout.host.keys.items()}
    return {
        "id": plan.id,
        "title": readable(layout.title),
        "machine": layout.machine.id,
        "hostTitle": readable(layout.host.title),
        "form": layout.host.form,
        "table": b64encode(table_of(plan).to_bytes()).decode("ascii"),
        "both": conduction is Conduction.BOTH,
        "guard": plan.guard,
        "phantoms": phantoms_possible(layout.machine, plan.contacts),
        "altgr": layout.host.has_altgr,
        "columns": [(column.title, column.low, _extras(column.extras)) for column in columns],
        "locks": {str(usage): bits for usage, bits in caps.items() if bits and plan.caps_lock},
        "faces": [pool.setdefault(row, len(pool)) for row in rows],
    }


def _extras(extras: frozenset[HostModifier]) -> str:
    return "+".join(extra.value for extra in HostModifier if extra in extras)


def _face(plan: Plan, face: Face, columns: tuple[Column, ...]) -> FaceRow:
    long = printed_name(plan.layout.host, face.usage)
    strokes = tuple(
        _stroke(
            plan,
            Trigger(usage=face.usage, level=columns[index // 2].low + index % 2, extras=columns[index // 2].extras),
        )
        for index in range(2 if face.usage in KEYPAD_DIGITS else 2 * len(columns))
    )
    return (
        face.name,
        readable(face.printed) if len(face.printed) > 1 else face.printed,
        "" if long == face.printed else long,
        KINDS.index(face.kind.value),
        face.whole,
        face.texts,
        strokes,
        tuple(sorted(face.waits)),
    )


def _stroke(plan: Plan, press: Trigger) -> str | None:
    """The stroke of a press in the words of the layout files, the key last."""
    action = plan.lookup(press)
    machine = plan.layout.machine
    match action:
        case Stroke():
            return stroke_name(machine, action)
        case Feed():
            return key_name(machine, action.contact)
        case Latch():
            return action.key
        case None:
            return None
        case _:
            return action_name(machine, action)


def _form(board: Form) -> list[list[float]]:
    """Usage, left, top, width, height of each key, and the left edge of the lower part of an Enter key of two rows."""
    return [
        [
            cap.usage,
            *(float(number(value)) for value in (cap.left, cap.top, cap.width, cap.height, *(cap.lower or ())[:1])),
        ]
        for cap in board.caps
    ]


def page_machine(machine: Machine) -> Mapping[str, object]:
    """A machine as the page has it."""
    scan = machine.scan
    return {
        "title": readable(machine.title),
        "select": machine.select,
        "sense": machine.sense,
        "direct": machine.direct,
        "keys": [
            (
                key.name,
                key.contact,
                {machine.state_name(state): legend.text for state, legend in key.types.items()},
                sorted(key.selectors),
            )
            for key in machine.keys
        ],
        "modifiers": [(modifier.name, modifier.keys) for modifier in machine.modifiers],
        "places": list(machine_places(machine)) if machine.rows else [],
        "scan": {
            "period": scan.period_us,
            "sweep": scan.sweep_us,
            "samples_down": scan.samples_down,
            "samples_up": scan.samples_up,
            "rollover": scan.rollover,
        },
    }
