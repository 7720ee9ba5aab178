"""Values of options and arguments, read here because the command-line library would load a validator for them.

From 0.29 on, Typer loads pydantic to read any value, which more than doubles the start-up time of a command.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, get_args, get_origin

import typer

READERS: dict[type, tuple[Callable[[Any], object], str]] = {
    str: (str, "text"),
    Path: (Path, "path"),
    int: (int, "integer"),
    float: (float, "number"),
    # A flag is already a bool.
    bool: (bool, "flag"),
}
"""Type -> how a word of the command line becomes one, and its name."""


@dataclass(frozen=True, slots=True)
class PlainValue:
    """Reads one parameter: a word, or a list of words."""

    type: type

    def coerce(self, value: Any, param: Any, ctx: Any) -> Any:
        """The value of the given words, or of a default. typer.BadParameter if a word is invalid."""
        several = param.multiple or param.nargs != 1
        if value is None:
            return () if several else None
        return [self._one(word, param, ctx) for word in value] if several else self._one(value, param, ctx)

    def _one(self, word: Any, param: Any, ctx: Any) -> object:
        read, name = READERS[self.type]
        try:
            return read(word)
        except ValueError:
            raise typer.BadParameter(f"{word!r} is not a valid {name}.", ctx=ctx, param=param) from None


def read_plainly(params: list[Any]) -> list[Any]:
    """The parameters of a command, each with a reader of ours if the library has a place for one.

    An older library has no such place and needs none. If a newer one has it elsewhere, commands start more slowly.
    """
    for param in params:
        type = _plain_type(getattr(getattr(param, "type_descriptor", None), "annotation", None))
        if type in READERS and hasattr(param, "get_runtime_param"):
            reader = PlainValue(type)
            param.get_runtime_param = lambda reader=reader: reader
    return params


def _plain_type(annotation: Any) -> Any:
    return get_args(annotation)[0] if get_origin(annotation) is list else annotation


def with_plain_values(command: Any) -> Any:
    """A command with plainly read parameters, including those of its subcommands; its `--help` is one of them."""
    listed = command.get_params
    command.get_params = lambda ctx: read_plainly(listed(ctx))
    for below in getattr(command, "commands", {}).values():
        with_plain_values(below)
    return command
