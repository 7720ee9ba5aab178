"""Layout files: the section `pads:`, read against the machine's controllers."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import Final

from matrixmap.hid.pads.sources import NAMES, STROKE_USAGES, Source, source_name, source_named
from matrixmap.hid.pads.stick import PRESS, RELEASE, Thresholds
from matrixmap.model.layout import PadButton, Pads, PadSwitch, StrokeName
from matrixmap.model.machine import Controller, Machine
from matrixmap.model.place import Place
from matrixmap.source import pad_rules, rules
from matrixmap.source.report import Report, named
from matrixmap.source.shape.shapes import Pairs, Record
from matrixmap.source.text.nodes import Text

StrokeReader = Callable[[Text], StrokeName | None]
Value = Text | list[Text | None] | Record

MOST_SWITCHES: Final = 8
"""The most switches of a controller that pads can close: they are the bits of a byte."""

MOST_PADS: Final = 8
"""The most controllers of a machine's file, counted from the first, that pads can drive."""

_PERCENT: Final = re.compile(r"0?\.[0-9]{1,2}|1|1\.00?")
_SOURCE_LIKE: Final = re.compile(r"(?:button|hat|d-?pad)\b|(?:[xyz]|r[xyz])\s*[+-]", re.IGNORECASE)


def read_pads(
    section: Pairs, start: Place, machine: Machine | None, stroke: StrokeReader, report: Report
) -> Pads | None:
    """The section; None after a finding or without a machine. `start` is the place of an empty section."""
    before = len(report.findings)
    reader = _Reader(machine, stroke, report)
    lines: list[tuple[Text, Value]] = []
    order: list[Controller] | None = None
    limits = {"press": PRESS, "release": RELEASE}
    for key, value, _ in section:
        if value is None:
            continue
        if key.text == "order":
            order = reader.order(value, key)
        elif key.text in limits:
            limits[key.text] = reader.percent(key, value)
        else:
            lines.append((key, value))
    if not any(key.text == "order" for key, _, _ in section):
        text = "pads needs order, the controllers that the pads drive: order: [stick-1, stick-2]"
        report.add(pad_rules.PADS_UNCLEAR, section[0][0].place if section else start, text)
    # After a fault in the order, all controllers count, so that the lines cause no findings of their own.
    switches, buttons = reader.lines(lines, list(reader.controllers.values()) if order is None else order)
    if 0 < limits["press"] < limits["release"]:
        place = next(key.place for key, _, _ in section if key.text in limits)
        text = (
            f"release ({limits['release'] / 100:g}) is above press ({limits['press'] / 100:g}): a stick would "
            "switch on and off without end"
        )
        report.add(rules.BAD_NUMBER, place, text)
    if len(report.findings) > before or machine is None or order is None:
        return None
    return Pads(
        order=tuple(controller.name for controller in order),
        switches=switches,
        buttons=buttons,
        limits=Thresholds(press=limits["press"], release=limits["release"]),
        place=section[0][0].place,
    )


class _Reader:
    def __init__(self, machine: Machine | None, stroke: StrokeReader, report: Report) -> None:
        self.controllers = {one.name: one for one in machine.controllers} if machine else {}
        self.machine = machine
        self.stroke = stroke
        self.report = report
        self.used: dict[Source, str] = {}
        self.buttons: list[PadButton] = []

    def order(self, value: Value, key: Text) -> list[Controller] | None:
        """The controllers of `order:`; None after a finding."""
        names = [value] if isinstance(value, Text) else value
        if not isinstance(names, list):
            self.report.add(
                pad_rules.PADS_UNCLEAR, key.place, "order is a list of controllers: order: [stick-1, stick-2]"
            )
            return None
        found: list[Controller] = []
        for name in names:
            if name is not None:
                self._controller(name, found)
        return found if len(found) == len(names) else None

    def _controller(self, name: Text, found: list[Controller]) -> None:
        controller = self.controllers.get(name.text)
        if controller is None:
            if self.machine is not None:
                has = f" (controllers: {named(list(self.controllers))})" if self.controllers else "; it has none"
                text = f"the machine has no controller {name.text!r}{self.report.nearest(name.text, self.controllers)}{has}"
                self.report.add(pad_rules.UNKNOWN_CONTROLLER, name.place, text)
            return
        if list(self.controllers).index(name.text) >= MOST_PADS:
            text = (
                f"{name.text} is not among the first {MOST_PADS} controllers of the machine file; pads can drive "
                "only those"
            )
            self.report.add(rules.TOO_MANY, name.place, text)
            return
        if controller in found:
            self.report.add(rules.NAME_TWICE, name.place, f"{name.text} is in the order twice")
            return
        if len(controller.switches) > MOST_SWITCHES:
            text = (
                f"{name.text} has {len(controller.switches)} switches; pads drive controllers with at most "
                f"{MOST_SWITCHES}"
            )
            self.report.add(rules.TOO_MANY, name.place, text)
        found.append(controller)

    def percent(self, key: Text, value: Value) -> int:
        """A threshold in per cent; 0 after a finding."""
        if isinstance(value, Text) and _PERCENT.fullmatch(value.text) and float(value.text) > 0:
            return round(100 * float(value.text))
        text = f"{key.text} is a part of the way from the middle to the end, 0.01 to 1 in hundredths, such as 0.5"
        self.report.add(rules.BAD_NUMBER, value.place if isinstance(value, Text) else key.place, text)
        return 0

    def lines(
        self, lines: list[tuple[Text, Value]], order: list[Controller]
    ) -> tuple[tuple[PadSwitch, ...], tuple[PadButton, ...]]:
        """The lines for switches and buttons. Buttons are read first, so that a switch that names one is reported."""
        functions = dict.fromkeys(switch.function for controller in order for switch in controller.switches)
        by_source = [(key, source_named(key.text), value) for key, value in lines if key.text not in functions]
        for key, source, value in by_source:
            self._button(key, source, value, list(functions))
        switches = [
            PadSwitch(function=key.text, sources=sources, place=key.place)
            for key, value in lines
            if key.text in functions and (sources := self._sources(key, value)) is not None
        ]
        if len(self.buttons) > len(STROKE_USAGES):
            text = f"{len(self.buttons)} sources press a stroke or send a command; at most {len(STROKE_USAGES)} may"
            self.report.add(rules.TOO_MANY, self.buttons[len(STROKE_USAGES)].place, text)
        return tuple(switches), tuple(self.buttons)

    def _button(self, key: Text, source: Source | None, value: Value, functions: list[str]) -> None:
        if source is None:
            self._unknown(key, functions)
        elif source in self.used:
            self.report.add(rules.NAME_TWICE, key.place, f"{source_name(source)} already has a line")
        elif isinstance(value, list):
            text = (
                f"{key.text} presses one stroke, or sends {{command: 3}}; only a switch of a controller takes a "
                "list of sources"
            )
            self.report.add(pad_rules.PADS_UNCLEAR, key.place, text)
        else:
            self.used[source] = "presses a stroke"
            does = self.stroke(value) if isinstance(value, Text) else self._command(source, value)
            if does is not None:
                self.buttons.append(PadButton(source=source, does=does, place=key.place))

    def _command(self, source: Source, value: Record) -> int | None:
        self.used[source] = "sends a command"
        return int(value["command"]) if "command" in value else None

    def _unknown(self, key: Text, functions: list[str]) -> None:
        """The finding at a name that is neither a source nor a switch."""
        if _SOURCE_LIKE.match(key.text):
            self.report.add(pad_rules.UNKNOWN_SOURCE, key.place, self._no_source(key.text))
        elif self.machine is not None:
            close = self.report.nearest(key.text, (*functions, "order", "press", "release"))
            text = f"{key.text} is not a switch of the controllers in the order{close} (switches: {named(functions)})"
            self.report.add(pad_rules.UNKNOWN_SWITCH, key.place, text)

    def _no_source(self, text: str) -> str:
        close = self.report.nearest(text, NAMES)
        return f"a pad has no source {text!r}{close} (Button 1 to Button 32, Hat up, D-pad up, X-, X+, Y-, Y+, Z-, ... Rz+)"

    def _sources(self, key: Text, value: Value) -> tuple[Source, ...] | None:
        """The sources of a switch; `none` means that no pad closes it. None after a finding."""
        if isinstance(value, Text) and value.text == "none":
            return ()
        texts = [value] if isinstance(value, Text) else value
        if not isinstance(texts, list):
            text = f"{key.text} is a switch, and takes sources; a command needs a button: Button 9: {{command: 3}}"
            self.report.add(pad_rules.PADS_UNCLEAR, key.place, text)
            return None
        return tuple(self._each(key, [text for text in texts if text is not None]))

    def _each(self, key: Text, texts: list[Text]) -> Iterator[Source]:
        seen: set[Source] = set()
        for text in texts:
            source = source_named(text.text)
            if source is None:
                self.report.add(pad_rules.UNKNOWN_SOURCE, text.place, self._no_source(text.text))
            elif source in seen:
                self.report.add(rules.NAME_TWICE, text.place, f"{key.text} has {source_name(source)} twice")
            elif source in self.used:
                text_ = f"{source_name(source)} closes {key.text}, but also {self.used[source]}"
                self.report.add(rules.NAME_TWICE, text.place, text_)
            else:
                seen.add(source)
                yield source
