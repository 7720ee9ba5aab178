"""Collects the findings of a reading, in the order in which they are met."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from matrixmap.model.finding import Finding
from matrixmap.model.place import Place
from matrixmap.model.rule import Rule
from matrixmap.source.letters import latin, strange


class Report:
    """The findings of one file so far."""

    def __init__(self) -> None:
        self.findings: list[Finding] = []
        # The records that are being read, from the outermost on, as the shapes note them.
        self.outer: list[Any] = []
        self._told: dict[tuple[str, str], tuple[int, list[int]]] = {}

    def add(self, rule: Rule, place: Place, text: str) -> None:
        """Add a finding of a rule at a place."""
        self.findings.append(Finding(slug=rule.slug, severity=rule.severity, place=place, text=text))

    def add_once(self, rule: Rule, place: Place, fault: str) -> None:
        """Add a finding about a name; where the same name stands again, that finding says in which lines."""
        key = (rule.slug, fault)
        if key not in self._told:
            self._told[key] = (len(self.findings), [place.line])
            self.add(rule, place, fault)
            return
        number, lines = self._told[key]
        if place.line not in lines:
            lines.append(place.line)
        again = lines[1:]
        if again and number < len(self.findings):
            more = f"; the same in line{'s' if len(again) > 1 else ''} {named(map(str, again), 6)}"
            self.findings[number] = replace(self.findings[number], text=fault + more)


# Characters that are easily taken for another: a letter and the digit that it looks like, a line and a hyphen.
LOOK_ALIKE = str.maketrans({"l": "1", "i": "1", "|": "1", "o": "0", "_": "-", " ": "-"})


def nearest(name: str, known: Iterable[str]) -> str:
    """`; did you mean X?` for the known name closest to a wrong one, or nothing if none is close."""
    from difflib import get_close_matches  # only wanted once something is wrong

    names = sorted(set(known))
    # Where all names are ASCII, another letter is a slip, and worth its name.
    odd = strange(name) if not name.isascii() and all(other.isascii() for other in names) else ""
    if odd:
        return odd + nearest(latin(name).encode("ascii", "ignore").decode(), names)
    if name in names:
        return f"; did you mean {name}?"
    looks = {other.lower().translate(LOOK_ALIKE): other for other in names}
    same = looks.get(name.lower().translate(LOOK_ALIKE))
    if same is not None:
        return f"; did you mean {same}?"
    found = get_close_matches(name, names, n=1, cutoff=0.55)
    if not found:
        folded = {other.lower(): other for other in names}
        found = [folded[match] for match in get_close_matches(name.lower(), folded, n=1, cutoff=0.55)]
    return f"; did you mean {found[0]}?" if found else ""


def named(names: Iterable[str], limit: int = 12) -> str:
    """Names in a row for a message, cut after a limit with a count of the rest."""
    listed = list(names) or ["none"]
    rest = len(listed) - limit
    return ", ".join(listed[:limit]) + (f" and {rest} more" if rest > 0 else "")
