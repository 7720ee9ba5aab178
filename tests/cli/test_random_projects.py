"""Arbitrary machines and layouts through every command that looks at them, and through the model and the C."""

from __future__ import annotations

from pathlib import Path
from random import Random

import pytest

from tests.cli.test_damaged_files import MODEL, call_in_time, play_both, run_all
from tests.press.machines import random_texts
from tests.project import write_project

COMMANDS: tuple[tuple[str, ...], ...] = (
    ("check", "{id}"),
    ("check", "{id}", "--format", "json", "--all"),
    ("show", "{id}"),
    ("howto", "{id}", "aA1?"),
    ("hold", "{id}", "Shift+KeyA", "KeyB", "AltRight"),
    ("type", "{id}", "a", *MODEL),
    ("draw", "{id}", "--out", "made.svg"),
    ("tidy", "layouts/{id}.yaml", "shared/machines/{id}.yaml"),
)


def run_random(seed: int, folder: Path) -> int:
    """One random project through each command; how many events model and C then played alike."""
    ((id, machine, layout),) = random_texts(1, seed, sequences=seed % 2 == 1)
    write_project(folder, {f"shared/machines/{id}.yaml": machine, f"layouts/{id}.yaml": layout})
    for command in COMMANDS:
        words = [word.format(id=id) for word in command]
        told = f"seed {seed}: {' '.join(words)}"
        call_in_time(words, folder, told)
    return play_both(folder, id, Random(seed).randrange(1_000))


def test_random_projects_are_told(tmp_path: Path) -> None:
    """No machine and layout, whatever they are, end a command with a traceback, and both runtimes play them alike."""
    played, found = run_all(run_random, range(4), tmp_path)
    assert not found
    assert played


@pytest.mark.campaign
@pytest.mark.parametrize("part", range(20))
def test_many_random_projects_are_told(part: int, tmp_path: Path) -> None:
    """The same for 2,000 projects."""
    played, found = run_all(run_random, range(10_000 + 100 * part, 10_100 + 100 * part), tmp_path)
    assert not found
    assert played > 1_000
