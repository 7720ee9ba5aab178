"""Part files: pins and what they can do."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import fields
from types import MappingProxyType

from matrixmap.model.boards.adapter import (
    Addressed,
    Buffer,
    Channel,
    Does,
    Part,
    Passive,
    Power,
    ProcessorPin,
    Shifted,
    Thresholds,
    Times,
)
from matrixmap.model.machine import Gender, Header, Numbering
from matrixmap.model.values.electric import DiodeValues, Interval, PartValues
from matrixmap.source import board_rules, rules
from matrixmap.source.report import Report, named
from matrixmap.source.shape.boards import PART, texts
from matrixmap.source.shape.shapes import Record
from matrixmap.source.text.nodes import Document, Text

ADDRESSED = ("address", "data", "strobe")
SHIFTED = ("in", "clock", "latch", "outputs")


def read_part(document: Document, report: Report) -> Part | None:
    """The part that a document describes, or None after a finding."""
    before = len(report.findings)
    record = PART.read(document.root, report, document.to_the_end) if document.root else None
    if record is None:
        return None
    part = _Reader(record, report).part()
    return part if len(report.findings) == before and document.whole else None


def read_header(record: Record) -> Header | None:
    """The shape of a connector; None if columns are missing, which has already been reported."""
    if "columns" not in record or "gender" not in record:
        return None
    return Header(
        rows=int(record.get("rows", 1)),
        columns=int(record["columns"]),
        numbering=Numbering(record["numbering"].text) if "numbering" in record else Numbering.ROWS,
        gender=Gender(record["gender"].text),
        shrouded="shrouded" in record and record["shrouded"].text == "true",
        clearance=int(record["clearance"]) if "clearance" in record else None,
    )


class _Reader:
    """Reads a part against its own pins."""

    def __init__(self, record: Record, report: Report) -> None:
        self.record = record
        self.report = report
        self.pins: dict[str, str] = {}

    def part(self) -> Part | None:
        record = self.record
        header = read_header(record["header"]) if "header" in record else None
        wires, end = self._cable()
        self._pins(header)
        passive = Passive(record["passive"].text) if "passive" in record else None
        store, channels = self._store(), self._channels()
        self._has_a_job(passive is not None)
        if not all(name in record for name in ("part", "title", "source")):
            return None
        return Part(
            id=record["part"].text,
            title=record["title"].text,
            source=record["source"].text,
            place=record["part"].place,
            pins=MappingProxyType(self.pins),
            power=MappingProxyType(self._power()),
            processor=MappingProxyType(self._processor()),
            channels=channels,
            store=store,
            buffers=tuple(self._buffers()),
            passive=passive,
            elements=tuple(self._elements()) if passive else (),
            header=header or end,
            wires=wires,
            inputs=self._inputs(),
            output_high_v=record.get("output_high_v"),
            tolerates_v=record.get("tolerates_v"),
            clamps="unpowered" in record and record["unpowered"].text == "clamps",
            key_pin=int(self.record["cable"]["key_pin"]) if "key_pin" in self.record.get("cable", {}) else None,
            times=Times(**{name: int(value) for name, value in record["times"].items()}) if self._times() else None,
            values=self._values(),
        )

    def _values(self) -> PartValues:
        record, cable, diode = self.record, self.record.get("cable", {}), self.record.get("diode")
        given = {each.name: record[each.name] for each in fields(PartValues) if each.name in record}
        if diode is not None:
            given.pop("diode")
        if diode is not None and "saturation_na" in diode and "emission" in diode:
            given["diode"] = DiodeValues(
                saturation_na=diode["saturation_na"],
                emission=diode["emission"],
                series_ohms=diode.get("series_ohms", Interval(0.0, 0.0)),
            )
        return PartValues(**given, pf_per_m=cable.get("pf_per_m"))

    def _times(self) -> bool:
        times = self.record.get("times")
        return times is not None and len(times) == 3

    def _pins(self, header: Header | None) -> None:
        given = texts(self.record.get("pins"))
        names = [text.text for text in given] or [str(n + 1) for n in range(header.size if header else 0)]
        if not names and "passive" in self.record:
            names = ["1", "2"]
        if header is not None and given and len(given) != header.size:
            text = f"{len(given)} pins are named, but the header has {header.size}"
            self.report.add(rules.WRONG_LENGTH, given[0].place, text)
        self.pins = {str(number): name for number, name in enumerate(names, start=1)}
        if not names and "cable" not in self.record:
            text = "the part has no pins; name them under pins, from pin 1"
            self.report.add(rules.MISSING_FIELD, self.record.place, text)

    def _has_a_job(self, passive: bool) -> None:
        jobs = ("processor", "channels", "array", "store", "buffers", "header", "cable", "power")
        if not passive and not any(job in self.record for job in jobs):
            text = f"nothing says what the part does; it needs one of {named((*jobs, 'passive'), 20)}"
            self.report.add(rules.MISSING_FIELD, self.record.place, text)

    def number(self, text: Text | None) -> str | None:
        """The number of a pin of the part; a finding if no pin has that name."""
        if text is None:
            return None
        if text.text in self.pins:
            return text.text
        found = [number for number, name in self.pins.items() if name == text.text]
        if len(found) == 1:
            return found[0]
        known = list(dict.fromkeys(self.pins.values()))
        why = "several pins have that name; use the number" if found else named(known, 24)
        fault = f"the part has no pin {text.text!r}{self.report.nearest(text.text, known)} (pins: {why})"
        self.report.add(board_rules.UNKNOWN_PIN, text.place, fault)
        return None

    def _each(self, items: list[Text | None] | None) -> tuple[str, ...]:
        return tuple(number for text in texts(items) if (number := self.number(text)) is not None)

    def _power(self) -> dict[str, Power]:
        found: dict[str, Power] = {}
        for name, facts, _ in self.record.get("power") or ():
            # A name that several supply pins share stands for all of them.
            named_so = [n for n, pin in self.pins.items() if pin == name.text]
            numbers: list[str | None] = [*named_so] or [self.number(name)]
            power = Power()
            if isinstance(facts, Record):
                if ("takes" in facts) == ("gives" in facts):
                    text = "a supply pin either takes volts from and to, or gives some"
                    self.report.add(rules.WRONG_TYPE, facts.place, text)
                power = Power(
                    takes_v=facts.get("takes"),
                    gives_v=facts.get("gives"),
                    draws_ma=facts.get("ma", 0.0),
                    burst_ma=facts.get("burst_ma"),
                    burst_khz=facts.get("burst_khz"),
                )
            found.update({number: power for number in numbers if number is not None})
        return found

    def _processor(self) -> dict[str, ProcessorPin]:
        found: dict[str, ProcessorPin] = {}
        for name, facts, _ in self.record.get("processor") or ():
            number = self.number(name)
            if number is None or not {"port", "bit", "does"} <= set(facts):
                continue
            found[number] = ProcessorPin(
                port=facts["port"].text,
                bit=int(facts["bit"]),
                does=frozenset(Does(text.text) for text in texts(facts["does"])),
                at_reset=facts["at_reset"].text if "at_reset" in facts else "input",
                boot=facts["boot"].text if "boot" in facts else None,
                also=facts["also"].text if "also" in facts else None,
                tolerates_v=facts.get("tolerates_v"),
            )
        return found

    def _channels(self) -> tuple[Channel, ...]:
        found: list[Channel] = []
        array = self.record.get("array")
        if array is not None and "x" in array and "y" in array:
            x, y = self._each(array["x"]), self._each(array["y"])
            found += [Channel(a=a, b=b, bit=i + len(x) * j) for j, b in enumerate(y) for i, a in enumerate(x)]
            store = self.record.get("store")
            room = 1 << len(store.get("address") or ()) if store is not None else 0
            if room < len(found):
                text = f"the array has {len(found)} switches, but the address of the store leads to {room}"
                self.report.add(rules.WRONG_LENGTH, array.place, text)
        for channel in self.record.get("channels") or ():
            if channel is None or "a" not in channel or "b" not in channel:
                continue
            a, b = self.number(channel["a"]), self.number(channel["b"])
            control = self.number(channel.get("when"))
            if a is not None and b is not None:
                found.append(Channel(a=a, b=b, control=control, low="at" in channel and channel["at"].text == "low"))
        return tuple(found)

    def _store(self) -> Addressed | Shifted | None:
        record = self.record.get("store")
        if record is None:
            return None
        addressed, shifted = (all(field in record for field in fields) for fields in (ADDRESSED, SHIFTED))
        if addressed == shifted:
            text = f"a store has either {named(ADDRESSED)}, or {named(SHIFTED)}"
            self.report.add(rules.MISSING_FIELD, record.place, text)
            return None
        pins = {name: self.number(record[name]) for name in record if isinstance(record[name], Text)}
        low = frozenset(self._each(record.get("low")))
        if addressed:
            return Addressed(
                address=self._each(record["address"]),
                data=pins["data"] or "",
                strobe=pins["strobe"] or "",
                reset=pins.get("reset"),
                low=low,
            )
        return Shifted(
            input=pins["in"] or "",
            clock=pins["clock"] or "",
            latch=pins["latch"] or "",
            enable=pins.get("enable"),
            clear=pins.get("clear"),
            out=pins.get("out"),
            outputs=self._each(record["outputs"]),
            low=low,
        )

    def _buffers(self) -> Iterable[Buffer]:
        for buffer in self.record.get("buffers") or ():
            if buffer is None or "in" not in buffer or "out" not in buffer:
                continue
            input, output = self.number(buffer["in"]), self.number(buffer["out"])
            if input is not None and output is not None:
                drain = "drives" in buffer and buffer["drives"].text == "open-drain"
                yield Buffer(input=input, output=output, open_drain=drain)

    def _elements(self) -> Iterable[tuple[str, str]]:
        given = self.record.get("elements")
        if given is None:
            if len(self.pins) != 2:
                text = (
                    f"the part has {len(self.pins)} pins; elements must say which two pins each of its "
                    f"{self.record['passive'].text}s has"
                )
                self.report.add(rules.MISSING_FIELD, self.record.place, text)
            else:
                yield "1", "2"
            return
        for pair in given:
            ends = [self.number(end) for end in pair or ()]
            if len(ends) == 2 and ends[0] is not None and ends[1] is not None:
                yield ends[0], ends[1]

    def _inputs(self) -> Thresholds | None:
        record: Mapping[str, float] | None = self.record.get("inputs")
        if record is None:
            return None
        for low, high, share in (("low_v", "high_v", False), ("low_share", "high_share", True)):
            if set(record) == {low, high}:
                return Thresholds(low=record[low], high=record[high], share=share)
        text = "give thresholds as low_v and high_v, or as low_share and high_share"
        self.report.add(rules.MISSING_FIELD, self.record["inputs"].place, text)
        return None

    def _cable(self) -> tuple[tuple[tuple[int, int], ...], Header | None]:
        cable = self.record.get("cable")
        end = read_header(cable["end"]) if cable is not None and "end" in cable else None
        if cable is None or "wires" not in cable or end is None:
            return (), None
        if isinstance(cable["wires"], Text):
            return tuple((pin, pin) for pin in range(1, end.size + 1)), end
        wires = [(int(pair[0]), int(pair[1])) for pair in cable["wires"] if pair is not None]
        for pins in ([wire[0] for wire in wires], [wire[1] for wire in wires]):
            over = [pin for pin in pins if pin > end.size]
            if over or len(set(pins)) < len(pins):
                text = f"each wire needs its own pin from 1 to {end.size} at each end"
                self.report.add(rules.BAD_NUMBER, cable.place, text)
                break
        return tuple(wires), end
