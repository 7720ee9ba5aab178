"""The reference model: the promises of the runtime, written to be read, not to run on a microcontroller.

One stroke at a time *leads*: it has left the line, its modifiers are presented, and it closes as soon as it may. A
stroke keeps its *place* from its closing until it has been open for its open time. While presses wait, or one leads or
is in its shortest closed time, the typist's modifiers are those of the moment when the key of the last leading press
was pressed. First, the strokes that contradict the newest one open. One lead time later the modifiers change, and one
more lead time later the newest stroke closes, so that no sweep of the machine shows old and new keys together. A dead
key waits for the next press that does something. If both are no pair, the accent alone takes a place in the line before
that press. Where keys come back, a stroke that was opened for a newer one *stands aside*: it keeps its place until it
fits again. A modifier that was only tapped is presented for a close time of its own if no press follows. For a machine
that compares whole scans, every change restarts the count: nothing changes during a close time, and the open times
start again after each change.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import reduce
from operator import or_

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
from matrixmap.model.plan import Plan
from matrixmap.press.compiled import Keys as KeysDown
from matrixmap.press.compiled import bits
from matrixmap.press.rules import Does, Held
from matrixmap.simulate.engine import CLOCK_TICKS, NEVER, ByPads, Result, Shown, Sizes, contacts_of
from matrixmap.simulate.parts import PadSwitches, Press, Timed, is_chord

FIRST_KEY, LAST_KEY = max(STATUS_USAGES) + 1, max(MODIFIER_BITS)
MODIFIERS = frozenset(MODIFIER_BITS)
COUNTER = 0x10000
"""Counters count modulo this."""

LONGEST_WAIT = 0x3FFF
"""A call is requested after at most this many ticks while a time runs."""


class Model:
    """One state. `plans` are the layouts to choose from, all of one machine; the first is used at the start."""

    def __init__(self, plans: Sequence[Plan], sizes: Sizes | None = None) -> None:
        self.layouts = tuple(Timed(plan) for plan in plans)
        self.sizes = sizes or Sizes()
        self._facts: tuple[int, int, int, int, bool, ByPads] | None = None
        self.start(0)

    def start(self, number: int) -> None:
        """Starts again with a layout."""
        self.closing = self.judging = self.layouts[number]
        self.now = 0
        self.down: list[set[Usage]] = [set() for _ in range(self.sizes.keyboards)]
        self.line: list[Press] = []
        # The presses of keys that are down, in the order in which they joined the line.
        self.pressed: dict[tuple[int, Usage], Press] = {}
        self.ahead: int | None = None
        self.places: list[Press] = []
        self.leading = False
        self.held = [0] * self.sizes.keyboards
        self.tapped = 0
        self.alone = False
        self.typist = 0
        self.latches = 0
        self.accent = 0
        self.modifiers = 0
        self.wanted = 0
        self.close_left = 0
        self.settle_left = 0
        self.caps = False
        self.num = True
        self.overflows = 0
        self.refusals = 0
        self.clashes = 0
        self.pads = PadSwitches()
        self.moved = False
        self.command: int | None = None
        self.handing_over = False

    # Input.

    def boot_report(self, keyboard: int, report: bytes) -> Result:
        """Takes a boot report (HID 1.11, appendix B.1); a status usage in any field keeps the keys (appendix C).

        A modifier's usage in a field counts as its bit of the modifier byte, and is handled in the same way.
        """
        if len(report) < BOOT_REPORT_BYTES:
            return Result.MALFORMED
        fields = report[BOOT_FIRST_KEY_BYTE : BOOT_FIRST_KEY_BYTE + BOOT_KEYS]
        modifiers = {usage for usage, bit in MODIFIER_BITS.items() if report[BOOT_MODIFIER_BYTE] >> bit & 1}
        usages = {*map(Usage, fields), *modifiers}
        return self._take(keyboard, usages, usages & MODIFIERS)

    def usages(self, keyboard: int, down: bytes) -> Result:
        """Takes the set of usages that are down."""
        usages = set(map(Usage, bits(int.from_bytes(down, "little"))))
        return self._take(keyboard, usages, usages & MODIFIERS)

    def disconnected(self, keyboard: int) -> None:
        """All keys of the keyboard count as released; waiting presses are still played."""
        self._take(keyboard, set(), set())

    def _take(self, keyboard: int, usages: set[Usage], modifiers: set[Usage]) -> Result:
        """One input set: releases, then modifiers, then presses."""
        if keyboard >= self.sizes.keyboards:
            return Result.MALFORMED
        before = self.down[keyboard]
        rolled = not usages.isdisjoint(STATUS_USAGES)
        keys = before - MODIFIERS if rolled else usages
        now = self.down[keyboard] = {usage for usage in keys | modifiers if FIRST_KEY <= usage <= LAST_KEY}
        for usage in before - now:
            self._release(keyboard, usage)
        held = self.held[keyboard]
        self._follow_modifiers()
        self.tapped |= self.held[keyboard] & ~held
        down = now if self.judging.compiled.apart else set().union(*self.down)
        keys_down = self.judging.compiled.keys(frozenset(down))
        dropped = [not self._press(keyboard, usage, keys_down) for usage in sorted(now - before)]
        return Result.DROPPED if any(dropped) else Result.ROLLED if rolled else Result.TAKEN

    def _release(self, keyboard: int, usage: Usage) -> None:
        # Only the newest press of a key can still be held: an older one was released before it.
        press = self.pressed.pop((keyboard, usage), None)
        if press is not None:
            press.released = True

    def _follow_modifiers(self) -> None:
        self.held = [self.judging.compiled.fed(frozenset(usages)) for usages in self.down]

    @property
    def live(self) -> int:
        """The modifier keys that the typist holds now, on any keyboard."""
        return reduce(or_, self.held)

    def _press(self, keyboard: int, usage: Usage, keys: KeysDown) -> bool:
        """Toggles a lock, or joins the line. False if the line was full."""
        table = self.judging.compiled
        if usage in table.feeds:
            return True
        if (usage == CAPS_LOCK and table.caps_lock) or (usage == NUM_LOCK and table.num_lock):
            self.caps ^= usage == CAPS_LOCK
            self.num ^= usage == NUM_LOCK
            return True
        if len(self.line) >= self.sizes.waiting:
            self._count_overflows(1)
            return False
        level = table.level(usage, keys, self.caps, self.num)
        press = Press(keyboard, usage, level, keys.extras, self.live)
        self._join_line(press)
        self.pressed[keyboard, usage] = press
        return True

    def _join_line(self, press: Press) -> None:
        self.line.append(press)
        self._forget_taps()

    def _forget_taps(self) -> None:
        self.tapped = 0
        if self.alone:
            self.alone, self.close_left = False, 0

    def room(self) -> int:
        """How many presses the line has room for."""
        return max(self.sizes.waiting - len(self.line), 0)

    def type(self, usage: Usage, modifiers: int) -> bool:
        """Presses and releases a key at once, with these modifier bits held for it alone; False if it cannot."""
        table = self.judging.compiled
        if not self.room() or not FIRST_KEY <= usage < min(MODIFIER_BITS) or usage in table.feeds:
            return False
        down = frozenset(key for key, bit in MODIFIER_BITS.items() if modifiers >> bit & 1)
        keys = table.keys(down)
        level = table.level(usage, keys, caps=False, num=True)
        self._join_line(Press(0, usage, level, keys.extras, table.fed(down), released=True))
        return True

    def _count_overflows(self, count: int) -> None:
        self.overflows = (self.overflows + count) % COUNTER

    def change_layout(self, number: int) -> None:
        """Requests a layout: it judges input from now on, and closes contacts after all earlier presses.

        Another change before that one replaces it; presses made for the layout in between are dropped and counted.
        """
        self.judging = self.layouts[number]
        if self.ahead is None:
            self.ahead = len(self.line)
        self._count_overflows(len(self.line) - self.ahead)
        del self.line[self.ahead :]
        self._follow_modifiers()
        self._forget_taps()

    def controller(self, number: int, switches: int) -> None:
        """A pad holds these switches of a controller down."""
        self.pads.give(self.judging, number, switches)

    def unplugged(self, number: int) -> None:
        """The pad of a controller is gone: its switches open at once."""
        self.pads.unplug(number)

    # Time.

    def advance(self, now: int) -> int:
        """Acts on what is due. A step of half the clock's range or more counts as no step.

        While a time runs, such a step leaves the clock unchanged. The clock stops at a command and then requests a call
        at once, so that the caller can act on the command first.
        """
        elapsed = (now - self.now) % CLOCK_TICKS
        if elapsed >= CLOCK_TICKS // 2:
            elapsed = 0
        if elapsed:
            self.close_left = max(self.close_left - elapsed, 0)
            self.settle_left = max(self.settle_left - elapsed, 0)
            self.pads.pass_time(elapsed)
            self._free_places(elapsed)
        if elapsed or not any(self._running()):
            self.now = now
        self.handing_over = False
        while self._act():
            if self.handing_over:
                return 0
        return min((min(left, LONGEST_WAIT) for left in self._running() if left), default=NEVER)

    def _running(self) -> tuple[int, ...]:
        """The close, lead and open times, in ticks; 0 if one does not run."""
        return self.close_left, self.settle_left, self.pads.poll_left, *(press.open_left for press in self.places)

    def _free_places(self, elapsed: int) -> None:
        kept = []
        for press in self.places:
            opened = bool(press.open_left) or press.aside
            press.open_left = max(press.open_left - elapsed, 0)
            comes_back = press.aside and not press.released and self.ahead != 0
            if not opened or press.open_left or comes_back:
                kept.append(press)
        self.places = kept

    @property
    def closed_strokes(self) -> list[Press]:
        """The strokes that are closed, oldest first."""
        return [press for press in self.places if not press.open_left and not press.aside]

    def _act(self) -> bool:
        """Does what is due. True if more may be due at once."""
        self._free_places(0)
        self.alone = self.alone and bool(self.close_left)
        resting = not self.leading and not self.close_left
        self.moved = self.pads.follow(self.closing, self.ahead == 0 and resting)
        if self.moved:
            self.settle_left = self.closing.lead if self.ahead == 0 and resting else self.settle_left
        elif self.ahead == 0:
            if self._end_layout(resting):
                return True
        elif self.line and resting and self._begin():
            return True
        if self._judge():
            return True
        quiet = not self.moved and not self.leading and not self.close_left and not self.line and self.ahead is None
        if quiet and self._come_back():
            return True
        counts = self.close_left and self.closing.compiled.whole and not self.moved
        if self.modifiers != self.wanted and not self.settle_left and not counts:
            self.modifiers = self.wanted
            self._changed()
        elif self.leading and self._may_close(self.line[0].stroke):
            self._close()
        if self.tapped and quiet and self.modifiers == self.wanted:
            self.tapped, self.alone, self.close_left = 0, True, self.closing.close
        return self._give_way()

    def _come_back(self) -> bool:
        """Makes the newest stroke that stands aside and fits the closed ones lead again. False if there is none."""
        closed = [press.stroke for press in reversed(self.closed_strokes)]
        for place in reversed(range(len(self.places))):
            press = self.places[place]
            if not press.aside or press.released or press.open_left:
                continue
            if not any(self.closing.judge([press.stroke, *closed], self._passed(), self.pads.padded)):
                del self.places[place]
                press.aside = False
                self.line.insert(0, press)
                self.leading = True
                return True
        return False

    def _end_layout(self, resting: bool) -> bool:
        """Opens what the old layout has closed. True once the new layout is in force."""
        if resting:
            for press in self.places:
                press.released = True
            self.latches = self.typist = 0
        if not resting or self.places or self.settle_left or self.modifiers:
            return False
        self.closing, self.ahead, self.latches, self.accent = self.judging, None, 0, 0
        return True

    def _begin(self) -> bool:
        """Starts the action of the oldest press. False if every place is taken."""
        press = self.line[0]
        if len(self.places) == self.sizes.held:
            oldest = self.places[0]
            oldest.released = True
            if oldest.aside:
                return not oldest.open_left
            if not oldest.open_left:
                self._open(oldest)
            return False
        if press.asks is None:
            press.asks = self.closing.asks(press.usage, press.level, press.extras, self.accent)
            press.strokes = press.asks.strokes
            self.accent = press.asks.accent
        does = press.asks.does
        if len(press.strokes) > (does is Does.STROKE):
            self._put_before(press)
        elif does is Does.LATCH:
            self.latches ^= press.asks.value
        elif does is Does.COMMAND:
            self.command = press.asks.value
            self.handing_over = True
        if self.line[0].strokes:
            self._lead()
        else:
            self._leave_line()
        return True

    def _put_before(self, press: Press) -> None:
        """Puts the first stroke of a press into the line as a press of its own, to be released at once."""
        alone = replace(press, strokes=press.strokes[:1], released=True)
        press.strokes = press.strokes[1:]
        self.line.insert(0, alone)
        self.ahead = None if self.ahead is None else self.ahead + 1

    def _lead(self) -> None:
        """The oldest press leads, or is refused. For a press that breaks a rule alone, no older stroke is opened."""
        press = self.line[0]
        self.typist = press.typist
        self.leading = True
        if self._is_refused(press):
            self._refuse(press)

    def _passed(self) -> int:
        """The modifier keys that are closed while no stroke rules."""
        return self.typist | self.latches | self.pads.padded.held

    def _is_refused(self, press: Press) -> bool:
        return bool(self.closing.refusal(press.stroke, press.stroke.wants(self._passed()), self.pads.padded))

    def _refuse(self, press: Press) -> None:
        """Does not close the leading press; if a pad is the reason, it may come back."""
        self._leave_line()
        if not self.pads.any_shut:
            self.refusals = (self.refusals + 1) % COUNTER
            return
        self.clashes = (self.clashes + 1) % COUNTER
        press.aside = self.closing.compiled.resumes and not press.released
        if press.aside:
            self.places.append(press)

    def _leave_line(self) -> None:
        self.line.pop(0)
        self.leading = False
        if self.ahead is not None:
            self.ahead -= 1

    def _may_close(self, stroke: Held) -> bool:
        """Whether the leading stroke may close: no recent change, and no opened stroke in its way."""
        if self.modifiers != self.wanted or self.settle_left:
            return False
        recent = [press.stroke for press in self.places if press.open_left]
        if any(one.mask & stroke.mask or is_chord(one) or is_chord(stroke) for one in recent):
            return False
        together = stroke.mask
        for press in self.places:
            if press.open_left or not press.aside:
                together |= press.stroke.mask
        rollover = self.closing.compiled.rollover
        return not recent or rollover is None or (together & self.closing.crosspoints).bit_count() <= rollover

    def _close(self) -> None:
        self.places.append(self.line[0])
        self._leave_line()
        self.close_left = self.closing.close
        self._begin_open_times()

    def _open(self, press: Press, clashes: bool = False) -> None:
        if clashes:
            self.clashes = (self.clashes + 1) % COUNTER
            self.close_left = 0 if self._in_close_time(press) else self.close_left
        press.open_left = self.closing.open
        self._changed()

    def _changed(self) -> None:
        """A stroke was opened, or modifiers changed."""
        self.settle_left = self.closing.lead
        self._begin_open_times()

    def _begin_open_times(self) -> None:
        """Restarts the running open times, if the machine restarts its count of equal scans."""
        if self.closing.compiled.whole:
            for press in self.places:
                if press.open_left:
                    press.open_left = self.closing.open

    # What stays closed.

    def _judge(self) -> bool:
        """Opens released and contradicting strokes, and finds the modifiers to close; or refuses the leading stroke."""
        if self.close_left and self.closing.compiled.whole and not self.moved:
            return False
        if self.leading and self._is_refused(self.line[0]):
            self._refuse(self.line[0])
            self._give_way()
            return True
        for press in self.closed_strokes:
            if press.released and not self._in_close_time(press):
                self._open(press)
        if self.ahead == 0 and not self.close_left:
            self.wanted = 0
            return False
        if not self.line and not self.close_left and not self.moved:
            self.typist = self.live | self.tapped
        typist = self._passed()
        presses = [self.line[0]] if self.leading else []
        presses += reversed(self.closed_strokes)
        causes = self.closing.judge([press.stroke for press in presses], typist, self.pads.padded)
        kept = [press for press, cause in zip(presses, causes, strict=True) if not cause]
        any_kept = False
        for press, cause in zip(presses, causes, strict=True):
            if cause:
                clashes = not any_kept and self.pads.any_shut
                press.aside = (any_kept or clashes) and self.closing.compiled.resumes and not press.released
                self._open(press, clashes)
            any_kept |= not cause
        self.wanted = kept[0].stroke.wants(typist) if kept else typist
        return False

    def _give_way(self) -> bool:
        """Opens strokes that break a rule as shown, because of pads. True if pads moved, so that more may be due."""
        while self.moved or self.pads.any_shut:
            shown = self.closed_strokes[::-1]
            place = self.closing.judge_shown([press.stroke for press in shown], self.modifiers, self.pads.padded)
            if place is None:
                break
            shown[place].aside = self.closing.compiled.resumes and not shown[place].released
            self._open(shown[place], clashes=True)
        if self.moved:
            self._begin_open_times()
            if self.closing.compiled.whole and self.close_left:
                self.close_left = self.closing.close
        return self.moved

    def _in_close_time(self, press: Press) -> bool:
        return bool(self.close_left) and not self.alone and press is self.places[-1]

    # What is shown.

    def take_command(self) -> int | None:
        """The command that is due; each is returned once."""
        command, self.command = self.command, None
        return command

    def closed(self) -> int:
        """The mask of all closed contacts."""
        closed = self.closing.compiled.mask_of(self.modifiers) | self.pads.padded.joined
        for press in self.closed_strokes:
            closed |= press.stroke.mask
        return closed

    def leds(self) -> int:
        """The LED byte: Caps Lock for a latch, too; a lock outside the layout shows Caps Lock off, Num Lock on."""
        table = self.judging.compiled
        num, caps = self.num or not table.num_lock, (self.caps and table.caps_lock) or self.latches
        return (LED_NUM_LOCK if num else 0) | (LED_CAPS_LOCK if caps else 0)

    def idle(self) -> bool:
        """Whether only latches are closed, nothing waits and no time runs."""
        waits = self.line or self.places or self.settle_left or self.tapped or self.alone or self.ahead is not None
        return not waits and not self.live and self.modifiers == self.latches and not self.pads.waits(self.closing)

    def shown(self) -> Shown:
        """What is closed and lit, and the counters: the same object until one of them changes."""
        pads = self.pads.shown(self.closing, self.clashes)
        facts = self.closed(), self.leds(), self.overflows, self.refusals, self.idle(), pads
        if facts != self._facts:
            self._facts = facts
            self._shown = Shown(contacts_of(facts[0]), *facts[1:])
        return self._shown
