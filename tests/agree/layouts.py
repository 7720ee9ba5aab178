"""The layouts that the agreement tests play."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

from matrixmap.join.plan import compile_plan
from matrixmap.model.layout import Contacts, Layout
from matrixmap.model.machine import Debounce
from matrixmap.model.plan import Plan
from tests.project import open_folders, shipped_ids, shipped_plan

FEW = (
    "quillon8-en-US-symbolic",
    "quillon8-en-GB-symbolic",
    "quillon8-de-DE-symbolic",
    "quillon8-fr-FR-symbolic",
    "quillon8-en-US-positional",
    "quillon8-de-DE-positional",
)
"""Both joins, hosts with and without AltGr, a latch worked by Caps Lock: enough for a test that is slow with each."""

EVERYTHING, SWITCHING = (Path(__file__).with_name(f"{id}.yaml") for id in ("everything", "switching"))


def few_plans() -> list[Plan]:
    """The plans of the few shipped layouts."""
    return [shipped_plan(id) for id in FEW]


OTHER_MACHINES = ("langet41", "ricasso12-fo")
"""7x6 lines with one key at a time, and 12x8 with any number, two direct lines and a third modifier."""


def all_plans(machine: str = "quillon8") -> list[Plan]:
    """The plans of all shipped layouts of a machine: a runtime serves one."""
    return [shipped_plan(id) for id in shipped_ids() if id.startswith(f"{machine}-")]


@cache
def special_plans() -> tuple[Plan, ...]:
    """Layouts with chords, commands and named modifiers, under guards, contacts and scans that no shipped one has."""
    layout = _loaded(EVERYTHING)
    variants = (
        layout,
        replace(layout, id="everything-unguarded", guard=False),
        replace(layout, id="everything-comes-back", resumes=True),
        replace(layout, id="everything-apart", resumes=True, apart=True),
        replace(layout, id="everything-diodes", contacts=Contacts.SWITCH_WITH_DIODE),
        _scanned(layout, "everything-unlimited", rollover=None),
        _scanned(
            replace(layout, resumes=True),
            "everything-one-key",
            rollover=1,
            samples_down=1,
            samples_up=4,
            sweep_us=20000,
        ),
        _scanned(layout, "everything-at-once", rollover=3, sweep_us=0, tolerance_percent=0),
        _scanned(layout, "everything-whole", debounce=Debounce.WHOLE),
        _scanned(
            replace(layout, resumes=True),
            "everything-whole-slow-release",
            debounce=Debounce.WHOLE,
            rollover=None,
            samples_down=1,
            samples_up=5,
        ),
        _loaded(SWITCHING),
    )
    return tuple(compile_plan(variant) for variant in variants)


def _loaded(path: Path) -> Layout:
    loaded = open_folders().layout_text(path.stem, path.name, path.read_bytes())
    assert loaded.value is not None, loaded.findings
    return loaded.value


def _scanned(layout: Layout, id: str, **changed: int | Debounce | None) -> Layout:
    scan = replace(layout.machine.scan, **changed)  # type: ignore[arg-type]
    return replace(layout, id=id, machine=replace(layout.machine, scan=scan))
