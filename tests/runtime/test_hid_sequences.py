"""Worked report sequences of the HID class definition, version 1.11, pass through the runtime."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
import yaml

from .engine import Contact, Engine, Result
from .table import ALT_GR, Group, Kind, Table, crosspoint

EXAMPLES = yaml.safe_load((Path(__file__).parents[1] / "reference" / "hid-boot-examples.yaml").read_text("utf-8"))

# Every usage below 0x80 has a crosspoint of its own, every modifier a direct line: contacts tell the key set.
ONE_TO_ONE = Table(
    select=16,
    sense=16,
    direct=8,
    modifiers=tuple((Kind.DIRECT, line) for line in range(8)),
    groups=(
        Group(kind=Kind.MODIFIER, entries=tuple((0xE0 + n, 1 << n) for n in range(8))),
        Group(kind=Kind.CROSSPOINT, entries=tuple((u, crosspoint(u >> 4, u & 15)) for u in range(4, 0x80))),
    ),
    flags=ALT_GR,
).to_bytes()


def shown(modifiers: int, usages: set[int]) -> frozenset[Contact]:
    """The contacts that stand for a modifier byte and a set of usages."""
    lines = (("d", n, 0) for n in range(8) if modifiers >> n & 1)
    return frozenset((*lines, *(("x", u >> 4, u & 15) for u in usages)))


def test_section_8_3(start: Callable[[bytes], Engine]) -> None:
    """HID 1.11 section 8.3, Control, Alt and Delete one after the other: each step shows exactly the keys held."""
    example = EXAMPLES["section_8_3_ctrl_alt_del"]
    engine = start(ONE_TO_ONE)
    for step, report in zip(example["steps"], example["boot_8_byte_derived"], strict=True):
        assert engine.raw(bytes(report)) is Result.TAKEN
        engine.run(50)
        assert engine.contacts == shown(step["modifier"], set(step["array"]) - {0}), step["event"]


@pytest.mark.parametrize("field", [0, 1, 2])
def test_appendix_c(start: Callable[[bytes], Engine], field: int) -> None:
    """HID 1.11 appendix C: the key set stays through the rollover row, wherever in the array that usage stands."""
    engine = start(ONE_TO_ONE)
    held: set[int] = set()
    for step in EXAMPLES["appendix_c"]["steps"]:
        array = list(step["array"])
        rolled = array == [1, 1, 1]
        if rolled:
            array = [0, 0, 0]
            array[field] = 1
        else:
            held = set(array) - {0}
        result = engine.raw(bytes([step["modifier"], 0, *array, 0, 0, 0]))
        assert result is (Result.ROLLED if rolled else Result.TAKEN)
        engine.run(50)
        assert engine.contacts == shown(step["modifier"], held), step["event"]


def test_appendix_f5(start: Callable[[bytes], Engine]) -> None:
    """HID 1.11 appendix F.5: the printed boot report means A, F1 and keypad 5."""
    example = EXAMPLES["appendix_f5_boot_decode"]
    engine = start(ONE_TO_ONE)
    engine.raw(bytes(example["report"]))
    engine.run(50)
    assert engine.contacts == shown(0, set(example["keys"]))


@pytest.mark.parametrize("usage", [1, 2, 3])
@pytest.mark.parametrize("field", range(6))
def test_modifiers_under_rollover(start: Callable[[bytes], Engine], usage: int, field: int) -> None:
    """With usage 0x01, 0x02 or 0x03 in any array field the keys stay and the modifier byte is followed."""
    engine = start(ONE_TO_ONE)
    engine.report(0x04, 0x05)
    engine.run(50)
    array = [0x06] * 6
    array[field] = usage
    assert engine.raw(bytes([0x22, 0, *array])) is Result.ROLLED
    engine.run(50)
    assert engine.contacts == shown(0x22, {0x04, 0x05})
    assert engine.raw(bytes([0x00, 0, *array])) is Result.ROLLED
    engine.run(50)
    assert engine.contacts == shown(0, {0x04, 0x05})
    engine.report(0x05)
    engine.run(50)
    assert engine.contacts == shown(0, {0x05})


def test_overflow_of_the_report(start: Callable[[bytes], Engine]) -> None:
    """Seven keys in six fields: the row of 0x01 keeps what was held, the next good report takes over."""
    example = EXAMPLES["overflow_derived"]
    engine = start(ONE_TO_ONE)
    first = example["held"][:6]
    engine.report(*first)
    engine.run(50)
    assert engine.raw(bytes(example["report"])) is Result.ROLLED
    engine.run(50)
    assert engine.contacts == shown(example["modifiers"], set(first))
    engine.report(*example["after_release_of_0x0A_set"])
    engine.run(50)
    assert engine.contacts == shown(0, set(example["after_release_of_0x0A_set"]))
