"""What holds after one call of the runtime from any state holds after any number of calls.

The proofs need Frama-C and CBMC and are in the campaign. The suite draws states at random for the same claims.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from .provers import SMALLEST, Case, Fault, alarms, all_counts, prove_step, sample_step

OPENED_TIME_AS_USAGE = Fault(old="byte >= MODIFIER_BYTE ? modifiers", new="byte == MODIFIER_BYTE ? modifiers")
NO_GUARD = Fault(old="(FLAG_GUARD | FLAG_NO_PHANTOM)) == FLAG_GUARD)", new="FLAG_GUARD) == 0xFFu)")
OTHER_DEMANDS_STAY = Fault(old="if (modifiers == state->wanted) {", new="if (modifiers == state->wanted || !first) {")
TOO_MANY_STROKES = Fault(old="} else if (state->strokes < MM_HELD) {", new="} else if (state->strokes <= MM_HELD) {")
RELEASE_UNSEEN = Fault(old="            slot->what |= RELEASED;\n        }", new="            ;\n        }")
KEYS_LOST = Fault(old="        set = known;\n", new="        ;\n")
SHORT_TAKEN = Fault(old="    if (length < 8u) {", new="    if (length < 7u) {")
PLACE_KEPT = Fault(old="                state->strokes--;\n", new="                state->strokes++;\n")
STROKES_STAY = Fault(
    old="            slot->what |= OPENED;\n            if (slot == end)", new="            if (slot == end)"
)

FULL_OR_EMPTY = tuple(
    Case(part=part, strokes=strokes, waiting=waiting)
    for part, waiting in (("ROLLED", 2), ("RELEASED", 0))
    for strokes in range(3)
)
# With room in the line CBMC follows presses that an empty set cannot make, and runs out of memory.
EMPTY_WITH_A_FULL_LINE = tuple(case for case in all_counts("EMPTY") if case.waiting >= 2)
STEPS = (
    *all_counts("ADVANCE"),
    *all_counts("TIME"),
    *EMPTY_WITH_A_FULL_LINE,
    *all_counts("MALFORMED"),
    *FULL_OR_EMPTY,
)
SUITE = (
    Case(part="ADVANCE", strokes=2, waiting=0),
    Case(part="ADVANCE", strokes=1, waiting=1, leading=1),
    Case(part="ADVANCE", strokes=1, waiting=1),
    Case(part="TIME", strokes=2, waiting=1),
    Case(part="EMPTY", strokes=2, waiting=2),
    Case(part="ROLLED", strokes=1, waiting=1),
    Case(part="MALFORMED", strokes=1, waiting=1),
    Case(part="RELEASED", strokes=2, waiting=0),
    Case(part="DRAIN", strokes=2, waiting=2),
)
SEEDED = (
    (Case(part="ADVANCE", strokes=2, waiting=0), NO_GUARD),
    (Case(part="ADVANCE", strokes=1, waiting=1, leading=1), OTHER_DEMANDS_STAY),
    (Case(part="ADVANCE", strokes=2, waiting=1), TOO_MANY_STROKES),
    (Case(part="TIME", strokes=2, waiting=1), PLACE_KEPT),
    (Case(part="EMPTY", strokes=2, waiting=2), RELEASE_UNSEEN),
    (Case(part="ROLLED", strokes=2, waiting=2), KEYS_LOST),
    (Case(part="RELEASED", strokes=2, waiting=0), STROKES_STAY),
    (Case(part="MALFORMED", strokes=1, waiting=2), SHORT_TAKEN),
)


@pytest.mark.parametrize("case", SUITE, ids=str)
def test_step_from_random_states(case: Case, tmp_path: Path) -> None:
    """The invariant, P1, P2, P5 and P7 hold after one call from hundreds of random states, and no sanitizer complains."""
    counted, broken = sample_step(tmp_path, case, 500_000)
    assert broken == ""
    assert counted > 500


@pytest.mark.parametrize(
    ("case", "fault"),
    SEEDED,
    ids=lambda value: str(value)[:16],
)
def test_random_states_find_faults(case: Case, fault: Fault, tmp_path: Path) -> None:
    """Each claim fails for a runtime that breaks it."""
    _, broken = sample_step(tmp_path, case, 4_000_000, fault)
    assert broken != ""


@pytest.mark.campaign
@pytest.mark.parametrize("case", STEPS, ids=str)
def test_step_is_proven(case: Case, tmp_path: Path) -> None:
    """CBMC refutes no claim about one call, nor finds a read or write out of bounds in it."""
    assert prove_step(tmp_path, case) == []


# A short report that is taken leads CBMC through all presses, and it did not end within five minutes.
@pytest.mark.campaign
@pytest.mark.parametrize(
    ("case", "fault"), [pair for pair in SEEDED if pair[1] is not SHORT_TAKEN], ids=lambda value: str(value)[:16]
)
def test_prover_refutes_faults(case: Case, fault: Fault, tmp_path: Path) -> None:
    """CBMC refutes the claim that a seeded fault breaks."""
    assert prove_step(tmp_path, case, fault) != []


CALLS = ("ADVANCE", "TIME", "USAGES_SET", "REPORT", "LAYOUT")
MACHINES = ("gcc_x86_32", "gcc_x86_16")


@pytest.mark.campaign
@pytest.mark.parametrize("machine", MACHINES)
@pytest.mark.parametrize("call", CALLS)
def test_no_alarm(call: str, machine: str, tmp_path: Path) -> None:
    """Eva finds no undefined behaviour in any call from any state, with int of 32 and of 16 bits."""
    assert alarms(tmp_path, "quillon8-en-US-positional", call, machine) == []


@pytest.mark.campaign
def test_alarm_for_fault(tmp_path: Path) -> None:
    """Eva raises an alarm where the time of an opened stroke is taken for a usage below the modifiers."""
    found = alarms(
        tmp_path, "quillon8-en-US-positional", "USAGES_SET", "gcc_x86_32", OPENED_TIME_AS_USAGE, sizes=SMALLEST
    )
    assert any("out of bounds" in alarm for alarm in found)
