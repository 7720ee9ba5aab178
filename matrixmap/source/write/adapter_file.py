"""An adapter file begun from a netlist: its parts as the netlist has them, the rest to be filled in."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import fields

from matrixmap.model.values.electric import UseValues
from matrixmap.source.kinds.netlist import NamedPart, Netlist
from matrixmap.source.shape.schema import schema_comment
from matrixmap.source.write.host_file import scalar
from matrixmap.source.write.scaffold import TO_FILL_IN

FIELDS = ("mates", "ohms", "closed", "key_pin", *(each.name for each in fields(UseValues)))
"""Fields of a part that its line in the file takes over."""


def adapter_text(id: str, netlist: Netlist, file: str, machines: Iterable[str]) -> str:
    """The file of an adapter whose nets stand in a netlist beside it.

    The value of a part is taken for the id of the file that describes it.
    """
    return schema_comment("adapter") + "\n".join(_lines(id, netlist, file, machines)) + "\n"


def _lines(id: str, netlist: Netlist, file: str, machines: Iterable[str]) -> Iterator[str]:
    yield f"adapter: {id}"
    yield f"title: {id}"
    yield f"source: {TO_FILL_IN}"
    yield ""
    yield "# The value of each part in the netlist is taken for the file of shared/parts that describes it."
    yield "parts:"
    for part in netlist.parts:
        own = ", ".join(f"{name}: {_value(value)}" for name, value in part.fields if name in FIELDS)
        name = part_id(part)
        yield f"  {part.ref}: {{part: {name}, {own}}}" if own else f"  {part.ref}: {name}"
    yield ""
    yield f"netlist: {file}"
    yield ""
    yield "fits:"
    yield from (f"  {machine}: {{}}" for machine in machines)


def _value(value: str) -> str:
    """A field as YAML; a least and a most stay a list."""
    return value if re.fullmatch(r"\[[0-9.]+, [0-9.]+\]", value) else scalar(value)


def part_id(part: NamedPart) -> str:
    """The value of a part as an id: what cannot stand in one becomes a hyphen."""
    return re.sub(r"[^A-Za-z0-9]+", "-", part.value).strip("-") or "part"
