"""An item of a comparison: one thing that changed, in words."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass
from enum import Enum

from matrixmap.compare.sides.facts import Fact
from matrixmap.compare.sides.words import Words
from matrixmap.hid.usages import Usage
from matrixmap.model.place import Place


class Part(Enum):
    """The file that an item is about: what changes in a machine or host changes in all layouts that join it.

    BOARD are adapters and parts, which no layout reads.
    """

    LAYOUT = "layout"
    MACHINE = "machine"
    HOST = "host"
    BOARD = "board"


class Audience(Enum):
    """Whom a change concerns: who types, who makes or wires the board, who builds the firmware."""

    TYPIST = "typist"
    BOARD = "board"
    FIRMWARE = "firmware"


class Section(Enum):
    """What kind of thing changed, in the order in which a report tells it."""

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
    """A witness that shows a claim on both tables: what to press, and what came and comes of it.

    `first` are presses made and let go before, each with what is held for it. Then the keys of `held` go down in this
    order, and `key` last; `let_go` goes up again. With `apart` the held keys are those of another keyboard.
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
    """One thing that changed.

    `breaking` items cost their audience something: the typist, as `proof` shows, or whoever made a board or a firmware.
    `facts` are the facts of the change that the words tell; `place` is where the new files say so, None where they have
    nothing about it. Items of several layouts with one `same` are one fact, be their words those of other keys; without
    it, items with the same words are. `short` are the words for a headline, `gains` what can be typed now and could not
    before, and `loses` what no press types any more.
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
        """Whom it concerns."""
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
