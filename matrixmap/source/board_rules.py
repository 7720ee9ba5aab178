"""The rules for reading the files of a board: parts, adapters, netlists."""

from __future__ import annotations

from matrixmap.model.finding import Severity
from matrixmap.model.rule import Rule


def _rule(slug: str, purpose: str, explanation: str, bad: str, good: str) -> Rule:
    return Rule(slug=slug, severity=Severity.ERROR, purpose=purpose, explanation=explanation, bad=bad, good=good)


UNKNOWN_PART = _rule(
    "unknown-part",
    "No part has that name.",
    "A net leads to pins of parts. Each part is listed under parts with its reference, and a file of shared/parts "
    "describes it. A netlist may name parts that this section does not have yet.",
    "parts: {J1: socket-2x11}\nnets: {S0: [J1.1, U2.X0]}",
    "parts: {J1: socket-2x11, U2: switch-array-8x8}\nnets: {S0: [J1.1, U2.X0]}",
)
UNKNOWN_PIN = _rule(
    "unknown-pin",
    "The part has no pin of that name or number.",
    "The pins of a part are those in its file: use the number, or the name if only one pin has it.",
    "nets: {S0: [J1.1, U2.X9]}",
    "nets: {S0: [J1.1, U2.X7]}",
)
PIN_TWICE = _rule(
    "pin-twice",
    "One pin is listed twice.",
    "A pin is in one net or under unused, never in both. Two nets with a common pin would be one net; matrixmap does "
    "not guess which one you mean.",
    "nets: {S0: [J1.1, U2.X0], S1: [J1.2, U2.X0]}",
    "nets: {S0: [J1.1, U2.X0], S1: [J1.2, U2.X1]}",
)
PIN_NOT_TOLD = _rule(
    "pin-not-told",
    "Nothing says where a pin leads.",
    "A forgotten pin looks like a pin that is left open on purpose. So every pin of every part must be in a net or "
    "listed under unused.",
    "parts: {R1: {part: resistor, ohms: 10000}}\nnets: {GND: [R1.1]}",
    "parts: {R1: {part: resistor, ohms: 10000}}\nnets: {GND: [R1.1], RESET: [R1.2]}",
)
WRONG_PART = _rule(
    "wrong-part",
    "A part of this kind does not belong here.",
    "A cable leads to a machine, so it is listed under fits; only a header can mate with a connector.",
    "parts: {W1: ribbon-2x11}",
    "fits: {quillon8/late: {through: ribbon-2x11}}",
)
UNKNOWN_REVISION = _rule(
    "unknown-revision",
    "The machine has no revision of that name.",
    "An adapter fits a machine, or one of the machine's revisions, which is written machine/revision.",
    "fits: {quillon8/lat: {}}",
    "fits: {quillon8/late: {}}",
)
IMPOSSIBLE_INTERVAL = _rule(
    "impossible-interval",
    "The least of a value is more than its most.",
    "If a document gives a value with limits, write a list of the least and the most, in this order. A single number "
    "is exact. It may also be the most, if the data sheet gives a most alone: ohms of a closed switch, volts of a "
    "low output.",
    "electric: {pull_up_ohms: [5200, 4200]}",
    "electric: {pull_up_ohms: [4200, 5200]}",
)
THRESHOLDS_OVERLAP = _rule(
    "thresholds-overlap",
    "At one voltage, an input would surely read both low and high.",
    "An input surely reads low up to reads_low_v, and surely high from reads_high_v; between the two, nothing is "
    "promised. So reads_low_v must be below reads_high_v.",
    "electric: {reads_low_v: 2, reads_high_v: 0.8}",
    "electric: {reads_low_v: 0.8, reads_high_v: 2}",
)
NETLIST_DAMAGED = _rule(
    "netlist-damaged",
    "The netlist cannot be read.",
    "A netlist is the file that the board editor KiCad exports: one S-expression that begins with (export. If a "
    "bracket or quote is not closed, the file was probably cut short.",
    '(export (version "E") (nets (net (code "1")',
    '(export (version "E") (nets (net (code "1") (name "S0") (node (ref "J1") (pin "1")))))',
)

BOARD_READING_RULES: tuple[Rule, ...] = tuple(value for value in list(globals().values()) if isinstance(value, Rule))
