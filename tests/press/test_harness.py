"""The harness plays what it says: expectations by hand, another player, and faults put into the runtime on purpose."""

from __future__ import annotations

import ast
import ctypes
import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from pathlib import Path
from random import Random

import pytest

from matrixmap.join.plan import compile_plan
from matrixmap.model.machine import Contact
from matrixmap.model.plan import Plan
from tests import tools
from tests.press.harness import LEVELS, MODIFIERS, NOT_PLAYED, RUNTIME, Played, Record, asked, feeders
from tests.press.independent import Seen, Sight, Watcher, look
from tests.press.machines import EDGES, MACHINES_A_SEED, SEEDS, Workshop, random_plans, random_texts, seeds
from tests.project import ROOT, shipped_plan
from tests.runtime import engine
from tests.shipped import costly_ids, some_of

A, B, C, D, E, H, R, X, Z = 0x04, 0x05, 0x06, 0x07, 0x08, 0x0B, 0x15, 0x1B, 0x1D
ONE, TWO, MINUS, QUOTE, SPACE, BACKSPACE, ENTER = 0x1E, 0x1F, 0x2D, 0x34, 0x2C, 0x2A, 0x28
EQUAL, BACKQUOTE, CAPS, F1, F2, F9, NUM_LOCK = 0x2E, 0x35, 0x39, 0x3A, 0x3B, 0x42, 0x53
CONTROL, SHIFT, ALT, ALT_GR, SHIFT_RIGHT = (1 << bit for bit in (0, 1, 2, 6, 5))
SHIFT_LEFT_KEY = 0xE1

#       N0  N1          N2
#  S0   a   shift-left               0 1 2
#  S1   b   c           shift-right  3 4 5      hail is 6
TINY = """
machine: tiny
title: A tiny machine
source: made for this test
matrix:
  select: [S0, S1]
  sense: [N0, N1, N2]
  grid:
    S0: [a, shift-left, none]
    S1: [b, c, shift-right]
direct: {hail: HAIL}
latching: {lock: shift-left}
modifiers: {shift: [shift-left, shift-right]}
types:
  a: {plain: a, shift: A}
  b: {plain: '"', shift: '@'}
  c: {plain: c, shift: none}
  hail: {plain: Hail}
scan: {period_us: 20000}
"""
BY_PLACE = """
layout: tiny
machine: tiny
host: en-US
join: positional
locks: {CapsLock: lock}
keys:
  ShiftLeft: shift-left
  F9: shift-right
  KeyA: a
  KeyB: b
  KeyC: c
  KeyX: a + c
  KeyZ: none
  F1: hail
commands: {F2: 7, Shift+F2: 0}
"""
BY_PRINT = """
layout: tiny
machine: tiny
host: en-US
join: symbolic
"""


@cache
def tiny(layout: str) -> Seen:
    """The tiny machine, played with F9 as one more key to hold."""
    plan = Workshop().plan("tiny", TINY, layout)
    return look(Played(plan, asked(plan), [F9]))


@cache
def shipped(id: str) -> Seen:
    """A shipped layout, played whole."""
    plan = shipped_plan(id)
    return look(Played(plan, asked(plan)))


def told(seen: Seen, usage: int, subset: int = 0, *, dead: int = 0, lock: int = 0) -> tuple:
    """The closed contacts of each moment, and what is typed."""
    id = seen.played.row(dead, lock, usage)[subset]
    sight = seen.sights[id]
    assert sight is not None
    return [sorted(moment) for moment in seen.played.record(id).timeline], sight.typed


F9_HELD = 1 << 8


@pytest.mark.parametrize(
    ("usage", "subset", "timeline", "typed"),
    [
        (A, 0, [[], [0]], ("a",)),
        (A, SHIFT, [[1], [0, 1]], ("A",)),
        (A, F9_HELD, [[5], [0, 5]], ("A",)),
        (C, SHIFT, [[1], [1, 4]], (None,)),
        (X, 0, [[], [0, 4]], ("a", "c")),
        # Three corners, and the fourth is b.
        (X, SHIFT, [[1]], ()),
        (X, F9_HELD, [[5], [0, 4, 5]], ("A", None)),
        (B, SHIFT, [[1], [1, 3]], ("@",)),
        (F1, SHIFT, [[1], [1, 6]], ("Hail",)),
        (Z, 0, [[]], ()),
        (D, 0, [[]], ()),
        (F2, 0, [[]], ()),
        (SHIFT_LEFT_KEY, 0, [[], [1]], ()),
        (SHIFT_LEFT_KEY, F9_HELD, [[5], [1, 5]], ()),
        (CAPS, 0, [[], [1]], ()),
    ],
)
def test_a_layout_by_place_does_what_its_lines_say(usage, subset, timeline, typed):
    """On a machine of six crosspoints each press closes, and types, what was worked out by hand."""
    assert told(tiny(BY_PLACE), usage, subset) == (timeline, typed)


@pytest.mark.parametrize(
    ("usage", "subset", "timeline", "typed"),
    [
        (A, 0, [[], [0]], ("a",)),
        (A, SHIFT, [[1], [0, 1]], ("A",)),
        # " is lifted out of Shift, @ is pressed with the Shift that the typist holds.
        (QUOTE, SHIFT, [[1], [], [3]], ('"',)),
        (TWO, SHIFT, [[1], [1, 3]], ("@",)),
        (TWO, 0, [[]], ()),
        (C, CONTROL, [[], [4]], ("c",)),
    ],
)
def test_a_layout_by_print_holds_and_lifts(usage, subset, timeline, typed):
    """Shift is held where the character asks for it, and lifted where it must not be."""
    assert told(tiny(BY_PRINT), usage, subset) == (timeline, typed)


def test_what_is_counted_and_kept_is_in_the_record():
    """Refusals, commands, latches and locks are those of the press itself."""
    played = tiny(BY_PLACE).played
    latched, refused = played.record(played.row(0, 0, CAPS)[0]), played.record(played.row(0, 0, X)[SHIFT])
    assert (refused.refusals, refused.overflows, refused.command, refused.latches) == (1, 0, None, frozenset())
    assert (latched.refusals, latched.latches, latched.locks) == (0, {1}, 0)
    assert [played.record(played.row(0, 0, F2)[subset]).command for subset in (0, SHIFT)] == [7, 0]
    assert played.record(played.row(0, 0, A)[0]).command is None
    assert played.record(played.row(0, 0, NUM_LOCK)[0]).locks == 0x20
    assert {record.accent for record in played.records} == {0}
    assert played.row(0, 0, SHIFT_LEFT_KEY)[SHIFT] == NOT_PLAYED
    assert feeders(played.plan) == (F9,)


def test_lock_states_are_those_of_the_lock_keys():
    """Where Caps Lock works a latch, it is closed before the press in the states with that bit; Num Lock is a lock."""
    seen = tiny(BY_PLACE)
    assert told(seen, A, lock=1) == ([[1], [0, 1]], ("A",))
    assert told(seen, A, lock=2) == ([[], [0]], ("a",))
    locks = [seen.played.record(seen.played.row(0, lock, A)[0]).locks for lock in range(4)]
    assert locks == [0, 0, 0x20, 0x20]
    assert told(seen, CAPS, lock=3) == ([[1], []], ())


@pytest.mark.parametrize(
    ("contacts", "typed", "phantoms"), [("switch", ("A", "@", None), {3}), ("switch-with-diode", ("A", None), set())]
)
def test_phantoms_are_what_plain_switches_make(contacts, typed, phantoms):
    """Without the guard three corners make the machine read the fourth; through diodes they do not."""
    text = f"{BY_PLACE}\nguard: off\ncontacts: {contacts}\n"
    plan = Workshop().plan("tiny", TINY, text)
    seen = look(Played(plan, [X]))
    sight = seen.sights[seen.played.row(0, 0, X)[SHIFT]]
    assert (sight.typed, sight.phantoms, sight.new_phantoms) == (typed, phantoms, phantoms)
    assert sight.closed == {(0, frozenset({"shift"})), (4, frozenset({"shift"}))}


def moments(*timeline: set[int]) -> Sight:
    """What the tiny machine makes of contacts closed one moment after the other, whatever has closed them."""
    plan = tiny(BY_PLACE).played.plan
    record = Record(
        timeline=tuple(frozenset(map(Contact, closed)) for closed in timeline),
        refusals=0,
        overflows=0,
        command=None,
        latches=frozenset(),
        locks=0,
        accent=0,
        released=frozenset(),
        stuck=frozenset(),
        endless=False,
    )
    return Watcher(plan.layout.machine, plan.layout.contacts).see(record)


def test_what_was_read_before_is_not_typed_again():
    """Three corners read b before the press; the press of Hail types that alone, and b is no new phantom."""
    sight = moments({0, 1, 4}, {0, 1, 4, 6})
    assert (sight.typed, sight.text) == (("Hail",), "Hail")
    assert (sight.phantoms, sight.new_phantoms) == ({3}, set())
    assert moments({0, 1, 4}).phantoms == set()


def test_a_phantom_of_a_modifier_counts_for_the_state():
    """a, b and c make the machine read the left Shift key: b is typed shifted, and not by itself."""
    sight = moments({0, 4}, {0, 3, 4})
    assert (sight.typed, sight.text, sight.new_phantoms) == (("@",), None, {1})
    assert sight.closed == {(3, frozenset({"shift"}))}


def test_moments_are_read_one_after_the_other():
    """A key that is opened and closed again is typed twice, in the shift state of each moment."""
    sight = moments(set(), {0}, set(), {5}, {0, 5}, {0})
    assert sight.typed == ("a", "A")
    assert not sight.closes_nothing
    assert moments({0, 5}, {0}, set()).closes_nothing


def test_a_command_of_a_held_key_is_not_that_of_the_press():
    """Right Control gives a command when it goes down; a press while it is held gives none."""
    plan = Workshop().plan("tiny", TINY, BY_PLACE.replace("F2: 7", "ControlRight: 7"))
    played = Played(plan, [A, 0xE4], locks=(0,))
    assert played.record(played.row(0, 0, A)[1 << 4]).command is None
    assert played.record(played.row(0, 0, 0xE4)[0]).command == 7


def test_a_plan_is_summed_up():
    """Texts with the presses that type them alone, and the contacts that presses close, in which states."""
    seen = tiny(BY_PLACE)
    assert set(seen.typed) == {"a", "A", '"', "@", "c", "Hail"}
    assert not seen.typed_after
    plain, shifted = frozenset(), frozenset({"shift"})
    assert seen.closable == {0, 1, 3, 4, 5, 6}
    assert seen.closed == {
        *((contact, state) for contact in (0, 3, 4, 6) for state in (plain, shifted)),
        (1, shifted),
        (5, shifted),
    }
    spots = list(seen.spots(seen.typed["@"]))
    assert {spot.usage for spot in spots} == {B}
    assert all(spot.lock & 1 or spot.subset & SHIFT or spot.subset & F9_HELD for spot in spots)
    assert sum(1 for _ in spots) == 4 * 512 - 2 * 128


# ---- shipped layouts ----


def test_the_left_shift_key_refuses_what_the_right_one_types():
    """Shift, Blazon and R make a phantom with the left Shift key of the machine, and type an arrow with the right one."""
    seen = shipped("quillon8-en-US-positional")
    left = seen.played.record(seen.played.row(0, 0, R)[SHIFT | ALT])
    assert (left.refusals, len(left.timeline)) == (1, 1)
    # R is S3/N4, Blazon S4/N4, the right Shift S6/N1: eight contacts a select line.
    assert told(seen, R, SHIFT_RIGHT | ALT) == ([[36, 49], [28, 36, 49]], ("↺",))
    assert told(seen, R, ALT)[1] == ("↻",)
    assert seen.sights[seen.played.row(0, 0, R)[SHIFT | ALT]].closes_nothing


@pytest.mark.parametrize("id", costly_ids("stuck"))
def test_nothing_is_stuck(id):
    """After its release no press of a shipped layout leaves a contact closed; each comes to rest, and none is dropped.

    Where no key comes back, test_room plays the other states, and sees the same of them.
    """
    plan = shipped_plan(id)
    played = Played(plan, asked(plan)) if plan.layout.resumes else after_one_lock(plan)
    assert not played.restless
    assert all(dead.presses[lock] for number, dead in enumerate(played.dead_keys) if number for lock in (1, 2))
    assert played.pending <= {dead.accent for dead in played.dead_keys}


def after_one_lock(plan: Plan) -> Played:
    """The states that test_room leaves out: after each dead key with one of the locks."""
    return Played(plan, asked(plan), locks=(), locks_after_dead=(1, 2))


def test_caps_lock_changes_the_case_of_letters_alone():
    """With Caps Lock the letter a is A and A is a, the digit stays, and Control turns Caps Lock off for its press."""
    seen = shipped("quillon8-de-DE-symbolic")
    assert [told(seen, A, subset)[1] for subset in (0, SHIFT)] == [("a",), ("A",)]
    assert [told(seen, A, subset, lock=1)[1] for subset in (0, SHIFT)] == [("A",), ("a",)]
    assert [told(seen, ONE, subset, lock=1)[1] for subset in (0, SHIFT)] == [("1",), ("!",)]
    assert told(seen, A, CONTROL, lock=1)[1] == ("a",)
    assert told(seen, A, SHIFT, lock=1)[0] == [[31], [], [43]]


def test_dead_keys_wait_for_the_next_key():
    """On the German host the five accents that the machine has a use for are found where they are printed or typed."""
    seen = shipped("quillon8-de-DE-symbolic")
    host = seen.played.plan.layout.host
    accents = {}
    for dead in seen.played.dead_keys[1:]:
        (press,) = set(dead.presses)
        assert press is not None
        accents[host.keys[press[0]].at(press[1]).text] = (dead.accent, press)
    assert {text: press for text, (_, press) in accents.items()} == {
        "^": (BACKQUOTE, 1),
        "¨": (0x2F, 3),
        "´": (EQUAL, 1),
        "`": (EQUAL, 2),
        "˚": (0x2F, 4),
    }
    caret, acute, diaeresis = (accents[text][0] for text in "^´¨")
    assert told(seen, A, dead=caret)[1] == ("^", "a")
    assert told(seen, SPACE, dead=caret)[1] == ("^",)
    assert told(seen, BACKQUOTE, dead=caret)[1] == ("^",)
    assert told(seen, BACKSPACE, dead=caret) == ([[]], ())
    assert told(seen, ENTER, dead=caret)[1] == ("Enter",)
    assert told(seen, A, CONTROL, dead=caret)[1] == ("a",)
    assert told(seen, SPACE, dead=acute)[1] == ("'",)
    assert told(seen, SPACE, dead=diaeresis)[1] == ('"',)
    pending = seen.played.record(seen.played.row(caret, 0, SHIFT_LEFT_KEY)[0])
    assert pending.accent == caret
    assert seen.played.record(seen.played.row(caret, 0, EQUAL)[0]).accent == acute
    assert SPACE in {spot.usage for spot in seen.spots(seen.typed_after[acute, "'"])}


def test_states_can_be_left_out():
    """Lock states that are not asked for are not played, and the others are the same."""
    plan, whole = shipped_plan("quillon8-de-DE-symbolic"), shipped("quillon8-de-DE-symbolic").played
    some = Played(plan, (A, E, CAPS), locks=(1,), locks_after_dead=(0, 3))
    assert set(some.states) == {(0, 1), *((dead, lock) for dead in range(1, len(some.dead_keys)) for lock in (0, 3))}
    with pytest.raises(KeyError):
        some.row(0, 0, A)
    assert records(some, 0, 1, CAPS) == records(whole, 0, 1, CAPS)


def records(played: Played, dead: int, lock: int, usage: int) -> list:
    return [played.records[id] for id in played.row(dead, lock, usage)]


# ---- another player ----


@pytest.fixture(scope="module")
def other_player(tmp_path_factory) -> ctypes.CDLL:
    """The runtime as the tests of the runtime drive it."""
    path = tmp_path_factory.mktemp("press") / "runtime.so"
    shim = Path(engine.__file__).with_name("shim.c")
    sources = (*sorted(RUNTIME.glob("*.c")), shim)
    tools.run(
        tools.tool("gcc"),
        *tools.STRICT,
        "-O1",
        "-DMM_RESUME=1",
        "-DMM_WHOLE=1",
        "-fPIC",
        "-shared",
        f"-I{RUNTIME}",
        "-o",
        path,
        *sources,
    )
    return engine.load(path)


def replayed(lib: ctypes.CDLL, played: Played, at: int) -> tuple:
    """A press as engine.Engine plays it: contacts of each moment, refusals, what is closed after the release."""
    spot, machine = played.spot(at), played.plan.layout.machine
    other = engine.Engine(lib, played.table)

    def rest(*usages: int) -> None:
        other.usages(usages)
        other.run(20_000)

    def contacts(closed: frozenset) -> list[int]:
        width = len(machine.sense)
        return sorted(a * width + b if kind == "x" else machine.crosspoints + a for kind, a, b in closed)

    for bit, lock in enumerate((CAPS, NUM_LOCK)):
        if spot.lock >> bit & 1:
            rest(lock)
            rest()
    press = played.dead_keys[spot.dead].presses[spot.lock] if spot.dead else None
    if press:
        held = LEVELS[press[1] - 1]
        for usages in (held, (*held, press[0]), held, ()):
            rest(*usages)
    held = played.held(spot.subset)
    rest(*held)
    before, _ = other.refusals, other.mark()
    start = contacts(other.contacts)
    rest(*held, spot.usage)
    timeline = [start, *(contacts(closed) for _, closed in other.story)]
    refusals = other.refusals - before
    rest(*held)
    return timeline, refusals, contacts(other.contacts)


def sampled(played: Played, seed: str, count: int) -> Iterator[tuple[int, int]]:
    """Some presses of each record kind: places and numbers, no two of one record."""
    places = list(dict(zip(played.all_ids, range(10**9), strict=False)).items())
    chosen = Random(seed).sample(places, min(count, len(places)))
    return ((at, id) for id, at in chosen if id != NOT_PLAYED)


@pytest.mark.parametrize("id", ["quillon8-de-DE-symbolic", "quillon8-en-US-positional"])
def test_another_player_sees_the_same(id, other_player):
    """A press of a shipped layout played by engine.Engine closes the same contacts, whatever is held or pending."""
    played = shipped(id).played
    compare_players(other_player, played, 150)


def test_another_player_sees_the_same_on_random_machines(other_player):
    """The same on machines of any size."""
    for plan in random_plans(20, seed=3):
        compare_players(other_player, Played(plan, asked(plan)), 10)


def compare_players(lib: ctypes.CDLL, played: Played, count: int) -> None:
    for at, number in sampled(played, played.plan.id, count):
        record = played.record(number)
        timeline = [sorted(moment) for moment in record.timeline]
        assert replayed(lib, played, at) == (timeline, record.refusals, sorted(record.released)), played.spot(at)


# ---- faults on purpose ----

FAULTS = {
    "a released key is not noticed": ("            slot->what |= RELEASED;\n        }", "            ;\n        }"),
    "a stroke does not lift": ("& (uint8_t)~MM_READ(pair)) | MM_READ(pair + 1)", ") | MM_READ(pair + 1)"),
    "the guard is off": ("FLAG_GUARD) != 0u &&", "FLAG_GUARD) == 0xFFu &&"),
    "a refused press is not counted": ("                state->refusals++;\n", ""),
    "a key closes together with its modifiers": (
        "            state->modifiers = state->wanted;\n            state->settle_left = time_at(state->table, AT_LEAD);\n        } else if",
        "            state->modifiers = state->wanted;\n        }\n        if",
    ),
    "a dead key is taken back by no key": ("held == 0u && after == MM_TAKES_BACK", "false"),
    "locks end a dead key": ("kind != NOTHING && after != MM_KEEPS", "kind != NOTHING"),
    "Caps Lock counts with Control": ("(how & HOW_CONTROL) == 0u &&", ""),
    "right Alt is no AltGr": ("        modifiers &= (uint8_t)~RIGHT_ALT;\n", ""),
    "the end of an open time comes never": ("            next = sooner(next, left);\n", "            next = 0u;\n"),
}


def with_fault(folder: Path, old: str, new: str) -> Path:
    """The runtime with one passage changed."""
    shutil.copytree(RUNTIME, folder)
    path = folder / "mm_runtime.c"
    text = path.read_text(encoding="utf-8")
    assert text.count(old) == 1
    path.write_text(text.replace(old, new), encoding="utf-8")
    return folder


@pytest.mark.parametrize("fault", some_of(FAULTS, "harness", 3))
def test_a_fault_in_the_runtime_shows(fault, tmp_path):
    """A small change of the source changes what is recorded for some press of two shipped layouts."""
    runtime = with_fault(tmp_path / "runtime", *FAULTS[fault])
    changed = 0
    for id in ("quillon8-de-DE-symbolic", "quillon8-en-US-positional"):
        plan, sound = shipped_plan(id), shipped(id).played
        usages = (A, R, EQUAL, BACKSPACE, CAPS, ENTER, SHIFT_LEFT_KEY)
        broken = Played(plan, usages, locks=(0, 1), locks_after_dead=(0,), runtime=runtime)
        for dead, lock in broken.states:
            for usage in usages:
                pairs = zip(records(broken, dead, lock, usage), records(sound, dead, lock, usage), strict=True)
                changed += sum(one != other for one, other in pairs)
    assert changed


def test_a_key_that_stays_closed_is_stuck(tmp_path):
    """With a runtime that does not notice releases, the press of A is stuck with the contact of A."""
    plan = shipped_plan("quillon8-en-US-positional")
    runtime = with_fault(tmp_path / "runtime", *FAULTS["a released key is not noticed"])
    played = Played(plan, [A], locks=(0,), runtime=runtime)
    assert played.record(played.row(0, 0, A)[SHIFT]).stuck == {43}


def test_a_press_without_end_is_told(tmp_path):
    """With a runtime that asks to be called again and again, the record says that it finds no end."""
    plan = shipped_plan("quillon8-en-US-positional")
    edit = (
        "    return sooner(sooner(next, state->close_left), state->settle_left);",
        "    return state->strokes != 0u ? 1u : sooner(next, state->settle_left);",
    )
    played = Played(plan, [A, Z, 0x68], locks=(0,), runtime=with_fault(tmp_path / "runtime", *edit))
    assert played.record(played.row(0, 0, A)[0]).endless
    assert not played.record(played.row(0, 0, 0x68)[0]).endless


# ---- random machines ----


@pytest.mark.parametrize("seed", seeds())
def test_nothing_is_stuck_on_random_machines(seed):
    """Whatever machine and layout: each press comes to rest, and nothing of it stays closed after its release.

    Where no key comes back, test_room plays the other states of the same machines, and sees the same of them.
    """
    for plan in random_plans(MACHINES_A_SEED, seed):
        if plan.layout.resumes:
            # Else a held key may come back as another one is let go.
            staying = compile_plan(replace(plan.layout, resumes=False))
            played = Played(staying, asked(staying))
        else:
            played = after_one_lock(plan)
        assert not played.restless
        assert played.pending <= {dead.accent for dead in played.dead_keys}


def features(plan: Plan) -> Iterator[str]:
    """What a plan is an example of."""
    machine, layout = plan.layout.machine, plan.layout
    yield from (layout.join.value, layout.contacts.value, layout.host.id, f"guard {layout.guard}")
    yield from (f"rollover {machine.scan.rollover}", f"{len(machine.modifiers)} modifiers")
    strokes = [line.stroke for line in layout.keys]
    feeding = {line.text for line in layout.passes} | {
        line.trigger.text for line in layout.keys if line.stroke.keys and machine.modifier_of(line.stroke.keys[0])
    }
    found = {
        "1x1": len(machine.select) == len(machine.sense) == 1,
        "16x16": len(machine.select) == len(machine.sense) == 16,
        "two keys of a modifier": any(len(modifier.keys) == 2 for modifier in machine.modifiers),
        "direct": machine.direct,
        "latch": any(line.key in machine.latching for line in layout.locks),
        "latch on a key": any(machine.modifier_of(key) is None for key in machine.latching.values()),
        "lock on a key": any(line.key not in machine.latching for line in layout.locks),
        "controller": machine.controllers,
        "chord": any(len(stroke.keys) > 1 for stroke in strokes),
        "held": any(stroke.keys and stroke.modifiers for stroke in strokes),
        "modifiers alone": any(stroke.modifiers and not stroke.keys for stroke in strokes),
        "none": any(stroke.text == "none" for stroke in strokes),
        "command": layout.commands,
        "pass": layout.passes,
        "types": layout.types,
        "dead keys": plan.dead_keys.pairs,
        "AltRight": "AltRight" in feeding,
        "ControlRight": "ControlRight" in feeding,
        "F9": "F9" in feeding,
        "other modifiers": any(binding.trigger.extras for binding in plan.bindings),
        "silent": any(key.silent for key in machine.keys),
    }
    yield from (name for name, there in found.items() if there)


def test_random_machines_have_everything():
    """Among those that the suite plays are all sizes, kinds and lines that the generator is for."""
    plans = [plan for seed in range(SEEDS) for plan in random_plans(MACHINES_A_SEED, seed)]
    found = {feature for plan in plans for feature in features(plan)}
    assert found >= {
        *("symbolic", "positional", "switch", "switch-with-diode", "follows-select", "en-US", "de-DE", "fr-FR"),
        *("guard None", "guard True", "guard False", "rollover None", "rollover 1", "rollover 2", "rollover 3"),
        *(f"{count} modifiers" for count in range(4)),
        *("1x1", "16x16", "two keys of a modifier", "direct", "latch", "latch on a key", "lock on a key", "controller"),
        *("chord", "held", "modifiers alone", "none", "command", "pass", "types", "dead keys"),
        *("AltRight", "ControlRight", "F9", "other modifiers", "silent"),
    }
    sizes = [(len(plan.layout.machine.select), len(plan.layout.machine.sense)) for plan in plans]
    assert tuple(sizes[: len(EDGES)]) == EDGES
    assert len({plan.id for plan in plans}) == SEEDS * MACHINES_A_SEED


def test_random_machines_are_the_same_everywhere():
    """The texts hang on the seed alone, not on the hashes of a process."""
    code = "from tests.press.machines import random_texts; print(list(random_texts(30, 5)))"
    told = {str(list(random_texts(30, 5)))}
    for hashes in ("1", "2"):
        env = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONHASHSEED": hashes, "PYTHONIOENCODING": "utf-8"}
        done = subprocess.run(
            [sys.executable, "-c", code], cwd=ROOT, env=env, capture_output=True, encoding="utf-8", check=True
        )
        told.add(done.stdout.rstrip("\n"))
    assert len(told) == 1
    assert len({texts[1:] for texts in random_texts(30, 5)}) == 30


# ---- what it stands on ----

APART = (
    "matrixmap.simulate",
    "matrixmap.check",
    "matrixmap.join.typed",
    "matrixmap.emit.pictures.faces",
    "matrixmap.compare",
)


@pytest.mark.parametrize("name", ["harness.py", "independent.py", "machines.py"])
def test_the_harness_reasons_about_no_press(name):
    """It imports nothing of the parts that work out what presses do; of them only the bytes that the C reads."""
    tree = ast.parse(Path(__file__).with_name(name).read_text(encoding="utf-8"))
    names = {node.module or "" for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)}
    names |= {alias.name for node in ast.walk(tree) if isinstance(node, ast.Import) for alias in node.names}
    assert names
    reasoning = names - {"matrixmap.press.table.make"}
    assert not [module for module in reasoning if module.startswith((*APART, "matrixmap.press"))]


def test_the_usages_asked_are_those_of_the_keyboard_and_the_layout():
    """The eight modifiers, the keys of the form, and a bound key that no keyboard of that form has."""
    plan = Workshop().plan(
        "tiny", TINY, f"{BY_PLACE}  Shift+F3: 1\n".replace("commands: {F2: 7, Shift+F2: 0}", "commands:\n  0x70: 2")
    )
    usages = asked(plan)
    assert set(MODIFIERS) < set(usages)
    assert {A, F1, CAPS, 0x70} < set(usages)
    assert 0x64 not in usages
    assert list(usages) == sorted(set(usages))
