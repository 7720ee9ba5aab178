"""The self-test for firmware: it passes on each processor, and notices a runtime that does something else."""

from __future__ import annotations

import subprocess
from collections.abc import Mapping, Sequence
from functools import cache
from pathlib import Path

import pytest

from matrixmap.emit.tables.build import build_files
from matrixmap.emit.tables.selftest import LEAST, MOST, STEPS, script_of
from matrixmap.model.plan import Plan
from matrixmap.press.table.make import make_table
from matrixmap.simulate.compiled import ROW_BYTES
from tests import tools
from tests.agree.layouts import special_plans
from tests.agree.mutations import EDITS, Edit, write_mutant
from tests.agree.processors import PROCESSORS, Processor
from tests.project import call, shipped_ids, shipped_plan
from tests.shipped import in_campaign

IDS = ("quillon8-en-GB-symbolic", "quillon8-en-US-positional", "ricasso12-fo-fo-FO-symbolic")
TARGETS = Path(__file__).parents[1] / "agree" / "targets"
HOST_MAIN = '#include <stdio.h>\n#include "mm_selftest.h"\nint main(void)\n{\n    printf("%u\\n", mm_selftest());\n    return 0;\n}\n'
BARE_MAIN = (
    '#include "platform.h"\n#include "mm_selftest.h"\nint main(void)\n{\n    uint16_t found = mm_selftest();\n'
    "    uint8_t bytes[2];\n    bytes[0] = (uint8_t)(found & 0xFFu);\n    bytes[1] = (uint8_t)(found >> 8);\n"
    "    write_rows(bytes, 2);\n    return 0;\n}\n"
)
AVR_MAIN = (
    '#include <avr/interrupt.h>\n#include <avr/io.h>\n#include <avr/sleep.h>\n#include "mm_selftest.h"\nint main(void)\n{\n'
    "    uint16_t found = mm_selftest();\n    GPIOR1 = (uint8_t)(found & 0xFFu);\n    GPIOR1 = (uint8_t)(found >> 8);\n"
    "    cli();\n    sleep_mode();\n    return 0;\n}\n"
)


@cache
def plans() -> tuple[Plan, ...]:
    """A layout of each kind, one with chords and commands among them."""
    return (*map(shipped_plan, IDS), special_plans()[0])


@cache
def files_of(count: int) -> Mapping[str, str]:
    """A build of the first so many of these plans, with its self-test."""
    return build_files(plans()[:count], self_test=True)


def written(folder: Path, listed: Sequence[Plan], main: str = HOST_MAIN) -> Path:
    """A build with its self-test, and a program that calls it."""
    known = tuple(listed) == plans()[: len(listed)]
    files = files_of(len(listed)) if known else build_files(listed, self_test=True)
    for name, text in {**files, "main.c": main}.items():
        (folder / name).write_text(text, encoding="utf-8")
    return folder


def found(folder: Path, *flags: str, compiler: str = "gcc") -> int:
    """What the self-test returns here, compiled with these flags."""
    command = (
        tools.tool(compiler),
        *tools.STRICT,
        "-Os",
        *flags,
        "-o",
        folder / "program",
        *sorted(folder.glob("*.c")),
    )
    tools.run(*command)
    return int(tools.run(folder / "program").stdout)


@pytest.mark.parametrize("compiler", ["gcc", in_campaign("clang")])
def test_it_passes_here(tmp_path: Path, compiler: str) -> None:
    """With the sizes of the build, with the least and the most that it names, and with several keyboards: 0."""
    folder = written(tmp_path, plans())
    for flags in (
        (),
        (f"-DMM_WAITING={LEAST.waiting}", f"-DMM_HELD={LEAST.held}"),
        (f"-DMM_WAITING={MOST.waiting}", f"-DMM_HELD={MOST.held}", "-DMM_KEYBOARDS=4", "-DMM_CHECKSUM=0"),
    ):
        assert found(folder, *flags, compiler=compiler) == 0, flags


@pytest.mark.parametrize("flag", [f"-DMM_WAITING={LEAST.waiting - 1}", f"-DMM_HELD={LEAST.held - 1}", "-DMM_TAPS=0"])
def test_sizes_that_it_is_not_made_for(tmp_path: Path, flag: str) -> None:
    """With less memory than the scripts take, or without taps, it says so and tells no step."""
    assert found(written(tmp_path, plans()[:1]), flag) == 0xFFFF


def test_a_choice_of_layouts(tmp_path: Path) -> None:
    """Where firmware takes some of the layouts, their steps alone are played, and counted."""
    folder = written(tmp_path, plans())
    chosen = ("-DMM_LAYOUTS_CHOSEN", "-DMM_QUILLON8_EN_US_POSITIONAL_BUILT=1")
    assert found(folder, *chosen) == 0
    source = folder / "quillon8-en-US-positional.c"
    source.write_text(source.read_text(encoding="utf-8").replace("MM_TABLE_VERSION,", "MM_TABLE_VERSION + 1,"))
    assert found(folder, *chosen) == 2, "a table that is refused shows at the first step with a key"


def test_the_scripts_of_all_layouts() -> None:
    """Each shipped layout has a script, of some hundred steps and about as large as its table, which is the same each time."""
    for id in shipped_ids()[::7]:
        plan = shipped_plan(id)
        table = make_table(plan)
        steps = script_of(plan, table)
        assert 60 < len(steps) < 600
        assert sum(len(step.to_bytes()) for step in steps) < 3000
        assert script_of(plan, table) == steps


def test_each_difference_has_its_number(tmp_path: Path) -> None:
    """A check that is wrong by one bit is told by the number of its line."""
    folder = written(tmp_path, plans()[:1])
    # Only the file with the steps changes.
    steady = [path for path in sorted(folder.glob("*.c")) if path.name != STEPS]
    tools.run(tools.tool("gcc"), *tools.STRICT, "-Os", "-c", *steady, cwd=folder)
    objects = [folder / f"{path.stem}.o" for path in steady]
    path = folder / STEPS
    text = path.read_text(encoding="ascii")
    lines = text.splitlines()
    for number in (1, 30, 101):
        at = next(at for at, line in enumerate(lines) if f"/* {number}: " in line)
        data, star, told = lines[at].partition(", /*")
        head, _, last = data.rpartition("0x")
        changed = [*lines[:at], f"{head}0x{int(last, 16) ^ 1:02X}{star}{told}", *lines[at + 1 :], ""]
        path.write_text("\n".join(changed), encoding="ascii")
        tools.run("gcc", *tools.STRICT, "-Os", "-o", folder / "program", path, *objects)
        assert int(tools.run(folder / "program").stdout) == number


def built_for(processor: Processor, folder: Path, *more: str) -> int:
    """What the self-test returns on a processor in its simulator, compiled with some flags more."""
    avr = processor.name == "avr"
    written(folder, plans(), AVR_MAIN if avr else BARE_MAIN)
    extra = [] if avr else [TARGETS / "semihosting.c"]
    flags = [
        flag.replace("bare.ld", str(TARGETS / "bare.ld")) for flag in processor.flags if not flag.startswith("-DMM_")
    ]
    firmware = folder / "firmware.elf"
    tools.run(
        tools.tool(processor.compiler),
        *(flag for flag in tools.STRICT if flag != "-Wcast-qual"),
        "-Os",
        *more,
        *(flag for flag in flags if flag != "-lgcc"),
        f"-I{folder}",
        f"-I{TARGETS}",
        "-o",
        firmware,
        *sorted(folder.glob("*.c")),
        *extra,
        *(["-lgcc"] if "-lgcc" in flags else []),
    )
    words = [*processor.simulator, str(firmware)]
    if avr:
        tools.run(tools.tool("gcc"), "-O2", "-o", folder / "avr-host", TARGETS / "avr_host.c", "-lsimavr", "-lelf")
        words.append(str(folder / "rows.bin"))
    else:
        tools.tool(processor.simulator[0])
    done = subprocess.run(words, cwd=folder, stdin=subprocess.DEVNULL, capture_output=True, timeout=120, check=False)
    assert done.returncode == 0, done.stderr.decode(errors="replace")
    return int.from_bytes((folder / "rows.bin").read_bytes(), "little")


@pytest.mark.parametrize(
    "processor", [one for one in PROCESSORS if one.name in ("avr", "cortex-m0plus")], ids=lambda one: one.name
)
def test_it_passes_on_processors(tmp_path: Path, processor: Processor) -> None:
    """An AVR and a Cortex-M play the scripts of four layouts, and find nothing."""
    for name in processor.tools:
        tools.tool(name)
    assert built_for(processor, tmp_path) == 0


def test_a_wrong_way_to_read_the_tables_is_noticed(tmp_path: Path) -> None:
    """An AVR that reads the tables in RAM instead of the flash differs at once."""
    processor = next(one for one in PROCESSORS if one.name == "avr")
    tools.tool("simavr")
    wrong = ("-DMM_TABLE=PROGMEM", "-DMM_READ(address)=(*(address))", "-include", "avr/pgmspace.h")
    assert 0 < built_for(processor, tmp_path, *wrong) <= 2


def test_it_is_not_linked_unless_called(tmp_path: Path) -> None:
    """A firmware that links with a library of all files has nothing of the self-test."""
    folder = written(tmp_path, plans()[:1])
    tools.run(tools.tool("gcc"), "-Os", "-c", *sorted(set(folder.glob("*.c")) - {folder / "main.c"}), cwd=folder)
    tools.run(tools.tool("ar"), "rcs", folder / "all.a", *sorted(folder.glob("*.o")))
    (folder / "main.c").write_text(
        '#include "mm_layouts.h"\nint main(void)\n{\n    static mm_state state;\n'
        "    return mm_init(&state, mm_quillon8_en_GB_symbolic, MM_QUILLON8_EN_GB_SYMBOLIC_SIZE) ? 0 : 1;\n}\n"
    )
    tools.run("gcc", "-Os", "-o", folder / "program", folder / "main.c", folder / "all.a")
    assert "selftest" not in tools.run(tools.tool("nm"), folder / "program").stdout


NOT_MEANT = {"keyboards", "P6"}
"""What the scripts leave out: a second keyboard, and a line that is full."""


def unnoticed(edits: Sequence[Edit], folder: Path, listed: Sequence[Plan]) -> list[Edit]:
    """The seeded faults of the runtime with which the self-test returns 0."""
    written(folder, listed)
    sources = [path for path in sorted(folder.glob("*.c")) if path.name != "mm_runtime.c"]
    tools.run(tools.tool("gcc"), "-O1", "-c", *sources, cwd=folder)
    objects = [folder / f"{path.stem}.o" for path in sources]
    left = []
    for edit in edits:
        mutant = folder / "mutant"
        write_mutant(edit, mutant)
        config = (folder / "mm_config.h").read_text(encoding="ascii")
        (mutant / "mm_config.h").write_text(config, encoding="ascii")
        program = mutant / "program"
        tools.run("gcc", "-w", "-O1", "-o", program, mutant / "mm_runtime.c", *objects)
        try:
            done = subprocess.run([program], capture_output=True, text=True, timeout=10, check=False)
        except subprocess.TimeoutExpired:
            continue
        if done.returncode == 0 and done.stdout == "0\n":
            left.append(edit)
    return left


def test_most_seeded_faults_are_noticed(tmp_path: Path) -> None:
    """Of every eighth seeded fault of the runtime at least two thirds are noticed with layouts of all kinds."""
    edits = [edit for edit in EDITS[::8] if edit.promise not in NOT_MEANT]
    whole = [plan for plan in special_plans() if plan.id.startswith("everything-whole")]
    left = unnoticed(edits, tmp_path, [*plans(), *special_plans()[1:3], *whole])
    assert len(left) <= len(edits) / 3, [edit.breaks for edit in left]


@pytest.mark.campaign
def test_most_of_all_seeded_faults_are_noticed(tmp_path: Path) -> None:
    """The same with all seeded faults and all special layouts: four in five of those that scripts are made for."""
    edits = [edit for edit in EDITS if edit.promise not in NOT_MEANT]
    left = unnoticed(edits, tmp_path, [*plans(), *special_plans()[1:]])
    print(f"{len(edits) - len(left)} of {len(edits)} edits were noticed")
    assert len(left) <= len(edits) / 5, [edit.breaks for edit in left]


def test_only_a_build_that_is_asked_writes_it(tmp_path: Path) -> None:
    """`build --self-test` writes three files more, which `--check --self-test` finds fresh; a build without it removes them."""
    words = ("build", IDS[0], "--out", "out")
    files = {"mm_selftest.c", "mm_selftest.h", STEPS}
    assert call(*words, "--self-test", cwd=tmp_path).returncode == 0
    with_it = {path.name for path in (tmp_path / "out").iterdir()}
    assert f"    {STEPS}\n" in (tmp_path / "out" / "CMakeLists.txt").read_text(encoding="utf-8")
    assert call(*words, "--check", "--self-test", cwd=tmp_path).returncode == 0
    stale = call(*words, "--check", cwd=tmp_path)
    assert stale.returncode == 1
    assert all(f"{name}: no layout makes this file any more" in stale.stderr for name in files)
    assert call(*words, cwd=tmp_path).returncode == 0
    assert with_it - {path.name for path in (tmp_path / "out").iterdir()} == files


def test_a_row_is_what_the_c_adds_up() -> None:
    """The check of a step is made over rows of the size that mm_selftest.c makes: twelve bytes and two a select line."""
    assert ROW_BYTES == 12 + 2 * 16
