"""A check of a layout with as many chords and lines as there may be is a bounded amount of work."""

from __future__ import annotations

from itertools import combinations
from random import Random

import pytest

from matrixmap import limits
from matrixmap.check.counts import tally as tally_of
from matrixmap.check.engine import conflicts as conflicts_of
from matrixmap.check.engine import lines as lines_of
from matrixmap.check.engine.strokes import make_strokes
from matrixmap.check.run import check_plan
from tests.project import ROOT
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


def test_a_layout_has_a_most_of_lines() -> None:
    """One line more than a check looks through is told at its trigger; a line that another file has too counts once."""
    places = [
        f"{prefix}Key{letter}"
        for prefix in (*PREFIXES, "AltGr+", "Shift+Alt+", "Control+Alt+", "Shift+Meta+")
        for letter in "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
    ]
    lines = [f"  {place}: a\n" for place in places]
    assert not [
        each
        for each in loaded_of("layout", layout=HEAD + "".join(lines[: limits.LAYOUT_LINES])).findings
        if each.slug == "too-many"
    ]
    findings = loaded_of("layout", layout=HEAD + "".join(lines[: limits.LAYOUT_LINES + 1])).findings
    (finding,) = [each for each in findings if each.slug == "too-many"]
    assert finding.place
    assert (finding.place.line, finding.place.column) == (6 + limits.LAYOUT_LINES, 3)


def test_a_machine_has_a_most_of_switches() -> None:
    """One switch more is told at the controller with which it comes."""
    machine = (ROOT / "shared" / "machines" / "quillon8.yaml").read_text(encoding="utf-8")
    before = machine[: machine.index("\ncontrollers:")]
    rest = machine[machine.index("\ncontrollers:") + 1 :].split("\n")
    end = next((number for number, line in enumerate(rest) if number and line[:1] not in ("", " ")), len(rest))
    after = "\n".join(rest[end:])
    for switches, wrong in ((limits.CONTROLLER_SWITCHES, False), (limits.CONTROLLER_SWITCHES + 1, True)):
        listed = ", ".join(f"U{number}: S{number // 8}/N{number % 8}" for number in range(switches - 1))
        text = f"{before}\ncontrollers:\n  one: {{wired: contact, {listed}}}\n  other: {{U99: N1}}\n{after}"
        findings = [each for each in loaded_of("machine", machine=text).findings if each.slug == "too-many"]
        assert [each.text.startswith("with this controller") for each in findings] == [True] * wrong


def test_conflicts_beyond_those_told_are_counted(monkeypatch: pytest.MonkeyPatch) -> None:
    """The likeliest are told as before, and the rest is one finding with their number."""
    feeds = "  ShiftLeft: shift-left\n  ShiftRight: shift-right\n"
    lines = "".join(f"  Key{letter.upper()}: {letter}\n" for letter in KEYS)
    plan = plan_of(layout=HEAD.replace("symbolic", "positional") + feeds + lines)
    whole = {finding.text: finding for finding in check_plan(plan).findings}
    monkeypatch.setattr(conflicts_of, "CONFLICTS", 10)
    cut = check_plan(plan).findings
    more = [finding for finding in cut if "are counted here" in finding.text]
    assert more
    told = {finding.text for finding in cut if finding.witness}
    assert told <= whole.keys()
    masked = [finding for finding in whole.values() if finding.slug == "two-keys-make-phantom" and finding.witness]
    kept = [finding for finding in cut if finding.slug == "two-keys-make-phantom" and finding.witness]
    (rest,) = [finding.count for finding in more if finding.slug == "two-keys-make-phantom"]
    assert len(kept) == 10
    assert len(kept) + rest == len(masked)


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
