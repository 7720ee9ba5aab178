"""Legends as files write them: one character, or the name of a function."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass

from matrixmap.model.legend import Legend, other_case
from matrixmap.source import rules
from matrixmap.source.letters import latin, strange
from matrixmap.source.report import Report
from matrixmap.source.shape.shapes import A_TEXT, Schema, Shape
from matrixmap.source.text.nodes import Node, Text

FUNCTION = re.compile(r"[A-Za-z][A-Za-z0-9]{1,31}")

# Unicode general categories without a printed form: control, format, surrogate, private use, unassigned,
# line and paragraph separator.
UNPRINTABLE = {"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"}

# Combining Diacritical Marks and their extended and supplementary blocks, for symbols, and half marks.
ACCENT_BLOCKS = ((0x0300, 0x036F), (0x1AB0, 0x1AFF), (0x1DC0, 0x1DFF), (0x20D0, 0x20FF), (0xFE20, 0xFE2F))

TYPOGRAPHIC_QUOTES = "‘’‚‛“”„‟‹›«»"

NOTHING = "none"
"""The word for a level at which a key types nothing."""


@dataclass(frozen=True)
class LegendShape(Shape):
    """A character or the name of a function."""

    def describe(self) -> str:
        return "a character or the name of a function"

    def schema(self) -> Schema:
        return {**A_TEXT, "description": self.describe()}

    def read(self, node: Node, report: Report) -> Legend | None:
        if not isinstance(node, Text):
            self.refuse(node, report)
            return None
        return read_legend(node, report)


def read_legend(text: Text, report: Report, dead: bool = False) -> Legend | None:
    """The legend in a text, in NFC; None after a finding."""
    legend = unicodedata.normalize("NFC", text.text)
    if len(legend) == 1:
        category = unicodedata.category(legend)
        if category in UNPRINTABLE:
            report.add(
                rules.UNPRINTABLE_LEGEND,
                text.place,
                f"U+{ord(legend):04X} prints nothing (Unicode category {category}); a legend must be readable on a key",
            )
            return None
        # Some accents of dead keys, such as a dot below, have no spacing character.
        if is_accent(legend) and not dead:
            name = unicodedata.name(legend, "a combining mark")
            report.add(
                rules.BAD_LEGEND,
                text.place,
                f"U+{ord(legend):04X} {name} stands alone; write a dead key with its spacing accent: {{dead: '´'}}",
            )
            return None
        return Legend(legend, dead)
    if dead:
        report.add(rules.BAD_LEGEND, text.place, f"{legend!r} is not one spacing accent")
        return None
    if FUNCTION.fullmatch(legend) and other_case(legend[0]) != legend[1:]:
        return Legend(legend)
    report.add(rules.BAD_LEGEND, text.place, _why_no_legend(legend))
    return None


def is_accent(char: str) -> bool:
    """Whether a character is a combining accent that belongs to no script, such as U+0301.

    Vowel signs and points of a script (Hebrew, Thai, Devanagari) are on keys and are legends like letters.
    """
    return any(first <= ord(char) <= last for first, last in ACCENT_BLOCKS)


def _why_no_legend(legend: str) -> str:
    if legend[0] in TYPOGRAPHIC_QUOTES and legend[-1] in TYPOGRAPHIC_QUOTES:
        return f"{legend!r} is in typographic quotes, which are part of the text; the quotes of YAML are ' and \""
    joined = {unicodedata.category(char) for char in legend[1:]}
    if joined & {"Mn", "Mc", "Me", "Cf"}:
        what = "a combining sequence" if joined <= {"Mn", "Mc", "Me"} else "a sequence"
        points = " ".join(f"U+{ord(char):04X}" for char in legend)
        return f"{legend!r} is {what} of {len(legend)} code points ({points}), and no single character can replace it"
    if legend.isspace() or legend.strip() != legend:
        return f"{legend!r} has blanks around it; a space as a legend is one space in quotes: ' '"
    if len(legend) == 2 and other_case(legend[0]) == legend[1]:
        return (
            f"{legend!r} is two legends in one; a key of a host has a list, [{legend[0]}, {legend[1]}], "
            f"and one of a machine {{plain: {legend[0]}, shift: {legend[1]}}}"
        )
    if legend.lower().startswith("dead"):
        return f"{legend!r} is not a function; write a dead key with its spacing accent: {{dead: '´'}}"
    if strange(legend) and FUNCTION.fullmatch(latin(legend)):
        return f"{legend!r} is not a name of a function{strange(legend)}; write {latin(legend)}"
    return f"{legend!r} is neither one character nor the name of a function (letters and digits, such as Enter or B1)"


def no_legend(node: Node) -> bool:
    """Whether the node is the bare word for nothing."""
    return isinstance(node, Text) and node.text == NOTHING and not node.quoted
