"""Values of circuits as their documents give them: from a least to a most, in the units of their names."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple


class Interval(NamedTuple):
    """A value that is known to lie between a least and a most; both are the same where it is known exactly."""

    least: float
    most: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LineValues:
    """What a machine's circuit does to its lines, in numbers; None where the file does not say.

    `pull_up_ohms` from each sense or direct line to `pull_up_v`; a strobed select line is at `driver_low_v` behind
    `driver_ohms` while its driver takes no more than `driver_ma`. A select line that is not strobed and is driven high is so
    through `unselected_ohms`; an output stands `output_most_ma`. An input surely reads low up to `reads_low_v` and high
    from `reads_high_v`; at most `leakage_ua` flow into or out of a line. `line_pf` is the capacitance of a line within the
    machine, `own_key_ohms` a closed key of its own keyboard, `strobe_end_to_read_us` the time from the end of one strobe to
    the read of the next line.
    """

    pull_up_ohms: Interval | None = None
    pull_up_v: Interval | None = None
    driver_low_v: Interval | None = None
    driver_ohms: Interval | None = None
    driver_ma: float | None = None
    unselected_ohms: Interval | None = None
    output_most_ma: float | None = None
    reads_low_v: float | None = None
    reads_high_v: float | None = None
    leakage_ua: float | None = None
    line_pf: Interval | None = None
    own_key_ohms: Interval | None = None
    strobe_end_to_read_us: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class DiodeValues:
    """A diode by Shockley's equation: saturation current, emission coefficient, resistance in series."""

    saturation_na: Interval
    emission: Interval
    series_ohms: Interval


@dataclass(frozen=True, slots=True, kw_only=True)
class PartValues:
    """Values of a kind of part; None where its file does not say.

    `on_ohms` of a closed channel; `leakage_ua` at most of a pin that is off; `pin_pf` of a pin; an output that is low is at
    `output_low_v` while it takes no more than `output_low_ma`; `pf_per_m` of a wire of a cable.
    """

    on_ohms: Interval | None = None
    leakage_ua: float | None = None
    pin_pf: Interval | None = None
    output_low_v: Interval | None = None
    output_low_ma: float | None = None
    diode: DiodeValues | None = None
    pf_per_m: Interval | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class UseValues:
    """Values of one part on a board; None where the file does not say.

    `tolerance_percent` of a resistor's ohms; `microhenries` of an inductor, which keeps them up to `saturation_ma`;
    `microfarads` of a capacitor; `series_ohms` of either.
    """

    tolerance_percent: float = 0.0
    microhenries: Interval | None = None
    microfarads: Interval | None = None
    series_ohms: Interval | None = None
    saturation_ma: float | None = None
