"""What a project has read without a finding is kept for the next project of this process that reads the very same.

Hundreds of tests call commands within this process, and each command opens the project anew, as a process of its own
would. Kept are answers of functions that depend on nothing but what they are given, and give values that nobody changes:
bytes to nodes, nodes to a machine or a host. A file that has changed is read, and so is one with a finding.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable, Iterator
from contextlib import contextmanager
from typing import Any

import pytest

from matrixmap.source.kinds import project
from matrixmap.source.report import Report

MOST = 1000
"""Answers of one function that are kept, the last ones; the shipped files are some two hundred."""


class _Kept:
    """A function of the project whose answers are kept.

    `by_value` are the arguments at the front that are compared by value; the others are kept with the answer and
    compared by identity. The report is the last argument, if it has one.
    """

    def __init__(self, name: str, by_value: int, reports: bool = True) -> None:
        self.name, self.by_value, self.reports = name, by_value, reports
        self.function: Callable[..., Any] = getattr(project, name)
        self.known: OrderedDict[Hashable, tuple[tuple[Any, ...], Any]] = OrderedDict()

    def __call__(self, *given: Any) -> Any:
        asked = given[:-1] if self.reports else given
        report: Report | None = given[-1] if self.reports else None
        if report is not None and report.findings:
            return self.function(*given)
        key = (*asked[: self.by_value], *map(id, asked[self.by_value :]))
        if key in self.known:
            self.known.move_to_end(key)
            return self.known[key][1]
        answer = self.function(*given)
        if answer is not None and not (report is not None and report.findings):
            # With what it was asked for, so that no other object gets the same identity.
            self.known[key] = asked, answer
            if len(self.known) > MOST:
                self.known.popitem(last=False)
        return answer


KEPT = (
    _Kept("read_document", 2),
    _Kept("read_machine", 0),
    _Kept("read_host", 0),
    _Kept("join_base", 0),
    _Kept("finish_host", 0, reports=False),
)


@contextmanager
def kept() -> Iterator[None]:
    """Within this, projects keep what they read."""
    with pytest.MonkeyPatch.context() as patch:
        for one in KEPT:
            patch.setattr(project, one.name, one)
        yield
