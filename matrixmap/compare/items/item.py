"""An item of a comparison: one change, in words."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass
from enum import Enum

from matrixmap.compare.sides.facts import Fact
from matrixmap.compare.sides.words import Words
from matrixmap.hid.usages import Usage
from matrixmap.model.place import Place


class Part(Enum):
    """The file that an item is about. A change in a machine or host is a change in all layouts that join it.

    BOARD means adapters and parts, which no layout reads.
    """

    LAYOUT = "layout"
    MACHINE = "machine"
    HOST = "host"
    BOARD = "board"


class Audience(Enum):
    """The people concerned by a change: who types, who makes or wires the board, who builds the firmware."""

    TYPIST = "typist"
    BOARD = "board"
    FIRMWARE = "firmware"


class Section(Enum):
    """The kind of change, in the order of the report."""

    CHARACTERS = "characters and functions"
    PRESSES = "presses"
    DEAD_KEYS = "dead keys"
    LOCKS = "locks"
    TOGETHER = "keys held together"
    KEYS = "keys of the machine"
    WIRING = "wiring"
    CONTROLLERS = "controllers"
    STROKES = "strokes"
    LEGENDS = "legends"
    TIMING = "timing"
    SETTINGS = "settings"
    NAMES = "names"
    TABLES = "tables"


SECTION_ORDER = {section: number for number, section in enumerate(Section)}


BOARD_SECTIONS = (Section.WIRING, Section.CONTROLLERS, Section.TIMING)
FIRMWARE_SECTIONS = (Section.NAMES, Section.TABLES)


@dataclass(frozen=True, slots=True, kw_only=True)
class Proof:
    """A witness that shows a claim on both tables: what to press, and the results before and after.

    `first` are presses made and released before, each with what is held for it. Then the keys of `held` are pressed in
    this order, and `key` last; `let_go` is released again. With `apart`, the held keys are on another keyboard.
    """

    key: Usage
    before: Words
    after: Words
    held: tuple[Usage, ...] = ()
    first: tuple[tuple[tuple[Usage, ...], Usage], ...] = ()
    let_go: Usage | None = None
    apart: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """One change.

    A `breaking` item costs its audience something: the typist, as `proof` shows, or the maker of a board or a firmware.
    `facts` are the changed facts that the words cover. `place` is their place in the new files, None if these say
    nothing about it. Items of several layouts with the same `same` are one fact, even if the words name other keys.
    Without it, items with the same words are one fact. `short` are the words for a headline, `gains` what can be typed
    only now, and `loses` what no press types any more.
    """

    part: Part
    section: Section
    breaking: bool
    words: Words
    facts: frozenset[Fact]
    place: Place | None = None
    same: Hashable = None
    short: Words = ()
    gains: tuple[str, ...] = ()
    loses: str = ""
    proof: Proof | None = None

    @property
    def audience(self) -> Audience:
        """The people concerned by it."""
        if self.part is Part.BOARD:
            return Audience.BOARD
        if self.section in FIRMWARE_SECTIONS:
            return Audience.FIRMWARE
        of_machine = self.part is Part.MACHINE and self.section in (Section.KEYS, Section.TOGETHER, Section.SETTINGS)
        board = self.section in BOARD_SECTIONS or of_machine
        return Audience.BOARD if board else Audience.TYPIST

    def order(self) -> tuple[bool, int]:
        """Breaking items first, then by section; items of one section keep their order."""
        return not self.breaking, SECTION_ORDER[self.section]
