"""Damages the files of a small project as slips of an editor, a broken program or an attacker would."""

from __future__ import annotations

import copy
from collections.abc import Callable, Mapping
from random import Random
from typing import Any

import yaml

MACHINE = """\
machine: small
title: Small
source: made for this test
matrix:
  select: [S0, S1, S2]
  sense: [N0, N1, N2]
  diodes: [a]
  grid:
    S0: [shift, a, b]
    S1: [c, d, enter]
    S2: [code, none, [e, f]]
direct: {stop: STOP}
latching: {shift-lock: shift}
parallel: {left: [shift, c]}
modifiers: {shift: shift, code: code}
options: {large: d}
types:
  a: {plain: a, shift: A, code: [à, á]}
  b: {plain: b, shift: B}
  c: {plain: c, shift: C, code: {dead: '´'}}
  d: {plain: '1', shift: '!', code: none}
  enter: {plain: Enter}
  e: {plain: e, shift: E}
  stop: {plain: Escape}
composes: {'´': aá eé}
sequences: {é: [code + c, e], '?': [code + d, b]}
scan: {period_us: 20000, sweep_us: 640, samples_down: 2, tolerance_percent: 1, rollover: 2, repeat: {delay_ms: 500, every_ms: 50}}
sources: {a: elsewhere}
place:
  - {row: 0, from: 0.5, keys: [a, b, {gap: 1}, {key: enter, width: 2}]}
  - {row: 1, from: 0, keys: [shift, c, d, code]}
connector: {pins: [S0, S1, S2, N0, N1, N2, STOP, ground, none], key_pin: 9}
controllers: {stick: {wired: gated, Up: S0/N1, Fire: S1/N0}}
"""
HOST = """\
host: xx
title: Some host
source: made for this test
form: ansi-104
legends:
  KeyA: [a, A, á]
  KeyB: [b, B]
  KeyC: [c, C]
  KeyE: [e, E, {dead: '´'}]
  Digit1: ['1', '!']
  Quote: ["'", '"']
  Enter: Enter
  Escape: Escape
  Space: ' '
caps: {KeyB: none}
composes: {'´': aá eé space´}
printed: {source: from memory, not: {KeyE: E}}
"""
LAYOUT = """\
layout: x
title: A layout
machine: small
host: xx
stand_in: en-US
join: symbolic
contacts: switch-with-diode
guard: on
types: {á: code + a}
pass: {Alt: code}
locks: {CapsLock: shift-lock}
commands: {Control+F1: 3}
keys:
  F1: a
  F2: shift + b
  Shift+F3: a + b
  F4: stop
  F5: none
  Alt+*: code + *
accept: {unreachable-key: not on this keyboard}
"""
SCRIPT = """\
down KeyA
wait 20 ms
up KeyA, down ShiftLeft on 1
report 02 00 04 00 00 00 00 00
wait 1 s   # a comment
bitmap 00 00 01
jump -3 ms
layout x
disconnect 1
connect 1
"""
RECORDING = """\
# a recording
D: 0
N: a keyboard
R: 45 05 01 09 06 a1 01 05 07 19 e0 29 e7 15 00 25 01 75 01 95 08 81 02 95 01 75 08 81 01 95 06 75 08 15 00 25 65 05 07 19 00 29 65 81 00 c0
E: 000000.000000 8 00 00 04 00 00 00 00 00
E: 000000.050000 8 02 00 04 05 00 00 00 00
E: 000000.090000 8 01 00 01 01 01 01 01 01
E: 000000.100000 8 00 00 00 00 00 00 00 00
D: 1
E: 000001.100000 8 00 00 05 00 00 00 00 00
E: 000002.100000 8 00 00 00 00 00 00 00 00
"""
DESCRIPTOR = RECORDING.split("\n")[3].split(" ", 2)[2] + "\n"
TABLE = """\
     N0   N1   N2
S0   1 !  Q    A
S1   2 "  W    SHIFT
S2   ENTER  none  Z
"""
PROBES = "1 !: 3 - 14\n'Q': 3 - 15\nA: 4 > 14\nSHIFT: 4 - 15\n"

FILES = {
    "shared/machines/small.yaml": MACHINE,
    "shared/hosts/xx.yaml": HOST,
    "layouts/x.yaml": LAYOUT,
    "script.txt": SCRIPT,
    "keyboard.rec": RECORDING,
    "descriptor.hex": DESCRIPTOR,
    "table.txt": TABLE,
    "probes.txt": PROBES,
}
"""A project that is sound, and one file of each other kind that a command reads."""

HUGE = ("9" * 30, "-1", "0", "1e400", "0x" + "f" * 400, "nan", "255", "256", "65536", "4294967296", "-0.5", "1_000")
ODD = (
    "\u202eabc", "e\u0301", "\u0301", "\U0001f469\u200d\U0001f4bb", "\ufeff", "\x85", "\u2028", "\ue000", "\U0010ffff",
    "İ", "ß", "ﬃ", "١", "Ⅷ", " ", "\u00a0", "", "~", "y", "no", "null", "<<", "*", "none", "plain", "base", "'", '"',
    "\\", "#", "a" * 61, "b" * 201, "c " * 1_001, "*/", "%s", "${x}", "<script>", "::error::", "../../x", "\x1b[31m",
)  # fmt: skip
MARKS = (
    "&x ",
    "*x",
    "!!int ",
    "? ",
    "- ",
    "[",
    "]",
    "{",
    "}",
    ": ",
    "#",
    "|",
    ">",
    "\t",
    "---\n",
    "...\n",
    "'",
    '"',
    "\x00",
)


def damaged(rng: Random, name: str, files: Mapping[str, str]) -> bytes:
    """The file of a name with a few damages, of its text or of its tree."""
    data = files[name].encode()
    if name.endswith(".yaml") and rng.random() < 0.6:
        data = _damaged_tree(rng, files[name], [text for other, text in files.items() if other.endswith(".yaml")])
    if not name.endswith(".yaml") or rng.random() < 0.4:
        text = data.decode("utf-8", "surrogateescape")
        for _ in range(rng.randint(1, 4)):
            text = rng.choice(TEXT_DAMAGES)(rng, text)
        data = text.encode("utf-8", "surrogatepass")
    if rng.random() < 0.05:
        at = rng.randrange(len(data) + 1)
        data = data[:at] + rng.randbytes(rng.randint(1, 8)) + data[at + rng.randint(0, 4) :]
    return data


# ---- the text ----


def _lines(change: Callable[[Random, list[str], int], None]) -> Callable[[Random, str], str]:
    def changed(rng: Random, text: str) -> str:
        lines = text.split("\n")
        change(rng, lines, rng.randrange(len(lines)))
        return "\n".join(lines)

    return changed


def _drop(rng: Random, lines: list[str], at: int) -> None:
    del lines[at : at + rng.randint(1, 3)]


def _double(rng: Random, lines: list[str], at: int) -> None:
    lines[at:at] = lines[at : at + rng.randint(1, 4)] * rng.choice((1, 1, 2, 300))


def _swap(rng: Random, lines: list[str], at: int) -> None:
    other = rng.randrange(len(lines)) if lines else 0
    if lines:
        lines[at], lines[other] = lines[other], lines[at]


def _indent(rng: Random, lines: list[str], at: int) -> None:
    lines[at] = rng.choice((" ", "  ", "\t", "\u00a0", "- ")) + lines[at] if rng.random() < 0.7 else lines[at].lstrip()


def _cut_line(rng: Random, lines: list[str], at: int) -> None:
    lines[at] = lines[at][: rng.randrange(len(lines[at]) + 1)]


def _put_mark(rng: Random, text: str) -> str:
    at = rng.randrange(len(text) + 1)
    return text[:at] + rng.choice((*MARKS, *ODD, *HUGE)) + text[at + rng.choice((0, 0, 1, 5)) :]


def _replace_word(rng: Random, text: str) -> str:
    words = text.split(" ")
    words[rng.randrange(len(words))] = rng.choice((*HUGE, *ODD, *words))
    return " ".join(words)


def _cut(rng: Random, text: str) -> str:
    return text[: rng.randrange(len(text) + 1)]


def _nest(rng: Random, text: str) -> str:
    at = rng.randrange(len(text) + 1)
    return text[:at] + rng.choice(("[", "{a: ", "- ", "? ")) * rng.choice((5, 20, 2_000)) + text[at:]


def _anchor(rng: Random, text: str) -> str:
    return text.replace(": ", ": &x ", 1).replace(": [", ": [*x, ", rng.randint(1, 2)).replace(": {", ": {<<: *x, ", 1)


TEXT_DAMAGES: tuple[Callable[[Random, str], str], ...] = (
    *map(_lines, (_drop, _double, _swap, _indent, _cut_line)), _put_mark, _put_mark, _replace_word, _replace_word,
    _cut, _nest, _anchor,
)  # fmt: skip


# ---- the tree ----


def _damaged_tree(rng: Random, text: str, others: list[str]) -> bytes:
    tree = yaml.load(text, yaml.BaseLoader)
    strange = yaml.load(rng.choice(others), yaml.BaseLoader)
    for _ in range(rng.randint(1, 4)):
        holders = [holder for holder in _holders(tree) if holder]
        if not holders:
            break
        holder = rng.choice(holders)
        key = rng.choice([*holder]) if isinstance(holder, dict) else rng.randrange(len(holder))
        _damage(rng, holder, key, [value for other in (tree, strange) for value in _values(other)])
    style = rng.choice((None, None, True))
    return yaml.dump(tree, allow_unicode=True, sort_keys=False, default_flow_style=style, width=10_000).encode(
        "utf-8", "surrogatepass"
    )


def _holders(node: Any) -> list[Any]:
    if isinstance(node, dict):
        return [node, *(each for value in node.values() for each in _holders(value))]
    return [node, *(each for value in node for each in _holders(value))] if isinstance(node, list) else []


def _values(node: Any) -> list[Any]:
    below = [*node.values()] if isinstance(node, dict) else node if isinstance(node, list) else []
    return [node, *(each for value in below for each in _values(value))]


def _damage(rng: Random, holder: Any, key: Any, values: list[Any]) -> None:
    value = holder[key]
    match rng.randrange(9):
        case 0:
            del holder[key]
        case 1:
            holder[key] = copy.deepcopy(rng.choice(values))
        case 2:
            holder[key] = rng.choice((*HUGE, *ODD))
        case 3:
            holder[key] = rng.choice(([value], {"a": value}, [], {}, None, [[value]] * 3, str(value)))
        case 4:
            for _ in range(rng.choice((3, 15, 18, 60))):
                holder[key] = [holder[key]] if rng.random() < 0.5 else {"x": holder[key]}
        case 5:
            holder[key] = value * rng.choice((2, 300)) if isinstance(value, list | str) else [value] * 300
        case 6 if isinstance(holder, dict):
            name = rng.choice((*ODD, *HUGE, *(each for each in values if isinstance(each, str))))
            holder[name] = holder.pop(key)
        case 7 if isinstance(holder, dict):
            other = rng.choice([*holder])
            holder[key], holder[other] = holder[other], holder[key]
        case 8 if isinstance(holder, dict):
            for number in range(rng.choice((3, 300))):
                holder[f"{key}{number}"] = copy.deepcopy(value)
        case _:
            holder[key] = value if not isinstance(value, str) else value[::-1] + rng.choice(ODD)
