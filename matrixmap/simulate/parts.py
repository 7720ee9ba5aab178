"""The parts of the model: rules with their times, presses in their places, and switches that pads close.

A switch that closes stays closed for its poll time (`mm_runtime.h`, OUTPUT 9). All share one poll time: a switch that
closes while it runs stays closed until the end of the next one.
"""

from __future__ import annotations

from dataclasses import dataclass

from matrixmap.hid.usages import Usage
from matrixmap.model.plan import Plan
from matrixmap.press.pads import NONE, padded_by
from matrixmap.press.rules import Asks, Held, Rules
from matrixmap.press.table.format import MOST_CONTROLLERS, Wired
from matrixmap.simulate.engine import NO_PADS, ByPads, up_to_the_last


class Timed(Rules):
    """The rules of a plan with its times in ticks: how long a stroke stays closed and open, and the modifiers' lead."""

    def __init__(self, plan: Plan) -> None:
        super().__init__(plan)
        # A time of 0 counts as one tick: two changes never fall together.
        self.close = max(plan.timing.close_ticks, 1)
        self.open = max(plan.timing.open_ticks, 1)
        self.lead = max(plan.timing.lead_ticks, 1)
        self.poll = max(self.compiled.poll, 1)


@dataclass(slots=True)
class Press:
    """A press, from the moment its key is pressed until its place is free again.

    `level` and `extras` are those of its moment, `typist` holds the modifier keys that the typist held then. `asks` is
    what it asks for, None until it begins. `strokes` are still to be played, each released before the next; the last
    may be held. `open_left` counts the ticks for which an opened stroke keeps its place; it is 0 while the stroke
    waits, leads or is closed. A stroke that stands aside (`aside`) was opened for a newer one, and keeps its place
    beyond that.
    """

    keyboard: int
    usage: Usage
    level: int
    extras: int
    typist: int
    released: bool = False
    asks: Asks | None = None
    strokes: tuple[Held, ...] = ()
    open_left: int = 0
    aside: bool = False

    @property
    def stroke(self) -> Held:
        """The stroke that leads or has a place."""
        return self.strokes[0]


def is_chord(stroke: Held) -> bool:
    """Whether a stroke closes several contacts, or none (modifiers alone)."""
    return len(stroke.contacts) != 1


class PadSwitches:
    """The switches of all controllers, one mask for each controller.

    `on` are those that pads hold down, `young` those that closed since the start of the running poll time, `old` those
    that stay closed until its end. `padded` is the effect of all closed switches; `poll_left` is in ticks, 0 if no poll
    time runs.
    """

    def __init__(self) -> None:
        self.on, self.young, self.old, self.shut = ([0] * MOST_CONTROLLERS for _ in range(4))
        self.poll_left = 0
        self.padded = NONE

    def give(self, rules: Timed, number: int, switches: int) -> None:
        """The switches that a pad holds down now, for the layout that judges input."""
        if number >= len(rules.compiled.controllers):
            return
        for pair in rules.compiled.controllers[number].opposites:
            if pair and switches & pair == pair:
                switches &= ~pair
            elif switches & pair:
                self.young[number] &= ~(pair & ~switches)
                self.old[number] &= ~(pair & ~switches)
        self.on[number] = switches
        self.young[number] |= switches & ~self.shut[number]

    def unplug(self, number: int) -> None:
        """The pad of a controller is gone."""
        if number < MOST_CONTROLLERS:
            self.on[number] = self.young[number] = self.old[number] = 0

    def pass_time(self, elapsed: int) -> None:
        """That many ticks have passed."""
        self.poll_left = max(self.poll_left - elapsed, 0)

    def follow(self, rules: Timed, due: bool) -> bool:
        """Opens and closes what is due in the layout in force; opens all if its change is due.

        True if anything moved.
        """
        if not rules.compiled.controllers:
            return False
        if not self.poll_left:
            self.old, self.young = self.young, [0] * MOST_CONTROLLERS
            self.poll_left = rules.poll if any(self.old) else 0
        before = self.shut
        held = zip(self.on, self.young, self.old, strict=True)
        self.shut = [0 if due else on | young | old for on, young, old in held]
        if self.shut == before:
            return False
        self.padded = padded_by(rules.compiled, self.shut)
        return True

    @property
    def any_shut(self) -> bool:
        """Whether any switch is closed."""
        return any(self.shut)

    def low(self, rules: Timed) -> tuple[int, int]:
        """The crosspoints that read closed by a pull, as a mask; and the sense lines that are low at every strobe."""
        always = 0
        for controller, switches in zip(rules.compiled.controllers, self.shut, strict=False):
            for number, (wired, value, _) in enumerate(controller.switches):
                always |= (wired is Wired.GROUND and switches >> number & 1) << value
        return self.padded.pulled, always

    def shown(self, rules: Timed, clashes: int) -> ByPads:
        """What pads do in the layout in force; without driven controllers, no switch is closed."""
        if not rules.compiled.controllers:
            return NO_PADS if not clashes else ByPads(clashes=clashes)
        driven = zip(rules.compiled.controllers, self.shut, strict=False)
        switches = up_to_the_last([shut & (1 << len(controller.switches)) - 1 for controller, shut in driven])
        return ByPads(switches, self.padded.joined, self.padded.pulled, clashes)

    def waits(self, rules: Timed) -> bool:
        """Whether any switch is on or closed, or a poll time runs."""
        on = bool(rules.compiled.controllers) and (any(self.on) or any(self.young))
        return on or any(self.shut) or self.poll_left > 0
