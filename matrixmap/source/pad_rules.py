"""The rules of reading a layout's section `pads:`."""

from __future__ import annotations

from matrixmap.model.finding import Severity
from matrixmap.model.rule import Rule


def _rule(slug: str, purpose: str, explanation: str, bad: str, good: str) -> Rule:
    return Rule(slug=slug, severity=Severity.ERROR, purpose=purpose, explanation=explanation, bad=bad, good=good)


UNKNOWN_CONTROLLER = _rule(
    "unknown-controller",
    "A controller is named that the machine does not have.",
    "The controllers of a machine are declared in its file under `controllers`; `order` names those that pads drive.",
    "pads: {order: [tilller]}",
    "pads: {order: [tiller]}",
)
UNKNOWN_SWITCH = _rule(
    "unknown-switch",
    "A switch is named that no controller of the order has.",
    "Switches have the names of the machine's file, such as Up or Fire. A line that closes none of them would do nothing.",
    "pads: {order: [tiller], Ahaed: [Hat up]}",
    "pads: {order: [tiller], Ahead: [Hat up]}",
)
UNKNOWN_SOURCE = _rule(
    "unknown-source",
    "A source is named that no pad has.",
    "Sources are Button 1 to Button 32, and Hat up and D-pad up with the other three directions. The ends of the stick are X-, X+, "
    "Y- and Y+, where Y- is up; those of other axes are Z- to Rz+.",
    "pads: {order: [tiller], Ahead: [Button 0]}",
    "pads: {order: [tiller], Ahead: [Button 1]}",
)
PADS_UNCLEAR = _rule(
    "pads-unclear",
    "The section pads says something that is none of its lines.",
    "It has order, a list of controllers; lines from a switch to what closes it; and lines from a button to one stroke or to "
    "{command: 3}.",
    "pads: {Ahead: [Hat up]}",
    "pads: {order: [tiller], Ahead: [Hat up]}",
)

PAD_READING_RULES: tuple[Rule, ...] = tuple(value for value in list(globals().values()) if isinstance(value, Rule))
