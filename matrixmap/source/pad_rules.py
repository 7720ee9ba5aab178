"""The rules for reading a layout's section `pads:`."""

from __future__ import annotations

from matrixmap.model.finding import Severity
from matrixmap.model.rule import Rule


def _rule(slug: str, purpose: str, explanation: str, bad: str, good: str) -> Rule:
    return Rule(slug=slug, severity=Severity.ERROR, purpose=purpose, explanation=explanation, bad=bad, good=good)


UNKNOWN_CONTROLLER = _rule(
    "unknown-controller",
    "The machine has no controller of that name.",
    "The machine file declares the controllers under `controllers`; `order` lists those that pads drive.",
    "pads: {order: [tilller]}",
    "pads: {order: [tiller]}",
)
UNKNOWN_SWITCH = _rule(
    "unknown-switch",
    "None of the controllers under order has a switch of that name.",
    "Switches have the names of the machine file, such as Up or Fire. A line for any other name would have no effect.",
    "pads: {order: [tiller], Ahaed: [Hat up]}",
    "pads: {order: [tiller], Ahead: [Hat up]}",
)
UNKNOWN_SOURCE = _rule(
    "unknown-source",
    "No pad has a source of that name.",
    "Sources are Button 1 to Button 32, and Hat up and D-pad up with the other three directions. The ends of the stick are X-, X+, "
    "Y- and Y+, where Y- is up; those of other axes are Z- to Rz+.",
    "pads: {order: [tiller], Ahead: [Button 0]}",
    "pads: {order: [tiller], Ahead: [Button 1]}",
)
PADS_UNCLEAR = _rule(
    "pads-unclear",
    "The section pads has a line of no known kind.",
    "Its lines are order, with a list of controllers; a switch with the sources that close it; and a button with one "
    "stroke or {command: 3}.",
    "pads: {Ahead: [Hat up]}",
    "pads: {order: [tiller], Ahead: [Hat up]}",
)

PAD_READING_RULES: tuple[Rule, ...] = tuple(value for value in list(globals().values()) if isinstance(value, Rule))
