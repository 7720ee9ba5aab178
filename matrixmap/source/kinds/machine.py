"""Machine files: nodes become a Machine, with findings for contradictions."""

from __future__ import annotations

from collections.abc import Iterator
from types import MappingProxyType

from matrixmap.model.machine import Debounce, Key, Machine, MoreKeys, PlaceRow, Scan
from matrixmap.model.place import Place
from matrixmap.source import rules
from matrixmap.source.kinds.machine_modes import TurnReader, check_turns
from matrixmap.source.kinds.machine_plugs import Plugs
from matrixmap.source.kinds.machine_types import Typing
from matrixmap.source.kinds.machine_wires import Wires
from matrixmap.source.report import Report
from matrixmap.source.shape.formats import MACHINE
from matrixmap.source.shape.legends import read_legend
from matrixmap.source.shape.shapes import Record
from matrixmap.source.text.nodes import Document, Text


def read_machine(document: Document, report: Report) -> Machine | None:
    """The machine that a document describes, or None after a finding."""
    before = len(report.findings)
    record = MACHINE.read(document.root, report, document.to_the_end) if document.root else None
    if record is None:
        return None
    machine = _Reader(record, report).machine()
    return machine if len(report.findings) == before and document.whole else None


def _typed(keys: tuple[Key, ...]) -> Iterator[str]:
    """Everything that keys type, in any state or mode."""
    for key in keys:
        for states in (key.types, *key.modes.values()):
            yield from (legend.text for legend in states.values())
        yield from (legend.text for legends in key.also.values() for legend in legends)


class _Reader:
    """Reads the parts of one machine in the order of their dependencies."""

    def __init__(self, record: Record, report: Report) -> None:
        self.record = record
        self.report = report
        whole = not report.findings
        self.wires = Wires(record, report)
        self.typing = Typing(record, self.wires, report, whole)

    def machine(self) -> Machine | None:
        wires, plugs = self.wires, Plugs(self.record, self.wires, self.report)
        diodes, diode_contacts = wires.diodes()
        rows, connector, controllers = self._rows(), plugs.connector(), plugs.controllers()
        electric = plugs.electric(self.record.get("electric"))
        revisions = plugs.revisions(electric)
        scan, options, sources = self._scan(), self._options(), self._sources()
        wires.tell_nowhere()
        keys, quiet = self.typing.keys(), self.report if wires.all_keys_read else Report()
        turns = TurnReader(keys, self.typing.modifiers, quiet)
        modes = turns.modes(self.record)
        sequences, places = turns.sequences(self.record)
        unseen, at_times = self._visible({*_typed(keys), *sequences}) if wires.all_keys_read else ((), ())
        if not all(name in self.record for name in ("machine", "title", "source")) or scan is None:
            return None
        machine = Machine(
            id=self.record["machine"].text,
            title=self.record["title"].text,
            source=self.record["source"].text,
            select=tuple(wires.select),
            sense=tuple(wires.sense),
            direct=tuple(wires.direct),
            diodes=diodes,
            diode_contacts=diode_contacts,
            keys=keys,
            latching=MappingProxyType(wires.latching),
            modifiers=tuple(self.typing.modifiers),
            scan=scan,
            rows=rows,
            connector=connector,
            controllers=controllers,
            place=self.record["machine"].place,
            host_shift=self.typing.host_shift,
            parallel=MappingProxyType(wires.parallel),
            options=MappingProxyType(options),
            sources=MappingProxyType(sources),
            modes=modes,
            composes={accent.text: MappingProxyType(pairs) for accent, pairs, _ in self.record.get("composes") or ()},
            sequences=MappingProxyType(sequences),
            electric=electric,
            revisions=revisions,
            unseen=unseen,
            seen_at_times=at_times,
        )
        check_turns(machine, self.record, places, quiet)
        return machine

    def _options(self) -> dict[str, tuple[str, ...]]:
        options: dict[str, tuple[str, ...]] = {}
        owner: dict[str, str] = {}
        for option, keys, _ in self.record.get("options") or ():
            for key in keys:
                if key is not None and self.wires.known(key):
                    if key.text in owner:
                        fault = f"{key.text} already belongs to the option {owner[key.text]}"
                        self.report.add(rules.NAME_TWICE, key.place, fault)
                    owner[key.text] = option.text
            options[option.text] = tuple(key.text for key in keys if key is not None)
        return options

    def _sources(self) -> dict[str, str]:
        pairs = self.record.get("sources") or ()
        return {key.text: source.text for key, source, _ in pairs if self.wires.is_cap(key)}

    def _scan(self) -> Scan | None:
        scan = self.record.get("scan")
        if scan is None or "period_us" not in scan:
            return None
        sweep = int(scan["sweep_us"]) if "sweep_us" in scan else None
        if sweep is not None and sweep > scan["period_us"]:
            text = f"one scan takes {sweep} us, which is longer than the period of {int(scan['period_us'])} us"
            self.report.add(rules.BAD_NUMBER, scan.place, text)
        repeat = scan.get("repeat") or {}
        return Scan(
            period_us=int(scan["period_us"]),
            sweep_us=sweep,
            samples_down=int(scan.get("samples_down", 1)),
            samples_up=int(scan.get("samples_up", 1)),
            tolerance_percent=scan.get("tolerance_percent", 0.0),
            rollover=int(scan["rollover"]) if "rollover" in scan else None,
            strobe_to_read_us=scan.get("strobe_to_read_us"),
            poll_us=int(scan["poll_us"]) if "poll_us" in scan else None,
            repeat_delay_ms=int(repeat["delay_ms"]) if "delay_ms" in repeat else None,
            repeat_every_ms=int(repeat["every_ms"]) if "every_ms" in repeat else None,
            debounce=Debounce(scan["debounce"].text) if "debounce" in scan else Debounce.KEY,
            more_keys=self._more_keys(scan),
        )

    def _more_keys(self, scan: Record) -> tuple[MoreKeys, ...]:
        """The statements about more keys than the rollover, each once."""
        words = [word for word in scan.get("more_keys") or () if word is not None]
        for number, word in enumerate(words):
            if word.text in [other.text for other in words[:number]]:
                self.report.add(rules.NAME_TWICE, word.place, f"{word.text} is twice in this list")
        if words and "rollover" not in scan:
            fault = "more_keys says what comes of more keys than the rollover, and there is no rollover"
            self.report.add(rules.MISSING_FIELD, words[0].place, fault)
        return tuple(MoreKeys(word.text) for word in words)

    def _visible(self, typed: set[str]) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """What never shows, and what shows at times. Each must be typed by a key and be listed only once."""
        record = self.record.get("visible") or {}
        found: dict[str, list[str]] = {"never": [], "at_times": []}
        seen: set[str] = set()
        for field, names in found.items():
            for word in record.get(field) or ():
                legend = read_legend(word, self.report) if word is not None else None
                if legend is None:
                    continue
                if legend.text in seen:
                    fault = f"{legend.text!r} is twice in `visible`"
                    self.report.add(rules.NAME_TWICE, word.place, fault)
                elif legend.text not in typed:
                    near = self.report.nearest(legend.text, sorted(typed))
                    self.report.add(rules.UNKNOWN_CHOICE, word.place, f"no key types {legend.text!r}{near}")
                seen.add(legend.text)
                names.append(legend.text)
        return tuple(found["never"]), tuple(found["at_times"])

    def _rows(self) -> tuple[PlaceRow, ...]:
        rows: list[PlaceRow] = []
        placed: dict[str, Place] = {}
        for row in self.record.get("place") or ():
            if row is None or "keys" not in row or "row" not in row or "from" not in row:
                continue
            keys = [pair for item in row["keys"] if item is not None and (pair := self._place_key(item, placed))]
            rows.append(PlaceRow(row=row["row"], left=row["from"], keys=tuple(keys)))
        return tuple(rows)

    def _place_key(self, item: Text | Record, placed: dict[str, Place]) -> tuple[str | None, float] | None:
        if isinstance(item, Record):
            if ("key" in item) == ("gap" in item):
                self.report.add(rules.WRONG_TYPE, item.place, "a place is either {key: name, width: 2} or {gap: 0.5}")
                return None
            if "gap" in item:
                return None, item["gap"]
        key, width = (item, 1.0) if isinstance(item, Text) else (item["key"], item.get("width", 1.0))
        if not self.wires.is_cap(key):
            return None
        if key.text in placed:
            first = placed[key.text]
            fault = f"{key.text} already has a place, in line {first.line}, column {first.column}; a key has one place"
            self.report.add(rules.NAME_TWICE, key.place, fault)
        placed.setdefault(key.text, key.place)
        return key.text, width
