"""A layout's section `pads:`: its defaults, its C against Python, and what buttons press."""

from __future__ import annotations

import ctypes
import json
import random
from dataclasses import replace
from pathlib import Path

import pytest

from matrixmap.emit.tables.build import build_files
from matrixmap.emit.tables.pads import pad_map
from matrixmap.hid.pads.sources import SOURCES, STROKE_USAGES, Direction, Source, source_named
from matrixmap.join.pads import DrivenController, driven_controllers, usual_sources
from matrixmap.model.layout import Pads
from matrixmap.model.plan import Command, Plan, Stroke
from matrixmap.press.rules import Rules
from matrixmap.press.table.make import make_table
from tests import tools
from tests.pads.layouts import STEERED, plan_of
from tests.project import shipped_plan


def table_of() -> bytes:
    """The table of a pad with 32 buttons and a D-pad in 36 bits, X and Y from bit 40 on, of a report of 8 bytes."""
    steps = bytes((1, 0, 0, 36, 0, 0)) + bytes((4, 40, 0, 8, 0, 0, 0, 255, 0)) + bytes((4, 48, 0, 8, 1, 0, 0, 255, 0))
    hat = bytes((5, 56, 0, 4, 8, 0, 0))
    return bytes((1, 0, 1, len(steps + hat), 0)) + steps + hat + bytes((0, 8, 0))


def report_of(on: int, x: int, y: int, hat: int) -> bytes:
    """A report of that pad: switches that are on, X and Y from 0 to 255, and the hat (8: at rest)."""
    return (on & (1 << 36) - 1).to_bytes(5, "little") + bytes((x, y, hat))


AT_REST = report_of(0, 127, 127, 8)


@pytest.fixture
def plan(tmp_path: Path) -> Plan:
    """The plan of the layout that steers both controllers."""
    return plan_of(tmp_path)


def pads_of_plan(plan: Plan) -> Pads:
    """Its section."""
    assert plan.layout.pads is not None
    return plan.layout.pads


def controllers(plan: Plan) -> tuple[DrivenController, ...]:
    """What it drives."""
    return driven_controllers(pads_of_plan(plan), plan.layout.machine)


class CPads:
    """One mm_pads with the map of a plan."""

    def __init__(self, lib: ctypes.CDLL, plan: Plan) -> None:
        self.lib = lib
        self.state = ctypes.create_string_buffer(lib.mm_test_pads_size())
        map_ = b"".join(data for data, _ in pad_map(plan))
        self.map = ctypes.create_string_buffer(map_, len(map_))
        assert lib.mm_pads_init(self.state, self.map, len(map_))
        self.table = ctypes.create_string_buffer(table_of(), len(table_of()))

    def connect(self) -> int:
        """A pad more; its place, 255 for none."""
        return int(self.lib.mm_pads_connect(self.state, self.table, len(table_of()), True))

    def report(self, place: int, report: bytes) -> None:
        """A report that must be taken."""
        assert self.lib.mm_test_pads_report(self.state, place, report, len(report)) == 0

    def masks(self) -> list[tuple[int, int]]:
        """Of each controller in the order: its number, and the switches that are closed."""
        found = []
        for which in range(self.lib.mm_pads_controllers(self.state)):
            controller = ctypes.c_uint8()
            mask = self.lib.mm_pads_switches(self.state, which, ctypes.byref(controller))
            found.append((controller.value, mask))
        return found

    def usages(self) -> set[int]:
        """The usages of buttons that press something."""
        down = ctypes.create_string_buffer(32)
        self.lib.mm_pads_usages(self.state, down)
        number = int.from_bytes(down.raw, "little")
        return {usage for usage in range(256) if number >> usage & 1}


def source(name: str) -> Source:
    """A source by its name."""
    found = source_named(name)
    assert found is not None
    return found


def test_directions_and_fire_need_no_line() -> None:
    """Up is the hat, the D-pad and the stick, in any case of letters; Fire the first two buttons; others nothing."""
    assert usual_sources("Up") == usual_sources("UP") == tuple(map(source, ("Hat up", "D-pad up", "Y-")))
    assert usual_sources("left") == tuple(map(source, ("Hat left", "D-pad left", "X-")))
    assert usual_sources("Fire") == (source("Button 1"), source("Button 2"))
    assert usual_sources("Whistle") == ()


def test_the_section_is_read(plan: Plan) -> None:
    """Controllers in their order with the switches of the machine's file; the direction is that of the first source."""
    tiller, oar = controllers(plan)
    assert [(one.number, one.controller.name) for one in (tiller, oar)] == [(0, "tiller"), (1, "oar")]
    assert [(one.switch.function, one.direction) for one in tiller.switches] == [
        ("Whistle", None),
        ("Port", Direction.LEFT),
        ("Ahead", Direction.UP),
        ("Starboard", Direction.RIGHT),
        ("Astern", Direction.DOWN),
    ]
    assert oar.switches[0].sources == (source("Button 1"),)
    assert oar.switches[1].sources == ()


def test_a_button_that_presses_closes_no_switch_by_default(plan: Plan) -> None:
    """A stick with Up, Down, Left, Right and Fire needs no line; where Button 2 presses a stroke, Fire is Button 1 alone."""
    machine = plan.layout.machine
    switches = tuple(
        replace(machine.controllers[0].switches[0], function=name) for name in ("Up", "Down", "Left", "Right", "Fire")
    )
    stick = replace(machine.controllers[0], name="stick", switches=switches)
    pads = replace(pads_of_plan(plan), order=("stick",), switches=(), buttons=())
    (one,) = driven_controllers(pads, replace(machine, controllers=(stick,)))
    assert [each.sources for each in one.switches] == [usual_sources(each.function) for each in switches]
    assert one.switches[4].sources == (source("Button 1"), source("Button 2"))
    button = replace(pads_of_plan(plan).buttons[0], source=source("Button 2"))
    (one,) = driven_controllers(replace(pads, buttons=(button,)), replace(machine, controllers=(stick,)))
    assert one.switches[4].sources == (source("Button 1"),)


def test_opposite_directions_are_let_go_once_all_sources_are_joined(plan: Plan) -> None:
    """The hat up and the stick down close neither Ahead nor Astern; Port beside them stays."""
    tiller = controllers(plan)[0]
    up, down, left = (1 << source(name) for name in ("Hat up", "Y+", "D-pad left"))
    assert tiller.closed(up) == 0b00100
    assert tiller.closed(down) == 0b10000
    assert tiller.closed(up | down | left) == 0b00010


def test_the_c_closes_what_python_says(lib: ctypes.CDLL, plan: Plan) -> None:
    """20,000 random reports of two pads, swapped now and then: masks and usages are those of Python, opposites never together."""
    rng = random.Random(4)
    c, driven = CPads(lib, plan), controllers(plan)
    assert (c.connect(), c.connect(), c.connect()) == (0, 1, 0xFF)
    on, swapped, closed = [0, 0], False, 0
    for place in (0, 1):
        c.report(place, AT_REST)
    for _ in range(20_000):
        place = rng.randrange(2)
        held = rng.getrandbits(36) & rng.getrandbits(36)
        x, y, hat = rng.choice((0, 127, 255)), rng.choice((0, 127, 255)), rng.randrange(12)
        c.report(place, report_of(held, x, y, hat))
        on[place] = sum(1 << number for number in range(SOURCES) if is_on(lib, c, place, number))
        assert on[place] & (1 << 36) - 1 == held
        if rng.random() < 0.1:
            lib.mm_pads_swap(c.state)
            swapped = not swapped
        wanted = [(one.number, one.closed(on[which ^ swapped])) for which, one in enumerate(driven)]
        assert c.masks() == wanted
        assert all(mask & 0b10100 != 0b10100 and mask & 0b01010 != 0b01010 for number, mask in wanted if number == 0)
        buttons = (source("Button 8"), source("Button 9"), source("Button 10"))
        assert c.usages() == {
            usage for button, usage in zip(buttons, STROKE_USAGES, strict=False) if (on[0] | on[1]) >> button & 1
        }
        closed += sum(mask for _, mask in wanted) > 0
    assert closed > 10_000


def is_on(lib: ctypes.CDLL, c: CPads, place: int, number: int) -> bool:
    """Whether a source of a pad is on, by the C."""
    return bool(lib.mm_test_pads_is_on(c.state, place, number))


def test_pads_keep_their_places(lib: ctypes.CDLL, plan: Plan) -> None:
    """A pad that goes opens its switches at once and frees its place, which the next one takes; the other stays where it is."""
    c = CPads(lib, plan)
    fire = report_of(1, 127, 127, 8)
    assert (c.connect(), c.connect()) == (0, 1)
    for place in (0, 1):
        c.report(place, fire)
    assert c.masks() == [(0, 1), (1, 1)]
    lib.mm_pads_disconnected(c.state, 0)
    assert c.masks() == [(0, 0), (1, 1)]
    assert c.connect() == 0
    assert c.masks() == [(0, 0), (1, 1)]
    lib.mm_pads_disconnected(c.state, 1)
    assert c.masks() == [(0, 0), (1, 0)]
    c.report(0, fire)
    lib.mm_pads_swap(c.state)
    assert c.masks() == [(0, 0), (1, 1)]


def test_no_direction_before_the_stick_was_at_rest(lib: ctypes.CDLL, plan: Plan) -> None:
    """A pad that connects with its stick held up closes nothing, after it was unplugged too, until a report has it at rest."""
    c = CPads(lib, plan)
    for _ in range(2):
        place = c.connect()
        c.report(place, report_of(0, 127, 0, 8))
        assert c.masks()[0] == (0, 0)
        c.report(place, AT_REST)
        c.report(place, report_of(0, 127, 0, 8))
        assert c.masks()[0] == (0, 0b00100)
        lib.mm_pads_disconnected(c.state, place)
        assert c.masks()[0] == (0, 0)


def test_a_button_presses_a_stroke_as_a_key_does(plan: Plan) -> None:
    """Button 8 is a usage that no key has, which presses space at every level; Button 9 is command 3."""
    compiled = Rules(plan, make_table(plan)).compiled
    for level in range(1, 5):
        stroke = compiled.look_up(STROKE_USAGES[0], level, 0, 0)
        assert stroke is not None
        (contact,) = compiled.contacts(stroke.kind, stroke.value)
        assert plan.layout.machine.key("space").contact == contact
        command = compiled.look_up(STROKE_USAGES[1], level, 0, 0)
        assert command is not None
        assert command.value == 3
    kinds = [type(binding.action) for binding in plan.pad_bindings[::4]]
    assert kinds == [Stroke, Command, Stroke]


def test_the_map_is_in_the_c_and_in_the_json(plan: Plan, tmp_path: Path) -> None:
    """Header and source compile without a warning and go into C++; the array is the map; JSON has the same in words."""
    files = build_files([plan])
    for name, text in files.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    library = tmp_path / "table.so"
    flags = (*tools.STRICT, "-DMM_PADS=1", f"-I{tmp_path}")
    tools.run(
        tools.tool("gcc"), *flags, "-shared", "-fPIC", "-o", library, tmp_path / "steered.c", tmp_path / "mm_pad.c"
    )
    wanted = b"".join(data for data, _ in pad_map(plan))
    lib = ctypes.CDLL(str(library))
    assert bytes((ctypes.c_uint8 * len(wanted)).in_dll(lib, "mm_pad_map_steered")) == wanted
    (tmp_path / "user.cpp").write_text(
        '#include "steered.h"\nint main() { return mm_pad_map_steered[0] - 1; }\n', encoding="ascii"
    )
    tools.run(
        tools.tool("g++"),
        "-Wall",
        "-Wextra",
        "-Werror",
        *flags[-2:],
        "-c",
        "-o",
        tmp_path / "u.o",
        tmp_path / "user.cpp",
    )
    pads = json.loads(files["steered.json"])["pads"]
    assert [one["controller"] for one in pads["controllers"]] == ["tiller", "oar"]
    assert pads["controllers"][0]["switches"][2] == {
        "switch": "Ahead",
        "sources": ["Hat up", "D-pad up", "Y-"],
        "direction": "up",
    }
    assert pads["buttons"][1] == {"source": "Button 9", "usage": 0xA6, "stroke": None, "command": 3}
    assert "mm_pad.c" in files["CMakeLists.txt"]


def test_a_layout_without_pads_has_nothing_of_them() -> None:
    """No file of such a build names a pad, but those that every build has: the reader of descriptors, runtime and index."""
    files = build_files([shipped_plan("quillon8-en-GB-symbolic")])
    named = {name for name, text in files.items() if "mm_pad" in text or "mm_pad" in name}
    whole = {"mm_descriptor", "mm_runtime", "mm_index"}
    assert named <= {f"{name}.{ending}" for name in whole for ending in "ch"}


def test_thresholds_come_from_the_layout(lib: ctypes.CDLL, tmp_path: Path) -> None:
    """press: 0.9 makes a stick at 70 per cent no direction; without it it is one."""
    seventy = report_of(0, 127, 38, 8)
    for text, wanted in ((STEERED, 0b00100), (STEERED + "  press: 0.9\n  release: 0.85\n", 0)):
        c = CPads(lib, plan_of(tmp_path, text))
        place = c.connect()
        c.report(place, AT_REST)
        c.report(place, seventy)
        assert c.masks()[0] == (0, wanted)


def test_the_nearest_section_of_a_base_counts(tmp_path: Path) -> None:
    """A layout takes over the section of its base, or has its own in place of it."""
    base = STEERED.replace("layout: steered", "layout: under").replace("host: en-GB\n", "")
    (tmp_path / "layouts").mkdir()
    (tmp_path / "layouts" / "under.yaml").write_text(base, encoding="utf-8")
    taken = plan_of(tmp_path, "layout: over\nbase: under\nhost: en-GB\n", "over")
    assert pads_of_plan(taken).order == ("tiller", "oar")
    own = plan_of(tmp_path, "layout: own\nbase: under\nhost: en-GB\npads: {order: oar}\n", "own")
    assert pads_of_plan(own).order == ("oar",)
    assert not own.pad_bindings
