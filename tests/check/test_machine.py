"""A machine checked by itself: its conflicts are those of brute force, and stand in no layout's report."""

from __future__ import annotations

import json
from itertools import combinations
from pathlib import Path

import pytest
from hypothesis import given
from jsonschema import Draft202012Validator

from matrixmap.check.engine.machine_conflicts import MachineConflicts, machine_conflicts, modifier_contacts
from matrixmap.check.machine import check_machine
from matrixmap.check.registry import CHECK_RULES
from matrixmap.check.rules.of_machine import MACHINE_RULES
from matrixmap.check.run import check_plan
from matrixmap.form.schemas import findings_schema
from matrixmap.model.layout import Contacts
from matrixmap.model.machine import Machine
from tests.check.cases import case_project
from tests.check.circuit import Circuit
from tests.check.machines import machines_and_layouts
from tests.check.test_complete import SLOW
from tests.check.test_switches import smallest_sets
from tests.project import HANDBOOK, ROOT, call, open_folders, sample_ids, shipped_plan, write_project
from tests.shipped import OTHERS, some_of

MACHINES = ("quillon8", "langet41", "ricasso12-fo")


def machine_of(id: str) -> Machine:
    loaded = open_folders(HANDBOOK).machine(id)
    assert loaded is not None
    assert loaded.value is not None
    return loaded.value


def matrix_keys(machine: Machine) -> list[int]:
    return sorted(key.contact for key in machine.keys if key.contact < machine.crosspoints)


def check_triples(machine: Machine, how: Contacts) -> None:
    """The sets of three keys that the circuit reads wrongly are those that are found, with what is read, by the keys in them."""
    found = machine_conflicts(machine, how)
    circuit = Circuit(machine, how)
    keys, modifiers = matrix_keys(machine), modifier_contacts(machine)
    lying = {frozenset(some): extra for some in combinations(keys, 3) if (extra := circuit.extra(frozenset(some)))}
    told = {frozenset(each.contacts): frozenset(each.extra) for sets in found.by_keys for each in sets}
    told |= {frozenset(each.contacts): frozenset(each.extra) for each in found.without_key}
    assert told == lying
    assert found.phantoms == len(lying)
    for number, sets in enumerate(found.by_keys):
        assert all(len(set(each.contacts) - modifiers) == number for each in sets)
        assert all(each.extra[0] in keys for each in sets)
    assert all(each.extra[0] not in keys for each in found.without_key)


def check_pulls(machine: Machine, how: Contacts) -> None:
    """The smallest sets of keys and switches that the circuit reads wrongly are among those that are found, and each of these lies."""
    found: MachineConflicts = machine_conflicts(machine, how)
    circuit = Circuit(machine, how)
    told = {}
    for each in found.pulls:
        named = frozenset((controller.name, switch.function) for controller, switch in each.switches)
        told.setdefault((frozenset(each.contacts), named), set()).update(each.extra)
    for (contacts, switches), extra in told.items():
        assert extra <= circuit.extra(contacts, tuple(switches)) | circuit.own(tuple(switches))
    smallest = smallest_sets(circuit, matrix_keys(machine), 2, altogether=3)
    assert set(smallest) <= set(told)


@pytest.mark.parametrize("how", Contacts)
def test_triples_of_a_shipped_machine_are_those_of_brute_force(how: Contacts) -> None:
    """Each three of the Langet 41's keys, by the plain model of the circuit, with each way to close contacts."""
    check_triples(machine_of("langet41"), how)


@pytest.mark.parametrize("how", Contacts)
def test_switches_of_a_shipped_machine_are_those_of_brute_force(how: Contacts) -> None:
    """The same with its controller's switches."""
    check_pulls(machine_of("langet41"), how)


@SLOW
@given(machines_and_layouts(tuple(how.value for how in Contacts)))
def test_conflicts_of_random_machines_are_those_of_brute_force(texts: tuple[str, str]) -> None:
    """Small machines with modifiers, empty places and controllers of any wiring."""
    loaded = case_project({"case": texts[1]}, [texts[0]]).machine("random")
    assert loaded is not None
    assert loaded.value is not None
    for how in Contacts:
        check_triples(loaded.value, how)
        check_pulls(loaded.value, how)


def test_rectangles_are_counted_as_they_lie() -> None:
    """A full matrix of n by m lines has n(n-1)/2 * m(m-1)/2 rectangles and four sets of three in each: the Quillon 8 is full."""
    found = machine_conflicts(machine_of("quillon8"), Contacts.SWITCH)
    assert len(found.masks) == 28 * 28
    assert found.phantoms == 4 * 28 * 28


OF_MACHINE = {rule.slug for rule in CHECK_RULES if rule.of_machine}


@pytest.mark.parametrize("id", some_of([*sample_ids(), *OTHERS], "no conflict", 2))
def test_no_conflict_of_the_machine_stands_in_a_report_of_a_layout(id: str) -> None:
    """What `check --machine` tells is no finding of a layout unless everything is asked for."""
    plan = shipped_plan(id)
    own = check_plan(plan, everything=False)
    assert not {finding.slug for finding in own.findings} & OF_MACHINE
    everything = check_plan(plan)
    assert set(own.findings) < set(everything.findings)
    assert {finding.slug for finding in everything.findings if finding not in own.findings} <= OF_MACHINE


def test_every_rule_of_a_machine_is_told_for_machines() -> None:
    """No rule that layouts leave to the machine is forgotten there."""
    assert {rule.rule.slug for rule in MACHINE_RULES} >= OF_MACHINE


@pytest.mark.parametrize("id", MACHINES)
@pytest.mark.parametrize("form", ["text", "json", "sarif", "markdown", "annotations"])
def test_each_form_tells_of_a_machine(id: str, form: str) -> None:
    """All forms take a machine; the exit code follows the severity."""
    done = call("check", "--machine", id, "--format", form)
    assert done.returncode == 0, done.stderr
    assert done.stderr == ""
    findings = check_machine(machine_of(id), Contacts.SWITCH).findings
    if form == "json":
        document = json.loads(done.stdout)
        Draft202012Validator(findings_schema()).validate(document)
        assert document["layouts"] == []
        assert [row["text"] for row in document["machines"][0]["findings"]] == [each.text for each in findings]
    worst = max(finding.severity.word for finding in findings) if findings else "none"
    strict = call("check", "--machine", id, "--format", form, "--fail-on", "warning")
    assert strict.returncode == (1 if worst == "warning" else 0)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--machine", "quillon9"), "there is no machine 'quillon9'; did you mean quillon8?"),
        (
            ("--machine", "quillon8", "quillon8-de-DE-symbolic"),
            "--machine checks a machine by itself; leave out the layouts",
        ),
        (("--machine", "quillon8", "--contacts", "relay"), "there are no contacts 'relay' (choices: switch, "),
        (("--contacts", "switch"), "--contacts needs --machine"),
        (("--machine", "layouts/quillon8-symbolic.yaml"), "describes a layout, not a machine"),
        (("--machine", "gone.yaml"), "cannot read gone.yaml"),
    ],
)
def test_a_wrong_machine_is_told_in_a_sentence(
    words: tuple[str, ...], said: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Unknown machines, files of another kind, and options that do not go together end with exit code 2."""
    monkeypatch.chdir(ROOT)
    done = call("check", *words)
    assert done.returncode == 2
    assert said in done.stderr
    assert done.stdout == ""


def test_a_machine_file_without_a_layout_is_checked(tmp_path: Path) -> None:
    """A machine that no layout uses, as a file by itself; a broken one is told with its place and exit code 2."""
    text = (ROOT / "shared/machines/langet41.yaml").read_text(encoding="utf-8")
    write_project(tmp_path, {"langet41.yaml": text, "broken.yaml": text.replace("scan:", "scann:")})
    done = call("check", "--machine", str(tmp_path / "langet41.yaml"))
    assert done.returncode == 0
    assert done.stdout.startswith("langet41: Langet 41")
    broken = call("check", "--machine", str(tmp_path / "broken.yaml"))
    assert broken.returncode == 2
    assert "unknown-field" in broken.stderr
    assert broken.stdout == ""


def test_what_a_machine_declares_of_more_keys_and_of_what_shows_is_told(tmp_path: Path) -> None:
    """`more_keys` and `visible` stand in the rows of the machine, and what is not declared does not."""
    text = (ROOT / "shared/machines/quillon8.yaml").read_text(encoding="utf-8")
    declared = text.replace("  rollover: 2\n", "  rollover: 2\n  more_keys: [first, released]\n")
    declared += "visible: {never: [Tab], at_times: [Hail]}\n"
    write_project(tmp_path, {"quillon8.yaml": declared})
    told = " ".join(call("check", "--machine", str(tmp_path / "quillon8.yaml")).stdout.split())
    assert "apart, besides modifiers; of more keys it reads the first in the order of its lines or reads none;" in told
    assert "18 functions Screen nothing appears for Tab; not always for Hail Holding" in told
    plain = " ".join(call("check", "--machine", "quillon8").stdout.split())
    assert "of more keys" not in plain
    assert "Screen" not in plain
