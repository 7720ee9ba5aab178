"""What is printed on the host's keys, and whether the machine types it: key by key and level by level."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from matrixmap.check.engine.strokes import PlanStrokes
from matrixmap.hid.usages import KEYPAD_DIGITS, Usage
from matrixmap.join.symbolic import best_offers, find_offer
from matrixmap.model.host import HostKey
from matrixmap.model.plan import Action, Nothing, Plan, Stroke, Trigger
from matrixmap.model.sequences import sequences_of
from matrixmap.model.words import printed_keys, shown, stroke_name
from matrixmap.press.every import Done
from matrixmap.press.levels import Levels
from matrixmap.press.words import side_words


@dataclass(frozen=True, slots=True, kw_only=True)
class Differs:
    """A press that does not type its print, in words: press, print, and what it does, with the modifier's side."""

    press: str
    prints: str
    does: str

    @property
    def words(self) -> str:
        """All of it in one text: `Shift 2 prints ", types @`."""
        return f"{self.press} prints {self.prints}, {self.does}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Printed:
    """The characters printed on the keys of the host, once for each key and level that prints one.

    `right` are typed as printed. Of the others, the machine has those in `differs`: with some side of a modifier at
    least, they type something else. `lacking` are characters that it does not have.
    """

    right: int
    differs: tuple[Differs, ...]
    lacking: tuple[str, ...]


def what_is_printed(strokes: PlanStrokes) -> Printed:
    """What happens to each printed character; dead keys are left out."""
    plan = strokes.plan
    offers, in_turn = best_offers(plan.layout.machine), sequences_of(plan.layout.machine)
    levels = Levels(strokes.every)
    right = 0
    differs: dict[str, Differs] = {}
    lacking: dict[str, None] = {}
    for usage, key, level in _cells(plan, levels):
        legend = key.at(level)
        if legend is None or not key.is_printed(level) or legend.dead or not legend.is_character:
            continue
        offer = find_offer(offers, legend)
        if offer is None and legend.text not in in_turn:
            lacking[legend.text] = None
            continue
        trigger = Trigger(usage=usage, level=level)
        action = plan.lookup(trigger)
        if not isinstance(action, Stroke | Nothing):
            continue
        printed = offer[0].types[offer[1]].text if offer and legend.text not in in_turn else legend.text
        done: dict[str | None, list[str]] = {}
        for side, answer in side_words(plan.layout.host, levels.answers(trigger)):
            done.setdefault(_does_instead(plan, action, answer.done, printed), []).append(side)
        if all(does is None for does in done):
            right += 1
        for does, sides in done.items():
            if does:
                named = f" with {' or '.join(sides)}" if len(done) > 1 else ""
                found = Differs(
                    press=printed_keys(plan.layout.host, trigger), prints=shown(legend.text), does=f"{does}{named}"
                )
                differs[found.words] = found
    return Printed(right=right, differs=tuple(differs.values()), lacking=tuple(lacking))


def _cells(plan: Plan, levels: Levels) -> Iterator[tuple[Usage, HostKey, int]]:
    """The keys of the host with each of their levels; two usages that are one key count once."""
    for usage, key in plan.layout.host.keys.items():
        if levels.is_key(usage):
            count = 2 if usage in KEYPAD_DIGITS else plan.layout.host.levels
            for level in range(1, min(count, len(key.legends)) + 1):
                yield usage, key, level


def _does_instead(plan: Plan, action: Action, done: Done | None, printed: str) -> str | None:
    """What a press does that should type something; None if it does type it."""
    if done is not None and done.text == printed:
        return None
    if isinstance(action, Stroke) and len(action.contacts) > 1:
        return f"presses {stroke_name(plan.layout.machine, action)}"
    return f"types {shown(done.text) if done and done.text else 'nothing'}"
