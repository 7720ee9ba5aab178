"""Faults, and classes of faults that no press can separate, in words for a person with the board at hand."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import replace
from itertools import accumulate

from matrixmap.board.geometry import Turn, Way
from matrixmap.board.nets import Board
from matrixmap.emit.pictures.svg import markup
from matrixmap.emit.pictures.written import inline
from matrixmap.emit.texts.language import END, LEFT_TO_RIGHT, RIGHT_TO_LEFT, Texts, texts_of
from matrixmap.kit.meter import JOINED, OPEN, Measurement
from matrixmap.kit.screen import NOTHING
from matrixmap.kit.table import UNTOUCHED, FaultTable
from matrixmap.kit.trials.faults import Fault, Kind
from matrixmap.model.boards.adapter import Pin

_DEPTH = {LEFT_TO_RIGHT: 1, RIGHT_TO_LEFT: 1, END: -1}


def for_page(texts: Texts) -> Texts:
    """Texts for a page. In a page written from right to left, names and numbers keep their direction."""
    return replace(texts, isolates=texts.right_to_left)


def marked(text: str) -> str:
    """Text as the content of an element. Characters for a direction of its own stay if they come in pairs."""
    depths = list(accumulate(_DEPTH.get(char, 0) for char in text))
    if not depths or min(depths) < 0 or depths[-1]:
        return markup(text)
    return "".join(part if part in _DEPTH else markup(part) for part in re.split(f"([{''.join(_DEPTH)}])", text))


def fault_words(texts: Texts, board: Board, fault: Fault) -> str:
    """One fault: `the joint of U2 pin 6 (X0) is open (net S0)`."""
    if fault.kind is Kind.OPEN:
        (pin,) = fault.pins
        return texts.say("fault-open", pin=pin_words(texts, board, pin), net=_net(board, pin))
    if fault.kind is Kind.BRIDGE:
        one, other = (pin_words(texts, board, pin) for pin in fault.pins)
        nets = [_net(board, pin) for pin in fault.pins]
        return texts.say("fault-bridge", one=one, other=other, net=nets[0], next=nets[1])
    if fault.kind is Kind.MISSING:
        return texts.say("fault-missing", ref=fault.ref)
    if fault.kind is Kind.TURNED:
        return texts.say("fault-turned", ref=fault.ref)
    if fault.kind is Kind.CONNECTOR:
        return texts.say("fault-connector", ref=fault.ref, way=_way_words(texts, fault.way))
    if fault.kind is Kind.JUMPER:
        return texts.say("fault-closed" if board.adapter.parts[fault.ref].closed else "fault-opened", ref=fault.ref)
    return texts.say("fault-layout", layout=fault.layout)


def class_words(texts: Texts, board: Board, faults: Iterable[Fault]) -> Iterator[str]:
    """The faults of a class, one per line; open joints of one net share a line, because no press can separate them."""
    opens: dict[str, list[Fault]] = {}
    others: list[str] = []
    for fault in faults:
        if fault.kind is Kind.OPEN:
            opens.setdefault(_net(board, fault.pins[0]), []).append(fault)
        else:
            others.append(fault_words(texts, board, fault))
    for net, some in opens.items():
        if len(some) == 1:
            yield fault_words(texts, board, some[0])
        else:
            pins = ", ".join(pin_words(texts, board, fault.pins[0]) for fault in some)
            yield texts.say("fault-net", net=net, pins=pins)
    yield from others


def pin_words(texts: Texts, board: Board, pin: Pin) -> str:
    """A pin by its part's reference and its number, and its name if it has one: `U2 pin 18 (STROBE)`."""
    name = board.adapter.part(pin).pins[pin.number]
    if name == pin.number:
        return texts.say("pin", ref=pin.ref, number=pin.number)
    return texts.say("pin-named", ref=pin.ref, number=pin.number, name=name)


def reading_words(texts: Texts, ohms: float) -> str:
    """What a meter reads on a correct board."""
    if ohms == JOINED:
        return texts.say("joined")
    return texts.say("apart-chip") if ohms == OPEN else texts.say("about", ohms=f"{ohms:g}")


MOST_SHOWN = 3
"""The most faults that are given with a measurement."""


def measurement_words(texts: Texts, board: Board, measurement: Measurement) -> str:
    """A measurement as a sentence, with the faults if it reads differently."""
    one, other = (pin_words(texts, board, pin) for pin in measurement.pins)
    measured = texts.say("measure", one=one, other=other, read=reading_words(texts, measurement.ohms))
    found = "; ".join(fault_words(texts, board, fault) for fault in measurement.shows[:MOST_SHOWN])
    return texts.say("measure-else", measured=measured, found=found)


def at_most(texts: Texts, lines: list[str], most: int) -> list[str]:
    """At most that many lines, then the count of the rest."""
    return [*lines[:most], *([texts.say("more", count=len(lines) - most)] if len(lines) > most else [])]


def question_words(texts: Texts, table: FaultTable, asks: int) -> str:
    """What to press for a question, by the number of its answer."""
    return texts.say("untouched") if asks == UNTOUCHED else table.presses[asks - 1].words


def answer_words(texts: Texts, answer: str) -> str:
    """What appears; an empty answer is said in a word."""
    return texts.say("nothing") if answer == NOTHING else answer


def answer_html(texts: Texts, answer: str) -> str:
    """What appears, as the content of an HTML element; signs that fonts lack are pictures with their names."""
    return inline(answer_words(texts, answer), texts_of("signs", texts.language))


def _way_words(texts: Texts, way: Way) -> str:
    """How a connector is put on wrongly: `turned round, shifted by 1 pin back along`."""
    parts = [texts.say(f"way-{way.turn.name.lower().replace('_', '-')}")] if way.turn is not Turn.STRAIGHT else []
    for by, where in ((way.along, "along"), (way.down, "across")):
        if by:
            parts.append(texts.say(f"way-{where}-{'back' if by < 0 else 'on'}", count=abs(by)))
    return ", ".join(parts)


def _net(board: Board, pin: Pin) -> str:
    if pin in board.nets:
        return board.nets[pin].name
    pairs = {str(own): number for number, own in board.pairs}
    line = board.connector.pins[pairs[pin.number] - 1] if pin.number in pairs else None
    return line or "no net"
