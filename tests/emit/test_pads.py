"""A layout whose pads drive the controllers: its C has them, and the runtime beside it is compiled for them."""

from dataclasses import replace
from pathlib import Path

from matrixmap.emit.tables.build import build_files
from matrixmap.model.plan import Driven
from matrixmap.press.table.make import make_table
from tests import tools
from tests.emit.compiled import write_build
from tests.project import shipped_plan

PROGRAM = """
#include <stdio.h>
#include "quillon8-en-GB-symbolic.h"
static mm_state state;
int main(void)
{
    unsigned at;
    for (at = 0; at < MM_QUILLON8_EN_GB_SYMBOLIC_SIZE; at++) {
        printf("%02x", mm_quillon8_en_GB_symbolic[at]);
    }
    if (!mm_init(&state, mm_quillon8_en_GB_symbolic, MM_QUILLON8_EN_GB_SYMBOLIC_SIZE)) {
        return 1;
    }
    mm_controller(&state, 0, 3);
    mm_controller(&state, 1, 1);
    (void)mm_advance(&state, 0);
    printf(" %x %x %x\\n", (unsigned)mm_select_mask(&state, 7), (unsigned)mm_select_mask(&state, 1),
           (unsigned)mm_pulls(&state, 0));
    return 0;
}
"""


def test_the_c_has_the_controllers(tmp_path: Path) -> None:
    """The bytes are those of the table, and what pads close is handed out: Whistle S7/N2, Port S1/N6, Pull N5."""
    plan = replace(shipped_plan("quillon8-en-GB-symbolic"), driven=Driven(opposites=(("tiller", "Port", "Starboard"),)))
    table = make_table(plan).to_bytes()
    folder = write_build(tmp_path / "tables", [plan])
    assert "#define MM_PADS 1 " in (folder / "mm_config.h").read_text(encoding="utf-8")
    main = tmp_path / "main.c"
    main.write_text(PROGRAM, encoding="ascii")
    sources = (main, folder / "quillon8-en-GB-symbolic.c", folder / "mm_runtime.c")
    tools.run(tools.tool("gcc"), *tools.STRICT, f"-I{folder}", "-o", tmp_path / "main", *sources)
    shown = tools.run(tmp_path / "main").stdout.split()
    assert bytes.fromhex(shown[0]) == table
    assert shown[1:] == ["4", "40", "20"]


def test_a_build_without_pads_has_none() -> None:
    """Its table is as it was, and the runtime has no pads."""
    plan = shipped_plan("quillon8-en-GB-symbolic")
    files = build_files([plan])
    assert "#define MM_PADS 0 " in files["mm_config.h"]
    assert "controllers" not in files["quillon8-en-GB-symbolic.c"]
    assert make_table(replace(plan, driven=Driven())).to_bytes()[:-2].startswith(make_table(plan).to_bytes()[:-2])
