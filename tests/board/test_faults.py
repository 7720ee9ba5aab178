"""Two hundred seeded wiring faults, each found and named as what it is, with nothing else told; on the good boards none."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass, replace
from types import MappingProxyType

import pytest

from matrixmap.board.rules.run import check_board
from matrixmap.model.boards.adapter import Adapter, Does, Net, Part, Pin
from matrixmap.model.finding import Severity
from tests.board.boards import SHIPPED, project_with, read

FAULTS = 200

BOARDS = {id: read(project_with({}), id) for id in SHIPPED}
MACHINE = BOARDS["ferrule"][1]
LINES = (*MACHINE.select, *MACHINE.sense)


@dataclass(frozen=True)
class Fault:
    """A fault as it was made: the board with it, the slug that names it, and words of the text."""

    adapter: Adapter
    slug: str
    words: tuple[str, ...]
    fit: int = 0


def with_nets(adapter: Adapter, nets: dict[str, list[Pin]]) -> Adapter:
    """The adapter with other pins in some nets; pins in none are unused."""
    made = tuple(replace(net, pins=tuple(nets.get(net.name, net.pins))) for net in adapter.nets)
    made = tuple(net for net in made if net.pins)
    held = {pin for net in made for pin in net.pins}
    lost = {pin for net in adapter.nets for pin in net.pins} - held
    return replace(adapter, nets=made, unused=adapter.unused | lost)


def with_part(adapter: Adapter, ref: str, part: Part) -> Adapter:
    """The adapter with another part at a reference."""
    parts = {**adapter.parts, ref: replace(adapter.parts[ref], part=part)}
    return replace(adapter, parts=MappingProxyType(parts))


def net_of(adapter: Adapter, name: str) -> list[Pin]:
    """The pins of a net."""
    return list(next(net.pins for net in adapter.nets if net.name == name))


def on_headers(pins: list[Pin]) -> list[Pin]:
    """Those pins of a net that are on connectors."""
    return [pin for pin in pins if pin.ref.startswith("J")]


def swapped(adapter: Adapter, rng: random.Random) -> Fault:
    """Two lines change places at the connector."""
    a, b = rng.sample(LINES, 2)
    first, second = net_of(adapter, a), net_of(adapter, b)
    ends = (
        [pin for pin in first if pin not in on_headers(first)],
        [pin for pin in second if pin not in on_headers(second)],
    )
    nets = {a: [*on_headers(second), *ends[0]], b: [*on_headers(first), *ends[1]]}
    return Fault(with_nets(adapter, nets), "lines-exchanged", (a, b, "exchanged at J1"))


def missing_line(adapter: Adapter, rng: random.Random) -> Fault:
    """The connector's pin of a line is not joined to its net."""
    line = rng.choice(LINES)
    pins = net_of(adapter, line)
    pins.remove(next(pin for pin in pins if pin.ref == "J1"))
    return Fault(with_nets(adapter, {line: pins}), "line-reaches-nothing", (f"{line} reaches",))


CONTROLS = {
    "ferrule": ("AX0", "AX1", "AX2", "AY0", "AY1", "AY2", "DATA"),
    "locket": tuple(f"K{number}" for number in range(64)),
    "pommel": tuple(f"PULL-N{number}" for number in range(8)),
}
"""Nets that a driver and the control that it works share."""


def missing_driver(adapter: Adapter, rng: random.Random) -> Fault:
    """What drives a control is not joined to its net."""
    name = rng.choice(CONTROLS[adapter.id])
    pins = net_of(adapter, name)
    kept = [pin for pin in pins if pin.ref != "U1" and pin.ref not in {f"U{10 + n}" for n in range(8)}]
    if adapter.id == "ferrule":
        kept = [pin for pin in pins if pin.ref == "U2"]
    control = next(pin for pin in kept if pin.ref.startswith("U"))
    return Fault(
        with_nets(adapter, {name: kept}), "control-not-driven", (f"nothing drives {adapter.pin_name(control)}",)
    )


def doubled(adapter: Adapter, rng: random.Random) -> Fault:
    """An array's port of one line stands on another line too: Ferrule alone has ports."""
    a, b = rng.sample(MACHINE.select, 2)
    first, second = net_of(adapter, a), net_of(adapter, b)
    port = next(pin for pin in second if pin.ref == "U2")
    second.remove(port)
    return Fault(with_nets(adapter, {a: [*first, port], b: second}), "contact-closed-twice", (f"{a}/N0",))


def bridged_lines(adapter: Adapter, rng: random.Random) -> Fault:
    """Solder joins two lines."""
    a, b = rng.sample(LINES, 2)
    nets = {a: [*net_of(adapter, a), *net_of(adapter, b)], b: []}
    return Fault(with_nets(adapter, nets), "lines-joined", (a, b, "are joined"))


def bridged_to_ground(adapter: Adapter, rng: random.Random) -> Fault:
    """Solder joins a line to ground."""
    line = rng.choice(LINES)
    nets = {"GND": [*net_of(adapter, "GND"), *net_of(adapter, line)], line: []}
    return Fault(with_nets(adapter, nets), "line-on-supply", (f"{line} is joined to ground",))


def bridged_controls(adapter: Adapter, rng: random.Random) -> Fault:
    """Solder joins two controls of one part, without their drivers."""
    names = {"ferrule": CONTROLS["ferrule"], "locket": ("CLOCK", "LATCH", "CLEAR"), "pommel": CONTROLS["pommel"][:6]}[
        adapter.id
    ]
    a, b = rng.sample(names, 2)
    pins = [*net_of(adapter, a), *net_of(adapter, b)]
    return Fault(with_nets(adapter, {a: pins, b: []}), "control-joined", ("are joined",))


def wrong_pin(adapter: Adapter, rng: random.Random) -> Fault:
    """A pin of the processor that drives something is an input only."""
    part = adapter.parts["U1"].part
    works = {
        "ferrule": [f"PC{n}" for n in range(6)] + ["PD5", "PD6", "PD7"],
        "locket": [f"GP{n}" for n in range(2, 8)],
        "pommel": [f"GP{n}" for n in range(10, 19)],
    }[adapter.id]
    name = rng.choice(works)
    number = part.number(name) or ""
    only = replace(part.processor[number], does=frozenset({Does.IN}))
    made = replace(part, processor=MappingProxyType({**part.processor, number: only}))
    return Fault(with_part(adapter, "U1", made), "pin-cannot", (f"U1.{name}", "can only be: in"))


def wrong_side(adapter: Adapter, rng: random.Random) -> Fault:
    """The connector is on the other side than its fit says."""
    at = rng.randrange(len(adapter.fits))
    fits = tuple(replace(fit, other_side=fit.other_side != (n == at)) for n, fit in enumerate(adapter.fits))
    return Fault(replace(adapter, fits=fits), "header-misplaced", ("on the other side",), at)


def off_by_one(adapter: Adapter, rng: random.Random) -> Fault:
    """Some neighbours are all one pin on, or one back."""
    low, high = rng.choice([(3, 10), (13, 20)])
    count, by = rng.randrange(3, high - low + 1), rng.choice([1, -1])
    start = rng.randrange(low + (by < 0), high - count + 1 + (by < 0))
    moved = range(start, start + count)
    at = {int(pin.number): net.name for net in adapter.nets for pin in net.pins if pin.ref == "J1"}
    nets = {at[pin]: [each for each in net_of(adapter, at[pin]) if each.ref != "J1"] for pin in range(low, high + 1)}
    for pin in range(low, high + 1):
        if pin in moved:
            nets[at[pin]].append(Pin("J1", str(pin + by)))
        elif pin - by not in moved:
            nets[at[pin]].append(Pin("J1", str(pin)))
    way = "too high" if by > 0 else "too low"
    return Fault(with_nets(adapter, nets), "header-misplaced", (f"{count} nets", f"1 pin {way} at J1"))


def turned_diode(adapter: Adapter, rng: random.Random) -> Fault:
    """Each select line has a diode to its port, and one is turned round."""
    turned = rng.choice(MACHINE.select)
    diode = project_with({}).part("diode")
    assert diode is not None
    assert diode.value is not None
    parts, nets = dict(adapter.parts), []
    for net in adapter.nets:
        if net.name not in MACHINE.select:
            nets.append(net)
            continue
        ref = f"D{net.name[1:]}"
        parts[ref] = replace(adapter.parts["Q1"], ref=ref, part=diode.value)
        line, port = (Pin(ref, "1"), Pin(ref, "2")) if net.name == turned else (Pin(ref, "2"), Pin(ref, "1"))
        nets.append(replace(net, pins=(*on_headers(list(net.pins)), line)))
        nets.append(replace(net, name=f"PORT-{net.name}", pins=(port, *(pin for pin in net.pins if pin.ref == "U2"))))
    made = replace(adapter, parts=MappingProxyType(parts), nets=tuple(nets))
    return Fault(made, "diode-against-current", (f"D{turned[1:]} in the path of {turned}", f"{turned}/N7"))


KINDS: dict[str, tuple[Callable[[Adapter, random.Random], Fault], tuple[str, ...]]] = {
    "swap": (swapped, SHIPPED),
    "missing line": (missing_line, SHIPPED),
    "missing driver": (missing_driver, SHIPPED),
    "doubled": (doubled, ("ferrule",)),
    "bridged lines": (bridged_lines, SHIPPED),
    "bridged to ground": (bridged_to_ground, SHIPPED),
    "bridged controls": (bridged_controls, SHIPPED),
    "wrong pin": (wrong_pin, SHIPPED),
    "wrong side": (wrong_side, SHIPPED),
    "off by one": (off_by_one, SHIPPED),
    "turned diode": (turned_diode, ("ferrule",)),
}

FOLLOW = {
    # A pin or port that is shown twice leaves another one without; what goes with a fault is named here.
    "doubled": {"line-reaches-nothing"},
    # Outputs that are bridged with their controls work against each other.
    "bridged controls": {"outputs-joined", "contacts-close-together"},
}


@pytest.mark.parametrize("number", range(FAULTS))
def test_a_fault_is_named_as_what_it_is(number: int) -> None:
    """The fault of this seed gives its finding, and no warning or error that is not another side of the same."""
    rng = random.Random(number)
    kind = list(KINDS)[number % len(KINDS)]
    make, boards = KINDS[kind]
    adapter = BOARDS[rng.choice(boards)][0]
    fault = make(adapter, rng)
    found = check_board(fault.adapter, MACHINE, fault.adapter.fits[fault.fit]).findings
    told = [finding for finding in found if finding.severity > Severity.NOTE]
    named = [finding for finding in told if finding.slug == fault.slug]
    assert any(all(word in finding.text for word in fault.words) for finding in named), [f.text for f in told]
    assert len(named) == 1, [finding.text for finding in named]
    assert {finding.slug for finding in told} - {fault.slug} <= FOLLOW.get(kind, set()), [f.text for f in told]


def test_every_kind_of_fault_is_tried() -> None:
    """Each kind comes at least ten times among the faults, and nets are joined in them as said."""
    assert FAULTS // len(KINDS) >= 10
    assert isinstance(BOARDS["ferrule"][0].nets[0], Net)
