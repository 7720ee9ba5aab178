"""Tables: the bytes that C holds are those of the plan, and an independent reader gets the plan back."""

from __future__ import annotations

import ctypes
import re
from collections import Counter
from dataclasses import replace
from pathlib import Path

import pytest

from matrixmap.emit.tables.build import build_files
from matrixmap.emit.tables.figures import figures_of
from matrixmap.hid.usages import Usage
from matrixmap.join.dead import DROPPING, KEEPING
from matrixmap.join.plan import compile_plan
from matrixmap.model.host import CapsLock
from matrixmap.model.machine import Contact, Machine
from matrixmap.model.plan import Command, Demand, Feed, Latch, Nothing, Plan, Stroke, Trigger
from matrixmap.press.table.make import TableError, make_table
from matrixmap.source.kinds import layout as layout_reader
from tests.emit.compiled import table_bytes
from tests.emit.table_reader import KEYPAD, Answer, Read, read_table
from tests.project import open_folders, read_layout, shipped_ids, shipped_plan, write_project
from tests.shipped import costly_ids


@pytest.mark.parametrize("id", shipped_ids())
def test_c_holds_the_bytes_of_the_table(lib: ctypes.CDLL, built: Path, id: str) -> None:
    """What the compiler makes of the source text is the table byte for byte."""
    plan = shipped_plan(id)
    assert table_bytes(lib, built, plan) == make_table(plan).to_bytes()


@pytest.mark.parametrize("lib", ["gcc"], indirect=True)
@pytest.mark.parametrize("id", costly_ids("read back"))
def test_the_table_read_back_is_the_plan(lib: ctypes.CDLL, built: Path, id: str) -> None:
    """Every trigger of the plan is in the compiled table with what it does, and there is no other."""
    plan = shipped_plan(id)
    read = read_table(table_bytes(lib, built, plan))
    expected = expected_answers(plan)
    assert read.answers.keys() == expected.keys()
    for cell, answer in read.answers.items():
        assert answer == expected[cell], cell
    assert_same_dead_keys(plan, read)


def assert_same_dead_keys(plan: Plan, read: Read) -> None:
    """Pairs and accents are those of the plan, by whatever numbers the dead keys have."""
    dead = plan.dead_keys
    number_of = {
        accent: read.answers[press.usage, press.level, frozenset()].value for press, accent in dead.triggers.items()
    }
    useful = {accent for accent, _, _ in dead.pairs} | set(dead.accents)
    assert len({number_of[accent] for accent in useful}) == len(useful), "no two of them have one number"
    assert not {number_of[accent] for accent in useful} & {number_of[accent] for accent in set(number_of) - useful}
    machine = plan.layout.machine
    assert read.alone == {
        number_of[accent]: answer_of(machine, stroke, "pair") for accent, stroke in dead.accents.items()
    }
    wanted = {
        (number_of[accent], usage, level): answer_of(machine, stroke, "pair")
        for (accent, usage, level), stroke in dead.pairs.items()
    }
    levels = {level for _, _, level in read.pairs}
    assert {cell: answer for cell, answer in read.pairs.items() if cell in wanted} == wanted
    for number, usage, level in set(read.pairs) - set(wanted):
        # One that is the same at all levels of the host is written once, for all four.
        assert level > plan.layout.host.levels
        assert read.pairs[number, usage, level] == wanted[number, usage, 1]
    assert levels <= {1, 2, 3, 4}


@pytest.mark.parametrize("id", shipped_ids())
def test_the_header_read_back_is_the_plan(id: str) -> None:
    """Lines, locks, guard, way of closing, rollover and times are those of the plan."""
    plan = shipped_plan(id)
    machine, host = plan.layout.machine, plan.layout.host
    read = read_table(make_table(plan).to_bytes())
    assert read.lines == (len(machine.select), len(machine.sense), len(machine.direct))
    assert bool(read.flags & 1) == host.has_altgr
    assert bool(read.flags & 2) == (plan.guard and plan.contacts.value == "switch")
    assert bool(read.flags & 4) == plan.layout.apart
    assert bool(read.flags & 8) == plan.layout.resumes == (plan.layout.join.value == "positional")
    assert bool(read.flags & 16) == plan.caps_lock
    assert bool(read.flags & 32) == plan.num_lock
    assert read.rollover == (machine.scan.rollover or 255)
    assert read.times == (plan.timing.close_ticks, plan.timing.open_ticks, plan.timing.lead_ticks)


@pytest.mark.parametrize("id", shipped_ids())
def test_caps_lock_swaps_where_the_host_says(id: str) -> None:
    """Wherever Caps Lock makes a difference to what the plan does, the table swaps what the host file swaps."""
    plan = shipped_plan(id)
    swaps = read_table(make_table(plan).to_bytes()).caps
    pairs = {CapsLock.NONE: 0, CapsLock.SHIFT: 1, CapsLock.ALTGR: 2, CapsLock.BOTH: 3}
    for usage, key in plan.layout.host.keys.items():
        for bit, low in ((1, 1), (2, 3)):
            wanted = bool(pairs[key.caps] & bit) and plan.caps_lock
            if action_at(plan, usage, low) != action_at(plan, usage, low + 1):
                assert bool(swaps.get(usage, 0) & bit) == wanted, (key.name, low)
    assert set(swaps) <= set(plan.layout.host.keys)


def action_at(plan: Plan, usage: int, level: int) -> object:
    """What the plan does for a usage at a level, None if nothing."""
    found = (
        b.action
        for b in plan.bindings
        if (b.trigger.usage, b.trigger.level, b.trigger.extras) == (usage, level, frozenset())
    )
    return next(found, None)


def expected_answers(plan: Plan) -> dict[tuple[int, int, frozenset[str]], Answer]:
    """The plan in the words of the table's reader."""
    machine = plan.layout.machine
    levels = {True: (1, 2), False: tuple(range(1, plan.layout.host.levels + 1))}
    answers: dict[tuple[int, int, frozenset[str]], Answer] = {}
    by_usage: dict[tuple[int, frozenset[str]], dict[int, Answer]] = {}
    for binding in plan.bindings:
        trigger = binding.trigger
        if trigger not in plan.dead_keys.triggers:
            extras = frozenset(extra.value for extra in trigger.extras)
            answer = answer_of(machine, binding.action, expected_ending(plan, trigger, binding.action))
            by_usage.setdefault((trigger.usage, extras), {})[trigger.level] = answer
    numbers = {
        accent: next(
            answer.value
            for cell, answer in read_table(make_table(plan).to_bytes()).answers.items()
            if cell == (press.usage, press.level, frozenset())
        )
        for press, accent in plan.dead_keys.triggers.items()
    }
    nothing: frozenset[tuple[str, int, int]] = frozenset()
    for press, accent in plan.dead_keys.triggers.items():
        dead = Answer(
            kind="dead key", contacts=(), rule=nothing, hold=nothing, value=numbers[accent], ending="accent first"
        )
        by_usage.setdefault((press.usage, frozenset()), {})[press.level] = dead
    for (usage, extras), found in by_usage.items():
        # A key that does the same at all the levels that its host has is written once, for all four.
        alike = set(found) == set(levels[usage in KEYPAD]) and len(set(found.values())) == 1
        for level, answer in found.items():
            answers[usage, level, extras] = answer
        if alike:
            for level in range(1, 5):
                answers[usage, level, extras] = found[1]
    return answers


def expected_ending(plan: Plan, press: Trigger, action: object) -> str:
    """What a press does with a pending dead key, where the layout has any and the runtime does not know by itself."""
    if not plan.dead_keys.triggers or isinstance(action, Feed | Nothing):
        return "accent first"
    if press.usage in KEEPING:
        return "keeps"
    if press.extras:
        return "accent first"
    key = plan.layout.host.keys.get(Usage(press.usage))
    text = getattr(key.at(press.level) if key else None, "text", None)
    if text in DROPPING:
        return "takes back"
    return "accent first" if text is not None and len(text) == 1 else "drops"


def answer_of(machine: Machine, action: object, ending: str) -> Answer:
    """An action of the plan in the words of the table's reader."""
    nothing: frozenset[tuple[str, int, int]] = frozenset()
    match action:
        case Stroke():
            ruled = [
                machine.key(name).contact
                for modifier, demand in zip(machine.modifiers, action.demands, strict=True)
                if demand is not Demand.PASS
                for name in modifier.keys
            ]
            contacts = tuple(where(machine, contact) for contact in action.contacts)
            kinds = {"x": "crosspoint", "d": "direct"}
            kind = kinds[contacts[0][0]] if len(contacts) == 1 else "chord"
            hold = frozenset(where(machine, contact) for contact in action.holds)
            rule = frozenset(where(machine, contact) for contact in ruled)
            turns = [answer_of(machine, stroke, ending) for stroke in action.before]
            before = tuple((turn.contacts, turn.rule, turn.hold) for turn in turns)
            return Answer(kind=kind, contacts=contacts, rule=rule, hold=hold, value=0, ending=ending, before=before)
        case Feed():
            return Answer(
                kind="modifier",
                contacts=(where(machine, action.contact),),
                rule=nothing,
                hold=nothing,
                value=0,
                ending=ending,
            )
        case Latch():
            contacts = (where(machine, action.contact),)
            return Answer(kind="latch", contacts=contacts, rule=nothing, hold=nothing, value=0, ending=ending)
        case Command():
            return Answer(kind="command", contacts=(), rule=nothing, hold=nothing, value=action.number, ending=ending)
        case Nothing():
            return Answer(kind="nothing", contacts=(), rule=nothing, hold=nothing, value=0, ending=ending)
    raise AssertionError(action)


def where(machine: Machine, contact: Contact) -> tuple[str, int, int]:
    """A contact in the words of the table's reader."""
    lines = machine.lines(contact)
    return ("d", contact - machine.crosspoints, 0) if lines is None else ("x", *lines)


def bare_plan(tmp_path: Path, scan: str = "period_us: 20000", machine: str = "", layout: str = "") -> Plan:
    """The plan of a machine of 4 x 4 keys a to p, from `en-US`, with these further lines."""
    grid = ", ".join(
        f"{line}: [{', '.join('abcdefghijklmnop'[at : at + 4])}]"
        for at, line in zip((0, 4, 8, 12), "ABCD", strict=True)
    )
    matrix = f"matrix: {{select: [A, B, C, D], sense: [N, O, P, Q], grid: {{{grid}}}}}"
    files = {
        "shared/machines/bare.yaml": f"machine: bare\ntitle: t\nsource: s\n{matrix}\ntypes: {{a: {{plain: a}}}}\n"
        f"scan: {{{scan}}}\n{machine}",
        "layouts/bare.yaml": f"layout: bare\nmachine: bare\nhost: en-US\njoin: symbolic\n{layout}",
    }
    return compile_plan(read_layout(open_folders(write_project(tmp_path, files)), "bare"))


def test_what_is_told_of_a_table_is_a_comment() -> None:
    """Of a layout's header and source no word about the layout, its maker or its hash stands outside a comment."""
    files = build_files([shipped_plan("quillon8-en-US-symbolic")])
    for suffix in ("h", "c"):
        text = files[f"quillon8-en-US-symbolic.{suffix}"]
        assert "Made by matrixmap" in text
        code = re.sub(r"/\*.*?\*/", "", text, flags=re.DOTALL)
        assert not re.search(r"\*/|Made by|SHA-256", code)


def test_the_cmake_file_asks_for_a_version_first() -> None:
    """CMake's manual, cmake_minimum_required(7): it is called before project(), and at the top of the file."""
    text = build_files([shipped_plan("quillon8-en-US-symbolic")])["CMakeLists.txt"]
    commands = [line.partition("(")[0] for line in text.splitlines() if line[:1].isalpha()]
    assert commands[:2] == ["cmake_minimum_required", "project"]


def test_strokes_that_differ_in_what_they_hold_alone_are_counted_apart() -> None:
    """Of a stroke of two triggers one comes to hold the other Shift: the figures count one stroke more."""
    plan = shipped_plan("quillon8-en-US-symbolic")
    machine = plan.layout.machine
    shifts = {machine.key(name).contact for name in machine.modifiers[0].keys}
    assert len(shifts) == 2
    times = Counter(each.action for each in plan.bindings if isinstance(each.action, Stroke) and each.action.holds)
    stroke = next(
        each for each, count in times.items() if count > 1 and len(each.holds) == 1 and each.holds[0] in shifts
    )
    other = replace(stroke, holds=tuple(shifts - set(stroke.holds)))
    number = next(number for number, each in enumerate(plan.bindings) if each.action == stroke)
    bindings = (*plan.bindings[:number], replace(plan.bindings[number], action=other), *plan.bindings[number + 1 :])
    assert figures_of(replace(plan, bindings=bindings)).strokes == figures_of(plan).strokes + 1


def test_times_too_long_for_a_table_are_refused(tmp_path: Path) -> None:
    """A machine that scans too slowly for the 14 bits of 0.1 ms that the runtime counts is told so."""
    plan = bare_plan(tmp_path, scan="period_us: 1000000, samples_down: 2")
    with pytest.raises(TableError, match=f"{plan.timing.close_ticks} ticks"):
        make_table(plan)
    near = bare_plan(tmp_path / "near", scan="period_us: 1000000, sweep_us: 0, samples_down: 1")
    assert near.timing.close_ticks >= 10_000, "a second is 10,000 ticks"
    assert make_table(near).header[11:13] == divmod(near.timing.close_ticks, 256)[::-1]


def test_more_modifier_keys_than_a_table_holds_are_refused(tmp_path: Path) -> None:
    """Eight modifier keys fit; a latch beside another key makes nine."""
    keys = "modifiers: {one: [b, c, d, e], two: [f, g, h, i]}\nlatching: {latch: j}\n"
    lock = "locks: {CapsLock: latch}\n"
    assert make_table(bare_plan(tmp_path / "eight", machine=keys)).header[4] == 8
    with pytest.raises(TableError, match="9 modifier keys"):
        make_table(bare_plan(tmp_path / "nine", machine=keys, layout=lock))


def test_more_chords_than_a_table_holds_are_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """255 different strokes of several keys fit into a table, 256 do not; fewer lines than that ask for any in a layout."""
    monkeypatch.setattr(layout_reader, "CHORDS", 256)
    monkeypatch.setattr(layout_reader, "LAYOUT_LINES", 2048)
    strokes = [f"{one} + {two}" for one in "abcdefghijklmnop" for two in "abcdefghijklmnop" if one != two]
    strokes += [f"a + b + {three}" for three in "cdefghijklmnop"] + ["a + c + d", "a + c + e"]
    letters = [f"Key{letter}" for letter in "ABCDEFGHIJKLMNOPQRSTUVWXYZ"] + [f"Digit{digit}" for digit in "0123456789"]
    triggers = [
        f"{held}{key}"
        for held in ("", "Shift+", "Alt+", "Control+", "Meta+", "Shift+Alt+", "Alt+Control+", "Shift+Meta+")
        for key in letters
    ]
    for count in (255, 256):
        pairs = list(zip(triggers, strokes, strict=False))[:count]
        lines = "".join(f"  {trigger}: {stroke}\n" for trigger, stroke in pairs)
        plan = bare_plan(tmp_path / str(count), layout=f"keys:\n{lines}")
        assert len(pairs) == count
        if count == 255:
            assert read_table(make_table(plan).to_bytes()).answers == expected_answers(plan)
        else:
            with pytest.raises(TableError, match="256 chords"):
                make_table(plan)
