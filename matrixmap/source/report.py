"""Collects the findings of a reading, in the order in which they are met."""

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
        # The records that are being read, from the outermost on, as the shapes note them.
        self.outer: list[Any] = []
        self._told: dict[tuple[str, str], _Told] = {}
        self._suggestions = [SUGGESTIONS]

    def add(self, rule: Rule, place: Place, text: str) -> None:
        """Add a finding of a rule at a place; a text that repeats a long one of the file is cut in its middle."""
        if len(text) > MESSAGE_CHARACTERS:
            text = f"{text[: MESSAGE_CHARACTERS // 2]} ... {text[-MESSAGE_CHARACTERS // 2 :]}"
        self.findings.append(Finding(slug=rule.slug, severity=rule.severity, place=place, text=text))

    def add_once(self, rule: Rule, place: Place, fault: str) -> None:
        """Add a finding about a name; where the same name stands again, that finding says in which lines."""
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
        """`; did you mean X?` as `nearest` has it, for the first names of a reading: looking for it takes long."""
        if not self._suggestions[0]:
            return ""
        self._suggestions[0] -= 1
        return nearest(name, known)

    def trial(self) -> Report:
        """A report for a reading whose findings may not count; what it suggests does."""
        report = Report()
        report._suggestions = self._suggestions
        return report


LISTED_LINES = 6
"""Lines that a finding about a name which stands in many of them lists; the rest are counted."""


@dataclass(slots=True)
class _Told:
    """A finding about a name: its number, and the lines in which the name stands, in order."""

    number: int
    lines: dict[int, None]


def listed(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Findings in order, of a great many only the first; one at the end then says how many more there are."""
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
