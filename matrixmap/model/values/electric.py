"""Values of circuits as their documents give them: from a least to a most, in the units of their names."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple


class Interval(NamedTuple):
    """A value known to be between a least and a most; both are equal if it is known exactly."""

    least: float
    most: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LineValues:
    """What a machine's circuit does to its lines, in numbers; None if the file does not say.

    `pull_up_ohms` is from each sense or direct line to `pull_up_v`. A strobed select line is at `driver_low_v` through
    `driver_ohms` while its driver takes at most `driver_ma`. A select line that is not strobed may be driven high,
    through `unselected_ohms`; an output tolerates `output_most_ma`. An input surely reads low up to `reads_low_v`
    and high from `reads_high_v`. At most `leakage_ua` flow into or out of a line. `line_pf` is the capacitance of a
    line inside the machine. `own_key_ohms` is a closed key of its own keyboard. `strobe_end_to_read_us` is the time
    from the end of one strobe to the read of the next line.
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
    """Values of a kind of part; None if its file does not say.

    `on_ohms` belongs to a closed channel, `leakage_ua` (the most) to a pin that is off, `pin_pf` to a pin. A low output
    is at `output_low_v` while it takes at most `output_low_ma`. `pf_per_m` belongs to a wire of a cable.
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
    """Values of one part on a board; None if the file does not say.

    `tolerance_percent` applies to a resistor's ohms. `microhenries` belongs to an inductor, which keeps them up to
    `saturation_ma`; `microfarads` belongs to a capacitor; `series_ohms` to either.
    """

    tolerance_percent: float = 0.0
    microhenries: Interval | None = None
    microfarads: Interval | None = None
    series_ohms: Interval | None = None
    saturation_ma: float | None = None
