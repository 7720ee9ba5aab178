"""Shapes: what may a part of a file look like? Each is declared once.

A shape reads a node into a value and makes a finding for everything that does not fit.
`describe` gives the phrase for messages.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from matrixmap.limits import ENTRIES, NAME_CHARACTERS, TEXT_CHARACTERS
from matrixmap.model.place import Place
from matrixmap.source import rules
from matrixmap.source.letters import strange
from matrixmap.source.report import Report, named
from matrixmap.source.text.nodes import Entries, Items, Node, Text
from matrixmap.source.text.slips import lost_colon

Schema = dict[str, Any]
"""A JSON Schema, draft 2020-12."""

A_TEXT: Schema = {"type": ["string", "number", "boolean", "null"], "minLength": 1, "maxLength": TEXT_CHARACTERS}
"""Any scalar: the reader uses its text."""


class Shape:
    """What a node must look like."""

    def describe(self) -> str:
        """The expected thing, as a phrase with its article."""
        raise NotImplementedError

    def read(self, node: Node, report: Report) -> Any:
        """The value, or None after a finding."""
        raise NotImplementedError

    def schema(self) -> Schema:
        """The same as a JSON Schema, from an editor's view of a file: `1` is a number there, and `~` is null."""
        raise NotImplementedError

    def refuse(self, node: Node, report: Report) -> None:
        """Adds a finding that the node is of the wrong kind."""
        kind = {Text: "a value", Items: "a list", Entries: "a mapping"}[type(node)]
        shown = f"{kind} ({node.text!r})" if isinstance(node, Text) else kind
        rule, text = rules.WRONG_TYPE, f"expected {self.brief()}, found {shown}"
        if isinstance(node, Text) and not node.quoted and self.takes_mapping:
            slip = lost_colon(node.text)
            rule, text = (rules.YAML_SYNTAX, slip) if slip else (rule, text)
        report.add(rule, node.place, text + self.remedy(node))

    def remedy(self, node: Node) -> str:
        """What to write instead of a node of the wrong kind, as the end of a message, or nothing."""
        return ""

    takes_mapping = False
    """Whether a mapping is expected."""

    def brief(self) -> str:
        """The expected thing in a message: as described, but without brackets inside brackets."""
        text = self.describe()
        head, bracket, rest = text.partition(" (")
        return head + bracket + re.sub(r" \([^()]*\)", "", re.sub(r" \([^()]*\)", "", rest))


def fits(text: Text, most: int, report: Report) -> bool:
    """Whether a text has at most that many characters; a finding if not."""
    if len(text.text) > most:
        found = f"{text.text[:20]!r} and so on has {len(text.text)} characters; the most here is {most}"
        report.add(rules.TEXT_TOO_LONG, text.place, found)
    return len(text.text) <= most


@dataclass(frozen=True)
class Words(Shape):
    """Any text of one line with at most that many characters."""

    phrase: str = "a text"
    most: int = TEXT_CHARACTERS

    def describe(self) -> str:
        return self.phrase

    def schema(self) -> Schema:
        return {**A_TEXT, "maxLength": self.most, "description": self.phrase}

    def read(self, node: Node, report: Report) -> Text | None:
        if not isinstance(node, Text):
            self.refuse(node, report)
            return None
        return node if fits(node, self.most, report) else None


@dataclass(frozen=True)
class Pattern(Shape):
    """A text that matches a regular expression; `rule` is the rule for a mismatch."""

    phrase: str
    pattern: str
    rule: rules.Rule = rules.BAD_NAME

    def describe(self) -> str:
        return self.phrase

    def schema(self) -> Schema:
        others = {"integer": ("0", "12"), "boolean": ("true", "false"), "null": ("null",)}
        kinds: list[Schema] = [
            {"type": "string", "pattern": f"^(?:{self.pattern})$", "maxLength": NAME_CHARACTERS},
        ]
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
            blank = "; a comma may be missing" if " " in node.text.strip() else ""
            blank += ", or a hyphen between two words" if blank and "hyphens" in self.phrase else ""
            report.add_once(self.rule, node.place, f"{node.text!r} is not {self.phrase}{strange(node.text) or blank}")
            return None
        return node if fits(node, NAME_CHARACTERS, report) else None


@dataclass(frozen=True)
class FileName(Pattern):
    """A name that file names begin with; `reserved` are the lower-case names that some system refuses in any case."""

    reserved: tuple[str, ...] = ()

    def refuses(self, name: str) -> bool:
        """Whether some system allows no file of this name."""
        return name.lower() in self.reserved

    def schema(self) -> Schema:
        in_any_case = ("".join(f"[{c.upper()}{c}]" if c.isalpha() else c for c in name) for name in self.reserved)
        return {**super().schema(), "not": {"type": "string", "pattern": f"^(?:{'|'.join(in_any_case)})$"}}

    def read(self, node: Node, report: Report) -> Text | None:
        name = super().read(node, report)
        if name is None or not self.refuses(name.text):
            return name
        report.add_once(
            rules.RESERVED_ID,
            name.place,
            f"{name.text!r} is the name of a device on Windows, where no file can have that name",
        )
        return None


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
                f"{node.text!r} is not {self.describe()}{report.nearest(node.text, self.words)}",
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
            form = "in digits alone, without quotes, unit or separator"
            odd = form if not re.fullmatch(r"-?[0-9.]+", node.text) or node.quoted else ""
            report.add(
                rules.BAD_NUMBER, node.place, f"{node.text!r} is not {self.describe()}{', ' if odd else ''}{odd}"
            )
            return None
        return value


@dataclass(frozen=True)
class ListOf(Shape):
    """A list of one shape. `single` allows one item without brackets."""

    item: Shape
    single: bool = False
    least: int = 0
    most: int = ENTRIES
    of_what: str = ""
    """What the items are, for the message about their number."""

    def remedy(self, node: Node) -> str:
        return f"; write [{node.text}]" if isinstance(node, Text) and not node.quoted and len(node.text) < 30 else ""

    def describe(self) -> str:
        return f"a list ({self.item.describe()} each)"

    def schema(self) -> Schema:
        items: Schema = {"type": "array", "items": self.item.schema(), "minItems": self.least, "maxItems": self.most}
        return {"anyOf": [self.item.schema(), items]} if self.single else items

    def read(self, node: Node, report: Report) -> list[Any] | None:
        """The items. An item that could not be read is None, so that the others keep their places."""
        if self.single and not isinstance(node, Items):
            return [self.item.read(node, report)]
        if not isinstance(node, Items):
            self.refuse(node, report)
            return None
        if not self.least <= len(node.items) <= self.most:
            wanted = (
                "needs at least one" if self.least == 1 and not node.items else f"may have {self.least} to {self.most}"
            )
            report.add(
                rules.WRONG_LENGTH, node.place, f"the list has {len(node.items)} items, but {wanted}{self.of_what}"
            )
            return None
        return [None if item is None else self.item.read(item, report) for item in node.items]


class Pairs(list[tuple[Any, Any, Place]]):
    """The entries of a mapping that could be read: key, value and place of the key. `whole`: none is missing."""

    def __init__(self) -> None:
        super().__init__()
        self.whole = True


@dataclass(frozen=True)
class MapOf(Shape):
    """A mapping from the user's own names to one shape."""

    takes_mapping = True

    key: Shape
    value: Shape
    example: str = ""

    def remedy(self, node: Node) -> str:
        return f"; write {self.example}" if self.example else ""

    def describe(self) -> str:
        return f"a mapping ({self.key.describe()}: {self.value.describe()})"

    def schema(self) -> Schema:
        return {
            "type": "object",
            "propertyNames": {**self.key.schema(), "minLength": 1},
            "additionalProperties": self.value.schema(),
            "maxProperties": ENTRIES,
        }

    def read(self, node: Node, report: Report) -> Pairs | None:
        """What could be read, in the order of the file."""
        if not isinstance(node, Entries):
            self.refuse(node, report)
            return None
        pairs = Pairs()
        pairs.whole = node.whole
        for key_node, value_node in node.entries:
            if isinstance(value_node, Items | Entries) and self._is_misplaced(key_node, value_node, report):
                pairs.whole = False
                continue
            key = self.key.read(key_node, report)
            value = None if value_node is None else self.value.read(value_node, report)
            if key is not None and value is not None:
                pairs.append((key, value, key_node.place))
            else:
                pairs.whole = False
        return pairs

    def _is_misplaced(self, key: Text, value: Node, report: Report) -> bool:
        """Whether an entry is a field of an outer record: its value fits there and not in this section.

        A finding if so.
        """
        outer = next((outer for outer in reversed(report.outer) if key.text in outer.fields), None)
        if outer is None:
            return False
        own, theirs = report.trial(), report.trial()
        self.key.read(key, own)
        self.value.read(value, own)
        found = outer.fields[key.text].shape.read(value, theirs)
        if not own.findings or theirs.findings:
            return False
        _tell_misplaced(key, outer, "its value is of no kind that is possible here", report)
        outer.misplaced[key.text] = found
        return True


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
    """A field of a record: its shape, whether it is required, and its meaning in one line.

    A required field may be missing if the field named by `unless` is given.
    """

    shape: Shape
    meaning: str
    required: bool = False
    unless: str | None = None


@dataclass(slots=True)
class Outer:
    """A record being read: its phrase, its fields, the column of its entries, its fields misplaced in a section."""

    phrase: str
    fields: Mapping[str, Field]
    column: int
    misplaced: dict[str, Any] = field(default_factory=dict)


class Record(dict[str, Any]):
    """The fields of a record that could be read, and where it begins."""

    def __init__(self, place: Place, values: Mapping[str, Any]) -> None:
        super().__init__(values)
        self.place = place


@dataclass(frozen=True)
class Fields(Shape):
    """A mapping with named fields."""

    takes_mapping = True

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
        """The record. If `whole` is false, a missing field is not a finding: the end of the file was not read."""
        if not isinstance(node, Entries):
            self.refuse(node, report)
            return None
        values: dict[str, Any] = {}
        here = Outer(self.phrase, self.fields, node.entries[0][0].place.column if node.entries else node.place.column)
        above: tuple[Text, Node | None] | None = None
        meant: set[str] = set()
        told_above: set[str] = set()
        for key, value_node in node.entries:
            known = self.fields.get(key.text)
            report.outer.append(here)
            if known is not None:
                above = key, value_node
                if value_node is not None:
                    values[key.text] = known.shape.read(value_node, report)
            report.outer.pop()
            if known is None and above is not None and above[0].text in told_above:
                continue
            if known is None and self._belongs_above(key, value_node, above, report):
                told_above.update([above[0].text] if above and above[1] is None else [])
            elif known is None:
                close = report.nearest(key.text, self.fields)
                meant.update(name for name in self.fields if close.endswith(f"did you mean {name}?"))
                fault = f"{self.phrase} has no field {key.text!r}{close} (fields: {named(self.fields, 20)})"
                for name, field in self.fields.items():
                    if isinstance(field.shape, Fields) and key.text in field.shape.fields:
                        fault = f"{key.text} is a field of {name} and belongs under it; indent its lines by two spaces"
                report.add(rules.UNKNOWN_FIELD, key.place, fault)
        values.update(here.misplaced)
        given = {*meant, *here.misplaced, *(key.text for key, _ in node.entries)}
        for name in self.missing(given) if whole and node.whole else ():
            report.add(
                rules.MISSING_FIELD, node.place, f"{self.phrase} needs the field {name}: {self.fields[name].meaning}"
            )
        return Record(node.place, {name: value for name, value in values.items() if value is not None})

    def _belongs_above(
        self, key: Text, value: Node | None, above: tuple[Text, Node | None] | None, report: Report
    ) -> bool:
        """Whether an unknown field belongs to an outer record, or to the empty section above. A finding if so."""
        for outer in reversed(report.outer):
            if key.text in outer.fields and value is not None:
                _tell_misplaced(key, outer, f"{self.phrase} has no such field", report)
                outer.misplaced[key.text] = outer.fields[key.text].shape.read(value, report)
                return True
        if above is None or above[1] is not None or not isinstance(self.fields[above[0].text].shape, MapOf | Fields):
            return False
        text = (
            f"{self.phrase} has no field {key.text!r}; if it belongs to {above[0].text} above, as the lines below "
            "it may, "
        )
        report.add(rules.UNKNOWN_FIELD, key.place, f"{text}indent them by two spaces")
        return True

    def missing(self, given: set[str]) -> Iterator[str]:
        """The required fields that are not given."""
        for name, known in self.fields.items():
            if known.required and name not in given and known.unless not in given:
                yield name


def _tell_misplaced(key: Text, outer: Outer, why: str, report: Report) -> None:
    text = f"{key.text} is a field of {outer.phrase}, but is indented as if it belonged to the section above"
    report.add(rules.UNKNOWN_FIELD, key.place, f"{text} ({why}); begin its line in column {outer.column}")


@dataclass(frozen=True)
class MapWithField(Shape):
    """A mapping from the user's own names to one shape, with one optional field of a fixed name among them."""

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
        """The field and the other entries. The field is in a tuple: empty if not given, with None after a finding."""
        if not isinstance(node, Entries):
            self.refuse(node, report)
            return None
        own = [value for key, value in node.entries if key.text == self.name]
        others = Entries(tuple(entry for entry in node.entries if entry[0].text != self.name), node.place, node.whole)
        pairs = self.rest.read(others, report)
        assert pairs is not None
        return tuple(None if value is None else self.field.shape.read(value, report) for value in own), pairs
