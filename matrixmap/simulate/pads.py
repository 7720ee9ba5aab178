"""The pads of a machine: which places they have, which switches of controllers they close, and what their buttons press."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from typing import Final

from matrixmap.hid.pads.decoder import PadDecoder
from matrixmap.hid.pads.sources import source_name
from matrixmap.hid.pads.steps import pads_of
from matrixmap.hid.pads.stick import USUAL
from matrixmap.hid.recording import Event, Keyboard
from matrixmap.hid.report import State
from matrixmap.join.pads import DrivenController, driven_controllers, stroke_usages
from matrixmap.model.layout import Pads
from matrixmap.model.plan import Plan
from matrixmap.simulate.player import Kind, Player
from matrixmap.simulate.script import BITMAP_BYTES, MOST_KEYBOARDS

PLACES: Final = 2
"""Pads at the same time, as `MM_PAD_PLACES` has it."""

PADS_KEYBOARD: Final = MOST_KEYBOARDS - 1
"""The keyboard whose keys are the buttons that press a stroke."""

PADS_KEYBOARD_IS_TAKEN: Final = (
    f"keyboard {PADS_KEYBOARD} belongs to the buttons of pads, because the layout has buttons that press a stroke"
)


class PadDesk:
    """The pads that are there, each in its place, and what they do by a layout.

    A pad keeps its place until it goes, and a new one takes the lowest that is free; with none free it is not heard.
    """

    def __init__(self, player: Player, plan: Plan) -> None:
        self.player = player
        self.places: list[Hashable | None] = [None] * PLACES
        self.on: dict[Hashable, int] = {}
        self.swapped = False
        self.given: dict[int, int] = {}
        self.driven: tuple[DrivenController, ...] = ()
        self._pressed = 0
        self._heard = 0
        self.change_layout(plan)

    def change_layout(self, plan: Plan) -> None:
        """Another layout: the switches of the old one open, and those of the new one close for what is on now."""
        pads: Pads | None = plan.layout.pads
        self.given.clear()
        self.driven = driven_controllers(pads, plan.layout.machine) if pads else ()
        self.usages = tuple(stroke_usages(pads)) if pads else ()
        self.limits = pads.limits if pads else USUAL
        self.swaps = plan.layout.swaps
        self.hand_out()

    def connect(self, pad: Hashable) -> None:
        """A pad is there."""
        if pad not in self.places and None in self.places:
            self.places[self.places.index(None)] = pad
            self.on[pad] = 0

    def disconnect(self, pad: Hashable) -> None:
        """A pad is gone: everything that it held is let go at once."""
        if pad in self.places:
            place = self.places.index(pad)
            which = self._which(place)
            self.places[place] = None
            del self.on[pad]
            if which < len(self.driven):
                number = self.driven[which].number
                self.given[number] = 0
                self.player.give("", lambda engine: engine.unplugged(number))
        self.hand_out()

    def show(self, pad: Hashable, on: int) -> None:
        """What is on at a pad, bit n for source n; a pad without a place is not heard."""
        if pad in self.on:
            self.on[pad] = on
        self.hand_out()

    def swap(self) -> None:
        """The first two places change sides."""
        self.swapped = not self.swapped
        self.hand_out()

    def hand_out(self) -> None:
        """Gives the runtime the switches of each controller that changed, and the buttons that press a stroke."""
        self._give_switches()
        pressed = 0
        for on in self.on.values():
            for source, usage in self.usages:
                pressed |= (on >> source & 1) << usage
        if pressed != self._pressed:
            self._pressed = pressed
            bitmap = pressed.to_bytes(BITMAP_BYTES, "little")
            names = [source_name(source) for source, usage in self.usages if pressed >> usage & 1]
            text = f"pads hold {', '.join(names) or 'no button of a stroke'}"
            self.player.give(text, lambda engine: engine.usages(PADS_KEYBOARD, bitmap))
        self.hear_commands()

    def _which(self, place: int) -> int:
        """Which controller of the layout's order the pad in a place drives, and the other way round."""
        return place ^ 1 if self.swapped and place < PLACES else place

    def _give_switches(self) -> None:
        for which, one in enumerate(self.driven):
            place = self._which(which)
            pad = self.places[place] if place < PLACES else None
            self._give(one.number, one.closed(self.on[pad]) if pad is not None else 0)

    def _give(self, number: int, mask: int) -> None:
        if mask != self.given.get(number):
            self.given[number] = mask
            self.player.give("", lambda engine: engine.controller(number, mask))

    def hear_commands(self) -> None:
        """Swaps for each command of that name that came since the last look."""
        notes = self.player.notes
        new = notes[self._heard :] if self._heard <= len(notes) else notes
        self._heard = len(notes)
        if sum(note.kind is Kind.COMMAND and note.number in self.swaps for note in new) % 2:
            self.swapped = not self.swapped
            self._give_switches()
            self.hear_commands()  # what came meanwhile


class RecordedPads:
    """The pads among the devices of a recording; each is there from its first report on."""

    def __init__(self, desk: PadDesk, device: Callable[[int], Keyboard]) -> None:
        self.desk = desk
        self.device = device
        self.decoders: dict[int, tuple[PadDecoder, ...]] = {}

    def take(self, event: Event) -> None:
        """An event of a device, which may be none of a pad."""
        number = event.keyboard
        if event.state is State.CONNECTED:
            for place in range(len(self.decoders.pop(number, ()))):
                self.desk.disconnect((number, place))
            return
        if not event.report:
            return
        if number not in self.decoders:
            descriptor = self.device(number).descriptor
            found = [pad for pad in pads_of(descriptor) if pad.fault is None]
            self.decoders[number] = tuple(PadDecoder(descriptor, pad, self.desk.limits) for pad in found)
        for place, decoder in enumerate(self.decoders[number]):
            decoder.take(event.report)
            self.desk.connect((number, place))
            self.desk.show((number, place), decoder.on)
