"""All rules by slug: those of reading and those of checking."""

from __future__ import annotations

from matrixmap.board.rules.run import BOARD_RULES
from matrixmap.check.engine import acceptance
from matrixmap.check.engine.record import CheckRule
from matrixmap.check.on_board import ON_BOARD_RULES
from matrixmap.check.rules import (
    adapter,
    basic,
    controllers,
    demands,
    functions,
    hygiene,
    masks,
    modifiers,
    options,
    phantoms,
    reach,
    sequences,
    unfinished,
)
from matrixmap.margins.rules import MARGIN_RULES
from matrixmap.model.rule import Rule
from matrixmap.source.rules import READING_RULES

CHECK_RULES: tuple[CheckRule, ...] = (
    *phantoms.RULES,
    *sequences.RULES,
    *masks.RULES,
    *controllers.RULES,
    *modifiers.RULES,
    *basic.RULES,
    *reach.RULES,
    *options.RULES,
    *adapter.RULES,
    *demands.RULES,
    *hygiene.RULES,
    *unfinished.RULES,
    *functions.RULES,
)
"""The rules about a plan; within one severity a report follows their order, the most harmful first."""


def all_rules() -> tuple[Rule, ...]:
    """Every rule, sorted by slug."""
    rules = (
        *READING_RULES,
        *CHECK_RULES,
        acceptance.ACCEPTANCE_MATCHES_NOTHING,
        acceptance.ACCEPTANCE_COUNTS_WRONG,
        adapter.TABLE_UNSOUND,
        *ON_BOARD_RULES,
        *BOARD_RULES,
        *MARGIN_RULES,
    )
    return tuple(sorted(rules, key=lambda rule: rule.slug))


def known_slugs() -> tuple[str, ...]:
    """The slugs of the rules that a layout may accept."""
    return tuple(rule.slug for rule in all_rules())
