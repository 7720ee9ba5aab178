"""Rules about a layout on an adapter's board: how contacts close, the own keyboard beside it, the driver's time."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from matrixmap.board.closers import ClosersError, pulled_lines, pulls_gated
from matrixmap.board.routes import Traced
from matrixmap.check.engine.record import Report
from matrixmap.check.own_keyboard import Clash, beside_own_keyboard
from matrixmap.circuit.driver import most_changes
from matrixmap.circuit.timing import TICK_US, timing_of
from matrixmap.model.boards.adapter import Adapter, Mates
from matrixmap.model.finding import Finding, Severity
from matrixmap.model.layout import Contacts
from matrixmap.model.machine import Contact, Machine, Switch, Wiring
from matrixmap.model.plan import Plan, Timing
from matrixmap.model.rule import Rule
from matrixmap.model.witness import Witness
from matrixmap.model.words import in_a_row, key_name
from matrixmap.press.table.format import LONGEST_TICKS
from matrixmap.source.report import named

TOLD_APART = 4
"""The most own keys that a finding lists with what each makes the machine read; the rest are counted."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OnBoard:
    """A plan, with the times that the board needs, on the traced board of an adapter."""

    plan: Plan
    traced: Traced

    @property
    def adapter(self) -> Adapter:
        """The adapter."""
        return self.traced.board.adapter

    @property
    def machine(self) -> Machine:
        """The machine of the plan."""
        return self.plan.layout.machine


@dataclass(frozen=True, slots=True, kw_only=True)
class OnBoardRule(Rule):
    """A rule about a plan on a board: its record and the function that finds its cases."""

    function: Callable[[OnBoard], Iterable[Report]]

    def findings(self, on_board: OnBoard) -> Iterator[Finding]:
        """The findings of this rule."""
        for report in self.function(on_board):
            yield Finding(
                slug=self.slug,
                severity=min(self.severity, report.at_most),
                place=report.place or on_board.plan.layout.place,
                text=report.text,
                count=report.cases,
                witness=report.witness,
            )


def find_on_board(plan: Plan, traced: Traced) -> tuple[Finding, ...]:
    """All findings of these rules about a plan that has the times of the board."""
    on_board = OnBoard(plan=plan, traced=traced)
    return tuple(finding for rule in ON_BOARD_RULES for finding in rule.findings(on_board))


def _contacts(on_board: OnBoard) -> Iterator[Report]:
    says, closes = on_board.plan.contacts.value, on_board.traced.how
    if says != closes:
        yield Report(
            f"the layout says contacts: {says}, but {on_board.adapter.id} closes them as {closes}; build writes "
            "nothing for the two"
        )


def can_read_back(traced: Traced) -> bool:
    """Whether the processor can read every sense line, so that the guard could learn of keys that others hold."""
    return all(any(True for _ in traced.readers(line)) for line in traced.board.machine.sense)


def own_key_words(machine: Machine, clashes: Iterable[Clash]) -> str:
    """Own keys, each with what is read in addition: `helm (comma), escape (bracket-right) and 3 more`."""
    told = [
        f"{clash.key.name} ({named([key_name(machine, at) for at in sorted(clash.extra)], TOLD_APART - 1)})"
        for clash in clashes
    ]
    return named(told, TOLD_APART)


def _own_keyboard(on_board: OnBoard) -> Iterator[Report]:
    machine, adapter = on_board.machine, on_board.adapter
    header = next(adapter.headers(Mates.OWN_KEYBOARD), None)
    if header is None:
        return
    found = beside_own_keyboard(on_board.plan, Contacts(on_board.traced.how))
    if not found.clashes:
        return
    worst = found.suffering[0]
    own = [clash for clash in found.clashes if clash.stroke == worst]
    closed = tuple(sorted((*worst, own[0].key.contact)))
    guard = (
        "the board can read the sense lines back, so firmware can hold such a stroke back"
        if can_read_back(on_board.traced)
        else "the board cannot read the sense lines back, so the guard cannot know about such a key"
    )
    yield Report(
        f"the machine's own keyboard stays connected at {header.ref}: with one key of it held, {len(found.suffering)} "
        f"of {found.strokes} strokes make a phantom with some key, {len(found.clashes)} of {found.pairs} pairs; the "
        f"stroke with the most is {_pressed(machine, worst)}, with {own_key_words(machine, own)}; {guard}",
        cases=len(found.clashes),
        witness=Witness(closed=closed, phantoms=tuple(sorted(own[0].extra)), made=False),
    )


def _pressed(machine: Machine, stroke: Iterable[Contact]) -> str:
    return in_a_row([key_name(machine, contact) for contact in sorted(stroke)])


def _longest(timing: Timing) -> int:
    return max(timing.close_ticks, timing.open_ticks, timing.lead_ticks)


def _driver(on_board: OnBoard) -> Iterator[Report]:
    plan, adapter, machine = on_board.plan, on_board.adapter, on_board.machine
    changes = most_changes(plan)
    together = f"up to {changes} contacts change together"
    if adapter.driver is None:
        yield Report(
            f"{together}, but {adapter.id} does not say how long its driver takes for them, so the times of the table "
            f"allow for one tick of {TICK_US} microseconds only; measure the driver, and write it under driver",
            place=adapter.place,
            at_most=Severity.WARNING,
        )
        return
    spread = adapter.driver.spread(changes)
    without, timing = timing_of(machine.scan, len(machine.select)), plan.timing
    if _longest(timing) > LONGEST_TICKS:
        enough = max(spread - (_longest(timing) - LONGEST_TICKS) * TICK_US, 0.0)
        cure = (
            f"a driver within {_us(enough)} would be fast enough"
            if _longest(without) <= LONGEST_TICKS
            else "no driver would be"
        )
        text = f"{together}, over {_us(spread)} microseconds of {adapter.id}'s driver: the times need {_longest(timing)} ticks"
        yield Report(f"{text}, but a table has room for {LONGEST_TICKS}; {cure}", place=adapter.place)
        return
    yield Report(
        f"{together}, over {_us(spread)} microseconds of {adapter.id}'s driver; the table needs {_times(timing)}, but "
        f"one that was built without --adapter has {_times(without)}",
        place=adapter.place,
        at_most=Severity.NOTE,
    )


def _us(microseconds: float) -> str:
    return f"{microseconds:.1f}".removesuffix(".0")


def _times(timing: Timing) -> str:
    ms = [f"{ticks * TICK_US / 1000:g}" for ticks in (timing.close_ticks, timing.open_ticks, timing.lead_ticks)]
    return f"{ms[0]} ms closed, {ms[1]} open and {ms[2]} of lead"


def _follows(on_board: OnBoard) -> Iterator[Report]:
    adapter = on_board.adapter
    if on_board.traced.how != Contacts.FOLLOWS_SELECT.value:
        return
    time = on_board.machine.scan.strobe_to_read_us
    taken = adapter.driver.follow_us if adapter.driver is not None else None
    if taken is None:
        yield Report(
            f"contacts of {adapter.id} follow the select lines, but the file does not say how soon after a change of "
            "these the sense lines are right; measure the routine in the header of the board, and write follow_us "
            "under driver",
            place=adapter.place,
            at_most=Severity.WARNING,
        )
    elif time is None:
        yield Report(
            f"the sense lines of {adapter.id} are right {_us(taken)} microseconds after a strobe, but the machine "
            "file does not say how soon they are read; measure the machine, and write strobe_to_read_us",
            place=on_board.machine.place,
            at_most=Severity.WARNING,
        )
    elif time < taken:
        yield Report(
            f"the machine reads {time:g} microseconds after a strobe, but the sense lines of {adapter.id} are right "
            f"only after {_us(taken)}, at either edge: keys are lost, and keys of one row are read in the next",
            place=adapter.place,
        )
    else:
        yield Report(
            f"the machine reads {time:g} microseconds after a strobe, and the sense lines of {adapter.id} are right after {_us(taken)}; "
            "other interrupts add to that",
            place=adapter.place,
            at_most=Severity.NOTE,
        )


def _pulls(on_board: OnBoard) -> Iterator[Report]:
    plan, machine, traced = on_board.plan, on_board.machine, on_board.traced
    driven, pads = plan.driven, plan.layout.pads
    if driven is None:
        return
    try:
        pulled = pulled_lines(traced)
    except ClosersError:
        return  # build says why there is no driver at all
    lost: list[str] = []
    count = 0
    grounded = False
    for controller in machine.controllers:
        if controller.wired is Wiring.CONTACT or not driven.drives(controller.name):
            continue
        if controller.wired is Wiring.GATED and pulls_gated(traced):
            continue
        open_ = [
            f"{switch.function} ({_lines_of(machine, switch)})"
            for switch in controller.switches
            if controller.wired is Wiring.GATED or switch.sense not in pulled
        ]
        if open_:
            lost.append(f"{controller.name}: {', '.join(open_)}")
            count += len(open_)
            grounded = grounded or controller.wired is Wiring.GROUND
    if not lost:
        return
    needed = (
        "a part that joins the line to ground by itself, such as a transistor with a pin of its own"
        if grounded
        else "contacts with a diode, or pins that follow the select lines"
    )
    yield Report(
        f"{on_board.adapter.id} cannot pull what pads should pull: {'; '.join(lost)}. These switches stay open, and the guard keeps keys "
        f"open for them all the same. Add {needed}; or leave the controller out of order",
        place=pads.place if pads is not None else None,
        cases=count,
    )


def _lines_of(machine: Machine, switch: Switch) -> str:
    """The line or lines of a controller's switch, as the machine's file names them."""
    sense = machine.sense[switch.sense]
    return sense if switch.select is None else f"{machine.select[switch.select]}/{sense}"


PULLS_NOT_DRIVEN = OnBoardRule(
    slug="pulls-not-driven",
    severity=Severity.WARNING,
    purpose="Pads should pull a sense line, but the board cannot pull it.",
    explanation="A switch of a controller that is wired to `ground` pulls its sense line low whatever is strobed. The driver does that by "
    "a switch from the line to ground, or by a pin of the processor on the line. One that is `gated` pulls only while its select line "
    "is strobed: a contact with a diode does the same, and so does a pin that follows the select lines. A plain switch "
    "cannot do this, because it lets current back. Where the board has no such part, the driver leaves the switch open.",
    bad="pads: {order: [oar], Pull: Button 1}",
    good="pads: {order: [tiller], Whistle: Button 1}",
    function=_pulls,
)

ON_BOARD_RULES: tuple[OnBoardRule, ...] = (
    OnBoardRule(
        slug="contacts-unlike-board",
        severity=Severity.ERROR,
        purpose="A layout says another way of closing contacts than the board has.",
        explanation=(
            "The guard of the runtime, and everything that the check says about phantoms, depend on the layout's "
            "`contacts`. The board was traced: its contacts are plain switches, switches with a diode, or pins "
            "that follow the select lines. `check --adapter` compares the two."
        ),
        bad="contacts: follows-select",
        good="contacts: switch",
        function=_contacts,
    ),
    OnBoardRule(
        slug="own-keyboard-makes-phantom",
        severity=Severity.WARNING,
        purpose="A stroke and a key of the machine's own keyboard make a phantom together.",
        explanation=(
            "A header of the adapter has `mates: own-keyboard`, so the machine's own keyboard stays connected "
            "beside the adapter. The guard of the runtime cannot see its keys. Every stroke was tried with every "
            "own key: the contacts of the adapter close as the board closes them, own keys with or without the "
            "machine's `diodes`. Disconnect the own keyboard, or do not use both at once."
        ),
        bad="J4: {part: plug-2x11, mates: own-keyboard, key_pin: 11}",
        good="J1: {part: socket-2x11, mates: keys, key_pin: 11}",
        function=_own_keyboard,
    ),
    OnBoardRule(
        slug="driver-takes-time",
        severity=Severity.ERROR,
        purpose="The driver of the board takes time, and the times of the table must allow for it.",
        explanation=(
            "The runtime counts time between the moments at which it asks for contacts, but the driver changes "
            "them later: soon if few change, later if many do. All times in a table must allow for this spread, so "
            "`build --adapter` and `check --adapter` lengthen them by it. The adapter's `driver` states the "
            "spread, as measured on its processor. The finding is a note if the spread is stated, and a warning if "
            "it is not. It is an error if the times then no longer fit into a table."
        ),
        bad="spread_us: [2000000]",
        good="spread_us: [13.5, 37.5, 48, 57.5, 68.5, 78, 88.5, 98, 112.5, 122.5, 132.5, 142.5]",
        function=_driver,
    ),
    OnBoardRule(
        slug="board-follows-too-slowly",
        severity=Severity.ERROR,
        purpose="The board answers a strobe later than the machine reads.",
        explanation=(
            "If contacts follow the select lines, an interrupt must pull the sense lines after each strobe, before "
            "the machine reads, and release them in time after the strobe. The adapter's `driver` states how long "
            "that takes at most, as measured on its processor; the machine's `strobe_to_read_us` states how much "
            "time there is. The finding is a note if the time is enough, and a warning if one of the two is not "
            "stated."
        ),
        bad="follow_us: 40",
        good="follow_us: 4.3",
        function=_follows,
    ),
    PULLS_NOT_DRIVEN,
)
"""The rules about a plan on a board, in the order of a report within one severity."""
