"""A second host stands in on keys whose own characters the machine lacks."""

from collections.abc import Callable

import pytest

from matrixmap.emit.tables.keylist import key_list
from matrixmap.hid.usages import by_code
from matrixmap.model.legend import Legend
from matrixmap.model.plan import Plan, StandIn, Stroke, Trigger
from matrixmap.press.levels import levels_of

HOST = """host: bench
title: Bench
source: invented for this test
form: iso-105
legends:
  KeyA: [α, Α, '@']
  KeyQ: [';', ':', '·', none]
  KeyW: [ς, W]
  KeyZ: [F1, none]
  Semicolon: [{dead: '´'}, {dead: '΅'}]
  Space: [' ']
composes:
  '´': space'
"""
LAYOUT = "layout: bench\nmachine: quillon8\nhost: bench\njoin: symbolic\nstand_in: en-GB\n"


def usage(code: str) -> int:
    """The usage of a W3C code."""
    return by_code(code)[0]


@pytest.fixture
def plan(compile_text: Callable[..., Plan]) -> Plan:
    """The host above with British legends standing in, on the demo machine."""
    return compile_text(LAYOUT, host=HOST)


def typed(plan: Plan, code: str, level: int) -> str | None:
    """What a trigger types."""
    action = plan.by_trigger.get(Trigger(usage=usage(code), level=level))
    return action.types.text if isinstance(action, Stroke) and action.types else None


def test_letters_that_the_machine_lacks_give_way(plan: Plan) -> None:
    """Level by level, the other host's character is typed where the machine lacks one's own."""
    assert [typed(plan, "KeyA", level) for level in (1, 2, 3)] == ["a", "A", "@"]
    assert [typed(plan, "KeyW", level) for level in (1, 2)] == ["w", "W"]


def test_characters_that_the_machine_has_stay(plan: Plan) -> None:
    """One's own print counts first, though the other host's letter is then on no key."""
    assert [typed(plan, "KeyQ", level) for level in (1, 2)] == [";", ":"]


def test_an_empty_level_of_a_character_key_is_filled(plan: Plan) -> None:
    """On levels 3 and 4 the other host prints @, which the machine has, and Ω, which it has not."""
    assert [typed(plan, "KeyQ", level) for level in (3, 4)] == ["@", None]


def test_a_level_without_a_print_is_filled(compile_text: Callable[..., Plan]) -> None:
    """Where one's own host prints nothing on level 3 of a key of characters, the @ of the other host stands there."""
    plan = compile_text(LAYOUT, host=HOST.replace("'·', none]", "none, '·']"))
    assert [typed(plan, "KeyQ", level) for level in (1, 2, 3)] == [";", ":", "@"]


def test_functions_stay(plan: Plan) -> None:
    """Only a character gives way to a character, and a key without characters stays as it is."""
    assert [typed(plan, "KeyZ", level) for level in (1, 2)] == [None, None]


def test_a_dead_key_stays_if_the_machine_can_do_something_with_it(plan: Plan) -> None:
    """An acute accent makes an apostrophe with a space, so it stays dead; an accent without use gives way."""
    triggers = plan.dead_keys.triggers
    assert triggers[Trigger(usage=usage("Semicolon"), level=1)] == "´"
    assert Trigger(usage=usage("Semicolon"), level=2) not in triggers
    assert typed(plan, "Semicolon", 2) == ":"


def test_the_plan_lists_every_stand_in(plan: Plan) -> None:
    """Each trigger with the legend that is printed there and the one that it types."""
    listed = {(item.trigger.usage, item.trigger.level): (item.own.text, item.legend.text) for item in plan.stand_ins}
    semicolon = {(usage("Semicolon"), 2): ("΅", ":")}
    a = {(usage("KeyA"), 1): ("α", "a"), (usage("KeyA"), 2): ("Α", "A")}
    w = {(usage("KeyW"), 1): ("ς", "w")}
    assert {cell: pair for cell, pair in listed.items() if cell[1] <= 2 or cell[0] == usage("Semicolon")} == {
        **a,
        **w,
        **semicolon,
    }
    assert plan.stand_ins[0] == StandIn(
        trigger=Trigger(usage=usage("KeyA"), level=1), own=Legend("α"), legend=Legend("a")
    )


def test_a_line_of_the_layout_wins(compile_text: Callable[..., Plan]) -> None:
    """Where a line of the layout says what a trigger does, nothing stands in."""
    plan = compile_text(LAYOUT + "keys: {KeyA: at}\n", host=HOST)
    assert typed(plan, "KeyA", 1) == "@"
    assert (usage("KeyA"), 1) not in {(item.trigger.usage, item.trigger.level) for item in plan.stand_ins}


def test_without_a_second_host_nothing_stands_in(compile_text: Callable[..., Plan]) -> None:
    """The field is a wish of the layout, not a rule of the join."""
    plan = compile_text(LAYOUT.replace("stand_in: en-GB\n", ""), host=HOST)
    assert plan.stand_ins == ()
    assert typed(plan, "KeyA", 1) is None


def test_the_key_list_says_which_keys(plan: Plan) -> None:
    """The key list of a build has a line for each trigger on which the second host stands in."""
    text = key_list(levels_of(plan), "0", "this test")
    after = text.split("stands in:\n", 1)[1]
    assert "| KeyA | α | a |" in after
    assert "| Shift+Semicolon | ΅ | : |" in after
    assert after.count("\n| ") - 2 == len(plan.stand_ins)
