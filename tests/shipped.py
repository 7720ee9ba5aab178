"""The shipped layouts where each costs a test seconds: which of them it takes in the suite, and which in the campaign alone."""

from __future__ import annotations

from collections.abc import Callable, Iterable
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


SHARES = 12
"""A test that takes a share of the layouts in the suite takes one in so many, each test others."""


def in_suite(id: str, share: str | None = None) -> bool:
    """Whether a test that takes long with each layout takes this one in the suite.

    All layouts of the Quillon 8, and of the other machines those that differ in kind. With the name of a `share` only
    the samples and a twelfth of the rest, a twelfth of its own, so that among several tests each layout has its turn.
    """
    if id in OTHERS or id in sample_ids():
        return True
    return id.startswith("quillon8-") and (share is None or crc32(f"{share} {id}".encode()) % SHARES == 0)


def some_of(values: Iterable[Any], share: str, one_in: int) -> list[Any]:
    """Values for a test that takes long with all of them: one in so many in the suite, the others in the campaign.

    Which ones hangs on the value and on the name of the share, so that tests about the same values take others.
    """
    return [value if crc32(f"{share} {value}".encode()) % one_in == 0 else in_campaign(value) for value in values]


def one_of_each(values: Iterable[Any], kind: Callable[[Any], object]) -> list[Any]:
    """Values for a test that takes long with all of them: the first of each kind in the suite, the others in the campaign."""
    seen: set[object] = set()
    found = []
    for value in values:
        found.append(in_campaign(value) if kind(value) in seen else value)
        seen.add(kind(value))
    return found


def seeds_up_to(count: int, whole: int) -> list[Any]:
    """Seeds for a test of random cases: so many in the suite, and the whole number in the campaign."""
    return [*range(count), *map(in_campaign, range(count, whole))]


def in_campaign(value: Any) -> Any:
    """A value, or a tuple of those of several names, that a test takes in the campaign alone."""
    return pytest.param(*(value if isinstance(value, tuple) else (value,)), marks=pytest.mark.campaign)


def costly_ids(share: str | None = None) -> list[Any]:
    """The ids for a test that takes long with each; those that are alike wait for the campaign."""
    return [id if in_suite(id, share) else in_campaign(id) for id in shipped_ids()]
