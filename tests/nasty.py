"""Projects whose titles, names and legends try to be obeyed by C, a terminal, Markdown or a person's eye."""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence

from hypothesis import strategies as st

from matrixmap.source.shape.legends import UNPRINTABLE
from matrixmap.source.text.nodes import FORBIDDEN

LEGENDS = (*"[]\\#'\":,~£½ynNYo*/?|<>&`_${}@!%^-=+;. é漢🂡", "¼", "÷", "▘")
TITLES = (
    "*/ int main(void) { return 1; } /*",
    "ends in a backslash \\",
    "ends in a splice \\ ",
    "what??/",
    "what???/",
    "/* never closed",
    "[red]red[/red] [link=http://x.invalid]y[/link]",
    "\x1b[31mred\x1b[0m \x9b31m",
    "two\nlines\r\nthree",
    "| cell | <script>alert(1)</script> & <!-- -->",
    "`code` **bold** [a](b) $x$",
    "\u202eright to left\u2066",
    "%s %n %d",
    "\"quoted\" 'both'",
    "::error::told to a workflow",
    "tab\there",
    "y",
    "no",
    "~",
    "null",
    "1e3",
    "0x10",
)
_WORDS = "int for while auto inline a b c a-b b-c d1 none1 main nulls static true false bool x-y-z x-y z table mm at"
KEYS = tuple(_WORDS.split())
IDS = (
    "init",
    "int",
    "runtime",
    "config",
    "index",
    "layouts",
    "manifest",
    "x",
    "x-id",
    "x-title",
    "x-size",
    "x-h",
    "table",
)


def quoted(text: str) -> str:
    """The text as a YAML scalar in double quotes, on one line."""
    parts = []
    for char in text:
        if char in '"\\':
            parts.append(f"\\{char}")
        elif FORBIDDEN.match(char) or char in "\t\n\r\x85\u2028\u2029\ufeff":
            parts.append(f"\\U{ord(char):08x}")
        else:
            parts.append(char)
    return '"' + "".join(parts) + '"'


legends = st.sampled_from(LEGENDS) | st.characters(
    codec="utf-8", exclude_categories=[*UNPRINTABLE, "Mn", "Mc", "Me"]
).filter(lambda char: len(unicodedata.normalize("NFC", char)) == 1)
titles = st.sampled_from(TITLES) | st.text(st.characters(codec="utf-8"), min_size=1, max_size=40)


@st.composite
def projects(draw: st.DrawFn) -> dict[str, dict[str, str]]:
    """Ids of layouts, and for each the files of a project: a machine of any size, a host and a layout, with nasty text."""
    return {id: _files(draw, id) for id in draw(st.lists(st.sampled_from(IDS), min_size=4, unique=True))}


def _files(draw: st.DrawFn, id: str) -> dict[str, str]:
    select, sense = draw(st.integers(1, 16)), draw(st.integers(1, 6))
    names = draw(st.lists(st.sampled_from(KEYS), min_size=1, max_size=min(select * sense, len(KEYS)), unique=True))
    cells = [*names, *["none"] * (select * sense - len(names))]
    direct = [name for name in KEYS if name not in names][: draw(st.integers(0, 3))]
    modifiers = (
        draw(st.lists(st.sampled_from(names), max_size=min(3, len(names) - 1), unique=True)) if len(names) > 1 else []
    )
    typed = {name: draw(legends) for name in [*names, *direct] if name not in modifiers}
    shifted = {name: draw(legends) for name in typed} if modifiers else {}
    machine = [
        f"machine: {id}",
        f"title: {quoted(draw(titles))}",
        f"source: {quoted(draw(titles))}",
        "matrix:",
        f"  select: [{_row('S', select)}]",
        f"  sense: [{_row('N', sense)}]",
        "  grid:",
        *(f"    S{row}: [{', '.join(cells[row * sense : (row + 1) * sense])}]" for row in range(select)),
        *([f"direct: {{{', '.join(f'{name}: D{n}' for n, name in enumerate(direct))}}}"] if direct else []),
        *([f"modifiers: {{{', '.join(f'{name}: {name}' for name in modifiers)}}}"] if modifiers else []),
        "types:",
        *(_types(name, typed[name], shifted.get(name), modifiers) for name in typed),
        "scan: {period_us: 20000}",
    ]
    printed = draw(st.lists(legends | st.sampled_from([*typed.values(), *shifted.values()]), min_size=2, max_size=60))
    rows = [printed[at : at + 4] for at in range(0, len(printed), 4)]
    host = [
        f"host: {id}",
        f"title: {quoted(draw(titles))}",
        f"source: {quoted(draw(titles))}",
        "form: iso-105",
        "legends:",
        *(f"  0x{4 + n:02X}: [{', '.join(map(quoted, row))}]" for n, row in enumerate(rows)),
    ]
    strokes = [
        *names,
        *direct,
        *(f"{modifier} + {key}" for modifier in modifiers for key in typed),
        *_chords(list(typed)),
    ]
    lines = draw(st.lists(st.sampled_from(strokes), max_size=40))
    layout = [
        f"layout: {id}",
        f"title: {quoted(draw(titles))}",
        f"machine: {id}",
        f"host: {id}",
        f"join: {draw(st.sampled_from(['symbolic', 'positional']))}",
        *(["keys:"] if lines else []),
        *(f"  0x{0x3A + n:02X}: {stroke}" for n, stroke in enumerate(lines)),
    ]
    files = {"shared/machines": machine, "shared/hosts": host, "layouts": layout}
    return {f"{folder}/{id}.yaml": "\n".join([*text, ""]) for folder, text in files.items()}


def _row(letter: str, count: int) -> str:
    return ", ".join(f"{letter}{number}" for number in range(count))


def _types(name: str, plain: str, shifted: str | None, modifiers: Sequence[str]) -> str:
    more = f", {modifiers[0]}: {quoted(shifted)}" if shifted is not None else ""
    return f"  {name}: {{plain: {quoted(plain)}{more}}}"


def _chords(names: Sequence[str]) -> list[str]:
    return [" + ".join(names[:count]) for count in range(2, 5) if count <= len(names)] + [
        " + ".join(reversed(names[:2])) for _ in range(len(names) > 1)
    ]
