"""On a machine that has one case of a letter, `howto` and `type` take either case for that one."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.project import call

MACHINE = """
machine: bench
title: Bench
source: made for this test
matrix:
  select: [S0, S1]
  sense: [N0, N1]
  grid:
    S0: [a, b]
    S1: [shift, c]
modifiers: {shift: shift}
types:
  a: {plain: %s}
  b: {plain: %s}
  c: {plain: c, shift: C}
scan: {period_us: 20000, rollover: 2}
"""
LAYOUT = "layout: bench\nmachine: bench\nhost: en-US\njoin: symbolic\n"


@pytest.mark.parametrize(("a", "b"), [("A", "B"), ("a", "b")])
def test_either_case_means_the_one_that_the_machine_has(tmp_path: Path, a: str, b: str) -> None:
    """`aB` is typed as the machine has both; a letter of both cases stays as it is."""
    for folder, text in (("shared/machines", MACHINE % (a, b)), ("layouts", LAYOUT)):
        (tmp_path / folder).mkdir(parents=True)
        (tmp_path / folder / "bench.yaml").write_text(text, encoding="utf-8")
    root = ("--root", str(tmp_path), "--format", "json")
    told = call("howto", "bench", "aBcC", *root)
    assert told.returncode == 0, told.stderr
    assert [step["types"] for step in json.loads(told.stdout)["steps"]] == [a, b, "c", "C"]
    typed = call("type", "bench", "aBcC", *root)
    assert typed.returncode == 0, typed.stderr
    assert json.loads(typed.stdout)["read"] == f"{a}{b}cC"
