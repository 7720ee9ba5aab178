"""The pads of a machine: their places, the switches of controllers that they close, and what their buttons press."""

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
"""The most pads at the same time, as in `MM_PAD_PLACES`."""

PADS_KEYBOARD: Final = MOST_KEYBOARDS - 1
"""The keyboard with the buttons that press a stroke as its keys."""

PADS_KEYBOARD_IS_TAKEN: Final = (
    f"keyboard {PADS_KEYBOARD} belongs to the buttons of pads, because the layout has buttons that press a stroke"
)


class PadDesk:
    """The connected pads, each in its place, and what they do in a layout.

    A pad keeps its place until it is disconnected. A new one takes the lowest free place; with none free it is ignored.
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
        """Changes the layout: the switches of the old one open, those of the new one close by what is on now."""
        pads: Pads | None = plan.layout.pads
        self.given.clear()
        self.driven = driven_controllers(pads, plan.layout.machine) if pads else ()
        self.usages = tuple(stroke_usages(pads)) if pads else ()
        self.limits = pads.limits if pads else USUAL
        self.swaps = plan.layout.swaps
        self.hand_out()

    def connect(self, pad: Hashable) -> None:
        """A pad is connected."""
        if pad not in self.places and None in self.places:
            self.places[self.places.index(None)] = pad
            self.on[pad] = 0

    def disconnect(self, pad: Hashable) -> None:
        """A pad is disconnected: everything that it held is released at once."""
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
        """The sources of a pad that are on, bit n for source n; a pad without a place is ignored."""
        if pad in self.on:
            self.on[pad] = on
        self.hand_out()

    def swap(self) -> None:
        """The first two places change sides."""
        self.swapped = not self.swapped
        self.hand_out()

    def hand_out(self) -> None:
        """Passes on the switches of each controller that changed, and the buttons that press a stroke."""
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
        """The controller of the layout's order that the pad in a place drives, or the place for a controller."""
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
        """Swaps once for each command of that name since the last check."""
        notes = self.player.notes
        new = notes[self._heard :] if self._heard <= len(notes) else notes
        self._heard = len(notes)
        if sum(note.kind is Kind.COMMAND and note.number in self.swaps for note in new) % 2:
            self.swapped = not self.swapped
            self._give_switches()
            self.hear_commands()  # commands that came in between


class RecordedPads:
    """The pads among the devices of a recording; each is connected from its first report on."""

    def __init__(self, desk: PadDesk, device: Callable[[int], Keyboard]) -> None:
        self.desk = desk
        self.device = device
        self.decoders: dict[int, tuple[PadDecoder, ...]] = {}

    def take(self, event: Event) -> None:
        """Takes an event of a device, which may not be a pad."""
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
