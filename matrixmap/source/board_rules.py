"""The rules of reading for the files of a board: parts, adapters, netlists."""

from __future__ import annotations

from matrixmap.model.finding import Severity
from matrixmap.model.rule import Rule


def _rule(slug: str, purpose: str, explanation: str, bad: str, good: str) -> Rule:
    return Rule(slug=slug, severity=Severity.ERROR, purpose=purpose, explanation=explanation, bad=bad, good=good)


UNKNOWN_PART = _rule(
    "unknown-part",
    "A part is named that is not there.",
    "A net leads to pins of parts that stand under parts, each by its reference, and each of them is described by a file of "
    "shared/parts. A netlist may name parts that this section does not have yet.",
    "parts: {J1: socket-2x11}\nnets: {S0: [J1.1, U2.X0]}",
    "parts: {J1: socket-2x11, U2: switch-array-8x8}\nnets: {S0: [J1.1, U2.X0]}",
)
UNKNOWN_PIN = _rule(
    "unknown-pin",
    "A part has no pin of that name or number.",
    "The pins of a part are those of its file: by number, or by name where one pin has it.",
    "nets: {S0: [J1.1, U2.X9]}",
    "nets: {S0: [J1.1, U2.X7]}",
)
PIN_TWICE = _rule(
    "pin-twice",
    "A pin stands twice.",
    "A pin is in one net, and then not unused. Two nets with one pin are one net, and which of the two is meant would be a "
    "guess.",
    "nets: {S0: [J1.1, U2.X0], S1: [J1.2, U2.X0]}",
    "nets: {S0: [J1.1, U2.X0], S1: [J1.2, U2.X1]}",
)
PIN_NOT_TOLD = _rule(
    "pin-not-told",
    "Nothing says where a pin leads.",
    "A pin that was forgotten looks like one that is left open on purpose. Every pin of every part is in a net, or listed "
    "under unused.",
    "parts: {R1: {part: resistor, ohms: 10000}}\nnets: {GND: [R1.1]}",
    "parts: {R1: {part: resistor, ohms: 10000}}\nnets: {GND: [R1.1], RESET: [R1.2]}",
)
WRONG_PART = _rule(
    "wrong-part",
    "A part is of a kind that cannot stand here.",
    "A cable leads to a machine and stands under fits; what mates with a connector is a header.",
    "parts: {W1: ribbon-2x11}",
    "fits: {quillon8/late: {through: ribbon-2x11}}",
)
UNKNOWN_REVISION = _rule(
    "unknown-revision",
    "The machine has no revision of that name.",
    "An adapter fits a machine as it stands, or one of its revisions, written machine/revision.",
    "fits: {quillon8/lat: {}}",
    "fits: {quillon8/late: {}}",
)
IMPOSSIBLE_INTERVAL = _rule(
    "impossible-interval",
    "The least of a value is more than its most.",
    "A value that a document gives with limits is written as a list of the least and the most, in this order. One number is "
    "exact, or the most where a data sheet gives a most alone: ohms of a closed switch, volts of a low output.",
    "electric: {pull_up_ohms: [5200, 4200]}",
    "electric: {pull_up_ohms: [4200, 5200]}",
)
THRESHOLDS_OVERLAP = _rule(
    "thresholds-overlap",
    "An input would surely read low and surely read high at one voltage.",
    "An input surely reads low up to reads_low_v, and surely high from reads_high_v; between them nothing is promised. So the "
    "first is below the second.",
    "electric: {reads_low_v: 2, reads_high_v: 0.8}",
    "electric: {reads_low_v: 0.8, reads_high_v: 2}",
)
NETLIST_DAMAGED = _rule(
    "netlist-damaged",
    "The netlist cannot be read.",
    "A netlist is the file that the board editor KiCad exports: one S-expression that begins with (export. A bracket or quote "
    "that is not closed means most often that the file was cut short.",
    '(export (version "E") (nets (net (code "1")',
    '(export (version "E") (nets (net (code "1") (name "S0") (node (ref "J1") (pin "1")))))',
)

BOARD_READING_RULES: tuple[Rule, ...] = tuple(value for value in list(globals().values()) if isinstance(value, Rule))
