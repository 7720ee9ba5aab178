"""The rules about margins: volts, times, joined outputs and supplies. `findings.py` finds their cases."""

from __future__ import annotations

from matrixmap.model.finding import Severity
from matrixmap.model.rule import Rule

VALUE_MISSING = Rule(
    slug="value-missing",
    severity=Severity.ERROR,
    purpose="A value is missing in the files, and voltages or times depend on it.",
    explanation=(
        "matrixmap invents no value. It names a usual one with its source; `matrixmap margins --typical` computes "
        "with the usual value and marks the results. Measure the value, or take it from the circuit diagram or a "
        "data sheet, and write it down. The finding is a warning if only times need the value, or if you asked for "
        "usual values."
    ),
    bad="pull_up_v: [4.75, 5.25]",
    good="pull_up_ohms: [4230, 5170]\npull_up_v: [4.75, 5.25]",
)
NO_ROOM = Rule(
    slug="thresholds-leave-no-room",
    severity=Severity.ERROR,
    purpose="The thresholds of the machine's inputs leave no room for its own circuit.",
    explanation=(
        "Even without any contact, a strobed line must be below reads_low_v, and the pull-ups must pull above "
        "reads_high_v. If not, a value is wrong, or the machine only works by luck; no adapter can correct that."
    ),
    bad="driver_low_v: 0.9",
    good="driver_low_v: 0.4",
)
NOT_SURELY_READ = Rule(
    slug="contact-not-surely-read",
    severity=Severity.ERROR,
    purpose="A closed contact does not surely make its line read low.",
    explanation=(
        "In the worst corner of all values, the sense line stays above reads_low_v. It is then between the "
        "thresholds, where an input may read anything, or even above reads_high_v. Such a board works on one "
        "machine and not on the next. The text says which single change would be enough."
    ),
    bad="on_ohms: [60, 900]",
    good="on_ohms: [60, 185]",
)
NOT_HIGH = Rule(
    slug="open-line-not-high",
    severity=Severity.ERROR,
    purpose="A line with no closed contact does not surely read high.",
    explanation=(
        "Each open switch, each input and each output that is off leaks a little current. Through a weak pull-up "
        "this lowers the line, and the machine reads keys that nobody pressed. A resistor on the board from the "
        "line to the supply helps."
    ),
    bad="leakage_ua: 600",
    good="leakage_ua: 1",
)
OVERLOADED = Rule(
    slug="driver-overloaded",
    severity=Severity.WARNING,
    purpose="A low output gets more current than its low voltage is promised for.",
    explanation=(
        "A data sheet promises the low voltage of an output up to a certain current. Each closed contact on a "
        "strobed line adds the current of one pull-up. The finding is a note if only more contacts than were "
        "examined would be too many."
    ),
    bad="driver_ma: 2",
    good="driver_ma: 8",
)
PHANTOM = Rule(
    slug="phantom-by-volts",
    severity=Severity.WARNING,
    purpose="The voltages decide whether the machine really reads the phantom of three contacts.",
    explanation=(
        "The current of a phantom flows through three contacts, so the line of the fourth corner is less low than "
        "with one. With few ohms the machine surely reads it; with many ohms it never does; in between, it depends "
        "on the machine. The guard is needless only if the phantom is never read. The finding is a note if the "
        "guard is on."
    ),
    bad="guard: off",
    good="guard: on",
)
FALLS_LATE = Rule(
    slug="line-falls-late",
    severity=Severity.ERROR,
    purpose="A sense line is not surely low yet when the machine reads it.",
    explanation=(
        "The driver must discharge the capacitance of all lines that the closed contacts join, through the "
        "resistance of these contacts. Fewer ohms, a shorter cable or parts with less capacitance make that faster."
    ),
    bad="strobe_to_read_us: 0.1",
    good="strobe_to_read_us: 18",
)
CARRIED_OVER = Rule(
    slug="read-of-last-line",
    severity=Severity.ERROR,
    purpose="A line that was low is not surely high again when the machine reads the next select line.",
    explanation=(
        "After a strobe, only the pull-up charges the sense line, together with all lines and cables that closed "
        "contacts join to it. That takes Rp (C + all C joined) ln(V / (V - high)). Until then the machine reads a "
        "key of the next row. A smaller pull-up (a resistor on the board from the line to the supply), a shorter "
        "cable or less capacitance helps."
    ),
    bad="metres: 100",
    good="metres: 0.2",
)
JOINED = Rule(
    slug="outputs-fight",
    severity=Severity.ERROR,
    purpose="Plain contacts join select lines that the machine drives both high and low.",
    explanation=(
        "If the machine drives lines high that it does not strobe, two plain contacts on one sense line join a "
        "high output to the strobed low one. The voltage of the line is then somewhere in between, so neither "
        "contact is surely read, and the current may be more than the outputs tolerate. A rectangle of four "
        "contacts joins them twice."
    ),
    bad="select: push-pull",
    good="select: low-only",
)
RINGS_RULE = Rule(
    slug="filter-rings",
    severity=Severity.WARNING,
    purpose="The filter in the supply amplifies currents with a frequency near its corner.",
    explanation=(
        "An inductor and a capacitor oscillate together. Without enough resistance, a radio's current at that "
        "frequency becomes stronger instead of weaker. A resistor in series with the capacitor damps them; most "
        "often it is put in series with a second, larger capacitor in parallel (common practice)."
    ),
    bad="C2: {part: capacitor, microfarads: 10, series_ohms: 0.01}",
    good="C2: {part: capacitor, microfarads: 10, series_ohms: 1}",
)
SATURATES = Rule(
    slug="inductor-saturates",
    severity=Severity.WARNING,
    purpose="The inductor of a filter carries more current than it can take without saturation.",
    explanation=(
        "A saturated inductor is like a piece of wire: it filters nothing, and at power-on only resistances limit "
        "the current. The finding is a note if the inductor saturates at power-on alone."
    ),
    bad="saturation_ma: 15",
    good="saturation_ma: 10000",
)
DROPS = Rule(
    slug="supply-drops",
    severity=Severity.ERROR,
    purpose="Behind the filter, the supply falls below the voltage that its loads need.",
    explanation=(
        "When a radio begins to send, its current first comes out of the capacitor, and the inductor follows "
        "slowly; then the inductor's own ohms take their share. The voltage that is left must be within the part's "
        "supply range."
    ),
    bad="L1: {part: inductor, microhenries: 10, series_ohms: 40}",
    good="L1: {part: inductor, microhenries: 10, series_ohms: 0.1, saturation_ma: 10000}",
)

MARGIN_RULES: tuple[Rule, ...] = (
    NO_ROOM,
    NOT_SURELY_READ,
    NOT_HIGH,
    JOINED,
    FALLS_LATE,
    CARRIED_OVER,
    DROPS,
    VALUE_MISSING,
    OVERLOADED,
    PHANTOM,
    RINGS_RULE,
    SATURATES,
)
"""The rules about margins; within one severity a report follows their order."""
