"""The rules of reading: one record for each kind of fault in a file.

All are errors: a file with such a fault is not used.
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
    "The largest real description has some hundred lines; a larger file is a mistake or an attack.",
    "a file of two million bytes",
    "a file of a few thousand bytes",
)
TOO_MANY_FINDINGS = _rule(
    "too-many-findings",
    "There are more findings than the list shows.",
    "One mistake can make thousands of findings, such as a file of another kind or a lost column. The list shows the "
    "first thousand, in the order of the file.",
    "a layout with 3,000 lines that all name keys of another machine",
    "a layout with a mistake in one line",
)
TEXT_TOO_LONG = _rule(
    "text-too-long",
    "A text is longer than any title, name or source can be.",
    "A title has at most 200 characters, any other text 2,000. Usually a quote was not closed, or too much was pasted.",
    "title: a title of 300 characters",
    "title: Quillon 8, German",
)
NOT_UTF8 = _rule(
    "not-utf8",
    "The file is not UTF-8.",
    "Legends are characters, and only UTF-8 gives everybody the same ones. Most editors offer it when you save.",
    "Digit3: [3, '\\xa3']   (saved as Latin-1)",
    "Digit3: [3, '£']      (saved as UTF-8)",
)
CONTROL_CHARACTER = _rule(
    "control-character",
    "The file contains a control character.",
    "YAML forbids control characters, and a terminal would obey them. The file is not read at all.",
    "title: Quillon\\x1b[31m 8",
    "title: Quillon 8",
)
YAML_SYNTAX = _rule(
    "yaml-syntax",
    "The file is not YAML.",
    "The place is where the parser noticed the fault; the cause may be in the line above. matrixmap then reads the "
    "line as it was probably meant, or leaves it out, so that the rest of the file is checked in the same run.",
    "scan: {period_us: 20000",
    "scan: {period_us: 20000}",
)
TAB = _rule(
    "tab",
    "There is a tab where only spaces are allowed.",
    "YAML is indented with spaces. Set your editor to write spaces for the Tab key.",
    "keys:\n\tF1: b1",
    "keys:\n  F1: b1",
)
OTHER_BLANK = _rule(
    "other-blank",
    "There is another kind of blank where only a space is allowed.",
    "A no-break space looks like a space and comes with text that is pasted from a page; there are more such blanks. "
    "YAML reads them as letters. If you want one as a legend, put it in quotes.",
    "F1:\u00a0b1   (with a no-break space)",
    "F1: b1",
)
UNQUOTED = _rule(
    "unquoted",
    "A legend that is also a mark of YAML has no quotes.",
    "Quote a legend that begins with any of - ? : , [ ] { } # & * ! | > ' \" % @ or a backquote.",
    "Quote: [@, none]",
    "Quote: ['@', none]",
)
ALIAS = _rule(
    "alias",
    "The file uses a YAML alias.",
    "Aliases hide what a line means, and can turn a small file into a huge one, so they are not followed.",
    "d1: &one {plain: 1}\nd2: *one",
    "d1: {plain: 1}\nd2: {plain: 2}",
)
TAGGED = _rule(
    "tagged",
    "A value begins with an exclamation mark, which is a tag in YAML.",
    "YAML reads a bare ! as a tag with nothing after it. Write the exclamation mark as a legend in quotes.",
    "d1: {plain: 1, shift: !}",
    "d1: {plain: 1, shift: '!'}",
)
NESTED_TOO_DEEP = _rule(
    "nested-too-deep",
    "Lists and mappings are nested deeper than any file needs.",
    "No part of a file needs more than a few levels. The usual cause is a bracket that was not closed.",
    "grid: [[[[[[[[[[[[[[[[[[d1]]]]]]]]]]]]]]]]]]",
    "grid: {S0: [d1]}",
)
EMPTY_FILE = _rule(
    "empty-file",
    "The file is empty.",
    "A file describes a machine, host, layout, part or adapter. An empty file is usually one that was not saved.",
    "",
    "layout: quillon8-en-US-symbolic",
)
EMPTY_TEXT = _rule(
    "empty-text",
    "A value is missing.",
    "There is nothing after the colon or between two commas. If a bare ! or # is the cause, put it in quotes.",
    "d3: {plain: 3, shift: #}",
    "d3: {plain: 3, shift: '#'}",
)
KEY_TWICE = _rule(
    "key-twice",
    "One mapping contains the same name twice.",
    "Only one of the two could count; matrixmap does not guess which.",
    "keys:\n  F1: b1\n  F1: b2",
    "keys:\n  F1: b1\n  F2: b2",
)
WRONG_TYPE = _rule(
    "wrong-type",
    "A value is of the wrong kind, such as a list in place of a text.",
    "Each field has one kind of value: a text, a number, a list or a mapping.",
    "select: S0",
    "select: [S0, S1]",
)
UNKNOWN_FIELD = _rule(
    "unknown-field",
    "A field has a name that does not exist in this place.",
    "A misspelt field would have no effect, and nobody would notice; so it is an error.",
    "layuot: quillon8-en-US-symbolic",
    "layout: quillon8-en-US-symbolic",
)
MISSING_FIELD = _rule(
    "missing-field",
    "A required field is missing.",
    "Without this field the description is incomplete.",
    "matrix: {select: [S0], grid: {S0: [d1]}}",
    "matrix: {select: [S0], sense: [N0], grid: {S0: [d1]}}",
)
BAD_NUMBER = _rule(
    "bad-number",
    "A value is not a number, or the number is out of range.",
    "Write numbers in decimal digits, without quotes, units or separators.",
    "scan: {period_us: 20 ms}",
    "scan: {period_us: 20000}",
)
UNKNOWN_CHOICE = _rule(
    "unknown-choice",
    "A field has a word that is not one of its choices.",
    "This field accepts a few words only; the message lists them.",
    "join: symbolical",
    "join: symbolic",
)
BAD_NAME = _rule(
    "bad-name",
    "A name is not written as names are.",
    "Names of machines, keys and modifiers are lower-case words joined by hyphens; names of lines, letters and digits.",
    "grid: {S0: [Shift Left]}",
    "grid: {S0: [shift-left]}",
)
RESERVED_ID = _rule(
    "reserved-id",
    "The id is the name of a device on Windows.",
    "An id becomes the names of files. Windows treats con, prn, aux, nul, com1 to com9 and lpt1 to lpt9 as devices, "
    "in any case and with any file extension. A repository with such a file cannot be checked out there.",
    "layout: con",
    "layout: console",
)
WRONG_LENGTH = _rule(
    "wrong-length",
    "A list or mapping is too long or too short.",
    "A row of the grid has one entry for each sense line; write `none` where there is no key. A host key has one to "
    "four legends. No list or mapping has more than 4,096 entries.",
    "sense: [N0, N1]\ngrid: {S0: [d1]}",
    "sense: [N0, N1]\ngrid: {S0: [d1, none]}",
)
NAME_TWICE = _rule(
    "name-twice",
    "Two things have the same name.",
    "Lines, keys and switches are found by their names, so each name must mean one thing only.",
    "select: [S0, S0]",
    "select: [S0, S1]",
)
KEY_ON_TWO_CROSSPOINTS = _rule(
    "key-on-two-crosspoints",
    "One key is at two crosspoints of the grid.",
    "A key closes one crosspoint. Two keys with the same print, such as left and right Shift, have two names.",
    "S0: [shift, a]\nS1: [b, shift]",
    "S0: [shift-left, a]\nS1: [b, shift-right]",
)
CROSSPOINT_TWICE = _rule(
    "crosspoint-twice",
    "A cap that only closes the contacts of other keys is said to type something of its own.",
    "The machine cannot tell two caps on one crosspoint apart: it reads the contact, and types what that types.",
    "S0: [[space, bar]]\ntypes: {space: {plain: ' '}, bar: {plain: '|'}}",
    "S0: [[space, bar]]\ntypes: {space: {plain: ' '}}",
)
UNKNOWN_LINE = _rule(
    "unknown-line",
    "The machine has no line of that name.",
    "Declare lines under `select`, `sense` and `direct`.",
    "connector: {pins: [S0, S9]}",
    "connector: {pins: [S0, S1]}",
)
WIRING_NOT_STATED = _rule(
    "wiring-not-stated",
    "A controller has a switch between a select and a sense line, but the file does not say how it is wired.",
    "Two circuits look alike in a table of pins. In a gated controller, a diode or a transistor pulls the sense line "
    "only while the select line is strobed. A plain contact joins both lines as a key does, so keys and switches "
    "held together make the machine read more. The service manual or a meter tells the two apart; matrixmap never "
    "guesses the wiring.",
    "controllers: {tiller: {Whistle: S7/N2}}",
    "controllers: {tiller: {wired: contact, Whistle: S7/N2}}",
)
WRONG_WIRING = _rule(
    "wrong-wiring",
    "The lines of a switch do not fit the wiring of its controller.",
    "A controller that is wired to ground pulls sense lines and needs no select line. A gated controller, or one of "
    "plain contacts, has both lines for each switch. Write a controller that is wired in two ways as two.",
    "controllers: {oar: {wired: ground, Pull: S5/N5}}",
    "controllers: {oar: {wired: ground, Pull: N5}}",
)
UNKNOWN_KEY = _rule(
    "unknown-key",
    "The machine has no key of that name.",
    "The keys of a machine are those of its grid, its direct lines and its latching keys, and caps in parallel.",
    "keys: {F1: bl}",
    "keys: {F1: b1}",
)
UNKNOWN_MODIFIER = _rule(
    "unknown-modifier",
    "The machine has no modifier of that name.",
    "Declare the modifiers of a machine under `modifiers`.",
    "d1: {plain: 1, shfit: '!'}",
    "d1: {plain: 1, shift: '!'}",
)
UNKNOWN_USAGE = _rule(
    "unknown-usage",
    "No host key has that name.",
    "Write host keys with the names of W3C UI Events (KeyA, Digit2, IntlBackslash) or as a usage number (0x64).",
    "legends: {Key2: [2]}",
    "legends: {Digit2: [2]}",
)
UNKNOWN_MACHINE = _rule(
    "unknown-machine",
    "A layout names a machine that does not exist.",
    "Machines are the files in shared/machines; the file name is the id.",
    "machine: quillon",
    "machine: quillon8",
)
UNKNOWN_HOST = _rule(
    "unknown-host",
    "The named host file does not exist, or nobody can type with it.",
    "Hosts are the files in shared/hosts; the file name is the id, a BCP 47 tag. A file without `form` is only a base.",
    "host: de_DE",
    "host: de-DE",
)
UNKNOWN_LAYOUT = _rule(
    "unknown-layout",
    "The layout file that is named as a base does not exist.",
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
    "The id in the file differs from the file name.",
    "Layouts, machines and hosts are found by their file names, so id and file name must agree.",
    "machine: quillon9   (in quillon8.yaml)",
    "machine: quillon8   (in quillon8.yaml)",
)
IDS_DIFFER_IN_CASE = _rule(
    "ids-differ-in-case",
    "Two ids differ only in capitals and small letters.",
    "Their built files would have the same name on disks that ignore case, so one would replace the other. Rename "
    "one of the two, or build them into different folders.",
    "machine: Quillon8   (beside quillon8)",
    "machine: quillon8-late",
)
SAME_16_BIT_ID = _rule(
    "same-16-bit-id",
    "Two layouts of one build have the same 16-bit id.",
    "Firmware stores the chosen layout by these 16 bits, a checksum of the id, and could not tell the two layouts "
    "apart. Rename one of them, because a new id has a new 16-bit id: take the one that no firmware has stored yet. "
    "Or build them into different folders.",
    "layout: quillon8-en-IE-text   (beside quillon8-en-IE-symbolic; both have 0x00BD)",
    "layout: quillon8-en-IE-terminal   (beside quillon8-en-IE-symbolic)",
)
BAD_LEGEND = _rule(
    "bad-legend",
    "A legend is neither one character nor the name of a function.",
    "A character is one code point; a function is a name of letters and digits, such as Enter or B1. Two characters "
    "in one legend are usually a mistake, or a letter with a separate accent for which no single character exists.",
    "Digit2: ['2\"']",
    "Digit2: [2, '\"']",
)
UNPRINTABLE_LEGEND = _rule(
    "unprintable-legend",
    "A legend is a code point that prints nothing.",
    "Control and formatting characters, private and unassigned code points are no legends: nobody can read them.",
    'KeyA: ["\\u200f"]',
    "KeyA: [a]",
)
BAD_PAIR = _rule(
    "bad-pair",
    "The result of a dead key and the next character is not written as a pair.",
    "A pair is the character that is typed next and, directly after it, the result. Blanks separate pairs, and the "
    "word space is the space.",
    "composes: {'´': a=á e=é}",
    "composes: {'´': \"space' ´´ aá eé\"}",
)
PRINTS_SOMETHING_ELSE = _rule(
    "prints-something-else",
    "A line under `printed` names a legend that the key does not type at that level.",
    "`altgr` names characters that the key types with AltGr and shows on its keycap. `not` names characters that it "
    "types plain or with Shift but does not show. What it types is under `legends`, so one of the two is wrong.",
    "legends: {KeyQ: [q, Q, '@']}\nprinted: {source: common practice, altgr: {KeyQ: '€'}}",
    "legends: {KeyQ: [q, Q, '@']}\nprinted: {source: common practice, altgr: {KeyQ: '@'}}",
)
STATE_TWICE = _rule(
    "state-twice",
    "One key has the same shift state twice.",
    "`shift + blazon` and `blazon + shift` are the same shift state.",
    "d1: {shift + blazon: x, blazon + shift: y}",
    "d1: {shift + blazon: x}",
)
BAD_TRIGGER = _rule(
    "bad-trigger",
    "A trigger is not written correctly.",
    "A trigger is a key of the host, with modifiers in front: Shift+Digit2, AltGr+KeyQ, Control+Alt+F1, 0x64. On a "
    "digit of the keypad, Num Lock chooses between two levels, so AltGr is not possible there.",
    "keys: {Shft+Digit2: d2}",
    "keys: {Shift+Digit2: d2}",
)
BAD_STROKE = _rule(
    "bad-stroke",
    "A stroke is not written correctly.",
    "A stroke is one or more keys of the machine, with modifiers in front: shift + d2. Or it is none.",
    "keys: {F4: helm b1}",
    "keys: {F4: helm + b1}",
)
BAD_SEQUENCE = _rule(
    "bad-sequence",
    "A sequence, a dead key or a mode of a machine cannot work as it is written.",
    "A stroke that begins a sequence, or a mode for one key, must type no character by itself; otherwise that "
    "character would be typed too. No sequence may begin with all strokes of another one. The last stroke must press "
    "a key. A dead key needs pairs under `composes`.",
    "types: {a: {plain: a}}\nsequences: {'{': [a, b]}",
    "types: {a: {plain: a, ebb: none}}\nsequences: {'{': [ebb + a, b]}",
)
TRIGGER_TWICE = _rule(
    "trigger-twice",
    "Two lines of a layout give one trigger different strokes.",
    "Backslash means both usages, 0x31 and 0x32; to treat them differently, write both. Otherwise remove one line.",
    "keys:\n  Backslash: bracket-left\n  0x32: bracket-right",
    "keys:\n  0x31: bracket-left\n  0x32: bracket-right",
)
COMMAND_MISNAMED = _rule(
    "command-misnamed",
    "A name under `command_names` belongs to no command, or to two.",
    "Firmware knows a command by its name in C. One name has one number. In the layout itself, some line under "
    "`commands` must give that number; a base may also name commands that only some of its layouts give.",
    "commands: {F12: 1}\ncommand_names: {2: next-layout}",
    "commands: {F12: 1}\ncommand_names: {1: next-layout}",
)
COMMAND_NAMES_DIFFER = _rule(
    "command-names-differ",
    "Layouts of one build disagree about the name of a command.",
    "One firmware serves all of them: in every layout, one name must mean one number. Put the names into a common "
    "base; then they cannot differ.",
    "command_names: {1: next-layout}   (beside a layout with {1: pair})",
    "command_names: {1: next-layout, 2: pair}   (in the base of both)",
)
TYPES_SOMETHING_ELSE = _rule(
    "types-something-else",
    "A line under `types` names a stroke that does not type the character.",
    "The machine's own table says what a key types in each shift state; a line can only choose among these strokes.",
    "types: {°: at}",
    "types: {°: shift + at}",
)
NOT_FOR_THIS_JOIN = _rule(
    "not-for-this-join",
    "A line has no effect in this kind of layout.",
    "`types` and `pass` control the symbolic join; a positional layout names each pair under `keys`.",
    "join: positional\ntypes: {°: shift + at}",
    "join: symbolic\ntypes: {°: shift + at}",
)
TOO_MANY = _rule(
    "too-many",
    "There are more of something than a table can hold or a check can examine.",
    "A machine has at most 16 select lines, 16 sense lines, 8 direct lines and 8 modifier keys. A stroke has at most "
    "4 keys besides modifiers, and at most 40 lines of a layout may ask for more than one key. A layout has at most "
    "180 lines under keys:, where a chord counts as four. All controllers of a machine together have at most 64 "
    "switches.",
    "modifiers with nine keys",
    "modifiers with eight keys",
)
BASE_LOOP = _rule(
    "base-loop",
    "A file inherits from itself.",
    "`base` names another file of the same kind; a chain of bases must end, after 16 files at most.",
    "host: de-DE\nbase: de-DE",
    "host: de-DE\nbase: base",
)

TABLE_RAGGED = _rule(
    "table-ragged",
    "The lines of a pasted table have different numbers of columns.",
    "Each row of a table has a cell for each line that crosses it. If there is no key, write none or --, or leave "
    "the cell between two tabs, bars or commas empty. Put a legend in quotes if it could also separate columns.",
    "S0  1  2\nS1  3",
    "S0  1  2\nS1  3  none",
)
TABLE_UNCLEAR = _rule(
    "table-unclear",
    "A pasted table leaves open which of its words are lines and which are keys.",
    "The first row can name the lines of the columns, and the first column those of the rows. If the table leaves "
    "that open, options say it: --header, --labels, --rows, --select and --sense.",
    "1  2\n2  1   (keys, or lines with the numbers 1 and 2?)",
    "    N1  N2\nS2  1   2",
)
CELL_UNCLEAR = _rule(
    "cell-unclear",
    "A cell of a pasted table cannot be read as a key.",
    "A cell has one or more legends (2, 2 \", 1/!, 'F1'), or a word on a key (ENTER, CAPS SHIFT). If there is no "
    "key, it says so: none, --, or nothing. A dash or a dot can be a key or no key: in quotes it is a key.",
    "00",
    "double zero",
)
PROBE_UNCLEAR = _rule(
    "probe-unclear",
    "A line of a file of probes is not written correctly.",
    "A probe is the name of a key, a colon, and the two pins that the key joins. Between them, write - if current "
    "flows both ways, and > or < if it flows one way only.",
    "a: 3, 14",
    "a: 3 - 14",
)
PROBES_CONTRADICT = _rule(
    "probes-contradict",
    "Two probes contradict each other.",
    "Two keys on one pair of pins would be one contact, and a key has only one contact. One of the probes was taken "
    "at a wrong pin, or with another key pressed: measure both again.",
    "a: 3 - 14\ns: 3 - 14",
    "a: 3 - 14\ns: 3 - 15",
)
PINS_NOT_SEPARABLE = _rule(
    "pins-not-separable",
    "The pins cannot be divided into select and sense lines.",
    "Every key joins a select line and a sense line. If keys lead from a pin through an odd number of contacts back "
    "to it, one probe of that ring was taken at a wrong pin.",
    "a: 1 - 2\ns: 2 - 3\nd: 3 - 1",
    "a: 1 - 2\ns: 3 - 2\nd: 3 - 4",
)
SIDE_NOT_STATED = _rule(
    "side-not-stated",
    "Nothing says which pins are the select lines.",
    "Contacts look the same from both sides; only the circuit shows which side the machine strobes. Name one pin of "
    "that side with --strobed. If all keys have diodes, --active low or --active high is enough, because their "
    "direction shows the side.",
    "matrixmap new machine quillon9 --probes probes.txt",
    "matrixmap new machine quillon9 --probes probes.txt --strobed 1",
)
DIODES_OPPOSED = _rule(
    "diodes-opposed",
    "One-way probes point both from select to sense lines and back.",
    "All diodes of a keyboard point the same way; otherwise the machine could never read some keys. A probe that "
    "points the other way was taken with the leads exchanged.",
    "a: 3 > 14\ns: 15 > 3",
    "a: 3 > 14\ns: 3 > 15",
)
KEY_WITHOUT_CONTACT = _rule(
    "key-without-contact",
    "A key joins no two pins.",
    "The key is dirty or broken, or one of its lines does not reach the connector. Clean the key and measure again, "
    "or remove its line from the file.",
    "a: none",
    "a: 3 - 14",
)

READING_RULES: tuple[Rule, ...] = (
    *(value for value in list(globals().values()) if isinstance(value, Rule)),
    *BOARD_READING_RULES,
    *PAD_READING_RULES,
)
