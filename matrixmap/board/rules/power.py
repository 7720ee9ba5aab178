"""Rules about supplies and voltages: what feeds what, what a pin tolerates, what an input reads, and what is off."""

from __future__ import annotations

from collections.abc import Iterator

from matrixmap.board.controls import Source, sources_of
from matrixmap.board.nets import MACHINE
from matrixmap.board.record import BoardRule, Judged, Told
from matrixmap.model.boards.adapter import Mates, Pin
from matrixmap.model.finding import Severity
from matrixmap.model.words import in_a_row
from matrixmap.source.report import named


def _supply_open(judged: Judged) -> Iterator[Told]:
    board = judged.board
    for ref, use in board.adapter.parts.items():
        for number, power in use.part.power.items():
            group = board.groups.of(Pin(ref, number))
            name = board.shown(Pin(ref, number))
            if power.is_ground:
                if group not in board.ground:
                    yield Told(
                        f"{name} is ground of {ref}, but is not joined to ground", judged.place_of(Pin(ref, number))
                    )
            elif power.takes_v is not None:
                low, high = power.takes_v
                feeds = board.power.get(group, ())
                if not feeds:
                    text = f"{name} needs {low:g} to {high:g} V, but no supply is joined to it"
                    yield Told(text, judged.place_of(Pin(ref, number)))
                elif not low <= feeds[0].volts <= high:
                    text = f"{name} needs {low:g} to {high:g} V, but gets {feeds[0].volts:g} V from {feeds[0].of}"
                    yield Told(text, judged.place_of(Pin(ref, number)))


def _supplies_joined(judged: Judged) -> Iterator[Told]:
    board = judged.board
    for group, feeds in sorted(board.power.items()):
        if group in board.ground:
            yield Told(
                f"{in_a_row([feed.of for feed in feeds])} is joined to ground: a short circuit", judged.place_of(group)
            )
        elif len(feeds) > 1:
            names = in_a_row([f"{feed.of} ({feed.volts:g} V)" for feed in feeds])
            yield Told(
                f"the supplies of {names} are joined; the higher one feeds into the other", judged.place_of(group)
            )


def _grounds_apart(judged: Judged) -> Iterator[Told]:
    board = judged.board
    machine = {
        board.groups.of(Pin(MACHINE, str(at)))
        for at, line in enumerate(board.connector.pins, start=1)
        if line == "ground"
    }
    apart = sorted(board.ground - machine)
    if apart and machine:
        names = named([board.shown(pin) for pin in board.groups.members(apart[0])], 4)
        yield Told(f"ground of the board ({names}) is not joined to ground of the machine", judged.place_of(apart[0]))


def _overdrawn(judged: Judged) -> Iterator[Told]:
    board = judged.board
    most = board.electric.supply_ma
    drawn: dict[str, float] = {}
    for ref, use in board.adapter.parts.items():
        for number, power in use.part.power.items():
            feeds = board.power.get(board.groups.of(Pin(ref, number)), ())
            if power.takes_v is not None and any(feed.of == MACHINE for feed in feeds):
                drawn[ref] = drawn.get(ref, 0.0) + power.draws_ma
    total = sum(drawn.values())
    if most is not None and total > most:
        by = in_a_row([f"{ref} {ma:g} mA" for ref, ma in drawn.items() if ma])
        yield Told(f"the board draws {total:g} mA from the machine's supply, which gives {most:g} mA at most ({by})")


def _highest(judged: Judged, group: Pin) -> tuple[float, str] | None:
    """The highest volts that can be on a group, and where they come from."""
    board = judged.board
    found: list[tuple[float, str]] = []
    lines = board.lines.get(group, ())
    if lines and board.electric.line_v is not None:
        found.append((board.electric.line_v, f"the line {lines[0]} of the machine"))
    found += [(pull.volts, f"the resistor {pull.ref}") for pull in board.pulls.get(group, ()) if pull.volts > 0]
    found += [(feed.volts, f"the supply of {feed.of}") for feed in board.power.get(group, ())]
    for source in sources_of(board, group):
        if source.first is not None and not source.open_drain:
            supply = judged.supply_of(source.first.ref)
            if supply is not None:
                found.append((supply.volts, board.shown(source.first)))
    return max(found, default=None)


def _tolerates(judged: Judged) -> Iterator[Told]:
    board = judged.board
    for ref, use in board.adapter.parts.items():
        part = use.part
        most = {number: known.tolerates_v for number, known in part.processor.items()}
        most |= {number: part.tolerates_v for number in part.pins if number not in part.power and number not in most}
        for number, stands in most.items():
            pin = Pin(ref, number)
            highest = _highest(judged, board.groups.of(pin)) if stands is not None else None
            if stands is not None and highest is not None and highest[0] > stands:
                text = f"{board.shown(pin)} tolerates {stands:g} V, but {highest[1]} brings {highest[0]:g} V"
                yield Told(text, judged.place_of(pin))


def _inputs(judged: Judged) -> Iterator[tuple[Pin, tuple[Source, ...]]]:
    """Inputs with thresholds of their own, and what drives each."""
    board = judged.board
    for control, sources in judged.controls:
        yield control.pin, sources
    for ref, use in board.adapter.parts.items():
        for buffer in use.part.buffers:
            pin = Pin(ref, buffer.input)
            yield pin, sources_of(board, board.groups.of(pin))


def _threshold(judged: Judged) -> Iterator[Told]:
    board = judged.board
    for pin, sources in _inputs(judged):
        part = board.adapter.part(pin)
        supply = judged.supply_of(pin.ref)
        if part.inputs is None or (part.inputs.share and supply is None):
            continue
        needed = part.inputs.high_at(supply.volts if supply else 0.0)
        for source in sources:
            reached = judged.output_high(source, board.groups.of(pin)) if source.first is not None else None
            if reached is not None and source.first is not None and reached < needed:
                text = (
                    f"{board.shown(source.first)} surely reaches {reached:g} V only, but {board.shown(pin)} reads "
                    f"high from {needed:g} V on"
                )
                yield Told(text, judged.place_of(pin))
    yield from _line_thresholds(judged)


def _line_thresholds(judged: Judged) -> Iterator[Told]:
    """Pins and buffers that read a select line, against the volts of a line that nothing pulls."""
    board = judged.board
    line_v = board.electric.line_v
    told: set[Pin] = set()
    for line in board.machine.select:
        for source in judged.traced.readers(line) if line_v is not None else ():
            pin = Pin(source.through[0].ref, "") if source.through else source.pin
            if pin is None or pin.ref in {each.ref for each in told}:
                continue
            inputs = board.adapter.parts[pin.ref].part.inputs
            supply = judged.supply_of(pin.ref)
            needed = inputs.high_at(supply.volts if supply else 0.0) if inputs else None
            if needed is not None and line_v is not None and line_v < needed:
                told.add(pin)
                yield Told(
                    f"{line} of the machine has {line_v:g} V, but {pin.ref} reads high from {needed:g} V on",
                    judged.place_of_line(line),
                )


def _clamped(judged: Judged) -> Iterator[Told]:
    board = judged.board
    for ref, use in board.adapter.parts.items():
        if not use.part.clamps:
            continue
        supply = judged.supply_of(ref)
        pins = [Pin(ref, number) for number in use.part.pins if number not in use.part.power]
        lines = [line for pin in pins for line in board.lines.get(board.groups.of(pin), ())]
        lines = [line for line in board.contact_lines if line in lines]
        if lines and supply is not None and supply.of != MACHINE:
            text = (
                f"{ref} is fed by {supply.of}; while {supply.of} gives no power and the machine is on, it pulls "
                f"{named(lines, 6)} low"
            )
            yield Told(f"{text}, and the machine reads keys that nobody pressed", use.place, cases=len(lines))


def _driven_unpowered(judged: Judged) -> Iterator[Told]:
    board = judged.board
    told: set[tuple[str, str]] = set()
    for pin, sources in _inputs(judged):
        mine = judged.supply_of(pin.ref)
        for source in sources:
            if source.first is None or source.open_drain or not board.adapter.part(pin).clamps or mine is None:
                continue
            theirs = judged.supply_of(source.first.ref)
            apart = board.near.of(source.first) != board.near.of(pin)
            if theirs is None or theirs.of == mine.of or apart or (source.first.ref, pin.ref) in told:
                continue
            told.add((source.first.ref, pin.ref))
            text = (
                f"while {mine.of} gives no power, {board.shown(source.first)} feeds {pin.ref} through its input "
                f"{board.shown(pin)}"
            )
            yield Told(f"{text}; put a resistor between them, or feed both from one supply", judged.place_of(pin))


def _latches_up(judged: Judged) -> Iterator[Told]:
    board = judged.board
    own = next(board.adapter.headers(Mates.OWN_KEYBOARD), None)
    if own is not None and judged.traced.how == "follows-select" and not board.electric.unselected_high:
        yield Told(
            f"contacts follow the select lines while the machine's own keyboard is on {own.ref}: if an own key and a "
            "contact at the same crosspoint are closed, the two hold the select line low; the adapter follows it as "
            "if it were strobed, and this never ends",
            own.place,
        )


RULES: tuple[BoardRule, ...] = (
    BoardRule(
        slug="supplies-joined",
        severity=Severity.ERROR,
        purpose="A supply is joined to ground or to another supply.",
        explanation=(
            "This is a short circuit, or one supply feeds into the other: parts get hot, and the machine may be "
            "damaged."
        ),
        bad="SUPPLY: [J1.2, U2.VDD, C1.2, J2.VBUS]",
        good="SUPPLY: [J1.2, U2.VDD, C1.2]",
        function=_supplies_joined,
    ),
    BoardRule(
        slug="supply-open",
        severity=Severity.ERROR,
        purpose="A supply pin of a part gets no supply, or the wrong one.",
        explanation=(
            "Each supply pin was followed to the supply that feeds it. A part with one open supply pin works only "
            "by chance, fed through its inputs."
        ),
        bad="VBUS: [J2.VBUS, U1.VCC, R6.2, C2.2]",
        good="VBUS: [J2.VBUS, U1.VCC, U1.AVCC, R6.2, C2.2]",
        function=_supply_open,
    ),
    BoardRule(
        slug="grounds-apart",
        severity=Severity.ERROR,
        purpose="The board's ground is not joined to the machine's.",
        explanation="Without a common ground, a voltage on one side means nothing on the other.",
        bad="GND2: [J1.1, J1.12, J1.22]",
        good="GND: [J1.1, J1.12, J1.22, J2.GND, J3.1, U1.8, U1.22, U2.VSS, Q1.S, R3.1, R4.1, R5.1, C1.1, C2.1]",
        function=_grounds_apart,
    ),
    BoardRule(
        slug="supply-overdrawn",
        severity=Severity.ERROR,
        purpose="The board draws more current than the machine's supply pin gives.",
        explanation="Together, the parts that the machine feeds can draw more current than the machine file allows.",
        bad="power: {VDD: {takes: [4.5, 13.2], ma: 25}, VSS: ground}",
        good="power: {VDD: {takes: [4.5, 13.2], ma: 5}, VSS: ground}",
        function=_overdrawn,
    ),
    BoardRule(
        slug="pin-not-tolerant",
        severity=Severity.ERROR,
        purpose="A pin of the processor gets more volts than it tolerates.",
        explanation=(
            "Inputs of 3.3 V parts on lines of 5 V must tolerate 5 V (common practice). The most volts on the net "
            "come from a line that nothing pulls, from a resistor, or from another output."
        ),
        bad="PD7: {port: D, bit: 7, does: [in, out, open-drain, pull-up], tolerates_v: 3.6}",
        good="PD7: {port: D, bit: 7, does: [in, out, open-drain, pull-up], tolerates_v: 5.5}",
        function=_tolerates,
    ),
    BoardRule(
        slug="threshold-not-reached",
        severity=Severity.ERROR,
        purpose="An output does not reach the voltage from which an input reads high.",
        explanation=(
            "A CMOS switch at 5 V needs 3.5 V, and an output of 3.3 V does not reach that. Such a board works on "
            "one desk and fails on the next. A buffer with TTL thresholds in between, or a processor at 5 V, "
            "solves it."
        ),
        bad="output_high_v: 2.9",
        good="output_high_v: 4.2",
        function=_threshold,
    ),
    BoardRule(
        slug="line-clamped",
        severity=Severity.ERROR,
        purpose="A part without supply pulls lines of the machine low.",
        explanation=(
            "Most chips have diodes from each pin to their supply. While the machine is on and the adapter is off, "
            "these diodes pull the lines low. Feed the part from the machine, or put a part in between that "
            "releases its pins when it has no power."
        ),
        bad="SUPPLY: [J1.2, C1.2]\nVBUS: [J2.VBUS, U2.VDD, U1.VCC, U1.AVCC, R6.2, C2.2]",
        good="SUPPLY: [J1.2, U2.VDD, C1.2]\nVBUS: [J2.VBUS, U1.VCC, U1.AVCC, R6.2, C2.2]",
        function=_clamped,
    ),
    BoardRule(
        slug="part-fed-by-input",
        severity=Severity.WARNING,
        purpose="An output feeds a part that has no supply.",
        explanation=(
            "While one supply is on and the other off, current flows into the part through the diode of its input. "
            "A resistor of a kiloohm in between limits it (common practice)."
        ),
        bad="AX0: [R1.16, U1.PC0, U2.AX0]",
        good="AX0: [R1.16, U2.AX0]",
        function=_driven_unpowered,
    ),
    BoardRule(
        slug="follows-own-keyboard",
        severity=Severity.ERROR,
        purpose="Contacts that follow select lines latch up beside the machine's own keyboard.",
        explanation=(
            "If an own key and a contact of the adapter at one crosspoint are closed, together they hold the select "
            "line low. The adapter takes that for a strobe. This does not happen if the machine drives the select "
            "lines high that it does not strobe."
        ),
        bad="J4: {part: plug-2x11, mates: own-keyboard}",
        good="U1: rp2040-board",
        function=_latches_up,
    ),
)
"""The rules about supplies and voltages; within one severity a report follows their order."""
