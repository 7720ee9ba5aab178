"""Which of several presses stay closed, worked out without a record of each event, if each press is one stroke.

Thousands of conflicts are carried out. If only strokes and keys that feed modifiers are pressed, an event changes only
which strokes are closed and what the typist holds. `Rules.judge` and `Rules.refusal` decide what then opens or is
refused, as for every other press. If anything else is pressed, such as a latch, a lock or a dead key, there is no
answer here, and the events are played one by one.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from matrixmap.hid.usages import ALT_LEFT, ALT_RIGHT, CAPS_LOCK, KEYPAD_DIGITS, NUM_LOCK, Usage
from matrixmap.model.plan import Plan
from matrixmap.model.press import KeyPress, Way
from matrixmap.press.compiled import LEVEL_KEYS
from matrixmap.press.every import SIDES
from matrixmap.press.rules import STROKES, Cause, Held, Rules


class Left(NamedTuple):
    """What presses lead to: the strokes that stay closed, the newest first, and the modifier keys that are closed.

    `refused` are the numbers of the presses with strokes that are never closed. `opened` are the keys with strokes that
    open when another key is pressed. Both give the reason. What opens when a key is released is not reported; the
    events do not report it either.
    """

    strokes: tuple[Held, ...]
    modifiers: int
    refused: tuple[tuple[int, Cause], ...]
    opened: tuple[tuple[Usage, Cause], ...]


class Finger(NamedTuple):
    """A press: its stroke, and the modifier keys that are fed after each key that is held for it alone, in order."""

    stroke: Held
    fed: tuple[int, ...]


class Desk:
    """The closed strokes, the newest first, and what the typist feeds; it follows `Rules` without making its records.

    `opened` are the keys with strokes that were opened, each with the reason. `places` is as in `Standing`.
    """

    def __init__(self, rules: Rules) -> None:
        self.rules = rules
        self.strokes: tuple[Held, ...] = ()
        self.places: tuple[Held, ...] = ()
        self.typist = 0
        self.opened: list[tuple[Usage, Cause]] = []

    def feed(self, fed: tuple[int, ...]) -> None:
        """The modifier keys that the typist holds change, one after the other."""
        for now in fed:
            if now != self.typist:
                self.typist = now
                self._keep()

    def close(self, stroke: Held) -> Cause | None:
        """Closes a stroke, or returns the reason for refusing it."""
        cause = self.rules.refusal(stroke, stroke.wants(self.typist))
        if cause is None:
            self.strokes = (stroke, *self.strokes)
            if self.rules.compiled.resumes:
                self.places = (stroke, *self.places)
            self._keep()
        return cause

    def _keep(self) -> None:
        """Opens what breaks a rule and, if keys come back, closes what fits again."""
        strokes = self.strokes
        if not strokes and not self.places:
            return
        causes = self.rules.judge(strokes, self.typist)
        if any(causes):
            self.opened += [(stroke.usage, cause) for stroke, cause in zip(strokes, causes, strict=True) if cause]
            self.strokes = tuple([stroke for stroke, cause in zip(strokes, causes, strict=True) if not cause])
            if self.places:
                alone = strokes[: strokes.index(self.strokes[0])] if self.strokes else strokes
                self.places = tuple([stroke for stroke in self.places if stroke not in alone])
        while len(self.places) > len(self.strokes):
            aside = (stroke for stroke in self.places if stroke not in self.strokes)
            fits = (stroke for stroke in aside if not any(self.rules.judge((stroke, *self.strokes), self.typist)))
            back = next(fits, None)
            if back is None:
                return
            self.strokes = (back, *self.strokes)
            self.places = (back, *(stroke for stroke in self.places if stroke != back))


NO_STROKE = Finger(Held(Usage(0), (), 0, 0, 0), ())
"""A press that does nothing, or something else than a stroke, while keys are held."""


class Fingers:
    """Presses of one plan by one set of rules."""

    def __init__(self, plan: Plan, rules: Rules) -> None:
        self.plan = plan
        self.rules = rules
        self._fingers: dict[tuple[Usage, int, tuple[Usage, ...], tuple[Usage, ...]], Finger | None] = {}
        self._held: dict[tuple[Usage, ...], tuple[int, ...] | None] = {}
        self._modifiers = rules.compiled.mask_of((1 << len(rules.compiled.modifier_keys)) - 1)

    def press(self, held: tuple[Usage, ...], presses: tuple[Way, ...], first: int) -> Left | None:
        """What presses lead to; `first` of them come before the keys that are held throughout.

        None if the events must be played.
        """
        held_fed = self.fed(held)
        fingers = [self.finger(way, () if number < first else held) for number, way in enumerate(presses)]
        if held_fed is None or None in fingers or NO_STROKE in fingers:
            return None
        desk = Desk(self.rules)
        refused: list[tuple[int, Cause]] = []
        base = 0
        # A single press keeps what is held for it until the end, unless the keys held throughout come after it.
        alone = len(presses) == 1 and not first
        for number, (stroke, fed) in enumerate(filter(None, fingers)):
            if number == first:
                base = held_fed[-1] if held_fed else 0
                desk.feed(held_fed)
            more = tuple([base | each for each in fed]) if base else fed
            desk.feed(more)
            cause = desk.close(stroke)
            if cause is not None:
                refused.append((number, cause))
            if not alone and more:
                told = len(desk.opened)
                desk.feed((*more[-2::-1], base))
                del desk.opened[told:]
        if first == len(presses):
            desk.feed(held_fed)
        strokes, typist = desk.strokes, desk.typist
        modifiers = strokes[0].wants(typist) if strokes else typist
        opened: dict[Usage, Cause] = {}
        for usage, why in desk.opened:
            opened.setdefault(usage, why)  # one that came back may open again
        return Left(strokes, modifiers, tuple(refused), tuple(opened.items()))

    def finger(self, way: Way, held: tuple[Usage, ...]) -> Finger | None:
        """A way pressed while keys are held throughout; None if it presses more than a stroke and modifier feeds."""
        press = way[0]
        if len(way) > 1:
            return None
        cell = (press.usage, press.level, press.hold, held)
        if cell not in self._fingers:
            self._fingers[cell] = self._finger(press, held)
        return self._fingers[cell]

    def fed(self, held: tuple[Usage, ...]) -> tuple[int, ...] | None:
        """The modifier keys that are fed after each of some keys; None if one of them also does something else."""
        if held not in self._held:
            self._held[held] = self._fed(held)
        return self._held[held]

    def _finger(self, press: KeyPress, held: tuple[Usage, ...]) -> Finger | None:
        compiled, usage = self.rules.compiled, press.usage
        # Keys that choose the level of later presses, or that work a lock, change more than what is closed.
        if usage in LEVEL_KEYS or usage in compiled.feeds or usage in (CAPS_LOCK, NUM_LOCK):
            return None
        if usage in KEYPAD_DIGITS and self.plan.num_lock:
            return None
        own = tuple([each for each in press.hold if not is_held(self.plan, each, held)])
        fed = self._fed(own)
        keys = compiled.keys(frozenset((*held, *own, usage)))
        entry = compiled.look_up(usage, compiled.level(usage, keys, False, True), keys.extras, 0)
        # A sequence's last stroke stays closed, but its other strokes come before.
        if fed is None or (entry is not None and entry.sequence):
            return None
        if entry is None or entry.kind not in STROKES:
            return NO_STROKE
        stroke = self.rules.stroke(usage, entry)
        # The runtime's tables have no stroke on a modifier key.
        return None if stroke.mask & self._modifiers else Finger(stroke, fed)

    def _fed(self, usages: tuple[Usage, ...]) -> tuple[int, ...] | None:
        compiled, fed, found = self.rules.compiled, 0, []
        for usage in usages:
            if usage in compiled.feeds:
                fed |= compiled.feeds[usage]
            elif usage in compiled.answers or usage in (CAPS_LOCK, NUM_LOCK):
                return None
            found.append(fed)
        return tuple(found)


class Together(NamedTuple):
    """Presses that are made together, each as it is before and while keys are held throughout; what these feed.

    None if a press gives another stroke than the wanted one.
    """

    before: tuple[Finger | None, ...]
    beside: tuple[Finger | None, ...]
    held_fed: tuple[int, ...]

    def orders(self, first: int, begun: tuple[int, ...] = ()) -> Iterator[tuple[tuple[int, ...], int]]:
        """The orders in which all strokes stay closed, ignoring guard and rollover; `first` come before the held keys.

        Each order comes with the modifier keys that are closed in the end. Orders are those of `permutations`, starting
        with those that begin with `begun`.

        Without guard and rollover, a stroke opens only if the newest stroke asks for other modifier keys or uses one of
        its contacts. Strokes that share no contact all stay closed if they ask for the same keys at every moment: what
        a press feeds comes and goes while it and those before it are down. So an order that begins badly is not
        continued.
        """
        place, held_fed = len(begun), self.held_fed
        down = [finger for each, number in enumerate(begun) if (finger := self._at(each, number, first))]
        strokes = [finger.stroke for finger in down]
        if place == first and held_fed and not _agree(strokes, held_fed):
            return
        base = held_fed[-1] if held_fed and place >= first else 0
        if place == len(self.before):
            fed = down[0].fed if place == 1 and not first else ()
            typist = base | fed[-1] if fed else base
            yield begun, strokes[-1].wants(typist) if strokes else typist
            return
        for number in range(len(self.before)):
            finger = None if number in begun else self._at(place, number, first)
            if finger:
                stroke, fed = finger
                if not place or _agree([*strokes, stroke], (*[base | each for each in fed], base)):
                    yield from self.orders(first, (*begun, number))

    def _at(self, place: int, number: int, first: int) -> Finger | None:
        return self.before[number] if place < first else self.beside[number]


def _agree(strokes: list[Held], typist: Iterable[int]) -> bool:
    """Whether strokes ask for the same modifier keys at each of some moments."""
    if len(strokes) > 1:
        _, _, _, first_rules, first_holds = strokes[0]
        for now in typist:
            wanted = now & ~first_rules | first_holds
            for _, _, _, rules, holds in strokes:
                if now & ~rules | holds != wanted:
                    return False
    return True


def is_held(plan: Plan, usage: Usage, down: tuple[Usage, ...]) -> bool:
    """Whether a modifier is already down by either of its two keys; a right Alt that is AltGr is not Alt."""
    if usage in (ALT_LEFT, ALT_RIGHT) and plan.layout.host.has_altgr:
        return usage in down
    return any(side in down for pair in SIDES if usage in pair for side in pair)
