"""The kinds of file, declared: machine, host, layout. Those of adapters are in `boards.py`."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass

from matrixmap.hid.geometry import FORM_NAMES
from matrixmap.model.host import LEVELS
from matrixmap.model.legend import Legend
from matrixmap.model.place import Place
from matrixmap.model.sequences import LEAST_STROKES, MOST_STROKES
from matrixmap.source import rules
from matrixmap.source.report import Report
from matrixmap.source.shape.acceptance import AN_ACCEPTANCE
from matrixmap.source.shape.boards import ADAPTER, PART
from matrixmap.source.shape.legends import LegendShape, no_legend, read_legend
from matrixmap.source.shape.names import NAME, a_key, a_line, a_modifier, a_title, an_id
from matrixmap.source.shape.plugs import CONNECTOR, CONTROLLER, ELECTRIC, REVISION
from matrixmap.source.shape.scan import SCAN
from matrixmap.source.shape.shapes import (
    A_TEXT,
    Choice,
    Field,
    Fields,
    ListOf,
    MapOf,
    Number,
    OneOf,
    Pattern,
    Schema,
    Shape,
    Words,
)
from matrixmap.source.text.nodes import Entries, Items, Node, Text

SPACE = "space"
"""The word for the space in pairs, where blanks separate items."""

NO_KEY = frozenset(("null", "Null", "NULL", "~", "None", "NONE", "nil", "-", "--", "nc", "NC", "n-c", "N/C"))
"""What people and programs write for no key; the files use one word for it."""


@dataclass(frozen=True)
class Cell(Shape):
    """A cell of the grid: the name of a key, or `none`, or a list of a key and the caps in parallel with it.

    Reads to a tuple of names.
    """

    def describe(self) -> str:
        return "the name of a key, a list of caps on one crosspoint, or none"

    def schema(self) -> Schema:
        none_in_a_list: Schema = {"type": "array", "contains": {"const": "none"}}
        return {
            **ListOf(a_key, single=True, least=1).schema(),
            "description": self.describe(),
            "not": {"anyOf": [{"type": "null"}, none_in_a_list]},
        }

    def read(self, node: Node, report: Report) -> tuple[Text, ...] | None:
        if isinstance(node, Text) and not node.quoted and node.text in NO_KEY:
            fault = f"{node.text} is not a name of a key; where there is no key, write none"
            report.add_once(rules.BAD_NAME, node.place, fault)
            return None
        if not isinstance(node, Items):
            key = a_key.read(node, report)
            return None if key is None else (key,)
        names = ListOf(a_key, least=1).read(node, report)
        if names is None or None in names:
            return None
        if any(name.text == "none" for name in names):
            report.add(
                rules.WRONG_TYPE, node.place, "a list in the grid names caps on one crosspoint; none is not a cap"
            )
            return None
        return tuple(names)


DEAD = Fields("a dead key", {"dead": Field(Words("a spacing accent"), "the accent", required=True)})


@dataclass(frozen=True)
class HostLegend(Shape):
    """A legend of a host key: a character, a function, `{dead: accent}`, or `none`.

    Reads to a tuple of one legend, or of None for nothing.
    """

    def describe(self) -> str:
        return "a character, the name of a function, {dead: accent} or none"

    def schema(self) -> Schema:
        return {"anyOf": [LegendShape().schema(), DEAD.schema()], "description": self.describe()}

    def read(self, node: Node, report: Report) -> tuple[Legend | None] | None:
        if no_legend(node):
            return (None,)
        if isinstance(node, Entries):
            record = DEAD.read(node, report)
            accent = record.get("dead") if record else None
            legend = read_legend(accent, report, dead=True) if accent else None
        elif isinstance(node, Text):
            legend = read_legend(node, report)
        else:
            self.refuse(node, report)
            return None
        return (legend,) if legend else None


@dataclass(frozen=True)
class Accent(Shape):
    """The accent of a dead key."""

    def describe(self) -> str:
        return "a spacing accent"

    def schema(self) -> Schema:
        return {**A_TEXT, "description": self.describe()}

    def read(self, node: Node, report: Report) -> Legend | None:
        if not isinstance(node, Text):
            self.refuse(node, report)
            return None
        return read_legend(node, report, dead=True)


@dataclass(frozen=True)
class ComposePairs(Shape):
    """Pairs of the character typed after a dead key and the result, in one text: `aá eé space'`.

    Reads to a mapping from the character to the result. One text, because a list of a thousand items is slow to read.
    """

    def describe(self) -> str:
        return "pairs such as aá eé: the character typed next (the word space for a space), and what both make"

    def schema(self) -> Schema:
        return {**A_TEXT, "description": self.describe()}

    def read(self, node: Node, report: Report) -> dict[str, str] | None:
        if not isinstance(node, Text):
            self.refuse(node, report)
            return None
        pairs: dict[str, str] = {}
        # Two letters of a text in NFC need no closer look; most pairs are such letters.
        normal = unicodedata.is_normalized("NFC", node.text)
        for word in node.text.split():
            if normal and len(word) == 2 and word.isalpha() and word[0] not in pairs:
                pairs[word[0]] = word[1]
            else:
                self._add_pair(word, pairs, node.place, report)
        return pairs

    def _add_pair(self, word: str, pairs: dict[str, str], place: Place, report: Report) -> None:
        char, result = (" ", word[len(SPACE) :]) if word.startswith(SPACE) else (word[:1], word[1:])
        letters = [read_legend(Text(text, place), Report()) for text in (char, result) if text]
        if len(letters) < 2 or not all(letter and letter.is_character for letter in letters):
            report.add(rules.BAD_PAIR, place, f"{word!r} is not a character and what it becomes, such as aá")
        elif char in pairs:
            report.add(rules.BAD_PAIR, place, f"{SPACE if char == ' ' else char} is in these pairs twice")
        elif letters[0] and letters[1]:
            pairs[letters[0].text] = letters[1].text


@dataclass(frozen=True)
class KeyLegend(Shape):
    """What a key of the machine types in a shift state: a character, a function, `{dead: accent}`, or `none`.

    Reads to a tuple of one legend, or of None for nothing.
    """

    def describe(self) -> str:
        return "a character, the name of a function, {dead: accent} or none"

    def schema(self) -> Schema:
        return {"anyOf": [A_TEXT, DEAD.schema()], "description": self.describe()}

    def read(self, node: Node, report: Report) -> tuple[Legend | None] | None:
        if no_legend(node):
            return (None,)
        if isinstance(node, Entries):
            return HostLegend().read(node, report)
        if not isinstance(node, Text):
            self.refuse(node, report)
            return None
        legend = read_legend(node, report)
        return (legend,) if legend else None


@dataclass(frozen=True)
class KeyMeanings(Shape):
    """What a key of the machine types in a shift state, or a list of several meanings. Reads to a tuple of legends."""

    def describe(self) -> str:
        return KeyLegend().describe()

    def schema(self) -> Schema:
        return {**ListOf(KeyLegend(), single=True, least=1, most=4).schema(), "description": self.describe()}

    def read(self, node: Node, report: Report) -> tuple[Legend | None, ...] | None:
        if not isinstance(node, Items):
            return KeyLegend().read(node, report)
        read = ListOf(KeyLegend(), least=1, most=4).read(node, report)
        return None if read is None or None in read else tuple(legend for (legend,) in read)


MATRIX = Fields(
    "the matrix",
    {
        "select": Field(ListOf(a_line, least=1), "the lines that the machine strobes, in order", required=True),
        "sense": Field(ListOf(a_line, least=1), "the lines that the machine reads back, in order", required=True),
        "diodes": Field(
            OneOf(text=Choice(("none", "all")), items=ListOf(a_key)),
            "none, all, or the keys of the machine's own keyboard that have a diode",
        ),
        "grid": Field(
            MapOf(a_line, ListOf(Cell())),
            "one row for each select line, as a service manual prints it: the key at each sense line, or none where "
            "there is no key; in a list, the first key has the contact and the others are in parallel with it",
            required=True,
        ),
    },
)

PLACE_KEY = Fields(
    "a key in its place",
    {
        "key": Field(a_key, "the name of the key"),
        "gap": Field(Number(0, 40, whole=False), "an empty space, in key pitches"),
        "width": Field(Number(0.25, 20, whole=False), "the width in key pitches (1 when not given)"),
    },
)

PLACE_ROW = Fields(
    "a row of the keyboard",
    {
        "row": Field(Number(0, 40, whole=False), "the top edge, in key pitches from the top", required=True),
        "from": Field(Number(0, 80, whole=False), "the left edge, in key pitches from the left", required=True),
        "keys": Field(ListOf(OneOf(text=a_key, entries=PLACE_KEY)), "the keys from left to right", required=True),
    },
)

a_machine_stroke = Words("a stroke of the machine (shift + d2, or modifiers alone: caps-shift + symbol-shift)")

MODE = Fields(
    "a mode",
    {
        "by": Field(a_machine_stroke, "the stroke that begins it; without by, the machine decides"),
        "until": Field(
            Words("a stroke of the machine, or one-key"),
            "one-key: the next key ends it; otherwise the stroke that ends it",
        ),
        "when": Field(Words(), "when it is on, as a phrase for people: at the beginning of a line"),
    },
)

a_typed_legend = Words("a character or function that a key of the machine types")

VISIBLE = Fields(
    "the section visible",
    {
        "never": Field(ListOf(a_typed_legend, single=True, least=1), "characters and functions that show nothing"),
        "at_times": Field(
            ListOf(a_typed_legend, single=True, least=1),
            "those that show something at times only, such as one that stops a program: a test by eye counts on nothing there",
        ),
    },
)

MACHINE = Fields(
    "a machine",
    {
        "machine": Field(an_id, "the id, which is the name of the file", required=True),
        "title": Field(a_title, "the name as people write it", required=True),
        "source": Field(Words(), "where the facts of this file come from: document, edition, page", required=True),
        "matrix": Field(MATRIX, "the lines and the keys at their crosspoints", required=True),
        "direct": Field(MapOf(a_key, a_line), "keys that have a line of their own, each with that line"),
        "latching": Field(
            MapOf(a_key, a_key), "mechanically latching keys, each with the key that it is in parallel with"
        ),
        "parallel": Field(
            MapOf(a_key, ListOf(a_key, single=True, least=1, most=8)),
            "caps without a contact of their own, each with the key or keys that it closes",
        ),
        "modifiers": Field(
            MapOf(a_modifier, ListOf(a_key, single=True, least=1)), "the machine's modifiers, each with its keys"
        ),
        "options": Field(
            MapOf(
                Pattern("the name of an option (lower-case words joined by hyphens)", NAME),
                ListOf(a_key, single=True, least=1),
            ),
            "keys that only some of the machines have: a join by print uses them last, and a note names what needs "
            "them",
        ),
        "host_shift": Field(
            a_modifier,
            "the modifier that the host's Shift feeds without a line in the layout, or none (when not given: the "
            "modifier named shift, or else the one that alone makes the other case of most letters)",
        ),
        "types": Field(
            MapOf(a_key, MapOf(Words("a shift state"), KeyMeanings(), example="{plain: a, shift: A}")),
            "what each key types in each shift state (plain, shift, shift + blazon, ...), or none where it types "
            "nothing; a modifier that no state of a key names has no effect on that key; if a state has several "
            "meanings, pictures show the first; a state may name one mode (keyword, shift + keyword)",
            required=True,
        ),
        "modes": Field(
            MapOf(a_modifier, MODE),
            "modes and locks of the machine in which keys type other things, and what begins each",
        ),
        "composes": Field(
            MapOf(Accent(), ComposePairs()),
            "what a dead key of the machine makes of the character typed next, by accent",
        ),
        "sequences": Field(
            MapOf(LegendShape(), ListOf(a_machine_stroke, least=LEAST_STROKES, most=MOST_STROKES)),
            "characters and functions that no single stroke types, each with the strokes that type it one after the "
            "other",
        ),
        "scan": Field(SCAN, "how the machine reads its keyboard", required=True),
        "visible": Field(
            VISIBLE, "what of all that keys type shows nothing on the screen, or not always (all shows, when not given)"
        ),
        "sources": Field(
            MapOf(a_key, Words()),
            "keys with another source than `source`, each with that source: document, edition, page",
        ),
        "place": Field(ListOf(PLACE_ROW), "the physical keyboard, row by row, in key pitches"),
        "connector": Field(CONNECTOR, "the plug of the keyboard"),
        "electric": Field(ELECTRIC, "the electrical side of the lines at the connector"),
        "revisions": Field(
            MapOf(a_key, REVISION), "variants of the machine, and how their connector or electrical values differ"
        ),
        "controllers": Field(
            MapOf(a_key, CONTROLLER),
            "game controllers, with the line or lines of each switch; ground: each switch always pulls a sense line "
            "(N0) low; gated: only while a select line (S2/N0) is strobed, and it lets no current back; contact: "
            "each joins both lines (S2/N0) as a key does; a controller with sense lines alone is wired to ground "
            "when the file does not say",
        ),
    },
)

a_host_key = Words("a key of the host (a W3C code such as KeyA, or a usage number such as 0x64)")

OF_LEVELS = ": plain, with Shift, with AltGr, with both"

PRINTED_LEGENDS = MapOf(a_host_key, ListOf(HostLegend(), single=True, least=1, most=2))

PRINTED = Fields(
    "the section printed",
    {
        "source": Field(
            Words(), "where this comes from: a standard, common practice, a keyboard at hand", required=True
        ),
        "altgr": Field(
            PRINTED_LEGENDS,
            "keys on which a legend that needs AltGr is printed, each with that legend; other such legends are not "
            "printed",
        ),
        "not": Field(
            PRINTED_LEGENDS,
            "keys on which a legend is not printed although it is typed plain or with Shift; other such legends are "
            "printed",
        ),
    },
)

HOST = Fields(
    "a host",
    {
        "host": Field(an_id, "the id, a BCP 47 tag, which is the name of the file", required=True),
        "title": Field(a_title, "language and country as people write them", required=True),
        "source": Field(Words(), "where the facts of this file come from", required=True),
        "base": Field(an_id, "the host file that this one inherits legends from"),
        "form": Field(Choice(FORM_NAMES), "the physical form; a file without one is only a base for others"),
        "legends": Field(
            MapOf(a_host_key, ListOf(HostLegend(), single=True, least=1, most=LEVELS, of_what=OF_LEVELS)),
            "what each key types: plain, with Shift, with AltGr, with both; a single entry is for all levels",
            required=True,
            unless="base",
        ),
        "caps": Field(
            MapOf(a_host_key, Choice(("none", "shift", "altgr", "both"))),
            "keys on which Caps Lock does something else than the two cases of a letter suggest: the pairs of levels "
            "that it swaps",
        ),
        "composes": Field(
            MapOf(Accent(), ComposePairs()),
            "what a dead key makes of the character typed next, by accent; the accent itself is the key pressed twice",
        ),
        "printed": Field(
            PRINTED,
            "what can be read on the keys; without it, everything that this file says its keys type counts as printed",
        ),
    },
)

a_trigger = Words("a trigger (Shift+Digit2, AltGr+KeyQ, 0x64)")
a_stroke = Words("a stroke (shift + d2, or none)")
a_command = Pattern(
    "the number of a command (0 to 255)", r"[0-9]|[1-9][0-9]|1[0-9]{2}|2[0-4][0-9]|25[0-5]", rule=rules.BAD_NUMBER
)
a_command_name = Pattern("the name of a command (lower-case words joined by hyphens)", NAME)

PADS = MapOf(
    Words("order, press, release, a switch of a controller, or a source such as Button 8"),
    OneOf(
        text=Words("a source, a stroke, a controller or a number"),
        items=ListOf(Words("a source or a controller"), least=1, most=16),
        entries=Fields("a command", {"command": Field(Number(0, 255), "its number", required=True)}),
    ),
)

LAYOUT = Fields(
    "a layout",
    {
        "layout": Field(an_id, "the id, which is the name of the file", required=True),
        "title": Field(a_title, "the name as people write it (made from machine, host and join when not given)"),
        "base": Field(an_id, "the layout file that this one inherits lines from; its own lines come first"),
        "machine": Field(an_id, "the id of the machine", required=True, unless="base"),
        "host": Field(an_id, "the id of the host; a file without one is only a base for others"),
        "stand_in": Field(
            an_id, "a second host; its characters stand in where the machine lacks those of the first (symbolic only)"
        ),
        "join": Field(
            Choice(("symbolic", "positional")),
            "by what is printed, or by where the key sits",
            required=True,
            unless="base",
        ),
        "contacts": Field(
            Choice(("switch", "switch-with-diode", "follows-select")),
            "how the adapter closes a contact: with a plain switch (when not given), with a diode in series, or by "
            "driving the sense line while the select line is strobed",
        ),
        "guard": Field(Choice(("on", "off")), "the phantom guard (on when not given, unless no phantom is possible)"),
        "resume": Field(
            Choice(("on", "off")),
            "whether a key that a newer one opened closes again, if it is still down when the newer one is released "
            "(when not given: on in a positional layout, off in a symbolic one)",
        ),
        "keyboards": Field(
            Choice(("together", "apart")),
            "whether Shift and the other modifiers held on one keyboard count for keys pressed on any keyboard "
            "(together, when not given) or on their own keyboard only",
        ),
        "types": Field(
            MapOf(LegendShape(), a_stroke), "characters and functions, each with the stroke that should type it"
        ),
        "pass": Field(MapOf(a_host_key, a_modifier), "host modifiers, each with the machine modifier that it feeds"),
        "locks": Field(
            MapOf(a_host_key, a_key), "lock keys of the host, each with the machine's key that it works instead"
        ),
        "commands": Field(
            MapOf(a_trigger, Number(0, 255)), "triggers, each with the number of a command for the firmware"
        ),
        "command_names": Field(
            MapOf(a_command, a_command_name),
            "numbers of commands, each with its name; the firmware's C has the name in capitals: next-layout is "
            "MM_COMMAND_NEXT_LAYOUT",
        ),
        "pads": Field(
            PADS,
            "joysticks and game pads: order: the controllers that they drive, in the order in which pads connect; a "
            "switch of these, with the sources that close it (Button 1 to 32, Hat up, D-pad up, X-, X+, Y-, Y+, Z-, "
            "... Rz+); a button, with a stroke or {command: 3}; press and release: where a stick leaves its dead "
            "zone and where it enters it (0.5 and 0.4 when not given)",
        ),
        "keys": Field(
            MapOf(a_trigger, a_stroke),
            "triggers, each with its stroke, or none; Alt+*: graph + * is one line for each key that types something "
            "with graph",
        ),
        "accept": Field(
            MapOf(Words("the slug of a finding"), OneOf(text=Words("a reason"), entries=AN_ACCEPTANCE)),
            "findings that this layout accepts, each with the reason; with a count or a witness, a further case is "
            "still reported",
        ),
    },
)


def kinds() -> dict[str, Fields]:
    """The shape of each kind of file, by the name of its first field."""
    return {"machine": MACHINE, "host": HOST, "layout": LAYOUT, "part": PART, "adapter": ADAPTER}
