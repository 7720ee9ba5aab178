"""The netlist of an adapter in the export format of the board editor KiCad: an S-expression of parts and nets.

Facts about a single part (what it mates with, its ohms, its blanked pin) are in fields of the part, which the editor
keeps.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields

from matrixmap.model.boards.adapter import Adapter, Mates, PartUse, Passive
from matrixmap.model.values.electric import Interval, UseValues


def netlist_text(adapter: Adapter) -> str:
    """The netlist, without a date: the same adapter gives the same bytes."""
    return "\n".join(_lines(adapter)) + "\n"


def quoted(text: str) -> str:
    """A text in quotes."""
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'


def _lines(adapter: Adapter) -> Iterator[str]:
    yield '(export (version "E")'
    yield f'  (design (source {quoted(adapter.id)}) (tool "matrixmap"))'
    yield "  (components"
    for use in adapter.parts.values():
        fields = "".join(f" (field (name {quoted(name)}) {quoted(value)})" for name, value in _fields(use))
        stated = f" (fields{fields})" if fields else ""
        yield f"    (comp (ref {quoted(use.ref)}) (value {quoted(use.part.id)}){stated})"
    yield "  )"
    yield "  (nets"
    for code, net in enumerate(adapter.nets, start=1):
        nodes = " ".join(f"(node (ref {quoted(pin.ref)}) (pin {quoted(pin.number)}))" for pin in net.pins)
        yield f'    (net (code "{code}") (name {quoted(net.name)}) {nodes})'
    yield "  )"
    yield ")"


def _fields(use: PartUse) -> Iterator[tuple[str, str]]:
    if use.mates is not Mates.NOTHING:
        yield "mates", use.mates.value
    if use.ohms is not None:
        yield "ohms", f"{use.ohms:.12g}"
    for each in fields(UseValues):
        value = getattr(use.values, each.name)
        if isinstance(value, Interval):
            least, most = value
            yield each.name, f"{least:.12g}" if least == most else f"[{least:.12g}, {most:.12g}]"
        elif value:
            yield each.name, f"{value:.12g}"
    if use.part.passive is Passive.JUMPER and not use.closed:
        yield "closed", "false"
    if use.key_pin is not None:
        yield "key_pin", str(use.key_pin)
