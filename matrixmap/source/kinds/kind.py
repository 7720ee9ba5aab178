"""Which kind of file are these bytes? Their top-level fields decide, and each kind is then checked on its own."""

from __future__ import annotations

import re

from matrixmap.model.finding import Finding
from matrixmap.source.kinds.adapter import read_adapter_record
from matrixmap.source.kinds.host import read_host
from matrixmap.source.kinds.layout import read_layout
from matrixmap.source.kinds.machine import read_machine
from matrixmap.source.kinds.part import read_part
from matrixmap.source.report import Report, listed
from matrixmap.source.text.nodes import read_document


def kind_of(data: bytes) -> str | None:
    """`machine`, `host`, `layout`, `part` or `adapter`, by the top-level fields; None if these do not show it."""
    fields = {field.decode() for field in re.findall(rb"(?m)^\"?'?([a-z_]+)\"?'?[ \t]*:", data)}
    if "adapter" in fields or {"nets", "netlist", "fits"} & fields:
        return "adapter"
    if "part" in fields or {"header", "cable", "processor", "channels", "passive"} & fields:
        return "part"
    if "layout" in fields or {"machine", "host"} <= fields or {"keys", "join", "stand_in", "pass"} & fields:
        return "layout"
    if "machine" in fields or {"matrix", "scan"} & fields:
        return "machine"
    return "host" if {"host", "legends", "form"} & fields else None


def read_alone(kind: str, file: str, data: bytes) -> list[Finding]:
    """The findings of a file on its own.

    A layout is read without its machine and host, a host without its base, an adapter without its parts.
    """
    report = Report()
    document = read_document(data, file, report)
    readers = {
        "machine": read_machine,
        "host": read_host,
        "layout": read_layout,
        "part": read_part,
        "adapter": read_adapter_record,
    }
    readers[kind](document, report)
    return list(listed(sorted(report.findings, key=lambda finding: (finding.place is None, finding.place))))
