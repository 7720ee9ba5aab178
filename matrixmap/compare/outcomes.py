"""What the typist gets from each press of a plan."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import Enum
from functools import cached_property
from itertools import chain, combinations

from matrixmap.hid.usages import CAPS_LOCK, KEYPAD_DIGITS, NUM_LOCK, Usage
from matrixmap.join.typed import EXTRA_USAGES, ease, fed_state, held_usages, state_during
from matrixmap.model.layout import HostModifier
from matrixmap.model.legend import Legend
from matrixmap.model.machine import PLAIN, ShiftState
from matrixmap.model.plan import Action, Command, Feed, Latch, Nothing, PairKey, Plan, Stroke, Trigger, Way
from matrixmap.model.words import stroke_name

Extras = frozenset[HostModifier]


class Does(Enum):
    """The kinds of outcome."""

    NOTHING = "nothing"
    TYPES = "types"
    PRESSES = "presses"
    MODIFIER = "modifier"
    LATCH = "latch"
    LOCK = "lock"
    COMMAND = "command"
    DEAD_KEY = "dead key"


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a press does: its kind, and the character, function, stroke, modifier, latch, lock, number or accent."""

    does: Does
    text: str = ""

    def __bool__(self) -> bool:
        return self.does is not Does.NOTHING


NOTHING = Outcome(Does.NOTHING)
LOCK_NAMES = {CAPS_LOCK: "Caps Lock", NUM_LOCK: "Num Lock"}


class Outcomes:
    """The outcomes of one plan's presses, each worked out once."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self._keys = {key.contact: (key, key.selectors) for key in plan.layout.machine.keys}
        self._fed: dict[tuple[int, Extras], ShiftState] = {}
        self._known: dict[Trigger, Outcome] = {}
        # Most presses share their stroke with others.
        self._done: dict[tuple[int, ShiftState], Outcome] = {}

    def of(self, press: Trigger) -> Outcome:
        """What a press does."""
        found = self._known.get(press)
        if found is None:
            found = self._known[press] = self._outcome(press)
        return found

    def _outcome(self, press: Trigger) -> Outcome:
        plan = self.plan
        action = plan.by_trigger.get(press)
        if press.extras and action is None:
            press_alone = Trigger(usage=press.usage, level=press.level)
            action = plan.by_trigger.get(press_alone)
            accent = plan.dead_keys.triggers.get(press_alone)
        else:
            accent = plan.dead_keys.triggers.get(press)
        if accent is not None:
            return Outcome(Does.DEAD_KEY, accent)
        if action is None:
            kept = {CAPS_LOCK: plan.caps_lock, NUM_LOCK: plan.num_lock}.get(press.usage, False)
            return Outcome(Does.LOCK, LOCK_NAMES[press.usage]) if kept else NOTHING
        return self._of_action(action, press)

    def _of_action(self, action: Action, press: Trigger) -> Outcome:
        fed = self._fed_by(press)
        done = (id(action), fed)
        if done not in self._done:
            self._done[done] = self._work_out(action, fed)
        return self._done[done]

    def _work_out(self, action: Action, fed: ShiftState) -> Outcome:
        match action:
            case Stroke():
                legend = self._typed(action, fed)
                if legend is not None:
                    return Outcome(Does.TYPES, legend.text)
                return Outcome(Does.PRESSES, stroke_name(self.plan.layout.machine, action))
            case Feed():
                return Outcome(Does.MODIFIER, action.modifier)
            case Latch():
                return Outcome(Does.LATCH, action.key)
            case Command():
                return Outcome(Does.COMMAND, str(action.number))
            case Nothing():
                return NOTHING

    def _typed(self, stroke: Stroke, fed: ShiftState) -> Legend | None:
        """What a stroke types while the typist feeds some modifiers; None for several keys or an unknown state."""
        if len(stroke.contacts) != 1 or stroke.contacts[0] not in self._keys:
            return None
        key, selectors = self._keys[stroke.contacts[0]]
        if not selectors:
            return key.types.get(PLAIN)
        return key.types.get(state_during(self.plan.layout.machine, stroke, fed) & selectors)

    def _fed_by(self, press: Trigger) -> ShiftState:
        """The machine modifiers that the typist feeds during a press."""
        kind = (0 if press.usage in KEYPAD_DIGITS else press.level, press.extras)
        if kind not in self._fed:
            self._fed[kind] = fed_state(self.plan, held_usages(press))
        return self._fed[kind]

    def presses(self) -> Iterator[Trigger]:
        """Every press that can do something: those of the strokes as `matrixmap.join.typed` has them, and the others."""
        plan = self.plan
        feeding = [extra for extra, usage in EXTRA_USAGES.items() if fed_state(plan, (usage,))]
        named = {binding.trigger.extras for binding in plan.bindings}
        subsets = chain.from_iterable(combinations(feeding, count) for count in range(len(feeding) + 1))
        every: set[Extras] = {frozenset(), *map(frozenset, subsets), *named}
        cells = {(binding.trigger.usage, binding.trigger.level) for binding in plan.bindings}
        cells |= {(trigger.usage, trigger.level) for trigger in plan.dead_keys.triggers}
        cells |= {(usage, 1) for usage in LOCK_NAMES}
        for usage, level in cells:
            for extras in every:
                yield Trigger(usage=usage, level=level, extras=extras)

    @cached_property
    def telling(self) -> frozenset[Trigger]:
        """The presses worth telling: those that do something else than with one modifier fewer."""
        return frozenset(press for press in self.presses() if self.is_telling(press))

    def is_telling(self, press: Trigger) -> bool:
        """Whether a press does something else than the same with any one modifier fewer."""
        outcome = self.of(press)
        simpler = False
        for other in with_one_fewer(press):
            simpler = True
            if self.of(other) == outcome:
                return False
        return simpler or bool(outcome)

    def ways(self) -> Mapping[str, tuple[Way, ...]]:
        """Character or function -> the ways to type it, the easiest first: single presses, then after a dead key."""
        found: dict[str, list[Way]] = {}
        for press in sorted(self.telling, key=ease):
            outcome = self.of(press)
            if outcome.does is Does.TYPES:
                found.setdefault(outcome.text, []).append((press,))
        dead = {accent: press for press, accent in sorted(self.plan.dead_keys.triggers.items(), key=_easiest_last)}
        for (accent, usage, level), outcome in sorted(self.pairs().items()):
            if outcome.does is Does.TYPES:
                way = dead[accent], Trigger(usage=usage, level=level)
                found.setdefault(outcome.text, []).append(way)
        return {text: tuple(ways) for text, ways in found.items()}

    def pairs(self) -> Mapping[PairKey, Outcome]:
        """What each pair of a dead key and the next key types."""
        return {
            pair: self._of_action(stroke, Trigger(usage=pair[1], level=pair[2]))
            for pair, stroke in self.plan.dead_keys.pairs.items()
        }

    def alone(self) -> Mapping[str, Outcome]:
        """What the accent of each dead key types by itself."""
        plain = Trigger(usage=Usage(0), level=1)
        return {accent: self._of_action(stroke, plain) for accent, stroke in self.plan.dead_keys.accents.items()}


def with_one_fewer(press: Trigger) -> Iterator[Trigger]:
    """The presses with one modifier less: without AltGr, without Shift, without each further one."""
    if press.usage not in KEYPAD_DIGITS:
        if press.level > 2:
            yield Trigger(usage=press.usage, level=press.level - 2, extras=press.extras)
        if press.level in (2, 4):
            yield Trigger(usage=press.usage, level=press.level - 1, extras=press.extras)
    for extra in sorted(press.extras, key=lambda extra: extra.value):
        yield Trigger(usage=press.usage, level=press.level, extras=press.extras - {extra})


def _easiest_last(cell: tuple[Trigger, str]) -> tuple[int, ...]:
    return -cell[0].level, -cell[0].usage
