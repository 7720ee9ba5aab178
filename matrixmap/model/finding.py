"""Findings: what a reading or a check says about the user's data."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum

from matrixmap.model.place import Place
from matrixmap.model.witness import Witness


class Severity(IntEnum):
    """How much a finding matters; a higher number is worse."""

    NOTE = 1
    WARNING = 2
    ERROR = 3

    @property
    def word(self) -> str:
        """The severity as it is printed, in lower case."""
        return self.name.lower()


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One result: the rule's slug, how bad it is, where (None: nowhere in a file), and the text.

    `count` says how many cases the finding covers, 1 for a single one. `witness` is the smallest of them, None if the
    finding is not about keys held together. A lower `likelihood` is a case that is more likely to be met.
    """

    slug: str
    severity: Severity
    place: Place | None
    text: str
    count: int = 1
    witness: Witness | None = None
    likelihood: int = 0

    def sort_key(self) -> tuple[int, str, int, int, str, int, str]:
        """Worst first, then by place, slug, likelihood and text, so that the order is the same on every run."""
        place = self.place
        where = (place.file, place.line, place.column) if place else ("", 0, 0)
        return (-int(self.severity), *where, self.slug, self.likelihood, self.text)
