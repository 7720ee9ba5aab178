"""The generated driver: against a model of the parts made from the nets, and compiled for microcontrollers."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests import tools
from tests.board.boards import SHIPPED, Edits, checked
from tests.board.drivers import written
from tests.board.wired import model_header
from tests.project import ROOT, call, write_project

CHANGES = 3_000
CAMPAIGN = 1_000_000


def built(
    id: str,
    folder: Path,
    edits: tuple[tuple[str, str], ...] = (),
    board_edits: Edits = {},  # noqa: B006
    pads: bool = False,
) -> Path:
    """The model of a board with its driver, compiled; edits are made in the driver's code or its header, others in files."""
    name = written(id, folder, board_edits)
    for before, after in edits:
        files = [folder / "mm_board_driver.h", folder / f"{name}.h"]
        (edited,) = (file for file in files if before in file.read_text(encoding="utf-8"))
        edited.write_text(edited.read_text(encoding="utf-8").replace(before, after), encoding="utf-8")
    board = checked(id, board_edits)
    header = (folder / f"{name}.h").read_text(encoding="utf-8")
    ports = re.findall(r"#define MM_PORT_(\w+) \d+u", header)
    (folder / "model.h").write_text(model_header(board.adapter, board.machine, ports, name), encoding="utf-8")
    sources = (ROOT / "tests/board/model.c", folder / f"{name}.c")
    flags = ("-std=c99", "-O2", "-w", f"-DMM_PADS={int(pads)}", f"-I{folder}")
    tools.run(tools.tool("gcc"), *flags, *sources, "-o", folder / "model")
    return folder / "model"


@pytest.mark.parametrize("changes", [CHANGES, pytest.param(CAMPAIGN, marks=pytest.mark.campaign)])
@pytest.mark.parametrize("id", SHIPPED)
def test_contacts_are_as_asked_for_and_never_more(id: str, changes: int, tmp_path: Path) -> None:
    """After random changes of the masks the closed contacts are those asked for; after each write between, none more.

    They first only open, to what stays, then only close. For contacts that follow, the sense lines pulled are those asked for.
    """
    told = tools.run(built(id, tmp_path), str(changes), "7").stdout
    assert told.startswith(f"{changes} changes")


NO_WRITE_TIME = ("#define MM_BOARD_WRITE_NS 500u", "#define MM_BOARD_WRITE_NS 0u")

WRONG = {
    "strobe before address": (
        "ferrule",
        ("    board_pulse(&to->strobe);\n}", "}"),
        (
            "uint8_t port;\n\n    for (port = 0; port < MM_BOARD_ADDRESS_PORTS; port++) { /*",
            "uint8_t port;\n\n    board_pulse(&to->strobe);\n    for (port = 0; port < MM_BOARD_ADDRESS_PORTS; port++) { /*",
        ),
    ),
    "strobe active too long": ("ferrule", ("    board_put(wire, false);\n", "")),
    "closing before opening": (
        "ferrule",
        ("board_change_all(&work, close);", "board_change_all(&work, close ^ 1u);"),
        ("(uint8_t)(opens == 0u && work.direct[0] == 0u);", "0u;"),
        ("if (closes == 0u && work.direct[1] == 0u) {", "if (false) {"),
    ),
    "data of the last phase": (
        "ferrule",
        (
            "    work->data = false;\n#endif\n    for (row",
            "    work->data = close != 0u && work->data;\n#endif\n    for (row",
        ),
    ),
    "one latch pulse": ("locket", ("(uint16_t)(shown & now) : now;", "now : now;")),
    "no reset": ("ferrule", ("            board_pulse(&wire);", "            board_put(&wire, false);")),
    "no wait": ("ferrule", NO_WRITE_TIME, ("    MM_BOARD_WAIT(MM_BOARD_PULSE_NS);\n", "")),
    "address bits the wrong way round": ("ferrule", ("board_bits(row + 1u +", "(mm_board_bits)~board_bits(row + 1u +")),
    "bits the wrong way round": ("locket", ("mm_board_chain[bit - 1u]", "mm_board_chain[MM_BOARD_CHAIN_BITS - bit]")),
    "data kept too long": ("locket", ("if (closed != was ||", "if ((closed && !was) ||")),
    "active high": ("pommel", ("high = (mm_board_low)~low;", "high = low;")),
    "masks of the wrong line": ("pommel", ("low | set[3]", "low | set[4]")),
    "one edge only": ("pommel", ("    MM_BOARD_WRITE(MM_PORT_0,", "    if (low != 0u) MM_BOARD_WRITE(MM_PORT_0,")),
}


@pytest.mark.parametrize("fault", WRONG)
def test_the_model_notices_a_wrong_driver(fault: str, tmp_path: Path) -> None:
    """A driver with a seeded fault is caught."""
    id, *edits = WRONG[fault]
    program = built(id, tmp_path, tuple(edits))
    with pytest.raises(AssertionError):
        tools.run(program, str(CHANGES), "7")


def test_a_driver_whose_writes_take_no_time_waits(tmp_path: Path) -> None:
    """Where nobody has said how long a write takes, each time that the parts need is waited for."""
    assert tools.run(built("ferrule", tmp_path, (NO_WRITE_TIME,)), str(CHANGES), "7").stdout.startswith(
        f"{CHANGES} changes"
    )


TARGETS = {
    "gcc": ("gcc",),
    "clang": ("clang",),
    "avr": ("avr-gcc", "-mmcu=atmega328p", "-Os"),
    "cortex-m0": ("arm-none-eabi-gcc", "-mcpu=cortex-m0plus", "-mthumb", "-Os"),
}


@pytest.mark.parametrize("target", TARGETS)
@pytest.mark.parametrize("id", SHIPPED)
def test_the_driver_compiles_without_a_warning(id: str, target: str, tmp_path: Path) -> None:
    """Under the strictest flags, on the desk and for an AVR and a Cortex-M0+."""
    name = written(id, tmp_path)
    compiler, *flags = TARGETS[target]
    tools.run(
        tools.tool(compiler),
        *tools.STRICT,
        *flags,
        f"-I{tmp_path}",
        "-c",
        tmp_path / f"{name}.c",
        "-o",
        tmp_path / "x.o",
    )


def test_build_writes_the_driver_beside_the_tables(tmp_path: Path) -> None:
    """With --adapter the build has the driver, its code and the manifest of both; the library takes it in."""
    done = call("build", "quillon8-en-GB-symbolic", "--adapter", "ferrule", "--out", tmp_path / "out", "--quiet")
    assert (done.returncode, done.stderr) == (0, "")
    names = {path.name for path in (tmp_path / "out").iterdir()}
    assert {"mm_board.h", "mm_board_driver.h", "mm_board_ferrule_quillon8.h", "mm_board_ferrule_quillon8.c"} <= names
    assert "mm_board_ferrule_quillon8.c" in (tmp_path / "out/CMakeLists.txt").read_text(encoding="utf-8")
    assert call("build", "quillon8-en-GB-symbolic", "--out", tmp_path / "out", "--quiet").returncode == 0
    assert "mm_board.h" not in {path.name for path in (tmp_path / "out").iterdir()}


def test_a_layout_that_closes_otherwise_is_refused(tmp_path: Path) -> None:
    """Layout and adapter have to agree on how contacts close; nothing is written."""
    done = call("build", "quillon8-en-GB-symbolic", "--adapter", "pommel", "--out", tmp_path / "out")
    assert done.returncode == 2
    assert "quillon8-en-GB-symbolic says contacts: switch, but pommel closes them as follows-select" in done.stderr
    assert not (tmp_path / "out").exists()
    done = call("build", "langet41-en-GB-symbolic", "--adapter", "ferrule", "--out", tmp_path / "out")
    assert "ferrule fits none of the machines of these layouts" in done.stderr


def test_a_board_with_an_error_gets_no_driver(tmp_path: Path) -> None:
    """The findings go to stderr, and nothing is written."""
    text = (ROOT / "shared/adapters/ferrule.yaml").read_text(encoding="utf-8")
    text = text.replace("S3: [J1.13, U2.X3]", "S3: [J1.13]").replace("U2.NC]", "U2.NC, U2.X3]")
    root = write_project(tmp_path, {"shared/adapters/ferrule.yaml": text})
    done = call("build", "quillon8-en-GB-symbolic", "--adapter", "ferrule", "--out", "out", cwd=root)
    assert done.returncode == 2
    assert "line-reaches-nothing: S3 reaches J1.13" in done.stderr
    assert not (tmp_path / "out").exists()
