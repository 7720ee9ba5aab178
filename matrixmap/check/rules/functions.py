"""Functions under a name that is not W3C's, so that machine and host do not match."""

from __future__ import annotations

from collections.abc import Iterator

from matrixmap.check.engine.plan_conflicts import PlanConflicts
from matrixmap.check.engine.record import CheckRule, Report
from matrixmap.hid.functions import standard_name
from matrixmap.model.finding import Severity
from matrixmap.model.place import Place


def _named(conflicts: PlanConflicts) -> Iterator[tuple[str, str, str, Place]]:
    """Who types a function, its name, which side that is, and the place in the file; each name once a side."""
    machine, host = conflicts.plan.layout.machine, conflicts.plan.layout.host
    seen: set[tuple[str, str]] = set()
    for key in machine.keys:
        for state, legend in key.types.items():
            if not legend.is_character and ("machine", legend.text) not in seen:
                seen.add(("machine", legend.text))
                yield key.name, legend.text, "machine", key.where.get(state, key.place)
    for host_key in host.keys.values():
        for typed in host_key.legends:
            if typed and not typed.is_character and ("host", typed.text) not in seen:
                seen.add(("host", typed.text))
                yield host_key.name, typed.text, "host", host_key.place


def _functions_misnamed(conflicts: PlanConflicts) -> Iterator[Report]:
    named = list(_named(conflicts))
    for key, name, side, place in named:
        meant = standard_name(name)
        if meant is None or any(other == meant and its == side for _, other, its, _ in named):
            continue
        shown = "' ', the space in quotes" if meant == " " else meant
        other = "host" if side == "machine" else "machine"
        if any(its == other and there == name for _, there, its, _ in named):
            text = f"{key} of the {side} types the function {name}; the W3C name is {shown}, which other files use"
            yield Report(text, place, at_most=Severity.NOTE)
        else:
            text = (
                f"{key} of the {side} types the function {name}, which no key of the {other} types; did you mean "
                f"{shown}? If it is another function, keep the name and accept this finding"
            )
            yield Report(text, place)


FUNCTION_MISNAMED = CheckRule(
    slug="function-misnamed",
    severity=Severity.WARNING,
    purpose="A function does not have its W3C name, or the name is misspelt.",
    explanation=(
        "Machine and host are joined by the names of functions, so both need the same name: Enter and not Return. "
        "The files use the key values of W3C UI Events; docs/format.md lists them. A function that only the "
        "machine has, such as Halt, has a name of its own. There is no finding if a machine has a key for each of "
        "two names, such as Return and Enter."
    ),
    bad="return: {plain: Return}",
    good="return: {plain: Enter}",
    function=_functions_misnamed,
)

RULES = (FUNCTION_MISNAMED,)
