"""Collects the findings of a reading, in the order in which they occur."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from itertools import islice
from typing import Any

from matrixmap.limits import FINDINGS, MESSAGE_CHARACTERS, SUGGESTIONS
from matrixmap.model.finding import Finding
from matrixmap.model.place import Place
from matrixmap.model.rule import Rule
from matrixmap.source import rules
from matrixmap.source.letters import latin, strange


class Report:
    """The findings of one file so far."""

    def __init__(self) -> None:
        self.findings: list[Finding] = []
        # The records being read, from the outermost on; the shapes maintain this list.
        self.outer: list[Any] = []
        self._told: dict[tuple[str, str], _Told] = {}
        self._suggestions = [SUGGESTIONS]

    def add(self, rule: Rule, place: Place, text: str) -> None:
        """Adds a finding of a rule at a place; a text that is too long loses its middle."""
        if len(text) > MESSAGE_CHARACTERS:
            text = f"{text[: MESSAGE_CHARACTERS // 2]} ... {text[-MESSAGE_CHARACTERS // 2 :]}"
        self.findings.append(Finding(slug=rule.slug, severity=rule.severity, place=place, text=text))

    def add_once(self, rule: Rule, place: Place, fault: str) -> None:
        """Adds a finding about a name. If the name occurs again, this finding lists those lines, too."""
        told = self._told.get((rule.slug, fault))
        if told is None:
            self._told[rule.slug, fault] = _Told(number=len(self.findings), lines={place.line: None})
            self.add(rule, place, fault)
        elif place.line not in told.lines and told.number < len(self.findings):
            told.lines[place.line] = None
            again = list(islice(told.lines, 1, LISTED_LINES + 1))
            more = f"; the same in line{'s' if len(told.lines) > 2 else ''} {', '.join(map(str, again))}"
            rest = len(told.lines) - 1 - len(again)
            more += f" and {rest} more" if rest else ""
            self.findings[told.number] = replace(self.findings[told.number], text=fault + more)

    def nearest(self, name: str, known: Iterable[str]) -> str:
        """`; did you mean X?`, see `nearest`; only for the first names of a reading, because the search is slow."""
        if not self._suggestions[0]:
            return ""
        self._suggestions[0] -= 1
        return nearest(name, known)

    def trial(self) -> Report:
        """A report for a tentative reading with findings that may not count; its suggestions do count."""
        report = Report()
        report._suggestions = self._suggestions
        return report


LISTED_LINES = 6
"""The most lines that a finding about a repeated name lists; the rest are counted."""


@dataclass(slots=True)
class _Told:
    """A finding about a name: its number, and the lines with the name, in order."""

    number: int
    lines: dict[int, None]


def listed(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Findings in order, cut after a limit; a last finding then says how many more there are."""
    found = list(findings)
    ends = [finding for finding in found if finding.slug == rules.TOO_MANY_FINDINGS.slug]
    kept = [finding for finding in found if finding.slug != rules.TOO_MANY_FINDINGS.slug]
    more = sum(finding.count for finding in ends) + max(len(kept) - FINDINGS, 0)
    if not more:
        return tuple(kept)
    rule, place = rules.TOO_MANY_FINDINGS, (kept[FINDINGS].place if len(kept) > FINDINGS else ends[0].place)
    text = f"{more} more finding{'s are' if more > 1 else ' is'} not listed; correct the first ones, then check again"
    end = Finding(slug=rule.slug, severity=rule.severity, place=place, text=text, count=more)
    return (*kept[:FINDINGS], end)


# Characters that are easily confused: a letter and a similar digit, a line and a hyphen.
LOOK_ALIKE = str.maketrans({"l": "1", "i": "1", "|": "1", "o": "0", "_": "-", " ": "-"})


def nearest(name: str, known: Iterable[str]) -> str:
    """`; did you mean X?` with the known name closest to a wrong one, or nothing if none is close."""
    from difflib import get_close_matches  # only needed after a fault

    names = sorted(set(known))
    # If all names are ASCII, a foreign letter is a slip, and the message names it.
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
    """Names in a row for a message, cut after a limit, with a count of the rest."""
    listed = list(names) or ["none"]
    rest = len(listed) - limit
    return ", ".join(listed[:limit]) + (f" and {rest} more" if rest > 0 else "")
