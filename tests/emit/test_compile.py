"""Generated C compiles without a warning wherever firmware is built."""

from __future__ import annotations

import re
from collections.abc import Callable
from hashlib import sha256
from pathlib import Path

import pytest

from matrixmap.emit.tables.licence import licence_lines
from tests import tools
from tests.emit.compiled import write_build
from tests.project import ROOT, sample_ids, shipped_ids, shipped_plan
from tests.shipped import OTHERS

CXX = [flag for flag in tools.STRICT if flag not in ("-std=c99", "-Wmissing-prototypes", "-Wstrict-prototypes")]


KINDS = (*sample_ids(), *OTHERS)
"""Layouts of each kind: their files are alike in form to those of all others, which wait for the campaign."""

some_and_all = pytest.mark.parametrize(
    "ids",
    [pytest.param(KINDS, id="some"), pytest.param(shipped_ids(), marks=pytest.mark.campaign, id="all")],
)


FOR_PADS = "mm_pad.c"
"""Written only where a layout has pads, which no shipped one has; tests/pads/ compile it."""


def files_of(built: Path, suffix: str, ids: tuple[str, ...]) -> list[Path]:
    """The C files or headers of a build without those of other layouts."""
    others = set(shipped_ids()) - set(ids)
    return [path for path in sorted(built.glob(f"*{suffix}")) if path.stem not in others]


@pytest.mark.parametrize("compiler", ["gcc", "clang"])
def test_each_file_compiles_by_itself(built: Path, objects: Callable[[str], list[Path]], compiler: str) -> None:
    """Every generated C file compiles alone under the strictest flags."""
    sources = sorted(built.glob("*.c"))
    runtime = {path.name for path in (ROOT / "matrixmap" / "runtime").glob("*.c")} - {FOR_PADS}
    assert {path.name for path in sources} == {*runtime, "mm_layouts.c", *(f"{id}.c" for id in shipped_ids())}
    assert {path.stem for path in objects(compiler)} == {path.stem for path in sources}


@some_and_all
@pytest.mark.parametrize("compiler", ["gcc", "clang"])
def test_each_header_stands_by_itself(built: Path, tmp_path: Path, compiler: str, ids: tuple[str, ...]) -> None:
    """Every header compiles as the first and only include, and twice over."""
    sources = []
    for number, header in enumerate(files_of(built, ".h", ids)):
        sources.append(tmp_path / f"alone{number}.c")
        sources[-1].write_text(f'#include "{header.name}"\n#include "{header.name}"\nint main(void) {{ return 0; }}\n')
    tools.run(tools.tool(compiler), *tools.STRICT, f"-I{built}", "-fsyntax-only", *sources)


@pytest.mark.parametrize(("compiler", "standard"), [("g++", "c++11"), ("clang++", "c++17")])
def test_the_headers_serve_cpp(
    built: Path, objects: Callable[[str], list[Path]], tmp_path: Path, compiler: str, standard: str
) -> None:
    """C++ includes the index of layouts, links with the C objects and reads titles and tables."""
    source = tmp_path / "main.cpp"
    source.write_text(
        '#include "mm_layouts.h"\n#include <cstdio>\n'
        "int main() {\n"
        "    static mm_state state;\n"
        "    for (uint8_t i = 0; i < MM_LAYOUTS; i++) {\n"
        "        mm_layout layout;\n"
        "        mm_get_layout(mm_layouts, i, &layout);\n"
        '        std::printf("%s|%s|%d\\n", layout.id, layout.title, mm_init(&state, layout.table, layout.size));\n'
        "    }\n"
        "    return 0;\n}\n"
    )
    program = tmp_path / "program"
    tools.run(tools.tool(compiler), f"-std={standard}", *CXX, f"-I{built}", source, *objects("gcc"), "-o", program)
    told = [line.split("|") for line in tools.run(program).stdout.splitlines()]
    assert told == [[id, shipped_plan(id).layout.title, "1"] for id in shipped_ids()]


@pytest.mark.parametrize(("compiler", "standard"), [("g++", "c++11"), ("clang++", "c++17")])
def test_each_file_compiles_as_cpp(built: Path, tmp_path: Path, compiler: str, standard: str) -> None:
    """A firmware that is built as C++ takes the C files as they are: runtime, index and tables compile without a warning, and link with C."""
    names = sorted({path.name for path in (ROOT / "matrixmap" / "runtime").glob("*.c")} - {FOR_PADS})
    sources = [built / name for name in (*names, "mm_layouts.c", *(f"{id}.c" for id in KINDS))]
    flags = (tools.tool(compiler), "-x", "c++", f"-std={standard}", *CXX, f"-I{built}")
    tools.run(*flags, "-c", *sources, cwd=tmp_path)
    # With pads, as no shipped layout has them.
    for_pads = [ROOT / "matrixmap" / "runtime" / name for name in (FOR_PADS, "mm_descriptor.c", "mm_runtime.c")]
    beside = tmp_path / "pads"
    beside.mkdir()
    tools.run(*flags, "-DMM_PADS=1", "-c", *for_pads, cwd=beside)
    table = f"mm_{KINDS[0].replace('-', '_')}"
    source = tmp_path / "main.c"
    source.write_text(
        f'#include "{KINDS[0]}.h"\nint main(void) {{ static mm_state state; return !mm_init(&state, {table}, {table.upper()}_SIZE); }}\n'
    )
    objects = [tmp_path / f"{name}.o" for name in ("mm_runtime", KINDS[0])]
    tools.run(tools.tool("gcc"), *tools.STRICT, f"-I{built}", source, *objects, "-o", tmp_path / "program")
    tools.run(tmp_path / "program")


@some_and_all
def test_cmake_makes_a_library(tmp_path: Path, ids: tuple[str, ...]) -> None:
    """`add_subdirectory` of the generated folder gives a library that a firmware links with."""
    tables = write_build(tmp_path / "tables", map(shipped_plan, ids))
    project = tmp_path / "firmware"
    project.mkdir()
    (project / "main.c").write_text(
        '#include "mm_layouts.h"\nint main(void) { mm_layout one; mm_get_layout(mm_layouts, 0, &one); return one.size == 0; }\n'
    )
    (project / "CMakeLists.txt").write_text(
        "cmake_minimum_required(VERSION 3.13)\nproject(firmware C)\n"
        f'add_subdirectory("{tables}" tables)\nadd_executable(firmware main.c)\n'
        "target_link_libraries(firmware matrixmap_tables)\n"
    )
    tools.run(tools.tool("cmake"), "-S", project, "-B", tmp_path / "out")
    tools.run("cmake", "--build", tmp_path / "out")
    tools.run(tmp_path / "out" / "firmware")


AVR = ["-mmcu=atmega328p", "-std=c99", "-Os", "-Wall", "-Wextra", "-Wpedantic", "-Wconversion", "-Wundef", "-Werror"]


@some_and_all
def test_tables_lie_in_the_flash_of_an_avr(built: Path, tmp_path: Path, ids: tuple[str, ...]) -> None:
    """On an AVR every table and title is in program memory: no byte of the objects' data or bss."""
    for source in files_of(built, ".c", ids):
        made = tmp_path / f"{source.stem}.o"
        tools.run(tools.tool("avr-gcc"), *AVR, "-c", source, "-o", made)
        text, data, bss = sizes(tools.tool("avr-size"), made)
        assert text > 0
        assert (data, bss) == (0, 0), source.name


def sizes(command: str, made: Path) -> tuple[int, int, int]:
    """Bytes of text, data and bss of an object."""
    text, data, bss = tools.run(command, made).stdout.splitlines()[1].split()[:3]
    return int(text), int(data), int(bss)


@some_and_all
def test_tables_compile_for_a_cortex_m(built: Path, tmp_path: Path, ids: tuple[str, ...]) -> None:
    """arm-none-eabi-gcc takes every file under the same warnings, and none of it is writable data."""
    flags = (*tools.STRICT, "-mcpu=cortex-m0plus", "-mthumb", "-Os")
    for source in files_of(built, ".c", ids):
        made = tmp_path / f"{source.stem}.o"
        tools.run(tools.tool("arm-none-eabi-gcc"), *flags, "-c", source, "-o", made)
        assert sizes(tools.tool("arm-none-eabi-size"), made)[1:] == (0, 0), source.name


@pytest.mark.parametrize("target", [["-mz80"], ["-mmcs51", "--model-large"]])
def test_tables_compile_for_small_targets(built: Path, tmp_path: Path, target: list[str]) -> None:
    """Sdcc for the Z80 and the 8051 takes the tables and the index; six tables, for they are alike in form."""
    for name in (*sample_ids(), "mm_layouts", "mm_index"):
        made = tmp_path / f"{name}.rel"
        tools.run(tools.tool("sdcc"), *target, "--std-c99", "--Werror", "-c", built / f"{name}.c", "-o", made)


def test_a_table_of_another_version_does_not_compile(built: Path, tmp_path: Path) -> None:
    """A table beside a runtime of another version stops the compiler with a line that says what to run."""
    for path in built.iterdir():
        text = path.read_text(encoding="utf-8")
        if path.name == "mm_runtime.h":
            text = re.sub(r"(#define MM_TABLE_VERSION) \d+", r"\1 200", text)
        (tmp_path / path.name).write_text(text, encoding="utf-8")
    source = tmp_path / f"{shipped_ids()[0]}.c"
    with pytest.raises(AssertionError, match="run `matrixmap build` again"):
        tools.run(tools.tool("gcc"), "-std=c99", "-c", source, "-o", tmp_path / "x.o")


def test_files_are_plain_and_say_what_made_them(built: Path) -> None:
    """Generated C is ASCII with line feeds and a last one; it names its maker and plan, and no path, user or date."""
    for path in sorted(built.iterdir()):
        data = path.read_bytes()
        assert data.endswith(b"\n")
        assert b"\r" not in data
        assert b"\t" not in data
        assert not re.search(rb"/(home|root|tmp|work|usr)/|20\d\d-\d\d-\d\d|__DATE__|__TIME__", data)
        if path.suffix in (".c", ".h"):
            assert data.isascii()
            assert data.startswith("".join(f"{line}\n" for line in licence_lines()).encode())
        if path.suffix in (".c", ".h") and not path.name.startswith("mm_"):
            assert re.search(rb"SHA-256 of the plan: [0-9a-f]{64}\n", data)


def test_the_manifest_holds_the_hashes(built: Path) -> None:
    """The manifest names every file beside it with its SHA-256, and for each layout those of the files it was made from."""
    import json

    manifest = json.loads((built / "mm_manifest.json").read_text(encoding="utf-8"))
    others = {path.name: path for path in built.iterdir() if path.name != "mm_manifest.json"}
    assert manifest["files"] == {name: sha256(path.read_bytes()).hexdigest() for name, path in others.items()}
    for id in shipped_ids():
        inputs = manifest["layouts"][id]["inputs"]
        assert f"layouts/{id}.yaml" in inputs
        for name, digest in inputs.items():
            assert sha256((ROOT / name).read_bytes()).hexdigest() == digest


def test_one_line_a_trigger(built: Path) -> None:
    """A person reads one entry a line: every line of a table's groups has one usage and a comment."""
    for id in shipped_ids():
        lines = (built / f"{id}.c").read_text(encoding="utf-8").splitlines()
        entries = [line for line in lines if re.match(r"    0x[0-9A-F]{2}, \w+, /\*", line)]
        bound = {binding.trigger.usage for binding in shipped_plan(id).bindings}
        assert {int(line[6:8], 16) for line in entries} >= bound
        assert len(bound) >= 60 or (id.startswith("langet41-") and len(bound) >= 41)
        assert all(line.count("/*") == line.count("*/") == 1 and line.endswith(" */") for line in entries)


def test_one_changed_line_changes_one_line_of_c(tmp_path: Path) -> None:
    """A layout line that sends one key elsewhere shows as one changed entry of its table, and as another checksum."""
    from matrixmap.join.plan import compile_plan
    from tests.project import open_folders, read_layout, write_project

    id = "quillon8-en-GB-symbolic"
    text = (ROOT / "layouts" / f"{id}.yaml").read_text(encoding="utf-8")
    texts = []
    for change in ("  F9: b1\n", "  F9: b2\n"):
        folder = write_project(
            tmp_path / change.strip()[-2:], {f"layouts/{id}.yaml": text.rstrip("\n") + "\nkeys:\n" + change}
        )
        plan = compile_plan(read_layout(open_folders(folder), id))
        built = write_build(folder / "out", [plan])
        lines = (built / f"{id}.c").read_text(encoding="utf-8").splitlines()
        texts.append([line for line in lines if "SHA-256" not in line and "checksum" not in line])
    changed = [pair for pair in zip(*texts, strict=True) if pair[0] != pair[1]]
    assert changed == [("    0x42, AT_B1, /* F9 types B1 */", "    0x42, AT_B2, /* F9 types B2 */")]
