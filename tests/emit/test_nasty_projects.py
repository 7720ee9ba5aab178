"""Whatever stands in titles, names and legends: the C compiles, JSON is JSON, Markdown stays a table, nothing is obeyed."""

from __future__ import annotations

import json
import re
import subprocess
import unicodedata
from pathlib import Path

import pytest
from hypothesis import HealthCheck, Phase, given, settings

from matrixmap.emit.tables.build import build_files
from matrixmap.join.plan import compile_plan
from matrixmap.limits import TITLE_CHARACTERS
from matrixmap.model.plan import Plan
from matrixmap.press.table.make import make_table
from tests import tools
from tests.emit.compiled import write_build
from tests.emit.table_reader import read_table
from tests.emit.test_tables import expected_answers
from tests.nasty import LEGENDS, TITLES, projects, quoted
from tests.project import open_folders, read_layout, write_project
from tests.shipped import some_of

FLAGS = [*tools.STRICT, "-fsyntax-only"]


def plan_of(folder: Path, id: str) -> Plan:
    """The plan of a layout in a folder of its own."""
    return compile_plan(read_layout(open_folders(folder), id))


def compiles(folder: Path, compiler: str) -> None:
    """All C files of a folder, in one call."""
    tools.run(tools.tool(compiler), *FLAGS, *sorted(folder.glob("*.c")))


# A failing case is small enough as it is, and to shrink it would compile it hundreds of times.
PHASES = [phase for phase in Phase if phase not in (Phase.shrink, Phase.explain)]


@settings(
    max_examples=6,
    deadline=None,
    phases=PHASES,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
@given(projects())
def test_any_project_compiles(tmp_path_factory: pytest.TempPathFactory, made: dict[str, dict[str, str]]) -> None:
    """Projects with any titles and legends, built together, give C without a warning and tables that read back."""
    folder = tmp_path_factory.mktemp("nasty")
    for files in made.values():
        write_project(folder, files)
    plans = [plan_of(folder, id) for id in made]
    built = write_build(folder / "out", plans)
    for compiler in ("gcc", "clang"):
        compiles(built, compiler)
    for plan in plans:
        assert read_table(make_table(plan).to_bytes()).answers == expected_answers(plan)
        check_texts(plan, built)


def test_a_machine_without_keys_compiles(tmp_path: Path) -> None:
    """A machine whose grid is empty, and so a plan that does nothing, still gives a table, a key list and C."""
    files = {
        "shared/machines/bare.yaml": "machine: bare\ntitle: t\nsource: s\nmatrix: {select: [A], sense: [B], grid: {A: [none]}}\n"
        "types: {}\nscan: {period_us: 20000}\n",
        "layouts/bare.yaml": "layout: bare\nmachine: bare\nhost: en-US\njoin: symbolic\n",
    }
    plan = plan_of(write_project(tmp_path, files), "bare")
    built = write_build(tmp_path / "out", [plan])
    for compiler in ("gcc", "clang"):
        compiles(built, compiler)
    assert read_table(make_table(plan).to_bytes()).answers == {}
    check_texts(plan, built)


def check_texts(plan: Plan, built: Path) -> None:
    """JSON and Markdown of a layout hold the title and obey none of it."""
    text = (built / f"{plan.id}.json").read_text(encoding="utf-8")
    assert json.loads(text)["title"] == plan.layout.title
    for path in built.iterdir():
        assert visible(path.read_text(encoding="utf-8")), path.name
    lines = (built / f"{plan.id}.md").read_text(encoding="utf-8").splitlines()
    columns = {len(re.findall(r"(?<!\\)\|", line)) for line in lines[lines.index("") :] if line.startswith("| ")}
    assert columns <= {len(re.findall(r"\|", line)) for line in lines if line.startswith("| ---")}
    assert not any(line.startswith(("<", "```")) for line in lines[:-1])


def visible(text: str) -> bool:
    """Whether a text holds nothing that a terminal or an eye would obey."""
    return all(char == "\n" or unicodedata.category(char) not in {"Cc", "Cf", "Cs", "Zl", "Zp"} for char in text)


@pytest.fixture(scope="module")
def titled(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Plan]:
    """A layout of a machine of one key under each nasty title."""
    files = {
        "shared/machines/one.yaml": "machine: one\ntitle: t\nsource: s\nmatrix: {select: [A], sense: [B], grid: {A: [key]}}\n"
        "types: {key: {plain: a}}\nscan: {period_us: 20000}\n",
        **{
            f"layouts/t{number}.yaml": f"layout: t{number}\ntitle: {quoted(title)}\nmachine: one\nhost: en-US\njoin: symbolic\n"
            for number, title in enumerate(TITLES)
        },
    }
    folder = write_project(tmp_path_factory.mktemp("titled"), files)
    return {title: plan_of(folder, f"t{number}") for number, title in enumerate(TITLES)}


def test_titles_reach_the_program(titled: dict[str, Plan], tmp_path: Path) -> None:
    """A firmware reads every title from the index exactly as it was written."""
    built = write_build(tmp_path / "out", titled.values())
    by_id = sorted(titled.items(), key=lambda pair: pair[1].id)
    assert titles_read(built, tmp_path) == [title for title, _ in by_id]
    for plan in titled.values():
        check_texts(plan, built)


def titles_read(built: Path, folder: Path) -> list[str]:
    """The titles of the index of a build as a program prints them, compiled without a warning."""
    source = folder / "main.c"
    source.write_text(
        '#include "mm_layouts.h"\n#include <stdio.h>\nint main(void) {\n    uint8_t i;\n'
        "    for (i = 0; i < MM_LAYOUTS; i++) {\n        mm_layout one;\n        mm_get_layout(mm_layouts, i, &one);\n"
        "        fputs(one.title, stdout);\n        putchar(0);\n    }\n    return 0;\n}\n"
    )
    program = folder / "program"
    files = (source, *sorted(built.glob("*.c")))
    # Longer literals than C99 asks of each compiler are a warning of -Wpedantic.
    tools.run(tools.tool("gcc"), *tools.STRICT, f"-I{built}", *files, "-o", program)
    out = subprocess.run([program], capture_output=True, check=True).stdout
    return out.decode("utf-8").split("\0")[:-1]


LINE, LITERAL = 4095, 4095
"""Characters that each compiler of C takes in a source line, and in a string literal: ISO/IEC 9899:1999, 5.2.4.1."""
LONGEST_TITLES = ["a", "?", "\\", '"', "*/", "ß", "鍵", "🎹", "𝄞 ", "%s", "1\u0301"]
"""What the longest titles are made of, from one byte a character to four, trigraphs among them."""


@pytest.mark.parametrize("part", some_of(LONGEST_TITLES, "longest titles", 2))
def test_the_longest_titles_compile(tmp_path: Path, part: str) -> None:
    """Titles of as many characters as a title may have, also one that is joined of two of these, keep to what each compiler takes."""
    long = (part * TITLE_CHARACTERS)[:TITLE_CHARACTERS].strip().ljust(TITLE_CHARACTERS, "x")
    machine = f"title: {quoted(long)}\nsource: s\nmatrix: {{select: [A], sense: [B], grid: {{A: [key]}}}}\ntypes: {{key: {{plain: a}}}}\n"
    files = {
        "shared/machines/one.yaml": f"machine: one\n{machine}scan: {{period_us: 20000}}\n",
        "shared/hosts/far.yaml": f"host: far\ntitle: {quoted(long)}\nsource: s\nbase: en-US\nform: ansi-104\n",
        "layouts/own.yaml": f"layout: own\ntitle: {quoted(long)}\nmachine: one\nhost: en-US\njoin: symbolic\n",
        "layouts/joined.yaml": "layout: joined\nmachine: one\nhost: far\nstand_in: far\njoin: symbolic\n",
    }
    folder = write_project(tmp_path / "project", files)
    plans = [plan_of(folder, id) for id in ("joined", "own")]
    assert [len(plan.layout.title) > TITLE_CHARACTERS for plan in plans] == [True, False]
    assert titles_read(write_build(tmp_path / "out", plans), tmp_path) == [plan.layout.title for plan in plans]
    for path in (tmp_path / "out").glob("*.[ch]"):
        assert max(map(len, path.read_text(encoding="ascii").splitlines())) <= LINE, path.name
    assert all(len(plan.layout.title.encode()) < LITERAL for plan in plans)


@pytest.mark.parametrize("legend", LEGENDS)
def test_a_legend_survives_to_every_file(tmp_path: Path, legend: str) -> None:
    """A legend goes from the files through the plan into C, JSON and Markdown, and is read as itself or by its name."""
    id = "legend"
    files = {
        f"shared/machines/{id}.yaml": f"machine: {id}\ntitle: t\nsource: s\nmatrix: {{select: [A], sense: [B], grid: {{A: [key]}}}}\n"
        f"types: {{key: {{plain: {quoted(legend)}}}}}\nscan: {{period_us: 20000}}\n",
        f"shared/hosts/{id}.yaml": f"host: {id}\ntitle: t\nsource: s\nform: iso-105\nlegends: {{KeyA: [{quoted(legend)}]}}\n",
        f"layouts/{id}.yaml": f"layout: {id}\nmachine: {id}\nhost: {id}\njoin: symbolic\n",
    }
    plan = plan_of(write_project(tmp_path, files), id)
    texts = build_files([plan])
    (trigger,) = {json.dumps({**row, "level": 0, "trigger": ""}) for row in json.loads(texts[f"{id}.json"])["triggers"]}
    assert json.loads(trigger)["types"] == legend
    name = unicodedata.name(legend)
    (line,) = [line for line in texts[f"{id}.c"].splitlines() if line.startswith("    0x04, AT_KEY")]
    told = line.partition(" types ")[2].removesuffix(" */")
    assert told in (legend, name.lower(), f"U+{ord(legend):04X} {name}")
    (cell,) = [line for line in texts[f"{id}.md"].splitlines() if line.startswith("| KeyA ")]
    shown = re.sub(r"\\(.)", r"\1", cell.split(" (key)")[0].removeprefix("| KeyA | "))
    assert shown == (legend if legend != " " else "space")
