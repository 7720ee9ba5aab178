"""Keyboards of xkb-data, imported and joined with the demo and with a handbook machine: nothing differs, nothing is lost."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from types import ModuleType

import pytest

from matrixmap.check.run import check_plan
from matrixmap.emit.tables.build import build_files
from matrixmap.model.finding import Severity
from matrixmap.model.plan import Plan
from matrixmap.press.table.make import make_table
from matrixmap.source.propose.xkb import XkbError, XkbName, XkbSystem
from tests.emit.compiled import compile_library, table_bytes, write_build
from tests.project import open_folders
from tests.reference.all_keyboards import MACHINES, Tally, examine, import_keyboard, plan_of

SAMPLE_STEP = 24
"""In the suite every twenty-fourth keyboard is taken; in the campaign all are."""

COMPILE_STEP = 32
"""In the campaign the tables of every thirty-second keyboard are compiled."""


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


IN_TURN = ("langet41", "ricasso12-fo")
"""In the suite each keyboard is joined with one of these, and with all other machines."""


def tally_of(system: XkbSystem, names: tuple[XkbName, ...], in_turn: tuple[str, ...] = ()) -> Tally:
    """All these keyboards but the stub `custom`, which does not compile; some machines take turns."""
    base = open_folders().host_draft("base").value
    tally = Tally()
    for number, name in enumerate(names):
        if name.layout != "custom":
            waiting = {machine for place, machine in enumerate(in_turn) if place != number % len(in_turn)}
            examine(tally, system, base, name, [machine for machine in MACHINES if machine not in waiting])
    return tally


def assert_nothing_is_lost(tally: Tally) -> None:
    """No findings, no differences, and every character that both sides have can be typed."""
    assert tally.findings == []
    assert tally.differences == []
    assert tally.unreached == []


def test_a_sample_of_all_keyboards_types_what_libxkbcommon_types(system: XkbSystem) -> None:
    """Every usage and level of every twenty-fourth keyboard, Caps Lock off and on."""
    tally = tally_of(system, system.names()[::SAMPLE_STEP], IN_TURN)
    assert_nothing_is_lost(tally)
    assert tally.keyboards > 20
    assert tally.pairs > 8_000
    assert tally.pairs_with_caps_lock > 8_000
    assert min(tally.reachable[machine] for machine in MACHINES) > tally.keyboards * 10
    assert min(tally.composed[machine] for machine in MACHINES) > 0


@pytest.mark.parametrize("name", ["ge", "fr:afnor", "jp", "brai"])
def test_tables_of_any_keyboard_compile(name: str, system: XkbSystem, tmp_path: Path) -> None:
    """What is built for a keyboard compiles without a warning, and the library holds the tables of the plans."""
    base = open_folders().host_draft("base").value
    _, project = import_keyboard(system, base, XkbName(*name.split(":")))
    compile_and_compare([plan_of(project, machine) for machine in MACHINES], tmp_path)


def compile_and_compare(plans: list[Plan], folder: Path) -> None:
    """Compiles what is built of some plans, and reads their tables back out of the library."""
    built = write_build(folder / "generated", plans)
    lib = compile_library(built, "gcc", folder / "tables.so")
    for plan in plans:
        assert table_bytes(lib, built, plan) == make_table(plan).to_bytes()


@pytest.mark.campaign
def test_all_keyboards_type_what_libxkbcommon_types(system: XkbSystem) -> None:
    """Every usage and level of every keyboard that the system lists."""
    tally = tally_of(system, system.names())
    assert_nothing_is_lost(tally)
    assert tally.keyboards == len(system.names()) - 1


@pytest.mark.campaign
def test_layouts_of_all_keyboards_have_no_error(system: XkbSystem, tmp_path: Path) -> None:
    """Every keyboard is joined with all machines, checked without an error, and built; some of what is built is compiled."""
    base = open_folders().host_draft("base").value
    names = [name for name in system.names() if name.layout != "custom"]
    faults = []
    for number, name in enumerate(names):
        _, project = import_keyboard(system, base, name)
        plans = [plan_of(project, machine) for machine in MACHINES]
        faults += [
            f"{name} on {plan.layout.machine.id}: {finding.text}"
            for plan in plans
            for finding in check_plan(plan).findings
            if finding.severity is Severity.ERROR
        ]
        if number % COMPILE_STEP == 0:
            compile_and_compare(plans, tmp_path / str(number))
        else:
            build_files(plans)
    assert faults == []
