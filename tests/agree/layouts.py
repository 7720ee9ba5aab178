"""The layouts that the agreement tests play."""

from __future__ import annotations

from matrixmap.model.plan import Plan
from tests.project import shipped_ids, shipped_plan

FEW = (
    "quillon8-en-US-symbolic",
    "quillon8-en-GB-symbolic",
    "quillon8-de-DE-symbolic",
    "quillon8-fr-FR-symbolic",
    "quillon8-en-US-positional",
    "quillon8-de-DE-positional",
)
"""Both joins, hosts with and without AltGr, a latch worked by Caps Lock: enough for a test that is slow with each."""


def few_plans() -> list[Plan]:
    """The plans of the few."""
    return [shipped_plan(id) for id in FEW]


def all_plans() -> list[Plan]:
    """The plans of all shipped layouts."""
    return [shipped_plan(id) for id in shipped_ids()]
