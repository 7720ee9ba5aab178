"""Two branches against what they come from: where both changed one thing, and differently."""

from __future__ import annotations

from pathlib import Path

import pytest

from matrixmap.compare.comparison import compare_branches
from matrixmap.compare.sides.words import plain
from matrixmap.form.as_text import text_report
from tests.compare.scratch import Scratch, copy_demo
from tests.compare.sides import MACHINE, little, side

LAYOUT = "layouts/quillon8-en-GB-symbolic.yaml"


def clashes(base: dict[str, str], ours: dict[str, str], theirs: dict[str, str]) -> list[tuple[str, ...]]:
    """What both changed: layout, subject, before, here, there."""
    found = compare_branches(side("base", base), side("ours", ours), side("theirs", theirs)).clashes
    return [(clash.layout, *map(plain, (clash.subject, clash.base, clash.ours, clash.theirs))) for clash in found]


def test_one_trigger_changed_in_two_ways() -> None:
    """A trigger to which both gave another stroke is told with all three outcomes."""
    base, ours, theirs = (little(x=f"keys: {{F1: {key}, F2: b}}\n") for key in ("a", "b", "c"))
    assert clashes(base, ours, theirs) == [("x", "F1", "types a", "types b", "types 1")]


def test_two_usages_of_one_key_clash_once() -> None:
    """Backslash has two usages; both branches changed both, and that is one clash."""
    base, ours, theirs = (little(x=f"keys: {{Backslash: {key}}}\n") for key in ("a", "b", "c"))
    assert clashes(base, ours, theirs) == [("x", "Backslash", "types a", "types b", "types 1")]


def test_the_same_change_on_both_branches_is_none() -> None:
    """What both changed alike, and what only one changed, does not clash."""
    base = little(x="keys: {F1: a}\n")
    both, other = little(x="keys: {F1: b}\n"), little(x="keys: {F1: b, F3: c}\n")
    assert clashes(base, both, both) == []
    assert clashes(base, both, other) == []
    assert clashes(base, base, other) == []
    assert clashes(base, little(x="keys: {F1: a, F2: a}\n"), little(x="keys: {F1: a, F3: c}\n")) == []


def test_a_trigger_that_both_added() -> None:
    """A trigger that is new on both branches clashes where it does different things."""
    added = [little(x=f"keys: {{F12: {key}}}\n") for key in ("a", "b + c")]
    assert clashes(little(x=""), *added) == [("x", "F12", "does nothing", "types a", "presses b + c")]


def test_a_rename_here_does_not_hide_or_make_a_clash() -> None:
    """A key that one branch renamed is the same key to the other: only what really differs clashes."""
    base = little(x="keys: {F1: a}\n")
    ours = {name: text.replace("[a, b]", "[aa, b]").replace("  a: {", "  aa: {") for name, text in base.items()}
    ours["layouts/x.yaml"] = ours["layouts/x.yaml"].replace("F1: a", "F1: aa")
    assert clashes(base, ours, little(x="keys: {F1: b}\n")) == []
    theirs = little(x="keys: {F1: b}\n")
    ours["layouts/x.yaml"] = ours["layouts/x.yaml"].replace("F1: aa", "F1: c")
    assert clashes(base, ours, theirs) == [("x", "F1", "types a", "types 1", "types b")]


def test_machines_clash_too() -> None:
    """A key that both moved, each elsewhere, clashes by its lines."""
    base = little(x="")
    moved = [
        {**base, "shared/machines/little.yaml": MACHINE.replace(old, new)}
        for old, new in (
            ("S2: [d, none]", "S2: [none, d]"),
            ("S1: [c, shift]\n    S2: [d, none]", "S1: [d, shift]\n    S2: [c, none]"),
        )
    ]
    assert ("x", "key d", "S2 N0", "S2 N1", "S1 N0") in clashes(base, *moved)


def test_a_layout_gone_here_and_changed_there() -> None:
    """A layout that one branch took out and the other changed clashes as a whole."""
    base, ours, theirs = little(x="", y=""), little(y=""), little(x="keys: {F1: a + b + c}\n", y="")
    assert clashes(base, ours, theirs) == [("x", "the whole layout", "is there", "is gone", "is changed")]
    assert clashes(base, theirs, ours) == [("x", "the whole layout", "is there", "is changed", "is gone")]
    assert clashes(base, ours, ours) == []


@pytest.fixture
def branches(tmp_path: Path) -> Scratch:
    """A repository whose branches main and topic both gave F12 a stroke; topic is checked out."""
    scratch = Scratch(tmp_path / "repo")
    copy_demo(scratch.root)
    scratch.commit("Begin")
    scratch.git("checkout", "--quiet", "-b", "topic")
    scratch.edit(LAYOUT, "host: en-GB", "host: en-GB\nkeys: {F12: a, F10: b}")
    scratch.commit("Ours")
    scratch.git("checkout", "--quiet", "main")
    scratch.edit(LAYOUT, "host: en-GB", "host: en-GB\nkeys: {F12: c, F11: d}")
    scratch.commit("Theirs")
    scratch.git("checkout", "--quiet", "topic")
    return scratch


def test_base_compares_with_where_the_branch_left(branches: Scratch) -> None:
    """`--base main` tells this branch's changes alone, and where main changed the same trigger differently."""
    done = branches.compare("--base", "main")
    assert done.returncode == 0, done.stderr
    assert "F10 did nothing and now types b" in done.stdout
    assert "F11 did" not in done.stdout
    expected = [
        "changed here and in main, each in its own way:",
        "  quillon8-en-GB-symbolic: F12",
        "    before  does nothing",
        "    here    types a",
        "    there   types c",
    ]
    lines = done.stdout.splitlines()
    at = lines.index(expected[0])
    assert lines[at : at + 5] == expected
    named = branches.compare("--base", "main", "topic", "quillon8-en-GB-symbolic")
    assert "    there   types c" in named.stdout.splitlines()


def test_base_refuses_what_is_no_branch(branches: Scratch) -> None:
    """A folder or a file cannot be compared with a merge base."""
    done = branches.compare("--base", "main", LAYOUT)
    assert (done.returncode, done.stdout) == (2, "")
    assert "compares branches" in done.stderr


def test_branches_without_a_common_commit(branches: Scratch) -> None:
    """Histories that never met have no merge base: exit code 2 and a sentence."""
    branches.git("checkout", "--quiet", "--orphan", "stray")
    branches.commit("Another beginning")
    done = branches.compare("--base", "main")
    assert (done.returncode, done.stdout) == (2, "")
    assert "main and HEAD have no common commit" in done.stderr


def test_nothing_clashes_is_said() -> None:
    """Where nothing clashes the report says so."""
    base = little(x="")
    comparison = compare_branches(side("base", base), side("ours", base), side("theirs", base))
    assert list(text_report(comparison, True))[-1] == "nothing was changed differently in theirs"
