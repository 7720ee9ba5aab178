"""An adapter file begun from a netlist: it has the parts of the netlist, and the rest is left to fill in."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator
from dataclasses import fields
from fractions import Fraction

from matrixmap.model.values.electric import UseValues
from matrixmap.source.kinds.netlist import NamedPart, Netlist
from matrixmap.source.shape.schema import schema_comment
from matrixmap.source.write.host_file import scalar
from matrixmap.source.write.scaffold import TO_FILL_IN

FIELDS = ("mates", "ohms", "closed", "key_pin", *(each.name for each in fields(UseValues)))
"""Fields of a part that its line in the file copies."""


def adapter_text(id: str, netlist: Netlist, file: str, machines: Iterable[str], known: Collection[str]) -> str:
    """The file of an adapter with its nets in a netlist beside it; `known` are the parts that have a file."""
    return schema_comment("adapter") + "\n".join(_lines(id, netlist, file, machines, known)) + "\n"


def _lines(id: str, netlist: Netlist, file: str, machines: Iterable[str], known: Collection[str]) -> Iterator[str]:
    yield f"adapter: {id}"
    yield f"title: {id}"
    yield f"source: {TO_FILL_IN}"
    yield ""
    yield "# The value of each part in the netlist names the file of shared/parts that describes it."
    yield "parts:"
    for part in netlist.parts:
        name, own = described_by(part, known)
        listed = {**own, **{field: value for field, value in part.fields if field in FIELDS}}
        told = ", ".join(f"{field}: {_value(value)}" for field, value in listed.items())
        yield f"  {part.ref}: {{part: {name}, {told}}}" if told else f"  {part.ref}: {name}"
    yield ""
    yield f"netlist: {file}"
    yield ""
    yield "fits:"
    yield from (f"  {machine}: {{}}" for machine in machines)


def described_by(part: NamedPart, known: Collection[str]) -> tuple[str, dict[str, str]]:
    """The file that describes a part of a netlist, with whatever else the part's value says.

    The file is the one with the part's value as its id. Without such a file, the value of a resistor by its reference
    (R1) is its ohms, and that of a capacitor (C1) its farads (common practice).
    """
    name = part_id(part)
    if name in known:
        return name, {}
    ohms = ohms_of(part.value) if re.fullmatch(r"R\d+", part.ref) else None
    if ohms is not None and "resistor" in known:
        return "resistor", {"ohms": ohms}
    if re.fullmatch(r"C\d+", part.ref) and re.fullmatch(r"\d[\d.]*[pnuµ]?\d*F?", part.value) and "capacitor" in known:
        return "capacitor", {}
    return name, {}


def ohms_of(value: str) -> str | None:
    """The ohms of a resistor as digits: `10k`, `4k7`, `220`, `220R`, `1M` (IEC 60062, from memory); else None."""
    match = re.fullmatch(r"(\d{1,6})(?:[.,](\d{1,3}))?\s*([RrkKM]?)(\d{0,3})\s*(?:ohms?|\u03a9|\u2126)?", value)
    if match is None or (match[2] and match[4]) or (match[4] and not match[3]):
        return None
    factor = {"": 1, "R": 1, "K": 1000, "M": 1_000_000}[match[3].upper()]
    ohms = Fraction(f"{match[1]}.{match[2] or match[4] or 0}") * factor
    return f"{float(ohms):.3f}".rstrip("0").rstrip(".")


def _value(value: str) -> str:
    """A field as YAML; a least and a most stay a list."""
    return value if re.fullmatch(r"\[[0-9.]+, [0-9.]+\]", value) else scalar(value)


def part_id(part: NamedPart) -> str:
    """The value of a part as an id; characters that an id cannot have become hyphens."""
    return re.sub(r"[^A-Za-z0-9]+", "-", part.value).strip("-") or "part"
