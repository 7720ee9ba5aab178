"""Names of commands: from the files to the C of a firmware, and where layouts disagree about them."""

from __future__ import annotations

from pathlib import Path

from tests import tools
from tests.project import call, write_project

LAYOUT = "layout: {id}\nmachine: quillon8\nhost: en-GB\njoin: symbolic\n"


def project(folder: Path, lines: dict[str, str], base: str = "") -> Path:
    """A project with these layouts, each with some lines of its own, and one base."""
    files = {f"layouts/{id}.yaml": LAYOUT.format(id=id) + text for id, text in lines.items()}
    if base:
        files["layouts/common.yaml"] = f"layout: common\nmachine: quillon8\njoin: symbolic\n{base}"
    return write_project(folder, files)


def said(text: str) -> list[str]:
    """The lines on stderr without notes."""
    return [line for line in text.splitlines() if not line.startswith("note: ")]


def test_a_name_is_a_macro(tmp_path: Path) -> None:
    """Each named command is a macro with its number, once, in the order of the numbers; one without a name is none."""
    folder = project(
        tmp_path,
        {
            "one": "commands: {F9: 7, F10: 2, F11: 9}\ncommand_names: {7: next-layout, 2: pair-2}\n",
            "two": "commands: {F9: 7}\ncommand_names: {7: next-layout}\n",
        },
    )
    done = call("build", "one", "two", "--out", "out", cwd=folder)
    assert done.returncode == 0, done.stderr
    header = (folder / "out" / "mm_layouts.h").read_text(encoding="ascii")
    macros = [line for line in header.splitlines() if line.startswith("#define MM_COMMAND_")]
    assert macros == ["#define MM_COMMAND_PAIR_2 2u", "#define MM_COMMAND_NEXT_LAYOUT 7u"]
    source = folder / "firmware.c"
    source.write_text(
        '#include "mm_layouts.h"\nuint8_t step(uint8_t command);\n'
        "uint8_t step(uint8_t command)\n{\n    switch (command) {\n    case MM_COMMAND_NEXT_LAYOUT:\n        return 1u;\n"
        "    case MM_COMMAND_PAIR_2:\n        return 2u;\n    default:\n        return 0u;\n    }\n}\n"
    )
    tools.run(tools.tool("gcc"), *tools.STRICT, f"-I{folder / 'out'}", "-c", source, "-o", folder / "firmware.o")


def test_a_base_names_commands_for_all(tmp_path: Path) -> None:
    """A base may name commands of which a layout gives some, and a layout's own name for a number goes before."""
    folder = project(
        tmp_path,
        {
            "one": "base: common\ncommands: {F9: 1}\n",
            "two": "base: common\ncommands: {F9: 3}\ncommand_names: {3: other}\n",
        },
        "command_names: {1: next-layout, 3: lamp}\n",
    )
    assert call("build", "one", "--out", "one", cwd=folder).returncode == 0
    header = (folder / "one" / "mm_layouts.h").read_text(encoding="ascii")
    assert "#define MM_COMMAND_NEXT_LAYOUT 1u\n#define MM_COMMAND_LAMP 3u\n" in header
    assert call("build", "two", "--out", "two", cwd=folder).returncode == 0
    assert "#define MM_COMMAND_OTHER 3u\n" in (folder / "two" / "mm_layouts.h").read_text(encoding="ascii")


def test_layouts_that_disagree(tmp_path: Path) -> None:
    """A name with two numbers, or a number with two names, in layouts built together is refused with both places."""
    folder = project(
        tmp_path,
        {
            "one": "commands: {F9: 1, F10: 2}\ncommand_names: {1: next-layout, 2: pair}\n",
            "two": "commands: {F9: 1, F10: 3}\ncommand_names: {1: first-layout, 3: pair}\n",
        },
    )
    done = call("build", "one", "two", "--out", "out", cwd=folder)
    assert done.returncode == 2
    assert said(done.stderr) == [
        "layouts/two.yaml:6:20: command-names-differ: command 1 is first-layout here, but next-layout in "
        "layouts/one.yaml:6:20; one firmware cannot tell them apart",
        "layouts/two.yaml:6:37: command-names-differ: pair is command 3 here, but 2 in layouts/one.yaml:6:36; "
        "one firmware cannot tell them apart",
        "2 findings; nothing was used",
    ]
    assert not (folder / "out").exists()
    assert call("build", "one", "--out", "out", cwd=folder).returncode == 0


def test_a_layout_with_the_name_of_a_command(tmp_path: Path) -> None:
    """A layout whose id begins as macros of commands do gets other macros than these."""
    lines = "commands: {F9: 1, F10: 2}\ncommand_names: {1: size, 2: x-size}\n"
    folder = project(tmp_path, {"command-x": lines, "command": lines})
    done = call("build", "command", "command-x", "--out", "out", cwd=folder)
    assert done.returncode == 0, done.stderr
    source = folder / "out" / "mm_layouts.c"
    tools.run(tools.tool("gcc"), *tools.STRICT, "-c", source, "-o", folder / "layouts.o")
