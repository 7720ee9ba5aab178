"""A line for many keys is one line: each finding about it names the line once."""

import pytest

from matrixmap.check.engine.lines import does_the_same, line_place, needless_lines, own_lines, without
from matrixmap.join.plan import compile_plan
from tests.written import found_by, plan_of, told

MACHINE = """
machine: bench
title: Bench
source: made for this test
matrix:
  select: [S0, S1]
  sense: [N0, N1, N2]
  grid:
    S0: [a, b, mosaic]
    S1: [c, flood, enter]
modifiers: {mosaic: mosaic, flood: flood}
types:
  a: {plain: a, mosaic: A}
  b: {plain: b, mosaic: B}
  c: {plain: U1, mosaic: U2}
  enter: {plain: Enter}
scan: {period_us: 20000, rollover: 2}
"""
HEAD = "layout: bench\nmachine: bench\nhost: en-US\njoin: symbolic\n"


def needless(lines: str) -> list[int]:
    """The lines, by number, without which the layout does the same: found quickly, and by compiling without each."""
    plan = plan_of(layout=HEAD + lines, machine=MACHINE)
    layout = plan.layout
    slowly = {
        line_place(line).line for line in own_lines(layout) if does_the_same(plan, compile_plan(without(layout, line)))
    }
    quickly = {line_place(line).line for line, _ in needless_lines(plan)}
    assert slowly == quickly
    return sorted(quickly)


@pytest.mark.parametrize(
    ("lines", "numbers"),
    [
        ("keys:\n  Alt+*: mosaic + *\n", []),
        ("keys:\n  Alt+*: mosaic + *\n  Alt+KeyA: mosaic + a\n", [7]),
        ("keys:\n  Alt+*: mosaic + *\n  Alt+KeyA: none\n", []),
        ("keys:\n  Alt+*: mosaic + *\n  Alt+KeyA: none\n  Alt+KeyB: a\n", [6]),
        # The join gives capitals on Shift by itself.
        ("keys:\n  Shift+*: mosaic + *\n", [6]),
        # Without the second line, F1 would stand for c, and Alt+F1 press it.
        ("keys:\n  Alt+*: mosaic + *\n  F1: c\n", []),
        ("keys:\n  Alt+*: mosaic + *\n  F1: c\n  Alt+F1: mosaic + c\n", [8]),
    ],
)
def test_needless_lines(lines: str, numbers: list[int]) -> None:
    """What a line for many keys gives makes a written line needless, and the line itself where all its keys have lines."""
    assert needless(lines) == numbers


def test_a_line_that_answers_nowhere_is_told_once() -> None:
    """Where each of its keys has a line of its own, the line for many keys is told, with its place."""
    plan = plan_of(layout=HEAD + "keys:\n  Alt+*: mosaic + *\n  Alt+KeyA: none\n  Alt+KeyB: a\n", machine=MACHINE)
    (found,) = found_by("shadowed-line", plan)
    assert (found.place.line, found.place.column) == (6, 3)
    said = "keys Alt+*: mosaic + *: no host key without its own line types a plain legend that this line needs"
    assert found.text.startswith(said)


def test_modifiers_that_act_alone_are_told_once() -> None:
    """A modifier of the host that presses something by itself cannot be held for the line: one finding for all its keys."""
    plan = plan_of(layout=HEAD + "keys:\n  AltLeft: enter\n  AltRight: enter\n  Alt+*: mosaic + *\n", machine=MACHINE)
    (found,) = found_by("ambiguous-line", plan)
    assert found.text.startswith("keys Alt+*: mosaic + *: left Alt and right Alt do something alone")


@pytest.mark.parametrize(
    ("line", "finding"),
    [
        (
            "'*': mosaic + *",
            "3: bad-trigger: * means many keys, so such a trigger needs a modifier of the host, such as Alt+*",
        ),
        ("Alt+*: mosaic + a", "10: bad-stroke: a line for many keys holds modifiers of the machine and ends in *"),
        ("Alt+*: '*'", "10: bad-stroke: a line for many keys holds modifiers of the machine and ends in *"),
        ("Alt+*: none", "10: bad-stroke: a line for many keys holds modifiers of the machine and ends in *"),
        ("Alt+*: mosiac + *", "10: unknown-modifier: the machine has no modifier 'mosiac'; did you mean mosaic?"),
        (
            "Alt+*: flood + *",
            "10: bad-stroke: no key of the machine types anything with flood, so this line has no effect",
        ),
        ("Alt+*: mosaic + mosaic + *", "10: bad-stroke: 'mosaic + mosaic + *' names something twice"),
        ("F1: mosaic + *", "7: bad-stroke: * in a stroke is only possible in a line for many keys, such as Alt+*"),
        ("Allt+*: mosaic + *", "3: bad-trigger: 'Allt' in 'Allt+*' is not a host modifier; did you mean Alt?"),
        (
            "AltGr+*: mosaic + *",
            "3: bad-trigger: AltGr+* needs AltGr, but the host en-US has no legends at levels 3 and 4",
        ),
    ],
)
def test_what_is_no_line_for_many_keys(line: str, finding: str) -> None:
    """Each mistake gives one finding that says what to write, with its place."""
    (text,) = told("layout", layout=f"{HEAD}keys:\n  {line}\n", machine=MACHINE)
    assert text.startswith(f"bench.yaml:6:{finding}")


def test_two_lines_for_the_same_keys() -> None:
    """Two lines for many keys with the same modifiers contradict each other, in whatever order these are named."""
    lines = "keys:\n  Alt+Control+*: mosaic + *\n  Control+Alt+*: mosaic + *\n"
    (text,) = told("layout", layout=HEAD + lines, machine=MACHINE)
    assert text == (
        "bench.yaml:7:3: trigger-twice: Control+Alt+* already has a line: line 6 names the same as Alt+Control+*"
    )


def test_a_command_is_for_one_key() -> None:
    """A number for the firmware on many keys is refused."""
    (text,) = told("layout", layout=HEAD + "commands: {Alt+*: 1}\n", machine=MACHINE)
    assert text == "bench.yaml:5:12: bad-trigger: 'Alt+*' means many keys, but a command has one trigger"
