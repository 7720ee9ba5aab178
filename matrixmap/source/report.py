"""Collects the findings of a reading, in the order in which they are met."""

from __future__ import annotations

from collections.abc import Iterable

from matrixmap.model.finding import Finding, Place
from matrixmap.model.rule import Rule


class Report:
    """The findings of one file so far."""

    def __init__(self) -> None:
        self.findings: list[Finding] = []

    def add(self, rule: Rule, place: Place, text: str) -> None:
        """Add a finding of a rule at a place."""
        self.findings.append(Finding(slug=rule.slug, severity=rule.severity, place=place, text=text))


# Characters that are easily taken for another: a letter and the digit that it looks like, a line and a hyphen.
LOOK_ALIKE = str.maketrans({"l": "1", "i": "1", "|": "1", "o": "0", "_": "-", " ": "-"})


def nearest(name: str, known: Iterable[str]) -> str:
    """`; did you mean X?` for the known name closest to a wrong one, or nothing if none is close."""
    from difflib import get_close_matches  # only wanted once something is wrong

    names = sorted(set(known))
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
    listed = list(names)
    rest = len(listed) - limit
    return ", ".join(listed[:limit]) + (f" and {rest} more" if rest > 0 else "")
