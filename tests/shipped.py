"""The shipped layouts where each costs a test seconds: which of them it takes in the suite, and which in the campaign alone."""

from __future__ import annotations

from typing import Any
from zlib import crc32

import pytest

from tests.project import sample_ids, shipped_ids

OTHERS = (
    "langet41-en-US-positional",
    "langet41-de-DE-symbolic",
    "ricasso12-fo-de-DE-positional",
    "ricasso12-fo-fo-FO-symbolic",
)
"""Of each further machine a layout of either join: a membrane without a key of Shift, and diodes with a side of Shift of its own."""


SHARES = 6
"""A test that takes a share of the layouts in the suite takes one in so many, each test others."""


def in_suite(id: str, share: str | None = None) -> bool:
    """Whether a test that takes long with each layout takes this one in the suite.

    All layouts of the Quillon 8, and of the other machines those that differ in kind. With the name of a `share` only
    the samples and a sixth of the rest, a sixth of its own, so that among several tests each layout has its turn.
    """
    if id in OTHERS or id in sample_ids():
        return True
    return id.startswith("quillon8-") and (share is None or crc32(f"{share} {id}".encode()) % SHARES == 0)


def costly_ids(share: str | None = None) -> list[Any]:
    """The ids for a test that takes long with each; those that are alike wait for the campaign."""
    return [id if in_suite(id, share) else pytest.param(id, marks=pytest.mark.campaign) for id in shipped_ids()]
