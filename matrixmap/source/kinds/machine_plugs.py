"""Machine files: the connector, and the controllers that share lines with the matrix."""

from __future__ import annotations

from dataclasses import fields, replace

from matrixmap.limits import CONTROLLER_SWITCHES
from matrixmap.model.machine import (
    Connector,
    Controller,
    Drive,
    Electric,
    Gender,
    Header,
    Numbering,
    Revision,
    SelectIndex,
    SenseIndex,
    Switch,
    Wiring,
)
from matrixmap.model.values.electric import LineValues
from matrixmap.source import board_rules, rules
from matrixmap.source.kinds.machine_wires import OFF_THE_BOARD, Wires
from matrixmap.source.report import Report, named
from matrixmap.source.shape.shapes import Pairs, Record
from matrixmap.source.text.nodes import Text


class Plugs:
    """Reads the connector and the controllers of a machine against its lines."""

    def __init__(self, record: Record, wires: Wires, report: Report) -> None:
        self.record = record
        self.report = report
        self.wires = wires
        self.select, self.sense, self.direct = wires.select, wires.sense, wires.direct

    def connector(self) -> Connector | None:
        """The plug of the keyboard, if the file describes it."""
        return self._connector(self.record.get("connector"))

    def _connector(self, connector: Record | None) -> Connector | None:
        if connector is None or "pins" not in connector:
            return None
        lines = (*self.select, *self.sense, *self.direct)
        pins: list[str | None] = []
        for pin in connector["pins"]:
            if pin is None:
                continue
            both_read = self.wires.select_read and self.wires.sense_read
            if pin.text not in (*lines, *OFF_THE_BOARD, *self.wires.row_names) and both_read:
                text = f"the machine has no line {pin.text}{self.report.nearest(pin.text, (*lines, *OFF_THE_BOARD))}"
                self.report.add(rules.UNKNOWN_LINE, pin.place, text)
            pins.append(None if pin.text == "none" else pin.text)
        for line in lines:
            if pins.count(line) > 1:
                self.report.add(rules.NAME_TWICE, connector.place, f"{line} is on two pins")
        key_pin = int(connector["key_pin"]) if "key_pin" in connector else None
        if key_pin and (key_pin > len(pins) or pins[key_pin - 1] is not None):
            text = f"pin {key_pin} is blanked, so it must be one of the {len(pins)} pins, and none in the list"
            self.report.add(rules.BAD_NUMBER, connector.place, text)
        return Connector(pins=tuple(pins), key_pin=key_pin, shape=self._shape(connector, len(pins)))

    def _shape(self, connector: Record, pins: int) -> Header | None:
        """The arrangement of the pins, if the file gives the gender of the connector."""
        if "gender" not in connector:
            return None
        rows = int(connector.get("rows", 1))
        if pins % rows:
            text = f"{pins} pins cannot form {rows} rows of one length"
            self.report.add(rules.WRONG_LENGTH, connector.place, text)
        return Header(
            rows=rows,
            columns=pins // rows,
            numbering=Numbering(connector["numbering"].text) if "numbering" in connector else Numbering.ROWS,
            gender=Gender(connector["gender"].text),
            shrouded="shrouded" in connector and connector["shrouded"].text == "true",
            clearance=int(connector["clearance"]) if "clearance" in connector else None,
        )

    def electric(self, record: Record | None, of: Electric | None = None) -> Electric | None:
        """The electrical side of the lines; missing values are taken from `of`."""
        if record is None:
            return of
        of = of or Electric()
        closes_to = dict(of.closes_to or {})
        ends = (*self.select, *self.sense, "ground")
        for line, end, _ in record.get("closes_to") or ():
            for name, known in ((line, self.direct), (end, ends)):
                if name.text not in known:
                    close = self.report.nearest(name.text, known)
                    text = f"{name.text} is {'no direct line' if name is line else 'no line to close to'}{close}"
                    self.report.add(rules.UNKNOWN_LINE, name.place, text)
            closes_to[line.text] = end.text
        drives = {name: Drive(record[name].text) for name in ("select", "sense", "direct") if name in record}
        return Electric(
            supply_v=record.get("supply_v", of.supply_v),
            supply_ma=record.get("supply_ma", of.supply_ma),
            line_v=record.get("line_v", of.line_v),
            select=drives.get("select", of.select),
            sense=drives.get("sense", of.sense),
            direct=drives.get("direct", of.direct),
            unselected_high=record["unselected"].text == "high" if "unselected" in record else of.unselected_high,
            closes_to=closes_to,
            values=self._values(record, of.values),
            place=record.place,
        )

    def _values(self, record: Record, of: LineValues) -> LineValues:
        """The known values of the circuit; missing values are taken from `of`."""
        given = {each.name: record[each.name] for each in fields(LineValues) if each.name in record}
        values = replace(of, **given)
        low, high = values.reads_low_v, values.reads_high_v
        if low is not None and high is not None and low >= high:
            text = f"an input that surely reads low up to {low:g} V cannot surely read high from {high:g} V"
            self.report.add(board_rules.THRESHOLDS_OVERLAP, record.place, text)
        return values

    def revisions(self, electric: Electric | None) -> tuple[Revision, ...]:
        """The revisions of the machine; `electric` describes the machine itself."""
        return tuple(
            Revision(
                name=name.text,
                connector=self._connector(facts.get("connector")),
                electric=self.electric(facts["electric"], electric) if "electric" in facts else None,
            )
            for name, facts, _ in self.record.get("revisions") or ()
        )

    def controllers(self) -> tuple[Controller, ...]:
        """The controllers that could be read."""
        controllers = []
        count = 0
        for name, (stated, switches), _ in self.record.get("controllers") or ():
            count += len(switches)
            if count > CONTROLLER_SWITCHES >= count - len(switches):
                text = (
                    f"with this controller the machine has {count} switches; all controllers together may have "
                    f"{CONTROLLER_SWITCHES}"
                )
                self.report.add(rules.TOO_MANY, name.place, text)
            wired = self._wiring(name, stated, switches)
            read = [self._switch(name, wired, function, lines) for function, lines, _ in switches]
            if wired is not None:
                known = tuple(switch for switch in read if switch)
                controllers.append(Controller(name=name.text, wired=wired, switches=known))
        return tuple(controllers)

    def _wiring(self, name: Text, stated: tuple[Text | None, ...], switches: Pairs) -> Wiring | None:
        """How a controller is wired: to ground if it neither says so nor has a select line. None after a finding."""
        if stated:
            return Wiring(stated[0].text) if stated[0] is not None else None
        between = [(function, lines) for function, lines, _ in switches if "/" in lines.text]
        if not between:
            return Wiring.GROUND
        function, lines = between[0]
        apart = "; put switches on a sense line alone into another controller" if len(between) < len(switches) else ""
        self.report.add(
            rules.WIRING_NOT_STATED,
            lines.place,
            f"{name.text} does not say how it is wired; write wired: gated if {function.text} pulls the sense line only while "
            f"the select line is strobed and lets no current back, wired: contact if it joins both lines as a key does{apart}",
        )
        return None

    def _switch(self, controller: Text, wired: Wiring | None, function: Text, lines: Text) -> Switch | None:
        select, _, sense = lines.text.rpartition("/")
        for name, known in ((sense, self.sense), (select, self.select)):
            if name and name not in known:
                kind = "sense" if known is self.sense else "select"
                text = f"the matrix has no {kind} line {name}{self.report.nearest(name, known)} ({kind}: {named(known, 16)})"
                self.report.add(rules.UNKNOWN_LINE, lines.place, text)
                return None
        if wired is not None and (wired is Wiring.GROUND) == bool(select):
            wants = (
                "wired to ground, so its switches are on a sense line alone"
                if wired is Wiring.GROUND
                else f"wired as {wired.value}, so each of its switches has a select and a sense line"
            )
            text = (
                f"{lines.text} of {function.text}: {controller.text} is {wants}; write a stick that is wired in two "
                "ways as two controllers"
            )
            self.report.add(rules.WRONG_WIRING, lines.place, text)
            return None
        return Switch(
            function=function.text,
            sense=SenseIndex(self.sense.index(sense)),
            select=SelectIndex(self.select.index(select)) if select else None,
        )
