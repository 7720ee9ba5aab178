"""What stays closed when strokes come one after the other, with the runtime's guard on or off.

The rule: a stroke that breaks a rule with its own modifiers alone is refused, and nothing else changes. Else it stays,
and of those before it, from newer to older, each stays closed if with all kept so far it breaks no rule: the same keys
of modifiers closed, no contact twice, no more keys than the machine's rollover and, the guard being on, no phantom that
it has part in. What is opened stays open. Modifiers are never opened: a phantom that they make among themselves is read.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from matrixmap.check.subject import Item, Subject
from matrixmap.model.machine import Contact
from matrixmap.simulate.sheet import Sheet, contacts_of, mask_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Settled:
    """What stays closed: the strokes kept, newest first, those refused and opened, and all closed contacts."""

    kept: tuple[Item, ...]
    refused: tuple[Item, ...]
    opened: tuple[Item, ...]
    closed: tuple[Contact, ...]


def held_contacts(subject: Subject, fed: int) -> frozenset[Contact]:
    """The contacts that bits of modifier keys stand for."""
    return frozenset(contact for number, contact in enumerate(subject.modifier_keys) if fed >> number & 1)


class Guard:
    """What the runtime does with the strokes of one subject; what the plan answers is kept for the next time."""

    def __init__(self, subject: Subject) -> None:
        self.subject = subject
        self._sheet = Sheet(subject.plan)
        self._typists: dict[int, int] = {}
        self._refusals: dict[tuple[int, int], bool] = {}

    def refuses(self, item: Item, fed: int) -> bool:
        """Whether a stroke is not closed at all while the typist feeds modifiers."""
        # By identity: the plan keeps its strokes alive, and they are asked for thousands of times.
        cell = (id(item.stroke), fed)
        if cell not in self._refusals:
            asked = self._sheet.asked(item.stroke)
            self._refusals[cell] = self._sheet.breaks_alone(asked, asked.modifiers(self._typist(fed)))
        return self._refusals[cell]

    def settle(self, items: Iterable[Item], fed: int, on: bool, rollover: bool = True) -> Settled:
        """What stays closed of some strokes, pressed one after the other, while the typist feeds modifiers.

        The guard is `on` as far as the layout has it, or off; without `rollover` the machine is taken to tell all keys apart.
        """
        sheet, typist = self._sheet, self._typist(fed)
        kept: list[Item] = []
        refused: list[Item] = []
        opened: list[Item] = []
        modifiers, pressed = typist, 0
        for item in items:
            asked = sheet.asked(item.stroke)
            own = asked.modifiers(typist)
            if (rollover and sheet.rolls_over(asked.contacts)) or (on and sheet.clashes(asked, own)):
                refused.append(item)
                continue
            before, kept = kept, [item]
            modifiers, pressed = own, asked.contacts
            for older in before:
                asked = sheet.asked(older.stroke)
                if (
                    asked.modifiers(typist) != modifiers
                    or asked.contacts & pressed
                    or (rollover and sheet.rolls_over(pressed | asked.contacts))
                    or (on and sheet.clashes(asked, pressed | modifiers))
                ):
                    opened.append(older)
                else:
                    kept.append(older)
                    pressed |= asked.contacts
        return Settled(
            kept=tuple(kept),
            refused=tuple(refused),
            opened=tuple(opened),
            closed=tuple(sorted(contacts_of(pressed | modifiers))),
        )

    def _typist(self, fed: int) -> int:
        if fed not in self._typists:
            self._typists[fed] = mask_of(held_contacts(self.subject, fed))
        return self._typists[fed]
