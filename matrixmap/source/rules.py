"""The rules of reading: one record for each kind of fault in a file.

All are errors: a file with one of them is not used.
"""

from __future__ import annotations

from matrixmap.model.finding import Severity
from matrixmap.model.rule import Rule
from matrixmap.source.board_rules import BOARD_READING_RULES
from matrixmap.source.pad_rules import PAD_READING_RULES

__all__ = ["READING_RULES", "Rule"]


def _rule(slug: str, purpose: str, explanation: str, bad: str, good: str) -> Rule:
    return Rule(slug=slug, severity=Severity.ERROR, purpose=purpose, explanation=explanation, bad=bad, good=good)


FILE_TOO_LARGE = _rule(
    "file-too-large",
    "The file is larger than 256 KiB.",
    "The largest real description has some hundred lines, so a larger file is a mistake or an attack.",
    "a file of two million bytes",
    "a file of a few thousand bytes",
)
TOO_MANY_FINDINGS = _rule(
    "too-many-findings",
    "There are more findings than are listed.",
    "One slip, such as a file of another kind or a lost column, can make thousands of findings. The first thousand are "
    "listed, in the order of the file.",
    "a layout with 3,000 lines that all name keys of another machine",
    "a layout with a slip in one line",
)
TEXT_TOO_LONG = _rule(
    "text-too-long",
    "A text is longer than any title, name or source is.",
    "A title has at most 200 characters, any other text 2,000. Usually a quote was not closed, or the value of another "
    "file was pasted.",
    "title: a title of 300 characters",
    "title: Quillon 8, German",
)
NOT_UTF8 = _rule(
    "not-utf8",
    "The file is not UTF-8.",
    "Legends are characters, and only in UTF-8 are they the same for everybody. Most editors offer it when saving.",
    "Digit3: [3, '\\xa3']   (saved as Latin-1)",
    "Digit3: [3, '£']      (saved as UTF-8)",
)
CONTROL_CHARACTER = _rule(
    "control-character",
    "The file holds a control character.",
    "YAML forbids control characters, and a terminal would obey them. Nothing of the file is read.",
    "title: Quillon\\x1b[31m 8",
    "title: Quillon 8",
)
YAML_SYNTAX = _rule(
    "yaml-syntax",
    "The file is not YAML.",
    "The place is where the parser noticed the fault; the cause may stand in the line above. "
    "The line is then read as it may be meant, or left out, so that the rest of the file is told in the same run.",
    "scan: {period_us: 20000",
    "scan: {period_us: 20000}",
)
TAB = _rule(
    "tab",
    "A tab stands where only spaces may.",
    "YAML is indented with spaces. Set the editor to write spaces for the Tab key.",
    "keys:\n\tF1: b1",
    "keys:\n  F1: b1",
)
OTHER_BLANK = _rule(
    "other-blank",
    "A blank that is no space stands where only a space may.",
    "A no-break space and its like look like a space and come with text that is pasted from a page. YAML takes them for letters. "
    "As a legend such a blank goes in quotes.",
    "F1:\u00a0b1   (with a no-break space)",
    "F1: b1",
)
UNQUOTED = _rule(
    "unquoted",
    "A legend that YAML would take for its own mark stands without quotes.",
    "Quote a legend that begins with any of - ? : , [ ] { } # & * ! | > ' \" % @ or a backquote.",
    "Quote: [@, none]",
    "Quote: ['@', none]",
)
ALIAS = _rule(
    "alias",
    "The file uses a YAML alias.",
    "Aliases hide what a line means and can blow a small file up to a huge one, so they are not followed.",
    "d1: &one {plain: 1}\nd2: *one",
    "d1: {plain: 1}\nd2: {plain: 2}",
)
TAGGED = _rule(
    "tagged",
    "A value begins with an exclamation mark, which is a tag in YAML.",
    "A bare ! is read as a tag with nothing behind it. The exclamation mark as a legend is written in quotes.",
    "d1: {plain: 1, shift: !}",
    "d1: {plain: 1, shift: '!'}",
)
NESTED_TOO_DEEP = _rule(
    "nested-too-deep",
    "Lists and mappings are nested deeper than any file needs.",
    "No part of a file is nested deeper than a few levels. Usually a bracket was not closed.",
    "grid: [[[[[[[[[[[[[[[[[[d1]]]]]]]]]]]]]]]]]]",
    "grid: {S0: [d1]}",
)
EMPTY_FILE = _rule(
    "empty-file",
    "The file holds nothing.",
    "A file describes a machine, a host or a layout. An empty one is usually a file that was not saved.",
    "",
    "layout: quillon8-en-US-symbolic",
)
EMPTY_TEXT = _rule(
    "empty-text",
    "A value is missing.",
    "After the colon or between two commas nothing stands. A bare ! or # may be the cause: both need quotes as legends.",
    "d3: {plain: 3, shift: #}",
    "d3: {plain: 3, shift: '#'}",
)
KEY_TWICE = _rule(
    "key-twice",
    "A name is given twice in one mapping.",
    "Only one of the two could count, and which one would be a guess.",
    "keys:\n  F1: b1\n  F1: b2",
    "keys:\n  F1: b1\n  F2: b2",
)
WRONG_TYPE = _rule(
    "wrong-type",
    "A list stands where a value is expected, or the like.",
    "Each field has one kind of value: a text, a number, a list or a mapping.",
    "select: S0",
    "select: [S0, S1]",
)
UNKNOWN_FIELD = _rule(
    "unknown-field",
    "A field has a name that does not exist here.",
    "A misspelt field would have no effect and nobody would notice, so it is an error.",
    "layuot: quillon8-en-US-symbolic",
    "layout: quillon8-en-US-symbolic",
)
MISSING_FIELD = _rule(
    "missing-field",
    "A required field is missing.",
    "Without it the description is not complete.",
    "matrix: {select: [S0], grid: {S0: [d1]}}",
    "matrix: {select: [S0], sense: [N0], grid: {S0: [d1]}}",
)
BAD_NUMBER = _rule(
    "bad-number",
    "A number is not a number, or out of range.",
    "Numbers are written in decimal digits without quotes, units or separators.",
    "scan: {period_us: 20 ms}",
    "scan: {period_us: 20000}",
)
UNKNOWN_CHOICE = _rule(
    "unknown-choice",
    "A field has a word that is not one of its choices.",
    "Such a field knows a few words only; they are listed in the message.",
    "join: symbolical",
    "join: symbolic",
)
BAD_NAME = _rule(
    "bad-name",
    "A name is written in a way that names are not.",
    "Names of machines, keys and modifiers are lower-case words joined by hyphens, names of lines are letters and digits.",
    "grid: {S0: [Shift Left]}",
    "grid: {S0: [shift-left]}",
)
RESERVED_ID = _rule(
    "reserved-id",
    "The id is the name of a device on Windows.",
    "An id becomes the names of files. Windows takes con, prn, aux, nul, com1 to com9 and lpt1 to lpt9 for devices, in any case "
    "and with any ending. A repository with such a file cannot be checked out there.",
    "layout: con",
    "layout: console",
)
WRONG_LENGTH = _rule(
    "wrong-length",
    "A list or mapping is too long or too short.",
    "A row of the grid has one entry for each sense line, `none` where there is no key. A host key has one to four legends, and "
    "no list or mapping has more than 4,096 entries.",
    "sense: [N0, N1]\ngrid: {S0: [d1]}",
    "sense: [N0, N1]\ngrid: {S0: [d1, none]}",
)
NAME_TWICE = _rule(
    "name-twice",
    "Two things have the same name.",
    "Lines, keys and switches are found by their names, so each name stands for one thing.",
    "select: [S0, S0]",
    "select: [S0, S1]",
)
KEY_ON_TWO_CROSSPOINTS = _rule(
    "key-on-two-crosspoints",
    "A key stands at two crosspoints of the grid.",
    "A key closes one crosspoint. Two keys with the same print (left and right Shift) have two names.",
    "S0: [shift, a]\nS1: [b, shift]",
    "S0: [shift-left, a]\nS1: [b, shift-right]",
)
CROSSPOINT_TWICE = _rule(
    "crosspoint-twice",
    "A cap that closes the contacts of other keys is said to type something else than these.",
    "The machine cannot tell two caps on one crosspoint apart: it reads the contact, and types what that types.",
    "S0: [[space, bar]]\ntypes: {space: {plain: ' '}, bar: {plain: '|'}}",
    "S0: [[space, bar]]\ntypes: {space: {plain: ' '}}",
)
UNKNOWN_LINE = _rule(
    "unknown-line",
    "A line is named that the machine does not have.",
    "Lines are declared under `select`, `sense` and `direct`.",
    "connector: {pins: [S0, S9]}",
    "connector: {pins: [S0, S1]}",
)
WIRING_NOT_STATED = _rule(
    "wiring-not-stated",
    "A controller has a switch between a select and a sense line, and does not say how it is wired.",
    "Two circuits look alike in a table of pins. In a gated controller a diode or a transistor pulls the sense line only "
    "while the select line is strobed. A plain contact joins both lines as a key does, so that keys and switches held "
    "together make the machine read more. The service manual or a meter tells them apart; wiring is never guessed.",
    "controllers: {tiller: {Whistle: S7/N2}}",
    "controllers: {tiller: {wired: contact, Whistle: S7/N2}}",
)
WRONG_WIRING = _rule(
    "wrong-wiring",
    "The lines of a switch do not fit the way its controller is wired.",
    "A controller that is wired to ground pulls sense lines and needs no select line. A gated one and one of plain "
    "contacts have both lines for each switch. A controller that is wired in two ways is written as two controllers.",
    "controllers: {oar: {wired: ground, Pull: S5/N5}}",
    "controllers: {oar: {wired: ground, Pull: N5}}",
)
UNKNOWN_KEY = _rule(
    "unknown-key",
    "A key is named that the machine does not have.",
    "The keys of a machine are those of its grid and its direct lines, its latching keys, and caps in parallel with others.",
    "keys: {F1: bl}",
    "keys: {F1: b1}",
)
UNKNOWN_MODIFIER = _rule(
    "unknown-modifier",
    "A modifier is named that the machine does not have.",
    "The modifiers of a machine are declared under `modifiers`.",
    "d1: {plain: 1, shfit: '!'}",
    "d1: {plain: 1, shift: '!'}",
)
UNKNOWN_USAGE = _rule(
    "unknown-usage",
    "A key of the host is named that does not exist.",
    "Keys of the host have the names of W3C UI Events (KeyA, Digit2, IntlBackslash) or a usage number (0x64).",
    "legends: {Key2: [2]}",
    "legends: {Digit2: [2]}",
)
UNKNOWN_MACHINE = _rule(
    "unknown-machine",
    "A layout names a machine that is not there.",
    "Machines are the files in shared/machines; the file name is the id.",
    "machine: quillon",
    "machine: quillon8",
)
UNKNOWN_HOST = _rule(
    "unknown-host",
    "A host file that is named is not there, or cannot be typed with.",
    "Hosts are the files in shared/hosts; the file name is the id, a BCP 47 tag. A file without `form` is only a base for others.",
    "host: de_DE",
    "host: de-DE",
)
UNKNOWN_LAYOUT = _rule(
    "unknown-layout",
    "A layout file that is named as a base is not there.",
    "Layouts are the files in layouts; the file name is the id.",
    "base: quillon8",
    "base: quillon8-symbolic",
)
UNKNOWN_RULE = _rule(
    "unknown-rule",
    "An acceptance names a finding that does not exist.",
    "A layout accepts findings by their slug; `matrixmap rules` lists them.",
    "accept: {unreachable-keys: fine}",
    "accept: {unreachable-key: the visitors need no Blazon key}",
)
ID_DIFFERS = _rule(
    "id-differs",
    "The id in the file is not the name of the file.",
    "A layout, machine or host is found by its file name, so both must agree.",
    "machine: quillon9   (in quillon8.yaml)",
    "machine: quillon8   (in quillon8.yaml)",
)
IDS_DIFFER_IN_CASE = _rule(
    "ids-differ-in-case",
    "Two ids differ in nothing but capitals and small letters.",
    "What is built from them would have one file name on disks that take both cases for the same, so one would replace the other. "
    "Rename one of the two, or build them into different folders.",
    "machine: Quillon8   (beside quillon8)",
    "machine: quillon8-late",
)
SAME_16_BIT_ID = _rule(
    "same-16-bit-id",
    "Two layouts that are built together have the same 16-bit id.",
    "Firmware stores the layout that was chosen by these 16 bits, a checksum of the id, and could not tell the two apart. "
    "Rename one of the two: a new id is a new 16-bit id, so take the layout that no firmware has stored yet. "
    "Or build them into different folders.",
    "layout: quillon8-en-IE-text   (beside quillon8-en-IE-symbolic; both have 0x00BD)",
    "layout: quillon8-en-IE-terminal   (beside quillon8-en-IE-symbolic)",
)
BAD_LEGEND = _rule(
    "bad-legend",
    "A legend is neither one character nor the name of a function.",
    "A character is one code point; a function is a name of letters and digits such as Enter or B1. "
    "Two characters in one legend are usually a slip, or an accent in a code point of its own that no single character replaces.",
    "Digit2: ['2\"']",
    "Digit2: [2, '\"']",
)
UNPRINTABLE_LEGEND = _rule(
    "unprintable-legend",
    "A legend is a code point that prints nothing.",
    "Control and formatting characters, private and unassigned code points are no legends: nobody can read them on a key.",
    'KeyA: ["\\u200f"]',
    "KeyA: [a]",
)
BAD_PAIR = _rule(
    "bad-pair",
    "What a dead key makes of the next character is not written as a pair.",
    "A pair is the character typed next and, right behind it, what both make; blanks separate pairs, and the word space "
    "stands for the space.",
    "composes: {'´': a=á e=é}",
    "composes: {'´': \"space' ´´ aá eé\"}",
)
PRINTS_SOMETHING_ELSE = _rule(
    "prints-something-else",
    "A line under `printed` names a legend that the key does not type there.",
    "`altgr` names what a key types with AltGr and has on its keycap; `not` names what it types plain or with Shift and has not. "
    "What the key types is said under `legends`, so a difference is a slip in one of the two.",
    "legends: {KeyQ: [q, Q, '@']}\nprinted: {source: common practice, altgr: {KeyQ: '€'}}",
    "legends: {KeyQ: [q, Q, '@']}\nprinted: {source: common practice, altgr: {KeyQ: '@'}}",
)
STATE_TWICE = _rule(
    "state-twice",
    "A shift state is given twice for one key.",
    "`shift + blazon` and `blazon + shift` are the same shift state.",
    "d1: {shift + blazon: x, blazon + shift: y}",
    "d1: {shift + blazon: x}",
)
BAD_TRIGGER = _rule(
    "bad-trigger",
    "A trigger is not written as one.",
    "A trigger is a key of the host, with modifiers in front: Shift+Digit2, AltGr+KeyQ, Control+Alt+F1, 0x64. "
    "On a digit of the keypad Num Lock chooses between two levels, so AltGr cannot stand there.",
    "keys: {Shft+Digit2: d2}",
    "keys: {Shift+Digit2: d2}",
)
BAD_STROKE = _rule(
    "bad-stroke",
    "A stroke is not written as one.",
    "A stroke is one or more keys of the machine, with modifiers in front: shift + d2, or none.",
    "keys: {F4: helm b1}",
    "keys: {F4: helm + b1}",
)
BAD_SEQUENCE = _rule(
    "bad-sequence",
    "Strokes in turn, a dead key or a mode of a machine cannot work as written.",
    "A stroke that begins a sequence or a mode for one key types no character by itself, else that would be typed too. No "
    "sequence begins with all strokes of another. The last stroke presses a key. A dead key has pairs under `composes`.",
    "types: {a: {plain: a}}\nsequences: {'{': [a, b]}",
    "types: {a: {plain: a, ebb: none}}\nsequences: {'{': [ebb + a, b]}",
)
TRIGGER_TWICE = _rule(
    "trigger-twice",
    "Two lines of a layout say different things for one trigger.",
    "Backslash stands for usages 0x31 and 0x32; to treat them apart write both numbers. One line must go.",
    "keys:\n  Backslash: bracket-left\n  0x32: bracket-right",
    "keys:\n  0x31: bracket-left\n  0x32: bracket-right",
)
COMMAND_MISNAMED = _rule(
    "command-misnamed",
    "A name under `command_names` stands for no command, or for two.",
    "Firmware knows a command by its name in C. One name has one number, and in the file itself some line under "
    "`commands` gives it; a base may name what only some of the layouts above it give.",
    "commands: {F12: 1}\ncommand_names: {2: next-layout}",
    "commands: {F12: 1}\ncommand_names: {1: next-layout}",
)
COMMAND_NAMES_DIFFER = _rule(
    "command-names-differ",
    "Layouts that are built together disagree about the name of a command.",
    "One firmware serves them all: it knows a command by one name with one number, in every layout. "
    "Names in a common base cannot differ.",
    "command_names: {1: next-layout}   (beside a layout with {1: pair})",
    "command_names: {1: next-layout, 2: pair}   (in the base of both)",
)
TYPES_SOMETHING_ELSE = _rule(
    "types-something-else",
    "A line under `types` names a stroke that does not type it.",
    "The machine's own table says what a key types in each shift state; a line can only choose among what it offers.",
    "types: {°: at}",
    "types: {°: shift + at}",
)
NOT_FOR_THIS_JOIN = _rule(
    "not-for-this-join",
    "A line has no meaning for this kind of layout.",
    "`types` and `pass` steer the symbolic join; a positional layout names each pair under `keys`.",
    "join: positional\ntypes: {°: shift + at}",
    "join: symbolic\ntypes: {°: shift + at}",
)
TOO_MANY = _rule(
    "too-many",
    "There is more of something than the tables can hold or a check looks through.",
    "A machine has at most 16 select lines, 16 sense lines, 8 direct lines and 8 modifier keys. A stroke has at most 4 keys besides "
    "modifiers, and at most 40 lines of a layout ask for more than one. A layout has at most 180 lines under keys:, a chord counted as four, and all "
    "controllers of a machine together 64 switches.",
    "modifiers with nine keys",
    "modifiers with eight keys",
)
BASE_LOOP = _rule(
    "base-loop",
    "A file takes over the lines of itself.",
    "`base` names another file of the same kind; a chain of them must end, after 16 files at the most.",
    "host: de-DE\nbase: de-DE",
    "host: de-DE\nbase: base",
)

TABLE_RAGGED = _rule(
    "table-ragged",
    "The lines of a pasted table have different numbers of columns.",
    "Each row of a table has a cell for each line that crosses it. Where there is no key stands none, -- or nothing between "
    "two tabs, bars or commas; a legend that could be taken for what parts the columns stands in quotes.",
    "S0  1  2\nS1  3",
    "S0  1  2\nS1  3  none",
)
TABLE_UNCLEAR = _rule(
    "table-unclear",
    "A pasted table does not say which of its words are lines and which are keys.",
    "The first line can name the lines of the columns, and the first column those of the rows. Options say what the table "
    "leaves open: --header, --labels, --rows, --select and --sense.",
    "1  2\n2  1   (keys, or lines with the numbers 1 and 2?)",
    "    N1  N2\nS2  1   2",
)
CELL_UNCLEAR = _rule(
    "cell-unclear",
    "A cell of a pasted table cannot be read as a key.",
    "A cell has one legend or more (2, 2 \", 1/!, 'F1'), a word on a key (ENTER, CAPS SHIFT), or says that there is no key "
    "(none, --, nothing). A dash or a dot can be a key or no key: quotes say that it is one.",
    "00",
    "double zero",
)
PROBE_UNCLEAR = _rule(
    "probe-unclear",
    "A line of a file of probes is not written as one.",
    "A probe is the name of a key, a colon, and the two pins that the key joins. Between them is - if current passes "
    "both ways, > or < if it passes one way only.",
    "a: 3, 14",
    "a: 3 - 14",
)
PROBES_CONTRADICT = _rule(
    "probes-contradict",
    "Probes say two things that cannot both be true.",
    "Two keys on one pair of pins are one contact, and a key has one. One of the probes was taken at another pin, or of "
    "another key: measure them again.",
    "a: 3 - 14\ns: 3 - 14",
    "a: 3 - 14\ns: 3 - 15",
)
PINS_NOT_SEPARABLE = _rule(
    "pins-not-separable",
    "The pins cannot be parted into two sides.",
    "Every key joins a select line and a sense line. Where keys lead from a pin around an odd number of contacts back to "
    "it, one probe of that ring was taken at a wrong pin.",
    "a: 1 - 2\ns: 2 - 3\nd: 3 - 1",
    "a: 1 - 2\ns: 3 - 2\nd: 3 - 4",
)
SIDE_NOT_STATED = _rule(
    "side-not-stated",
    "Nothing says which pins are the select lines.",
    "Contacts look the same from both sides. Which side the machine strobes is in its circuit: say one pin of it with "
    "--strobed. Where all keys have diodes, --active low or high says it by their direction.",
    "matrixmap new machine quillon9 --probes probes.txt",
    "matrixmap new machine quillon9 --probes probes.txt --strobed 1",
)
DIODES_OPPOSED = _rule(
    "diodes-opposed",
    "One-way probes point both from select to sense lines and back.",
    "The diodes of a keyboard point one way, or some keys could never be read. A probe that points the other way was taken "
    "with the leads exchanged.",
    "a: 3 > 14\ns: 15 > 3",
    "a: 3 > 14\ns: 3 > 15",
)
KEY_WITHOUT_CONTACT = _rule(
    "key-without-contact",
    "A key joins no two pins.",
    "A key that was probed and joined nothing is dirty or broken, or one of its lines does not reach the connector. "
    "Clean it and measure again, or take its line out.",
    "a: none",
    "a: 3 - 14",
)

READING_RULES: tuple[Rule, ...] = (
    *(value for value in list(globals().values()) if isinstance(value, Rule)),
    *BOARD_READING_RULES,
    *PAD_READING_RULES,
)
