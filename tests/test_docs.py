"""The code in the pages for firmware authors compiles."""

import re
import subprocess
from pathlib import Path

import pytest

from tests.emit.compiled import write_build
from tests.pads.layouts import plan_of

ROOT = Path(__file__).parents[1]
STRICT = ["-std=c99", "-Wall", "-Wextra", "-Wpedantic", "-Wconversion", "-Wshadow", "-Wundef", "-Werror"]
PAGES = ("firmware", "connections", "pads")
SELF_TEST = ROOT / "matrixmap" / "emit" / "tables"
BOARDS = ROOT / "matrixmap" / "emit" / "boards"
RUNTIME = ROOT / "matrixmap" / "runtime"
"""Have the headers that a build writes only when it is asked."""
BLOCKS = {
    f"{page}-{number}": block
    for page in PAGES
    for number, block in enumerate(
        re.findall(
            r"^```c\n(.*?)^```",
            (ROOT / "docs" / f"{page}.md").read_text(encoding="utf-8"),
            flags=re.MULTILINE | re.DOTALL,
        )
    )
}


@pytest.mark.parametrize("name", BLOCKS)
def test_each_piece_of_c_compiles(name: str, built: Path, tmp_path: Path) -> None:
    """Every piece of C on the pages compiles by itself without a warning; one for several maps of pads with a build that has them."""
    if "mm_pad_maps" in BLOCKS[name]:
        built = write_build(tmp_path / "tables", [plan_of(tmp_path)])
    source = tmp_path / "piece.c"
    source.write_text(BLOCKS[name], encoding="utf-8")
    command = [
        "gcc",
        *STRICT,
        "-I",
        str(built),
        "-I",
        str(SELF_TEST),
        "-I",
        str(BOARDS),
        "-I",
        str(RUNTIME),
        "-DMM_PADS=1",
        "-c",
        str(source),
        "-o",
        str(tmp_path / "piece.o"),
    ]
    done = subprocess.run(command, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
