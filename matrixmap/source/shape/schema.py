"""The shapes, written for editors (JSON Schema) and for readers (the reference page of the format)."""

from __future__ import annotations

import json
from collections.abc import Iterator

from matrixmap.hid.functions import GROUPS
from matrixmap.source.folder import KINDS
from matrixmap.source.shape.formats import kinds
from matrixmap.source.shape.shapes import Fields, ListOf, MapOf, OneOf, Shape

DRAFT = "https://json-schema.org/draft/2020-12/schema"

SCHEMA_FOLDER = "schema"
"""The folder of a project with the schemas; files refer to them by a path from their own folder."""


def schema_comment(kind: str) -> str:
    """The first comment of a file of a kind, by which YAML language servers find its schema."""
    up = "../" * (KINDS[kind].count("/") + 1)
    return f"# yaml-language-server: $schema={up}{SCHEMA_FOLDER}/{kind}.json\n"


def schema_texts() -> dict[str, str]:
    """File name -> JSON Schema of each kind of file."""
    texts = {}
    for kind, shape in kinds().items():
        whole = {"$schema": DRAFT, "title": f"matrixmap {kind}", **shape.schema()}
        texts[f"{kind}.json"] = json.dumps(whole, ensure_ascii=False, indent=2) + "\n"
    return texts


def format_page() -> str:
    """The reference page of the kinds of file, in Markdown."""
    lines = ["# The files", "", *INTRODUCTION.strip().splitlines()]
    for kind, shape in kinds().items():
        lines += ["", f"## {kind.capitalize()}: `{KINDS[kind]}/ID.yaml`", ""]
        lines += ["```yaml", *EXAMPLES[kind].strip().splitlines(), "```", "", *_table(shape)]
        for name, part in _parts(shape):
            lines += ["", f"### `{name}`", "", *_table(part)]
    lines += ["", "## Functions", "", *FUNCTIONS_SAID.strip().splitlines(), "", "| about | names |", "| --- | --- |"]
    lines += [f"| {about} | {', '.join(f'`{name}`' for name in names)} |" for about, names in GROUPS.items()]
    return "\n".join(lines) + "\n"


def _table(shape: Fields) -> Iterator[str]:
    yield "| field | is | meaning |"
    yield "| --- | --- | --- |"
    for name, known in shape.fields.items():
        needed = (
            ""
            if not known.required
            else f"; required unless `{known.unless}` is given"
            if known.unless
            else "; required"
        )
        yield f"| `{name}` | {_cell(known.shape.describe())}{needed} | {_cell(known.meaning)} |"


def _parts(shape: Shape, name: str = "") -> Iterator[tuple[str, Fields]]:
    """The records inside a shape, each with its path."""
    match shape:
        case Fields():
            for field, known in shape.fields.items():
                path = f"{name}.{field}" if name else field
                if isinstance(known.shape, Fields):
                    yield path, known.shape
                yield from _parts(known.shape, path)
        case ListOf():
            if isinstance(shape.item, Fields):
                yield f"{name}[]", shape.item
            yield from _parts(shape.item, f"{name}[]")
        case MapOf():
            yield from _parts(shape.value, f"{name}.*")
        case OneOf():
            if isinstance(shape.entries, Fields):
                yield name, shape.entries


def _cell(text: str) -> str:
    # The rules for names are given once, above the tables.
    for said in (" (letters, digits and hyphens)", " (lower-case words joined by hyphens)", " (letters and digits)"):
        text = text.replace(said, "")
    return text.replace("|", "\\|").replace("<", "&lt;")


EXAMPLES = {
    "machine": """
machine: corner
title: A corner of the Quillon 8
source: invented for this page
matrix:
  select: [S0, S1]
  sense: [N0, N1, N2, N3]
  grid:
    S0: [d1, a, shift-left, acute]
    S1: [return, space, none, blazon]
direct: {hail: HAIL}
latching: {blazon-latch: blazon}
parallel: {mark: [shift-left, d1]}
modifiers: {shift: [shift-left], blazon: [blazon]}
host_shift: shift
options: {desk: hail}
types:
  d1: {plain: 1, shift: '!', blazon: ⚀}
  a: {plain: a, shift: A, capitals: A}
  space: {plain: ' '}
  return: {plain: [Enter, NumpadEnter]}
  hail: {plain: Hail}
  acute: {plain: {dead: '´'}, shift: none}
modes: {capitals: {by: hail, until: hail}}
composes: {'´': "aá space´"}
sequences: {'§': [shift + acute, d1]}
scan: {period_us: 14000, sweep_us: 440, samples_down: 2, samples_up: 2, tolerance_percent: 2, rollover: 2, more_keys: [kept, released], repeat: {delay_ms: 500, every_ms: 50}}
visible: {never: [A], at_times: Hail}
sources: {hail: a letter of the maker to this page}
place:
  - {row: 0, from: 0, keys: [d1, {gap: 2}, {key: return, width: 1.5}]}
  - {row: 1, from: 0, keys: [blazon-latch, a, {key: shift-left, width: 1.5}]}
  - {row: 2, from: 0.5, keys: [{key: space, width: 4}, blazon]}
connector: {pins: [S0, S1, ground, N0, N1, N2, N3, none, HAIL, supply], key_pin: 8, rows: 2, numbering: zigzag, gender: plug, clearance: 1}
electric:
  supply_v: 5
  supply_ma: 20
  line_v: 5
  select: low-only
  sense: input
  closes_to: {HAIL: ground}
  pull_up_ohms: [4230, 5170]
  pull_up_v: [4.75, 5.25]
  driver_low_v: 0.4
  driver_ma: 8
  reads_low_v: 0.8
  reads_high_v: 2
  leakage_ua: 20
  line_pf: [20, 60]
  own_key_ohms: [5, 200]
  strobe_end_to_read_us: 25
revisions: {late: {electric: {supply_ma: 10}}}
controllers:
  oar: {wired: ground, Pull: N0}
  tiller: {wired: contact, Whistle: S1/N2}
""",
    "host": """
host: bench
title: A keyboard for this page
source: invented for this page
base: base
form: iso-105
legends:
  Digit2: [2, '"', ²]
  KeyQ: [q, Q, '@', none]
  Equal: [{dead: '´'}, {dead: '`'}]
caps: {Digit2: shift}
composes: {'´': "space' ´´ aá"}
printed: {source: invented for this page, altgr: {KeyQ: '@'}, not: {Equal: '`'}}
""",
    "layout": """
layout: corner-bench
machine: corner
host: bench
stand_in: en-US
join: symbolic
contacts: switch
guard: on
resume: on
keyboards: together
types: {A: shift + a}
pass: {Alt: blazon}
locks: {CapsLock: blazon-latch}
commands: {Control+Alt+F12: 1}
command_names: {1: next-layout}
pads: {order: [tiller, oar], Whistle: [Button 1, Hat up], Pull: Button 2, Button 8: space, Button 9: {command: 3}, press: 0.5, release: 0.4}
keys:
  F1: hail
  Shift+F1: shift + d1
  Meta+*: shift + *
  0x64: none
""",
    "part": """
part: array-of-the-page
title: An array of this page
source: invented for this page
pins: [X0, X1, Y0, Y1, Y2, Y3, A0, A1, A2, DATA, STROBE, RESET, VDD, VSS]
power: {VDD: {takes: [4.5, 5.5], ma: 1}, VSS: ground}
array: {x: [X0, X1], y: [Y0, Y1, Y2, Y3]}
store: {address: [A0, A1, A2], data: DATA, strobe: STROBE, reset: RESET, low: [RESET]}
inputs: {low_share: 0.3, high_share: 0.7}
tolerates_v: 5.5
on_ohms: [60, 100]
leakage_ua: 1
pin_pf: [5, 20]
unpowered: clamps
times: {setup_ns: 100, pulse_ns: 100, hold_ns: 100}
---
part: processor-of-the-page
title: A processor of this page
source: invented for this page
pins: [VCC, GND, A0, A1, A2, A3, A4, A5, A6]
power: {VCC: {takes: [4.5, 5.5]}, GND: ground}
processor:
  A0: {port: A, bit: 0, does: [in, out, open-drain, pull-up], at_reset: input, boot: high, also: debug-output, tolerates_v: 5.5}
  A1: {port: A, bit: 1, does: [in, out]}
  A2: {port: A, bit: 2, does: [in, out]}
  A3: {port: A, bit: 3, does: [in, out]}
  A4: {port: A, bit: 4, does: [in, out]}
  A5: {port: A, bit: 5, does: [in, out]}
  A6: {port: A, bit: 6, does: [in, out]}
output_high_v: 4.2
---
part: switches-of-the-page
title: Two switches and two buffers
source: invented for this page
pins: [A1, B1, C1, A2, B2, C2, I1, O1, I2, O2]
channels: [{a: A1, b: B1, when: C1}, {a: A2, b: B2, when: C2, at: low}]
buffers: [{in: I1, out: O1, drives: open-drain}, {in: I2, out: O2}]
output_low_v: 0.55
output_low_ma: 24
---
part: diode-of-the-page
title: A diode
source: invented for this page
passive: diode
diode: {saturation_na: [0.1, 2.52], emission: [1.6, 1.8], series_ohms: 0.6}
---
part: resistors-of-the-page
title: Two resistors of one value
source: invented for this page
pins: ['1', '2', '3', '4']
passive: resistor
elements: [['1', '4'], ['2', '3']]
---
part: header-of-the-page
title: A socket
source: invented for this page
header: {rows: 2, columns: 5, numbering: zigzag, gender: socket}
---
part: cable-of-the-page
title: A cable
source: invented for this page
cable: {wires: straight, end: {rows: 2, columns: 5, numbering: zigzag, gender: socket}, key_pin: 8, pf_per_m: 50}
""",
    "adapter": """
adapter: corner-board
title: A board of this page
source: invented for this page
parts:
  J1: {part: header-of-the-page, mates: keys, key_pin: 8}
  U1: processor-of-the-page
  U2: array-of-the-page
  Q1: mosfet-n
  R1: {part: resistor, ohms: 10000}
  R2: {part: resistor, ohms: 10000}
  R3: {part: resistor, ohms: 10000, tolerance_percent: 5}
nets:
  ground: [J1.3, U1.GND, U2.VSS, Q1.S, R1.1, R2.1, R3.1]
  supply: [J1.10, U1.VCC, U2.VDD]
  S0: [J1.1, U2.X0]
  S1: [J1.2, U2.X1]
  N0: [J1.4, U2.Y0]
  N1: [J1.5, U2.Y1]
  N2: [J1.6, U2.Y2]
  N3: [J1.7, U2.Y3]
  HAIL: [J1.9, Q1.D]
  A0: [U1.A1, U2.A0]
  A1: [U1.A2, U2.A1]
  A2: [U1.A3, U2.A2]
  DATA: [U1.A4, U2.DATA]
  STROBE: [U1.A5, U2.STROBE, R1.2]
  RESET: [U1.A6, U2.RESET, R2.2]
  GATE: [Q1.G, R3.2]
unused: [U1.A0]
driver: {spread_us: [13.5, 37.5, 48], each_us: 12, write_ns: 500, measured: invented for this page}
fits:
  corner: {}
  corner/late: {through: cable-of-the-page, mount: same-side, metres: 0.2}
""",
}
"""A small file of each kind, with every field that is more than a remark.

Several parts, because no single one has all fields.
"""

FUNCTIONS_SAID = """
Machine and host are joined by the names of functions, so both must use the same name for a function: `Enter`, not `Return`.
The names are the key values of W3C UI Events; those of television sets and remote controls are left out.
A function that only a machine has, such as `Halt`, has a name of its own: two or more letters and digits, usually with a capital first.
If a name is a misspelling of one of these, or another word for it, `matrixmap check` reports `function-misnamed`.
The space is a character: `' '`.
"""

INTRODUCTION = """
`matrixmap schema --page` makes this page from the shapes that the reader itself uses.

A project is a folder with `layouts/` and `shared/`. The file name without `.yaml` is the id, and must equal the id in the file.
A file of your own wins over a shipped one of the same id.

An id consists of letters, digits and hyphens; the name of a line consists of letters and digits.
The name of a key or modifier consists of lower-case words joined by hyphens.

The reader takes every scalar as its text: `y`, `no`, `1` and `~` need no quotes.
Quote a legend that begins with any of `- ? : , [ ] { } # & * ! | > ' " % @` or a backquote.
YAML names with `&` and `*`, and tags with `!`, are refused.
A character is one code point after NFC; a longer text is the name of a function (W3C `key` values such as `Enter`, or the machine's own such as `B1`).
`none` means nothing: no key at a crosspoint, no legend at a level, no stroke for a trigger.

The first line of a file names its schema, and an editor with a YAML language server completes and checks the file by it. `matrixmap new` writes that line.
`matrixmap schema --project` writes the names of your project into the schemas.
The schema of a layout then contains the keys, modifiers, characters and functions of its machine, all machines, hosts and triggers, and the findings to accept.
The schema of a machine contains that machine's own keys and lines.
Run the command again after you change names; with `--check` it says whether that is necessary.

One run reports all findings of a file, as `file:line:column: slug: text`; `matrixmap explain SLUG` explains more.
A line that YAML cannot read is reported, and then read as it was probably meant, so that the rest of the file is checked too.
`matrixmap tidy FILE` quotes what needs quotes and puts fields, keys and lines in order; `--check` only reports, for use in a build.
Comments and the meaning of the file stay. If a fault has more than one remedy, the file stays unchanged.

The levels of a host are 1 plain, 2 with Shift, 3 with AltGr, 4 with both.
A key with one legend types it at every level. With two legends, AltGr has no effect; with three, Shift has no effect while AltGr is held.
On a digit key of the keypad, the two legends are for Num Lock on and off.

A keyboard types more than is printed on it, mostly with AltGr; `printed` says what can be read on the keys.
Legends typed plain or with Shift are printed, except those under `not`. Legends that need AltGr are printed only where `altgr` names them.
A letter counts as printed in both cases, though most keys show the capital alone.
The accent of a dead key is written here without `dead`.
`Digit2: [², '⅛']` names both legends of a key, and `Digit2: none` cancels what the base says.
If a file has no `printed`, everything that its own keys type counts as printed.
For the keys that a file inherits, the base's section applies.

Write triggers as `Shift+Digit2`, `AltGr+KeyQ`, `Control+Alt+F1` or `0x64`, and strokes as `shift + d2`.
Shift states of a machine are written as `plain`, `shift`, `shift + graph`.
Two caps on one crosspoint are a list in the grid, `[shift-left, shift-right]`: the first one has the contact.
`parallel: {delete: [caps-shift, d0]}` is a cap that closes two contacts. It may also close one, which means the same as a list in the grid.
Such a cap has no types: it types what the keys that it closes type together.
It can be in `place`, in `modifiers` if it closes one contact, and in a layout, where `Backspace: delete` holds caps-shift and presses d0.
`options: {pad: [pad-plus, pad-enter]}` are keys that only some of the machines have.
A symbolic layout uses one only if no other key types the character; a note names what needs an option.
`stop: {plain: [Escape, Stop]}` has two meanings in one state: pictures and lists show the first, and host keys are joined by either.
`flood: {ebb: Steer}`, where flood is a modifier's own key, is what the machine types while only ebb and flood are held: the stroke `ebb + flood`.
The host's Shift feeds a modifier of the machine without a line in the layout.
This modifier is the one named `shift`, or else the one that alone makes the other case of most letters; `host_shift` names another.

Some characters need several strokes of the machine, one after the other:

- **Sequences**: `sequences: {'{': [ebb + b, flood + a]}` lists the strokes, two to four.
  A stroke is one key with modifiers in front, or modifiers alone: `caps-shift + symbol-shift`.
- **Dead keys**: `types: {acute: {plain: {dead: '´'}}}` names the dead key, and `composes: {'´': "aá eé space´"}` says what it makes of the next character.
- **Modes**: `modes: {extended: {by: caps-shift + symbol-shift, until: one-key}}` says which stroke begins a mode and what ends it: the next key or another stroke.
  A state under `types` may name one mode: `p: {plain: p, symbol-shift + extended: ©}`.
  The machine itself decides about a mode without `by`; `when` tells people when it is on: `keyword: {when: at the beginning of a line}`.

In a symbolic layout, one press plays all strokes of a sequence if no single stroke types the character; this also works after a dead key of the host.
Sequences of the file come first, then dead keys, then modes for one key.
In a positional layout each stroke is a press of its own.
`howto` shows the strokes, and describes other modes in words.
If a stroke begins a sequence or a mode for one key, it must type no character by itself; write `none` for it under `types`.
A table has room for 28 numbers; each dead key, and each different first stroke of sequences, takes one.
`Backslash` is usage 0x31 on ANSI boards and 0x32 on ISO boards, and means both.
A trigger without modifiers covers every level in three cases: in a positional layout, if the host key has one legend, and if the stroke is a modifier's key.

`Alt+*: graph + *` is one line for each key of the machine that types something with graph.
The host key for it is the one on which the layout types the plain legend of that machine key, at any level. So `Alt+Digit1` also works on a French keyboard, where the digit needs Shift.
If several host keys qualify, the first by this order is used: not on the keypad; on the host's form; printed there; no stand-in; lowest level; lowest usage.
A host key serves one key of the machine, the one at the lower level; the other machine key uses its next host key.
In a positional layout the pairs decide: the host key is the one that presses the machine key alone.
A line that names a key wins over `*`, even a line of a base; of two lines `Alt+*`, the file's own wins over the base's.
"""
