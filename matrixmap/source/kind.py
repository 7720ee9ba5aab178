"""Which kind of file some bytes are: by the first of its top-level fields, without reading the rest."""

from __future__ import annotations

import re


def kind_of(data: bytes) -> str | None:
    """`machine`, `host` or `layout`, or None if nothing tells."""
    fields = {field.decode() for field in re.findall(rb"(?m)^\"?'?([a-z_]+)\"?'?[ \t]*:", data)}
    if "layout" in fields or {"machine", "host"} <= fields or {"keys", "join", "stand_in", "pass"} & fields:
        return "layout"
    if "machine" in fields or {"matrix", "scan"} & fields:
        return "machine"
    return "host" if {"host", "legends", "form"} & fields else None
