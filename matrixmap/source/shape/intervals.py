"""Values with a least and a most, as files write them."""

from __future__ import annotations

from dataclasses import dataclass

from matrixmap.model.values.electric import Interval
from matrixmap.source import board_rules
from matrixmap.source.report import Report
from matrixmap.source.shape.shapes import Number, Schema, Shape
from matrixmap.source.text.nodes import Items, Node


@dataclass(frozen=True)
class IntervalOf(Shape):
    """One number, or a list of the least and the most. Reads to an `Interval`.

    One number is exact. With `at_most` it is the most, and the least is the lowest allowed value.
    """

    low: float
    high: float
    at_most: bool = False

    @property
    def _number(self) -> Number:
        return Number(self.low, self.high, whole=False)

    def describe(self) -> str:
        return f"{self._number.describe()}{', the most' if self.at_most else ''} or a list of the least and the most"

    def schema(self) -> Schema:
        number = self._number.schema()
        return {"anyOf": [number, {"type": "array", "items": number, "minItems": 2, "maxItems": 2}]}

    def read(self, node: Node, report: Report) -> Interval | None:
        if not isinstance(node, Items):
            value = self._number.read(node, report)
            return None if value is None else Interval(self.low if self.at_most else value, value)
        if len(node.items) != 2 or None in node.items:
            self.refuse(node, report)
            return None
        least, most = (None if item is None else self._number.read(item, report) for item in node.items)
        if least is None or most is None:
            return None
        if least > most:
            text = f"the least, {least:g}, is more than the most, {most:g}; write [{most:g}, {least:g}]"
            report.add(board_rules.IMPOSSIBLE_INTERVAL, node.place, text)
            return None
        return Interval(least, most)
