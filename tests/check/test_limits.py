"""A check of a layout with as many chords and lines as there may be is a bounded amount of work."""

from __future__ import annotations

from itertools import combinations
from random import Random

import pytest

from matrixmap import limits
from matrixmap.check.engine import lines as lines_of
from matrixmap.check.engine import tally as tally_of
from matrixmap.check.engine.strokes import make_strokes
from tests.written import loaded_of, plan_of

KEYS = "qwertyuiopasdfghjklzxcvn"
PREFIXES = ("", "Shift+", "Control+", "Alt+", "Meta+", "Shift+Control+")
PLACES = [f"{prefix}Key{letter}" for prefix in PREFIXES for letter in "ABCDEFGHIJKLMNOPQRSTUVWXYZ"]
HEAD = "layout: bench\nmachine: quillon8\nhost: en-GB\njoin: symbolic\nkeys:\n"


def chords(count: int) -> str:
    """A layout with so many chords, all of them different."""
    pairs = Random(1).sample([*combinations(KEYS, 2)], count)
    return HEAD + "".join(f"  {place}: {a} + {b}\n" for place, (a, b) in zip(PLACES, pairs, strict=False))


def test_a_layout_has_a_most_of_chords() -> None:
    """One chord more than a check looks through is told at its stroke."""
    assert not loaded_of("layout", layout=chords(limits.CHORDS)).findings
    (finding,) = loaded_of("layout", layout=chords(limits.CHORDS + 1)).findings
    assert finding.slug == "too-many"
    assert finding.place
    assert (finding.place.line, finding.place.column) == (6 + limits.CHORDS, len(PLACES[limits.CHORDS]) + 5)


def test_chords_are_counted_with_few_looks(monkeypatch: pytest.MonkeyPatch) -> None:
    """Combinations that close the same contacts are looked at once, and strokes are held against each other by twos."""
    looks = []
    lies = tally_of.Matrix.lies
    monkeypatch.setattr(tally_of.Matrix, "lies", lambda self, closed: looks.append(closed) or lies(self, closed))
    asked = []
    together = tally_of.together
    monkeypatch.setattr(tally_of, "together", lambda items: asked.append(items) or together(items))
    strokes = make_strokes(plan_of(layout=chords(limits.CHORDS)))
    counts = tally_of.tally(strokes)
    assert counts.triples > 100_000
    assert len(looks) < counts.triples / 2
    assert len(asked) < len(strokes.items) ** 2


def lines_that_meet(count: int) -> str:
    """A layout in which so many pairs of lines speak of one host key each."""
    return HEAD + "".join(
        f"  Key{letter}: a\n  Shift+Key{letter}: b\n" for letter in "ABCDEFGHIJKLMNOPQRSTUVWXYZ"[:count]
    )


def test_few_lines_are_taken_out_by_compiling(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of lines that can only be judged by compiling the layout without them, so many are; those that can be, are told."""
    compiled = []
    compile_plan = lines_of.compile_plan
    monkeypatch.setattr(lines_of, "compile_plan", lambda layout: compiled.append(layout) or compile_plan(layout))
    plan = plan_of(layout=f"{lines_that_meet(26)}  Digit9: d9\n")
    found = [lines_of.line_place(line).line for line, _ in lines_of.needless_lines(plan)]
    assert len(compiled) <= limits.COMPILED_LINES + 1
    assert found[-1] == 58
