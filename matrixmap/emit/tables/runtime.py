"""The files of the C runtime, which are part of the package, and the names that they use."""

from __future__ import annotations

import re
from functools import cache
from importlib.resources import files

PADS = ("mm_pad.c", "mm_pad.h")
"""The decoder of joysticks and game pads, which only layouts with `pads:` need."""


@cache
def _all_files() -> tuple[tuple[str, str], ...]:
    folder = files("matrixmap") / "runtime"
    paths = sorted((path for path in folder.iterdir() if path.name.endswith((".c", ".h"))), key=lambda path: path.name)
    return tuple((path.name, path.read_text(encoding="utf-8")) for path in paths)


@cache
def runtime_files() -> tuple[tuple[str, str], ...]:
    """Name and text of each file of the C runtime that every build has, sorted by name."""
    return tuple((name, text) for name, text in _all_files() if name not in PADS)


@cache
def decoder_of_pads() -> tuple[tuple[str, str], ...]:
    """Name and text of the C files that decode joysticks and game pads."""
    return tuple((name, text) for name, text in _all_files() if name in PADS)


@cache
def selftest_files() -> tuple[tuple[str, str], ...]:
    """Name and text of the C files that play a self-test."""
    folder = files("matrixmap") / "emit" / "tables"
    return tuple((name, (folder / name).read_text(encoding="utf-8")) for name in ("mm_selftest.c", "mm_selftest.h"))


@cache
def runtime_names() -> frozenset[str]:
    """The lower-cased `mm_` identifiers of the runtime, its self-test, drivers of boards and the index of layouts."""
    boards = files("matrixmap") / "emit" / "boards"
    drivers = [(boards / name).read_text(encoding="utf-8") for name in ("mm_board.h", "mm_board_driver.h")]
    texts = (*(text for _, text in (*_all_files(), *selftest_files())), *drivers)
    # A name before ## is only the beginning of a name.
    found = {name.lower() for text in texts for name in re.findall(r"\bmm_\w+\b(?!##)", text, re.IGNORECASE)}
    return frozenset({*found, "mm_layouts", "mm_layouts_h", "mm_layouts_chosen", "mm_others_built", "mm_pad_maps"})
