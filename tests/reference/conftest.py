"""The C of the shipped layouts, compiled by each host compiler."""

from tests.emit.conftest import built, lib, libraries

__all__ = ["built", "lib", "libraries"]
