"""What holds after one call of the runtime from any state holds after any number of calls.

The suite draws states at random for all claims, and has those proofs of CBMC that take seconds; the others, and those of
Frama-C, are in the campaign.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.project import shipped_ids
from tests.shipped import one_of_each

from . import cbmc, provers
from .cbmc import source_of
from .provers import HELD, SMALLEST, WAITING, Case, Fault, alarms, all_counts, prove_step, sample_step

OPENED_TIME_AS_USAGE = Fault(old="byte >= MODIFIER_BYTE ? modifiers", new="byte == MODIFIER_BYTE ? modifiers")
NO_GUARD = Fault(old="FLAG_GUARD) != 0u &&", new="FLAG_GUARD) == 0xFFu &&")
OTHER_DEMANDS_STAY = Fault(
    old="fits = WANTED(state, modifiers);",
    new="fits = WANTED(state, modifiers) || (!first && FOLLOWS_PADS(state, modifiers));",
)
TOO_MANY_STROKES = Fault(old="} else if (state->strokes < MM_HELD) {", new="} else if (state->strokes <= MM_HELD) {")
RELEASE_UNSEEN = Fault(old="            slot->what |= RELEASED;\n        }", new="            ;\n        }")
KEYS_LOST = Fault(old="        set = known;\n", new="        ;\n")
SHORT_TAKEN = Fault(old="    if (length < 8u) {", new="    if (length < 7u) {")
PLACE_KEPT = Fault(old="                state->strokes--;\n", new="                state->strokes++;\n")
TIME_STAYS = Fault(old="    state->settle_left = less(state->settle_left, step);\n", new="")
PRESS_OF_RELEASED = Fault(old="(after & (uint8_t)~known[i])", new="(after ^ known[i])")
ACCENT_STAYS = Fault(
    old="            slot[1].is.press.modifiers = modifiers;\n        }\n        state->accent = 0u;\n",
    new="            slot[1].is.press.modifiers = modifiers;\n        }\n",
)
LINE_STAYS = Fault(old="    state->strokes++;\n    state->waiting--;\n", new="    state->strokes++;\n")
CHANGE_WAITS = Fault(old="    state->behind = NO_CHANGE;\n    sound", new="    sound")
SHORT_GROUP = Fault(old="        if (left < 4u ||", new="        if (left < 1u ||")
POINTER_FIRST = Fault(old="    if (head > left) {\n", new="    at = table + head;\n    if (head > left) {\n")
NO_ROOM_NEEDED = Fault(old="state->waiting < MM_WAITING) {", new="state->waiting <= MM_WAITING) {")
BEHIND_UNCOUNTED = Fault(old="        state->behind++;\n", new="        ;\n")
DROPPED_ARE_KEPT = Fault(old="        state->waiting = (mm_count)(state->waiting - state->behind);\n", new="")
LATCH_OUTLIVES = Fault(
    old="            state->latches = 0u;\n            if ((state->strokes",
    new="            if (state->modifiers != 0u) {\n                state->latches = 0u;\n            }\n"
    "            if ((state->strokes",
)
NEW_LAYOUT_AT_ONCE = Fault(
    old="if ((state->strokes | state->modifiers) == 0u && state", new="if (state->strokes == 0u && state"
)
LAYOUT_BESIDE_STROKES = Fault(
    old="if ((state->strokes | state->modifiers) == 0u &&", new="if (state->modifiers == 0u &&"
)
OLD_MODIFIERS_LIVE = Fault(
    old="modifiers_of(state->input, state->down[i]", new="modifiers_of(state->table, state->down[i]"
)
STROKES_STAY = Fault(
    old="            slot->what |= OPENED;\n#if MM_PADS\n            if (clashed)",
    new="#if MM_PADS\n            if (clashed)",
)
CHANGES_IN_CLOSE_TIME = Fault(old="if (state->close_left != 0u && !CHANGED && whole(state)) {", new="if (false) {")
OPEN_TIMES_GO_ON = Fault(old="                next = open;\n", new="                return next;\n")
EVERYWHERE = ("TIME", "EMPTY", "ROLLED", "MALFORMED", "INPUT", "CHANGE", "DRAIN", "ADVANCE")
# START and DAMAGED begin with any state, RELEASED claims something only where no press waits, PRESS needs a place, and
# no layout stands while a stroke has one (ADVANCE).
STEPS = (
    Case(part="START", strokes=0, waiting=0),
    Case(part="DAMAGED", strokes=0, waiting=0),
    *(Case(part="RELEASED", strokes=strokes, waiting=0) for strokes in range(HELD + 1)),
    *(case for case in all_counts("PRESS") if case.waiting < WAITING),
    *(case for case in all_counts("STANDS") if not case.strokes),
    *(case for part in EVERYWHERE for case in all_counts(part)),
    # What hangs on how the machine compares its scans.
    *(case for part in ("ADVANCE", "DRAIN") for case in all_counts(part, whole=True)),
    *(Case(part="RELEASED", strokes=strokes, waiting=0, whole=True) for strokes in range(HELD + 1)),
    *(case for case in all_counts("STANDS", whole=True) if not case.strokes),
)
SUITE = (
    Case(part="ADVANCE", strokes=2, waiting=0),
    Case(part="ADVANCE", strokes=1, waiting=1, leading=1),
    Case(part="ADVANCE", strokes=1, waiting=1),
    Case(part="TIME", strokes=2, waiting=1),
    Case(part="EMPTY", strokes=2, waiting=2),
    Case(part="EMPTY", strokes=1, waiting=1),
    Case(part="ROLLED", strokes=1, waiting=1),
    Case(part="MALFORMED", strokes=1, waiting=1),
    Case(part="RELEASED", strokes=2, waiting=0),
    Case(part="DRAIN", strokes=2, waiting=2),
    Case(part="DRAIN", strokes=1, waiting=2, leading=1),
    Case(part="START", strokes=0, waiting=0),
    Case(part="DAMAGED", strokes=0, waiting=0),
    Case(part="INPUT", strokes=1, waiting=1),
    Case(part="PRESS", strokes=1, waiting=1),
    Case(part="CHANGE", strokes=1, waiting=2),
    *(Case(part="STANDS", strokes=0, waiting=waiting) for waiting in range(WAITING + 1)),
    Case(part="DRAIN", strokes=0, waiting=0),
    Case(part="ADVANCE", strokes=2, waiting=0, whole=True),
    Case(part="ADVANCE", strokes=2, waiting=1, whole=True),
    Case(part="ADVANCE", strokes=1, waiting=1, leading=1, whole=True),
    Case(part="DRAIN", strokes=2, waiting=2, whole=True),
    Case(part="RELEASED", strokes=2, waiting=0, whole=True),
    Case(part="STANDS", strokes=0, waiting=1, whole=True),
)
SEEDED = (
    (Case(part="ADVANCE", strokes=2, waiting=0), NO_GUARD),
    (Case(part="ADVANCE", strokes=1, waiting=1, leading=1), OTHER_DEMANDS_STAY),
    (Case(part="ADVANCE", strokes=2, waiting=1), TOO_MANY_STROKES),
    (Case(part="TIME", strokes=2, waiting=1), PLACE_KEPT),
    (Case(part="TIME", strokes=2, waiting=1), TIME_STAYS),
    (Case(part="EMPTY", strokes=2, waiting=2), RELEASE_UNSEEN),
    (Case(part="EMPTY", strokes=1, waiting=1), PRESS_OF_RELEASED),
    (Case(part="ROLLED", strokes=2, waiting=2), KEYS_LOST),
    (Case(part="ROLLED", strokes=1, waiting=0), KEYS_LOST),
    (Case(part="RELEASED", strokes=2, waiting=0), STROKES_STAY),
    (Case(part="MALFORMED", strokes=1, waiting=1), SHORT_TAKEN),
    (Case(part="DRAIN", strokes=1, waiting=1), ACCENT_STAYS),
    (Case(part="DRAIN", strokes=0, waiting=1), LINE_STAYS),
    (Case(part="START", strokes=0, waiting=0), CHANGE_WAITS),
    (Case(part="DAMAGED", strokes=0, waiting=0), SHORT_GROUP),
    (Case(part="INPUT", strokes=1, waiting=1), NO_ROOM_NEEDED),
    (Case(part="PRESS", strokes=1, waiting=1), BEHIND_UNCOUNTED),
    (Case(part="CHANGE", strokes=1, waiting=2), DROPPED_ARE_KEPT),
    (Case(part="CHANGE", strokes=1, waiting=2), OLD_MODIFIERS_LIVE),
    (Case(part="STANDS", strokes=0, waiting=0), LATCH_OUTLIVES),
    (Case(part="STANDS", strokes=0, waiting=2), LATCH_OUTLIVES),
    (Case(part="STANDS", strokes=0, waiting=1), NEW_LAYOUT_AT_ONCE),
    (Case(part="ADVANCE", strokes=1, waiting=0), LAYOUT_BESIDE_STROKES),
    (Case(part="DRAIN", strokes=0, waiting=0), LATCH_OUTLIVES),
    (Case(part="ADVANCE", strokes=2, waiting=0, whole=True), CHANGES_IN_CLOSE_TIME),
    (Case(part="ADVANCE", strokes=2, waiting=0, whole=True), OPEN_TIMES_GO_ON),
)
# What CBMC ends with in a few seconds: a part of STEPS and SEEDED for the suite.
LONG = ("ADVANCE", "EMPTY", "ROLLED", "INPUT")
QUICK = (
    *(case for case in STEPS if case.strokes == case.waiting == case.leading == 0 and case.part not in LONG),
    *(case for case in STEPS if case.part == "STANDS" and case.waiting and not case.leading),
)
POINTERS = ((Case(part="DAMAGED", strokes=0, waiting=0), POINTER_FIRST),)
QUICK_FAULTS = (
    *(pair for pair in SEEDED if pair[1] in (ACCENT_STAYS, PLACE_KEPT, LATCH_OUTLIVES, OLD_MODIFIERS_LIVE)),
    *POINTERS,
)


# With pads: whole calls from drawn states, and the steps of a call that do what is done for pads by CBMC.
PADS_PROVEN = (
    Case(part="FOLLOW", strokes=0, waiting=0),
    Case(part="FOLLOW", strokes=1, waiting=1, leading=1),
    *(Case(part="SHOWN", strokes=strokes, waiting=0) for strokes in range(HELD + 1)),
    Case(part="SHOWN", strokes=1, waiting=1, leading=1),
)
PADS = (
    Case(part="PADS", strokes=2, waiting=0),
    Case(part="PADS", strokes=1, waiting=1),
    Case(part="PADS", strokes=1, waiting=1, leading=1),
    Case(part="PADS", strokes=2, waiting=0, whole=True),
    Case(part="PADS", strokes=0, waiting=1),
)
PULLS_UNSEEN = Fault(old="read = joined | other[PULLED];", new="read = joined;")
SHOWN_UNJUDGED = Fault(old="sort_out(state, true, changed || state->shut != 0u)", new="sort_out(state, true, false)")
PAD_STAYS = Fault(old="        pad->on = 0u;\n        pad->young", new="        pad->young")
LIFTED = Fault(old="(((state)->held & (uint8_t)~(asked)) == 0u)", new="((asked) == (asked))")
DUE_UNSEEN = Fault(old="        if (!due) {\n            shut", new="        {\n            shut")
PADS_SEEDED = (
    (PADS[0], PULLS_UNSEEN),
    (PADS[2], SHOWN_UNJUDGED),
    (PADS[0], PAD_STAYS),
    (PADS[0], LIFTED),
    (PADS[4], DUE_UNSEEN),
)


PADS_REFUTED = (
    (PADS_PROVEN[0], PAD_STAYS),
    (PADS_PROVEN[0], DUE_UNSEEN),
    (Case(part="SHOWN", strokes=2, waiting=0), PULLS_UNSEEN),
)


@pytest.mark.campaign
@pytest.mark.parametrize("case", PADS_PROVEN, ids=str)
def test_step_for_pads_is_proven(case: Case, tmp_path: Path) -> None:
    """CBMC refutes no claim about the steps that do what is done for pads."""
    assert prove_step(tmp_path, case) == []


@pytest.mark.campaign
@pytest.mark.parametrize(("case", "fault"), PADS_REFUTED, ids=lambda value: str(value)[:40])
def test_prover_refutes_faults_of_pads(case: Case, fault: Fault, tmp_path: Path) -> None:
    """CBMC refutes the claim that a seeded fault breaks."""
    assert prove_step(tmp_path, case, fault) != []


@pytest.mark.parametrize("case", one_of_each(PADS, lambda case: case.waiting), ids=str)
def test_pads_from_random_states(case: Case, tmp_path: Path) -> None:
    """A switch that is on is closed, a pad that is gone closes nothing, and no stroke makes a phantom with a pad."""
    counted, broken = sample_step(tmp_path, case, 500_000)
    assert broken == ""
    assert counted > 500


@pytest.mark.parametrize(
    ("case", "fault"), one_of_each(PADS_SEEDED, lambda pair: pair[0]), ids=lambda value: str(value)[:40]
)
def test_random_states_find_faults_of_pads(case: Case, fault: Fault, tmp_path: Path) -> None:
    """Each claim fails for a runtime that breaks it."""
    _, broken = sample_step(tmp_path, case, 4_000_000, fault)
    assert broken != ""


@pytest.mark.parametrize("case", one_of_each(SUITE, lambda case: case.part), ids=str)
def test_step_from_random_states(case: Case, tmp_path: Path) -> None:
    """The invariant, P1, P2, P5 and P7 hold after one call from hundreds of random states, and no sanitizer complains."""
    counted, broken = sample_step(tmp_path, case, 500_000)
    assert broken == ""
    assert counted > 500


@pytest.mark.parametrize(
    ("case", "fault"),
    one_of_each(SEEDED, lambda pair: pair[0].part),
    ids=lambda value: str(value)[:16],
)
def test_random_states_find_faults(case: Case, fault: Fault, tmp_path: Path) -> None:
    """Each claim fails for a runtime that breaks it."""
    _, broken = sample_step(tmp_path, case, 4_000_000, fault)
    assert broken != ""


def test_source_of_packages() -> None:
    """The suite that has CBMC takes the place of this Debian's, in both forms of a list of apt."""
    new = "# of the maker\nTypes: deb\nURIs: http://host/debian\nSuites: old old-updates\nComponents: main\nSigned-By: /keys.gpg\n"
    old = "# of the maker\ndeb [arch=amd64 signed-by=/keys.gpg] http://host/debian old main\n"
    wanted = "Types: deb\nURIs: http://host/debian\nSuites: trixie\nComponents: main\nSigned-By: /keys.gpg\n"
    assert source_of(new + "\n" + new) == wanted
    assert source_of(old) == wanted
    assert source_of("# none\n") is None


@pytest.mark.parametrize("case", one_of_each(QUICK, lambda case: (case.part, case.whole)), ids=str)
def test_step_is_proven_here(case: Case, tmp_path: Path) -> None:
    """CBMC proves what it proves within seconds."""
    assert prove_step(tmp_path, case) == []


@pytest.mark.parametrize(
    ("case", "fault"), one_of_each(QUICK_FAULTS, lambda pair: pair[0].part), ids=lambda value: str(value)[:16]
)
def test_fault_is_refuted_here(case: Case, fault: Fault, tmp_path: Path) -> None:
    """And it refutes a claim about a runtime that breaks it."""
    assert prove_step(tmp_path, case, fault) != []


@pytest.mark.campaign
@pytest.mark.parametrize("case", STEPS, ids=str)
def test_step_is_proven(case: Case, tmp_path: Path) -> None:
    """CBMC refutes no claim about one call, nor finds a read or write out of bounds in it."""
    assert prove_step(tmp_path, case) == []


@pytest.mark.campaign
@pytest.mark.parametrize(("case", "fault"), [*SEEDED, *POINTERS], ids=lambda value: str(value)[:16])
def test_prover_refutes_faults(case: Case, fault: Fault, tmp_path: Path) -> None:
    """CBMC refutes the claim that a seeded fault breaks."""
    assert prove_step(tmp_path, case, fault) != []


CALLS = ("ADVANCE", "TIME", "USAGES_SET", "REPORT", "LAYOUT")
MACHINES = ("gcc_x86_32", "gcc_x86_16")
SHIPPED = shipped_ids()


@pytest.mark.campaign
@pytest.mark.parametrize("machine", MACHINES)
@pytest.mark.parametrize("call", CALLS)
@pytest.mark.parametrize("layout", ["quillon8-en-US-positional", "quillon8-fr-FR-symbolic"])
def test_no_alarm(layout: str, call: str, machine: str, tmp_path: Path) -> None:
    """Eva finds no undefined behaviour in any call from any state, with int of 32 and of 16 bits."""
    assert alarms(tmp_path, layout, call, machine) == []


@pytest.mark.campaign
@pytest.mark.parametrize("layout", SHIPPED)
@pytest.mark.parametrize("machine", MACHINES)
@pytest.mark.parametrize("call", ["ADVANCE", "LAYOUT", "USAGES_SET"])
def test_no_alarm_with_any_table(layout: str, machine: str, call: str, tmp_path: Path) -> None:
    """The same for the calls that read the table, with each shipped layout, for one stroke and one press that waits."""
    assert alarms(tmp_path, layout, call, machine, sizes=SMALLEST) == []


@pytest.mark.campaign
def test_alarm_for_fault(tmp_path: Path) -> None:
    """Eva raises an alarm where the time of an opened stroke is taken for a usage below the modifiers."""
    found = alarms(
        tmp_path, "quillon8-en-US-positional", "USAGES_SET", "gcc_x86_32", OPENED_TIME_AS_USAGE, sizes=SMALLEST
    )
    assert any("out of bounds" in alarm for alarm in found)


def not_here() -> list[str]:
    """A machine without CBMC."""
    raise cbmc.NotHereError("cbmc of Debian 99 (no such host)")


def test_without_the_prover_states_are_drawn_and_that_is_told(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """On a contributor's machine random states are tried in place of a proof, and the skip says what ran and that it proves nothing."""
    monkeypatch.delenv("CI", raising=False)
    monkeypatch.setattr(cbmc, "command", not_here)
    monkeypatch.setattr(provers, "INSTEAD", 1000)
    with pytest.raises(
        pytest.skip.Exception, match=r"cbmc of Debian 99 \(no such host\); 1,000 states drawn .* no proof"
    ):
        prove_step(tmp_path, QUICK[0])
    assert (tmp_path / "sampled").is_file()


def test_without_the_prover_a_broken_claim_still_fails(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """What is run instead finds faults, as the samples of the suite do."""
    monkeypatch.delenv("CI", raising=False)
    monkeypatch.setattr(cbmc, "command", not_here)
    monkeypatch.setattr(provers, "sample_step", lambda *_: (0, "P7 is broken"))
    with pytest.raises(AssertionError, match="P7 is broken"):
        prove_step(tmp_path, QUICK[0])


def test_in_ci_nothing_takes_the_place_of_a_proof(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """There the missing prover is a failure with its name, and no state is drawn."""
    monkeypatch.setenv("CI", "true")
    monkeypatch.setattr(cbmc, "command", not_here)
    with pytest.raises(pytest.fail.Exception, match="cbmc of Debian 99"):
        prove_step(tmp_path, QUICK[0])
    assert list(tmp_path.iterdir()) == []
