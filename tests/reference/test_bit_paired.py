"""Bit-paired shift pairs against typewriter-paired hosts: ECMA-23, 2nd edition 1975, and ISO 2530 (see bit-paired.yaml).

The Quillon 8 is bit-paired. So a host's Shift must be added for some characters and lifted for others.
"""

from __future__ import annotations

import ctypes
from pathlib import Path

import pytest

from matrixmap.hid.usages import Usage
from matrixmap.model.plan import Demand, Plan, Stroke, Trigger
from tests.emit.compiled import table_bytes
from tests.project import ROOT, shipped_plan
from tests.reference.pressing import Press, closed_by
from tests.reference.printed import read_host, read_machine, tree

FACTS = tree(Path(__file__).with_name("bit-paired.yaml"))
DIGITS: dict[str, str] = FACTS["digits"]["bit_paired"]
PAIRS: dict[str, str] = {**DIGITS, **FACTS["punctuation"]["bit_paired_xor_10"]}
HOSTS = ("en-US", "en-GB", "de-DE", "fr-FR")
MACHINE = read_machine(ROOT / "shared" / "machines" / "quillon8.yaml")
SHIFTED, PLAIN = frozenset({"shift"}), frozenset[str]()


def plan_of(host: str) -> Plan:
    """The plan of the symbolic layout for a host."""
    return shipped_plan(f"quillon8-{host}-symbolic")


def stroke_at(plan: Plan, usage: int, level: int) -> Stroke:
    """The stroke of a trigger."""
    action = plan.by_trigger[Trigger(usage=Usage(usage), level=level)]
    assert isinstance(action, Stroke)
    return action


def shift_of(plan: Plan, usage: int, level: int) -> Demand:
    """What the stroke of a trigger asks of the machine's shift."""
    names = [modifier.name for modifier in plan.layout.machine.modifiers]
    return stroke_at(plan, usage, level).demands[names.index("shift")]


def key_at(plan: Plan, usage: int, level: int) -> str:
    """The machine's key that a trigger presses."""
    (contact,) = stroke_at(plan, usage, level).contacts
    return next(key.name for key in plan.layout.machine.keys if key.contact == contact)


def test_the_pairs_follow_one_bit() -> None:
    """ECMA-6: a bit-paired shift flips bit 0x10 of the code."""
    assert all(ord(shifted) == ord(plain) ^ 0x10 for plain, shifted in PAIRS.items())


def test_the_machine_is_bit_paired() -> None:
    """Each pair of the reference is one key of the Quillon 8, plain and shifted."""
    for plain, shifted in PAIRS.items():
        (key,) = [key for key, types in MACHINE.types.items() if types.get(PLAIN) == plain]
        assert MACHINE.types[key][SHIFTED] == shifted


@pytest.mark.parametrize(("host", "pairing"), [("en-US", "us_typewriter"), ("en-GB", "uk_typewriter_pc")])
def test_the_hosts_are_typewriter_paired(host: str, pairing: str) -> None:
    """The digit rows of the US and UK hosts are those of the reference."""
    read = read_host(ROOT / "shared" / "hosts", host)
    pairs = {read.at(usage, 1): read.at(usage, 2) for usage in range(0x1E, 0x28)}
    assert pairs == FACTS["digits"][pairing]


@pytest.mark.parametrize("host", HOSTS)
def test_each_character_takes_the_shift_of_its_pair(host: str) -> None:
    """Wherever a host prints a character of a pair, its stroke is that pair's key, shift held or lifted as the pair says."""
    plan, read = plan_of(host), read_host(ROOT / "shared" / "hosts", host)
    shifts = {**dict.fromkeys(PAIRS, Demand.LIFT), **dict.fromkeys(PAIRS.values(), Demand.HOLD)}
    keys = {
        MACHINE.types[key][state]: key
        for key in MACHINE.types
        for state in (PLAIN, SHIFTED)
        if state in MACHINE.types[key]
    }
    met = set()
    for usage in read.legends:
        for level in range(1, read.levels + 1) if usage not in range(0x59, 0x64) else (1,):
            printed = read.at(usage, level)
            if printed in shifts:
                assert shift_of(plan, usage, level) is shifts[printed], (hex(usage), level, printed)
                assert key_at(plan, usage, level) == keys[printed]
                met.add(printed)
    assert met == set(shifts)


def test_us_digits_that_differ_lose_or_change_their_shift() -> None:
    """On a US host Shift with a digit types what is printed: the same key where the pairings agree, else another one."""
    plan = plan_of("en-US")
    for number, digit in enumerate("1234567890"):
        usage, printed = 0x1E + number, FACTS["digits"]["us_typewriter"][digit]
        same = key_at(plan, usage, 2) == f"d{digit}" and shift_of(plan, usage, 2) is Demand.HOLD
        assert same == (digit in FACTS["digits"]["same_us"])
        assert (not same) == (digit in FACTS["digits"]["differ_us"])
        typed = stroke_at(plan, usage, 2).types
        assert typed is not None
        assert typed.text == printed


ADDED_OR_LIFTED = [
    # host, usage, level, what is printed, the machine's keys
    ("en-US", 0x34, 1, "'", {"d7", "shift"}),
    ("en-US", 0x1F, 2, "@", {"at"}),
    ("en-US", 0x23, 2, "^", {"caret", "shift"}),  # shift selects nothing on this key, so it passes
    ("en-US", 0x33, 2, ":", {"colon"}),
    ("en-US", 0x2E, 1, "=", {"minus", "shift"}),
    ("en-GB", 0x34, 2, "@", {"at"}),
    ("en-GB", 0x20, 2, "£", {"l", "blazon"}),  # its shift is lifted and another modifier held
    ("en-GB", 0x32, 1, "#", {"d3", "shift"}),
    ("de-DE", 0x32, 1, "#", {"d3", "shift"}),
    ("de-DE", 0x24, 2, "/", {"slash"}),
    ("de-DE", 0x37, 2, ":", {"colon"}),
    ("de-DE", 0x14, 3, "@", {"at"}),
    ("fr-FR", 0x1E, 1, "&", {"d6", "shift"}),
    ("fr-FR", 0x1E, 2, "1", {"d1"}),
    ("fr-FR", 0x36, 2, ".", {"period"}),
    ("fr-FR", 0x38, 1, "!", {"d1", "shift"}),
]


@pytest.mark.parametrize(("host", "usage", "level", "printed", "wanted"), ADDED_OR_LIFTED)
def test_shift_is_added_or_lifted_in_c(
    lib: ctypes.CDLL, built: Path, host: str, usage: int, level: int, printed: str, wanted: set[str]
) -> None:
    """The compiled C holds the machine's shift though the typist does not, and the other way round."""
    plan = plan_of(host)
    assert read_host(ROOT / "shared" / "hosts", host).at(usage, level) == printed
    closed = closed_by(lib, table_bytes(lib, built, plan), plan, Press(usage, level))
    keys, held = MACHINE.decode(closed)
    assert {*keys, *held} == wanted
    assert MACHINE.typed(closed) == printed
