"""A firmware chooses a layout and its map of pads together, by the layout's 16-bit id."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from matrixmap.emit.tables.build import build_files
from matrixmap.emit.tables.id16 import id16
from matrixmap.emit.tables.index import built_macro
from tests import tools
from tests.emit.compiled import write_build
from tests.pads.layouts import plan_of
from tests.project import ROOT, shipped_plan

OAR = "layout: oar-only\nmachine: quillon8\nhost: en-GB\njoin: symbolic\npads: {order: oar, Ring: Button 1}\n"
ALONE = "quillon8-en-GB-symbolic"

MAIN = """
#include <stdio.h>
#include <stdlib.h>
static mm_state state;
int main(int count, char **words)
{
    int n;
    for (n = 1; n < count; n++) {
        bool found = choose_layout_and_pads(&state, (uint16_t)strtoul(words[n], 0, 10), n == 1);
        printf("%d %u %u\\n", found, mm_pads_controllers(&pads), pads.map != 0 ? (unsigned)pads.map[3] : 0u);
    }
    return 0;
}
"""


def piece() -> str:
    """The piece of docs/pads.md that chooses."""
    page = (ROOT / "docs/pads.md").read_text(encoding="utf-8")
    (found,) = [
        each for each in re.findall(r"^```c\n(.*?)^```", page, re.MULTILINE | re.DOTALL) if "mm_pad_maps" in each
    ]
    return str(found)


@pytest.mark.parametrize("little", [False, True])
def test_layout_and_map_are_chosen_together(little: bool, tmp_path: Path) -> None:
    """By the code of the page: controllers and buttons are those of the layout with that id, none where it leaves pads alone.

    It is so too where the firmware takes some of the layouts only.
    """
    plans = [plan_of(tmp_path), plan_of(tmp_path, OAR, "oar-only"), shipped_plan(ALONE)]
    folder = write_build(tmp_path / "tables", plans)
    (tmp_path / "main.c").write_text(piece() + MAIN, encoding="utf-8")
    chosen = [plan for plan in plans if not little or plan.id != "steered"]
    names = [f"{built_macro(plan.id)}=1" for plan in chosen]
    flags = [f"-D{name}" for name in ("MM_LAYOUTS_CHOSEN", *names)] if little else []
    sources = [folder / f"{plan.id}.c" for plan in chosen]
    sources += [folder / f"{name}.c" for name in ("mm_runtime", "mm_index", "mm_layouts", "mm_pad")]
    program = tmp_path / "program"
    tools.run(
        tools.tool("gcc"),
        *tools.STRICT,
        "-Wno-missing-prototypes",
        *flags,
        f"-I{folder}",
        tmp_path / "main.c",
        *sources,
        "-o",
        program,
    )
    ids = [id16(plan.id) for plan in (plans[1], plans[0], plans[2], plans[1])]
    told = [line.split() for line in tools.run(program, *map(str, ids), "1").stdout.splitlines()]
    oar, steered, alone, none = ["1", "1", "0"], ["1", "2", "3"], ["1", "0", "0"], ["0", "1", "0"]
    assert told == [oar, ["0", "1", "0"] if little else steered, alone, oar, none]


def test_a_build_without_pads_has_no_maps() -> None:
    """Its index is as it was."""
    files = build_files([shipped_plan(ALONE)])
    assert "mm_pad_maps" not in files["mm_layouts.h"] + files["mm_layouts.c"]


def test_a_layout_of_that_name_gets_another(tmp_path: Path) -> None:
    """A layout pad-maps does not take the name of the maps."""
    plan = plan_of(tmp_path, OAR.replace("oar-only", "pad-maps"), "pad-maps")
    files = build_files([plan])
    assert "extern const uint8_t mm_pad_maps_[" in files["pad-maps.h"]
    assert "extern const mm_pad_choice mm_pad_maps[" in files["mm_layouts.h"]
