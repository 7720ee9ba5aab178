"""How much of anything is read: every limit of the input, once.

Within these limits a command takes at most 5 seconds of processor time and 300 MB, whatever the input contains; the one
exception is in `docs/limits.md`. Input beyond a limit is reported with its place, and nothing is written. Limits of the
firmware's table, such as 255 chords, belong to the runtime: they are with the table (`press/table/format.py`).
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
REPAIRED_BYTES: Final = 1 << 20
REPAIRED_LOOKS: Final = 10_000
REPAIRED_LINE_CHARACTERS: Final = 4_000
QUOTED_LINES: Final = 50
BASES: Final = 16
FINDINGS: Final = 1_000
SUGGESTIONS: Final = 200
MESSAGE_CHARACTERS: Final = 2_000
TYPED_CHARACTERS: Final = 2_000
HELD_KEYS: Final = 6
PHASE_SCANS: Final = 800_000
ALIGNED_CHARACTERS: Final = 1_000
SCRIPT_BYTES: Final = 1 << 16
RECORDING_BYTES: Final = 1 << 22
RECORDING_LINES: Final = 50_000
RECORDING_LINE_BYTES: Final = 1 << 18
RECORDED_KEYBOARDS: Final = 16
REPLAYED_PRESSES: Final = 20_000
REPLAYED_CHANGES: Final = 25_000
DESCRIPTOR_BYTES: Final = 0xFFFF
DESCRIPTOR_USAGES: Final = 1_024
DESCRIPTOR_NOTES: Final = 200
DESCRIPTORS_BYTES: Final = 1 << 16
CHORDS: Final = 40
LAYOUT_LINES: Final = 180
CONTROLLER_SWITCHES: Final = 64
CONFLICTS: Final = 4_000
COMPILED_LINES: Final = 24
NETLIST_DEPTH: Final = 64


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


LIMITS: Final = (
    Limit(name="FILE_BYTES", what="bytes of a YAML file, a pasted table or probes", told="`file-too-large`"),
    Limit(name="TEXT_CHARACTERS", what="characters of a text in a YAML file", told="`text-too-long`"),
    Limit(name="TITLE_CHARACTERS", what="characters of a title", told="`text-too-long`"),
    Limit(
        name="NAME_CHARACTERS",
        what="characters of an id, or of the name of a key, modifier or line",
        told="`text-too-long`",
    ),
    Limit(name="ENTRIES", what="entries of one list or mapping", told="`wrong-length`"),
    Limit(name="DEPTH", what="lists and mappings inside each other", told="`nested-too-deep`"),
    Limit(name="BASES", what="files that one file inherits from, each from the next", told="`base-loop`"),
    Limit(name="CHORDS", what="lines of a layout with strokes of more than one key", told="`too-many`"),
    Limit(
        name="LAYOUT_LINES",
        what="lines under `keys:` of a layout and of its bases, each trigger once, chords four times",
        told="`too-many`",
    ),
    Limit(name="CONTROLLER_SWITCHES", what="switches of all controllers of a machine", told="`too-many`"),
    Limit(
        name="CONFLICTS",
        what="conflicts of one kind that a check lists one by one, the likeliest first",
        told="the rest is counted in one finding",
    ),
    Limit(
        name="FINDINGS",
        what="findings of one reading that are listed",
        told="`too-many-findings`, with the number of the rest",
    ),
    Limit(name="MESSAGE_CHARACTERS", what="characters of one finding", told="its middle is left out"),
    Limit(
        name="SUGGESTIONS",
        what="wrong names of one reading for which a similar name is searched",
        told="others have no `did you mean`",
    ),
    Limit(
        name="REPAIRS",
        what="lines that cannot be read as YAML and are skipped",
        told="the rest is read up to the next section",
    ),
    Limit(name="REPAIRED_BYTES", what="bytes that these repairs read again, together", told="the same"),
    Limit(
        name="REPAIRED_LOOKS",
        what="further examinations of lines for mistakes; every line is examined once",
        told="later mistakes get the YAML reader's own message",
    ),
    Limit(name="REPAIRED_LINE_CHARACTERS", what="characters of a line that is examined for mistakes", told="the same"),
    Limit(name="QUOTED_LINES", what="lines of a quoted text that is searched for", told="the same"),
    Limit(
        name="COMPILED_LINES",
        what="lines that only a compilation without them can show to be redundant or shadowed",
        told="other lines count as needed",
    ),
    Limit(name="NETLIST_DEPTH", what="brackets inside each other in a netlist", told="`netlist-damaged`"),
    Limit(name="TYPED_CHARACTERS", what="characters of a text for `type` and `howto`", told="exit code 2"),
    Limit(name="HELD_KEYS", what="keys for `hold`, each with its modifiers", told="exit code 2"),
    Limit(name="PHASE_SCANS", what="scans of the machine over all phases, for `--phase all`", told="exit code 2"),
    Limit(
        name="ALIGNED_CHARACTERS",
        what="characters between the first and the last difference that are compared one by one",
        told="all of them are lost and extra",
    ),
    Limit(name="SCRIPT_BYTES", what="bytes of a script", told="exit code 2, with the file"),
    Limit(name="RECORDING_BYTES", what="bytes of a recording", told="exit code 2, with the file"),
    Limit(name="RECORDING_LINES", what="lines of a recording", told="exit code 2, with the file"),
    Limit(name="REPLAYED_PRESSES", what="presses in a replay", told="exit code 2, with the line"),
    Limit(name="REPLAYED_CHANGES", what="changes of contacts in a replay", told="exit code 2, with the line"),
    Limit(name="RECORDING_LINE_BYTES", what="bytes of a line of a recording", told="a fault, with the line"),
    Limit(name="RECORDED_KEYBOARDS", what="keyboards in a recording", told="a fault, with the line"),
    Limit(
        name="DESCRIPTORS_BYTES",
        what="bytes of the different descriptors of a recording",
        told="a fault, with the line",
    ),
    Limit(name="DESCRIPTOR_BYTES", what="bytes of a descriptor", told="a fault, with the byte"),
    Limit(
        name="DESCRIPTOR_USAGES",
        what="usages, ranges of usages and fields of a descriptor",
        told="a fault, with the byte",
    ),
    Limit(name="DESCRIPTOR_NOTES", what="oddities of a descriptor that are listed", told="the others are left out"),
)
"""All limits, in the order of the documentation."""


def limits_table() -> str:
    """The limits as a table in Markdown, without its head."""
    return "".join(f"| {limit.what} | {limit.most:,} | {limit.told} |\n" for limit in LIMITS)
