"""A comparison decides by playing both sides what a change means to the typist."""

from __future__ import annotations

import copy
from collections.abc import Callable

import pytest

from matrixmap.compare.items.presses import pair_changes, press_changes
from matrixmap.compare.layouts import LayoutComparison, all_items, compare_plans
from matrixmap.compare.sides.pair import Pair
from matrixmap.compare.sides.words import plain
from matrixmap.form.comparison import layout_headline
from matrixmap.press.rules import Cause
from matrixmap.press.table import contract
from tests.compare import edits
from tests.compare.sides import compared, little, side
from tests.compare.test_comparison import HOST_FILE, MACHINE_FILE, changed, one, told

SYMBOLIC, POSITIONAL = "quillon8-de-DE-symbolic", "quillon8-de-DE-positional"


def after(layout: str, edit: Callable[[edits.Files], None]) -> LayoutComparison:
    """A shipped layout compared with itself after an edit."""
    files = edits.start("de-DE", layout)
    edited = copy.deepcopy(files)
    edit(edited)
    old, new = edits.plan_of(files, layout), edits.plan_of(edited, layout)
    assert old
    assert new
    return compare_plans(old, new)


def breaking(comparison: LayoutComparison) -> list[str]:
    """The breaking items in words."""
    return [plain(item.words) for item in comparison.items if item.breaking]


def one_shift_key(files: edits.Files) -> None:
    """Takes shift-right out of the modifier shift, so that only one key is left to hold it by."""
    files["machine", "quillon8"]["modifiers"]["shift"] = ["shift-left"]


def test_what_the_guard_now_refuses_is_lost() -> None:
    """A stroke that now makes a phantom with the only key of its modifier is refused: told with the press and why."""
    comparison = after(SYMBOLIC, one_shift_key)
    assert breaking(comparison) == [
        "Shift Alt R typed ↺ and now is refused: it would make a phantom; ↺ can no longer be typed",
        "Shift Alt T typed ▶ and now is refused: it would make a phantom; ▶ can no longer be typed",
    ]
    assert set(comparison.lost) == {"↺", "▶"}
    assert {change.after.cause for change in comparison.presses} == {Cause.PHANTOM}


def test_what_is_refused_no_longer_is_gained() -> None:
    """The other way round the presses are told as before refused, and nothing is breaking about them."""
    files = edits.start("de-DE", SYMBOLIC)
    edited = copy.deepcopy(files)
    one_shift_key(edited)
    old, new = edits.plan_of(edited, SYMBOLIC), edits.plan_of(files, SYMBOLIC)
    assert old
    assert new
    comparison = compare_plans(old, new)
    assert comparison.breaking == 0
    assert set(comparison.gained) == {"↺", "▶"}
    texts = [plain(item.words) for item in comparison.items]
    assert "Shift Alt R was refused: it would make a phantom and now types ↺" in texts


def test_only_the_side_that_no_longer_works_is_told() -> None:
    """Where right Shift alone feeds shift no longer, right Shift A is breaking, and left Shift A is not told."""
    comparison = after(POSITIONAL, one_shift_key)
    texts = breaking(comparison)
    assert "right Shift A typed A and now types a as without Shift" in texts
    assert not [text for text in texts if text.startswith(("Shift A ", "left Shift"))]
    assert comparison.lost == ("↺", "▶")


def test_a_side_that_works_again_is_no_loss() -> None:
    """Back again right Shift A types A; both Shifts together are told as Shift where they change alike."""
    old = little(x="pass: {ShiftLeft: shift}\n".replace("pass", "keys"))
    assert side("x", old).load("x")
    left = changed(little(x=""), "layouts/x.yaml", "symbolic\n", "positional\nkeys: {KeyA: a, ShiftLeft: shift}\n")
    both = changed(left, "layouts/x.yaml", "ShiftLeft: shift}", "ShiftLeft: shift, ShiftRight: shift}")
    there, back = compared(both, left), compared(left, both)
    assert told(there, breaking=True) == [
        "right Shift was shift and now does nothing",
        "right Shift A typed A and now types a as without Shift",
    ]
    assert "right Shift A typed a as without Shift and now types A" in told(back)
    neither = changed(left, "layouts/x.yaml", ", ShiftLeft: shift", "")
    assert "Shift A typed A and now types a as without Shift; A can no longer be typed" in told(compared(both, neither))


def test_an_accent_that_its_dead_key_still_types_is_not_lost() -> None:
    """Without its pairs with Space and itself `^` still comes when the dead key is pressed twice, as the runtime does."""

    def no_pairs(files: edits.Files) -> None:
        composes = files["host", "base"]["composes"]
        composes["^"] = composes["^"].replace("space^ ^^ ", "")

    comparison = after(SYMBOLIC, no_pairs)
    assert comparison.lost == ()
    texts = [plain(item.words) for item in comparison.items]
    assert "^ then Space typed ^ and now types ^ then space; ^ is on ^ then ^" in texts
    assert "^ then ^ typed ^ and now types ^, after which the dead key ^ waits" in texts
    assert not [text for text in texts if "can no longer be typed" in text]


def test_a_function_that_another_key_gives_is_nothing_lost() -> None:
    """A line under types that gives Enter by another key changes no press, and no key that the typist would miss is lost."""
    old = changed(little(x=""), MACHINE_FILE, "S2: [d, none]", "S2: [d, e]")
    old = changed(old, MACHINE_FILE, "  d: {plain: Enter}", "  d: {plain: Enter}\n  e: {plain: Enter}")
    comparison = compared(old, {**old, "layouts/x.yaml": old["layouts/x.yaml"] + "types: {Enter: e}\n"})
    assert comparison.breaking == 0
    assert one(comparison).presses == ()
    assert one(comparison).reach == (7, 7)
    assert layout_headline(one(comparison)) == "no press gives anything else"


def test_a_key_that_nothing_stands_in_for_is_lost() -> None:
    """A key that the file says nothing of is missed, and the key of a modifier unless another one of it is left."""
    old = changed(little(x="keys: {F1: e}\n"), MACHINE_FILE, "S2: [d, none]", "S2: [d, e]")
    assert "no press closes e any more" in told(
        compared(old, {**old, **little(x="")} | {MACHINE_FILE: old[MACHINE_FILE]}), breaking=True
    )


def test_equal_tables_break_nothing() -> None:
    """A machine that says more of what keys type, in a table of the same bytes, changes what nobody gets."""
    old = little(x="")
    new = changed(old, MACHINE_FILE, "  b: {plain: b, shift: B}", "  b: {plain: b, shift: B}\n  shift: {plain: none}")
    comparison = compared(old, new)
    assert comparison.breaking == 0
    assert one(comparison).presses == ()


def test_caps_lock_that_never_mattered_breaks_nothing() -> None:
    """A host that no longer swaps a key's levels is breaking only where Caps Lock gave something else there."""
    old = changed(little(x=""), HOST_FILE, "legends:", "caps: {Enter: shift}\nlegends:")
    enter = changed(old, HOST_FILE, "caps: {Enter: shift}\n", "")
    assert told(compared(old, enter)) == ["Caps Lock on Enter swaps nothing, swapped plain with Shift"]
    assert compared(old, enter).breaking == 0
    letter = changed(old, HOST_FILE, "{Enter: shift}", "{Enter: shift, KeyA: none}")
    assert told(compared(old, letter), breaking=True) == ["Caps Lock on KeyA swaps nothing, swapped plain with Shift"]


def test_two_usages_of_one_key_are_told_once() -> None:
    """Backslash has two usages; a change of both is one item and one change, with both in it."""
    comparison = compared(little(x="keys: {Backslash: a}\n"), little(x="keys: {Backslash: b}\n"))
    assert told(comparison) == ["Backslash typed a and now types b"]
    (change,) = one(comparison).presses
    assert sorted(press.usage for (press,) in change.presses) == [0x31, 0x32]


def test_a_stroke_of_modifiers_alone_is_compared() -> None:
    """A stroke that closes modifiers only presses them; on a machine without a rollover as on any other."""
    files = changed(little(x="keys: {Tab: shift + control}\n"), MACHINE_FILE, "S2: [d, none]", "S2: [d, control]")
    files = changed(files, MACHINE_FILE, "{shift: shift}", "{shift: shift, control: control}")
    files = changed(files, MACHINE_FILE, ", rollover: 2", "")
    plans = [
        edits.compile_plan(side("x", some).load("x").value)
        for some in (files, {**files, **little(x="")} | {MACHINE_FILE: files[MACHINE_FILE]})
    ]  # type: ignore[union-attr, arg-type]
    pair = Pair(plans[0], plans[1])
    items = all_items(pair, press_changes(pair), pair_changes(pair))
    assert [plain(item.words) for item in items if item.breaking] == [
        "Tab pressed shift + control and now does nothing",
        "no press closes control any more",
    ]


@pytest.mark.parametrize("old_fits", [True, False])
def test_a_plan_that_no_table_can_hold_is_compared_by_its_facts(
    old_fits: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What cannot be played is told by what its files say, with the fault; added and removed layouts likewise."""
    small, large = little(x=""), little(x="keys: {F1: a + b, F2: b + a, F3: c + a, F4: a + c, F5: a + d}\n")
    monkeypatch.setattr(contract, "MOST", 4)
    comparison = compared(small, large) if old_fits else compared(large, small)
    layout = one(comparison)
    assert layout.presses == layout.lost == layout.gained == ()
    word = "now presses" if old_fits else "no longer presses"
    assert f"F1 and Shift F1: {word} a + b, lift shift" in told(comparison)
    assert layout.code is not None
    assert (layout.code.fault is None) is not old_fits
    assert layout.breaking == old_fits
    alone = compared({}, large) if old_fits else compared(large, {})
    assert one(alone).reach == (0, 0)


def test_keys_that_the_machine_reads_besides_are_told() -> None:
    """Without the guard a phantom is read, and the press is told as a stroke with what comes with it."""
    files = changed(little(x="keys: {F1: a + b + d}\n"), MACHINE_FILE, "S2: [d, none]", "S2: [d, e]")
    files = changed(files, MACHINE_FILE, ", rollover: 2", "")
    off = changed(files, "layouts/x.yaml", "keys:", "guard: off\nkeys:")
    assert (
        "F1 was refused: it would make a phantom and now presses a + b + d, with which the machine also reads e"
        in told(compared(files, off))
    )
