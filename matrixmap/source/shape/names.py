"""How do files name things? Ids, keys, modifiers, lines."""

from __future__ import annotations

from dataclasses import dataclass

from matrixmap.limits import TITLE_CHARACTERS
from matrixmap.source.shape.shapes import Choice, FileName, Pattern, Schema, Words

ID = r"[A-Za-z0-9]+(-[A-Za-z0-9]+)*"
NAME = r"[a-z0-9]+(-[a-z0-9]+)*"
LINE = r"[A-Za-z][A-Za-z0-9]*"

DEVICES = ("con", "prn", "aux", "nul", *(f"{port}{number}" for port in ("com", "lpt") for number in range(1, 10)))
"""Device names on Windows: no file there can have one, in any case and with any ending.

From memory: Microsoft Learn, "Naming Files, Paths, and Namespaces", section "Naming Conventions".
"""

an_id = FileName("an id (letters, digits and hyphens)", ID, reserved=DEVICES)
a_key = Pattern("the name of a key (lower-case words joined by hyphens)", NAME)
a_modifier = Pattern("the name of a modifier (lower-case words joined by hyphens)", NAME)
a_line = Pattern("the name of a line (letters and digits)", LINE)
a_title = Words("a title", TITLE_CHARACTERS)


@dataclass(frozen=True)
class TrueOrFalse(Choice):
    """The words true and false, which an editor sees as booleans. Reads to a text."""

    words: tuple[str, ...] = ("true", "false")

    def schema(self) -> Schema:
        return {"enum": [True, False, *self.words]}


true_or_false = TrueOrFalse()
