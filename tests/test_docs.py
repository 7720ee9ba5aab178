"""The code in the pages for firmware authors compiles."""

import re
import subprocess
from pathlib import Path

import pytest

from tests.project import open_folders, read_layout, shipped_ids

ROOT = Path(__file__).parents[1]
STRICT = ["-std=c99", "-Wall", "-Wextra", "-Wpedantic", "-Wconversion", "-Wshadow", "-Wundef", "-Werror"]
BLOCKS = re.findall(
    r"^```c\n(.*?)^```", (ROOT / "docs" / "firmware.md").read_text(encoding="utf-8"), flags=re.MULTILINE | re.DOTALL
)


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A build of the shipped layouts."""
    from matrixmap.cli.files import write_all
    from matrixmap.emit.tables.build import build_files
    from matrixmap.join.plan import compile_plan

    out = tmp_path_factory.mktemp("generated")
    project = open_folders(ROOT)
    write_all(out, build_files(compile_plan(read_layout(project, id)) for id in shipped_ids()))
    return out


@pytest.mark.parametrize("number", range(len(BLOCKS)))
def test_each_piece_of_c_compiles(number: int, built: Path, tmp_path: Path) -> None:
    """Every piece of C on the page compiles by itself without a warning."""
    source = tmp_path / "piece.c"
    source.write_text(BLOCKS[number], encoding="utf-8")
    command = ["gcc", *STRICT, "-I", str(built), "-c", str(source), "-o", str(tmp_path / "piece.o")]
    done = subprocess.run(command, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
