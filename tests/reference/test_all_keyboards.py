"""Keyboards of xkb-data, imported and joined with the demo and with a handbook machine: nothing differs, nothing is lost."""

from __future__ import annotations

from collections.abc import Callable
from types import ModuleType

import pytest

from matrixmap.check.run import check_plan
from matrixmap.model.finding import Severity
from matrixmap.source.xkb import XkbError, XkbName, XkbSystem
from tests.project import open_folders
from tests.reference.all_keyboards import MACHINES, Tally, examine, import_keyboard, plan_of

SAMPLE_STEP = 16
"""In the suite every sixteenth keyboard is taken; in the campaign all are."""


@pytest.fixture(scope="module")
def system(outside_module: Callable[[str, str], ModuleType], missing_tool: Callable[[str], None]) -> XkbSystem:
    """The keyboards of this system."""
    outside_module("xkbcommon.xkb", "xkbcommon (PyPI, needs libxkbcommon-dev)")
    system = XkbSystem()
    try:
        system.names()
    except XkbError as fault:
        missing_tool(str(fault))
    return system


def tally_of(system: XkbSystem, names: tuple[XkbName, ...]) -> Tally:
    """All these keyboards but the stub `custom`, which does not compile."""
    base = open_folders().host_draft("base").value
    tally = Tally()
    for name in names:
        if name.layout != "custom":
            examine(tally, system, base, name)
    return tally


def assert_nothing_is_lost(tally: Tally) -> None:
    """No findings, no differences, and every character that both sides have can be typed."""
    assert tally.findings == []
    assert tally.differences == []
    assert tally.unreached == []


def test_a_sample_of_all_keyboards_types_what_libxkbcommon_types(system: XkbSystem) -> None:
    """Every usage and level of every sixteenth keyboard."""
    tally = tally_of(system, system.names()[::SAMPLE_STEP])
    assert_nothing_is_lost(tally)
    assert tally.keyboards > 30
    assert tally.pairs > 10_000
    assert min(tally.reachable[machine] for machine in MACHINES) > tally.keyboards * 10


@pytest.mark.campaign
def test_all_keyboards_type_what_libxkbcommon_types(system: XkbSystem) -> None:
    """Every usage and level of every keyboard that the system lists."""
    tally = tally_of(system, system.names())
    assert_nothing_is_lost(tally)
    assert tally.keyboards == len(system.names()) - 1


@pytest.mark.campaign
def test_layouts_of_all_keyboards_have_no_error(system: XkbSystem) -> None:
    """The check of every keyboard on the demo finds no error."""
    base = open_folders().host_draft("base").value
    for name in system.names():
        if name.layout != "custom":
            _, project = import_keyboard(system, base, name)
            findings = check_plan(plan_of(project, "quillon8")).findings
            assert [finding.text for finding in findings if finding.severity is Severity.ERROR] == [], name
