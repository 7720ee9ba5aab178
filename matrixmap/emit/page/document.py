"""The page: one HTML file to try layouts, with the C runtime inside, compiled to WebAssembly."""

from __future__ import annotations

import json
from base64 import b64encode
from collections.abc import Iterable, Iterator, Mapping, Sequence
from importlib.resources import files
from typing import NotRequired, TypedDict

from matrixmap.circuit.reading import ADAPTER_CONDUCTION, Conduction, phantoms_possible, switch_contacts
from matrixmap.emit.pictures.drawing import machine_places
from matrixmap.emit.pictures.faces import Face, Faces, Kind, form_of
from matrixmap.emit.pictures.html import document
from matrixmap.emit.pictures.keys import drawn_once
from matrixmap.emit.pictures.shapes import paths_of, shape_of
from matrixmap.emit.pictures.signs import Shape
from matrixmap.emit.pictures.svg import FONTS, number, readable
from matrixmap.emit.pictures.written import is_sign, sign_name
from matrixmap.emit.texts.language import LANGUAGES, language_file, texts_of
from matrixmap.hid.geometry import Form
from matrixmap.hid.usages import USAGES
from matrixmap.join.pads import driven_controllers, stroke_usages
from matrixmap.model.host import Host
from matrixmap.model.layout import Contacts, Pads
from matrixmap.model.machine import Controller, Debounce, Machine, Switch, Wiring
from matrixmap.model.plan import Plan
from matrixmap.model.words import printed_name
from matrixmap.press.table.format import NO_ROLLOVER
from matrixmap.press.table.make import make_table
from matrixmap.press.words import way_words

GUARD_BYTE = 9
GUARD_BIT = 0x02
ROLLOVER_BYTE = 10
"""The place in the table of the guard flag and the rollover: the page lets its reader switch these off."""

SCRIPTS = ("circuit.js", "engine.js", "drawing.js", "words.js", "view.js", "pads.js", "page.js")
KINDS = tuple(kind.value for kind in Kind)

FaceRow = tuple[
    str,
    str,
    str,
    int,
    str | None,
    tuple[str | None, ...],
    tuple[int, ...],
    tuple[int, ...],
    tuple[tuple[int, str], ...],
    tuple[int, ...],
]
"""A face: name, print, distinguishing print (empty: the same), number of the kind, whole text, texts, then places among
these: those that wait, those that are not printed, what to hold for those that only one side of a modifier types, and
those that are not drawn because another one says the same.
"""

PoolRow = tuple[str, ...]
"""A text and how to type it, or a key of the machine and what reaches it, as drawn."""


class Pools:
    """Data that layouts share, each item once: faces of keys, ways to type, and what reaches a key of the machine."""

    def __init__(self) -> None:
        self.faces: dict[FaceRow, int] = {}
        self.rows: dict[PoolRow, int] = {}

    def face(self, row: FaceRow) -> int:
        """The number of a face."""
        return self.faces.setdefault(row, len(self.faces))

    def row(self, *row: str) -> int:
        """The number of a row."""
        return self.rows.setdefault(row, len(self.rows))


class PadsData(TypedDict):
    """What pads do: controllers with their switches and numbers in the machine's file, and buttons with usages.

    A switch has its name, the number of its direction or 0, its sources, and the contact that it closes, or -1 if it
    pulls.
    """

    controllers: list[tuple[str, list[tuple[str, int, list[int], int]], int]]
    buttons: list[tuple[int, int]]
    press: int
    release: int


class LayoutData(TypedDict):
    """A layout as stored in the page: `faces` are numbers of faces, in the order of the form's keys.

    `upper` is what to hold for an upper legend. `columns` have their titles, with 1 if they need more than AltGr.
    `swaps` are the numbers of the commands that swap the pads. `ways` are row numbers of a text and how to type it.
    `reached` are row numbers of a machine's key and what reaches it, in the order of the machine's keys, -1 if
    nothing does. If `like` is the number of another layout, `faces` and `reached` are the differences from it:
    places and numbers in turn. `accents` are those of the dead keys, from number 1 on.
    """

    id: str
    machine: str
    host: str
    join: str
    hostTitle: str
    form: str
    table: str
    both: int
    guard: int
    phantoms: int
    altgr: int
    upper: str
    columns: list[tuple[str, int]]
    accents: tuple[str, ...]
    like: int
    faces: list[int]
    ways: list[int]
    reached: list[int]
    pads: NotRequired[PadsData]
    swaps: NotRequired[list[int]]


def page_html(plans: Sequence[Plan]) -> str:
    """The page for some plans; it shows the first one first. Every host must have a form that can be drawn.

    TableError, with the layout's id, if no table can hold a plan.
    """
    data = json.dumps(page_data(plans), ensure_ascii=False, separators=(",", ":"))
    # A script element ends at the first `</script`, and `<!--` changes how it is parsed.
    safe = data.replace("<", "\\u003c").replace("\u2028", "\\u2028").replace("\u2029", "\\u2029")
    module = b64encode((files("matrixmap") / "emit" / "page" / "web" / "runtime.wasm").read_bytes()).decode("ascii")
    body = (
        f"{_web_text('page.html').rstrip()}\n"
        f'<script type="application/json" id="data">{safe}</script>\n'
        f'<script type="application/octet-stream" id="runtime">{module}</script>'
    )
    style = _web_text("page.css").replace("FONTS", FONTS.replace("'", '"'))
    script = '"use strict";(() => {\n' + "\n".join(_script(name) for name in SCRIPTS) + "})();\n"
    title = plans[0].layout.machine.title if len({plan.layout.machine.id for plan in plans}) == 1 else "Layouts"
    return document(f"Try a layout: {title}", style, body, script)


def _web_text(name: str) -> str:
    return (files("matrixmap") / "emit" / "page" / "web" / name).read_text(encoding="utf-8")


def _script(name: str) -> str:
    """A script without comment lines and without indents."""
    lines = (line.strip() for line in _web_text(name).splitlines())
    return "\n".join(line for line in lines if line and not line.startswith(("//", "/**", "* ", "*/")))


def page_data(plans: Sequence[Plan]) -> Mapping[str, object]:
    """All data of the page; data that several layouts share appears once."""
    pools = Pools()
    layouts = [_layout(plan, pools) for plan in plans]
    machines = {plan.layout.machine.id: plan.layout.machine for plan in plans}
    boards = {plan.layout.host.form: form_of(plan.layout.host) for plan in plans}
    codes: dict[str, list[int]] = {}
    for fact in USAGES:
        if fact.code is not None:
            codes.setdefault(fact.code, []).append(fact.usage)
    told = {
        "table": {
            "guard": {"byte": GUARD_BYTE, "bit": GUARD_BIT},
            "rollover": {"byte": ROLLOVER_BYTE, "none": NO_ROLLOVER},
        },
        "kinds": KINDS,
        "fonts": FONTS,
        "codes": codes,
        "forms": {name: _form(board) for name, board in boards.items() if board is not None},
        "machines": {id: page_machine(machine) for id, machine in machines.items()},
        "faces": [_trimmed(row) for row in pools.faces],
        "rows": list(pools.rows),
        "layouts": _told_by_others(layouts),
    }
    shapes = _shapes(plans, json.dumps(told, ensure_ascii=False))
    return {**told, "shapes": shapes, "texts": {tag: _texts(tag, shapes) for tag in LANGUAGES}}


def _texts(tag: str, shapes: Iterable[str]) -> Mapping[str, Mapping[str, str]]:
    """The page's texts in a language, with the names of the signs that it draws."""
    names = texts_of("signs", tag)
    signs = {shape: sign_name(shape, names) for shape in shapes if len(shape) == 1 and is_sign(shape)}
    return {**{name: language_file(tag).get(name, {}) for name in ("language", "keys", "page")}, "signs": signs}


def _told_by_others(layouts: Sequence[LayoutData]) -> list[LayoutData]:
    """The layouts, with faces and reach as differences from the most similar earlier one if that is shorter."""
    told: list[LayoutData] = []
    for index, layout in enumerate(layouts):
        alike = [
            (
                len(_differing(other["faces"], layout["faces"])) + len(_differing(other["reached"], layout["reached"])),
                number,
            )
            for number, other in enumerate(layouts[:index])
            if (other["form"], other["machine"]) == (layout["form"], layout["machine"])
        ]
        size, number = min(alike, default=(0, -1))
        if number < 0 or size >= len(layout["faces"]) + len(layout["reached"]):
            told.append(layout)
            continue
        other = layouts[number]
        changed = {name: _differing(other[name], layout[name]) for name in ("faces", "reached")}
        told.append({**layout, "like": number, **changed})  # type: ignore[typeddict-item]
    return told


def _differing(one: Sequence[int], other: Sequence[int]) -> list[int]:
    """The places at which two lists differ, each followed by the value of the second list."""
    pairs = enumerate(zip(one, other, strict=True))
    return [value for place, (old, new) in pairs if old != new for value in (place, new)]


Drawn = tuple[str, str, str] | tuple[str, str, str, float, float]
"""Frame, filled outlines and lines of a shape in a cell of 100 units; width and weight if they are not usual."""

ALWAYS_DRAWN = ("ArrowUp", "ArrowDown", "ArrowLeft", "ArrowRight", "\u2423", "\u25cc")
"""A host's arrow keys print arrows, no matter what the machine types; blanks and marks are drawn as signs."""


def _shapes(plans: Iterable[Plan], told: str) -> Mapping[str, Drawn]:
    """The legends of some plans that are drawn as paths, and the signs in all texts about them."""
    typed = {legend.text for plan in plans for key in plan.layout.machine.keys for legend in key.types.values()}
    texts = {*ALWAYS_DRAWN, *typed, *filter(is_sign, set(told))}
    return {text: _drawn(shape) for text in sorted(texts) if (shape := shape_of(text))}


def _drawn(shape: Shape) -> Drawn:
    paths = paths_of(shape, 0, 0, 100)
    return paths if shape.width == shape.weight == 1 else (*paths, round(shape.width, 3), shape.weight)


def _trimmed(row: FaceRow) -> tuple[object, ...]:
    """A row without the empty values at its end."""
    most = len(row)
    while not row[most - 1]:
        most -= 1
    return row[:most]


def _layout(plan: Plan, pools: Pools) -> LayoutData:
    layout = plan.layout
    board = form_of(layout.host)
    if board is None:
        raise ValueError(f"the form {layout.host.form} has no known geometry")
    table = make_table(plan)
    faces = Faces(plan, table)
    conduction = ADAPTER_CONDUCTION[plan.contacts]
    pads: LayoutData = {"pads": _pads(layout.pads, layout.machine)} if layout.pads else {}  # type: ignore[typeddict-item]
    swaps: LayoutData = {"swaps": sorted(layout.swaps)} if layout.swaps else {}  # type: ignore[typeddict-item]
    return {
        **pads,
        **swaps,
        "id": plan.id,
        "machine": layout.machine.id,
        "host": layout.host.id,
        "join": layout.join.value,
        "hostTitle": readable(layout.host.title),
        "form": layout.host.form,
        "table": b64encode(table.to_bytes()).decode("ascii"),
        "both": int(conduction is Conduction.BOTH),
        "guard": int(plan.guard and plan.contacts is Contacts.SWITCH),
        "phantoms": int(phantoms_possible(layout.machine, plan.contacts) and plan.contacts is Contacts.SWITCH),
        "altgr": int(layout.host.has_altgr),
        "upper": faces.columns[0].upper,
        "columns": [(column.title, int(column.further)) for column in faces.columns],
        "accents": table.accents,
        "like": -1,
        "faces": [pools.face(_face(layout.host, face)) for face in faces.host(board)],
        "ways": [pools.row(text, words) for text, words in _exercise(faces)],
        "reached": [
            pools.row(face.name, *face.reached.short) if face.reached.short else -1
            for face in faces.machine(board).values()
        ],
    }


def _pads(pads: Pads, machine: Machine) -> PadsData:
    return {
        "controllers": [
            (
                readable(one.controller.name),
                [
                    (
                        readable(each.switch.function),
                        each.direction.value + 1 if each.direction else 0,
                        list(map(int, each.sources)),
                        _closed_by(each.switch, one.controller, machine),
                    )
                    for each in one.switches
                ],
                one.number,
            )
            for one in driven_controllers(pads, machine)
        ],
        "buttons": [(int(source), int(usage)) for source, usage in stroke_usages(pads)],
        "press": pads.limits.press,
        "release": pads.limits.release,
    }


def _closed_by(switch: Switch, controller: Controller, machine: Machine) -> int:
    """The contact that a switch of a controller closes; -1 if it pulls its sense line."""
    return switch_contacts(machine, switch)[0] if controller.wired is Wiring.CONTACT else -1


def _exercise(faces: Faces) -> Iterator[tuple[str, str]]:
    """What the machine types other than letters and digits, and the easiest way to type it."""
    layout = faces.plan.layout
    texts = {legend.text for key in layout.machine.keys for legend in key.types.values()}
    for text in sorted(texts):
        if text in faces.to_type and not (len(text) == 1 and text.isascii() and text.isalnum()):
            yield text, way_words(layout.host, faces.to_type[text][0])


def _face(host: Host, face: Face) -> FaceRow:
    long = printed_name(host, face.usage)
    return (
        face.name,
        readable(face.printed) if len(face.printed) > 1 else face.printed,
        "" if long == face.printed else long,
        KINDS.index(face.kind.value),
        face.whole,
        () if face.whole is not None else face.texts,
        tuple(sorted(face.waits)),
        tuple(sorted(face.unprinted)),
        tuple(sorted(face.sides.items())),
        tuple(sorted({index for index, text in enumerate(face.texts) if text is not None} - drawn_once(face))),
    )


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
    """A machine as stored in the page."""
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
            "sweep": scan.longest_sweep_us,
            "samples_down": scan.samples_down,
            "samples_up": scan.samples_up,
            "rollover": scan.rollover,
            "more_keys": scan.with_more_keys[0].value,
            "whole": scan.debounce is Debounce.WHOLE,
        },
    }
