"""The rules about margins: volts, times, joined outputs and supplies. What finds them is in `findings.py`."""

from __future__ import annotations

from matrixmap.model.finding import Severity
from matrixmap.model.rule import Rule

VALUE_MISSING = Rule(
    slug="value-missing",
    severity=Severity.ERROR,
    purpose="A value is not in the files, and voltages or times follow from it.",
    explanation="No value is made up. A usual one is named with where it is from, and `matrixmap margins --typical` computes "
    "with it and marks what comes of it. Measure the value, or take it from the circuit or data sheet, and write it down. It is "
    "a warning where only times need it, and where a usual value was asked for.",
    bad="pull_up_v: [4.75, 5.25]",
    good="pull_up_ohms: [4230, 5170]\npull_up_v: [4.75, 5.25]",
)
NO_ROOM = Rule(
    slug="thresholds-leave-no-room",
    severity=Severity.ERROR,
    purpose="The thresholds of the machine's inputs leave no room for what its own circuit does.",
    explanation="A strobed line has to lie below reads_low_v before any contact is in the way, and the pull-ups have to pull "
    "above reads_high_v. If not, a value is wrong, or the machine only works by luck; no adapter mends that.",
    bad="driver_low_v: 0.9",
    good="driver_low_v: 0.4",
)
NOT_SURELY_READ = Rule(
    slug="contact-not-surely-read",
    severity=Severity.ERROR,
    purpose="A closed contact does not surely make its line read low.",
    explanation="In the worst corner of all values the sense line stays above reads_low_v: between the thresholds, where an input "
    "may read anything, or even above reads_high_v. Such a board works on one machine and not on the next. The text says "
    "which single change would be enough.",
    bad="on_ohms: [60, 900]",
    good="on_ohms: [60, 185]",
)
NOT_HIGH = Rule(
    slug="open-line-not-high",
    severity=Severity.ERROR,
    purpose="A line on which nothing is closed does not surely read high.",
    explanation="Each switch that is open, each input and each output that is off lets a little current through. Over a weak "
    "pull-up that lowers the line, and the machine reads keys that nobody pressed. A resistor from the line to the supply on the "
    "board helps.",
    bad="leakage_ua: 600",
    good="leakage_ua: 1",
)
OVERLOADED = Rule(
    slug="driver-overloaded",
    severity=Severity.WARNING,
    purpose="More current flows into a low output than its low voltage holds for.",
    explanation="A data sheet promises the low voltage of an output up to a current. Each closed contact on a strobed line brings "
    "that of one pull-up. It is a note where only more contacts than were looked at would be too many.",
    bad="driver_ma: 2",
    good="driver_ma: 8",
)
PHANTOM = Rule(
    slug="phantom-by-volts",
    severity=Severity.WARNING,
    purpose="Whether the machine really reads the phantom that three contacts make.",
    explanation="Current that runs back through a contact passes three of them, so the line of the fourth corner is less low. With "
    "few ohms it is low enough to be read surely, with many it never is; between, it depends on the machine. Only never makes the "
    "guard needless. It is a note where the guard is on.",
    bad="guard: off",
    good="guard: on",
)
FALLS_LATE = Rule(
    slug="line-falls-late",
    severity=Severity.ERROR,
    purpose="A sense line is not surely low yet when the machine reads it.",
    explanation="The driver has to discharge the capacitance of all lines that the closed contacts join, through their resistance. "
    "Fewer ohms, a shorter cable or parts with less capacitance make it quicker.",
    bad="strobe_to_read_us: 0.1",
    good="strobe_to_read_us: 18",
)
CARRIED_OVER = Rule(
    slug="read-of-last-line",
    severity=Severity.ERROR,
    purpose="A line that was low is not surely high again when the next select line is read.",
    explanation="After a strobe only the pull-up charges the sense line, and all lines and cables that closed contacts join to it. "
    "That takes Rp (C + all C joined) ln(V / (V - high)). Until then the machine reads a key of the next row. A smaller "
    "pull-up (a resistor from the line to the supply on the board), a shorter cable or less capacitance help.",
    bad="metres: 100",
    good="metres: 0.2",
)
JOINED = Rule(
    slug="outputs-fight",
    severity=Severity.ERROR,
    purpose="Plain contacts join select lines that the machine drives both ways.",
    explanation="Where the machine drives lines high that are not strobed, two plain contacts on one sense line join a high output "
    "to the strobed low one. The line then lies somewhere between, so that neither contact is surely read, and the current may be "
    "more than the outputs stand. A rectangle of four contacts joins them twice.",
    bad="select: push-pull",
    good="select: low-only",
)
RINGS_RULE = Rule(
    slug="filter-rings",
    severity=Severity.WARNING,
    purpose="The filter in the supply makes what comes near its corner larger.",
    explanation="An inductor and a capacitor swing against each other. Without enough resistance, the draw of a radio that comes at "
    "their pace grows instead of getting weaker. A resistor in series with the capacitor damps them, most often that of a larger "
    "capacitor in parallel (common practice).",
    bad="C2: {part: capacitor, microfarads: 10, series_ohms: 0.01}",
    good="C2: {part: capacitor, microfarads: 10, series_ohms: 1}",
)
SATURATES = Rule(
    slug="inductor-saturates",
    severity=Severity.WARNING,
    purpose="More current flows through the inductor of a filter than it stands before it saturates.",
    explanation="A saturated inductor is a piece of wire: nothing is filtered, and at switching on only resistances limit the "
    "current. It is a note where that is so at switching on alone.",
    bad="saturation_ma: 15",
    good="saturation_ma: 10000",
)
DROPS = Rule(
    slug="supply-drops",
    severity=Severity.ERROR,
    purpose="Behind the filter the supply falls below what its loads need.",
    explanation="When a radio begins to send, its current comes out of the capacitor at first, and the inductor follows slowly; then "
    "the inductor's own ohms take their share. What is left has to be within the part's supply.",
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
