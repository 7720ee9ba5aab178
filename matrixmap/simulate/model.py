"""The reference model: the runtime's promises, written down for reading and not for a microcontroller.

One stroke at a time *leads*: it has left off waiting, its modifiers are presented, and it closes as soon as it may. A
stroke keeps its *place* from its closing until it has been open for its open time. While presses wait, or one leads
or is in its shortest closed time, the typist's modifiers count as they were when the key of the last one that led went
down. What contradicts the newest is opened first; modifiers follow a lead later, and the newest a lead after them, so
that no sweep of the machine shows keys of before and of after together. A dead key waits for the next press that does something;
where both are no pair, the accent by itself takes a place in the line before that press.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

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
from matrixmap.join.dead import after_dead_key
from matrixmap.model.plan import Action, Command, Latch, Plan, Stroke, Trigger
from matrixmap.simulate.engine import CLOCK_TICKS, NEVER, Result, Shown, Sizes
from matrixmap.simulate.sheet import NOTHING_ASKED, Asked, Sheet, contacts_of

FIRST_KEY, LAST_KEY = max(STATUS_USAGES) + 1, max(MODIFIER_BITS)
COUNTER = 0x10000
"""Counters count modulo this."""

LONGEST_WAIT = 0x3FFF
"""Ticks after which a call is asked for at the latest while a time runs."""


@dataclass(slots=True)
class Press:
    """A press from its key's going down until its place is free again.

    `trigger` is None once it is known what is done. `first` are strokes that are played and let go before it. `typist` are the
    modifier keys that the typist held at its moment. `open_left` are the ticks for which a stroke that
    was opened keeps its place; 0 while it waits, leads or is closed.
    """

    keyboard: int
    usage: Usage
    trigger: Trigger | None
    action: Action | None
    asked: Asked
    typist: int
    released: bool = False
    open_left: int = 0
    first: tuple[Stroke, ...] = ()


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
        self.line: list[Press] = []
        self.ahead: int | None = None
        self.places: list[Press] = []
        self.leading = False
        self.live = 0
        self.typist = 0
        self.latches = 0
        self.accent: str | None = None
        self.modifiers = 0
        self.wanted = 0
        self.close_left = 0
        self.settle_left = 0
        self.caps = False
        self.num = True
        self.overflows = 0
        self.refusals = 0
        self.command: int | None = None
        self.handing_over = False

    # Input.

    def boot_report(self, keyboard: int, report: bytes) -> Result:
        """Takes a boot report (HID 1.11, appendix B.1); a status usage in any field keeps the keys (appendix C).

        A modifier's usage in a field counts as its bit of the modifier byte, and is followed as that is.
        """
        if len(report) < BOOT_REPORT_BYTES:
            return Result.MALFORMED
        fields = report[BOOT_FIRST_KEY_BYTE : BOOT_FIRST_KEY_BYTE + BOOT_KEYS]
        modifiers = {usage for usage, bit in MODIFIER_BITS.items() if report[BOOT_MODIFIER_BYTE] >> bit & 1}
        usages = {*map(Usage, fields), *modifiers}
        return self._take(keyboard, usages, usages & set(MODIFIER_BITS))

    def usages(self, keyboard: int, down: bytes) -> Result:
        """Takes the set of usages that are down."""
        usages = {Usage(usage) for usage in range(8 * len(down)) if down[usage >> 3] >> (usage & 7) & 1}
        return self._take(keyboard, usages, usages & set(MODIFIER_BITS))

    def disconnected(self, keyboard: int) -> None:
        """All keys of the keyboard count as released; what waits is still played."""
        self._take(keyboard, set(), set())

    def _take(self, keyboard: int, usages: set[Usage], modifiers: set[Usage]) -> Result:
        """One input set: releases, then modifiers, then presses."""
        if keyboard >= self.sizes.keyboards:
            return Result.MALFORMED
        before = self.down[keyboard]
        rolled = not usages.isdisjoint(STATUS_USAGES)
        keys = before - set(MODIFIER_BITS) if rolled else usages
        now = self.down[keyboard] = {usage for usage in keys | modifiers if FIRST_KEY <= usage <= LAST_KEY}
        for usage in before - now:
            self._release(keyboard, usage)
        self._follow_modifiers()
        dropped = [not self._press(keyboard, usage) for usage in sorted(now - before)]
        return Result.DROPPED if any(dropped) else Result.ROLLED if rolled else Result.TAKEN

    def _release(self, keyboard: int, usage: Usage) -> None:
        for press in [*self.line, *self.places]:
            if press.keyboard == keyboard and press.usage == usage:
                press.released = True

    def _follow_modifiers(self) -> None:
        self.live = 0
        for usages in self.down:
            for usage in usages:
                self.live |= self.judging.feeds.get(usage, 0)

    def _press(self, keyboard: int, usage: Usage) -> bool:
        """Toggles a lock, or joins the line. False if the line was full."""
        sheet = self.judging
        if usage in sheet.feeds:
            return True
        if sheet.keeps_lock(usage):
            self.caps ^= usage == CAPS_LOCK
            self.num ^= usage == NUM_LOCK
            return True
        if len(self.line) >= self.sizes.waiting:
            self._count_overflows(1)
            return False
        trigger = sheet.trigger(usage, self.down[keyboard], self.caps, self.num)
        action = sheet.plan.lookup(trigger)
        asked = sheet.asked(action) if isinstance(action, Stroke) else NOTHING_ASKED
        self.line.append(Press(keyboard, usage, trigger, action, asked, self.live))
        return True

    def _count_overflows(self, count: int) -> None:
        self.overflows = (self.overflows + count) % COUNTER

    def change_layout(self, number: int) -> None:
        """Asks for a layout: it judges input from now on, and closes contacts after all earlier presses.

        Another change before that one takes its place; presses made for the layout between are dropped and counted.
        """
        self.judging = self.sheets[number]
        if self.ahead is None:
            self.ahead = len(self.line)
        self._count_overflows(len(self.line) - self.ahead)
        del self.line[self.ahead :]
        self._follow_modifiers()

    # Time.

    def advance(self, now: int) -> int:
        """Acts on what is due; a step of half the clock's range or more counts as none.

        It stops at a command, and then asks to be called at once, so that the caller can act on the command first.
        """
        elapsed = (now - self.now) % CLOCK_TICKS
        self.now = now
        if elapsed < CLOCK_TICKS // 2:
            self.close_left = max(self.close_left - elapsed, 0)
            self.settle_left = max(self.settle_left - elapsed, 0)
            self._free_places(elapsed)
        self.handing_over = False
        while self._act():
            if self.handing_over:
                return 0
        running = (self.close_left, self.settle_left, *(press.open_left for press in self.places))
        return min((min(left, LONGEST_WAIT) for left in running if left), default=NEVER)

    def _free_places(self, elapsed: int) -> None:
        kept = []
        for press in self.places:
            if not press.open_left or press.open_left > elapsed:
                press.open_left = max(press.open_left - elapsed, 0)
                kept.append(press)
        self.places = kept

    @property
    def closed_strokes(self) -> list[Press]:
        """The strokes that are closed, oldest first."""
        return [press for press in self.places if not press.open_left]

    def _act(self) -> bool:
        """Does what is due. True if that may have made more due at once."""
        resting = not self.leading and not self.close_left
        if self.ahead == 0:
            if self._end_layout(resting):
                return True
        elif self.line and resting and self._begin():
            return True
        self._judge()
        changed = self.modifiers != self.wanted and not self.settle_left
        if changed:
            self.modifiers = self.wanted
            self.settle_left = self.closing.lead
        elif self.leading and self._may_close(self.line[0].asked):
            self._close()
        return False

    def _end_layout(self, resting: bool) -> bool:
        """Opens what the old layout has closed. True once the new layout stands."""
        if resting:
            for press in self.places:
                press.released = True
            self.latches = 0
        if not resting or self.places or self.settle_left or self.modifiers:
            return False
        self.closing, self.ahead, self.latches, self.accent = self.judging, None, 0, None
        return True

    def _begin(self) -> bool:
        """Lets the oldest press do what it does. False if every place is taken."""
        press = self.line[0]
        if len(self.places) == self.sizes.held:
            if not self.places[0].open_left:
                self._open(self.places[0])
            return False
        press = self._compose(press)
        match press.action:
            case Stroke():
                self.typist = press.typist
                self.leading = True
                if self._breaks_alone(press):
                    # No older stroke is opened for it.
                    self.refusals = (self.refusals + 1) % COUNTER
                    self._leave_line()
                return True
            case Latch():
                self.latches ^= 1 << press.action.contact
            case Command():
                self.command = press.action.number
                self.handing_over = True
        self._leave_line()
        return True

    def _compose(self, press: Press) -> Press:
        """What the oldest press comes to after a dead key, and as one: another one before it, or one that does nothing."""
        if not press.first:
            self._find_out(press)
        if not press.first:
            return press
        stroke, *later = press.first
        press.first = tuple(later)
        alone = replace(press, action=stroke, asked=self.closing.asked(stroke), trigger=None, first=(), released=True)
        self.line.insert(0, alone)
        self.ahead = None if self.ahead is None else self.ahead + 1
        return alone

    def _find_out(self, press: Press) -> None:
        """Looks up what a press does and what is played before it, by the dead key that is pending."""
        plan, trigger = self.closing.plan, press.trigger
        if trigger is None:
            return
        if self.accent is not None:
            after = after_dead_key(plan, self.accent, trigger)
            if after.strokes:
                stroke = after.strokes[0]
                self.accent = None
                if after.acts:
                    press.first = (*stroke.before, stroke)
                else:
                    self._settle_on(press, stroke)
                return
            if not after.keeps:
                self.accent = None
            if not after.acts:
                press.action = None
        accent = plan.dead_key(trigger)
        if accent is not None:
            press.action = None
            self.accent = accent
        if isinstance(press.action, Stroke):
            self._settle_on(press, press.action)

    def _settle_on(self, press: Press, stroke: Stroke) -> None:
        """A stroke becomes what a press does, after those before it."""
        press.action, press.asked, press.trigger = stroke, self.closing.asked(stroke), None
        press.first = stroke.before

    def _leave_line(self) -> None:
        self.line.pop(0)
        self.leading = False
        if self.ahead is not None:
            self.ahead -= 1

    def _may_close(self, asked: Asked) -> bool:
        """Whether the stroke that leads may close: nothing changed of late, and no opened stroke is in its way."""
        if self.modifiers != self.wanted or self.settle_left:
            return False
        recent = [press.asked for press in self.places if press.open_left]
        together = asked.contacts
        for press in self.places:
            together |= press.asked.contacts
        return not any(one.contacts & asked.contacts or one.is_chord or asked.is_chord for one in recent) and not (
            recent and self.closing.rolls_over(together)
        )

    def _close(self) -> None:
        self.places.append(self.line[0])
        self._leave_line()
        self.close_left = self.closing.close

    def _open(self, press: Press) -> None:
        press.open_left = self.closing.open
        self.settle_left = self.closing.lead

    # What stays closed.

    def _judge(self) -> None:
        """Opens strokes that were let go or contradict newer ones, and finds the modifiers to be closed."""
        for press in self.closed_strokes:
            if press.released and not self._in_close_time(press):
                self._open(press)
        if self.ahead == 0 and not self.close_left:
            self.wanted = 0
            return
        if not self.line and not self.close_left:
            self.typist = self.live
        typist = self.typist | self.latches
        strokes = [self.line[0]] if self.leading else []
        strokes += reversed(self.closed_strokes)
        kept, newest, self.wanted = 0, None, typist
        for press in strokes:
            if newest is None:
                self.wanted = press.asked.modifiers(typist)
            if self._breaks(press.asked, typist, kept):
                self._open(press)
            else:
                kept |= press.asked.contacts
                newest = press
        if newest is None:
            self.wanted = typist

    def _in_close_time(self, press: Press) -> bool:
        return bool(self.close_left) and press is self.places[-1]

    def _breaks_alone(self, press: Press) -> bool:
        """Whether a stroke breaks a rule with its own modifiers alone."""
        typist = self.typist | self.latches
        wanted, self.wanted = self.wanted, press.asked.modifiers(typist)
        breaks = self._breaks(press.asked, typist, 0)
        self.wanted = wanted
        return breaks

    def _breaks(self, asked: Asked, typist: int, kept: int) -> bool:
        """Whether a stroke breaks a rule with the modifiers wanted and the strokes kept so far."""
        sheet = self.closing
        return (
            asked.modifiers(typist) != self.wanted
            or bool(asked.contacts & kept)
            or sheet.rolls_over(kept | asked.contacts)
            or sheet.clashes(asked, kept | self.wanted)
        )

    # What is shown.

    def take_command(self) -> int | None:
        """The command that is due, once."""
        command, self.command = self.command, None
        return command

    def closed(self) -> int:
        """The mask of all closed contacts."""
        closed = self.modifiers
        for press in self.closed_strokes:
            closed |= press.asked.contacts
        return closed

    def leds(self) -> int:
        """The LED byte: Caps Lock for a latch too; a lock that the layout does not keep shows as Caps Lock off, Num Lock on."""
        sheet = self.judging
        num, caps = self.num or not sheet.plan.num_lock, (self.caps and sheet.plan.caps_lock) or self.latches
        return (LED_NUM_LOCK if num else 0) | (LED_CAPS_LOCK if caps else 0)

    def idle(self) -> bool:
        """Whether nothing but latches is closed and nothing waits."""
        waits = self.line or self.places or self.ahead is not None
        return not waits and not self.live and self.modifiers == self.latches

    def shown(self) -> Shown:
        """What is closed and lit, and the counters."""
        return Shown(contacts_of(self.closed()), self.leds(), self.overflows, self.refusals, self.idle())
