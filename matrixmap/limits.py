"""How much of anything is read: every limit of the input, once.

Within these limits a command takes seconds and a few hundred megabytes, whatever the input is made of.
What exceeds one is told with its place, and nothing is written. Limits of the firmware's table, such as 255 chords, stand
with the table (`press/table.py`), for they are the runtime's.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

FILE_BYTES: Final = 1 << 18
TEXT_CHARACTERS: Final = 2_000
TITLE_CHARACTERS: Final = 200
NAME_CHARACTERS: Final = 60
ENTRIES: Final = 4_096
DEPTH: Final = 16
REPAIRS: Final = 100
REPAIRED_BYTES: Final = 1 << 22
REPAIRED_LOOKS: Final = 10_000
REPAIRED_LINE_CHARACTERS: Final = 4_000
QUOTED_LINES: Final = 50
BASES: Final = 16
FINDINGS: Final = 1_000
SUGGESTIONS: Final = 200
MESSAGE_CHARACTERS: Final = 2_000
TYPED_CHARACTERS: Final = 2_000
PHASE_CHANGES: Final = 200_000
ALIGNED_CHARACTERS: Final = 1_000
SCRIPT_BYTES: Final = 1 << 16
RECORDING_BYTES: Final = 1 << 26
RECORDING_LINE_BYTES: Final = 1 << 18
RECORDED_KEYBOARDS: Final = 16
DESCRIPTOR_BYTES: Final = 0xFFFF
DESCRIPTOR_USAGES: Final = 1_024
DESCRIPTOR_NOTES: Final = 200
DESCRIPTORS_BYTES: Final = 1 << 16
CHORDS: Final = 40
COMPILED_LINES: Final = 24


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """A limit as the documentation lists it: its name in this module, what it counts, and what exceeding it does."""

    name: str
    what: str
    told: str

    @property
    def most(self) -> int:
        """Its value."""
        return int(globals()[self.name])
