"""What a person sees on the machine's screen for one press, from start to release.

Characters appear, and a key that stays down repeats where the machine's file says that keys repeat. Modifiers alone show nothing, and
neither does a key that types nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from matrixmap.model.layout import Contacts
from matrixmap.model.machine import Machine
from matrixmap.press.turns import in_the_end
from matrixmap.simulate.scan import KeyRead, Reader

NOTHING = "nothing"
AND_SO_ON = "…"
"""Stands behind what goes on appearing after all keys were let go."""


class Screen:
    """The screen of one machine; an answer is the text that appears, NOTHING if none does."""

    def __init__(self, machine: Machine, how: Contacts) -> None:
        self.machine = machine
        self._reader = Reader(machine, how)
        self._contacts = {key.name: key.contact for key in machine.keys}
        self._modifiers = {
            machine.key(name).contact: modifier.name for modifier in machine.modifiers for name in modifier.keys
        }
        self._seen: dict[tuple[tuple[int, ...], int], str] = {}
        self._repeats = machine.scan.repeat_every_ms is not None

    def appears(self, images: Sequence[int], start: int = 1) -> str:
        """What appears while the machine reads some images in turn, from the one numbered `start` on; the last one stays."""
        key = (tuple(images), start)
        found = self._seen.get(key)
        if found is None:
            found = self._seen[key] = self._look(images, start)
        return found

    def _look(self, images: Sequence[int], start: int) -> str:
        read = self._reader.read_images(images)
        typed = _shown(one for reads in read[start:] for one in reads)
        repeating = self._repeating([one for reads in read for one in reads], images[-1])
        if repeating is None:
            return "".join(typed) or NOTHING
        # The character that goes on is not told apart from the first of its kind before it.
        while typed and typed[-1] == repeating:
            typed.pop()
        return "".join([*typed, repeating, AND_SO_ON])

    def _repeating(self, reads: list[KeyRead], image: int) -> str | None:
        """What the newest key that is still down types again and again."""
        state = frozenset(name for contact, name in self._modifiers.items() if image >> contact & 1)
        for read in reversed(reads) if self._repeats else ():
            contact = self._contacts.get(read.key)
            if contact is not None and image >> contact & 1:
                key = self.machine.key(read.key)
                legend = key.types.get(state & key.selectors)
                return shown_legend(legend.text) if legend else None
        return None


def shown_legend(text: str) -> str:
    """A legend as answers write it: a character as itself, a blank and a function by its name in angle brackets."""
    if text == " ":
        return "<Space>"
    return text if len(text) == 1 else f"<{text}>"


def _shown(reads: Iterable[KeyRead]) -> list[str]:
    ended = in_the_end(reads, lambda read: (read.types, read.waits, read.completes))
    return [shown_legend(read.types.text) for read in ended if read.types is not None]
