"""Adapter files: parts by their references, nets, and the machines that the adapter fits."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields
from types import MappingProxyType

from matrixmap.model.boards.adapter import Adapter, DriverTime, Fit, Mates, Net, Part, PartUse, Passive, Pin
from matrixmap.model.machine import Machine
from matrixmap.model.place import Place
from matrixmap.model.values.electric import UseValues
from matrixmap.source import board_rules, rules
from matrixmap.source.kinds.netlist import Netlist
from matrixmap.source.report import Report, named
from matrixmap.source.shape.boards import ADAPTER, texts
from matrixmap.source.shape.shapes import Record
from matrixmap.source.text.nodes import Document, Text

UNCONNECTED = "unconnected-"
"""How the board editor begins the name of a net for an open pin (from memory: KiCad, since version 6)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Beside:
    """What an adapter file needs from other files. Each function returns None if the file is missing or unusable.

    The function has then already reported why, at the place of the name.
    """

    part: Callable[[Text], Part | None]
    machine: Callable[[Text], Machine | None]
    netlist: Callable[[Text], Netlist | None]


def read_adapter_record(document: Document, report: Report) -> Record | None:
    """The record of an adapter file, before its parts and machines are looked up."""
    return ADAPTER.read(document.root, report, document.to_the_end) if document.root else None


def finish_adapter(record: Record, beside: Beside, report: Report) -> Adapter | None:
    """The adapter with its parts and machines; None only if a field is missing, which has already been reported."""
    return _Reader(record, beside, report).adapter()


class _Reader:
    """Reads an adapter against its parts."""

    def __init__(self, record: Record, beside: Beside, report: Report) -> None:
        self.record = record
        self.beside = beside
        self.report = report
        self.parts: dict[str, PartUse] = {}
        self.unread: set[str] = set()
        # Parts with a misnamed pin: a pin that seems open may be the misnamed one.
        self.misnamed: set[str] = set()
        self.owner: dict[Pin, tuple[str, Place]] = {}

    def adapter(self) -> Adapter | None:
        record = self.record
        self._parts()
        nets = self._netlist() if "netlist" in record else self._nets()
        unused = self._unused()
        fits = self._fits()
        if "netlist" in record:
            unused |= {pin for pin in self._pins() if pin not in self.owner}
        else:
            self._tell_open(unused)
        if not all(name in record for name in ("adapter", "title", "source")):
            return None
        return Adapter(
            id=record["adapter"].text,
            title=record["title"].text,
            source=record["source"].text,
            place=record["adapter"].place,
            driver=_driver(record.get("driver")),
            parts=MappingProxyType(self.parts),
            nets=nets,
            unused=frozenset(unused),
            fits=fits,
        )

    def _parts(self) -> None:
        for ref, use, place in self.record.get("parts") or ():
            facts = use if isinstance(use, Record) else Record(place, {"part": use})
            name: Text | None = facts.get("part")
            part = self.beside.part(name) if name is not None else None
            if part is None or name is None:
                self.unread.add(ref.text)
                continue
            key_pin = int(facts["key_pin"]) if "key_pin" in facts else None
            if part.is_cable:
                text = f"{part.id} is a cable; list it under fits, as through: {part.id}"
                self.report.add(board_rules.WRONG_PART, name.place, text)
            if key_pin is not None and (part.header is None or key_pin > part.header.size):
                self.report.add(board_rules.UNKNOWN_PIN, facts.place, f"{ref.text} has no pin {key_pin} to be blanked")
            if "mates" in facts and part.header is None:
                self.report.add(
                    board_rules.WRONG_PART, facts.place, f"{ref.text} is not a header, so nothing mates with it"
                )
            if part.passive is Passive.RESISTOR and "ohms" not in facts:
                text = f"{ref.text} is a resistor; give its ohms: {{part: {part.id}, ohms: 10000}}"
                self.report.add(rules.MISSING_FIELD, name.place, text)
            self.parts[ref.text] = PartUse(
                ref=ref.text,
                part=part,
                place=place,
                mates=Mates(facts["mates"].text) if "mates" in facts else Mates.NOTHING,
                ohms=facts.get("ohms"),
                closed="closed" not in facts or facts["closed"].text == "true",
                key_pin=key_pin,
                values=UseValues(**{each.name: facts[each.name] for each in fields(UseValues) if each.name in facts}),
            )

    def pin(self, text: Text) -> Pin | None:
        """The pin with that name; a finding if there is none."""
        ref, _, name = text.text.partition(".")
        return self._pin(ref, name, text.place)

    def _pin(self, ref: str, name: str, place: Place) -> Pin | None:
        use = self.parts.get(ref)
        if use is None:
            if ref not in self.unread:
                close = self.report.nearest(ref, self.parts)
                self.report.add_once(board_rules.UNKNOWN_PART, place, f"there is no part {ref} under parts{close}")
            return None
        number = use.part.number(name)
        if number is None:
            known = list(dict.fromkeys(use.part.pins.values()))
            close = self.report.nearest(name, known)
            several = name in known
            why = "several pins have that name; use the number" if several else f"pins: {named(known, 24)}"
            fault = f"{ref} ({use.part.id}) has no pin {name!r}{'' if several else close} ({why})"
            self.report.add(board_rules.UNKNOWN_PIN, place, fault)
            self.misnamed.add(ref)
            return None
        return Pin(ref, number)

    def _nets(self) -> tuple[Net, ...]:
        nets: list[Net] = []
        for name, pins, place in self.record.get("nets") or ():
            found = [(pin, text.place) for text in texts(pins) if (pin := self.pin(text)) is not None]
            nets.append(self._net(name.text, found, place))
        return tuple(nets)

    def _net(self, name: str, pins: list[tuple[Pin, Place]], place: Place) -> Net:
        own: list[Pin] = []
        for pin, where in pins:
            if pin in self.owner:
                other, first = self.owner[pin]
                shown = f"{pin.ref}.{self.parts[pin.ref].part.pins[pin.number]}"
                of = "this net" if other == name else f"the net {other}"
                fault = f"{shown} is already in {of}, in line {first.line}; a pin is in one net"
                self.report.add(board_rules.PIN_TWICE, where, fault)
                continue
            self.owner[pin] = name, where
            own.append(pin)
        return Net(name=name, pins=tuple(own), place=place)

    def _netlist(self) -> tuple[Net, ...]:
        if "nets" in self.record:
            text = "nets and netlist both say what is joined; keep one of the two"
            self.report.add(rules.WRONG_TYPE, self.record["netlist"].place, text)
        netlist = self.beside.netlist(self.record["netlist"])
        nets: list[Net] = []
        for net in netlist.nets if netlist else ():
            if len(net.nodes) == 1 and net.name.startswith(UNCONNECTED):
                continue
            pins = [(pin, node.place) for node in net.nodes if (pin := self._pin(node.ref, node.pin, node.place))]
            if pins:
                nets.append(self._net(net.name, pins, net.place))
        for part in netlist.parts if netlist else ():
            if part.ref not in self.parts and part.ref not in self.unread:
                close = self.report.nearest(part.ref, self.parts)
                text = f"there is no part {part.ref} under parts{close}"
                self.report.add_once(board_rules.UNKNOWN_PART, part.place, text)
        return tuple(nets)

    def _unused(self) -> set[Pin]:
        unused: set[Pin] = set()
        for text in texts(self.record.get("unused")):
            pin = self.pin(text)
            if pin is None:
                continue
            if pin in self.owner:
                net, place = self.owner[pin]
                fault = f"{text.text} is listed as unused, but is in the net {net} in line {place.line}"
                self.report.add(board_rules.PIN_TWICE, text.place, fault)
            unused.add(pin)
        return unused

    def _pins(self) -> list[Pin]:
        return [Pin(ref, number) for ref, use in self.parts.items() for number in use.part.pins]

    def _tell_open(self, unused: set[Pin]) -> None:
        """Reports the pins that the file does not mention; a blanked pin needs no mention."""
        if self.unread:
            return
        for ref, use in self.parts.items():
            if ref in self.misnamed:
                continue
            blank = str(use.key_pin) if use.key_pin is not None else None
            left = [
                n for n in use.part.pins if n != blank and Pin(ref, n) not in unused and Pin(ref, n) not in self.owner
            ]
            if left:
                pins = named([use.part.pins[number] for number in left], 8)
                one = len(left) == 1
                fault = f"{pins} of {ref} {'is' if one else 'are'} in no net; add {'it' if one else 'them'} to one, or to unused"
                self.report.add(board_rules.PIN_NOT_TOLD, use.place, fault)

    def _fits(self) -> tuple[Fit, ...]:
        fits: list[Fit] = []
        for name, facts, place in self.record.get("fits") or ():
            id, _, revision = name.text.partition("/")
            machine = self.beside.machine(Text(id, name.place))
            cable = self.beside.part(facts["through"]) if "through" in facts else None
            if machine is None or ("through" in facts and cable is None):
                continue
            known = [each.name for each in machine.revisions]
            if revision and revision not in known:
                fault = f"{id} has no revision {revision!r}{self.report.nearest(revision, known)} (revisions: {named(known)})"
                self.report.add(board_rules.UNKNOWN_REVISION, name.place, fault)
                continue
            if cable is not None and not cable.is_cable:
                text = f"{cable.id} is not a cable, so nothing can go through it"
                self.report.add(board_rules.WRONG_PART, facts["through"].place, text)
                continue
            side = "mount" in facts and facts["mount"].text == "other-side"
            fits.append(
                Fit(
                    machine=id,
                    revision=revision or None,
                    through=cable,
                    other_side=side,
                    place=place,
                    metres=facts.get("metres"),
                )
            )
        return tuple(fits)


def _driver(facts: Record | None) -> DriverTime | None:
    """The time of the driver; None if the file does not give it, or lacks a field (already reported)."""
    spread = [each for each in (facts.get("spread_us") or () if facts else ()) if each is not None]
    if facts is None or not spread or "measured" not in facts:
        return None
    return DriverTime(
        spread_us=tuple(spread),
        each_us=facts.get("each_us", 0.0),
        write_ns=int(facts.get("write_ns", 0)),
        follow_us=facts.get("follow_us"),
        measured=facts["measured"].text,
    )
