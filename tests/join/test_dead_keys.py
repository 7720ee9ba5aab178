"""Dead keys in the plan: what waits, what each pair types, and what happens to a dead key that finds no pair."""

from collections.abc import Callable

import pytest

from matrixmap.hid.usages import ALT_RIGHT, CAPS_LOCK, KEYPAD_DIGITS, SHIFT_LEFT, Usage, by_code
from matrixmap.model.layout import HostModifier
from matrixmap.model.plan import Demand, Plan, Stroke, Trigger
from matrixmap.press.rules import REST, Asks, Does, Rules
from matrixmap.press.table.make import EXTRA_BITS
from tests.project import shipped_plan

MACHINE = """machine: bench
title: Bench
source: invented for this test
matrix:
  select: [S0, S1]
  sense: [N0, N1, N2, N3]
  grid:
    S0: [e, quote, shift-left, space]
    S1: [return, acute, delete, escape]
modifiers: {shift: [shift-left]}
types:
  e: {plain: e, shift: é}
  quote: {plain: ¨, shift: '"'}
  acute: {plain: "'"}
  space: {plain: ' '}
  return: {plain: Enter}
  delete: {plain: Backspace}
  escape: {plain: Escape}
scan: {period_us: 20000}
"""
HOST = """host: bench
title: Bench
source: invented for this test
form: iso-105
legends:
  Quote: [{dead: '´'}, {dead: '¨'}]
  Semicolon: [{dead: '´'}, '¨']
  KeyE: [e, E, é]
  KeyB: [b, B]
  Space: [' ']
  Enter: [Enter]
  Escape: [Escape]
  Backspace: [Backspace]
  Numpad8: [8, ArrowUp]
composes:
  '´': space' ´´ eé EÉ
  '¨': space" ¨¨ eë
"""
LAYOUT = "layout: bench\nmachine: bench\nhost: bench\njoin: symbolic\n"


@pytest.fixture
def plan_of(compile_text: Callable[..., Plan]) -> Callable[..., Plan]:
    """Compiles the layout of machine and host above, with further lines."""

    def compiled(lines: str = "", machine: str = MACHINE, host: str = HOST) -> Plan:
        return compile_text(LAYOUT + lines, machine=machine, host=host)

    return compiled


def usage(code: str) -> int:
    """The usage of a W3C code."""
    return by_code(code)[0]


def press(code: str, level: int = 1, *extras: HostModifier) -> Trigger:
    """A trigger by code and level."""
    return Trigger(usage=usage(code), level=level, extras=frozenset(extras))


def typed(plan: Plan) -> dict[tuple[str, str, int], str]:
    """(accent, code, level) -> what the machine types for that pair."""
    codes = {usage(code): code for code in ("Quote", "Semicolon", "KeyE", "KeyB", "Space")}
    pairs = plan.dead_keys.pairs.items()
    return {(accent, codes[number], level): stroke.types.text for (accent, number, level), stroke in pairs}


def test_dead_keys_are_triggers_with_their_accents(plan_of: Callable[..., Plan]) -> None:
    """Every dead legend is a dead trigger; a spacing accent on a key is not."""
    plan = plan_of()
    dead = {(trigger.usage, trigger.level): accent for trigger, accent in plan.dead_keys.triggers.items()}
    quote, semicolon = usage("Quote"), usage("Semicolon")
    # The host has AltGr, and a key of two legends types with it what it types without.
    levels = {
        (quote, 1): "´",
        (quote, 2): "¨",
        (quote, 3): "´",
        (quote, 4): "¨",
        (semicolon, 1): "´",
        (semicolon, 3): "´",
    }
    assert dead == levels


def test_a_pair_types_what_table_and_machine_have(plan_of: Callable[..., Plan]) -> None:
    """Pairs come from the host's table where the machine has the result, in either case of a letter."""
    pairs = typed(plan_of())
    assert pairs["´", "KeyE", 1] == "é"
    assert pairs["´", "KeyE", 2] == "é", "the machine has one case of the letter, and both reach it"
    assert pairs["´", "Space", 2] == "'"
    assert ("´", "Quote", 1) not in pairs, "the machine has no acute accent"
    assert pairs["¨", "Quote", 2] == "¨"
    assert pairs["¨", "Space", 1] == '"'
    assert ("¨", "KeyE", 1) not in pairs, "the machine has no such letter"
    assert ("¨", "Semicolon", 2) not in pairs, "an accent that is not dead is no dead key pressed twice"
    assert ("´", "KeyE", 3) not in pairs, "the table has no pair for that letter"
    assert ("´", "KeyB", 1) not in pairs


def test_the_stroke_of_a_pair_holds_and_lifts(plan_of: Callable[..., Plan]) -> None:
    """A pair is a stroke like any other: é needs shift, whatever the typist holds."""
    plan = plan_of()
    stroke = plan.dead_keys.pairs["´", usage("KeyE"), 1]
    assert stroke.demands == (Demand.HOLD,)
    assert stroke.contacts == (plan.layout.machine.key("e").contact,)


def test_a_dead_key_does_nothing_by_itself(plan_of: Callable[..., Plan]) -> None:
    """A dead key has no stroke of its own; its accent has one, if the machine has it."""
    plan = plan_of()
    assert press("Quote", 1) not in plan.by_trigger
    assert press("Quote", 2) not in plan.by_trigger
    accent = plan.dead_keys.accents["¨"]
    assert isinstance(accent, Stroke)
    assert accent.types.text == "¨"
    assert "´" not in plan.dead_keys.accents


def test_a_line_of_the_layout_makes_a_dead_key_a_plain_one(plan_of: Callable[..., Plan]) -> None:
    """A trigger with a line of its own does that and nothing else, alone and after a dead key."""
    plan = plan_of("keys: {Quote: quote, KeyE: e}\n")
    dead = plan.dead_keys
    assert {(trigger.usage, trigger.level) for trigger in dead.triggers} & {
        (usage("Quote"), 1),
        (usage("KeyE"), 1),
    } == set()
    assert ("´", usage("KeyE"), 1) not in dead.pairs
    assert ("´", usage("KeyE"), 2) in dead.pairs


def test_positional_layouts_have_no_dead_keys(compile_text: Callable[..., Plan]) -> None:
    """By place, a key is a key."""
    plan = compile_text(LAYOUT.replace("symbolic", "positional") + "keys: {Quote: quote}\n", machine=MACHINE, host=HOST)
    assert (dict(plan.dead_keys.triggers), dict(plan.dead_keys.accents), dict(plan.dead_keys.pairs)) == ({}, {}, {})


def after(plan: Plan, accent: str, trigger: Trigger) -> Asks:
    """What a press asks for while the dead key of an accent is pending."""
    rules = Rules(plan)
    extras = sum(EXTRA_BITS[extra] for extra in trigger.extras)
    return rules.asks(trigger.usage, trigger.level, extras, rules.table.accents.index(accent) + 1)


def contacts(asks: Asks) -> list[tuple[int, ...]]:
    """The contacts of each of its strokes."""
    return [stroke.contacts for stroke in asks.strokes]


def own(plan: Plan, trigger: Trigger) -> tuple[int, ...]:
    """The contacts of the stroke of a press by itself."""
    action = plan.lookup(trigger)
    assert isinstance(action, Stroke)
    return action.contacts


def test_a_character_without_a_pair_types_the_accent_first(plan_of: Callable[..., Plan]) -> None:
    """The accent, if the machine has it, then the key itself; another dead key is then the pending one."""
    plan = plan_of()
    accent = plan.dead_keys.accents["¨"].contacts
    then = after(plan, "¨", press("KeyE"))
    assert (then.does, then.accent, contacts(then)) == (Does.STROKE, 0, [accent, own(plan, press("KeyE"))])
    then = after(plan, "¨", press("Quote", 1))
    assert (then.does, contacts(then)) == (Does.DEAD_KEY, [accent])
    assert then.accent == Rules(plan).table.accents.index("´") + 1
    then = after(plan, "´", press("Semicolon", 2))
    assert (then.does, then.accent, contacts(then)) == (Does.STROKE, 0, [own(plan, press("Semicolon", 2))])


def test_a_pair_types_one_character(plan_of: Callable[..., Plan]) -> None:
    """The press itself does not act."""
    plan = plan_of()
    pair = plan.dead_keys.pairs["´", usage("KeyE"), 1]
    then = after(plan, "´", press("KeyE"))
    assert (then.does, then.pair, then.accent, contacts(then)) == (Does.STROKE, True, 0, [pair.contacts])


@pytest.mark.parametrize("number", [SHIFT_LEFT, ALT_RIGHT, CAPS_LOCK])
def test_modifiers_and_locks_keep_a_dead_key(number: int, plan_of: Callable[..., Plan]) -> None:
    """They act, and the dead key stays pending."""
    rules = Rules(plan_of())
    pending = rules.table.accents.index("´") + 1
    outcome = rules.press(REST._replace(accent=pending), Usage(number))
    assert outcome.after.accent == pending
    # A host with AltGr whose machine has no such modifier: it chooses levels and closes nothing.
    does = {SHIFT_LEFT: Does.MODIFIER, ALT_RIGHT: Does.NOTHING, CAPS_LOCK: Does.LOCK}
    assert outcome.does is does[Usage(number)]


@pytest.mark.parametrize("code", ["Backspace", "Escape"])
def test_backspace_and_escape_take_a_dead_key_back(code: str, plan_of: Callable[..., Plan]) -> None:
    """They do nothing else."""
    assert after(plan_of(), "´", press(code)) == Asks(Does.TAKEN_BACK, 0)


def test_other_functions_and_control_drop_a_dead_key(plan_of: Callable[..., Plan]) -> None:
    """They act as ever; so does the keypad with Num Lock off, and a key without a legend."""
    plan = plan_of("keys: {F1: e, Numpad8: quote}\n")
    presses = [press("Enter"), press("KeyE", 1, HostModifier.CONTROL), press("Space", 1, HostModifier.ALT), press("F1")]
    presses.append(Trigger(usage=KEYPAD_DIGITS[7], level=2))
    for each in presses:
        then = after(plan, "´", each)
        assert (then.does, then.accent, contacts(then)) == (Does.STROKE, 0, [own(plan, each)])


def test_a_key_that_does_nothing_keeps_a_dead_key(plan_of: Callable[..., Plan]) -> None:
    """A character or function that the machine lacks, and a key silenced by a line, change nothing."""
    plan = plan_of("keys: {Enter: none}\n")
    pending = Rules(plan).table.accents.index("´") + 1
    presses = [press("KeyB"), press("F1"), press("Enter"), Trigger(usage=KEYPAD_DIGITS[7], level=2)]
    told = {after(plan, "´", each) for each in presses}
    assert told == {Asks(Does.NOTHING, pending), Asks(Does.SILENCED, pending)}


def test_with_further_modifiers_a_dead_key_is_the_same(plan_of: Callable[..., Plan]) -> None:
    """Control and a dead key are that dead key, unless the layout has a line for just that."""
    plan = plan_of("keys: {Control+Quote: quote}\n")
    assert plan.dead_key(press("Quote", 2, HostModifier.ALT)) == "¨"
    assert plan.dead_key(press("Quote", 1, HostModifier.CONTROL)) is None


def test_the_demo_types_accents_with_a_space() -> None:
    """On the demo, which has no accented letters, dead keys make what its table has: ^ ' and the double quote."""
    plan = shipped_plan("quillon8-de-DE-symbolic")
    made = {
        (accent, stroke.types.text)
        for (accent, number, level), stroke in plan.dead_keys.pairs.items()
        if number == usage("Space")
    }
    assert made >= {("^", "^"), ("´", "'"), ("¨", '"')}
    assert set(plan.dead_keys.accents) == {"^"}
