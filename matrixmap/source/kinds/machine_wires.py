"""Machine files: the lines of the matrix and the keys at their contacts."""

from __future__ import annotations

from dataclasses import replace

from matrixmap.model.machine import Contact, Diodes
from matrixmap.model.place import Place
from matrixmap.source import rules
from matrixmap.source.report import Report, named
from matrixmap.source.shape.shapes import Record
from matrixmap.source.text.nodes import Text

MOST_LINES = 16
MOST_DIRECT = 8
OFF_THE_BOARD = ("none", "ground", "supply")


class Wires:
    """The lines of a machine and the contacts of its keys, read from a record.

    `contacts` maps each key to its contact, `places` maps it to its first place in the file.
    """

    def __init__(self, record: Record, report: Report) -> None:
        self.record = record
        self.report = report
        matrix = record.get("matrix") or Record(record.place, {})
        self.matrix: Record = matrix
        self.select = self._line_names(matrix.get("select"), "select lines", MOST_LINES)
        self.sense = self._line_names(matrix.get("sense"), "sense lines", MOST_LINES)
        # After a fault in the grid, findings for unknown names would only repeat that fault.
        self.all_keys_read = all(name in matrix for name in ("select", "sense", "grid"))
        self.select_read = None not in (matrix.get("select") or (None,))
        self.sense_read = None not in (matrix.get("sense") or (None,))
        self.contacts: dict[str, Contact] = {}
        # Keys in rows with a finding: they exist, though not at a known contact.
        self.in_faulty_rows: set[str] = set()
        self.row_names: set[str] = set()
        # Findings about a short row or a repeated key: a name that is nowhere in the grid may belong there.
        self.gaps: list[int] = []
        self.nowhere: dict[str, Text] = {}
        self.too_long = False
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
                self.report.add(rules.NAME_TWICE, text.place, f"{text.text} is already a name among the {what}")
            names.append(text.text)
        if len(names) > most and texts and texts[0]:
            self.report.add(rules.TOO_MANY, texts[0].place, f"{len(names)} {what} are more than {most}")
        return names

    def _grid(self) -> None:
        for name in sorted(set(self.select) & set(self.sense)):
            self.report.add(rules.NAME_TWICE, self.matrix.place, f"{name} is both a select line and a sense line")
        grid = self.matrix.get("grid")
        rows = {line.text: (cells, place) for line, cells, place in grid or ()}
        for line, (cells, place) in rows.items():
            self.all_keys_read &= None not in cells
            if self.select and line not in self.select:
                self._unknown_row(line, place, [name for name in self.select if name not in rows])
                self._keys_without_contact(cells)
            elif self.sense and self.sense_read and None not in cells and len(cells) != len(self.sense):
                self.too_long |= len(cells) > len(self.sense)
                self.gaps += [len(self.report.findings)] * max(1, len(self.sense) - len(cells))
                self.report.add(rules.WRONG_LENGTH, place, _row_length(line, cells, self.sense))
                self._keys_without_contact(cells)
            else:
                self._row(line, cells)
        self.all_keys_read &= grid is None or grid.whole
        self.row_names = set(rows)
        missing = [line for line in self.select if line not in rows]
        others = [line for line in rows if line not in self.select]
        if missing and grid is not None and grid.whole and not (len(missing) == len(others) and self.select_read):
            fault = f"the grid has no row for {named(missing)}; each select line needs one"
            self.report.add(rules.MISSING_FIELD, self.matrix.place, fault)
        if missing and len(missing) != len(others):
            self.all_keys_read = False

    def _unknown_row(self, line: str, place: Place, without_row: list[str]) -> None:
        """Reports a row with a line that is not a select line; silent if some select line could not be read."""
        if not self.select_read:
            return
        fault = f"the matrix has no select line {line}{self.report.nearest(line, without_row or self.select)} (select: {named(self.select, 16)})"
        if len(without_row) == 1:
            fault = f"{fault}; {without_row[0]} has no row, so one of the two names is probably misspelt"
        self.report.add(rules.UNKNOWN_LINE, place, fault)

    def _keys_without_contact(self, cells: list[tuple[Text, ...] | None]) -> None:
        self.in_faulty_rows.update(name.text for names in cells for name in names or ())

    def _row(self, line: str, cells: list[tuple[Text, ...] | None]) -> None:
        for sense, names in enumerate(cells):
            cell, *caps = names or (None,)
            if cell is None or cell.text == "none":
                continue
            self._beside += [(cap, [cell]) for cap in caps if cap is not None]
            if cell.text in self.contacts:
                self.gaps.append(len(self.report.findings))
                first = self.places[cell.text]
                fault = (
                    f"{cell.text} is at this crosspoint and also at one in line {first.line}, column {first.column}; "
                )
                text = f"{fault}a key has one crosspoint; give one of the two another name, such as {cell.text}-2"
                self.report.add(rules.KEY_ON_TWO_CROSSPOINTS, cell.place, text)
            elif line in self.select:
                contact = self.select.index(line) * len(self.sense) + sense
                self._add_key(cell, Contact(contact))

    def _add_key(self, text: Text, contact: Contact) -> None:
        self.contacts[text.text] = contact
        self.places[text.text] = text.place

    def _direct(self) -> None:
        for key, line, place in self.record.get("direct") or ():
            if key.text in self.contacts:
                self.report.add(rules.NAME_TWICE, place, f"{key.text} is already in the grid")
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
        """Parallel caps, from the grid's lists and from the section."""
        pairs = [*self._beside, *((cap, keys) for cap, keys, _ in self.record.get("parallel") or ())]
        caps = [cap.text for cap, _ in pairs]
        for cap, keys in pairs:
            closed = [key for key in keys if key is not None]
            nested = next((key for key in closed if key.text in caps), None)
            if cap.text in self.contacts or cap.text in self.parallel:
                what = "is already in the grid" if cap.text in self.parallel else "has a contact of its own"
                fault = f"{cap.text} {what}; a cap in parallel closes the contacts of other keys, and is named once"
                self.report.add(rules.NAME_TWICE, cap.place, fault)
            elif nested is not None:
                fault = (
                    f"{nested.text} is itself a cap in parallel; name the keys that have the contacts which "
                    f"{cap.text} closes"
                )
                self.report.add(rules.UNKNOWN_KEY, nested.place, fault)
            elif len({key.text for key in closed}) < len(closed):
                self.report.add(rules.NAME_TWICE, cap.place, f"{cap.text} names a key twice")
            elif len(known := [key.text for key in closed if self.known(key)]) == len(keys):
                self.parallel[cap.text] = tuple(known)

    def is_cap(self, key: Text) -> bool:
        """Whether a name belongs to something that a finger presses; a finding if not."""
        return key.text in self.latching or key.text in self.parallel or self.known(key)

    def _latching(self) -> None:
        for latch, key, place in self.record.get("latching") or ():
            if latch.text in self.contacts or latch.text in self.parallel:
                self.report.add(
                    rules.NAME_TWICE,
                    place,
                    f"{latch.text} already has a contact of its own; a latching key uses another key's contact",
                )
            elif key.text in self.latching or key.text == latch.text:
                fault = f"{key.text} is itself a latching key; name the key of the matrix that {latch.text} is in parallel with"
                self.report.add(rules.UNKNOWN_KEY, key.place, fault)
            elif self.known(key):
                self.latching[latch.text] = key.text

    def known(self, key: Text) -> bool:
        """Whether a key has a contact; a finding if not."""
        if key.text in self.contacts:
            return True
        if key.text in self.in_faulty_rows:
            return False
        known = (*self.contacts, *self.latching, *self.parallel)
        if key.text in self.parallel:
            keys = named(self.parallel[key.text])
            fault = f"{key.text} is a cap without a contact of its own; name the key that it closes ({keys})"
            self.report.add(rules.UNKNOWN_KEY, key.place, fault)
        elif self.all_keys_read:
            close = self.report.nearest(key.text, known)
            if self.gaps and (self.too_long or not close):
                self.nowhere.setdefault(key.text, key)
            else:
                self.report.add_once(rules.UNKNOWN_KEY, key.place, f"the machine has no key {key.text!r}{close}")
        return False

    def tell_nowhere(self) -> None:
        """Reports the names that are nowhere in the grid, at the first gap if there are enough gaps for them."""
        if len(self.nowhere) > len(self.gaps):
            for name, text in self.nowhere.items():
                self.report.add(rules.UNKNOWN_KEY, text.place, f"the machine has no key {name!r}")
        elif self.nowhere:
            number = self.gaps[0]
            named_keys = " and ".join(self.nowhere)
            verb = "stands" if len(self.nowhere) == 1 else "stand"
            fault = f"{self.report.findings[number].text}; {named_keys} {verb} nowhere in the grid: perhaps here?"
            self.report.findings[number] = replace(self.report.findings[number], text=fault)

    def diodes(self) -> tuple[Diodes, frozenset[Contact]]:
        """Which crosspoints have a diode, and their contacts if only some have one."""
        diodes = self.matrix.get("diodes")
        if isinstance(diodes, Text):
            return Diodes(diodes.text), frozenset()
        if diodes is None:
            return Diodes.NONE, frozenset()
        contacts = [self.contacts[key.text] for key in diodes if key is not None and self.known(key)]
        return Diodes.SOME, frozenset(contacts)


def _row_length(line: str, cells: list[tuple[Text, ...] | None], sense: list[str]) -> str:
    """The text that a row is too short or too long, and by how much."""
    more = len(cells) - len(sense)
    if more > 0:
        over = named([names[0].text if names else "?" for names in cells[len(sense) :]])
        remedy = f"{over} too many; look for a key that is there twice, or for a name that a comma splits"
    else:
        remedy = f"{-more} missing; write none where there is no key"
    return f"row {line} has {len(cells)} keys, but there are {len(sense)} sense lines ({named(sense, 16)}); {remedy}"
