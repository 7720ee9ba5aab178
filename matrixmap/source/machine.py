"""Machine files: the nodes of one made into a Machine, with findings for what contradicts itself."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from matrixmap.model.finding import Place
from matrixmap.model.legend import Legend
from matrixmap.model.machine import (
    PLAIN,
    Connector,
    Contact,
    Controller,
    Diodes,
    Key,
    Machine,
    Modifier,
    PlaceRow,
    Scan,
    SelectIndex,
    SenseIndex,
    ShiftState,
    Switch,
    Wiring,
)
from matrixmap.source import rules
from matrixmap.source.formats import MACHINE
from matrixmap.source.nodes import Document, Text
from matrixmap.source.report import Report, named, nearest
from matrixmap.source.shapes import Pairs, Record

MOST_LINES = 16
MOST_DIRECT = 8
MOST_MODIFIER_KEYS = 8
OFF_THE_BOARD = ("none", "ground", "supply")


def read_machine(document: Document, report: Report) -> Machine | None:
    """The machine that a document describes, or None if a finding was made."""
    before = len(report.findings)
    record = MACHINE.read(document.root, report, document.whole) if document.root else None
    if record is None:
        return None
    machine = _Reader(record, report).machine()
    return machine if len(report.findings) == before and document.whole else None


class _Reader:
    """Reads the parts of one machine in the order in which they depend on each other."""

    def __init__(self, record: Record, report: Report) -> None:
        self.record = record
        self.report = report
        matrix = record.get("matrix") or Record(record.place, {})
        self.matrix: Record = matrix
        self.select = self._line_names(matrix.get("select"), "select lines", MOST_LINES)
        self.sense = self._line_names(matrix.get("sense"), "sense lines", MOST_LINES)
        # After a fault in the grid or the modifiers, names that seem unknown would only repeat that fault.
        self.all_keys_read = all(name in matrix for name in ("select", "sense", "grid"))
        self.all_modifiers_read = "modifiers" in record or not report.findings
        self.contacts: dict[str, Contact] = {}
        self.places: dict[str, Place] = {}
        self.direct: list[str] = []
        self.latching: dict[str, str] = {}
        self.modifiers: list[Modifier] = []

    def machine(self) -> Machine | None:
        self._grid()
        self._direct()
        self._latching()
        self._modifiers()
        types = self._types()
        diodes, diode_contacts = self._diodes()
        rows, connector, controllers = self._rows(), self._connector(), self._controllers()
        scan = self._scan()
        if not all(name in self.record for name in ("machine", "title", "source")) or scan is None:
            return None
        return Machine(
            id=self.record["machine"].text,
            title=self.record["title"].text,
            source=self.record["source"].text,
            select=tuple(self.select),
            sense=tuple(self.sense),
            direct=tuple(self.direct),
            diodes=diodes,
            diode_contacts=diode_contacts,
            keys=self._keys(types),
            latching=MappingProxyType(self.latching),
            modifiers=tuple(self.modifiers),
            scan=scan,
            rows=rows,
            connector=connector,
            controllers=controllers,
            place=self.record["machine"].place,
        )

    def _line_names(self, texts: list[Text | None] | None, what: str, most: int) -> list[str]:
        names: list[str] = []
        for text in texts or ():
            if text is None:
                continue
            if text.text in names or text.text in OFF_THE_BOARD:
                self.report.add(rules.NAME_TWICE, text.place, f"{text.text} already names something among the {what}")
            names.append(text.text)
        if len(names) > most and texts and texts[0]:
            self.report.add(rules.TOO_MANY, texts[0].place, f"{len(names)} {what} are more than {most}")
        return names

    def _grid(self) -> None:
        for name in sorted(set(self.select) & set(self.sense)):
            self.report.add(rules.NAME_TWICE, self.matrix.place, f"{name} is a select line and a sense line")
        grid = self.matrix.get("grid")
        rows = {line.text: (cells, place) for line, cells, place in grid or ()}
        for line, (cells, place) in rows.items():
            self.all_keys_read &= None not in cells
            if self.select and line not in self.select:
                fault = f"the matrix has no select line {line}{nearest(line, self.select)} (select: {named(self.select, 16)})"
                self.report.add(rules.UNKNOWN_LINE, place, fault)
                self.all_keys_read = False
            elif self.sense and len(cells) != len(self.sense):
                self.report.add(
                    rules.WRONG_LENGTH,
                    place,
                    f"row {line} has {len(cells)} keys, but there are {len(self.sense)} sense lines; "
                    "write none where there is no key",
                )
                self.all_keys_read = False
            else:
                self._row(line, cells)
        missing = [line for line in self.select if line not in rows]
        if missing and grid is not None and grid.whole:
            fault = f"the grid has no row for {named(missing)}; each select line has one"
            self.report.add(rules.MISSING_FIELD, self.matrix.place, fault)
        if missing:
            self.all_keys_read = False

    def _row(self, line: str, cells: list[Text | None]) -> None:
        for sense, cell in enumerate(cells):
            if cell is None or cell.text == "none":
                continue
            if cell.text in self.contacts:
                self.report.add(
                    rules.KEY_ON_TWO_CROSSPOINTS,
                    cell.place,
                    f"{cell.text} already stands at another crosspoint, in line {self.places[cell.text].line}",
                )
            elif line in self.select:
                contact = self.select.index(line) * len(self.sense) + sense
                self._add_key(cell, Contact(contact))

    def _add_key(self, text: Text, contact: Contact) -> None:
        self.contacts[text.text] = contact
        self.places[text.text] = text.place

    def _direct(self) -> None:
        for key, line, place in self.record.get("direct") or ():
            if key.text in self.contacts:
                self.report.add(rules.NAME_TWICE, place, f"{key.text} already stands in the grid")
            elif line.text in (*self.select, *self.sense, *self.direct, *OFF_THE_BOARD):
                self.report.add(rules.NAME_TWICE, line.place, f"{line.text} already names another line")
            else:
                self._add_key(key, Contact(len(self.select) * len(self.sense) + len(self.direct)))
                self.direct.append(line.text)
        if len(self.direct) > MOST_DIRECT:
            self.report.add(
                rules.TOO_MANY, self.record.place, f"{len(self.direct)} direct lines are more than {MOST_DIRECT}"
            )

    def _latching(self) -> None:
        for latch, key, place in self.record.get("latching") or ():
            if latch.text in self.contacts:
                self.report.add(
                    rules.NAME_TWICE,
                    place,
                    f"{latch.text} already has a contact of its own; a latching key has another key's",
                )
            elif key.text in self.latching or key.text == latch.text:
                fault = f"{key.text} is itself a latching key; name the key of the matrix that {latch.text} is in parallel with"
                self.report.add(rules.UNKNOWN_KEY, key.place, fault)
            elif self._known(key):
                self.latching[latch.text] = key.text

    def _known(self, key: Text) -> bool:
        if key.text in self.contacts:
            return True
        known = (*self.contacts, *self.latching)
        if self.all_keys_read:
            fault = f"the machine has no key {key.text!r}{nearest(key.text, known)}"
            self.report.add(rules.UNKNOWN_KEY, key.place, fault)
        return False

    def _modifiers(self) -> None:
        used: dict[str, str] = {}
        listed = self.record.get("modifiers")
        self.all_modifiers_read &= listed is None or listed.whole
        for name, keys, place in listed or ():
            if name.text == "plain":
                self.report.add(
                    rules.NAME_TWICE, place, "plain is the shift state without modifiers; choose another name"
                )
                continue
            known = [key for key in keys if key is not None and self._known(key)]
            for key in known:
                if key.text in used:
                    self.report.add(rules.NAME_TWICE, key.place, f"{key.text} is a key of {used[key.text]} already")
                used[key.text] = name.text
            self.modifiers.append(Modifier(name=name.text, keys=tuple(key.text for key in known)))
        if len(used) > MOST_MODIFIER_KEYS:
            text = f"{len(used)} modifier keys are more than {MOST_MODIFIER_KEYS}"
            self.report.add(rules.TOO_MANY, self.record.place, text)

    def _types(self) -> dict[str, dict[ShiftState, Legend | None]]:
        types: dict[str, dict[ShiftState, Legend | None]] = {}
        names = [modifier.name for modifier in self.modifiers]
        for key, states, _ in self.record.get("types") or ():
            if key.text not in self.latching and not self._known(key):
                continue
            read: dict[ShiftState, Legend | None] = {}
            for state_text, (legend,), place in states:
                state = read_state(state_text, names, self.report if self.all_modifiers_read else Report())
                if state is None:
                    continue
                if state in read:
                    text = f"{key.text} has this shift state already"
                    self.report.add(rules.STATE_TWICE, place, text)
                read[state] = legend
            types[key.text] = read
        return types

    def _diodes(self) -> tuple[Diodes, frozenset[Contact]]:
        diodes = self.matrix.get("diodes")
        if isinstance(diodes, Text):
            return Diodes(diodes.text), frozenset()
        if diodes is None:
            return Diodes.NONE, frozenset()
        contacts = [self.contacts[key.text] for key in diodes if key is not None and self._known(key)]
        return Diodes.SOME, frozenset(contacts)

    def _scan(self) -> Scan | None:
        scan = self.record.get("scan")
        if scan is None or "period_us" not in scan:
            return None
        sweep = int(scan.get("sweep_us", 0))
        if sweep > scan["period_us"]:
            text = f"one scan takes {sweep} us, which is longer than the period of {int(scan['period_us'])} us"
            self.report.add(rules.BAD_NUMBER, scan.place, text)
        return Scan(
            period_us=int(scan["period_us"]),
            sweep_us=sweep,
            samples_down=int(scan.get("samples_down", 1)),
            samples_up=int(scan.get("samples_up", 1)),
            tolerance_percent=scan.get("tolerance_percent", 0.0),
            rollover=int(scan["rollover"]) if "rollover" in scan else None,
            strobe_to_read_us=scan.get("strobe_to_read_us"),
        )

    def _rows(self) -> tuple[PlaceRow, ...]:
        rows: list[PlaceRow] = []
        placed: set[str] = set()
        for row in self.record.get("place") or ():
            if row is None or "keys" not in row or "row" not in row or "from" not in row:
                continue
            keys = [pair for item in row["keys"] if item is not None and (pair := self._place_key(item, placed))]
            rows.append(PlaceRow(row=row["row"], left=row["from"], keys=tuple(keys)))
        return tuple(rows)

    def _place_key(self, item: Text | Record, placed: set[str]) -> tuple[str | None, float] | None:
        if isinstance(item, Record):
            if ("key" in item) == ("gap" in item):
                self.report.add(
                    rules.WRONG_TYPE, item.place, "a place is {key: name, width: 2} or {gap: 0.5}, one of the two"
                )
                return None
            if "gap" in item:
                return None, item["gap"]
        key, width = (item, 1.0) if isinstance(item, Text) else (item["key"], item.get("width", 1.0))
        if key.text not in self.latching and not self._known(key):
            return None
        if key.text in placed:
            self.report.add(rules.NAME_TWICE, key.place, f"{key.text} already has a place")
        placed.add(key.text)
        return key.text, width

    def _connector(self) -> Connector | None:
        connector = self.record.get("connector")
        if connector is None or "pins" not in connector:
            return None
        lines = (*self.select, *self.sense, *self.direct)
        pins: list[str | None] = []
        for pin in connector["pins"]:
            if pin is None:
                continue
            if pin.text not in (*lines, *OFF_THE_BOARD):
                text = f"the machine has no line {pin.text}{nearest(pin.text, (*lines, *OFF_THE_BOARD))}"
                self.report.add(rules.UNKNOWN_LINE, pin.place, text)
            pins.append(None if pin.text == "none" else pin.text)
        for line in lines:
            if pins.count(line) > 1:
                self.report.add(rules.NAME_TWICE, connector.place, f"{line} is on two pins")
        key_pin = int(connector["key_pin"]) if "key_pin" in connector else None
        if key_pin and (key_pin > len(pins) or pins[key_pin - 1] is not None):
            text = f"pin {key_pin} is blanked, so it must be one of the {len(pins)} pins and none in the list"
            self.report.add(rules.BAD_NUMBER, connector.place, text)
        return Connector(pins=tuple(pins), key_pin=key_pin)

    def _controllers(self) -> tuple[Controller, ...]:
        controllers = []
        for name, (stated, switches), _ in self.record.get("controllers") or ():
            wired = self._wiring(name, stated, switches)
            read = [self._switch(name, wired, function, lines) for function, lines, _ in switches]
            if wired is not None:
                known = tuple(switch for switch in read if switch)
                controllers.append(Controller(name=name.text, wired=wired, switches=known))
        return tuple(controllers)

    def _wiring(self, name: Text, stated: tuple[Text | None, ...], switches: Pairs) -> Wiring | None:
        """How a controller says that it is wired; to ground if it says nothing and has no select line; None after a finding."""
        if stated:
            return Wiring(stated[0].text) if stated[0] is not None else None
        between = [(function, lines) for function, lines, _ in switches if "/" in lines.text]
        if not between:
            return Wiring.GROUND
        function, lines = between[0]
        apart = "; switches on a sense line alone are another controller" if len(between) < len(switches) else ""
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
                text = f"the matrix has no line {name} there{nearest(name, known)}"
                self.report.add(rules.UNKNOWN_LINE, lines.place, text)
                return None
        if wired is not None and (wired is Wiring.GROUND) == bool(select):
            wants = (
                "wired to ground, so its switches are on a sense line alone"
                if wired is Wiring.GROUND
                else f"wired as {wired.value}, so each of its switches has a select and a sense line"
            )
            text = f"{lines.text} of {function.text}: {controller.text} is {wants}; a stick wired in two ways is two controllers"
            self.report.add(rules.WRONG_WIRING, lines.place, text)
            return None
        return Switch(
            function=function.text,
            sense=SenseIndex(self.sense.index(sense)),
            select=SelectIndex(self.select.index(select)) if select else None,
        )

    def _keys(self, types: Mapping[str, Mapping[ShiftState, Legend | None]]) -> tuple[Key, ...]:
        keys = []
        for name, contact in self.contacts.items():
            states = types.get(name, {})
            typed = {state: legend for state, legend in states.items() if legend is not None}
            silent = frozenset(state for state, legend in states.items() if legend is None)
            key = Key(name=name, contact=contact, types=MappingProxyType(typed), place=self.places[name], silent=silent)
            keys.append(key)
        return tuple(sorted(keys, key=lambda key: key.contact))


def read_state(text: Text, modifiers: list[str], report: Report) -> ShiftState | None:
    """A shift state such as `shift + blazon`, or None after a finding."""
    if text.text == "plain":
        return PLAIN
    names = [name.strip() for name in text.text.split("+")]
    if "" in names or "plain" in names or len(set(names)) < len(names):
        fault = f"{text.text!r} is no shift state: plain alone, or different modifiers joined by +"
        report.add(rules.UNKNOWN_MODIFIER, text.place, fault)
        return None
    for name in names:
        if name not in modifiers:
            known = ("plain", *modifiers)
            report.add(
                rules.UNKNOWN_MODIFIER,
                text.place,
                f"the machine has no modifier {name!r}{nearest(name, known)} (shift states: {named(known)}, joined by +)",
            )
            return None
    return frozenset(names)
