"""An item of a comparison: one thing that changed, in words."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from matrixmap.compare.sides.facts import Fact
from matrixmap.compare.sides.words import Words
from matrixmap.model.place import Place


class Part(Enum):
    """The file that an item is about: what changes in a machine or host changes in all layouts that join it."""

    LAYOUT = "layout"
    MACHINE = "machine"
    HOST = "host"


class Section(Enum):
    """What kind of thing changed, in the order in which a report tells it."""

    CHARACTERS = "characters and functions"
    PRESSES = "presses"
    DEAD_KEYS = "dead keys"
    LOCKS = "locks"
    KEYS = "keys of the machine"
    WIRING = "wiring"
    CONTROLLERS = "controllers"
    STROKES = "strokes"
    LEGENDS = "legends"
    TIMING = "timing"
    SETTINGS = "settings"
    NAMES = "names"


SECTION_ORDER = {section: number for number, section in enumerate(Section)}


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """One thing that changed.

    `breaking` items cost the typist something, or whoever wired an adapter. `facts` are the facts of the change that
    the words tell; `place` is where the new files say so, None where they have nothing about it.
    """

    part: Part
    section: Section
    breaking: bool
    words: Words
    facts: frozenset[Fact]
    place: Place | None = None

    def order(self) -> tuple[bool, int]:
        """Breaking items first, then by section; items of one section keep their order."""
        return not self.breaking, SECTION_ORDER[self.section]
