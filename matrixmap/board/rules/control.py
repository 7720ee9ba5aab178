"""Rules about what works the switches: processor pins, controls, and their state before a program runs."""

from __future__ import annotations

from collections.abc import Iterator

from matrixmap.board.controls import Control, Source, sources_of
from matrixmap.board.nets import Board
from matrixmap.board.record import BoardRule, Judged, Told
from matrixmap.model.boards.adapter import Does, Passive, Pin
from matrixmap.model.finding import Severity
from matrixmap.model.words import in_a_row
from matrixmap.source.report import named

TIED_ROLES = ("reset", "enable", "clear")
"""Controls that may be tied to a supply permanently."""

TOLD_APART = 8


def _control_groups(judged: Judged) -> dict[Pin, list[Control]]:
    groups: dict[Pin, list[Control]] = {}
    for control, _ in judged.controls:
        groups.setdefault(judged.board.groups.of(control.pin), []).append(control)
    return groups


def _bridged(judged: Judged) -> Iterator[Pin]:
    """Groups in which a control is joined to a line of the machine, or to another control of its part."""
    for group, controls in _control_groups(judged).items():
        refs = [control.pin.ref for control in controls]
        if judged.board.lines.get(group) or len(set(refs)) < len(refs):
            yield group


def _shown(judged: Judged, control: Control) -> str:
    return f"{judged.board.shown(control.pin)} ({control.role})"


def _joined(judged: Judged) -> Iterator[Told]:
    for group in _bridged(judged):
        controls = _control_groups(judged)[group]
        names = [_shown(judged, control) for control in controls]
        lines = judged.board.lines.get(group, ())
        if lines:
            text = (
                f"{in_a_row(names)} {'is' if len(names) == 1 else 'are'} joined to {in_a_row(lines)} of the "
                "machine, so the machine works it"
            )
        else:
            text = f"{in_a_row(names)} are joined, so none of them can be worked separately"
        yield Told(text, judged.place_of(controls[0].pin), cases=len(controls))


def _alive(judged: Judged, sources: tuple[Source, ...]) -> list[Source]:
    return [source for source in sources if source.pin is not None or source.tied_high is not None]


def _not_driven(judged: Judged) -> Iterator[Told]:
    bridged = set(_bridged(judged))
    for control, sources in judged.controls:
        if judged.board.groups.of(control.pin) in bridged:
            continue
        alive = _alive(judged, sources)
        place = judged.place_of(control.pin)
        if not alive:
            through = next((source.through for source in sources if source.through), ())
            by = (
                (f"; {judged.board.shown(through[-1])} drives it, but nothing drives {judged.board.shown(through[-1])}")
                if through
                else ""
            )
            yield Told(f"nothing drives {_shown(judged, control)}{by}", place)
        elif alive[0].tied_high is not None and control.role not in TIED_ROLES:
            text = (
                f"{_shown(judged, control)} is tied {'high' if alive[0].tied_high else 'low'}, so no program can work "
                "it"
            )
            yield Told(text, place)


def _driven_twice(judged: Judged) -> Iterator[Told]:
    seen: set[Pin] = set()
    board = judged.board
    groups = {
        board.groups.of(Pin(ref, number)) for ref, use in board.adapter.parts.items() for number in use.part.processor
    }
    controlled = {board.groups.of(control.pin) for control, _ in judged.controls}
    groups |= controlled
    for group in sorted(groups):
        sources = [source for source in sources_of(board, group) if source.first is not None]
        own = [source for source in sources if source.is_processor and not source.through]
        if group not in controlled and len(own) == 1 and len(sources) > 1:
            sources = [source for source in sources if source is not own[0]]  # it reads what the other drives
        firsts = list(dict.fromkeys(source.first for source in sources if source.first is not None))
        if len(firsts) > 1 and group not in seen and not board.lines.get(group):
            seen.add(group)
            names = in_a_row([board.shown(pin) for pin in firsts])
            yield Told(
                f"{names} drive one net; when one is high and the other low, both carry too much current",
                judged.place_of(firsts[0]),
            )
        elif (
            firsts
            and (group in board.ground or group in board.power)
            and not all(source.open_drain for source in sources)
        ):
            to = "ground" if group in board.ground else "a supply"
            yield Told(f"{board.shown(firsts[0])} drives a net that is joined to {to}", judged.place_of(firsts[0]))


def _wanted(judged: Judged) -> Iterator[tuple[Pin, Does, str]]:
    """Processor pins with what each must do on this board, and why."""
    board = judged.board
    for control, sources in judged.controls:
        for source in sources:
            if source.is_processor and source.pin is not None:
                yield source.pin, Does.OUT, f"drives {_shown(judged, control)}"
    for line in board.contact_lines:
        group = board.line_group(line)
        for pin in board.groups.members(group) if group is not None else ():
            if pin.ref in board.adapter.parts and pin.number in board.adapter.part(pin).processor:
                if line in board.machine.select:
                    yield pin, Does.IN, f"reads the select line {line}"
                else:
                    yield pin, Does.OPEN_DRAIN, f"pulls {line}, so it must never drive the line high"
        for source in sources_of(board, group) if group is not None else ():
            if source.through and source.is_processor and source.pin is not None:
                yield source.pin, Does.OUT, f"drives {line} through a buffer"


def _cannot(judged: Judged) -> Iterator[Told]:
    told: set[tuple[Pin, Does]] = set()
    for pin, does, what in _wanted(judged):
        known = judged.board.adapter.part(pin).processor[pin.number]
        if does not in known.does and (pin, does) not in told:
            told.add((pin, does))
            can = in_a_row([each.value for each in Does if each in known.does])
            yield Told(f"{judged.board.shown(pin)} {what}, but can only be: {can}", judged.place_of(pin))


def _drives_line(judged: Judged) -> Iterator[Told]:
    board = judged.board
    for line in board.contact_lines:
        group = board.line_group(line)
        for source in sources_of(board, group) if group is not None else ():
            if source.through and not source.open_drain and source.first is not None:
                text = (
                    f"{board.shown(source.first)} drives {line} high and low; a line of the machine may only be "
                    "pulled low"
                )
                yield Told(text, judged.place_of(source.first))


def _boot(judged: Judged) -> Iterator[Told]:
    board = judged.board
    for ref, use in board.adapter.parts.items():
        for number, known in use.part.processor.items():
            pin = Pin(ref, number)
            group = board.groups.of(pin)
            if known.boot is None:
                continue
            lines = board.lines.get(group, ())
            against = [pull for pull in board.pulls.get(group, ()) if (pull.volts > 0) != (known.boot == "high")]
            start = f"{board.shown(pin)} must be {known.boot} at reset, or the processor does not start the program"
            if lines:
                yield Told(f"{start}; {in_a_row(lines)} of the machine can pull it", judged.place_of(pin))
            elif against:
                way = "high" if against[0].volts > 0 else "low"
                yield Told(f"{start}; {against[0].ref} pulls it {way}", judged.place_of(pin))


def _debug(judged: Judged) -> Iterator[Told]:
    board = judged.board
    for ref, use in board.adapter.parts.items():
        for number, known in use.part.processor.items():
            pin = Pin(ref, number)
            if known.also != "debug-output":
                continue
            works = _worked_by(judged, pin)
            if works is None:
                continue
            jumper = _jumper_on(board, pin)
            yield Told(
                f"{board.shown(pin)} is also the debug output, and {works}"
                + (
                    f"; remove the jumper {jumper} before the program prints"
                    if jumper
                    else ("; no jumper separates them")
                ),
                judged.place_of(pin),
                at_most=Severity.WARNING if jumper else Severity.ERROR,
            )


def _worked_by(judged: Judged, pin: Pin) -> str | None:
    """What changes on the machine while a processor pin prints debug output, in words; None if nothing does."""
    board = judged.board
    machine = board.machine
    keys = {
        key.name
        for route in judged.traced.followers
        for key in machine.keys
        if key.contact == route.contact and route.drives is not None and route.drives.pin == pin
    }
    if keys:
        return f"while it prints, the machine reads {named(sorted(keys), TOLD_APART)}"
    for control, sources in judged.controls:
        if any(source.pin == pin for source in sources):
            if control.role != "control":
                return f"while it prints, {_shown(judged, control)} changes, so any key may be typed"
            channels = [route for route in judged.traced.switches[0] if route.channel and route.ref == control.pin.ref]
            worked = [route for route in channels if route.channel and route.channel.control == control.pin.number]
            names = sorted(key.name for key in machine.keys for route in worked if key.contact == route.contact)
            names += [machine.contact_name(route.contact) for route in worked] if not names else []
            return f"while it prints, the machine reads {named(names, TOLD_APART)}"
    return None


def _jumper_on(board: Board, pin: Pin) -> str | None:
    """A jumper in the net of a pin, which separates it from the rest of its group; None if there is none."""
    net = board.nets.get(pin)
    for use in board.adapter.parts.values():
        if use.part.passive is Passive.JUMPER and net is not None:
            for pair in use.part.elements:
                if any(Pin(use.ref, end) in net.pins for end in pair):
                    return use.ref
    return None


def _undefined(judged: Judged) -> Iterator[Told]:
    board = judged.board
    bridged = set(_bridged(judged))
    for control, sources in judged.controls:
        group = board.groups.of(control.pin)
        if control.safe is None or group in bridged or not _alive(judged, sources):
            continue
        name, place = _shown(judged, control), judged.place_of(control.pin)
        tied = sources[0].tied_high
        if tied is not None:
            if tied != control.safe:
                text = f"{name} is tied {'high' if tied else 'low'}, so nothing holds it {control.safe_word} until the program runs"
                yield Told(f"{text}; until then the state of the switches is unknown", place)
            continue
        pulls = board.pulls.get(group, ())
        safe = [pull for pull in pulls if (pull.volts > 0) == control.safe]
        if not safe:
            wrong = f"; {pulls[0].ref} pulls it the other way" if pulls else ""
            text = f"no resistor holds {name} {control.safe_word} until the program runs{wrong}"
            yield Told(f"{text}; until then the state of the switches is unknown", place)
        elif control.safe:
            yield from _lost_without_supply(judged, control, sources, safe[0].of)


def _lost_without_supply(judged: Judged, control: Control, sources: tuple[Source, ...], of: str) -> Iterator[Told]:
    """A control that one supply holds high, with a driver that pulls it low while the driver's own supply is off."""
    for source in sources:
        if source.first is None or not judged.board.adapter.part(source.first).clamps:
            continue
        supply = judged.supply_of(source.first.ref)
        if supply is not None and supply.of != of:
            text = (
                f"{_shown(judged, control)} is held high from {of}, but {source.first.ref} pulls it low when "
                f"{supply.of} gives nothing"
            )
            yield Told(text, judged.place_of(control.pin))


RULES: tuple[BoardRule, ...] = (
    BoardRule(
        slug="control-joined",
        severity=Severity.ERROR,
        purpose="A control is joined to another control, or to a line of the machine.",
        explanation=(
            "If two controls of one part are one net, they cannot be worked separately; if a control is on a line "
            "of the machine, the machine works it."
        ),
        bad="AX0: [R1.16, U2.AX0, U2.AX1]\nAX1: [R1.15]",
        good="AX0: [R1.16, U2.AX0]\nAX1: [R1.15, U2.AX1]",
        function=_joined,
    ),
    BoardRule(
        slug="control-not-driven",
        severity=Severity.ERROR,
        purpose="No pin of the processor works a control.",
        explanation=(
            "The control was followed back through resistors and buffers: there is no output, or it is tied to a "
            "supply. So the switches of the part cannot be worked."
        ),
        bad="DATA: [U2.DATA]",
        good="DATA: [R1.10, U2.DATA]",
        function=_not_driven,
    ),
    BoardRule(
        slug="outputs-joined",
        severity=Severity.ERROR,
        purpose="Two outputs drive one net, or one drives a supply.",
        explanation="While one is high and the other low, more current flows than either output is made for.",
        bad="PC0: [U1.PC0, U1.PB1, R1.1]",
        good="PC0: [U1.PC0, R1.1]",
        function=_driven_twice,
    ),
    BoardRule(
        slug="pin-cannot",
        severity=Severity.ERROR,
        purpose="A pin of the processor is used for something that it cannot do.",
        explanation=(
            "Some pins are inputs only; others cannot release a line. A pin on a sense or direct line must be "
            "open-drain; a pin on a select line must be able to read."
        ),
        bad="does: [in]",
        good="does: [in, out, open-drain, pull-up]",
        function=_cannot,
    ),
    BoardRule(
        slug="line-driven",
        severity=Severity.ERROR,
        purpose="An output drives a line of the machine both high and low.",
        explanation="Never drive a line that the computer also drives (common practice): use an open-drain output or an analogue switch.",
        bad="{in: A1, out: Y1}",
        good="{in: A1, out: Y1, drives: open-drain}",
        function=_drives_line,
    ),
    BoardRule(
        slug="boot-pin-pulled",
        severity=Severity.ERROR,
        purpose="A pin that decides how the processor starts can be pulled the wrong way.",
        explanation=(
            "At reset, some processors read a pin to choose between the program and a loader. On a line of the "
            "machine, this pin is low or high at random; with a resistor to the wrong side, it is always wrong."
        ),
        bad="PD6: {port: D, bit: 6, does: [in, out, open-drain, pull-up], boot: high,",
        good="PD6: {port: D, bit: 6, does: [in, out, open-drain, pull-up],",
        function=_boot,
    ),
    BoardRule(
        slug="debug-pin-works-a-key",
        severity=Severity.ERROR,
        purpose="The debug output works a contact.",
        explanation=(
            "Everything that the program or its loader prints there becomes keystrokes. The finding is a warning "
            "if a jumper separates the two."
        ),
        bad="PD5: [U1.PD1, R1.7]\nTXD: [U1.PD5, J3.3]",
        good="PD5: [U1.PD5, R1.7]\nTXD: [U1.PD1, J3.3]",
        function=_debug,
    ),
    BoardRule(
        slug="switches-undefined",
        severity=Severity.ERROR,
        purpose="The state of the switches is unknown until the program runs.",
        explanation=(
            "Until then the processor's pins float, and the processor may have no supply at all while the machine "
            "is on. Every strobe, reset, enable and control of a switch needs a resistor that holds it in the "
            "state in which all switches are open."
        ),
        bad="RESET: [R2.2, U2.RESET]",
        good="RESET: [R2.2, U2.RESET, R4.2]",
        function=_undefined,
    ),
)
"""The rules about what works the switches; within one severity a report follows their order."""
