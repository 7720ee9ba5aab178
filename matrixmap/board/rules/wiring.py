"""Rules about lines and contacts: what leads nowhere, to the wrong place, or to two places."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from matrixmap.board.controls import sources_of
from matrixmap.board.exchanges import exchanges, misplaced, wrong_ports
from matrixmap.board.nets import GROUND
from matrixmap.board.record import BoardRule, Judged, Told
from matrixmap.board.routes import Route
from matrixmap.board.series import Series, line_pin
from matrixmap.model.boards.adapter import Addressed, Mates, Passive, Pin
from matrixmap.model.finding import Severity
from matrixmap.model.machine import Contact, Wiring
from matrixmap.model.words import in_a_row
from matrixmap.source.report import named

TOLD_APART = 8
"""The most contacts that one finding lists; the rest are counted."""


def _misplaced(judged: Judged) -> Iterator[Told]:
    found = misplaced(judged.board)
    if found is None:
        return
    header = judged.board.header
    lines = f"{len(found.lines)} nets lead to other lines than their names say"
    if found.way is not None:
        text = (
            f"{lines}; all are right if {header.ref} is put on {found.way.words()}: change its nets, or mount under "
            "fits"
        )
    else:
        by = f"{abs(found.shift)} pin{'s' if abs(found.shift) > 1 else ''} too {'high' if found.shift > 0 else 'low'}"
        first, last = min(found.lines, key=_pin_order(judged)), max(found.lines, key=_pin_order(judged))
        text = f"{lines}: from {first} to {last} they are {by} at {header.ref}"
    yield Told(text, header.place, cases=len(found.lines))


def _pin_order(judged: Judged) -> Callable[[str], int]:
    pins = judged.board.connector.pins
    return lambda line: pins.index(line) if line in pins else len(pins)


def _exchanged(judged: Judged) -> Iterator[Told]:
    board = judged.board
    for each in exchanges(board):
        place = next((net.place for net in board.adapter.nets if net.name == each.lines[0]), None)
        severity = Severity.ERROR if each.mixed else Severity.WARNING
        why = (
            "no table can correct that, because a select line is then in the place of another kind of line"
            if each.mixed
            else "the tables are made from the nets and correct this, but C written for the other wiring does not"
        )
        if each.closed and len(each.lines) == 2:
            what = f"{in_a_row(each.lines)} are exchanged at {board.header.ref}"
        elif each.closed:
            ring = ", ".join(
                f"{line} to {after}" for line, after in zip(each.lines, (*each.lines[1:], each.lines[0]), strict=True)
            )
            what = f"{in_a_row(each.lines)} are exchanged in a ring at {board.header.ref} (the net {ring})"
        else:
            to = ", ".join(f"the net {a} leads to {b}" for a, b in zip(each.lines, each.lines[1:], strict=False))
            what = f"{to} at {board.header.ref}"
        yield Told(f"{what}; {why}", place, cases=len(each.lines), at_most=severity)
    for ports in wrong_ports(board) if not any(each.mixed for each in exchanges(board)) else ():
        wrong = [f"{line} on {port}" for line, port in (*ports.select, *ports.sense)]
        if ports.select and ports.sense:
            pairs = zip(ports.select, ports.sense, strict=False)
            shown = in_a_row([f"{a[0]} and {b[0]} (on {a[1]} and {b[1]})" for a, b in pairs])
            text = f"{shown} are exchanged at {ports.ref}, so select and sense lines are on one side of its switches"
        else:
            text = (
                f"{in_a_row(wrong)} of {ports.ref} {'is' if len(wrong) == 1 else 'are'} on the side of the other lines"
            )
        yield Told(text, judged.place_of_line((*ports.select, *ports.sense)[0][0]), cases=len(wrong))


def excused(judged: Judged) -> frozenset[str]:
    """Lines that another finding already covers, so that their contacts are not reported again."""
    board = judged.board
    found = {*judged.silent, *judged.fed, *(line for lines in judged.joined for line in lines)}
    for each in exchanges(board):
        found.update(each.lines if each.mixed else ())
    for ports in wrong_ports(board):
        found.update(line for line, _ in (*ports.select, *ports.sense))
    found.update(line for line in board.contact_lines if _has_dead_buffer(judged, line))
    return frozenset(found)


def _has_dead_buffer(judged: Judged, line: str) -> bool:
    """Whether a buffer should pull a line but nothing, or more than one thing, drives its input: reported there."""
    group = judged.board.line_group(line)
    sources = sources_of(judged.board, group) if group is not None else ()
    through = [source for source in sources if source.through]
    return any(source.pin is None for source in through) or len({source.pin for source in through}) > 1


def _joined(judged: Judged) -> Iterator[Told]:
    for lines in judged.joined:
        pins = {line: judged.board.line_group(line) for line in lines}
        group = pins[lines[0]]
        members = judged.board.groups.members(group) if group is not None else ()
        nets = list(dict.fromkeys(judged.board.nets[pin].name for pin in members if pin in judged.board.nets))
        through = "the net" if len(nets) == 1 else "the nets"
        between = _between(judged, lines)
        yield Told(
            f"{in_a_row(lines)} are joined by {through} {in_a_row(nets)}{between}; the machine reads a key of one as "
            "a key of the other",
            judged.place_of_line(lines[0]),
            cases=len(lines),
        )


def _between(judged: Judged, lines: tuple[str, ...]) -> str:
    """Resistors and diodes that alone join lines, in words; empty if nets join them."""
    board, series = judged.board, Series(judged.board)
    first, *others = [line_pin(board, line) for line in lines]
    found = {
        element.ref: f"{element.ref} ({'diode' if element.ohms is None else f'{element.ohms:g} ohms'})"
        for other in others
        for element, _ in series.path(first, other, any_way=True) or ()
    }
    return f" through {in_a_row(list(found.values()))}" if found else ""


def _fed(judged: Judged) -> Iterator[Told]:
    board = judged.board
    for line in judged.fed:
        group = board.line_group(line)
        to = GROUND if group in board.ground else "a supply"
        harm = "it reads as if all its keys were pressed" if to == GROUND else "its driver works against the supply"
        yield Told(f"{line} is joined to {to}; {harm}", judged.place_of_line(line))


def _silent(judged: Judged) -> Iterator[Told]:
    board = judged.board
    fed, mixed = set(judged.fed), {line for each in exchanges(board) if each.mixed for line in each.lines}
    for line in judged.silent:
        if line in fed or line in mixed:
            continue
        if line not in board.connector.pins:
            yield Told(
                f"{line} is on no pin of the machine's connector, so no adapter can reach it there", board.machine.place
            )
            continue
        group = board.line_group(line)
        members = board.groups.members(group) if group is not None else ()
        jumper = next(
            (
                use.ref
                for use in board.adapter.parts.values()
                if use.part.passive is Passive.JUMPER and not use.closed
                for pair in use.part.elements
                for end in pair
                if Pin(use.ref, end) in members
            ),
            None,
        )
        own = [board.shown(pin) for pin in members if pin.ref == board.header.ref]
        what = f"{line} reaches {own[0]} but nothing that could close a contact" if own else f"{line} reaches nothing"
        yield Told(what + (f"; the jumper {jumper} on it is open" if jumper else ""), judged.place_of_line(line))


def _not_closed(judged: Judged) -> Iterator[Told]:
    silent = excused(judged)
    by_contact = judged.traced.by_contact
    missing = [
        contact
        for contact in judged.traced.contacts
        if contact not in by_contact and not silent & set(judged.lines_of(contact))
    ]
    whole: set[str] = set()
    for line in judged.board.contact_lines:
        own = [contact for contact in judged.traced.contacts if line in judged.lines_of(contact)]
        own = [contact for contact in own if not silent & set(judged.lines_of(contact))]
        if len(own) > 1 and set(own) <= set(missing):
            whole.add(line)
            text = f"nothing closes any contact of {line}: it reaches no switch that leads to a line on the other side"
            yield Told(text, judged.place_of_line(line), cases=len(own))
    left = [contact for contact in missing if not whole & set(judged.lines_of(contact))]
    if left:
        names = named([judged.board.machine.contact_name(contact) for contact in left], TOLD_APART)
        keys = [key.name for key in judged.board.machine.keys if key.contact in left]
        typed = f" ({named(keys, TOLD_APART)})" if keys else ""
        yield Told(f"nothing closes {names}{typed}", judged.place_of_line(judged.lines_of(left[0])[0]), cases=len(left))


def _worked_by(judged: Judged, route: Route) -> tuple[object, ...]:
    """What works a route; routes with the same value close together."""
    board = judged.board
    if route.channel is None or route.ref is None:
        drives, reads = route.drives, route.reads
        return "pins", drives.pin if drives else None, reads.pin if reads else None
    if route.channel.control is not None:
        return "control", board.groups.of(Pin(route.ref, route.channel.control)), route.channel.low
    store = board.adapter.parts[route.ref].part.store
    if isinstance(store, Addressed):
        return "bit", board.groups.of(Pin(route.ref, store.strobe)), route.channel.bit
    return "always", route.ref, route.channel


def _together(judged: Judged) -> Iterator[Told]:
    groups: dict[tuple[object, ...], list[Route]] = {}
    told = excused(judged)
    for route in judged.traced.routes:
        if not told & set(judged.lines_of(route.contact)):
            groups.setdefault(_worked_by(judged, route), []).append(route)
    for routes in groups.values():
        contacts = sorted({route.contact for route in routes})
        if len(contacts) > 1:
            names = in_a_row([judged.board.machine.contact_name(contact) for contact in contacts])
            ref = routes[0].ref
            where = (
                judged.place_of(Pin(ref, routes[0].channel.control or routes[0].channel.a))
                if ref and routes[0].channel
                else None
            )
            yield Told(f"{names} close together: one control works them", where, cases=len(contacts))


def _twice(judged: Judged) -> Iterator[Told]:
    told = excused(judged)
    twice: dict[tuple[str, ...], list[Contact]] = {}
    for contact, routes in judged.traced.by_contact.items():
        if len({_worked_by(judged, route) for route in routes}) > 1 and not told & set(judged.lines_of(contact)):
            by = tuple(dict.fromkeys(_closer(judged, route) for route in routes))
            twice.setdefault(by if len(routes) > 2 else (), []).append(contact)
    contacts = [contact for found in twice.values() for contact in found]
    if not contacts:
        return
    common = set.intersection(*(set(judged.lines_of(contact)) for contact in contacts))
    line = next(iter(sorted(common)), judged.lines_of(contacts[0])[0])
    first = judged.traced.by_contact[contacts[0]]
    by_two = in_a_row([_closer(judged, route) for route in first[:2]])
    names = named([judged.board.machine.contact_name(contact) for contact in sorted(contacts)], TOLD_APART)
    yield Told(
        f"{names} {'is' if len(contacts) == 1 else 'are each'} closed by two switches (the first by {by_two}); one opens while the "
        "other is still closed",
        judged.place_of_line(line),
        cases=len(contacts),
    )


def _closer(judged: Judged, route: Route) -> str:
    if route.ends is not None:
        return f"{judged.board.shown(route.ends[0])}/{judged.board.shown(route.ends[1])}"
    assert route.drives is not None
    return judged.board.shown(route.drives.pin) if route.drives.pin is not None else "?"


def _odd_switch(judged: Judged) -> Iterator[Told]:
    told = excused(judged)
    for odd in judged.traced.switches[1]:
        if judged.board.adapter.parts[odd.ref].part.store is None and not told & set(odd.lines):
            ends = in_a_row([judged.board.shown(Pin(odd.ref, end)) for end in (odd.channel.a, odd.channel.b)])
            text = f"the switch between {ends} joins {in_a_row(odd.lines)}, where the machine has no contact"
            yield Told(text, judged.place_of(Pin(odd.ref, odd.channel.a)))


def _own_keyboard(judged: Judged) -> Iterator[Told]:
    board = judged.board
    at = {own: board.connector.pins[pin - 1] for pin, own in board.pairs}
    told = excused(judged)
    for use in board.adapter.headers(Mates.OWN_KEYBOARD):
        wrong = []
        for number in use.part.pins:
            line = at.get(int(number))
            group = board.groups.of(Pin(use.ref, number))
            if line in board.contact_lines and line not in told and line not in board.lines.get(group, ()):
                wrong.append(f"{number} ({line})")
        if wrong:
            text = (
                f"pins {named(wrong, TOLD_APART)} of {use.ref} are not on the lines that the machine's own keyboard "
                "has there"
            )
            yield Told(text, use.place, cases=len(wrong))


def _controllers(judged: Judged) -> Iterator[Told]:
    board, contacts = judged.board, judged.traced.by_contact
    machine = board.machine
    for controller in machine.controllers:
        lost = []
        for switch in controller.switches:
            if switch.select is None:
                line = machine.sense[switch.sense]
                if not any(True for _ in judged.traced.grounds(line)):
                    lost.append(f"{switch.function} ({line})")
            else:
                contact = Contact(switch.select * len(machine.sense) + switch.sense)
                if contact not in contacts:
                    lost.append(f"{switch.function} ({machine.contact_name(contact)})")
        if lost:
            how = "pull a sense line by itself" if controller.wired is Wiring.GROUND else "close these contacts"
            text = f"the adapter cannot replace {controller.name}: no part of it can {how} ({named(lost, TOLD_APART)})"
            yield Told(text, cases=len(lost))


MISPLACED = BoardRule(
    slug="header-misplaced",
    severity=Severity.ERROR,
    purpose="A header is wired for another way of putting it on.",
    explanation=(
        "Nets with the names of lines lead to other lines. All would be right if the header were turned round, put "
        "on from the other side of the board, or its pins counted from another one. On the real board everything "
        "would be at the wrong pin, including supply and ground."
    ),
    bad="quillon8/late: {through: ribbon-2x11, metres: 0.2}",
    good="quillon8/late: {through: ribbon-2x11, mount: other-side, metres: 0.2}",
    function=_misplaced,
)
"""The rule that is reported alone: everything else would follow from it."""

RULES: tuple[BoardRule, ...] = (
    BoardRule(
        slug="lines-exchanged",
        severity=Severity.ERROR,
        purpose="Two or more lines are exchanged.",
        explanation=(
            "A net with the name of a line leads to another line, or a select and a sense line are on each other's "
            "side of an array. For two lines of one kind the finding is a warning: the tables are made from the "
            "nets, so only C that was written for the other wiring goes wrong. For a select and a sense line it is "
            "an error, because no switch then joins the right two lines."
        ),
        bad="S0: [J1.20, U2.X0]\nN0: [J1.19, U2.Y0]",
        good="S0: [J1.19, U2.X0]\nN0: [J1.20, U2.Y0]",
        function=_exchanged,
    ),
    BoardRule(
        slug="lines-joined",
        severity=Severity.ERROR,
        purpose="Two lines of the machine are joined.",
        explanation=(
            "Two lines reach the same pin. A key that is pressed on one line is read on both, on the machine's own "
            "keyboard too."
        ),
        bad="S1: [J1.17, J1.15, U2.X1]",
        good="S1: [J1.17, U2.X1]",
        function=_joined,
    ),
    BoardRule(
        slug="line-on-supply",
        severity=Severity.ERROR,
        purpose="A line of the machine is joined to ground or to a supply.",
        explanation=(
            "A line on ground reads as if all its keys were pressed. A line on a supply cannot be pulled low, and "
            "the part that pulls it may be damaged."
        ),
        bad="GND: [J1.1, J1.12, J1.22, J1.19, J2.GND, J3.1, U1.8, U1.22, U2.VSS, Q1.S, R3.1, R4.1, R5.1, C1.1, C2.1]",
        good="GND: [J1.1, J1.12, J1.22, J2.GND, J3.1, U1.8, U1.22, U2.VSS, Q1.S, R3.1, R4.1, R5.1, C1.1, C2.1]",
        function=_fed,
    ),
    BoardRule(
        slug="line-reaches-nothing",
        severity=Severity.ERROR,
        purpose="A line of the machine leads to nothing that closes a contact.",
        explanation=(
            "From the machine's pin the line was followed through connectors, nets, jumpers and resistors. There "
            "is no switch, buffer or processor on it, so none of its keys can be pressed."
        ),
        bad="S3: [J1.13]",
        good="S3: [J1.13, U2.X3]",
        function=_silent,
    ),
    BoardRule(
        slug="contact-not-closed",
        severity=Severity.ERROR,
        purpose="Nothing closes a contact.",
        explanation=(
            "Both lines of the contact lead somewhere, but there is no switch between them, and no pin of the "
            "processor follows one on the other. Its key cannot be pressed."
        ),
        bad="GND: [J1.1, J1.12, J1.22, J2.GND, J3.1, U1.8, U1.22, U2.VSS, R3.1, R4.1, R5.1, C1.1, C2.1]",
        good="GND: [J1.1, J1.12, J1.22, J2.GND, J3.1, U1.8, U1.22, U2.VSS, Q1.S, R3.1, R4.1, R5.1, C1.1, C2.1]",
        function=_not_closed,
    ),
    BoardRule(
        slug="contacts-close-together",
        severity=Severity.ERROR,
        purpose="One control works several contacts.",
        explanation="Two switches have one control, so the keys of both contacts are always pressed together.",
        bad="K0: [U10.QA, U20.C1, U20.C2, R10.2]\nK1: [U10.QB, R10.3]",
        good="K0: [U10.QA, U20.C1, R10.2]\nK1: [U10.QB, U20.C2, R10.3]",
        function=_together,
    ),
    BoardRule(
        slug="contact-closed-twice",
        severity=Severity.WARNING,
        purpose="Two switches close one contact.",
        explanation=(
            "The tables use one of the two. A line that reaches two ports of an array was most often meant for one "
            "of them only."
        ),
        bad="S0: [J1.19, U2.X0, U2.X1]",
        good="S0: [J1.19, U2.X0]",
        function=_twice,
    ),
    BoardRule(
        slug="switch-joins-no-contact",
        severity=Severity.ERROR,
        purpose="A switch joins two lines between which the machine has no contact.",
        explanation=(
            "Two joined select lines are strobed together; two joined sense lines are read together. The switch "
            "types nothing, and other keys are misread while it is closed."
        ),
        bad="N7: [J1.4, J4.4, U20.A1,",
        good="S0: [J1.19, J4.19, U20.A1,",
        function=_odd_switch,
    ),
    BoardRule(
        slug="own-keyboard-differs",
        severity=Severity.ERROR,
        purpose="The header for the machine's own keyboard is wired differently from the machine's connector.",
        explanation=(
            "The own keyboard is connected in parallel, in the way that the adapter is put on the machine: through "
            "the same kind of cable, on the same side. So each pin of its header must be on the same line as the "
            "pin with that number on the header with mates: keys."
        ),
        bad="S0: [J1.19, J4.20,\nN0: [J1.20, J4.19,",
        good="S0: [J1.19, J4.19,\nN0: [J1.20, J4.20,",
        function=_own_keyboard,
    ),
    BoardRule(
        slug="controller-not-reached",
        severity=Severity.NOTE,
        purpose="The adapter cannot do what a controller of the machine does.",
        explanation=(
            "Some controllers pull a sense line whatever is strobed. That needs a part that pulls the line by "
            "itself; a switch between two lines cannot do it. This matters only if the adapter should also replace "
            "the controller."
        ),
        bad="oar: {wired: ground, Pull: N5, Back: N3, Ring: N7}",
        good="tiller: {wired: contact, Whistle: S7/N2,",
        function=_controllers,
    ),
)
"""The rules about lines and contacts; within one severity a report follows their order."""
