"""Values of options and arguments are read by the program itself, whichever version of the command-line library is there."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
import typer

from matrixmap.cli.values import PlainValue, read_plainly


@dataclass
class Descriptor:
    """What a library says of a parameter's type."""

    annotation: Any


class Param:
    """A parameter as a library with a place for a reader has it."""

    multiple = False
    nargs = 1

    def __init__(self, annotation: Any) -> None:
        self.type_descriptor = Descriptor(annotation)

    def get_runtime_param(self) -> Any:
        """The library's own reader."""
        return "the library's"


@pytest.mark.parametrize(
    ("type", "word", "value"),
    [(str, "a", "a"), (Path, "a/b", Path("a/b")), (int, "-3", -3), (float, "1.5", 1.5), (bool, True, True)],
)
def test_each_type_is_read(type: type, word: object, value: object) -> None:
    """A word becomes a value of the type; a value that is left out stays so, a list of words a list."""
    param = Param(type)
    assert PlainValue(type).coerce(word, param, None) == value
    assert PlainValue(type).coerce(None, param, None) is None
    param.multiple = True
    assert PlainValue(type).coerce((word, word), param, None) == [value, value]
    assert PlainValue(type).coerce(None, param, None) == ()


@pytest.mark.parametrize(("type", "name"), [(int, "integer"), (float, "number")])
def test_a_word_that_is_none_is_told(type: type, name: str) -> None:
    """The message has the word as it was given."""
    with pytest.raises(typer.BadParameter, match=f"'x' is not a valid {name}"):
        PlainValue(type).coerce("x", Param(type), None)


def test_only_what_the_program_uses_is_read_plainly() -> None:
    """Types that no option has, and parameters without a place for a reader, are left to the library."""
    ours, listed, other = Param(int), Param(list[str]), Param(complex)
    place = object()
    assert read_plainly([ours, listed, other, place]) == [ours, listed, other, place]
    assert ours.get_runtime_param() == PlainValue(int)
    assert listed.get_runtime_param() == PlainValue(str)
    assert other.get_runtime_param() == "the library's"
