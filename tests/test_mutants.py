"""Edits of the package that tests notice: all in the campaign, a few of them in the suite."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.mutants import Edit, all_edits, copy_of_the_project, is_noticed, passes_unedited

NOTICED = [edit for edit in all_edits() if edit.test]
FEW = 90
"""One of so many is tried in the suite."""


@pytest.fixture(scope="module")
def project(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of the project."""
    return copy_of_the_project(tmp_path_factory.mktemp("mutants"))


@pytest.mark.parametrize(
    "edit",
    [pytest.param(edit, marks=[pytest.mark.campaign] if number % FEW else []) for number, edit in enumerate(NOTICED)],
    ids=[edit.name for edit in NOTICED],
)
def test_an_edit_is_noticed(edit: Edit, project: Path) -> None:
    """The test that stands beside an edit fails once the edit is made."""
    assert is_noticed(edit, project)


def test_the_tests_pass_without_an_edit(project: Path) -> None:
    """What fails with an edit passes without it, in the copy too; the edits of the suite."""
    assert passes_unedited(NOTICED[::FEW], project)


def test_each_edit_fits_the_source() -> None:
    """What each edit replaces stands in its file exactly once, and with the edit the file is another and still Python."""
    for edit in all_edits():
        assert edit.old != edit.new
        compile(edit.text(), edit.file, "exec")


def test_every_room_has_edits() -> None:
    """No edit stands twice, each room that decides something has some, and one that no test notices says why."""
    edits = all_edits()
    assert len(set(edits)) == len(edits)
    rooms = {edit.file.split("/")[0] for edit in edits}
    assert rooms >= {"join", "circuit", "press", "check", "emit", "source", "compare", "hid", "simulate"}
    assert all(edit.test or edit.why for edit in edits)
