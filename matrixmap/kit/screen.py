"""What a person sees on the machine's screen for one press, from start to release.

Characters appear, and a key that stays down repeats where the machine's file says that keys repeat. Modifiers alone show nothing, and
neither does a key that types nothing, or what the file says is not visible. Where the file leaves open what is seen, there
is a screen for each way.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from matrixmap.model.layout import Contacts
from matrixmap.model.machine import Machine
from matrixmap.press.turns import in_the_end
from matrixmap.simulate.scan import FINDS, Finds, KeyRead, Reader

NOTHING = "nothing"
AND_SO_ON = "…"
"""Stands behind what goes on appearing after all keys were let go."""


class Screen:
    """The screen of one machine; an answer is the text that appears, NOTHING if none does.

    `finds` is what the machine does with more keys than its rollover, `at_times` whether what shows at times shows.
    """

    def __init__(self, machine: Machine, how: Contacts, finds: Finds | None = None, at_times: bool = True) -> None:
        self.machine = machine
        self._reader = Reader(machine, how, finds)
        self._unseen = frozenset((*machine.unseen, *(() if at_times else machine.seen_at_times)))
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
        typed = self._shown(one for reads in read[start:] for one in reads)
        held = self._reader.held(images[-1])
        repeating = self._repeating([one for reads in read for one in reads], held)
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
                return shown_legend(legend.text) if legend and legend.text not in self._unseen else None
        return None

    def _shown(self, reads: Iterable[KeyRead]) -> list[str]:
        ended = in_the_end(reads, lambda read: (read.types, read.waits, read.completes))
        typed = (read.types.text for read in ended if read.types is not None)
        return [shown_legend(text) for text in typed if text not in self._unseen]


def screens_of(machine: Machine, how: Contacts) -> tuple[Screen, ...]:
    """A screen for each way of seeing that the machine's file leaves open, the likeliest first."""
    return tuple(
        Screen(machine, how, FINDS[more_keys], at_times)
        for more_keys in machine.scan.with_more_keys
        for at_times in ((True, False) if machine.seen_at_times else (True,))
    )


def shown_legend(text: str) -> str:
    """A legend as answers write it: a character as itself, a blank and a function by its name in angle brackets."""
    if text == " ":
        return "<Space>"
    return text if len(text) == 1 else f"<{text}>"
