"""Plays a script of events against a runtime, and finds what its keystrokes mean."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from matrixmap.hid.pads.sources import source_name
from matrixmap.hid.usages import Usage
from matrixmap.model.legend import Legend
from matrixmap.model.plan import Plan
from matrixmap.model.words import usage_name
from matrixmap.press.rules import Does, Held
from matrixmap.press.turns import NOTHING_BEGUN, Turns, in_the_end
from matrixmap.simulate.engine import Engine, Result, Shown, Sizes, contacts_of
from matrixmap.simulate.model import Model
from matrixmap.simulate.pads import PadDesk
from matrixmap.simulate.parts import Press
from matrixmap.simulate.player import Kind, Note, Player
from matrixmap.simulate.script import (
    BITMAP_BYTES,
    Bitmap,
    BootReport,
    Connect,
    Disconnect,
    Event,
    Jump,
    Keys,
    PadLink,
    PadMove,
    SwapPads,
    SwitchLayout,
    Wait,
)
from matrixmap.simulate.texts import finish, give_report


class Tracer:
    """Plays events one after the other; `numbers` maps the id of a layout to its number in the engine.

    `plans` are the layouts by these numbers, for the effects of pads; without them pads do nothing.
    """

    def __init__(self, player: Player, numbers: Mapping[str, int], plans: Sequence[Plan] = ()) -> None:
        self.player = player
        self.numbers = numbers
        self.plans = plans
        self.pads = PadDesk(player, plans[0]) if plans else None
        self.down: dict[int, set[Usage]] = {}

    def play(self, events: Iterable[Event]) -> None:
        """Plays all events, then the time that waiting presses still need."""
        for event in events:
            self._play(event)
        finish(self.player)

    def _play(self, event: Event) -> None:
        player = self.player
        match event.action:
            case Keys() as keys:
                self._move(keys)
            case BootReport(keyboard, data):
                self.down[keyboard] = {Usage(usage) for usage in data[2:8] if usage > 3}
                self.down[keyboard] |= {Usage(0xE0 + bit) for bit in range(8) if data[:1] and data[0] >> bit & 1}
                give_report(player, keyboard, data)
            case Bitmap(keyboard, data):
                self.down[keyboard] = {
                    Usage(usage) for usage in range(8 * BITMAP_BYTES) if data[usage >> 3] >> (usage & 7) & 1
                }
                player.give(f"bitmap {data.hex(' ')}{_on(keyboard)}", lambda engine: engine.usages(keyboard, data))
            case Wait(ticks):
                player.run(ticks)
            case Jump(ticks):
                player.jump(ticks)
            case SwitchLayout(layout):
                number = self.numbers[layout]
                player.give(f"layout {layout}", lambda engine: engine.change_layout(number))
                if self.pads is not None:
                    self.pads.change_layout(self.plans[number])
            case Connect(keyboard):
                player.notes.append(Note(player.time_us, Kind.INPUT, text=f"connect {keyboard}"))
                # A reconnected keyboard has lost the state of its LEDs.
                player.notes.append(Note(player.time_us, Kind.LEDS, number=player.last.leds))
            case Disconnect(keyboard):
                self.down[keyboard] = set()
                player.give(f"disconnect {keyboard}", lambda engine: engine.disconnected(keyboard))
            case PadMove() | PadLink() | SwapPads() as step if self.pads is not None:
                self._play_pad(self.pads, step)
        if self.pads is not None:
            self.pads.hear_commands()

    def _play_pad(self, pads: PadDesk, step: PadMove | PadLink | SwapPads) -> None:
        """Plays one step of pads; a pad is connected from its first step on."""
        match step:
            case PadMove(pad, sources, on):
                pads.connect(pad)
                names = ", ".join(map(source_name, sources))
                self._note(f"pad {pad} {'press' if on else 'release'} {names}")
                mask = sum(1 << source for source in set(sources))
                before = pads.on.get(pad, 0)
                pads.show(pad, before | mask if on else before & ~mask)
            case PadLink(pad, there):
                self._note(f"pad {pad} {'connect' if there else 'disconnect'}")
                (pads.connect if there else pads.disconnect)(pad)
            case SwapPads():
                self._note("swap pads")
                pads.swap()

    def _note(self, text: str) -> None:
        self.player.notes.append(Note(self.player.time_us, Kind.INPUT, text=text))

    def _move(self, keys: Keys) -> None:
        """Passes on the whole set of keys that are down after some moved."""
        down = self.down.setdefault(keys.keyboard, set())
        words = []
        for change in keys.changes:
            (down.add if change.down else down.discard)(change.usage)
            words.append(f"{'down' if change.down else 'up'} {usage_name(change.usage)}")
        bitmap = bytearray(BITMAP_BYTES)
        for usage in down:
            bitmap[usage >> 3] |= 1 << (usage & 7)
        data = bytes(bitmap)
        self.player.give(", ".join(words) + _on(keys.keyboard), lambda engine: engine.usages(keys.keyboard, data))


def _on(keyboard: int) -> str:
    return f" on {keyboard}" if keyboard else ""


MOST_PRESSES = 10_000_000
"""More presses than any script has."""


class Listener:
    """An engine that also passes every input to a model. The model never plays, so its line keeps every press."""

    def __init__(self, engine: Engine, plans: Sequence[Plan], keyboards: int) -> None:
        self.engine = engine
        self.heard = Model(plans, Sizes(keyboards=keyboards, waiting=MOST_PRESSES))
        self.machine = machine = plans[0].layout.machine
        self._key_at = {key.contact: key for key in machine.keys}
        self._modifier_at = {machine.key(name).contact: one.name for one in machine.modifiers for name in one.keys}
        self._latches = 0
        self._accent = 0
        self._meant: list[str] = []
        self._turns = Turns(machine)
        self._turn = NOTHING_BEGUN

    def boot_report(self, keyboard: int, report: bytes) -> Result:
        """Takes a boot report."""
        self.heard.boot_report(keyboard, report)
        return self.engine.boot_report(keyboard, report)

    def usages(self, keyboard: int, down: bytes) -> Result:
        """Takes the set of usages that are down."""
        self.heard.usages(keyboard, down)
        return self.engine.usages(keyboard, down)

    def disconnected(self, keyboard: int) -> None:
        """The link to a keyboard is lost."""
        self.heard.disconnected(keyboard)
        self.engine.disconnected(keyboard)

    def change_layout(self, number: int) -> None:
        """Requests another layout; latches and a pending dead key end with the one before."""
        self._understand()
        self._latches, self._accent = 0, 0
        self.heard.change_layout(number)
        self.engine.change_layout(number)

    def controller(self, number: int, switches: int) -> None:
        """A pad holds these switches of a controller down; this changes the meaning of no key."""
        self.engine.controller(number, switches)

    def unplugged(self, number: int) -> None:
        """The pad of a controller is gone."""
        self.engine.unplugged(number)

    def advance(self, now: int) -> int:
        """Acts on what is due."""
        return self.engine.advance(now)

    def take_command(self) -> int | None:
        """The command that is due; each is returned once."""
        return self.engine.take_command()

    def shown(self) -> Shown:
        """What is closed and lit, and the counters."""
        return self.engine.shown()

    def take_meant(self) -> list[str]:
        """What the keys struck since the last call type, each as if alone, with the modifiers of its moment.

        A dead key that still waits counts with the key that ends it.
        """
        self._understand()
        meant, self._meant = self._meant, []
        return meant

    def _understand(self) -> None:
        """Finds what the presses in the line mean in the layout that judged them, and removes them."""
        read = [typed for press in self.heard.line for typed in self._read(press)]
        self.heard.line.clear()
        typed = in_the_end(read, lambda one: (one[1], one[2], one[3]))
        self._meant += [legend.text if legend else name for name, legend, _, _ in typed]

    def _read(self, press: Press) -> Iterator[tuple[str, Legend | None, bool, int]]:
        """Each key that the strokes of a press close: those of a sequence and of a preceding accent, then its own."""
        asks = self.heard.judging.asks(press.usage, press.level, press.extras, self._accent)
        self._accent = asks.accent
        if asks.does is Does.LATCH:
            self._latches ^= asks.value
        for stroke in asks.strokes:
            yield from self._typed(stroke, press.typist | self._latches)

    def asked(self, press: Press) -> int:
        """The contacts of the stroke that a press in the line asks for if no dead key waits, as a mask."""
        asks = self.heard.judging.asks(press.usage, press.level, press.extras, 0)
        return asks.strokes[-1].mask if asks.does is Does.STROKE else 0

    def _typed(self, stroke: Held, typist: int) -> Iterator[tuple[str, Legend | None, bool, int]]:
        """Each key that a stroke closes while the typist holds modifiers: its name with them, what it types, and how.

        How: whether it waits for the next key, and how many keys before it belong to what it types.
        """
        held = contacts_of(self.heard.judging.compiled.mask_of(stroke.wants(typist)))
        state = frozenset(self._modifier_at[contact] for contact in held if contact in self._modifier_at)
        if not stroke.contacts and state in self._turns.alone:
            self._turn = self._turns.read(self._turn, None, state, None).turn
        for contact in sorted(contacts_of(stroke.mask)):
            key = self._key_at.get(contact)
            name = " + ".join([*sorted(state), key.name if key else self.machine.contact_name(contact)])
            legend = key.types.get(state & key.selectors) if key else None
            if key is None or not self._turns.any:
                yield name, legend, False, 0
                continue
            self._turn, legend, waits, completes = self._turns.read(self._turn, key.name, state, legend)
            yield name, legend, waits, completes
