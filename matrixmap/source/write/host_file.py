"""Writes host files: the legends that differ from the base, by keyboard row."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Mapping
from typing import TypeVar

from matrixmap.hid.usages import KEYPAD_DIGITS, Usage, by_code, by_number
from matrixmap.model.host import CapsLock, at_every_level
from matrixmap.model.legend import Legend
from matrixmap.source.kinds.host import HostDraft, caps_from_case
from matrixmap.source.shape.legends import NOTHING, UNPRINTABLE, is_accent
from matrixmap.source.shape.schema import schema_comment

Legends = tuple[Legend | None, ...]

_DIGITS = [f"Digit{digit}" for digit in "1234567890"]
_UPPER = [*(f"Key{letter}" for letter in "QWERTYUIOP"), "BracketLeft", "BracketRight"]
_MIDDLE = [*(f"Key{letter}" for letter in "ASDFGHJKL"), "Semicolon", "Quote"]
_LOWER = [*(f"Key{letter}" for letter in "ZXCVBNM"), "Comma", "Period", "Slash", "IntlRo"]

ANSI_ROWS = (
    ("Backquote", *_DIGITS, "Minus", "Equal"),
    (*_UPPER, "Backslash"),
    (*_MIDDLE,),
    (*_LOWER,),
)
ISO_ROWS = (
    ("Backquote", *_DIGITS, "Minus", "Equal", "IntlYen"),
    (*_UPPER,),
    (*_MIDDLE, "Backslash"),
    ("IntlBackslash", *_LOWER),
)
"""The rows in which a file lists its keys; all other keys follow in the order of their usages."""


def host_text(
    id: str,
    title: str,
    source: str,
    form: str,
    legends: Mapping[Usage, Legends],
    caps: Mapping[Usage, CapsLock],
    base: HostDraft,
) -> str:
    """A host file with the legends and Caps Lock choices that its base lacks."""
    own = {usage: typed for usage, typed in legends.items() if at_every_level(typed) != _of_base(base, usage)}
    has_altgr = _has_altgr(legends)
    own_caps = {
        usage: choice
        for usage, choice in caps.items()
        if choice is not (base.caps.get(usage) or caps_from_case(legends[usage], has_altgr))
    }
    lines = [schema_comment("host").rstrip()]
    lines += [
        f"host: {id}",
        f"title: {scalar(title)}",
        f"source: {scalar(source)}",
        f"base: {base.id}",
        f"form: {form}",
    ]
    if own:
        lines += [f"legends:  # plain, Shift{', AltGr, Shift+AltGr' if has_altgr else ''}"]
        lines += list(_legend_lines(own, form))
    if own_caps:
        lines += ["", "caps:  # what Caps Lock swaps, where the cases of a letter do not say it"]
        lines += [f"  {code}: {choice.value}" for code, choice in by_name(own_caps)]
    return "\n".join(lines) + "\n"


def _of_base(base: HostDraft, usage: Usage) -> Legends:
    """What the base types at each level of a usage; a key that it lacks types nothing."""
    return at_every_level(base.legends[usage][1] if usage in base.legends else (None,))


def _has_altgr(legends: Mapping[Usage, Legends]) -> bool:
    return any(len(typed) > 2 for usage, typed in legends.items() if usage not in KEYPAD_DIGITS)


Value = TypeVar("Value")


def by_name(values: Mapping[Usage, Value]) -> Iterator[tuple[str, Value]]:
    """The name of each key with its value; a code for two usages with one value appears once."""
    done: set[Usage] = set()
    for usage, value in values.items():
        fact = by_number(usage)
        both = by_code(fact.code) if fact and fact.code else ()
        if usage in done:
            continue
        if both and all(values.get(other) == value for other in both):
            done.update(both)
            yield str(fact.code if fact else usage), value
        else:
            yield f"0x{usage:02X}", value


def _legend_lines(own: Mapping[Usage, Legends], form: str) -> Iterator[str]:
    left = dict(by_name(own))
    rows = ANSI_ROWS if form in ("ansi-104", "ks-106") else ISO_ROWS
    placed = [name for row in rows for name in row]
    groups = [*rows, [name for name in left if name not in placed]]
    first = True
    for group in groups:
        names = [name for name in group if name in left]
        if names and not first:
            yield ""
        first = first and not names
        for name in names:
            yield legend_line(name, left[name])


def legend_line(name: str, typed: Legends) -> str:
    """A key with its legends, and a comment for legends that look like others."""
    listed = ", ".join(_legend(legend) for legend in typed)
    notes = list(dict.fromkeys(note for legend in typed if legend and (note := look_alike(legend))))
    return f"  {name}: [{listed}]" + (f"  # {'; '.join(notes)}" if notes else "")


def _legend(legend: Legend | None) -> str:
    if legend is None:
        return NOTHING
    return f"{{dead: {scalar(legend.text)}}}" if legend.dead else scalar(legend.text)


def scalar(text: str) -> str:
    """A text as YAML: bare if it reads well, in quotes if YAML could take a mark for its own, escaped if unseen."""
    if any(_unseen(char) for char in text):
        return '"' + "".join(_escape(char) for char in text) + '"'
    if len(text) == 1 and unicodedata.category(text) in {"Lu", "Ll", "Lt", "Lo", "Nd"}:
        return text
    if (
        len(text) > 1
        and re.fullmatch(r"[^\W_](?:[^#:'\"\\]|:(?! )|(?<! )#)*", text)
        and not text.endswith((":", " "))
        and text != NOTHING
    ):
        return text
    return f'"{text}"' if "'" in text and '"' not in text and "\\" not in text else "'" + text.replace("'", "''") + "'"


def _unseen(char: str) -> bool:
    """Whether a character shows nothing of its own between two quotes: a blank, or one that combines with them."""
    return char != " " and unicodedata.category(char) in {*UNPRINTABLE, "Zs", "Mn", "Me"}


def _escape(char: str) -> str:
    if char in '"\\':
        return f"\\{char}"
    if not _unseen(char):
        return char
    return f"\\u{ord(char):04X}" if ord(char) <= 0xFFFF else f"\\U{ord(char):08X}"


# Characters that a reader can confuse, beyond quotation marks, dashes, spaces and accents.
# fmt: off
LOOK_ALIKES = {
    "°": "degree", "˚": "ring", "º": "º as in 1º", "ª": "ª as in 1ª", "·": "middle dot", "•": "bullet", "∙": "bullet",
    "×": "times", "−": "minus", "µ": "micro sign", "¦": "broken bar", "¯": "macron", "ſ": "long s", "ı": "i without dot",
    "ȷ": "j without dot", "ĸ": "kra", "′": "prime", "″": "double prime", "ʼ": "modifier apostrophe", "∕": "division slash",
    "⁄": "fraction slash", "∣": "divides", "∼": "tilde operator", "´": "acute accent", "¨": "diaeresis", "¸": "cedilla",
}
# fmt: on


def look_alike(legend: Legend) -> str:
    """The name of a legend if it looks like another, else nothing."""
    text = legend.text
    if len(text) != 1 or text.isascii() or (legend.dead and not is_accent(text)):
        return ""
    if text in LOOK_ALIKES:
        return LOOK_ALIKES[text]
    if text in "«»‹›" or unicodedata.category(text) not in {"Pd", "Zs", "Pi", "Pf", "Ps", "Lm", "Mn", "Mc"}:
        return ""
    return unicodedata.name(text).lower().removeprefix("combining ").replace("quotation mark", "quote")
