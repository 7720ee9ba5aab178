"""The adapter: its parts and what their pins can do, the nets that join them, and the machines that it fits."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from enum import Enum
from typing import NamedTuple

from matrixmap.model.machine import Header
from matrixmap.model.place import Place
from matrixmap.model.values.electric import PartValues, UseValues


class Pin(NamedTuple):
    """A pin of an adapter: the reference of its part, and the pin's number as printed in the data sheet."""

    ref: str
    number: str


class Does(Enum):
    """What a processor pin can do."""

    IN = "in"
    OUT = "out"
    OPEN_DRAIN = "open-drain"
    PULL_UP = "pull-up"


class Passive(Enum):
    """Parts with two ends that no control works."""

    RESISTOR = "resistor"
    CAPACITOR = "capacitor"
    DIODE = "diode"
    INDUCTOR = "inductor"
    JUMPER = "jumper"


class Mates(Enum):
    """What a header of the adapter is for."""

    KEYS = "keys"
    OWN_KEYBOARD = "own-keyboard"
    NOTHING = "nothing"


@dataclass(frozen=True, slots=True, kw_only=True)
class Power:
    """A supply pin: the volts that it takes, from and to, with the current drawn, or those it gives. Neither: ground.

    The current drawn jumps by `burst_ma`, `burst_khz` times a millisecond (None: not stated).
    """

    takes_v: tuple[float, float] | None = None
    gives_v: float | None = None
    draws_ma: float = 0.0
    burst_ma: float | None = None
    burst_khz: float | None = None

    @property
    def is_ground(self) -> bool:
        """Whether the pin is ground."""
        return self.takes_v is None and self.gives_v is None


@dataclass(frozen=True, slots=True, kw_only=True)
class Channel:
    """A switch between two pins, by number.

    A bit of the part's store closes it, or a control pin (with `low`, in its low state), or it is always closed.
    """

    a: str
    b: str
    bit: int | None = None
    control: str | None = None
    low: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Addressed:
    """A store that takes one bit at a time; pins by number. Those in `low` are active low.

    While the strobe is active, the bit at the address follows the data pin; the first address pin counts 1.
    """

    address: tuple[str, ...]
    data: str
    strobe: str
    reset: str | None
    low: frozenset[str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Shifted:
    """A shift register with a latch; pins by number. Those in `low` are active low.

    Each clock pulse takes a bit in at `input`, to the first of `outputs`, and shifts the others on; the last one
    appears at `out`. A pulse of the latch shows all bits at the outputs while `enable` is active.
    """

    input: str
    clock: str
    latch: str
    enable: str | None
    clear: str | None
    out: str | None
    outputs: tuple[str, ...]
    low: frozenset[str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Buffer:
    """A driver from one pin to another, by number; an open-drain driver only pulls low."""

    input: str
    output: str
    open_drain: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ProcessorPin:
    """What a processor pin can do.

    `port` and `bit` are for the C. `boot` is the state at reset that the processor needs for a normal start. `also` is
    a second use such as `debug-output`. `tolerates_v` are the most volts on it (None: any that the machine has).
    """

    port: str
    bit: int
    does: frozenset[Does]
    at_reset: str
    boot: str | None
    also: str | None
    tolerates_v: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Thresholds:
    """Where an input reads low and high: in volts, or as shares of the part's supply."""

    low: float
    high: float
    share: bool

    def high_at(self, supply_v: float) -> float:
        """The volts from which an input surely reads high."""
        return self.high * supply_v if self.share else self.high


@dataclass(frozen=True, slots=True, kw_only=True)
class Times:
    """What a store's part needs, in nanoseconds: set-up before a pulse, the pulse, hold after it."""

    setup_ns: int
    pulse_ns: int
    hold_ns: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A kind of part as its file describes it.

    `pins` maps each number to its name. A part has one of these: a processor, channels (with or without a store), a
    store with outputs, buffers, elements of a passive, a header, a cable. `output_high_v` is what its outputs surely
    reach (None: they reach the supply). `key_pin` is the blanked pin of a cable's end at the machine. `tolerates_v` are
    the most volts on any working pin (a processor pin has its own). `clamps`: without supply its pins pull a line
    towards ground.
    """

    id: str
    title: str
    source: str
    place: Place
    pins: Mapping[str, str]
    power: Mapping[str, Power]
    processor: Mapping[str, ProcessorPin]
    channels: tuple[Channel, ...]
    store: Addressed | Shifted | None
    buffers: tuple[Buffer, ...]
    passive: Passive | None
    elements: tuple[tuple[str, str], ...]
    header: Header | None
    wires: tuple[tuple[int, int], ...]
    inputs: Thresholds | None
    output_high_v: float | None
    clamps: bool
    times: Times | None
    key_pin: int | None
    tolerates_v: float | None
    values: PartValues = field(default_factory=PartValues)

    def number(self, name: str) -> str | None:
        """The number of a pin, given its number or its name if only one pin has that name; None if there is none."""
        if name in self.pins:
            return name
        found = [number for number, pin in self.pins.items() if pin == name]
        return found[0] if len(found) == 1 else None

    @property
    def is_cable(self) -> bool:
        """Whether the part leads from connector to connector."""
        return bool(self.wires)


@dataclass(frozen=True, slots=True, kw_only=True)
class PartUse:
    """A part on the board: its reference, what it is, and what applies to this one alone."""

    ref: str
    part: Part
    place: Place
    mates: Mates
    ohms: float | None
    closed: bool
    key_pin: int | None
    values: UseValues = field(default_factory=UseValues)


@dataclass(frozen=True, slots=True, kw_only=True)
class Net:
    """Pins that are joined."""

    name: str
    pins: tuple[Pin, ...]
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """A machine that the adapter fits: one revision (None: the machine itself), by cable or straight, and which side.

    `metres` is the length of that cable (None: not stated).
    """

    machine: str
    revision: str | None
    through: Part | None
    other_side: bool
    place: Place
    metres: float | None = None

    @property
    def name(self) -> str:
        """Machine and revision as the file writes them."""
        return self.machine if self.revision is None else f"{self.machine}/{self.revision}"


@dataclass(frozen=True, slots=True, kw_only=True)
class DriverTime:
    """How long the driver of a board takes on its processor, as measured.

    `spread_us` is the time between the fastest and the slowest moment at which a contact changes: first if one changes,
    then if two change together, and so on; every further contact adds `each_us`. A write of a port takes at least
    `write_ns`. If contacts follow select lines, the sense lines are right at most `follow_us` after a select line has
    changed (None: not measured). `measured` says on what and how.
    """

    spread_us: tuple[float, ...]
    each_us: float
    write_ns: int
    follow_us: float | None
    measured: str

    def spread(self, changes: int) -> float:
        """Microseconds between the fastest and the slowest moment if at most this many contacts change together."""
        beyond = max(changes - len(self.spread_us), 0)
        return max(self.spread_us[: max(changes, 1)]) + self.each_us * beyond


@dataclass(frozen=True, slots=True, kw_only=True)
class Adapter:
    """The board between the keyboard's part and the machine's key connector; `driver` is None if not measured."""

    id: str
    title: str
    source: str
    place: Place
    driver: DriverTime | None
    parts: Mapping[str, PartUse]
    nets: tuple[Net, ...]
    unused: frozenset[Pin]
    fits: tuple[Fit, ...]

    def part(self, pin: Pin) -> Part:
        """The part that a pin belongs to."""
        return self.parts[pin.ref].part

    def pin_name(self, pin: Pin) -> str:
        """A pin as people write it: `U2.X0`, `J1.3`."""
        part = self.part(pin)
        name = part.pins[pin.number]
        return f"{pin.ref}.{name if part.number(name) is not None else pin.number}"

    def headers(self, mates: Mates) -> Iterator[PartUse]:
        """The headers with one purpose, in the order of the file."""
        return (use for use in self.parts.values() if use.part.header is not None and use.mates is mates)
