"""Strokes in turn of two published machines: a mode that both shifts begin, and a dead key of the machine.

The crosspoints are those of the fixtures in machines/ (sources in spectrum-matrix.yaml and msx-matrix.yaml). What the
keys type in these modes and after the dead key is from memory, and so said below; KEY-SCAN takes two keys if one is a
shift ([LOH] in spectrum-matrix.yaml), so that both shifts together are a code of their own.
"""

from __future__ import annotations

import pytest

from matrixmap.press.how_to_type import every_press, ways_to_type
from matrixmap.press.modes import by_hand
from matrixmap.press.words import way_words
from tests.project import HANDBOOK
from tests.turns import turn_plan, typed_and_read

MACHINES = HANDBOOK / "shared" / "machines"

# From memory: in the mode that both shifts begin, the next key with SYMBOL SHIFT types these.
EXTENDED = {"a": "~", "s": "|", "d": "\\", "f": "{", "g": "}", "y": "[", "u": "]", "p": "©"}

# From memory: the international keyboard of the MSX has a dead key where figure 36 of the UK one has the pound sign.
GRAVE = "aà eè iì oò uù"
ACUTE = "aá eé ií oó uú"


def spectrum() -> str:
    """The fixture of the ZX Spectrum with the extended mode, and the keyword of P (from memory)."""
    text = (MACHINES / "zx-spectrum.yaml").read_text(encoding="utf-8")
    lines = []
    for line in text.splitlines():
        key = line.strip().split(":")[0]
        if line.startswith("  ") and line.rstrip().endswith("}") and key in EXTENDED and "plain" in line:
            more = f"symbol-shift + extended: '{EXTENDED[key]}'" + (", keyword: PRINT" if key == "p" else "")
            lines.append(f"{line.rstrip()[:-1]}, {more}}}")
        else:
            lines.append(line)
    modes = "modes: {extended: {by: caps-shift + symbol-shift, until: one-key}, keyword: {when: at the beginning of a line}}"
    return "\n".join([*lines, modes, ""])


def msx() -> str:
    """The fixture of the MSX with a dead key in place of the pound sign."""
    text = (MACHINES / "msx-uk.yaml").read_text(encoding="utf-8")
    old = next(line for line in text.splitlines() if "plain: £" in line or "plain: '£'" in line)
    name = old.strip().split(":")[0]
    composes = f"composes: {{'`': \"{GRAVE}\", '´': \"{ACUTE}\"}}"
    return text.replace(old, f"  {name}: {{plain: {{dead: '`'}}, shift: {{dead: '´'}}}}") + composes + "\n"


SPECTRUM_LAYOUT = "layout: zx\nmachine: zx-spectrum\nhost: en-US\njoin: symbolic\n"
MSX_LAYOUT = "layout: msx\nmachine: msx-uk\nhost: es-ES\njoin: symbolic\n"


@pytest.mark.parametrize("engine", ["model", "c"])
def test_both_shifts_begin_a_mode_for_one_key(engine: str) -> None:
    """ZX Spectrum: braces, brackets, bar, tilde and backslash are typed by both shifts and then a key with SYMBOL SHIFT."""
    plan = turn_plan(spectrum(), SPECTRUM_LAYOUT)
    assert set("~|\\{}[]") <= set(ways_to_type(plan))
    text = "[A]{B}~|\\"
    assert typed_and_read(plan, text, engine) == (text, text)


def test_a_keyword_is_told_in_words() -> None:
    """ZX Spectrum: PRINT is P, at the beginning of a line; the machine alone knows when that is."""
    plan = turn_plan(spectrum(), SPECTRUM_LAYOUT)
    hand = by_hand(every_press(plan))["PRINT"]
    assert (way_words(plan.layout.host, hand.way), hand.when) == ("P", "at the beginning of a line")


@pytest.mark.parametrize("engine", ["model", "c"])
def test_a_dead_key_of_the_machine(engine: str) -> None:
    """MSX: a letter with an accent is typed by the dead key and then the letter, after a dead key of the host too."""
    plan = turn_plan(msx(), MSX_LAYOUT)
    ways = ways_to_type(plan)
    assert set("áéíóúàèìòù") <= set(ways)
    assert way_words(plan.layout.host, ways["á"][0]) == "´, then A"
    text = "más café è"
    assert typed_and_read(plan, text, engine) == (text, text)
