"""The C of the shipped layouts, compiled by each host compiler."""

from tests.emit.conftest import lib, libraries, objects

__all__ = ["lib", "libraries", "objects"]
