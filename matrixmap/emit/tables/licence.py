"""Under which licence what matrixmap writes can be shipped: two lines at the head of each file of C, as `LICENSE` has it."""

from __future__ import annotations

# REUSE-IgnoreStart: these lines are about the files that are written.
LICENCE = "SPDX-License-Identifier: MIT"
COPYRIGHT = "SPDX-FileCopyrightText: 2026 The matrixmap contributors"
# REUSE-IgnoreEnd


def licence_lines(opening: str = "/* ", closing: str = " */") -> list[str]:
    """The two lines between marks of a comment."""
    return [f"{opening}{line}{closing}" for line in (LICENCE, COPYRIGHT)]
