"""From a pad's report to the lines: the decoder, the map and the runtime's guard, as a build writes them, in one firmware."""

from __future__ import annotations

import ctypes
import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from matrixmap.circuit.timing import poll_ticks
from matrixmap.emit.tables.build import build_files
from matrixmap.model.machine import Contact, Machine
from matrixmap.model.plan import Plan
from matrixmap.press.table.make import make_table
from tests import tools
from tests.pads.layouts import STEERED, plan_of
from tests.pads.test_layout import AT_REST, report_of, table_of
from tests.project import shipped_plan

HERE = Path(__file__).parent


class Firmware:
    """The firmware of the layout that steers both controllers."""

    def __init__(self, folder: Path, plan: Plan) -> None:
        self.machine: Machine = plan.layout.machine
        for name, text in build_files([plan]).items():
            (folder / name).write_text(text, encoding="utf-8")
        shutil.copy(HERE / "whole.c", folder)
        library = folder / "firmware.so"
        sources = [folder / name for name in ("whole.c", "steered.c", "mm_pad.c", "mm_runtime.c")]
        tools.run(
            tools.tool("gcc"),
            *tools.STRICT,
            "-DMM_KEYBOARDS=2",
            f"-I{folder}",
            "-shared",
            "-fPIC",
            "-o",
            library,
            *sources,
        )
        self.lib = ctypes.CDLL(str(library))
        self.lib.test_start.restype = ctypes.c_bool
        self.table = ctypes.create_string_buffer(table_of(), len(table_of()))
        assert self.lib.test_start()
        self.now = 0

    def connect(self) -> int:
        """A pad more, whose stick is at rest; its place."""
        place = int(self.lib.test_connect(self.table, len(table_of())))
        self.report(place, AT_REST)
        return place

    def report(self, place: int, report: bytes) -> None:
        """A report of a pad, and the call that follows it."""
        self.lib.test_report(place, report, len(report))
        self.lib.test_advance(self.now)

    def wait(self, ticks: int) -> None:
        """Time passes."""
        for _ in range(ticks):
            self.now += 1
            self.lib.test_advance(self.now)

    def closed(self) -> set[str]:
        """The crosspoints that are closed, by their lines, and `ground/` lines that are pulled always."""
        machine = self.machine
        found = {
            machine.contact_name(Contact(line * len(machine.sense) + sense))
            for line in range(len(machine.select))
            for sense in range(len(machine.sense))
            if self.lib.test_select(line) >> sense & 1
        }
        pulled = self.lib.test_pulls(16)
        return found | {f"ground/{name}" for sense, name in enumerate(machine.sense) if pulled >> sense & 1}


@pytest.fixture
def firmware(tmp_path: Path) -> Firmware:
    """The firmware, built anew."""
    return Firmware(tmp_path, plan_of(tmp_path))


def test_a_report_closes_the_lines_of_its_switches(firmware: Firmware) -> None:
    """Up and Button 1 of the first pad are the tiller's crosspoints, Button 1 of the second pulls the oar's line; a pad that goes lets go."""
    first, second = firmware.connect(), firmware.connect()
    assert firmware.closed() == set()
    firmware.report(first, report_of(1, 127, 0, 8))
    assert firmware.closed() == {"S7/N2", "S6/N4"}
    firmware.report(second, report_of(1, 127, 127, 8))
    assert firmware.closed() == {"S7/N2", "S6/N4", "ground/N5"}
    firmware.lib.test_gone(first)
    firmware.lib.test_advance(firmware.now)
    assert firmware.closed() == {"ground/N5"}


def test_a_pad_that_goes_cuts_no_tap_of_the_other(firmware: Firmware) -> None:
    """While the second pad's tap is still shown, the first goes: its own switches open at once, the tap stays."""
    first, second = firmware.connect(), firmware.connect()
    firmware.report(first, report_of(1, 127, 127, 8))
    firmware.report(second, report_of(1, 127, 127, 8))
    firmware.report(second, AT_REST)
    firmware.lib.test_gone(first)
    firmware.lib.test_advance(firmware.now)
    assert firmware.closed() == {"ground/N5"}


def test_a_switch_stays_for_the_poll_time(firmware: Firmware, tmp_path: Path) -> None:
    """A tap is shown for as long as the machine needs to see it: here as long as a key, for the machine says nothing else."""
    ticks = make_table(plan_of(tmp_path)).poll
    place = firmware.connect()
    firmware.report(place, report_of(0, 127, 0, 8))
    firmware.report(place, AT_REST)
    firmware.wait(ticks - 2)
    assert firmware.closed() == {"S6/N4"}
    firmware.wait(ticks)
    assert firmware.closed() == set()


def test_a_button_types_and_sends_a_command(firmware: Firmware) -> None:
    """Button 8 closes the space bar's contact, Button 9 is command 3."""
    place = firmware.connect()
    space = firmware.machine.contact_name(firmware.machine.key("space").contact)
    firmware.report(place, report_of(1 << 7, 127, 127, 8))
    assert firmware.closed() == {space}
    firmware.report(place, report_of(1 << 8, 127, 127, 8))
    firmware.wait(2_000)
    assert firmware.closed() == set()
    assert firmware.lib.test_command() == 3


def test_a_layout_without_pads_has_no_controllers() -> None:
    """Only the table of a layout with pads has the controllers."""
    assert make_table(shipped_plan("quillon8-en-GB-symbolic")).controllers == ()


def test_the_poll_time_is_that_of_the_machine(tmp_path: Path) -> None:
    """Without a word as long as a key; else the time from one look to the next, of a slow machine, and a tick of jitter."""
    plan = plan_of(tmp_path, STEERED)
    assert plan.driven is not None
    assert plan.driven.poll_ticks is None
    assert make_table(plan).poll == plan.timing.close_ticks
    scan = replace(plan.layout.machine.scan, poll_us=20_000, tolerance_percent=2)
    assert poll_ticks(scan) == 205


def test_a_controller_that_no_pad_drives_has_no_switches(tmp_path: Path) -> None:
    """The runtime never closes a switch of a controller that the layout's order leaves out."""
    plan = plan_of(tmp_path, STEERED)
    assert plan.driven is not None
    one = replace(plan, driven=replace(plan.driven, controllers=("oar",)))
    tiller, oar = make_table(one).controllers
    assert (tiller.name, tiller.switches, tiller.opposites) == ("tiller", (), ())
    assert oar.switches == make_table(plan).controllers[1].switches
    assert len(oar.switches) == 3
