"""Every witness is true: carried out, it closes the contacts that it names, and the machine reads what it says."""

import pytest

from matrixmap.check.rules.phantoms import BEYOND, NOT_MADE
from matrixmap.check.run import Checked, check_plan
from matrixmap.model.layout import Contacts
from matrixmap.model.plan import Plan
from matrixmap.model.words import shown
from matrixmap.press.words import key_words
from tests.check.adapter import Adapter
from tests.check.cases import case_slugs, load_case, plan_of
from tests.check.circuit import Circuit
from tests.check.desk import without_rollover
from tests.check.replay import check_witness
from tests.project import sample_ids, shipped_plan
from tests.shipped import OTHERS, costly_ids, some_of

# A finding with a phantom says so, one without masks or contradicts, and what is only counted needs no witness.
WITH_PHANTOM = {
    "stroke-makes-phantom",
    "modifiers-make-phantom",
    "modifier-makes-phantom",
    "two-keys-make-phantom",
    "three-keys-make-phantom",
    "phantom-without-key",
    "controller-makes-phantom",
}
MASKED = {"change-is-masked", "stroke-closes-rectangle"}
WITHOUT_PHANTOM = {"strokes-contradict", "strokes-share-contact", "beyond-six-keys"}

KEYS = {
    "modifiers-make-phantom": 0,
    "modifier-makes-phantom": 1,
    "two-keys-make-phantom": 2,
    "three-keys-make-phantom": 3,
}


CIRCUITS: dict[tuple[str, Contacts], Circuit] = {}


def circuit_of(plan: Plan) -> Circuit:
    """The circuit of a plan's machine; a shipped machine's is kept, with all that it read."""
    machine = plan.layout.machine
    if not machine.place.file.startswith("shipped"):
        return Circuit(machine, plan.contacts)
    return CIRCUITS.setdefault((machine.id, plan.contacts), Circuit(machine, plan.contacts))


def replay_all(plan: Plan, every: int = 1) -> int:
    """Checks every so manieth witness of a plan's findings, and all of its verdict; returns how many there were."""
    checked = check_plan(plan)
    circuit = circuit_of(plan)
    adapter = Adapter(plan, limits=False)
    count = 0
    for finding in (*checked.findings, *checked.accepted)[::every]:
        witness = finding.witness
        if witness is None or not witness.made:
            told = finding.slug in WITH_PHANTOM | WITHOUT_PHANTOM | MASKED
            only_told = any(words in finding.text for words in ("dead key", NOT_MADE, BEYOND))
            assert not told or only_told, finding.text
            continue
        count += 1
        check_witness(plan, circuit, witness, adapter)
        if finding.slug != "change-is-masked":  # four contacts may make a phantom with a modifier besides
            assert bool(witness.phantoms) is (finding.slug in WITH_PHANTOM), finding
        assert bool(witness.unseen) is (finding.slug in MASKED), finding
        assert len(witness.presses) == KEYS.get(finding.slug, len(witness.presses)), finding
        check_words(plan, finding.text, finding)
    for practice in checked.verdict.practice:
        count += 1
        check_witness(plan, circuit, practice.witness, adapter)
    check_practice(plan, checked)
    return count


def check_words(plan: Plan, text: str, finding) -> None:
    """The text names each key as printed and each contact by its lines."""
    if finding.slug in ("strokes-contradict", "strokes-share-contact"):
        return
    for press in (press for way in finding.witness.presses for press in way):
        cap = shown(key_words(plan.layout.host, press)).split()[-1]
        assert cap in text, (cap, text)
    contacts = finding.witness.phantoms if finding.slug != "controller-makes-phantom" else finding.witness.phantoms[:1]
    for contact in contacts:
        assert plan.layout.machine.contact_name(contact) in text, text


def check_practice(plan: Plan, checked: Checked) -> None:
    """With the guard on, a combination that the bare matrix reads wrongly is not left whole."""
    if plan.guard:
        assert not any(practice.reads and all(practice.kept) for practice in checked.verdict.practice)


WITNESSES = {"quillon8": 1300, "langet41": 100, "ricasso12-fo": 0}
"""Fewer than a layout for the machine has at least: on the Ricasso the contacts' diodes let no phantom be."""


@pytest.mark.parametrize("id", costly_ids("witnesses"))
def test_every_witness_of_a_shipped_layout_is_true(id):
    """Its events, played by the compiled runtime and read by a circuit written apart, show what its finding says."""
    every = 1 if id in (*sample_ids(), *OTHERS) else 10
    plan = shipped_plan(id)
    assert replay_all(plan, every) > WITNESSES[plan.layout.machine.id] // every


@pytest.mark.parametrize("id", some_of(sample_ids(), "any number", 3))
def test_every_witness_is_true_where_the_machine_tells_any_number_of_keys_apart(id):
    """The same without a limit of keys, so that sets of three and four keys have witnesses of their own."""
    assert replay_all(without_rollover(shipped_plan(id)), 5) > 4000 // 5


@pytest.mark.parametrize("slug", case_slugs())
def test_every_witness_of_the_cases_is_true(slug):
    """The same for the small layouts that show each rule, good and bad."""
    case = load_case(slug)
    if slug not in ("table-too-large", "table-unsound"):  # no runtime can be given what no table can hold
        replay_all(plan_of(case.bad, case.bad_machine))
    replay_all(plan_of(case.good, case.good_machine))
