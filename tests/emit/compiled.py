"""Generated C as a shared library: its tables as bytes, and the runtime that reads them."""

from __future__ import annotations

import ctypes
from collections.abc import Iterable
from pathlib import Path

from matrixmap.emit.tables.build import build_files
from matrixmap.emit.tables.c import table_symbol
from matrixmap.model.plan import Plan
from tests import tools
from tests.runtime import engine

SHIM = Path(engine.__file__).with_name("shim.c")


def write_build(folder: Path, plans: Iterable[Plan]) -> Path:
    """The folder with all that a build of the plans writes."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in build_files(plans).items():
        (folder / name).write_text(text, encoding="utf-8", newline="\n")
    return folder


def compile_library(folder: Path, compiler: str, path: Path) -> ctypes.CDLL:
    """Every C file of a generated folder as one library, compiled without a warning."""
    sources = (*sorted(folder.glob("*.c")), SHIM)
    tools.run(tools.tool(compiler), *tools.STRICT, "-O1", "-fPIC", "-shared", f"-I{folder}", "-o", path, *sources)
    return engine.load(path)


def table_bytes(lib: ctypes.CDLL, folder: Path, plan: Plan) -> bytes:
    """The table of a layout as it lies in the library, as long as the header says."""
    symbol = table_symbol(plan.id)
    words = (folder / f"{plan.id}.h").read_text(encoding="utf-8").split()
    size = int(words[words.index(f"{symbol.upper()}_SIZE") + 1].rstrip("u"))
    return bytes((ctypes.c_uint8 * size).in_dll(lib, symbol))
