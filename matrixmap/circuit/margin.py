"""How low a closed contact pulls a sense line, with or without a diode in series.

The computer pulls the sense line up through a resistor, and its driver holds the strobed select line low. The current
between the two passes the contact's resistance and the diode, if there is one:

    supply --- pull-up ---+--- contact --- diode --- select line, held at the driver's low voltage
                          |
                      sense line: supply - pull-up * i = driver low + contact * i + forward voltage(i)

The diode follows Shockley's equation with a resistance in series: forward voltage = n Vt ln(1 + i / Is) + Rs i. The
three parameters are those of models for circuit simulators. The machine's input draws no current here.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import log1p

THERMAL_V = 1.380649e-23 * 300.15 / 1.602176634e-19
"""k T / q at 27 degrees Celsius, the default temperature of circuit simulators (constants of the SI)."""

HALVINGS = 60
"""After this many halvings, the range of the current is as narrow as the numbers allow."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A sense line and what pulls it, in volts and ohms. An input surely reads low up to `reads_low_v`."""

    supply_v: float
    pull_up_ohms: float
    driver_low_v: float
    contact_ohms: float
    reads_low_v: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Diode:
    """A diode: saturation current in amperes, emission coefficient, series resistance in ohms."""

    saturation_a: float
    emission: float
    series_ohms: float

    def forward_v(self, current_a: float) -> float:
        """The voltage across it while a current flows."""
        return self.emission * THERMAL_V * log1p(current_a / self.saturation_a) + self.series_ohms * current_a


EXAMPLE = Line(supply_v=5.0, pull_up_ohms=3300.0, driver_low_v=0.4, contact_ohms=65.0, reads_low_v=0.8)
"""A line as in many computers: 0.4 V is the low voltage of a 74LS output, 3.3 k a usual pull-up (both from memory).

65 ohms are the most of a crosspoint switch (Zarlink, MT8816 data sheet, 9/2011, at 12 V; at 5 V it has more), and 0.8 V
is the input low voltage of 74HCT (TI, SCHS208E).
"""


def most_ohms(line: Line) -> float:
    """The most ohms at which an input surely reads a contact without a diode as low.

    The pull-up and the contact divide the voltage between the supply and the driver's low: R = P (T - L) / (U - T).
    """
    return line.pull_up_ohms * (line.reads_low_v - line.driver_low_v) / (line.supply_v - line.reads_low_v)


SILICON = (
    Diode(saturation_a=2.52e-9, emission=1.752, series_ohms=0.568),
    Diode(saturation_a=1e-14, emission=1.0, series_ohms=0.0),
)
"""Small-signal silicon diodes: a model of the 1N4148, and circuit simulators' default model (both from memory)."""

SCHOTTKY = (
    Diode(saturation_a=2.117e-7, emission=1.016, series_ohms=2.653),
    Diode(saturation_a=1.0e-7, emission=1.343, series_ohms=0.0),
)
"""Schottky diodes: a model of the BAT54, and one through the maxima of its data sheet (both from memory).

The second drops 0.24, 0.32 and 0.40 V at 0.1, 1 and 10 mA.
"""


def low_v(line: Line, diode: Diode | None = None) -> float:
    """The voltage of the sense line with its contact closed and the select line strobed, by bisecting the current."""
    ohms = line.pull_up_ohms + line.contact_ohms
    across = line.supply_v - line.driver_low_v
    least, most = (0.0, across / ohms) if diode else (across / ohms, across / ohms)
    for _ in range(HALVINGS if diode else 0):
        current = (least + most) / 2
        if diode and ohms * current + diode.forward_v(current) < across:
            least = current
        else:
            most = current
    return line.supply_v - line.pull_up_ohms * most


def most_forward(line: Line) -> float:
    """The forward voltage at which the sense line is just read, at the current that then flows; below 0: never."""
    current = (line.supply_v - line.reads_low_v) / line.pull_up_ohms
    return line.reads_low_v - line.driver_low_v - line.contact_ohms * current
