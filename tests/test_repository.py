"""The repository as it is laid out on any machine: names, ends of lines, and who may use each file."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path, PurePosixPath
from typing import Any

import pytest

from matrixmap.emit.tables.licence import COPYRIGHT, LICENCE
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


def licences(folder: Path) -> Any:
    """What a tool from elsewhere reads in a folder by the specification of REUSE."""
    tools.module("reuse", "reuse (PyPI)")
    words = (sys.executable, "-m", "reuse", "--root", folder, "lint", "--json")
    env = {**os.environ, "REUSE_ENCODING_MODULE": "charset_normalizer"}
    done = subprocess.run(words, env=env, capture_output=True, text=True, timeout=300, check=False)
    assert done.returncode in (0, 1), done.stderr
    return json.loads(done.stdout)


def test_each_file_says_who_may_use_it(tracked: list[PurePosixPath]) -> None:
    """Each file has a licence and a holder of its copyright, by itself or in REUSE.toml; each licence has its text and is used."""
    found = licences(ROOT)
    assert found["summary"]["compliant"], found["non_compliant"]
    own = {path for path in tracked if path.parts[0] != "LICENSES" and path.name not in ("LICENSE", "REUSE.toml")}
    read = {PurePosixPath(file["path"]): file for file in found["files"]}
    # Empty files hold nothing to use.
    assert {path for path in own if (ROOT / path).stat().st_size} <= set(read)
    hosts = [read[path] for path in own if path.parts[:2] == ("shared", "hosts")]
    assert len(hosts) >= 40
    for file in hosts:
        assert {"MIT", "LicenseRef-xkb-data"} <= set(re.findall(r"[\w.-]+", file["spdx_expressions"][0]["value"]))


def test_a_file_that_nobody_answers_for_is_found(tmp_path: Path) -> None:
    """A file in a folder that REUSE.toml does not name is told, and one that names its licence is not."""
    shutil.copy(ROOT / "REUSE.toml", tmp_path)
    shutil.copytree(ROOT / "LICENSES", tmp_path / "LICENSES")
    (tmp_path / "vendor").mkdir()
    (tmp_path / "vendor" / "found.c").write_text("int found;\n")
    (tmp_path / "vendor" / "ours.c").write_text(f"/* {LICENCE} */\n/* {COPYRIGHT} */\nint ours;\n")
    missing = licences(tmp_path)["non_compliant"]
    assert [Path(name).name for name in missing["missing_licensing_info"]] == ["found.c"]
    assert [Path(name).name for name in missing["missing_copyright_info"]] == ["found.c"]


def test_the_licence_is_the_same_everywhere() -> None:
    """LICENSE, the copy under its name, the lines in written C and the text in the runtime's header say one thing."""
    text = (ROOT / "LICENSE").read_text(encoding="utf-8")
    assert (ROOT / "LICENSES" / "MIT.txt").read_text(encoding="utf-8") == text
    title, holder, terms = text.split("\n\n", 2)
    assert title == f"{LICENCE.rpartition(' ')[2]} License"
    assert holder.removeprefix("Copyright (c) ") == COPYRIGHT.partition(": ")[2]
    header = (ROOT / "matrixmap" / "runtime" / "mm_runtime.h").read_text(encoding="utf-8")
    assert "".join(f" * {line}".rstrip() + "\n" for line in terms.splitlines()) in header
    for path in (ROOT / "matrixmap").rglob("*.[ch]"):
        assert path.read_text(encoding="utf-8").startswith(f"/* {LICENCE} */\n/* {COPYRIGHT} */\n"), path.name
