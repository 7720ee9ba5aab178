"""Mistakes that people make, each in a small project, with what the program prints: `mistakes.md`.

After a change of the messages: MATRIXMAP_BLESS=1 pytest tests/source/test_mistakes.py, then read the difference.
"""

from __future__ import annotations

import os
import re
import shutil
from dataclasses import dataclass
from pathlib import Path

import pytest

from matrixmap.source.folder import DiskFolder
from tests.project import call

TABLE = Path(__file__).parent / "mistakes.md"
PROJECT = Path(__file__).parent / "mistakes"
FILES = {
    "machine": "shared/machines/corner.yaml",
    "host": "shared/hosts/bench.yaml",
    "layout": "layouts/corner-bench.yaml",
}
FEWEST = 80
COMMAND = "matrixmap check corner-bench"
CASE = re.compile(
    r"## (?P<title>[^\n]+)\n\n(?:In the (?P<kind>machine|host|layout):\n\n```diff\n(?P<edit>.*?)```\n\n)?"
    r"(?:(?P<rename>The file ends in `.yml`)\.\n\n)?"
    r"`(?P<command>matrixmap [^`]+)` prints:\n\n```text\n(?P<told>.*?)```\n",
    re.DOTALL,
)


@dataclass(frozen=True)
class Mistake:
    """A mistake: what a person changed in which file, the command that is then run, and what it is expected to print."""

    title: str
    kind: str | None
    edit: str
    renamed: bool
    command: str
    told: str
    span: tuple[int, int]


def mistakes() -> list[Mistake]:
    """The mistakes of the table, in its order."""
    found = CASE.finditer(TABLE.read_text(encoding="utf-8"))
    return [
        Mistake(
            title=case["title"],
            kind=case["kind"],
            edit=case["edit"] or "",
            renamed=bool(case["rename"]),
            command=case["command"],
            told=case["told"],
            span=case.span("told"),
        )
        for case in found
    ]


def edited(text: str, edit: str) -> str:
    """A text with the lines of an edit: those with - replaced by those with +; `<TAB>`, `<U+00A0>` and the like stand for themselves."""
    old, new = ("".join(line[1:] + "\n" for line in edit.splitlines() if line.startswith(sign)) for sign in ("-", "+"))
    new = re.sub(r"<U\+([0-9A-F]{4,5})>", lambda point: chr(int(point[1], 16)), new).replace("<TAB>", "\t")
    assert text.count(old) == 1, f"the lines to change stand there {text.count(old)} times"
    return text.replace(old, new)


def printed(mistake: Mistake, folder: Path, monkeypatch: pytest.MonkeyPatch) -> tuple[int, str]:
    """Exit code and output of the command in a project with the mistake, and with no shipped files behind it."""
    shutil.copytree(PROJECT, folder, dirs_exist_ok=True)
    if mistake.kind:
        path = folder / FILES[mistake.kind]
        path.write_text(edited(path.read_text(encoding="utf-8"), mistake.edit), encoding="utf-8")
        if mistake.renamed:
            path.rename(path.with_suffix(".yml"))
    monkeypatch.setattr("matrixmap.source.folder.shipped_folder", lambda: DiskFolder(folder / "none", shown="shipped:"))
    done = call(*mistake.command.split()[1:], cwd=folder)
    return done.returncode, done.stderr + done.stdout


@pytest.mark.parametrize("mistake", mistakes(), ids=lambda mistake: mistake.title)
def test_a_mistake_is_told_in_these_words(mistake: Mistake, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The program prints exactly what stands in the table, and does not end well."""
    code, told = printed(mistake, tmp_path, monkeypatch)
    if os.environ.get("MATRIXMAP_BLESS") == "1":
        assert os.environ.get("CI") != "true", "expectations are not rewritten in CI"
        bless(mistake, told)
    else:
        assert told == mistake.told
    assert told
    assert code in (1, 2)
    assert "Traceback" not in told


def bless(mistake: Mistake, told: str) -> None:
    """Writes into the table what is told now."""
    text = TABLE.read_text(encoding="utf-8")
    now = next(found for found in mistakes() if found.title == mistake.title)
    start, end = now.span
    TABLE.write_text(text[:start] + told + text[end:], encoding="utf-8", newline="\n")


def test_the_table_is_long_and_each_mistake_has_its_name() -> None:
    """There are enough mistakes, none is lost on the way from the table, and no title stands twice."""
    titles = [mistake.title for mistake in mistakes()]
    assert titles == re.findall(r"(?m)^## (.+)$", TABLE.read_text(encoding="utf-8"))
    assert len(set(titles)) == len(titles) >= FEWEST


def test_without_a_mistake_the_project_reads(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What the table tells comes from the mistake: the project itself has no finding of reading."""
    right = Mistake(title="", kind=None, edit="", renamed=False, command=COMMAND, told="", span=(0, 0))
    code, told = printed(right, tmp_path, monkeypatch)
    assert code != 2
    assert "corner.yaml:" not in told.replace("shared/machines/corner.yaml:12", "")
