"""The checks are checked: each promise broken on purpose in the C is noticed."""

from __future__ import annotations

from importlib.resources import files

import pytest

from tests.agree.mutations import EDITS, SOURCE, survivors

FEW_STREAMS = 24
A_FEW = (*EDITS[4::24], *(edit for edit in EDITS if "closed nothing yet" in edit.breaks))


def test_enough_edits_of_every_promise() -> None:
    """There are at least 20 edits, and one for each of P1 to P8."""
    assert len(EDITS) >= 20
    assert {edit.promise for edit in EDITS} >= {f"P{number}" for number in range(1, 9)}


def test_every_edit_has_its_passage() -> None:
    """What an edit replaces stands in the source exactly once."""
    source = files("matrixmap").joinpath("runtime", SOURCE).read_text(encoding="utf-8")
    assert [edit.breaks for edit in EDITS if source.count(edit.old) != 1] == []


def test_a_few_edits_are_noticed() -> None:
    """Every twelfth edit, and that of a latch which has closed nothing yet, makes the comparison fail, and without an edit it passes."""
    assert list(survivors(A_FEW, FEW_STREAMS)) == []


@pytest.mark.campaign
def test_all_edits_are_noticed() -> None:
    """Every edit makes the comparison fail."""
    assert list(survivors(EDITS)) == []
