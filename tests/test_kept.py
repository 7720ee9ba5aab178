"""Projects that keep what they read find what others find, and read what has changed."""

from __future__ import annotations

from pathlib import Path

import pytest

from matrixmap.source.kinds import project
from tests.kept import KEPT, kept
from tests.project import call, open_folders, shipped_ids, write_project


def test_what_is_kept_is_what_is_read() -> None:
    """All shipped layouts read with what was kept are those that a project reads that keeps nothing."""
    plain, first = open_folders(), open_folders()
    with kept():
        for id in shipped_ids():
            first.layout(id)
        second = open_folders()
        assert all(second.layout(id) == plain.layout(id) for id in shipped_ids())
        machines = [each for each in (second.machine(id) for id in second.ids("machine")) if each]
        assert machines
        assert all(
            each.value is not None and each.value is again.value
            for each in machines
            if (again := first.machine(each.value.id))
        )


def test_a_changed_file_is_read_anew(tmp_path: Path) -> None:
    """A call sees what the file says now, also where a call before it has read the file."""
    file = "shared/hosts/own.yaml"
    host = "host: own\ntitle: {}\nsource: made for this test\nbase: en-US\nform: ansi-104\n"
    for title in ("One", "Other", "One"):
        write_project(tmp_path, {file: host.format(title)})
        assert f'"title": "{title}"' in call("list", "--format", "json", cwd=tmp_path).stdout


@pytest.mark.parametrize(
    ("host", "fault"), [("en-XX", "en-XX"), ("'en-US", "quote")], ids=["of what is named", "of YAML itself"]
)
def test_findings_are_told_each_time(tmp_path: Path, host: str, fault: str) -> None:
    """A file with a fault is not kept: each call tells of it."""
    write_project(tmp_path, {"layouts/bad.yaml": f"layout: bad\nmachine: quillon8\nhost: {host}\njoin: symbolic\n"})
    told = [call("check", "bad", cwd=tmp_path) for _ in range(2)]
    assert told[0].returncode == 2
    assert fault in told[0].stderr + told[0].stdout
    assert (told[0].stdout, told[0].stderr) == (told[1].stdout, told[1].stderr)


def test_only_calls_keep() -> None:
    """Outside of them the functions of the project are its own."""
    with kept():
        assert all(getattr(project, one.name) is one for one in KEPT)
    assert all(getattr(project, one.name) is one.function for one in KEPT)
