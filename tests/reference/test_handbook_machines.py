"""Two published machines of other sizes: MSX, 11x8, and ZX Spectrum, 8x5; sources in msx-matrix.yaml and spectrum-matrix.yaml.

The fixtures in machines/ are checked against the values of the handbooks, then built, compiled and typed on from `en-US`.
"""

from __future__ import annotations

import ctypes
from pathlib import Path

import pytest

from matrixmap.join.plan import compile_plan
from matrixmap.model.plan import Plan
from matrixmap.press.table.make import make_table
from tests.emit.compiled import compile_library, table_bytes, write_build
from tests.emit.table_reader import read_table
from tests.project import HANDBOOK, ROOT, open_folders, read_layout
from tests.reference import printed
from tests.reference.pressing import CAPS_LOCK, NUM_LOCK, Press, closed_by, closed_in_plan
from tests.reference.printed import KEYPAD, Machine, tree
from tests.reference.test_main_job import all_presses, check_press, plan_presses

HERE = Path(__file__).parent
MSX, SPECTRUM = "msx-uk-en-US-symbolic", "zx-spectrum-en-US-symbolic"
SIZES = {MSX: (11, 8), SPECTRUM: (8, 5)}
POUND = 0x9C

# What stands on the keys of rows 6 to 8 of figure 36, as W3C key values (common practice); the rest are modifiers and CAP.
MSX_FUNCTIONS = {
    "CR": "Enter",
    "SEL": "Select",
    "BS": "Backspace",
    "STOP": "Stop",
    "TAB": "Tab",
    "ESC": "Escape",
    "RIGHT": "ArrowRight",
    "DOWN": "ArrowDown",
    "UP": "ArrowUp",
    "LEFT": "ArrowLeft",
    "DEL": "Delete",
    "INS": "Insert",
    "HOME": "Home",
    "SPACE": " ",
    **{f"F{number}": f"F{number}" for number in range(1, 6)},
}
MSX_SILENT = {"CODE", "CAP", "GRAPH", "CTRL", "SHIFT"}


def plan_of(id: str) -> Plan:
    """The plan of a fixture."""
    return compile_plan(read_layout(open_folders(HANDBOOK), id))


def machine_of(name: str) -> Machine:
    """A fixture's machine by the second reading."""
    return printed.read_machine(HANDBOOK / "shared" / "machines" / f"{name}.yaml")


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the C of both machines."""
    return write_build(tmp_path_factory.mktemp("handbook"), [plan_of(MSX), plan_of(SPECTRUM)])


@pytest.fixture(scope="module", params=["gcc", "clang"])
def lib(request: pytest.FixtureRequest, built: Path, tmp_path_factory: pytest.TempPathFactory) -> ctypes.CDLL:
    """The folder as one library: one runtime, two machines of different sizes."""
    return compile_library(built, request.param, tmp_path_factory.mktemp("lib") / f"{request.param}.so")


def test_the_msx_fixture_is_figure_36() -> None:
    """MSX Red Book, chapter 4: all 88 crosspoints of figure 36, and both columns of the key code table, rows 0 to 5."""
    facts, machine = tree(HERE / "msx-matrix.yaml"), machine_of("msx-uk")
    seen = 0
    for row, labels in facts["rb_figure_36_uk"].items():
        for bit, label in enumerate(reversed(labels)):
            key = machine.keys.get(("x", int(row), bit))
            seen += 1
            if label == "":
                assert key is None
            elif int(row) < 6:
                codes = [int(facts["rb_key_codes"][column][row][7 - bit], 16) for column in ("NORMAL", "SHIFT")]
                plain, shifted = ("£" if code == POUND else chr(code) for code in codes)
                assert machine.types[str(key)] == {frozenset(): plain, frozenset({"shift"}): shifted}
                assert label.lower() == plain
            elif int(row) > 8:
                assert machine.types[str(key)] == {frozenset(): label}
            elif label in MSX_SILENT:
                assert key == label.lower()
                assert key not in machine.types
            else:
                assert machine.types[str(key)] == {frozenset(): MSX_FUNCTIONS[label]}
    assert seen == 88


def test_the_spectrum_fixture_is_the_half_rows() -> None:
    """Spectrum handbooks (see spectrum-matrix.yaml): all 40 crosspoints and the address line of each half-row."""
    top, machine = tree(HANDBOOK / "shared" / "machines" / "zx-spectrum.yaml"), machine_of("zx-spectrum")
    seen = 0
    for half_row in tree(HERE / "spectrum-matrix.yaml")["half_rows"]:
        row = int(half_row["row"])
        assert top["matrix"]["select"][row] == half_row["low_line"]
        for bit, label in enumerate(half_row["keys"]):
            key = machine.keys["x", row, bit]
            seen += 1
            if label.endswith("SHIFT"):
                assert key == label.lower().replace(" ", "-")
                assert machine.modifiers[key] == (key,)
            else:
                typed = {"ENTER": "Enter", "SPACE": " "}.get(label, label)
                assert machine.types[key] == {frozenset(): typed}
    assert seen == 40


@pytest.mark.parametrize("id", SIZES)
def test_the_table_holds_the_size_of_the_machine(lib: ctypes.CDLL, built: Path, id: str) -> None:
    """The compiled table is that of the plan and names the lines that the handbook prints."""
    plan = plan_of(id)
    data = table_bytes(lib, built, plan)
    assert data == make_table(plan).to_bytes()
    assert read_table(data).lines == (*SIZES[id], 0)


@pytest.mark.parametrize("id", SIZES)
def test_printed_characters_are_typed(lib: ctypes.CDLL, built: Path, id: str) -> None:
    """Each key of a US keyboard types on the machine, through C, what is printed on it and the machine has."""
    plan, layout = plan_of(id), printed.read_layout(HANDBOOK, id, ROOT)
    table = table_bytes(lib, built, plan)
    faults = []
    for press in all_presses(layout):
        closed = closed_by(lib, table, plan, press)
        fault = check_press(layout, press, closed)
        faults += [f"{press}: {fault}"] if fault else []
    assert not faults, "\n".join(faults)
    for press in plan_presses(plan):
        assert closed_by(lib, table, plan, press) == closed_in_plan(plan, press), press


def typed_by_host(lib: ctypes.CDLL, built: Path, id: str) -> dict[str, set[str | None]]:
    """What is printed on the US host -> what the machine types for it."""
    plan, layout = plan_of(id), printed.read_layout(HANDBOOK, id, ROOT)
    table = table_bytes(lib, built, plan)
    typed: dict[str, set[str | None]] = {}
    for usage in layout.host.legends:
        for level in (1, 2):
            text = layout.host.at(usage, level)
            if text and usage not in (CAPS_LOCK, NUM_LOCK, *KEYPAD):
                closed = closed_by(lib, table, plan, Press(usage, level))
                typed.setdefault(text, set()).add(layout.machine.typed(closed))
    return typed


def test_msx_types_all_of_ascii(lib: ctypes.CDLL, built: Path) -> None:
    """Every printable ASCII character of the key code table is on a US keyboard and is typed exactly."""
    typed = typed_by_host(lib, built, MSX)
    facts = tree(HERE / "msx-matrix.yaml")["rb_key_codes"]
    codes = {int(code, 16) for column in facts.values() for row in column.values() for code in row} - {POUND}
    assert len(codes) == 94
    assert all(typed[chr(code)] == {chr(code)} for code in codes)
    assert typed[" "] == {" "}


def test_spectrum_types_letters_and_digits(lib: ctypes.CDLL, built: Path) -> None:
    """Both cases of a letter reach the one key that prints it; digits, Enter and the space are themselves."""
    typed = typed_by_host(lib, built, SPECTRUM)
    for label in "ABCDEFGHIJKLMNOPQRSTUVWXYZ":
        assert typed[label] == typed[label.lower()] == {label}
    for text in (*"0123456789", "Enter", " "):
        assert typed[text] == {text}
