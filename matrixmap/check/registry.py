"""All rules by slug: those of reading and those of checking."""

from __future__ import annotations

from matrixmap.model.rule import Rule
from matrixmap.source.rules import READING_RULES


def all_rules() -> tuple[Rule, ...]:
    """Every rule, sorted by slug."""
    return tuple(sorted(READING_RULES, key=lambda rule: rule.slug))


def known_slugs() -> tuple[str, ...]:
    """The slugs of the rules that a layout may accept."""
    return tuple(rule.slug for rule in all_rules())
