"""The wiring pin by pin: where each machine pin leads, and which processor pin works which control."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from matrixmap.board.controls import Control, Source
from matrixmap.board.record import Judged
from matrixmap.model.boards.adapter import Mates, Pin


@dataclass(frozen=True, slots=True, kw_only=True)
class PinRow:
    """A pin of the machine's connector: number, line, the header's pin on it, that pin's net and where it leads.

    `blank`: the pin is taken out. `own` is None if nothing touches the pin.
    """

    number: int
    line: str | None
    blank: bool
    own: int | None
    net: str | None
    leads_to: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ControlRow:
    """A control with what finally drives it, and the resistors that hold it before the program runs."""

    control: str
    role: str
    driven_by: tuple[str, ...]
    held_by: tuple[str, ...]


def pin_rows(judged: Judged) -> Iterator[PinRow]:
    """The pins of the machine's connector, in order."""
    board = judged.board
    own = dict(board.pairs)
    passed = {
        use.ref
        for use in board.adapter.parts.values()
        if use.part.header is not None and use.mates is not Mates.NOTHING
    }
    for number, line in enumerate(board.connector.pins, start=1):
        pin = Pin(board.header.ref, str(own[number])) if number in own else None
        members = board.groups.members(board.groups.of(pin)) if pin is not None else ()
        active = [board.shown(each) for each in members if judged.is_active(each)]
        if pin is not None and not active:
            active = [
                board.shown(each)
                for each in members
                if each.ref in board.adapter.parts
                and each.ref not in passed
                and each.number in board.adapter.part(each).power
            ]
        yield PinRow(
            number=number,
            line=line,
            blank=number == board.connector.key_pin,
            own=own.get(number),
            net=board.nets[pin].name if pin is not None and pin in board.nets else None,
            leads_to=tuple(active),
        )


def control_rows(judged: Judged) -> Iterator[ControlRow]:
    """The controls of all parts, in the order of the file."""
    board = judged.board
    for control, sources in judged.controls:
        pulls = board.pulls.get(board.groups.of(control.pin), ())
        yield ControlRow(
            control=board.shown(control.pin),
            role=control.role,
            driven_by=tuple(_driven(judged, control, source) for source in sources),
            held_by=tuple(f"{pull.ref} {'high' if pull.volts > 0 else 'low'}" for pull in pulls),
        )


def _driven(judged: Judged, control: Control, source: Source) -> str:
    if source.tied_high is not None:
        return "a supply" if source.tied_high else "ground"
    shown = judged.board.shown(source.pin) if source.pin is not None else "nothing"
    through = [judged.board.shown(pin) for pin in source.through]
    return " through ".join([shown, *through])
