"""The shipped layouts where each costs seconds: all of the Quillon 8 in the suite, some of the other machines, the rest in the campaign."""

from __future__ import annotations

from typing import Any

import pytest

from tests.project import shipped_ids

OTHERS = (
    "langet41-en-US-positional",
    "langet41-de-DE-symbolic",
    "ricasso12-fo-de-DE-positional",
    "ricasso12-fo-fo-FO-symbolic",
)
"""Of each further machine a layout of either join: a membrane without a key of Shift, and diodes with a side of Shift of its own."""


def in_suite(id: str) -> bool:
    """Whether a test that takes long with each layout takes this one in the suite."""
    return id in OTHERS or id.startswith("quillon8-")


def costly_ids() -> list[Any]:
    """The ids for a test that takes long with each; those that are alike wait for the campaign."""
    return [id if in_suite(id) else pytest.param(id, marks=pytest.mark.campaign) for id in shipped_ids()]
