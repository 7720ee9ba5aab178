"""Machine files: the lines of the matrix and the keys at their contacts."""

from __future__ import annotations

from matrixmap.model.finding import Place
from matrixmap.model.machine import Contact, Diodes
from matrixmap.source import rules
from matrixmap.source.nodes import Text
from matrixmap.source.report import Report, named, nearest
from matrixmap.source.shapes import Record

MOST_LINES = 16
MOST_DIRECT = 8
OFF_THE_BOARD = ("none", "ground", "supply")


class Wires:
    """The lines of a machine and the contacts of its keys, read from a record.

    `contacts` maps each key to its contact, `places` to where the file names it first.
    """

    def __init__(self, record: Record, report: Report) -> None:
        self.record = record
        self.report = report
        matrix = record.get("matrix") or Record(record.place, {})
        self.matrix: Record = matrix
        self.select = self._line_names(matrix.get("select"), "select lines", MOST_LINES)
        self.sense = self._line_names(matrix.get("sense"), "sense lines", MOST_LINES)
        # After a fault in the grid, names that seem unknown would only repeat that fault.
        self.all_keys_read = all(name in matrix for name in ("select", "sense", "grid"))
        self.contacts: dict[str, Contact] = {}
        self.places: dict[str, Place] = {}
        self.direct: list[str] = []
        self.latching: dict[str, str] = {}
        self.parallel: dict[str, tuple[str, ...]] = {}
        self._beside: list[tuple[Text, list[Text | None]]] = []
        self._grid()
        self._direct()
        self._parallel()
        self._latching()

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

    def _row(self, line: str, cells: list[tuple[Text, ...] | None]) -> None:
        for sense, names in enumerate(cells):
            cell, *caps = names or (None,)
            if cell is None or cell.text == "none":
                continue
            self._beside += [(cap, [cell]) for cap in caps if cap is not None]
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

    def _parallel(self) -> None:
        """Caps of the grid's lists and of the section."""
        pairs = [*self._beside, *((cap, keys) for cap, keys, _ in self.record.get("parallel") or ())]
        caps = [cap.text for cap, _ in pairs]
        for cap, keys in pairs:
            closed = [key for key in keys if key is not None]
            nested = next((key for key in closed if key.text in caps), None)
            if cap.text in self.contacts or cap.text in self.parallel:
                what = "stands in the grid already" if cap.text in self.parallel else "has a contact of its own"
                fault = f"{cap.text} {what}; a cap in parallel closes the contacts of other keys, told once"
                self.report.add(rules.NAME_TWICE, cap.place, fault)
            elif nested is not None:
                fault = f"{nested.text} is itself a cap in parallel; name the keys whose contacts {cap.text} closes"
                self.report.add(rules.UNKNOWN_KEY, nested.place, fault)
            elif len({key.text for key in closed}) < len(closed):
                self.report.add(rules.NAME_TWICE, cap.place, f"{cap.text} names a key twice")
            elif len(known := [key.text for key in closed if self.known(key)]) == len(keys):
                self.parallel[cap.text] = tuple(known)

    def is_cap(self, key: Text) -> bool:
        """Whether a name is that of something a finger presses, with a finding if not."""
        return key.text in self.latching or key.text in self.parallel or self.known(key)

    def _latching(self) -> None:
        for latch, key, place in self.record.get("latching") or ():
            if latch.text in self.contacts or latch.text in self.parallel:
                self.report.add(
                    rules.NAME_TWICE,
                    place,
                    f"{latch.text} already has a contact of its own; a latching key has another key's",
                )
            elif key.text in self.latching or key.text == latch.text:
                fault = f"{key.text} is itself a latching key; name the key of the matrix that {latch.text} is in parallel with"
                self.report.add(rules.UNKNOWN_KEY, key.place, fault)
            elif self.known(key):
                self.latching[latch.text] = key.text

    def known(self, key: Text) -> bool:
        """Whether a key has a contact, with a finding if not."""
        if key.text in self.contacts:
            return True
        known = (*self.contacts, *self.latching)
        if key.text in self.parallel:
            keys = named(self.parallel[key.text])
            fault = f"{key.text} is a cap without a contact of its own; name the key that it closes ({keys})"
            self.report.add(rules.UNKNOWN_KEY, key.place, fault)
        elif self.all_keys_read:
            fault = f"the machine has no key {key.text!r}{nearest(key.text, known)}"
            self.report.add(rules.UNKNOWN_KEY, key.place, fault)
        return False

    def diodes(self) -> tuple[Diodes, frozenset[Contact]]:
        """Which crosspoints have a diode, and their contacts where these are some."""
        diodes = self.matrix.get("diodes")
        if isinstance(diodes, Text):
            return Diodes(diodes.text), frozenset()
        if diodes is None:
            return Diodes.NONE, frozenset()
        contacts = [self.contacts[key.text] for key in diodes if key is not None and self.known(key)]
        return Diodes.SOME, frozenset(contacts)
