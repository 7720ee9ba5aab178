"""The licence of the files that matrixmap writes: two lines at the head of each C file, as `LICENSE` says."""

from __future__ import annotations

# REUSE-IgnoreStart: these lines are about the files that are written.
LICENCE = "SPDX-License-Identifier: MIT"
COPYRIGHT = "SPDX-FileCopyrightText: 2026 The matrixmap contributors"
# REUSE-IgnoreEnd


def licence_lines(opening: str = "/* ", closing: str = " */") -> list[str]:
    """The two lines between comment marks."""
    return [f"{opening}{line}{closing}" for line in (LICENCE, COPYRIGHT)]
