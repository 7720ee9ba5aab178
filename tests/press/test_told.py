"""What commands tell a person to press is what works: the faults of earlier versions, one by one."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable
from itertools import combinations
from pathlib import Path

import pytest

from matrixmap.check.counts.overlaps import count_overlaps
from matrixmap.check.engine.strokes import make_strokes
from matrixmap.check.run import check_plan
from matrixmap.emit.tables.keylist import key_list
from matrixmap.hid.usages import by_code
from matrixmap.join.plan import compile_plan
from matrixmap.model.finding import Finding
from matrixmap.model.machine import Machine
from matrixmap.model.plan import Plan
from matrixmap.press.how_to_type import ways_to_type
from matrixmap.press.levels import levels_of
from tests.project import ROOT, call, open_folders, read_layout, shipped_plan, write_project
from tests.shipped import costly_ids

POSITIONAL = "quillon8-en-US-positional"


def how(id: str, text: str, cwd: Path | None = None) -> dict[str, object]:
    """The step of `howto` for one character."""
    steps = json.loads(call("howto", id, text, "--format", "json", cwd=cwd).stdout)["steps"]
    assert len(steps) == 1
    return steps[0]


def plan_in(root: Path, text: str) -> Plan:
    """The plan of a layout of a project of its own."""
    write_project(root, {"layouts/mine.yaml": f"layout: mine\n{text}"})
    return compile_plan(read_layout(open_folders(root), "mine"))


def found(plan: Plan, slug: str) -> list[Finding]:
    """The findings of one rule."""
    return [each for each in check_plan(plan).findings if each.slug == slug]


@pytest.mark.parametrize(("id", "alt"), [(POSITIONAL, "left Alt"), ("quillon8-de-DE-positional", "Alt")])
def test_howto_names_the_side_of_shift_where_one_alone_works(id: str, alt: str) -> None:
    """Left Shift, Alt and R are refused for a phantom; the right Shift works, and no other way is told."""
    step = how(id, "↺")
    assert step["press"] == f"right Shift {alt} R"
    assert step["presses"][0]["hold"] == ["AltLeft", "ShiftRight"]
    assert "ShiftRight" not in step["presses"][0]["either_side"]
    assert step["others"] == []
    assert how(id, "★")["press"] == f"Shift {alt} C"


def test_a_way_that_nothing_makes_work_is_no_way(tmp_path: Path) -> None:
    """With both Shift keys on the left one's contact the turned arrow cannot be typed: howto and check say so."""
    plan = plan_in(tmp_path, "base: quillon8-positional\nhost: en-US\nkeys: {ShiftRight: shift-left}\n")
    done = call("howto", "mine", "↺", cwd=tmp_path)
    assert done.returncode == 1
    assert "cannot be typed" in done.stdout
    assert [re.findall("[↺▶]", each.text) for each in found(plan, "unreachable-character")] == [["↺", "▶"]]


def test_a_modifier_of_the_trigger_that_feeds_the_machine_counts(tmp_path: Path) -> None:
    """Control feeds Helm, so that Control and the line close a third contact: it is an error, and howto has another way."""
    text = "base: quillon8-symbolic\nhost: el-GR\nstand_in: en-US\nkeys: {Control+KeyQ: shift + comma}\n"
    lying = found(plan_in(tmp_path, text), "stroke-makes-phantom")
    assert [(each.severity.word, each.place.line) for each in lying if each.place] == [("error", 5)]
    assert lying[0].text.startswith("hold Control, press ;: shift + comma closes S0/N0, S3/N0 and S3/N7")
    assert how("mine", "<", tmp_path)["press"] == "Shift ,"


RIGHT_SIDES = """machine: quillon8
host: en-US
join: positional
keys: {Digit1: d1, KeyA: a, ControlRight: blazon, ControlLeft: helm, AltRight: shift-left}
"""


def test_right_keys_as_modifiers_of_the_machine(tmp_path: Path) -> None:
    """Right Alt and right Control may be any modifier, and their left ones another."""
    plan_in(tmp_path, RIGHT_SIDES)
    assert [how("mine", text, tmp_path)["press"] for text in "⚀!A"] == ["right Control 1", "right Alt 1", "right Alt A"]


def test_a_modifier_that_only_a_latch_closes(tmp_path: Path) -> None:
    """Where no key feeds Blazon, Caps Lock that works the latch is the way to pictures."""
    plan_in(
        tmp_path, "machine: quillon8\nhost: en-US\njoin: positional\nlocks: {CapsLock: blazon-latch}\nkeys: {KeyB: b}\n"
    )
    assert how("mine", "□", tmp_path)["press"] == "Caps Lock on, B"
    assert how("mine", "b", tmp_path)["press"] == "B"


def test_a_lock_saves_holding_a_key_that_is_no_modifier(tmp_path: Path) -> None:
    """Where F1 feeds Blazon, both are told: F1 held with B, and Caps Lock that works the latch, with nothing held."""
    plan = plan_in(
        tmp_path,
        "machine: quillon8\nhost: en-US\njoin: positional\nlocks: {CapsLock: blazon-latch}\nkeys: {KeyB: b, F1: blazon}\n",
    )
    ways = {(press.hold, press.on) for (press,) in ways_to_type(plan)["□"]}
    assert ways == {(by_code("F1"), ()), ((), by_code("CapsLock"))}


def test_keys_that_hardly_any_keyboard_has_reach_nothing(tmp_path: Path) -> None:
    """B1 on F13 alone is not reached by a keyboard of the host's form, and both findings name the key."""
    plan = plan_in(tmp_path, "machine: quillon8\nhost: en-US\njoin: symbolic\nkeys: {F13: b1}\n")
    assert "B1 by F13" in found(plan, "unreachable-function")[0].text
    larger = [each.text for each in found(plan, "needs-larger-keyboard")]
    assert "only keys that are missing on a keyboard of the form ansi-104 type B1 (F13)" in larger
    assert "few keyboards have" in call("howto", "mine", "-f", "B1", cwd=tmp_path).stdout


def test_a_key_of_another_form_reaches_nothing(tmp_path: Path) -> None:
    """ANSI boards have no key beside the left Shift: what stands there alone is not reached."""
    plan = plan_in(tmp_path, "machine: quillon8\nhost: en-US\njoin: positional\nkeys: {IntlBackslash: a, KeyB: b}\n")
    assert "a by IntlBackslash" in found(plan, "unreachable-character")[0].text


def test_what_is_printed_comes_first() -> None:
    """The Dutch dead key of the circumflex has only the diaeresis on it: howto says so, and what is printed is told without a word."""
    from matrixmap.press.how_to_type import ways_to_type

    ways = ways_to_type(shipped_plan("quillon8-nl-NL-symbolic"))
    assert (ways["@"][0][-1].printed, ways["^"][0][-1].printed) == (True, False)
    assert any(not way[-1].printed for way in ways["@"][1:])
    told = call("howto", "quillon8-nl-NL-symbolic", "^@").stdout.splitlines()
    assert ["not printed" in line for line in told] == [True, False]


def test_states_that_the_guard_refuses_are_unreachable() -> None:
    """Keys that are a corner with two modifiers held are told for that state, unless a line holds the right Shift for them."""
    plan = shipped_plan("quillon8-de-DE-symbolic")
    told = {
        each.text.split(" held: ")[0]: each.text.split(" held: ")[1].split(", ")
        for each in found(plan, "unreachable-state")
    }
    corners = {"shift + helm": {"b", "comma"}, "helm + blazon": {"o", "left"}, "shift + blazon": {"r", "t"}}
    for state, keys in corners.items():
        for key in keys:
            names = ["shift-left", "helm", "blazon"]
            closed = [key, *(name for name in names if name.split("-")[0] in state)]
            assert makes_phantom(plan.layout.machine, closed), closed
    assert corners["shift + helm"] <= set(told["nobody can press with shift + helm"])
    assert corners["helm + blazon"] <= set(told["nobody can press with helm + blazon"])
    # A line holds the right Shift for these.
    assert not corners["shift + blazon"] & set(told["nobody can press with shift + blazon"])


def makes_phantom(machine: Machine, names: Iterable[str]) -> bool:
    """Whether keys that are closed together make the machine read another, by every two lines of either side."""
    points = {machine.lines(machine.key(name).contact) for name in names} - {None}
    return any(
        len({(one, left), (one, right), (two, left), (two, right)} & points) == 3
        for one, two in combinations({select for select, _ in points}, 2)
        for left, right in combinations({sense for _, sense in points}, 2)
    )


def test_show_names_keys_that_only_strokes_close() -> None:
    """The right Shift of the machine is closed by strokes alone, and show says by which."""
    cells = json.loads(call("show", "quillon8-en-GB-symbolic", "--format", "json").stdout)["matrix"]
    cell = next(each for row in cells for each in row if each["key"] == "shift-right")
    assert (cell["reached_by"], cell["held_by_strokes_of"]) == ([], ["KeyR", "KeyT"])
    assert "(strokes of KeyR, KeyT)" in call("show", "quillon8-en-GB-symbolic").stdout


def test_pairs_are_counted_as_people_press_them() -> None:
    """Without a modifier no two keys of the demo lie; with any one of them 141 do, with some of them 894."""
    overlaps = count_overlaps(make_strokes(shipped_plan(POSITIONAL)))
    counts = {row.held: (row.pairs, row.lying) for row in overlaps.by_held}
    assert counts == {"": (1830, 0), **dict.fromkeys(("Shift", "Control", "left Alt"), (1830, 141))}
    assert (overlaps.pairs, overlaps.lying) == (1830, 894)
    assert "Shift 141 of 1830" in call("check", POSITIONAL, "--all").stdout


def test_pairs_that_lie_are_those_of_geometry() -> None:
    """The same by looking at every pair of keys with every set of modifier keys, of which only the left Shift has a twin."""
    machine = shipped_plan(POSITIONAL).layout.machine
    modifiers = [name for modifier in machine.modifiers for name in modifier.keys]
    pairs = list(combinations([key.name for key in machine.keys if key.name not in modifiers], 2))
    assert len(pairs) == 1830
    sets = [chosen for count in range(1, len(modifiers) + 1) for chosen in combinations(modifiers, count)]
    for name in modifiers:
        assert sum(makes_phantom(machine, (*pair, name)) for pair in pairs) == 141
    assert sum(any(makes_phantom(machine, (*pair, *held)) for held in sets) for pair in pairs) == 894


def test_the_rule_that_opens_a_key_is_named() -> None:
    """Of three keys the machine can tell two apart, which is said once for all sets of three; of two with Shift the guard opens one."""
    findings = check_plan(shipped_plan("quillon8-de-DE-symbolic")).findings
    (three,) = (each for each in findings if each.slug == "three-keys-make-phantom")
    assert three.text.startswith(
        "the machine can tell 2 keys apart, and the runtime never closes more at once; with more keys "
    )
    assert three.count > 2000
    assert f" {three.count} sets of contacts would make a phantom" in three.text
    two = [each.text for each in findings if each.slug == "two-keys-make-phantom"]
    assert sum("the guard opens the older key" in text for text in two) > 300
    one = [each.text for each in findings if each.slug == "modifier-makes-phantom"]
    assert one
    assert not any("the press is lost" in text for text in one)
    assert any("held before them, it opens when they close" in text for text in one)


def test_the_key_list_of_a_positional_layout_tells_shift() -> None:
    """Shift+KeyA types A there, and its JSON says so."""
    rows = (ROOT / "generated" / f"{POSITIONAL}.md").read_text(encoding="utf-8").splitlines()
    assert "| KeyA | a (a) | A (a) |" in rows
    triggers = json.loads((ROOT / "generated" / f"{POSITIONAL}.json").read_text(encoding="utf-8"))["triggers"]
    assert [each["types"] for each in triggers if each["trigger"] == "Shift+KeyA"] == ["A"]


@pytest.mark.parametrize("id", costly_ids("lists"))
def test_a_key_is_listed_once(id: str) -> None:
    """No key list and no show names one key twice, and no finding names it beside itself."""
    text = key_list(levels_of(shipped_plan(id)), "", "matrixmap")
    names = re.findall(r"^\| (\w+) \|", text, re.MULTILINE)
    keys = [name for name in names if name not in ("key", "keypad", "dead")]
    main = keys[: keys.index("Numpad1")] if "Numpad1" in keys else keys
    assert main.count("Backslash") <= 1
    assert "Backslash, Backslash" not in call("show", id).stdout


SLOW = "\n".join(
    line
    for line in (ROOT / "shared" / "machines" / "quillon8.yaml").read_text(encoding="utf-8").splitlines()
    if "rollover" not in line
)


@pytest.mark.parametrize(
    "command", [("check", "mine"), ("compare", ".", "."), ("howto", "mine", "a"), ("show", "mine")]
)
def test_a_stroke_of_modifiers_alone(tmp_path: Path, command: tuple[str, ...]) -> None:
    """Tab that holds shift and helm and presses nothing is told by every command, on a machine without rollover too."""
    files = {
        "shared/machines/slow.yaml": SLOW.replace("machine: quillon8", "machine: slow"),
        "layouts/mine.yaml": "layout: mine\nmachine: slow\nhost: en-US\njoin: symbolic\nkeys: {Tab: shift + helm}\n",
    }
    done = call(*command, cwd=write_project(tmp_path, files))
    assert done.returncode in (0, 1), done.stderr
