"""What a picture says in the language of its reader about keys, crosspoints, columns and stickers."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache

from matrixmap.emit.pictures.columns import Column
from matrixmap.emit.pictures.faces import Face, Faces, Kind, MachineFace, Place, Reach, form_of, state_columns
from matrixmap.emit.pictures.written import said
from matrixmap.emit.texts.language import FALLBACK, Texts, key_text, texts_of
from matrixmap.hid.usages import KEYPAD_DIGITS, Usage
from matrixmap.model.machine import Machine
from matrixmap.model.plan import Plan


@dataclass(frozen=True, slots=True, kw_only=True)
class Tongue:
    """The sections of a language for pictures."""

    drawing: Texts
    page: Texts
    sheet: Texts
    keys: Texts
    signs: Texts

    @property
    def language(self) -> str:
        """The BCP 47 tag."""
        return self.drawing.language

    @property
    def right_to_left(self) -> bool:
        """Whether its lines begin at the right."""
        return self.drawing.right_to_left

    def key(self, name: str) -> str:
        """The translated name of a key, from its English name."""
        return key_text(self.keys, name)

    def say(self, key: str, /, **places: str | int) -> str:
        """A text of the section `drawing`."""
        return self.drawing.say(key, **places)

    def legend(self, text: str) -> str:
        """A legend as spoken: blanks and signs by their names, anything else in words."""
        return said(self.deed(text), self.keys, self.signs)

    def deed(self, text: str) -> str:
        """The translated effect of a press that is no legend (a command or a latch), from English."""
        if found := re.fullmatch(r"command (\d+)", text):
            return self.page.say("did-command", number=found[1])
        if found := re.fullmatch(r"sets and frees (.+)", text):
            return self.page.say("latch", what=found[1])
        return text


@cache
def tongue_of(language: str = FALLBACK) -> Tongue:
    """The texts of pictures in a language with a file."""
    drawing, page, sheet, keys, signs = (
        texts_of(section, language) for section in ("drawing", "page", "sheet", "keys", "signs")
    )
    return Tongue(drawing=drawing, page=page, sheet=sheet, keys=keys, signs=signs)


# ---- keys in sentences, for screen readers and tooltips ----


def spoken_face(tongue: Tongue, face: Face, columns: tuple[Column, ...]) -> str:
    """A host key in a sentence."""
    plain = face.printed in (face.name, face.name.removeprefix("Key"))
    printed = tongue.legend(face.printed)
    name = printed if plain else f"{printed} ({face.name})"
    if face.kind is not Kind.TYPES:
        return tongue.page.say(f"key-{face.kind.value}", key=name, what=tongue.deed(face.whole or ""))
    if face.whole is not None:
        return tongue.page.say("key-types", key=name, what=tongue.legend(face.whole))
    typed = ", ".join(
        f"{held_words(tongue, columns[index // 2], bool(index % 2), face.usage, place)} {_said(tongue, place)}"
        for index, place in enumerate(face.places)
        if place is not None
    )
    return tongue.page.say("key-types", key=name, what=typed)


def _said(tongue: Tongue, place: Place) -> str:
    text = tongue.legend(place.text)
    if place.waits:
        text = tongue.page.say("waits", text=text)
    return text if place.press.printed else tongue.page.say("unprinted", text=text)


def held_words(tongue: Tongue, column: Column, upper: bool, usage: Usage, place: Place) -> str:
    """What to hold for a place on a key: `plain`, `with Shift`, `with Num Lock off`; with its side if that matters."""
    if usage in KEYPAD_DIGITS:
        return tongue.page.say("num-off" if upper else "num-on")
    names = [place.side] if place.side else [name for name in (column.upper if upper else "", column.title) if name]
    return tongue.page.say("with", keys=tongue.key("+".join(names))) if names else tongue.page.say("plain")


def spoken_machine_face(tongue: Tongue, machine: Machine, face: MachineFace) -> str:
    """A machine key in a sentence."""
    at = machine.contact_name(face.contact) if face.contact is not None else ""
    key = (
        tongue.say("at", key=face.name, lines=at)
        if at
        else tongue.say("beside", key=face.name, other=face.beside or "")
    )
    typed = [
        f"{_state(tongue, state)} {tongue.legend(text)}" if len(face.types) > 1 else tongue.legend(text)
        for state, text in face.types
    ]
    modifier = machine.modifier_of(face.name)
    if typed:
        key = tongue.page.say("key-types", key=key, what=", ".join(typed))
    elif modifier:
        key = tongue.page.say("key-modifier", key=key, what=modifier)
    return f"{key}; {reach_words(tongue, face.reached)}"


def _state(tongue: Tongue, state: str) -> str:
    return tongue.page.say("plain") if state == "plain" else state


def reach_words(tongue: Tongue, reach: Reach) -> str:
    """What reaches a contact, in a clause."""
    if not reach.ways:
        return tongue.page.say("unreached")
    keys = ", ".join(tongue.legend(tongue.key(way)) for way in reach.ways)
    return tongue.say("held-by", keys=keys) if reach.held else tongue.page.say("reached", keys=keys)


# ---- texts around a keyboard ----


def subtitle(tongue: Tongue, plan: Plan) -> str:
    """The machine and the host, and how the layout joins them."""
    layout = plan.layout
    join = tongue.page.say(layout.join.value)
    return tongue.say("subtitle", id=layout.id, host=layout.host.title, machine=layout.machine.title, join=join)


def captions(tongue: Tongue, faces: Faces, name: str) -> tuple[str, ...]:
    """What a part shows, and how to read it."""
    match name:
        case "host":
            return _host_captions(tongue, faces)
        case "machine":
            return _machine_captions(tongue, faces)
        case _:
            machine = faces.plan.layout.machine
            counts = {"select": len(machine.select), "sense": len(machine.sense)}
            return (tongue.say("matrix", machine=machine.title, **counts), tongue.say("matrix-reading"))


def _host_captions(tongue: Tongue, faces: Faces) -> tuple[str, ...]:
    host = faces.plan.layout.host
    board = form_of(host)
    keys = faces.host(board) if board else ()
    title = tongue.say("host-form", host=host.title, form=board.title) if board else tongue.say("host", host=host.title)
    reading = _sentences(
        tongue.say("reading", upper=tongue.key(faces.columns[0].upper)),
        _further(tongue, [tongue.key(column.title) for column in faces.columns[1:]]),
        tongue.say("hatched"),
        tongue.sheet.say("dots") if any(face.waits for face in keys) else "",
        tongue.sheet.say("underlined") if any(face.unprinted for face in keys) else "",
        tongue.say("keypad"),
    )
    return (title, reading)


def _machine_captions(tongue: Tongue, faces: Faces) -> tuple[str, ...]:
    machine = faces.plan.layout.machine
    first = machine.modifiers[0].name if machine.modifiers else "shift"
    states = [machine.state_name(state) for state in state_columns(machine)[1:]]
    reading = _sentences(
        tongue.say("machine-reading", upper=first), _further(tongue, states), tongue.say("machine-strip")
    )
    return (tongue.say("machine", machine=machine.title), reading)


def sticker_reading(tongue: Tongue, columns: tuple[Column, ...], number: int, count: int) -> str:
    """How to read the stickers of a sheet, and how to print it."""
    return _sentences(
        tongue.say("stickers-page", number=number, count=count),
        tongue.say("stickers-reading", upper=tongue.key(columns[0].upper)),
        _further(tongue, [tongue.key(column.title) for column in columns[1:]]),
        tongue.say("stickers-print"),
    )


def _further(tongue: Tongue, columns: Iterable[str]) -> str:
    said_ = ", ".join(columns)
    return tongue.page.say("further", columns=said_) if said_ else ""


def _sentences(*some: str) -> str:
    return " ".join(filter(None, some))


def host_label(tongue: Tongue, plan: Plan) -> str:
    """The label of the list of the host's keys."""
    return tongue.say("host-label", host=plan.layout.host.title, machine=plan.layout.machine.title)


def machine_label(tongue: Tongue, machine: Machine) -> str:
    """The label of the list of the machine's keys."""
    return tongue.say("machine-label", machine=machine.title)


def side_words(tongue: Tongue, side: str, texts: Iterable[str]) -> str:
    """What only one side of a modifier types: `Only with right Shift+Alt: ↺ ▶`."""
    return tongue.say("only", side=tongue.key(side), texts=" ".join(texts))


def sticker_label(tongue: Tongue, name: str, sides: Iterable[str]) -> str:
    """The key that a sticker is for, and what only one side of a modifier types there."""
    return "; ".join([tongue.say("sticker", key=tongue.legend(tongue.key(name))), *map(tongue.legend, sides)])
