"""The generated library for CMake: some layouts only, and sizes that library and firmware share."""

from __future__ import annotations

import subprocess
from collections.abc import Sequence
from pathlib import Path

import pytest

from matrixmap.emit.tables.index import built_macro, sizes_of
from tests import tools
from tests.emit.compiled import write_build
from tests.project import ROOT, shipped_plan

IDS = ("quillon8-de-DE-symbolic", "quillon8-en-GB-symbolic", "quillon8-en-US-positional")
MAIN = """\
#include <stdio.h>
#include "mm_layouts.h"

int main(void)
{
    static mm_state state;
    uint8_t number;

    for (number = 0; number < MM_LAYOUTS; number++) {
        mm_layout layout;
        mm_get_layout(mm_layouts, number, &layout);
        printf("%s %d\\n", layout.id, mm_init(&state, layout.table, layout.size));
    }
    printf("%d %d %d\\n", MM_KEYBOARDS, MM_WAITING, MM_TAPS);
    return 0;
}
"""


@pytest.fixture(scope="module")
def project(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A firmware beside the generated folder of three layouts; `chosen.cmake` is read before that."""
    folder = tmp_path_factory.mktemp("cmake")
    write_build(folder / "generated", map(shipped_plan, IDS))
    (folder / "main.c").write_text(MAIN, encoding="ascii")
    (folder / "CMakeLists.txt").write_text(
        "cmake_minimum_required(VERSION 3.13)\nproject(firmware C)\ninclude(chosen.cmake OPTIONAL)\n"
        "add_subdirectory(generated)\nadd_executable(firmware main.c)\ntarget_link_libraries(firmware matrixmap_tables)\n",
        encoding="ascii",
    )
    return folder


def configured(project: Path, out: Path, words: Sequence[str]) -> subprocess.CompletedProcess[str]:
    """One run of CMake that configures."""
    command = [tools.tool("cmake"), "-S", str(project), "-B", str(out), *words]
    return subprocess.run(command, capture_output=True, text=True, check=False)


def told(project: Path, out: Path, *words: str) -> list[str]:
    """What the firmware prints, built with these words on the command line."""
    done = configured(project, out, words)
    assert done.returncode == 0, done.stderr
    tools.run("cmake", "--build", out)
    return tools.run(out / "firmware").stdout.splitlines()


def test_without_a_choice_it_is_all(project: Path, tmp_path: Path) -> None:
    """All layouts are in the index, and the sizes are those of mm_config.h."""
    assert told(project, tmp_path) == [*(f"{id} 1" for id in IDS), "1 8 1"]


def test_the_command_line_chooses(project: Path, tmp_path: Path) -> None:
    """Layouts and sizes of the command line count for library and firmware, and can be changed in the same build folder."""
    words = (f"-DMATRIXMAP_LAYOUTS={IDS[2]};{IDS[0]}", "-DMM_KEYBOARDS=2", "-DMM_TAPS=0")
    assert told(project, tmp_path, *words) == [f"{IDS[0]} 1", f"{IDS[2]} 1", "2 8 0"]
    assert told(project, tmp_path, "-DMATRIXMAP_LAYOUTS=", "-DMM_KEYBOARDS=") == [*(f"{id} 1" for id in IDS), "1 8 0"]


def test_a_project_chooses(project: Path, tmp_path: Path) -> None:
    """Plain variables that the project sets before count as well, at the first run of CMake and at the next."""
    chosen = project / "chosen.cmake"
    chosen.write_text(f"set(MATRIXMAP_LAYOUTS {IDS[1]})\nset(MM_KEYBOARDS 3)\nset(MM_WAITING 20)\n", encoding="ascii")
    try:
        expected = [f"{IDS[1]} 1", "3 20 1"]
        assert told(project, tmp_path) == expected
        assert told(project, tmp_path) == expected
    finally:
        chosen.unlink()


@pytest.mark.parametrize(
    ("word", "message"),
    [
        ("-DMATRIXMAP_LAYOUTS=quillon8-en-GB", "names quillon8-en-GB, which was not built here; there are"),
        ("-DMM_KEYBOARDS=two", "MM_KEYBOARDS is 'two', which is no plain number"),
        ("-DMM_WAITING=012", "MM_WAITING is '012', which is no plain number"),
    ],
)
def test_what_cannot_be_is_told(project: Path, tmp_path: Path, word: str, message: str) -> None:
    """A layout that is not there, or a size that is no plain number, stops CMake with a sentence."""
    done = configured(project, tmp_path, [word])
    assert done.returncode != 0
    assert message in " ".join(done.stderr.split())


def test_every_size_can_be_set() -> None:
    """The sizes offered are all of mm_config.h but the version of the tables, each with its meaning."""
    config = (ROOT / "matrixmap" / "runtime" / "mm_config.h").read_text(encoding="ascii")
    names = [line.split()[1] for line in config.splitlines() if line.startswith("#ifndef MM_")]
    assert [*sizes_of(config), "MM_TABLE_VERSION_WANTED"] == [name for name in names if name != "MM_CONFIG_H"]
    assert all(meaning and '"' not in meaning for meaning in sizes_of(config).values())


@pytest.mark.parametrize("compiler", ["gcc", "clang"])
def test_a_choice_without_cmake(project: Path, tmp_path: Path, compiler: str) -> None:
    """Two macros for all files choose a layout by hand; the tables of the others need not be compiled."""
    built = project / "generated"
    sources = [built / name for name in ("mm_layouts.c", "mm_index.c", "mm_runtime.c", f"{IDS[1]}.c")]
    chosen = ("-DMM_LAYOUTS_CHOSEN", f"-D{built_macro(IDS[1])}=1")
    program = tmp_path / "program"
    tools.run(tools.tool(compiler), *tools.STRICT, *chosen, f"-I{built}", project / "main.c", *sources, "-o", program)
    assert tools.run(program).stdout.splitlines() == [f"{IDS[1]} 1", "1 8 1"]
