"""How much work something is: calls counted, so that a busy machine changes nothing."""

from __future__ import annotations

import sys
from collections.abc import Callable
from types import FrameType


def calls_of(function: Callable[[], object]) -> int:
    """The calls of Python functions and of built-in ones that a function makes."""
    count = 0

    def counted(frame: FrameType, event: str, argument: object) -> None:
        nonlocal count
        count += event in ("call", "c_call")

    before = sys.getprofile()
    sys.setprofile(counted)
    try:
        function()
    finally:
        sys.setprofile(before)
    return count


def growth(work: Callable[[int], Callable[[], object]], size: int, times: int = 4) -> float:
    """How many times the work of a size is that of a size so many times smaller: `times` where it is linear.

    `work` gives what is to be done for a size; making that is not counted.
    """
    large, small = work(size), work(size // times)
    small()  # what is done once only, such as loading a module
    return calls_of(large) / calls_of(small)
