"""Lines for many keys: `Alt+*: graph + *` is a line for each key of the machine that types something with graph."""

from collections.abc import Callable

import pytest

from matrixmap.hid.usages import Usage, by_code
from matrixmap.model.layout import HostModifier
from matrixmap.model.plan import Plan, Stroke, Trigger
from matrixmap.model.words import stroke_name

Compile = Callable[..., Plan]

LETTERS = "abcdefghijklmnopqrstuvwxyz"
DIGITS = "0123456789"
MACHINE = """
machine: bench
title: Bench
source: made for this test
matrix:
  select: [S0, S1, S2, S3, S4]
  sense: [N0, N1, N2, N3, N4, N5, N6, N7]
  grid:
    S0: [a, b, c, d, e, f, g, h]
    S1: [i, j, k, l, m, n, o, p]
    S2: [q, r, s, t, u, v, w, x]
    S3: [y, z, d0, d1, d2, d3, d4, d5]
    S4: [d6, d7, d8, d9, shift, mosaic, dot, u1]
modifiers: {shift: shift, mosaic: mosaic}
types:
  dot: {plain: '.', mosaic: '°'}
  u1: {plain: U1, mosaic: U2}
"""
MACHINE += "".join(
    f"  {char}: {{plain: {char}, shift: {char.upper()}, mosaic: {chr(0x2580 + number)}}}\n"
    for number, char in enumerate(LETTERS)
)
MACHINE += "".join(f"  d{char}: {{plain: {char}, mosaic: {chr(0x25A0 + int(char))}}}\n" for char in DIGITS)
MACHINE += "scan: {period_us: 20000, rollover: 2}\n"
LAYOUT = "layout: bench\nmachine: bench\nhost: {host}\njoin: symbolic\n"
WRITTEN = {**{f"Key{char.upper()}": char for char in LETTERS}, **{f"Digit{char}": f"d{char}" for char in DIGITS}}


def lines(pairs: dict[str, str], trigger: str = "Alt") -> str:
    """The lines written out, one a host key."""
    return "keys:\n" + "".join(f"  {trigger}+{code}: mosaic + {key}\n" for code, key in pairs.items())


def same(one: Plan, other: Plan) -> None:
    """Both plans do the same on every trigger, dead keys and locks included."""
    assert one.by_trigger == other.by_trigger
    assert one.dead_keys == other.dead_keys
    assert (one.caps_lock, one.num_lock, one.timing, one.guard) == (
        other.caps_lock,
        other.num_lock,
        other.timing,
        other.guard,
    )


def pressed(plan: Plan, code: str, level: int = 1, *extras: HostModifier) -> str | None:
    """The stroke of a trigger as a layout writes it."""
    action = plan.by_trigger.get(Trigger(usage=by_code(code)[0], level=level, extras=frozenset(extras)))
    return stroke_name(plan.layout.machine, action) if isinstance(action, Stroke) else None


FRENCH = {**WRITTEN, "KeyA": "q", "KeyQ": "a", "KeyW": "z", "KeyZ": "w", "Semicolon": "m", "Comma": "dot"}
del FRENCH["KeyM"]


@pytest.mark.parametrize(
    ("host", "written"),
    [
        ("en-US", {**WRITTEN, "Period": "dot"}),
        ("de-DE", {**WRITTEN, "KeyY": "z", "KeyZ": "y", "Period": "dot"}),
        # Digits and the full stop are typed with Shift there.
        ("fr-FR", FRENCH),
        # Letters stand in; the full stop is printed on the key beside the one where it would stand in.
        ("ru-RU\nstand_in: en-US", {**WRITTEN, "Slash": "dot"}),
    ],
)
@pytest.mark.parametrize("trigger", ["Alt", "Shift+Control", "Meta+Alt"])
def test_one_line_is_the_lines_written_out(
    compile_text: Compile, host: str, written: dict[str, str], trigger: str
) -> None:
    """One line gives the same plan as a line for each key, on the host key that types its plain legend at any level."""
    head = LAYOUT.format(host=host)
    one = compile_text(f"{head}keys: {{{trigger}+*: mosaic + *}}\n", machine=MACHINE)
    other = compile_text(head + lines(written, trigger), machine=MACHINE)
    assert sum(bool(trigger.extras) for trigger in one.by_trigger) >= len(written) == 37
    same(one, other)


def test_a_positional_layout_goes_by_its_pairs(compile_text: Compile) -> None:
    """By place, the host key answers that presses the key by itself, whatever it prints."""
    head = LAYOUT.format(host="en-US").replace("symbolic", "positional") + "keys:\n  KeyQ: a\n  F1: d1\n  F2: u1\n"
    one = compile_text(head + "  Alt+*: mosaic + *\n", machine=MACHINE)
    same(
        one,
        compile_text(head + "  Alt+KeyQ: mosaic + a\n  Alt+F1: mosaic + d1\n  Alt+F2: mosaic + u1\n", machine=MACHINE),
    )


def test_both_usages_of_a_code_are_one_host_key(compile_text: Compile) -> None:
    """Keyboards send 0x31 or 0x32 for Backslash (HID Usage Tables, Keyboard page): a line for many keys answers on both."""
    head = LAYOUT.format(host="en-US").replace("symbolic", "positional")
    plan = compile_text(head + "keys: {Backslash: a, Alt+*: mosaic + *}\n", machine=MACHINE)
    alt = frozenset({HostModifier.ALT})
    actions = [plan.by_trigger[Trigger(usage=Usage(usage), level=1, extras=alt)] for usage in (0x31, 0x32)]
    assert [stroke_name(plan.layout.machine, each) for each in actions if isinstance(each, Stroke)] == [
        "mosaic + a"
    ] * 2


def test_a_line_that_names_a_key_wins(compile_text: Compile) -> None:
    """Whether it stands above or below, in the file itself or in its base."""
    head = LAYOUT.format(host="en-US")
    plan = compile_text(head + "keys: {Alt+KeyA: d1, Alt+*: mosaic + *, Alt+KeyB: none}\n", machine=MACHINE)
    assert pressed(plan, "KeyA", 1, HostModifier.ALT) == "d1"
    assert pressed(plan, "KeyB", 1, HostModifier.ALT) is None
    assert pressed(plan, "KeyC", 1, HostModifier.ALT) == "mosaic + c"


def test_a_function_is_no_plain_legend_that_a_host_lacks(compile_text: Compile) -> None:
    """A key whose plain legend no host key types answers nowhere, until a line gives it a host key."""
    head = LAYOUT.format(host="en-US")
    bare = compile_text(head + "keys: {Alt+*: mosaic + *}\n", machine=MACHINE)
    assert "mosaic + u1" not in {stroke_name(bare.layout.machine, each) for each in strokes(bare)}
    plan = compile_text(head + "keys: {F5: u1, Alt+*: mosaic + *}\n", machine=MACHINE)
    assert pressed(plan, "F5", 1, HostModifier.ALT) == "mosaic + u1"


def strokes(plan: Plan) -> list[Stroke]:
    """All strokes of single presses."""
    return [binding.action for binding in plan.bindings if isinstance(binding.action, Stroke)]


def test_keys_of_the_main_block_come_before_the_keypad(compile_text: Compile) -> None:
    """A digit answers on the main block though it takes Shift there, and the keypad types it without."""
    plan = compile_text(LAYOUT.format(host="fr-FR") + "keys: {Alt+*: mosaic + *}\n", machine=MACHINE)
    assert pressed(plan, "Digit1", 1, HostModifier.ALT) == "mosaic + d1"
    assert pressed(plan, "Numpad1", 1, HostModifier.ALT) is None


def test_two_keys_on_one_host_key(compile_text: Compile) -> None:
    """Where one host key types the plain legends of two keys, the lower level has it, and the other key the next place."""
    machine = MACHINE.replace("u1]", "and]").replace("u1: {plain: U1", "and: {plain: '&'")
    plan = compile_text(LAYOUT.format(host="fr-FR") + "keys: {Alt+*: mosaic + *}\n", machine=machine)
    assert pressed(plan, "Digit1", 1, HostModifier.ALT) == "mosaic + and"
    assert pressed(plan, "Numpad1", 1, HostModifier.ALT) == "mosaic + d1"
