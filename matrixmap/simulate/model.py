"""The reference model: the runtime's promises, written down for reading and not for a microcontroller.

One stroke at a time is *presented*: it is the newest one, and until its shortest closed time has ended the typist's
modifiers count as they were when its key went down. Strokes that contradict it are opened first. Modifiers change no
sooner than one lead after the last opening of a key, and the newest stroke closes no sooner than one lead after the
last opening of a key and the last change of modifiers, so that no sweep of the machine shows keys of before and of
after together.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from matrixmap.hid.usages import (
    BOOT_FIRST_KEY_BYTE,
    BOOT_KEYS,
    BOOT_MODIFIER_BYTE,
    BOOT_REPORT_BYTES,
    CAPS_LOCK,
    LED_CAPS_LOCK,
    LED_NUM_LOCK,
    MODIFIER_BITS,
    NUM_LOCK,
    STATUS_USAGES,
    Usage,
)
from matrixmap.model.plan import Command, Latch, Plan, Stroke
from matrixmap.simulate.engine import CLOCK_TICKS, NEVER, Result, Shown, Sizes
from matrixmap.simulate.sheet import Asked, Sheet, contacts_of

USAGES = 256
FIRST_KEY = max(STATUS_USAGES) + 1
MOST_COUNTED = 0xFFFF


@dataclass(slots=True)
class Press:
    """A press from its key's going down until its stroke is opened.

    `typist` are the modifier keys that the typist held at its moment; `latch` those that it toggles instead of
    closing contacts.
    """

    keyboard: int
    usage: Usage
    asked: Asked
    latch: int
    typist: int
    released: bool = False


@dataclass(slots=True)
class Rest:
    """Contacts that were opened, and the ticks for which they stay open."""

    contacts: int
    left: int


class Model:
    """One state. `plans` are the layouts to choose from, all of one machine; the first is used from the start."""

    def __init__(self, plans: Sequence[Plan], sizes: Sizes | None = None) -> None:
        self.sheets = tuple(Sheet(plan) for plan in plans)
        self.sizes = sizes or Sizes()
        self.start(0)

    def start(self, number: int) -> None:
        """Starts anew with a layout."""
        self.closing = self.judging = self.sheets[number]
        self.now = 0
        self.down: list[set[Usage]] = [set() for _ in range(self.sizes.keyboards)]
        self.live = 0
        self.typist = 0
        self.latches = 0
        self.modifiers = 0
        self.wanted = 0
        self.line: list[Press] = []
        self.ahead: int | None = None
        self.leading = False
        self.stale = False
        self.held: list[Press] = []
        self.rests: list[Rest] = []
        self.close_left = 0
        self.settle_left = 0
        self.caps = False
        self.num = True
        self.overflows = 0
        self.refusals = 0
        self.command: int | None = None

    # Input.

    def boot_report(self, keyboard: int, report: bytes) -> Result:
        """Takes a boot report (HID 1.11, appendix B.1); a status usage in any field keeps the keys (appendix C)."""
        if keyboard >= self.sizes.keyboards or len(report) < BOOT_REPORT_BYTES:
            return Result.MALFORMED
        fields = report[BOOT_FIRST_KEY_BYTE : BOOT_FIRST_KEY_BYTE + BOOT_KEYS]
        modifiers = {usage for usage, bit in MODIFIER_BITS.items() if report[BOOT_MODIFIER_BYTE] >> bit & 1}
        rolled = any(usage in STATUS_USAGES for usage in fields)
        if rolled:
            keys = {usage for usage in self.down[keyboard] if usage not in MODIFIER_BITS}
        else:
            keys = {Usage(usage) for usage in fields if usage >= FIRST_KEY}
        dropped = self._take(keyboard, keys | modifiers)
        return Result.ROLLED if rolled else Result.DROPPED if dropped else Result.TAKEN

    def usages(self, keyboard: int, down: bytes) -> Result:
        """Takes the set of usages that are down."""
        if keyboard >= self.sizes.keyboards:
            return Result.MALFORMED
        usages = {Usage(usage) for usage in range(FIRST_KEY, USAGES) if down[usage >> 3] >> (usage & 7) & 1}
        return Result.DROPPED if self._take(keyboard, usages) else Result.TAKEN

    def disconnected(self, keyboard: int) -> None:
        """All keys of the keyboard count as released; what waits is still played."""
        if keyboard < self.sizes.keyboards:
            self._take(keyboard, set())

    def _take(self, keyboard: int, usages: set[Usage]) -> bool:
        """One input set: releases, then modifiers, then presses. Whether a press was dropped."""
        before, self.down[keyboard] = self.down[keyboard], usages
        for usage in sorted(before - usages):
            self._release(keyboard, usage)
        self._follow_modifiers()
        dropped = [not self._press(keyboard, usage) for usage in sorted(usages - before)]
        self.stale = True
        return any(dropped)

    def _release(self, keyboard: int, usage: Usage) -> None:
        for press in [*self.line, *self.held]:
            if press.keyboard == keyboard and press.usage == usage:
                press.released = True
        self._open_released()

    def _follow_modifiers(self) -> None:
        self.live = 0
        for usages in self.down:
            for usage in usages:
                self.live |= self.judging.feeds.get(usage, 0)

    def _press(self, keyboard: int, usage: Usage) -> bool:
        """Whether there was room for what the press does."""
        sheet = self.judging
        if sheet.lock_of(usage):
            if usage == CAPS_LOCK:
                self.caps = not self.caps
            elif usage == NUM_LOCK:
                self.num = not self.num
            return True
        action = sheet.look_up(usage, self.down[keyboard], self.caps, self.num)
        match action:
            case Command():
                self.command = action.number
                return True
            case Latch():
                press = Press(keyboard, usage, Asked(0, 0, 0), 1 << action.contact, self._held_now())
            case Stroke():
                press = Press(keyboard, usage, sheet.asked(action), 0, self._held_now())
            case _:
                return True
        if len(self.line) >= self.sizes.waiting:
            self.overflows = min(self.overflows + 1, MOST_COUNTED)
            return False
        self.line.append(press)
        return True

    def _held_now(self) -> int:
        return self.live

    def change_layout(self, number: int) -> None:
        """Asks for a layout: it judges input from now on, and closes contacts after all earlier presses.

        Another change before that one takes its place; presses that waited for the layout between are dropped and
        counted.
        """
        self.judging = self.sheets[number]
        if self.ahead is None:
            self.ahead = len(self.line)
        dropped = len(self.line) - self.ahead
        self.overflows = min(self.overflows + dropped, MOST_COUNTED)
        del self.line[self.ahead :]
        self._follow_modifiers()
        self.stale = True

    # Time.

    def advance(self, now: int) -> int:
        """Acts on what is due; a step of half the clock's range or more counts as none."""
        elapsed = (now - self.now) % CLOCK_TICKS
        self.now = now
        if elapsed < CLOCK_TICKS // 2:
            self.close_left, closing = max(self.close_left - elapsed, 0), self.close_left
            self.settle_left = max(self.settle_left - elapsed, 0)
            for rest in self.rests:
                rest.left -= elapsed
            self.rests = [rest for rest in self.rests if rest.left > 0]
            if closing and not self.close_left:
                self._end_close_time()
        while self._act():
            pass
        return self._wait()

    def _end_close_time(self) -> None:
        """The newest may be opened. If the next press is there already, the typist's modifiers go on to be those of it."""
        self._open_released()
        self.stale = True

    def _act(self) -> bool:
        """Does one thing that is due. False if there is none."""
        if self.close_left:
            return self._change_modifiers()
        if self.ahead == 0:
            return self._use_layout()
        if self.line and not self.leading:
            self._begin(self.line[0])
            return True
        if self.stale:
            self._judge()
            return True
        if self._change_modifiers():
            return True
        if self.leading and self._may_close(self.line[0].asked.contacts):
            self._close()
            return True
        return False

    def _use_layout(self) -> bool:
        """Opens all contacts and latches, and lets the new layout close some once the open times are over."""
        for press in list(self.held):
            self._open(press)
        self.latches = self.wanted = 0
        if self.rests or self.modifiers:
            return self._change_modifiers()
        self.closing, self.ahead = self.judging, None
        self.stale = True
        return True

    def _begin(self, press: Press) -> None:
        """The first of the line becomes the newest stroke, toggles its latch, or is refused."""
        if press.latch:
            self.latches ^= press.latch
        elif self._clashes(press, press.typist | self.latches):
            # No older stroke is opened for it, and the next press of the line has its own modifiers.
            self.refusals = min(self.refusals + 1, MOST_COUNTED)
        else:
            self.leading = True
            self._judge()
            return
        self._leave_line()
        self.stale = True

    def _clashes(self, press: Press, typist: int) -> bool:
        """Whether a stroke makes a phantom with the modifiers alone that it would be closed with."""
        return self.closing.makes_phantom(press.asked.contacts | press.asked.modifiers(typist))

    def _leave_line(self) -> None:
        self.line.pop(0)
        self.leading = False
        if self.ahead is not None:
            self.ahead -= 1

    def _change_modifiers(self) -> bool:
        if self.modifiers == self.wanted or self.settle_left:
            return False
        self.modifiers = self.wanted
        self.settle_left = self.closing.timing.lead_ticks
        return True

    def _may_close(self, contacts: int) -> bool:
        if self.modifiers != self.wanted or self.settle_left or any(rest.contacts & contacts for rest in self.rests):
            return False
        if len(self.held) == self.sizes.held:
            self._open(self.held[0])
            return False
        if len(self.held) + len(self.rests) == self.sizes.held:
            return False
        return not self.closing.rolls_over(contacts | self._held_for_the_machine())

    def _held_for_the_machine(self) -> int:
        """The contacts that strokes close, and those opened that the machine may hold when the newest is first sure.

        A machine that tells few keys apart takes a key only when there is room, and it frees room only when a release
        is certain. The newest is still closed then, in the same sweep, if the rest of the open time and a lead are no
        longer than the closed time.
        """
        timing = self.closing.timing
        held = 0
        for press in self.held:
            held |= press.asked.contacts
        for rest in self.rests:
            if rest.left + timing.lead_ticks > timing.close_ticks:
                held |= rest.contacts
        return held

    def _close(self) -> None:
        self.held.append(self.line[0])
        self._leave_line()
        self.close_left = self.closing.timing.close_ticks
        if not self.close_left:
            self._end_close_time()

    def _open_released(self) -> None:
        """Opens what was let go, the newest not before its shortest closed time has ended."""
        for press in self._sure():
            if press.released:
                self._open(press)

    def _sure(self) -> list[Press]:
        """The strokes whose shortest closed time has ended."""
        return self.held[:-1] if self.close_left else list(self.held)

    def _open(self, press: Press) -> None:
        self.held.remove(press)
        timing = self.closing.timing
        self.settle_left = timing.lead_ticks
        if timing.open_ticks:
            self.rests.append(Rest(press.asked.contacts, timing.open_ticks))

    # What stays closed.

    def _judge(self) -> None:
        """Keeps of all strokes those that do not contradict newer ones, and finds the modifiers to be closed."""
        self.stale = False
        if self.leading or self.close_left:
            newest = self.line[0] if self.leading else self.held[-1]
            self.typist = newest.typist | self.latches
        else:
            self.typist = self.live | self.latches
            # A stroke that the typist's modifiers force open counts as released: the next newest rules.
            while self.held and self._clashes(self.held[-1], self.typist):
                self._open(self.held[-1])
            if not self.held:
                self.wanted = self.typist
                return
            newest = self.held[-1]
        self.wanted = newest.asked.modifiers(self.typist)
        kept = newest.asked.contacts
        for press in reversed(self.held):
            if press is newest:
                continue
            if self._contradicts(press.asked, kept):
                self._open(press)
            else:
                kept |= press.asked.contacts

    def _contradicts(self, asked: Asked, kept: int) -> bool:
        sheet = self.closing
        together = kept | asked.contacts
        return (
            asked.modifiers(self.typist) != self.wanted
            or bool(asked.contacts & kept)
            or sheet.makes_phantom(together | self.wanted)
            or sheet.rolls_over(together)
        )

    # What is shown.

    def _wait(self) -> int:
        """Ticks until the first of the times that run has ended."""
        running = (self.close_left, self.settle_left, *(rest.left for rest in self.rests))
        return min((left for left in running if left), default=NEVER)

    def take_command(self) -> int | None:
        """The command that is due, once."""
        command, self.command = self.command, None
        return command

    def closed(self) -> int:
        """The mask of all closed contacts."""
        closed = self.modifiers
        for press in self.held:
            closed |= press.asked.contacts
        return closed

    def leds(self) -> int:
        """The LED byte: the locks that the layout lets the runtime keep."""
        plan = self.judging.plan
        return (LED_NUM_LOCK if self.num and plan.num_lock else 0) | (
            LED_CAPS_LOCK if self.caps and plan.caps_lock else 0
        )

    def idle(self) -> bool:
        """Whether nothing is closed, latches aside, and nothing is to be done."""
        waits = self.held or self.line or self.rests or self.ahead is not None
        return not waits and not self.live and self.modifiers == self.latches

    def shown(self) -> Shown:
        """What is closed and lit, and the counters."""
        return Shown(contacts_of(self.closed()), self.leds(), self.overflows, self.refusals, self.idle())
