"""Phantoms by volts: of one set, and of all sets that can be closed, where the guard may be left off only after a proof."""

from __future__ import annotations

import json
from dataclasses import replace
from fractions import Fraction
from itertools import combinations
from pathlib import Path

import pytest

from matrixmap.margins import reads
from matrixmap.margins.facts import Facts, facts_of
from matrixmap.margins.network import Span
from matrixmap.margins.reads import PhantomReads, most_closed, never_by_volts
from matrixmap.margins.shapes import Kinds
from matrixmap.margins.table import Read
from matrixmap.model.machine import Contact, Machine
from tests.board.boards import Edits, checked, edited, project_with, read, text_of
from tests.project import call, write_project

BY_VOLTS: Edits = {
    ("machine", "quillon8"): [
        ("pull_up_ohms: [4230, 5170]", "pull_up_ohms: 4700"),
        ("pull_up_v: [4.75, 5.25]", "pull_up_v: 5"),
        ("driver_low_v: 0.4", "driver_low_v: 0.1"),
        ("reads_low_v: 0.8", "reads_low_v: 2.4"),
        ("reads_high_v: 2\n", "reads_high_v: 2.5\n"),
        ("  leakage_ua: 20", "  leakage_ua: 0"),
    ],
    ("part", "switch-array-8x8"): [("on_ohms: [60, 185]", "on_ohms: [1800, 1800]"), ("leakage_ua: 1", "leakage_ua: 0")],
}
"""A Quillon 8 of narrow thresholds, and switches of 1.8 k: no phantom of three contacts is read, and each press is."""


def facts(edits: Edits) -> tuple[Facts, Machine]:
    """The values of the Ferrule after edits, and the machine without its controllers."""
    board = checked("ferrule", edits)
    assert board.traced is not None
    found = facts_of(board.traced).facts
    assert found is not None
    return found, replace(board.machine, controllers=())


def test_most_closed_counts_keys_and_modifiers() -> None:
    """The rollover of two keys, and both Shifts, Helm and Blazon, with which the latch is in parallel."""
    _, machine = read(project_with({}), "ferrule")
    assert most_closed(machine) == 6
    assert most_closed(replace(machine, scan=replace(machine.scan, rollover=None))) == 64


@pytest.mark.parametrize("most", [3, 4])
def test_never_is_told_only_where_all_sets_show_it(most: int) -> None:
    """On a corner of 3x3 lines each set of up to so many contacts is solved: where never is proven, none reads a phantom, each a press."""
    values, machine = facts(BY_VOLTS)
    proven = 0
    for ohms in range(400, 6000, 400):
        contact = Span(Fraction(ohms), Fraction(ohms))
        made = {at: replace(each, ohms=contact) if at < 64 else each for at, each in values.contacts.items()}
        here = replace(values, contacts=made)
        if not never_by_volts(here, machine, most):
            continue
        proven += 1
        known = PhantomReads("the board", Kinds(here, 8))
        corner = [Contact(row * 8 + column) for row in range(3) for column in range(3)]
        for closed in (set(chosen) for count in range(1, most + 1) for chosen in combinations(corner, count)):
            for contact_there in corner:
                expected = Read.READ if contact_there in closed else Read.NEVER
                assert known.read(closed, contact_there) is expected
    # With four, ohms that keep the phantom high keep the press from being low.
    assert proven == {3: 2, 4: 0}[most]


def test_what_is_not_the_adapters_proves_nothing() -> None:
    """With controllers, an own keyboard that stays on, diodes, or lines driven high, never is not told."""
    values, machine = facts(BY_VOLTS)
    assert never_by_volts(values, machine, 3)
    assert not never_by_volts(values, machine, 6)
    assert not never_by_volts(replace(values, own_keyboard=True), machine, 3)
    assert not never_by_volts(replace(values, how="switch-with-diode"), machine, 3)
    assert not never_by_volts(replace(values, unselected=Span(Fraction(20), Fraction(50))), machine, 3)
    assert not never_by_volts(values, read(project_with({}), "ferrule")[1], 3)


@pytest.mark.parametrize(
    ("ohms", "word"), [("[5, 20]", Read.READ), ("[60, 185]", Read.UNSURE), ("[950, 950]", Read.NEVER)]
)
def test_one_phantom(ohms: str, word: Read) -> None:
    """The fourth corner of three contacts, by the ohms of a contact; a crosspoint that nothing joins is never read."""
    values, _ = facts({("part", "switch-array-8x8"): [("on_ohms: [60, 185]", f"on_ohms: {ohms}")]})
    known = PhantomReads("the board", Kinds(values, 8))
    assert known.read((Contact(0), Contact(8), Contact(9)), Contact(1)) is word
    assert known.read((Contact(0), Contact(8), Contact(9)), Contact(2)) is Read.NEVER
    assert known.read((Contact(0), Contact(9)), Contact(1)) is Read.NEVER


def test_the_bit_of_the_table_follows_the_proof(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The guard is off in a table that is built with an adapter where never is proven, and nowhere else."""
    files = {f"shared/{kind}s/{id}.yaml": edited(text_of(kind, id), pairs) for (kind, id), pairs in BY_VOLTS.items()}
    machine = files["shared/machines/quillon8.yaml"]
    files["shared/machines/quillon8.yaml"] = machine[: machine.index("\ncontrollers:")] + "\n"
    root = write_project(tmp_path, files)
    monkeypatch.chdir(root)
    words = ("build", "quillon8-en-GB-symbolic", "--quiet", "--out")

    def guard(*more: str) -> bool:
        out = f"out{len(list(root.glob('out*')))}"
        assert call(*words, out, *more, cwd=root).returncode == 0
        text = (root / out / "quillon8-en-GB-symbolic.json").read_text(encoding="utf-8")
        return bool(json.loads(text)["guard"])

    assert guard()
    # Two keys and four modifiers are six contacts, of which nothing is proven.
    assert guard("--adapter", "ferrule")
    monkeypatch.setattr(reads, "most_closed", lambda machine: 3)
    assert not guard("--adapter", "ferrule")
    assert guard()
