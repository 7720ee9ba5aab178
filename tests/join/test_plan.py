"""The join: which stroke each trigger gets, and what it demands of the machine's modifiers."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from matrixmap.hid.usages import Usage
from matrixmap.model.layout import HostModifier
from matrixmap.model.plan import Action, Command, Feed, Latch, Nothing, Plan, Stroke, Trigger
from matrixmap.model.words import action_name, key_name
from tests.project import shipped_ids, shipped_plan

Compile = Callable[..., Plan]

MACHINE = """
machine: bench
title: Bench
source: made for this test
matrix:
  select: [S0, S1, S2, S3]
  sense: [N0, N1, N2, N3]
  grid:
    S0: [a, b, both, shift-one]
    S1: [c, also, many, shift-two]
    S2: [go, turn, graph, cap]
    S3: [e, mark, none, none]
direct: {stop: X}
latching: {latch: shift-one}
modifiers: {shift: [shift-one, shift-two], graph: graph}
types:
  a: {plain: a, shift: A, graph: α}
  b: {plain: b, shift: '?'}
  both: {shift: '!', graph: '?'}
  c: {plain: c, graph: '!'}
  also: {plain: ';', shift + graph: '%'}
  many: {plain: ',', shift: '%'}
  go: {plain: Enter}
  turn: {plain: ArrowUp, shift: PageUp}
  e: {plain: E}
  mark: {plain: '£'}
  cap: {plain: CapsLock}
  stop: {plain: Pause}
scan: {period_us: 20000}
"""
HOST = """
host: bench
title: Bench
source: made for this test
form: iso-105
legends:
  KeyA: [a, A, '!', '%']
  KeyB: [b, '?']
  KeyC: [c, ';']
  KeyE: [e, E]
  KeyP: [£, '#']
  Enter: [Enter]
  ArrowUp: [ArrowUp]
  PageUp: [PageUp]
  Pause: [Pause]
  CapsLock: [CapsLock]
  Numpad8: [',', ArrowUp]
"""
LAYOUT = "layout: bench\nmachine: bench\nhost: bench\njoin: {join}\n"
SHIFT, GRAPH = 0, 1


@pytest.fixture
def bench(compile_text: Compile) -> Callable[..., Plan]:
    """The plan of the machine and host above and a layout with these lines."""

    def compiled(lines: str = "", join: str = "symbolic", machine: str = MACHINE) -> Plan:
        return compile_text(LAYOUT.format(join=join) + lines, machine=machine, host=HOST)

    return compiled


def at(plan: Plan, usage: int, level: int = 1, *extras: HostModifier) -> Action | None:
    """What the plan binds to exactly this trigger."""
    return plan.by_trigger.get(Trigger(usage=Usage(usage), level=level, extras=frozenset(extras)))


def stroke(plan: Plan, usage: int, level: int = 1, *extras: HostModifier) -> tuple[str, str, str]:
    """A stroke as its key and its demands on shift and graph."""
    action = at(plan, usage, level, *extras)
    assert isinstance(action, Stroke), action
    names = " ".join(key_name(plan.layout.machine, contact) for contact in action.contacts)
    return names, action.demands[SHIFT].value, action.demands[GRAPH].value


A, B, C, E, P, ENTER, UP, PAGE_UP, PAUSE, CAPS, NUM_8 = 4, 5, 6, 8, 0x13, 0x28, 0x52, 0x4B, 0x48, 0x39, 0x60


class TestSymbolic:
    """By what is printed."""

    def test_fewest_modifiers_win(self, bench: Compile) -> None:
        """Of several ways to a character the one with the fewest modifiers is taken: `%` with shift, not with both."""
        assert stroke(bench(), A, 4) == ("many", "hold", "pass")

    def test_ties_go_to_grid_order(self, bench: Compile) -> None:
        """Two ways with one modifier each: states in the order of their names, then keys as the grid has them."""
        plan = bench()
        assert stroke(plan, B, 2) == ("both", "lift", "hold")
        assert stroke(plan, A, 3) == ("c", "pass", "hold")

    def test_a_line_under_types_decides(self, bench: Compile) -> None:
        """A layout may take the other way."""
        plan = bench("types: {'?': shift + b, '%': shift + graph + also}\n")
        assert stroke(plan, B, 2) == ("b", "hold", "pass")
        assert stroke(plan, A, 4) == ("also", "hold", "hold")

    def test_a_character_lifts_what_would_change_it(self, bench: Compile) -> None:
        """Modifiers that select on the key are lifted unless the character needs them; others pass."""
        plan = bench()
        assert stroke(plan, A, 1) == ("a", "lift", "lift")
        assert stroke(plan, A, 2) == ("a", "hold", "lift")
        assert stroke(plan, C, 1) == ("c", "pass", "lift")
        assert stroke(plan, P, 1) == ("mark", "pass", "pass")

    def test_a_function_passes_what_changes_nothing(self, bench: Compile) -> None:
        """A function passes every modifier with which its key types nothing else, and lifts the rest."""
        plan = bench()
        assert stroke(plan, ENTER) == ("go", "pass", "pass")
        assert stroke(plan, UP) == ("turn", "lift", "pass")
        assert stroke(plan, PAGE_UP) == ("turn", "hold", "pass")

    def test_one_case_on_the_machine_is_reached_by_both(self, bench: Compile) -> None:
        """The machine has E only: e and E both reach it."""
        plan = bench()
        assert stroke(plan, E, 1) == stroke(plan, E, 2) == ("e", "pass", "pass")

    def test_what_the_machine_lacks_does_nothing(self, bench: Compile) -> None:
        """No trigger is bound for a character that no key types."""
        assert at(bench(), P, 2) is None

    def test_functions_answer_every_level(self, bench: Compile) -> None:
        """A key with one legend does the same at all four levels."""
        plan = bench()
        assert {stroke(plan, PAUSE, level) for level in range(1, 5)} == {("stop", "pass", "pass")}

    def test_the_keypad_has_num_lock_in_place_of_levels(self, bench: Compile) -> None:
        """Level 1 of a keypad digit key is Num Lock on, level 2 off, and there is no third."""
        plan = bench()
        assert stroke(plan, NUM_8, 1)[0] == "many"
        assert stroke(plan, NUM_8, 2)[0] == "turn"
        assert at(plan, NUM_8, 3) is None

    def test_shift_feeds_shift_by_itself(self, bench: Compile) -> None:
        """Both Shift keys of the host are the machine's shift, merged on the first of its keys, at every level."""
        plan = bench()
        machine = plan.layout.machine
        feed = Feed(modifier="shift", contact=machine.key("shift-one").contact)
        assert [at(plan, usage, level) for usage in (0xE1, 0xE5) for level in range(1, 5)] == [feed] * 8
        assert at(plan, 0xE2) is None

    def test_pass_feeds_a_modifier(self, bench: Compile) -> None:
        """`pass` names one side, or both; AltRight is AltGr on this host and is left out of Alt."""
        plan = bench("pass: {Alt: graph, ControlRight: graph}\n")
        graph = Feed(modifier="graph", contact=plan.layout.machine.key("graph").contact)
        fed = {usage for usage in range(0xE0, 0xE8) if at(plan, usage) == graph}
        assert fed == {0xE2, 0xE4}

    def test_caps_lock_that_the_machine_types_is_its_own(self, bench: Compile) -> None:
        """A machine with a Caps Lock key gets the host's, and the adapter then keeps none."""
        plan = bench()
        assert stroke(plan, CAPS) == ("cap", "pass", "pass")
        assert not plan.caps_lock
        assert plan.num_lock
        without = bench(machine=MACHINE.replace("  cap: {plain: CapsLock}\n", ""))
        assert without.caps_lock
        assert at(without, CAPS) is None

    def test_caps_lock_to_a_latch(self, bench: Compile) -> None:
        """Sent to the machine's latch, Caps Lock sets and frees it; letters let it pass, other characters still lift it."""
        plan = bench("locks: {CapsLock: latch}\n")
        contact = plan.layout.machine.key("shift-one").contact
        assert at(plan, CAPS) == Latch(key="latch", modifier="shift", contact=contact)
        assert not plan.caps_lock
        assert stroke(plan, A, 1) == ("a", "pass", "lift")
        assert stroke(plan, UP) == ("turn", "lift", "pass")


class TestLines:
    """A layout's own lines over what the join gives."""

    def test_a_line_without_modifiers_is_for_the_plain_level(self, bench: Compile) -> None:
        """A key that tells levels apart keeps its others."""
        plan = bench("keys: {KeyA: mark}\n")
        assert stroke(plan, A, 1) == ("mark", "pass", "pass")
        assert stroke(plan, A, 2) == ("a", "hold", "lift")

    def test_a_line_for_a_key_with_one_legend_is_for_all_levels(self, bench: Compile) -> None:
        """Enter does what the line says whatever is held."""
        plan = bench("keys: {Enter: mark}\n")
        assert {stroke(plan, ENTER, level)[0] for level in range(1, 5)} == {"mark"}

    def test_a_line_for_a_keypad_key_is_for_both_states_of_num_lock(self, bench: Compile) -> None:
        """Num Lock on and off."""
        plan = bench("keys: {Numpad8: mark}\n")
        assert stroke(plan, NUM_8, 1)[0] == stroke(plan, NUM_8, 2)[0] == "mark"

    def test_the_line_that_names_modifiers_wins(self, bench: Compile) -> None:
        """In whichever order they stand."""
        for lines in ("{Enter: mark, Shift+Enter: go}", "{Shift+Enter: go, Enter: mark}"):
            plan = bench(f"keys: {lines}\n")
            assert [stroke(plan, ENTER, level)[0] for level in range(1, 5)] == ["mark", "go", "mark", "mark"]

    def test_further_modifiers_are_a_trigger_of_their_own(self, bench: Compile) -> None:
        """With Alt held the line answers, without it the join does; another level falls back to the plain trigger."""
        plan = bench("keys: {Alt+KeyA: mark}\n")
        assert stroke(plan, A, 1, HostModifier.ALT)[0] == "mark"
        assert stroke(plan, A, 1)[0] == "a"
        press = Trigger(usage=Usage(A), level=2, extras=frozenset({HostModifier.ALT}))
        assert plan.lookup(press) == at(plan, A, 2)

    def test_none_silences(self, bench: Compile) -> None:
        """A trigger sent to none does nothing, on purpose."""
        plan = bench("keys: {Shift+KeyA: none}\n")
        assert at(plan, A, 2) == Nothing()
        assert stroke(plan, A, 1)[0] == "a"

    def test_backslash_is_two_usages(self, bench: Compile) -> None:
        """Boards send 0x31 or 0x32 for the one key."""
        plan = bench("keys: {Backslash: mark}\n")
        assert stroke(plan, 0x31) == stroke(plan, 0x32)

    def test_strokes_as_written(self, bench: Compile) -> None:
        """Modifiers named are held, those that select otherwise are lifted, and several keys are one stroke."""
        plan = bench("keys: {F1: shift + a, F2: a + c, F3: graph + stop, F4: stop}\n")
        assert stroke(plan, 0x3A) == ("a", "hold", "lift")
        assert stroke(plan, 0x3B) == ("a c", "lift", "lift")
        assert stroke(plan, 0x3C) == ("stop", "pass", "hold")
        assert stroke(plan, 0x3D) == ("stop", "pass", "pass")

    def test_a_modifiers_key_alone_is_the_modifier(self, bench: Compile) -> None:
        """A line that names only a modifier's key makes the host key that very key."""
        plan = bench("keys: {F1: shift-two}\n")
        assert at(plan, 0x3A) == Feed(modifier="shift", contact=plan.layout.machine.key("shift-two").contact)
        assert at(plan, 0x3A, 4) == at(plan, 0x3A)

    def test_commands(self, bench: Compile) -> None:
        """A command is its number, and binds a key that would otherwise type."""
        plan = bench("commands: {Control+F12: 7, KeyA: 255}\n")
        assert at(plan, 0x45, 1, HostModifier.CONTROL) == Command(number=7)
        assert at(plan, A) == Command(number=255)

    def test_lines_have_their_place(self, bench: Compile) -> None:
        """A binding knows the line that made it; what the join gives has none."""
        plan = bench("keys:\n  F1: a\n")
        places = {binding.trigger: binding.place for binding in plan.bindings}
        line = places[Trigger(usage=Usage(0x3A), level=1)]
        assert line is not None
        assert (line.line, line.column) == (6, 3)
        assert places[Trigger(usage=Usage(A), level=1)] is None


class TestPositional:
    """By where the key sits."""

    LINES = "keys: {KeyA: a, ShiftLeft: shift-one, ShiftRight: shift-two, AltLeft: graph, F1: shift + a}\n"

    def test_everything_passes(self, bench: Compile) -> None:
        """A key is only pressed, at every level; what the typist holds is what the machine sees."""
        plan = bench(self.LINES, join="positional")
        assert {stroke(plan, A, level) for level in range(1, 5)} == {("a", "pass", "pass")}

    def test_sides_are_kept_apart(self, bench: Compile) -> None:
        """Left and right Shift are the machine's left and right."""
        plan = bench(self.LINES, join="positional")
        contacts = [at(plan, usage) for usage in (0xE1, 0xE5)]
        machine = plan.layout.machine
        assert contacts == [
            Feed(modifier="shift", contact=machine.key(name).contact) for name in ("shift-one", "shift-two")
        ]

    def test_nothing_comes_from_the_print(self, bench: Compile) -> None:
        """Only the lines bind: no legend is looked up."""
        plan = bench(self.LINES, join="positional")
        assert {binding.trigger.usage for binding in plan.bindings} == {A, 0x3A, 0xE1, 0xE2, 0xE5}

    def test_a_stroke_may_still_hold(self, bench: Compile) -> None:
        """What a line names is held, the other modifiers pass."""
        assert stroke(bench(self.LINES, join="positional"), 0x3A) == ("a", "hold", "pass")


class TestGuard:
    """The phantom guard."""

    @pytest.mark.parametrize(
        ("lines", "machine", "guard"),
        [
            ("", MACHINE, True),
            ("guard: off\n", MACHINE, False),
            ("contacts: switch-with-diode\n", MACHINE, False),
            ("contacts: follows-select\n", MACHINE, False),
            ("contacts: switch-with-diode\nguard: on\n", MACHINE, True),
        ],
    )
    def test_on_where_a_phantom_is_possible(self, bench: Compile, lines: str, machine: str, guard: bool) -> None:
        """The guard is on unless the contacts make no phantom, or the layout says otherwise."""
        assert bench(lines, machine=machine).guard is guard


@pytest.mark.parametrize("id", shipped_ids())
def test_plans_are_in_order(id: str) -> None:
    """Bindings ascend by usage, level and further modifiers, each trigger once."""
    plan = shipped_plan(id)
    order = [binding.trigger.sort_key() for binding in plan.bindings]
    assert order == sorted(set(order))
    assert {binding.trigger: binding.action for binding in plan.bindings} == dict(plan.by_trigger)
    assert all(action_name(plan.layout.machine, binding.action) for binding in plan.bindings)
