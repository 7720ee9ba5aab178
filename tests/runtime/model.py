"""The rules of mm_runtime.h written down a second time, with sets and absolute times, to hold the C against."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from .pads import Pads
from .table import (
    ACCENT_ALONE,
    ALT_GR,
    APART,
    CAPS_LOCK,
    DEAD_KEYS,
    DROPS,
    GOES_ON,
    GUARD,
    KEEPS,
    NUM_LOCK,
    NUMBER,
    RESUME,
    SEQUENCE,
    TAKES_BACK,
    WHOLE,
    Group,
    Kind,
    Table,
)

Contact = tuple[int, int]  # kind 0 or 1, value as in the table

WAITING, HELD = 8, 10
KEYPAD = range(0x59, 0x64)
CAPS_USAGE, NUM_USAGE = 0x39, 0x53
CONTROLS, SHIFTS, METAS, ALT, RIGHT_ALT = {0xE0, 0xE4}, {0xE1, 0xE5}, {0xE3, 0xE7}, 0xE2, 0xE6


@dataclass(slots=True, kw_only=True)
class Press:
    """What a press takes along."""

    key: tuple[int, int]  # keyboard, usage
    level: int
    extras: int
    modifiers: int
    released: bool = False
    sequence: int = 0  # not 0: it goes on with the sequence of this number
    goes_on: int = 0  # not 0: the accent before it goes on with the sequence of this number


@dataclass(slots=True, kw_only=True)
class Stroke:
    """A stroke that is led, closed, open for less than its open time, or that stands aside."""

    key: tuple[int, int]
    contacts: tuple[Contact, ...]
    chord: bool
    demand: tuple[int, int]
    released: bool
    opened: int | None = None
    aside: bool = False

    @property
    def crosspoints(self) -> int:
        """How many of its contacts count against the rollover."""
        return sum(kind == Kind.CROSSPOINT for kind, _ in self.contacts)


@dataclass(slots=True, kw_only=True)
class Layout:
    """A table, looked up the slow way."""

    table: Table

    def keeps(self, flag: int) -> bool:
        """Whether the layout keeps a lock."""
        return bool(self.table.flags & flag)

    def find(self, press: Press, usage: int, pending: int) -> tuple[Group, int] | None:
        """The group and value of the entry that answers, pairs of the pending dead key first."""
        for extras in dict.fromkeys((press.extras, 0)):
            for wanted in dict.fromkeys((pending, 0)):
                for group in self.table.groups:
                    pair = group.after if group.after in DEAD_KEYS else 0
                    if pair == wanted and group.when >> 4 == extras and group.when >> press.level - 1 & 1:
                        for named, value in group.entries:
                            if named == usage:
                                return group, value
        return None

    def feeds(self, usage: int) -> int | None:
        """The machine modifiers that a usage holds; None: it is no modifier."""
        for group in self.table.groups:
            if group.kind is Kind.MODIFIER:
                for named, mask in group.entries:
                    if named == usage:
                        return mask
        return None


def sequence_of(found: tuple[Group, int] | None) -> int:
    """The number of the sequence that an entry is, 0 if it is none."""
    return found[1] & NUMBER if found and found[0].kind is Kind.DEAD_KEY and found[1] & SEQUENCE else 0


@dataclass(slots=True)
class Model:
    """One machine's state."""

    layout: Layout
    keyboards: int = 2
    now: int = 0
    clock: int = 0
    down: list[set[int]] = field(default_factory=list)
    line: list[Press] = field(default_factory=list)
    places: list[Stroke] = field(default_factory=list)
    led: Stroke | None = None
    closing_until: int = 0
    closing: Stroke | None = None
    quiet_until: int = 0
    modifiers: int = 0
    tapped: int = 0
    alone_until: int | None = None
    latches: int = 0
    typist: int = 0
    pending: int = 0  # the dead key
    caps: bool = False
    num: bool = True
    command: int | None = None
    overflows: int = 0
    refusals: int = 0
    clashes: int = 0
    pads: Pads = field(default_factory=Pads)
    change: tuple[int, Layout] | None = None  # presses ahead, new layout

    def __post_init__(self) -> None:
        self.down = [set() for _ in range(self.keyboards)]

    @property
    def input(self) -> Layout:
        """The layout that judges input."""
        return self.change[1] if self.change else self.layout

    @property
    def live(self) -> int:
        """The typist's machine modifiers now."""
        mask = 0
        for keyboard in range(self.keyboards):
            mask |= self.held_on(keyboard)
        return mask

    def held_on(self, keyboard: int) -> int:
        """The machine modifiers that one keyboard holds."""
        mask = 0
        for usage in self.down[keyboard]:
            mask |= self.input.feeds(usage) or 0
        return mask

    @property
    def locks(self) -> tuple[bool, bool]:
        """Caps Lock and Num Lock as they count."""
        caps = self.caps and self.input.keeps(CAPS_LOCK)
        num = self.num or not self.input.keeps(NUM_LOCK)
        return caps, num

    def take(self, keyboard: int, usages: set[int]) -> None:
        """An input set."""
        usages = {usage for usage in usages if usage <= 0xE7}
        if usages & {1, 2, 3}:
            usages = {u for u in self.down[keyboard] if u < 0xE0 or u > 0xE7} | {u for u in usages if 0xE0 <= u <= 0xE7}
        held = self.held_on(keyboard)
        before, self.down[keyboard] = self.down[keyboard], set(usages)
        self.tapped |= self.held_on(keyboard) & ~held
        # A modifier that a layout change has made one was known as down, as every other key.
        for thing in (*self.line, *self.places, *([self.led] if self.led else [])):
            if thing.key[0] == keyboard and thing.key[1] not in usages:
                thing.released = True
        for usage in sorted(usages - before):
            if self.input.feeds(usage) is not None:
                continue
            if usage == CAPS_USAGE and self.input.keeps(CAPS_LOCK):
                self.caps = not self.caps
            elif usage == NUM_USAGE and self.input.keeps(NUM_LOCK):
                self.num = not self.num
            elif len(self.line) + (self.led is not None) >= WAITING:
                self.overflows += 1
            else:
                self.line.append(self.press(keyboard, usage))
                self.tapped, self.alone_until = 0, None

    def press(self, keyboard: int, usage: int) -> Press:
        """What this press takes along."""
        table = self.input.table
        held = self.down[keyboard] if table.flags & APART else set().union(*self.down)
        return self.press_with(keyboard, usage, held, self.live, self.locks)

    def type(self, usage: int, modifiers: int) -> bool:
        """A key down and up at once, with modifiers of its own."""
        full = len(self.line) + (self.led is not None) >= WAITING
        if full or not 0x04 <= usage < 0xE0 or self.input.feeds(usage) is not None:
            return False
        held = {0xE0 + bit for bit in range(8) if modifiers >> bit & 1}
        live = 0
        for one in held:
            live |= self.input.feeds(one) or 0
        press = self.press_with(0, usage, held, live, (False, True))
        press.released = True
        self.line.append(press)
        self.tapped, self.alone_until = 0, None
        return True

    def press_with(self, keyboard: int, usage: int, held: set[int], live: int, locks: tuple[bool, bool]) -> Press:
        """A press with these keys held and locks."""
        table = self.input.table
        alt_gr = RIGHT_ALT in held and bool(table.flags & ALT_GR)
        alt = ALT in held or (RIGHT_ALT in held and not alt_gr)
        control = bool(held & CONTROLS)
        level = 1 + bool(held & SHIFTS) + 2 * alt_gr
        caps, num = locks
        if usage in KEYPAD:
            level = 1 if num else 2
        elif caps and not control:
            pairs = next((pairs for first, last, pairs in table.caps if first <= usage <= last), 0)
            if pairs >> (level > 2) & 1:
                level = (2, 1, 4, 3)[level - 1]
        extras = control + 4 * alt + 8 * bool(held & METAS)
        return Press(key=(keyboard, usage), level=level, extras=extras, modifiers=live)

    def change_layout(self, table: Table) -> None:
        """A layout change asked for."""
        self.tapped, self.alone_until = 0, None
        if self.change:
            keep = self.change[0] - (self.led is not None)
            self.overflows += len(self.line) - keep
            del self.line[keep:]
        self.change = (len(self.line) + (self.led is not None), Layout(table=table))

    def left_the_line(self) -> None:
        """One press fewer is ahead of a change."""
        if self.change and self.change[0]:
            self.change = (self.change[0] - 1, self.change[1])

    def ticks(self, name: str) -> int:
        """A time of the table that stands."""
        return max(1, int(getattr(self.layout.table, name)))

    def asks(self, stroke: Stroke) -> int:
        """The modifier keys that a stroke asks for."""
        rule, hold = stroke.demand
        return self.passed & ~rule | hold

    @property
    def passed(self) -> int:
        """The modifier keys that are closed while no stroke rules."""
        return self.typist | self.latches | self.pads.held(self.layout.table)

    def settle(self, now: int) -> None:
        """mm_advance, as often as it asks for."""
        while self.advance(now):
            pass

    def advance(self, now: int) -> bool:
        """One call; whether another is due at once."""
        step = now - self.now & 0xFFFF
        if step < 0x8000:
            self.clock += step
        if step < 0x8000 or not self.any_time_runs():
            self.now = now & 0xFFFF
        return self.act()

    def any_time_runs(self) -> bool:
        """Whether a close, open or lead time has not passed."""
        opened = [stroke.opened for stroke in self.places if stroke.opened is not None]
        ends = [at + self.ticks("open") for at in opened] + [self.quiet_until]
        ends += [end for end in (self.alone_until, self.pads.ends) if end is not None]
        return any(end > self.clock for end in ends) or (self.closing is not None and self.closing_until > self.clock)

    def act(self) -> bool:
        """What one call does at its time."""
        table = self.layout.table
        open_time = self.ticks("open")
        due = self.change is not None and self.change[0] == 0
        self.places = [
            s
            for s in self.places
            if s.opened is None or s.opened + open_time > self.clock or (s.aside and not s.released and not due)
        ]
        if self.alone_until is not None and self.alone_until <= self.clock:
            self.alone_until = None
        if self.closing and self.closing_until <= self.clock:
            self.closing = None
        resting = self.led is None and self.closing is None and self.alone_until is None
        changing = self.change is not None and self.change[0] == 0
        moved = self.pads.advance(table, self.clock, changing and resting)
        self.quiet_until = self.clock + self.ticks("lead") if moved and changing and resting else self.quiet_until
        if resting and not moved and self.take_next(changing, open_time):
            return True
        if self.whole and (self.closing or self.alone_until is not None) and not moved:
            self.give_way()
            return False
        refused = self.open_what_must(changing and resting)
        if refused:
            self.refuse(open_time)
            self.shown(moved)
            return True
        quiet = self.closing is None and self.alone_until is None and not moved
        quiet = quiet and not self.led and not self.line and not self.change
        if quiet and self.come_back(open_time):
            self.shown(moved)
            return True
        newest = self.newest()
        wanted = self.asks(newest) if newest else self.passed
        if self.quiet_until <= self.clock:
            if self.modifiers != wanted:
                self.modifiers = wanted
                self.quiet_until = self.clock + self.ticks("lead")
                self.count_anew()
            elif self.led and not self.must_wait(table.rollover):
                self.places.append(self.led)
                self.closing, self.led = self.led, None
                self.closing_until = self.clock + self.ticks("close")
                self.left_the_line()
                self.count_anew()
        if self.tapped and quiet and self.modifiers == wanted:
            self.tapped = 0
            self.alone_until = self.clock + self.ticks("close")
        self.shown(moved)
        return moved

    def take_next(self, changing: bool, open_time: int) -> bool:
        """What comes next when resting; whether that is all of this call."""
        if changing:
            self.typist = self.latches = 0
            if not self.places and not self.modifiers and self.quiet_until <= self.clock:
                assert self.change
                self.layout, self.change, self.pending = self.change[1], None, 0
                return True
        elif not self.line:
            self.typist = self.live | self.tapped
        elif len(self.places) < HELD:
            self.look_up(self.line.pop(0))
            return True
        else:
            oldest = self.places[0]
            oldest.released = True
            return oldest.opened is not None and oldest.opened + open_time <= self.clock
        return False

    def refuse(self, open_time: int) -> None:
        """The stroke led is not closed; if that is because of a pad it may come back."""
        assert self.led
        if self.pads.shut:
            self.clashes += 1
            self.led.opened = self.clock - open_time
            self.led.aside = bool(self.layout.table.flags & RESUME) and not self.led.released
            self.places.append(self.led)
        else:
            self.refusals += 1
        self.led = None
        self.left_the_line()

    def shown(self, moved: bool) -> None:
        """What pads break is opened; where a switch moved, a machine that compares whole scans begins anew."""
        self.give_way(moved)
        if moved:
            self.count_anew()
            if self.whole and self.closing:
                self.closing_until = self.clock + self.ticks("close")
            if self.whole and self.alone_until is not None:
                self.alone_until = self.clock + self.ticks("close")

    def give_way(self, moved: bool = False) -> None:
        """Rule 10: strokes as they are shown, judged once more where pads close anything or just did."""
        if not (moved or self.pads.shut):
            return
        while True:
            board, keys = self.board(self.modifiers), 0
            for stroke in reversed(self.places):
                if stroke.opened is not None:
                    continue
                if not self.add(board, stroke, keys):
                    self.clash(stroke)
                    break
                keys += stroke.crosspoints
            else:
                return

    def clash(self, stroke: Stroke) -> None:
        """A stroke is opened because of a pad, in its close time too."""
        self.clashes += 1
        stroke.aside = bool(self.layout.table.flags & RESUME) and not stroke.released
        self.open_stroke(stroke)
        if stroke is self.closing:
            self.closing = None

    def breaks_alone(self, stroke: Stroke) -> bool:
        """Whether a stroke breaks a rule with its own modifiers alone."""
        modifiers = self.asks(stroke)
        lifted = self.pads.held(self.layout.table) & ~modifiers
        return bool(lifted) or not self.add(self.board(modifiers), stroke, 0)

    def come_back(self, open_time: int) -> bool:
        """Whether a stroke that stands aside is led again, the newest that breaks no rule."""
        for stroke in reversed(self.places):
            if not stroke.aside or stroke.released or stroke.opened is None or stroke.opened + open_time > self.clock:
                continue
            modifiers = self.asks(stroke)
            board = self.board(modifiers)
            fits, keys = not self.breaks_alone(stroke) and self.add(board, stroke, 0), stroke.crosspoints
            for other in reversed(self.places):
                if fits and other.opened is None:
                    fits = self.asks(other) == modifiers and self.add(board, other, keys)
                    keys += other.crosspoints
            if fits:
                self.places = [other for other in self.places if other is not stroke]
                stroke.opened, stroke.aside, self.led = None, False, stroke
                return True
        return False

    def look_up(self, press: Press) -> None:
        """The oldest press leaves the line, or is led."""
        found = self.find(press)
        kind, value, demand = (found[0].kind, found[1], found[0].demand) if found else (Kind.NOTHING, 0, 0)
        if kind in (Kind.CROSSPOINT, Kind.DIRECT, Kind.CHORD):
            table = self.layout.table
            contacts = table.chords[value] if kind is Kind.CHORD else ((kind, value),)
            self.led = Stroke(
                key=press.key,
                contacts=tuple(contacts),
                chord=kind is Kind.CHORD,
                demand=table.demands[demand],
                released=press.released,
            )
            self.typist = press.modifiers
            return
        if kind is Kind.LATCH:
            self.latches ^= value
        elif kind is Kind.COMMAND:
            self.command = value
        elif kind is Kind.DEAD_KEY:
            self.pending = value
        self.left_the_line()

    def find(self, press: Press) -> tuple[Group, int] | None:
        """What a press comes to, with the dead key before it; the press itself may go back into the line."""
        if press.goes_on:
            number, press.goes_on = press.goes_on, 0
            return self.before(press, GOES_ON, number, of_accent=True, last=number)
        if press.sequence:
            number, press.sequence, press.extras = press.sequence, 0, 0
            found = self.layout.find(press, press.key[1], number)
            if found is None or found[0].after != number:
                return None
            return self.begin(press, found, last=number)
        found = self.layout.find(press, press.key[1], 0 if press.extras else self.pending)
        if not self.pending or found is None or found[0].kind is Kind.NOTHING or found[0].after == KEEPS:
            return self.begin(press, found)
        pending, self.pending = self.pending, 0
        if press.extras or found[0].after in (*DEAD_KEYS, DROPS):
            return self.begin(press, found)
        if found[0].after == TAKES_BACK:
            return None
        return self.before(press, ACCENT_ALONE, pending, of_accent=True)

    def begin(self, press: Press, found: tuple[Group, int] | None, last: int = 0) -> tuple[Group, int] | None:
        """What was found, or the first stroke of the sequence that it is."""
        number = sequence_of(found)
        if not number:
            return found
        if number > last:
            self.pending = 0
        return self.before(press, ACCENT_ALONE, number, of_accent=False, last=number) if number > last else None

    def before(
        self, press: Press, usage: int, number: int, *, of_accent: bool, last: int = 0
    ) -> tuple[Group, int] | None:
        """What stands for a usage among the pairs of a number comes before the press, already let go."""
        behind = replace(press)
        self.line.insert(0, behind)
        if self.change:
            self.change = (self.change[0] + 1, self.change[1])
        press.released = True
        if not of_accent:
            behind.sequence = number
        while True:
            found = self.layout.find(press, usage, number)
            if found is None or found[0].after != number:
                return None
            number = sequence_of(found)
            if not number:
                return None if found[0].kind is Kind.DEAD_KEY else found
            if number <= last:
                return None
            if of_accent:
                behind.goes_on = number
            else:
                behind.sequence = number
            usage, last = ACCENT_ALONE, number

    def newest(self) -> Stroke | None:
        """The stroke led, else the one closed last."""
        if self.led:
            return self.led
        return next((stroke for stroke in reversed(self.places) if stroke.opened is None), None)

    def open_stroke(self, stroke: Stroke) -> None:
        """It opens now."""
        stroke.opened = self.clock
        self.quiet_until = self.clock + self.ticks("lead")
        self.count_anew()

    @property
    def whole(self) -> bool:
        """Whether the machine compares whole scans."""
        return bool(self.layout.table.flags & WHOLE)

    def count_anew(self) -> None:
        """Something changes: what is open for less than its open time must be open for all of it from now on."""
        if self.whole:
            for stroke in self.places:
                if stroke.opened is not None and stroke.opened + self.ticks("open") > self.clock:
                    stroke.opened = self.clock

    def open_what_must(self, changing: bool) -> bool:
        """Rule 4; whether the stroke led is refused, and then all else is left for the call that follows at once."""
        if self.led and self.breaks_alone(self.led):
            return True
        for stroke in self.places:
            if stroke.opened is None and stroke is not self.closing and (stroke.released or changing):
                self.open_stroke(stroke)
        while (newest := self.newest()) is not None:
            if not self.breaks_alone(newest):
                break
            if self.pads.shut:
                ends = newest is self.closing
                self.clash(newest)
                if ends and self.change and self.change[0] == 0:
                    # Its close time was all that a layout change waited for.
                    for stroke in self.places:
                        if stroke.opened is None:
                            self.open_stroke(stroke)
            else:
                self.open_stroke(newest)
        else:
            return False
        modifiers = self.asks(newest)
        board = self.board(modifiers)
        self.add(board, newest, 0)
        keys = newest.crosspoints
        for stroke in reversed(self.places):
            if stroke.opened is not None or stroke is newest:
                continue
            trial = {line: set(bits) for line, bits in board.items()}
            if self.asks(stroke) == modifiers and self.add(trial, stroke, keys):
                board, keys = trial, keys + stroke.crosspoints
            else:
                stroke.aside = bool(self.layout.table.flags & RESUME) and not stroke.released
                self.open_stroke(stroke)
        return False

    def board(self, modifiers: int) -> dict[int, set[int]]:
        """Select lines (16: the direct lines) with what is closed on them by modifier keys."""
        board: dict[int, set[int]] = {}
        for line, bit in self.pads.joined(self.layout.table):
            board.setdefault(line, set()).add(bit)
        for number, (kind, value) in enumerate(self.layout.table.modifiers):
            if modifiers >> number & 1:
                line, bit = (value >> 4, value & 15) if kind == Kind.CROSSPOINT else (16, value)
                board.setdefault(line, set()).add(bit)
        return board

    def add(self, board: dict[int, set[int]], stroke: Stroke, keys: int) -> bool:
        """Closes a stroke's contacts one by one; whether none breaks a rule."""
        table = self.layout.table
        guard = bool(table.flags & GUARD)
        for kind, value in stroke.contacts:
            line, bit = (value >> 4, value & 15) if kind == Kind.CROSSPOINT else (16, value)
            if bit in board.setdefault(line, set()):
                return False
            board[line].add(bit)
            if kind == Kind.CROSSPOINT:
                keys += 1
                if table.rollover and keys > table.rollover:
                    return False
                if guard and self.carries(board, line, bit):
                    return False
        return True

    def carries(self, board: dict[int, set[int]], line: int, bit: int) -> bool:
        """Whether a crosspoint joins its sense line to one that is not read with it."""
        table = self.layout.table
        read = {at: board.get(at, set()) | self.pads.pulled(table, at) for at in range(table.select)}
        here = board[line]
        if any(here & low and not here <= low for low in read.values()):
            return True
        return any(bit in bits and not bits <= read[line] for at, bits in board.items() if at < table.select)

    def must_wait(self, rollover: int) -> bool:
        """Whether the stroke led waits for one that was just opened."""
        assert self.led
        since = self.clock - self.ticks("open")
        open_ones = [stroke for stroke in self.places if stroke.opened is not None and stroke.opened > since]
        for stroke in open_ones:
            if stroke.chord or self.led.chord or stroke.contacts == self.led.contacts:
                return True
        recent = sum(stroke.crosspoints for stroke in open_ones)
        closed = sum(stroke.crosspoints for stroke in (*self.places, self.led) if stroke.opened is None)
        return bool(rollover) and recent > 0 and recent + closed > rollover

    @property
    def masks(self) -> tuple[int, ...]:
        """What is closed, as the C has it."""
        board = self.board(self.modifiers)
        for stroke in self.places:
            if stroke.opened is None:
                for kind, value in stroke.contacts:
                    line, bit = (value >> 4, value & 15) if kind == Kind.CROSSPOINT else (16, value)
                    board.setdefault(line, set()).add(bit)
        return tuple(sum(1 << bit for bit in board.get(line, ())) for line in range(17))

    @property
    def pulls(self) -> tuple[int, ...]:
        """The sense lines that are pulled low with each select line; the last one: whatever is strobed."""
        return tuple(sum(1 << bit for bit in self.pads.pulled(self.layout.table, line)) for line in range(17))

    @property
    def leds(self) -> int:
        """The LED byte."""
        caps, num = self.locks
        return num + 2 * (caps or self.latches != 0)

    @property
    def idle(self) -> bool:
        """Nothing closed but latches, nothing to come, and no time that runs."""
        waits = self.line or self.led or self.places or self.live or self.change or self.quiet_until > self.clock
        waits = waits or self.tapped or self.alone_until is not None
        waits = (
            waits or (self.layout.table.controllers and self.pads.on) or self.pads.shut or self.pads.ends is not None
        )
        return not (waits or self.modifiers ^ self.latches)
