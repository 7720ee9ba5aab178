"""Which overlapping keys matter in fast typing: pairs of letters, weighed by how often they follow each other in text.

In fast typing, a key is often still down when the next one is pressed. Two contacts alone make no phantom, but together
with modifiers' contacts, or as strokes of several contacts, they may. That is weighed here: on the bare matrix, and by
the runtime's rules with the settings of the layout. A key that the runtime opens for a newer one has been closed for
its close time, in which the machine reads it, so no letter is lost.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from importlib.resources import files
from typing import NamedTuple

from matrixmap.check.engine.playing import Hands
from matrixmap.check.engine.strokes import PlanStrokes
from matrixmap.hid.usages import SHIFT_LEFT, SHIFT_RIGHT, Usage
from matrixmap.model.press import Way
from matrixmap.model.words import shown
from matrixmap.press.how_to_type import machine_text
from matrixmap.press.rules import Rules
from matrixmap.press.words import held_word

WHOLE = 10_000
"""The weights of all pairs of a language are parts of this."""
BLANK = "_"
"""Marks the space between words in the table."""
MOST_NAMED = 3
HELD: tuple[tuple[Usage, ...], ...] = ((), (SHIFT_LEFT,), (SHIFT_RIGHT,))
"""What is held throughout: nothing for small letters, a Shift key for capitals."""


class Pair(NamedTuple):
    """Two letters as typed, their weight and ways; whether they make a phantom, bare and by the layout's settings."""

    letters: str
    weight: int
    ways: tuple[Way, Way]
    bare: bool
    left: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Overlapping:
    """Pairs typed with the first key still down when the second is pressed, with one key held throughout, or none.

    `held` is that key in words. Of all pairs of the language, by weight: `typed` can be typed so; `bare` make the
    machine read a further key on the bare matrix; `left` still do so by the runtime's rules with the settings of the
    layout. `worst` are the heaviest of `bare` with their weights; a blank is `_`.
    """

    held: str
    typed: int
    bare: int
    left: int
    worst: tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DigramRisk:
    """The pairs of a language at risk on one layout: small letters, then capitals with each Shift key that it has.

    `listed` is the weight of the pairs that are looked at; rarer pairs are not.
    """

    language: str
    title: str
    listed: int
    rows: tuple[Overlapping, ...]


def digrams_of(language: str) -> Mapping[str, int]:
    """The pairs of a language with their weights, heaviest first; empty for a language without data."""
    text = (files("matrixmap") / "check" / "digrams.txt").read_text(encoding="utf-8")
    _, head, rest = text.partition(f"\n[{language}] ")
    found: dict[str, int] = {}
    for line in rest.split("\n[", 1)[0].splitlines()[1:] if head else ():
        weight, *pairs = line.split(" ")
        found.update((pair[0] + pair[-1], int(weight)) for pair in pairs)
    return found


def digrams_at_risk(strokes: PlanStrokes) -> DigramRisk | None:
    """The pairs of the host's language at risk; None without counts, or if the layout types less than half of them."""
    host = strokes.plan.layout.host
    language = host.id.partition("-")[0]
    digrams = digrams_of(language)
    rows = [_row(strokes, language, held) for held in HELD]
    if rows[0].typed * 2 < WHOLE:
        return None
    capitals = [row for row in rows[1:] if row.typed * 2 >= WHOLE]
    if len(capitals) == 2 and capitals[0] == replace(capitals[1], held=capitals[0].held):
        capitals = [replace(capitals[0], held=held_word(host, SHIFT_LEFT, either=True))]
    return DigramRisk(
        language=language,
        title=host.title.partition(" (")[0],
        listed=sum(digrams.values()),
        rows=(rows[0], *capitals),
    )


def _row(strokes: PlanStrokes, language: str, held: tuple[Usage, ...]) -> Overlapping:
    pairs = list(overlapping(strokes, language, held))
    lying = [pair for pair in pairs if pair.bare]
    return Overlapping(
        held=held_word(strokes.plan.layout.host, held[0]) if held else "",
        typed=sum(pair.weight for pair in pairs),
        bare=sum(pair.weight for pair in lying),
        left=sum(pair.weight for pair in pairs if pair.left),
        worst=tuple((pair.letters, pair.weight) for pair in lying[:MOST_NAMED]),
    )


def overlapping(strokes: PlanStrokes, language: str, held: tuple[Usage, ...]) -> Iterator[Pair]:
    """Each pair that can be typed while keys are held, heaviest first; with a Shift key held, in capitals."""
    bare, rules = (_Overlaps(strokes, rules, held) for rules in (strokes.bare, strokes.rules))
    digrams = digrams_of(language)
    ways = {letter: _way(strokes, language, letter, held) for letter in {letter for pair in digrams for letter in pair}}
    for letters, weight in digrams.items():
        one, other = (ways[letter] for letter in letters)
        if one and other:
            told = "".join(_capital(language, letter) for letter in letters) if held else letters
            yield Pair(told, weight, (one, other), bare.lie(one, other), rules.lie(one, other))


def _way(strokes: PlanStrokes, language: str, letter: str, held: tuple[Usage, ...]) -> Way | None:
    """The easiest single press that types a letter, with Shift exactly if it is held; a blank whatever is held.

    A letter that needs a dead key is left out: its press does not directly follow the letter before.
    """
    char = _capital(language, letter) if held else letter
    text = " " if letter == BLANK else machine_text(strokes.plan.layout.machine, char)
    way = next((way for way in strokes.typed.get(text, ()) if len(way) == 1 and not way[0].on), None)
    shifted = way is not None and any(usage in (SHIFT_LEFT, SHIFT_RIGHT) for usage in way[0].hold)
    return way if letter == BLANK or shifted is bool(held) else None


def _capital(language: str, letter: str) -> str:
    """The capital of a letter in a language."""
    return "İ" if language == "tr" and letter == "i" else letter.upper()


class _Overlaps:
    """Two presses by some rules, the first key still down when the second is pressed; each pair is played once."""

    def __init__(self, strokes: PlanStrokes, rules: Rules, held: tuple[Usage, ...]) -> None:
        self.rules = rules
        self.hands = Hands(strokes.plan, rules)
        self.held = held
        self._alone: dict[Way, bool] = {}

    def lie(self, one: Way, other: Way) -> bool:
        """Whether the second press makes the machine read a further key because of the first, not by itself.

        No key is down twice.
        """
        if one[-1].usage == other[-1].usage:
            return False
        return self._lies((one, other)) and not self._lies_alone(one) and not self._lies_alone(other)

    def _lies_alone(self, way: Way) -> bool:
        if way not in self._alone:
            self._alone[way] = self._lies((way,))
        return self._alone[way]

    def _lies(self, ways: tuple[Way, ...]) -> bool:
        """Whether the machine reads anything that nothing closes, at any moment of the last press."""
        *_, (_, outcome) = self.hands.play(self.held, ways, 0).outcomes
        return any(self.rules.phantoms(closed) & ~outcome.closed for closed in outcome.moments[1:])


def digram_words(risk: DigramRisk) -> str:
    """One sentence on fast typing: of 1,000 pairs of letters, how many make a phantom, and what then happens."""
    fast = f"Fast typing in {risk.title}, with a key still down when the next is pressed: "
    if not any(row.bare for row in risk.rows):
        capitals = ", nor do capitals with Shift held" if len(risk.rows) > 1 else ""
        return f"{fast}no two letters make a phantom together{capitals}."
    told = []
    for row in risk.rows:
        named = ", ".join(f"{' '.join(map(shown, pair))} {_thousandths(weight)}" for pair, weight in row.worst)
        how = f"in capitals with {row.held} held" if row.held else "in small letters"
        told.append(f"{_thousandths(row.bare)} {how}" + (f" (most often {named})" if named else ""))
    left = max(row.left for row in risk.rows)
    then = f"by the rules of this layout up to {_thousandths(left)} still do"
    if not left:
        then = "the runtime then opens the older key, which the machine has already read, so nothing is lost"
    return f"{fast}of 1,000 pairs {', '.join(told)} make a phantom on the bare matrix; {then}."


def _thousandths(weight: int) -> str:
    """A weight as parts of 1,000: `3`, `0.4`."""
    return f"{weight * 1000 / WHOLE:.1f}".removesuffix(".0")
