"""The repository as it is laid out on any machine: names, ends of lines, and who may use each file."""

from __future__ import annotations

import subprocess
from pathlib import Path, PurePosixPath

import pytest

from tests import tools
from tests.project import ROOT
from tests.source.test_broken import DEVICES


def git(*words: str) -> list[str]:
    """What git prints of this repository, split at its zero bytes."""
    if not (ROOT / ".git").exists():
        tools.missing("the repository (these files are from elsewhere)")
    done = subprocess.run([tools.tool("git"), *words], cwd=ROOT, capture_output=True, text=True, check=True)
    return done.stdout.split("\0")[:-1]


@pytest.fixture(scope="module")
def tracked() -> list[PurePosixPath]:
    """All files that git holds or would take in."""
    names = git("ls-files", "-z", "--cached", "--others", "--exclude-standard", "--deduplicate")
    return [PurePosixPath(name) for name in names if (ROOT / name).is_file()]


def test_each_name_is_a_name_on_windows(tracked: list[PurePosixPath]) -> None:
    """No file or folder is a device by its name before the first dot, or holds a character that Windows refuses."""
    for path in tracked:
        for part in path.parts:
            assert part.partition(".")[0].upper() not in DEVICES, path
            assert not set(part) & set('<>:"\\|?*'), path
            assert not part.endswith((".", " ")), path


def test_no_two_names_differ_in_case_only(tracked: list[PurePosixPath]) -> None:
    """Windows and macOS would check out one of them."""
    names = {str(path).lower() for path in tracked}
    assert len(names) == len(tracked)


BINARY = {".png", ".wasm"}
"""Endings of the files that hold no text; `.gitattributes` names more, for those that may come."""


def test_text_has_line_feeds_on_every_machine(tracked: list[PurePosixPath]) -> None:
    """Git writes each text file with line feeds, whatever the machine's own end of a line is, and leaves each binary file alone."""
    words = git("check-attr", "-z", "text", "eol", "--", *map(str, tracked))
    attributes: dict[str, dict[str, str]] = {}
    for name, attribute, value in zip(words[::3], words[1::3], words[2::3], strict=True):
        attributes.setdefault(name, {})[attribute] = value
    assert len(attributes) == len(tracked)
    for path in tracked:
        found = attributes[str(path)]
        if path.suffix in BINARY:
            assert found["text"] == "unset", path
        else:
            assert found["eol"] == "lf", path
            # Sure of the forms that the project lives of; `auto` looks at the bytes.
            assert found["text"] == ("set" if path.suffix in {".c", ".h", ".yaml", ".md", ".py"} else "auto"), path


def test_a_checkout_with_the_ends_of_lines_of_windows_has_the_same_bytes(
    tracked: list[PurePosixPath], tmp_path: Path
) -> None:
    """With `core.autocrlf` git writes no carriage return either, so that hashes of a build and stored reports stay true."""
    git("-c", "core.autocrlf=true", "checkout-index", "--all", "--force", f"--prefix={tmp_path}/")
    there = [path for path in tracked if (tmp_path / path).is_file() and path.suffix not in BINARY]
    assert len(there) > 1000
    assert [path for path in there if b"\r" in (tmp_path / path).read_bytes()] == []
