"""Shapes: what a part of a file may look like, declared once.

A shape reads a node into a value and makes a finding for everything that does not fit.
`describe` gives the phrase that the messages use.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from matrixmap.model.finding import Place
from matrixmap.source import rules
from matrixmap.source.nodes import Entries, Items, Node, Text
from matrixmap.source.report import Report, named, nearest

Schema = dict[str, Any]
"""A JSON Schema, draft 2020-12."""

A_TEXT: Schema = {"type": ["string", "number", "boolean", "null"], "minLength": 1}
"""Any scalar: the reader takes each by its text."""


class Shape:
    """What a node must look like."""

    def describe(self) -> str:
        """The expected thing as a phrase with its article."""
        raise NotImplementedError

    def read(self, node: Node, report: Report) -> Any:
        """The value, or None after a finding."""
        raise NotImplementedError

    def schema(self) -> Schema:
        """The same as a JSON Schema, as an editor sees a file: `1` is a number there, and `~` is null."""
        raise NotImplementedError

    def refuse(self, node: Node, report: Report) -> None:
        """A finding that the node is of the wrong kind."""
        kind = {Text: "a value", Items: "a list", Entries: "a mapping"}[type(node)]
        shown = f"{kind} ({node.text!r})" if isinstance(node, Text) else kind
        report.add(rules.WRONG_TYPE, node.place, f"expected {self.describe()}, found {shown}")


@dataclass(frozen=True)
class Words(Shape):
    """Any text of one line."""

    phrase: str = "a text"

    def describe(self) -> str:
        return self.phrase

    def schema(self) -> Schema:
        return {**A_TEXT, "description": self.phrase}

    def read(self, node: Node, report: Report) -> Text | None:
        if not isinstance(node, Text):
            self.refuse(node, report)
            return None
        return node


@dataclass(frozen=True)
class Pattern(Shape):
    """A text that matches a regular expression; `rule` is the finding where it does not."""

    phrase: str
    pattern: str
    rule: rules.Rule = rules.BAD_NAME

    def describe(self) -> str:
        return self.phrase

    def schema(self) -> Schema:
        others = {"integer": ("0", "12"), "boolean": ("true", "false"), "null": ("null",)}
        kinds: list[Schema] = [{"type": "string", "pattern": f"^(?:{self.pattern})$"}]
        for kind, samples in others.items():
            if all(re.fullmatch(self.pattern, sample) for sample in samples):
                kinds.append({"type": kind, **({"minimum": 0} if kind == "integer" else {})})
        return (
            {"description": self.phrase, "anyOf": kinds} if len(kinds) > 1 else {**kinds[0], "description": self.phrase}
        )

    def read(self, node: Node, report: Report) -> Text | None:
        if not isinstance(node, Text):
            self.refuse(node, report)
            return None
        if not re.fullmatch(self.pattern, node.text):
            report.add(self.rule, node.place, f"{node.text!r} is not {self.phrase}")
            return None
        return node


@dataclass(frozen=True)
class Choice(Shape):
    """One of a few words."""

    words: tuple[str, ...]

    def describe(self) -> str:
        return "one of " + ", ".join(self.words)

    def schema(self) -> Schema:
        return {"enum": list(self.words)}

    def read(self, node: Node, report: Report) -> Text | None:
        if not isinstance(node, Text):
            self.refuse(node, report)
            return None
        if node.text not in self.words:
            report.add(
                rules.UNKNOWN_CHOICE,
                node.place,
                f"{node.text!r} is not {self.describe()}{nearest(node.text, self.words)}",
            )
            return None
        return node


@dataclass(frozen=True)
class Number(Shape):
    """A number in a range; `whole` refuses a fraction."""

    low: float
    high: float
    whole: bool = True

    def describe(self) -> str:
        kind = "a whole number" if self.whole else "a number"
        low, high = (f"{int(bound)}" if bound == int(bound) else f"{bound}" for bound in (self.low, self.high))
        return f"{kind} from {low} to {high}"

    def schema(self) -> Schema:
        return {"type": "integer" if self.whole else "number", "minimum": self.low, "maximum": self.high}

    def read(self, node: Node, report: Report) -> float | None:
        if not isinstance(node, Text):
            self.refuse(node, report)
            return None
        form = r"-?[0-9]{1,12}" if self.whole else r"-?[0-9]{1,12}(\.[0-9]{1,12})?"
        value = float(node.text) if re.fullmatch(form, node.text) and not node.quoted else math.nan
        if not self.low <= value <= self.high:
            report.add(rules.BAD_NUMBER, node.place, f"{node.text!r} is not {self.describe()}")
            return None
        return value


@dataclass(frozen=True)
class ListOf(Shape):
    """A list of one shape. `single` lets one item stand without brackets."""

    item: Shape
    single: bool = False
    least: int = 0
    most: int = 4096

    def describe(self) -> str:
        return f"a list ({self.item.describe()} each)"

    def schema(self) -> Schema:
        items: Schema = {"type": "array", "items": self.item.schema(), "minItems": self.least, "maxItems": self.most}
        return {"anyOf": [self.item.schema(), items]} if self.single else items

    def read(self, node: Node, report: Report) -> list[Any] | None:
        """The items; one that could not be read is None, so that the others keep their places."""
        if self.single and not isinstance(node, Items):
            return [self.item.read(node, report)]
        if not isinstance(node, Items):
            self.refuse(node, report)
            return None
        if not self.least <= len(node.items) <= self.most:
            wanted = (
                "needs at least one" if self.least == 1 and not node.items else f"may have {self.least} to {self.most}"
            )
            report.add(rules.WRONG_LENGTH, node.place, f"the list has {len(node.items)} items, but {wanted}")
            return None
        return [None if item is None else self.item.read(item, report) for item in node.items]


class Pairs(list[tuple[Any, Any, Place]]):
    """Entries of a mapping that could be read: key, value and where the key stands. `whole`: these are all."""

    def __init__(self) -> None:
        super().__init__()
        self.whole = True


@dataclass(frozen=True)
class MapOf(Shape):
    """A mapping from names of the user's own to one shape."""

    key: Shape
    value: Shape

    def describe(self) -> str:
        return f"a mapping ({self.key.describe()}: {self.value.describe()})"

    def schema(self) -> Schema:
        return {
            "type": "object",
            "propertyNames": {**self.key.schema(), "minLength": 1},
            "additionalProperties": self.value.schema(),
        }

    def read(self, node: Node, report: Report) -> Pairs | None:
        """What could be read, in the order of the file."""
        if not isinstance(node, Entries):
            self.refuse(node, report)
            return None
        pairs = Pairs()
        pairs.whole = node.whole
        for key_node, value_node in node.entries:
            key = self.key.read(key_node, report)
            value = None if value_node is None else self.value.read(value_node, report)
            if key is not None and value is not None:
                pairs.append((key, value, key_node.place))
            else:
                pairs.whole = False
        return pairs


@dataclass(frozen=True)
class OneOf(Shape):
    """Several kinds of node, tried by kind: a text, a list or a mapping."""

    text: Shape | None = None
    items: Shape | None = None
    entries: Shape | None = None

    def describe(self) -> str:
        return " or ".join(shape.describe() for shape in (self.text, self.items, self.entries) if shape)

    def schema(self) -> Schema:
        return {"anyOf": [shape.schema() for shape in (self.text, self.items, self.entries) if shape]}

    def read(self, node: Node, report: Report) -> Any:
        shape = {Text: self.text, Items: self.items, Entries: self.entries}[type(node)]
        if shape is None:
            self.refuse(node, report)
            return None
        return shape.read(node, report)


@dataclass(frozen=True)
class Field:
    """A field of a record: its shape, whether it must be there, and what it means in one line.

    A required field may be left out where the field named by `unless` is given.
    """

    shape: Shape
    meaning: str
    required: bool = False
    unless: str | None = None


class Record(dict[str, Any]):
    """The fields of a record that could be read, and where it begins."""

    def __init__(self, place: Place, values: Mapping[str, Any]) -> None:
        super().__init__(values)
        self.place = place


@dataclass(frozen=True)
class Fields(Shape):
    """A mapping with named fields."""

    phrase: str
    fields: Mapping[str, Field] = field(default_factory=dict)

    def describe(self) -> str:
        return self.phrase

    def schema(self) -> Schema:
        fields = {name: {**known.shape.schema(), "description": known.meaning} for name, known in self.fields.items()}
        always = [name for name, known in self.fields.items() if known.required and known.unless is None]
        made: Schema = {"type": "object", "properties": fields, "required": always, "additionalProperties": False}
        either = [(name, known.unless) for name, known in self.fields.items() if known.required and known.unless]
        if either:
            made["allOf"] = [{"anyOf": [{"required": [name]}, {"required": [unless]}]} for name, unless in either]
        return made

    def read(self, node: Node, report: Report, whole: bool = True) -> Record | None:
        """The record. With `whole` unset a missing field is no finding: the end of the file was not read."""
        if not isinstance(node, Entries):
            self.refuse(node, report)
            return None
        values: dict[str, Any] = {}
        for key, value_node in node.entries:
            known = self.fields.get(key.text)
            if known is None:
                report.add(
                    rules.UNKNOWN_FIELD,
                    key.place,
                    f"{self.phrase} has no field {key.text!r}{nearest(key.text, self.fields)} "
                    f"(fields: {named(self.fields, 20)})",
                )
            elif value_node is not None:
                values[key.text] = known.shape.read(value_node, report)
        given = {key.text for key, _ in node.entries}
        for name in self.missing(given) if whole and node.whole else ():
            report.add(
                rules.MISSING_FIELD, node.place, f"{self.phrase} needs the field {name}: {self.fields[name].meaning}"
            )
        return Record(node.place, {name: value for name, value in values.items() if value is not None})

    def missing(self, given: set[str]) -> Iterator[str]:
        """The required fields that are not given."""
        for name, known in self.fields.items():
            if known.required and name not in given and known.unless not in given:
                yield name


@dataclass(frozen=True)
class MapWithField(Shape):
    """A mapping from names of the user's own to one shape, with a field of one name among them, which may be left out."""

    name: str
    field: Field
    rest: MapOf

    def describe(self) -> str:
        rest = f"{self.rest.key.describe()}: {self.rest.value.describe()}"
        return f"a mapping ({self.name}: {self.field.shape.describe()}; {rest})"

    def schema(self) -> Schema:
        named_field = {**self.field.shape.schema(), "description": self.field.meaning}
        return {**self.rest.schema(), "properties": {self.name: named_field}}

    def read(self, node: Node, report: Report) -> tuple[tuple[Any, ...], Pairs] | None:
        """The field, in a tuple that is empty where it is not given and holds None after a finding, and the other entries."""
        if not isinstance(node, Entries):
            self.refuse(node, report)
            return None
        own = [value for key, value in node.entries if key.text == self.name]
        others = Entries(tuple(entry for entry in node.entries if entry[0].text != self.name), node.place, node.whole)
        pairs = self.rest.read(others, report)
        assert pairs is not None
        return tuple(None if value is None else self.field.shape.read(value, report) for value in own), pairs
