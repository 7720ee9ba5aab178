"""What does one press do? Which contacts close, what the machine reads and types, or why nothing closes.

The rules are those of `mm_runtime.h`, INPUT, OUTPUT and DEAD KEYS, applied to the compiled table; the result is the
state after all times have passed. Every part of the program that says what a press does asks here. Sets of contacts
are masks: bit n is contact n. Sets of modifier keys are masks, too: bit n is modifier key n of the table.
"""

from __future__ import annotations

from collections.abc import Iterable
from enum import Enum
from itertools import pairwise
from typing import NamedTuple

from matrixmap.hid.usages import CAPS_LOCK, NUM_LOCK, Usage
from matrixmap.model.plan import Plan
from matrixmap.press.compiled import KEEPS, TAKES_BACK, Compiled, Entry
from matrixmap.press.machine_reads import MachineReads, Typed
from matrixmap.press.pads import NONE, Padded, carries_on
from matrixmap.press.table.cells import ACCENT_ALONE, ACCENT_GOES_ON
from matrixmap.press.table.format import Kind, Table
from matrixmap.press.table.make import make_table
from matrixmap.press.turns import NOTHING_BEGUN, Turn, Turns

STROKES = (Kind.CROSSPOINT, Kind.DIRECT, Kind.CHORD)
"""The kinds of entries that are strokes."""


class Does(Enum):
    """The kind of action of a press."""

    STROKE = "closes contacts"
    MODIFIER = "is a modifier of the machine"
    LATCH = "works a latch"
    LOCK = "toggles a lock that the runtime keeps"
    COMMAND = "gives a command"
    DEAD_KEY = "waits for the next press"
    TAKEN_BACK = "takes a dead key back"
    SILENCED = "does nothing, on purpose"
    NOTHING = "does nothing"


class Cause(Enum):
    """Why the runtime does not close a stroke, or opens it."""

    PHANTOM = "phantom"
    ROLLOVER = "rollover"
    CONTACT = "contact"
    MODIFIERS = "modifiers"


class Held(NamedTuple):
    """A stroke that a key closes: the contacts in their order, and what it asks of the modifier keys.

    A stroke asks for `typist & ~rules | holds`. `mask` has the bits of its contacts.
    """

    usage: Usage
    contacts: tuple[int, ...]
    mask: int
    rules: int
    holds: int

    def wants(self, typist: int) -> int:
        """The modifier keys that are closed while this stroke rules."""
        return typist & ~self.rules | self.holds


class Standing(NamedTuple):
    """The state between two events: the keys that are down, their closed strokes (the newest first), and the rest.

    `modifiers` are the closed modifier keys, `latches` those closed by a latch; `accent` is the number of the pending
    dead key, 0 for none. `caps` and `num` are the locks at the keyboard: off and on at the start. `turn` is the
    machine's own memory of earlier strokes. Where keys come back, `places` are all strokes of keys that are down, the
    newest first: the closed ones, and those that were opened for a newer one and stand aside.
    """

    down: frozenset[Usage] = frozenset()
    strokes: tuple[Held, ...] = ()
    modifiers: int = 0
    latches: int = 0
    caps: bool = False
    num: bool = True
    accent: int = 0
    turn: Turn = NOTHING_BEGUN
    places: tuple[Held, ...] = ()


REST = Standing()
"""Nothing is held."""


class Asks(NamedTuple):
    """What a press asks for, before anything is closed or refused.

    `strokes` are played in turn: those of the accent before it, then its own. If it ends in a stroke, the last one is
    held as long as its key. `value` is a set of modifier keys for a latch, or the number of a command or dead key.
    `accent` is the dead key that is pending afterwards. `pair` is set if the press and a dead key are a pair.
    """

    does: Does
    accent: int
    strokes: tuple[Held, ...] = ()
    value: int = 0
    pair: bool = False


class Outcome(NamedTuple):
    """The result of a press.

    `moments` are masks of the closed contacts, starting before the press, one for each change. `refused` is the reason
    if its stroke, or that of the accent before it, was not closed; `opened` are older keys with strokes that were
    opened, each with the reason. `strokes` counts the closed strokes, `pair` is set for the stroke of a dead key and
    this key. `value` is the number of a command or dead key. `after` is the state then, `turn` the machine's memory
    before.
    """

    does: Does
    moments: tuple[int, ...]
    after: Standing
    strokes: int = 0
    pair: bool = False
    refused: Cause | None = None
    opened: tuple[tuple[Usage, Cause], ...] = ()
    value: int = 0
    turn: Turn = NOTHING_BEGUN

    @property
    def closed(self) -> int:
        """All contacts that are closed at the end, as a mask."""
        return self.moments[-1]


class Rules(MachineReads):
    """One plan's table with the rules; answers are cached."""

    def __init__(self, plan: Plan, table: Table | None = None, limits: bool = True) -> None:
        """TableError if no table can hold the plan. Without `limits` there is no guard, rollover or coming back."""
        super().__init__(plan.layout.machine, plan.contacts)
        self.plan = plan
        self.table = table or make_table(plan, times=False)
        self.compiled = Compiled(self.table.to_bytes(), limits)
        self.turns = Turns(self.machine)
        self._asks: dict[tuple[Usage, int, int, int], Asks] = {}
        self._strokes: dict[tuple[Usage, Entry], Held] = {}
        self._turned: dict[tuple[Turn, tuple[int, ...]], tuple[Turn, tuple[Typed, ...]]] = {}
        self._alone: dict[tuple[tuple[int, ...], int, Padded], Cause | None] = {}

    # What the keyboard says.

    def press(self, standing: Standing, usage: Usage) -> Outcome:
        """Presses a key. A key that is already down, and a usage that is not a key's, do nothing."""
        before = self.closed(standing)
        if usage in standing.down:
            return Outcome(Does.NOTHING, (before,), standing)
        outcome = self._settled(self._one(Standing(standing.down | {usage}, *standing[1:]), usage, (before,)))
        return self._remember(standing.turn, outcome) if self.turns.any else outcome

    def _one(self, now: Standing, usage: Usage, moments: tuple[int, ...]) -> Outcome:
        """What one of the newly pressed keys does."""
        compiled = self.compiled
        if usage in compiled.feeds:
            return self._follow(Does.MODIFIER, now, moments)
        if usage == CAPS_LOCK and compiled.caps_lock:
            return self._follow(Does.LOCK, now._replace(caps=not now.caps), moments)
        if usage == NUM_LOCK and compiled.num_lock:
            return self._follow(Does.LOCK, now._replace(num=not now.num), moments)
        keys = compiled.keys(now.down)
        level = compiled.level(usage, keys, now.caps, now.num)
        return self._act(now, self.asks(usage, level, keys.extras, now.accent), moments)

    def asks(self, usage: Usage, level: int, extras: int, accent: int) -> Asks:
        """What a press asks for at a level, with bits of Control, Alt and Meta and the number of a pending dead key."""
        cell = (usage, level, extras, accent)
        found = self._asks.get(cell)
        if found is None:
            found = self._asks[cell] = self._look_up(*cell)
        return found

    def _look_up(self, usage: Usage, level: int, extras: int, accent: int) -> Asks:
        entry = self.compiled.look_up(usage, level, extras, 0 if extras else accent)
        if entry is None or entry.kind is Kind.NOTHING:
            return Asks(Does.NOTHING if entry is None else Does.SILENCED, accent)
        first: tuple[Entry, ...] = ()
        if accent and entry.after != KEEPS:
            if not extras and entry.after == TAKES_BACK:
                return Asks(Does.TAKEN_BACK, 0)
            if not extras and not entry.after:
                alone = self.compiled.look_up(ACCENT_ALONE, level, 0, accent)
                first = self.parts(ACCENT_GOES_ON, level, alone) if alone is not None else ()
            accent = 0
        *before, last = self.parts(usage, level, entry)
        strokes = tuple([self.stroke(usage, one) for one in (*first, *before) if one.kind in STROKES])
        if last.kind in STROKES:
            return Asks(Does.STROKE, accent, (*strokes, self.stroke(usage, last)), pair=0 < entry.after < KEEPS)
        if last.kind is Kind.DEAD_KEY:
            return Asks(Does.DEAD_KEY, last.value, strokes, last.value)
        return Asks(Does.LATCH if last.kind is Kind.LATCH else Does.COMMAND, accent, strokes, last.value)

    def release(self, standing: Standing, usage: Usage) -> Standing:
        """Releases a key: its stroke opens, and the modifiers follow."""
        strokes = tuple(stroke for stroke in standing.strokes if stroke.usage != usage)
        places = tuple([stroke for stroke in standing.places if stroke.usage != usage])
        now = standing._replace(down=standing.down - {usage}, strokes=strokes, places=places)
        outcome = self._settled(self._follow(Does.MODIFIER, now, (self.closed(standing),)))
        return self._remember(standing.turn, outcome).after

    def hold(self, usages: Iterable[Usage], standing: Standing = REST) -> Standing:
        """The state after keys were pressed in one report: modifiers first, then the others by ascending usage."""
        fresh = sorted(set(usages) - standing.down)
        now = standing._replace(down=standing.down.union(fresh))
        now = self._follow_and_remember(standing, now)
        for usage in fresh:
            if usage not in self.compiled.feeds:
                now = self._remember(now.turn, self._one(now, usage, (self.closed(now),))).after
        if len(now.places) > len(now.strokes):
            now = self._remember(now.turn, self._settled(Outcome(Does.NOTHING, (self.closed(now),), now))).after
        return now

    def let_all_go(self, standing: Standing) -> Standing:
        """The state after all keys were released: locks, latches and a dead key stay."""
        return self._follow_and_remember(standing, standing._replace(down=frozenset(), strokes=(), places=()))

    def typist(self, standing: Standing) -> int:
        """The modifier keys that the typist holds, including closed latches."""
        return standing.latches | self.compiled.fed(standing.down)

    def _act(self, now: Standing, asks: Asks, moments: tuple[int, ...]) -> Outcome:
        """Does what a press asks for."""
        does, accent, strokes, value, pair = asks
        if does is Does.NOTHING or does is Does.SILENCED:
            return Outcome(does, moments, now)
        if accent != now.accent:
            now = Standing(*now[:6], accent, *now[7:])
        if does is Does.STROKE:
            if len(strokes) > 1:
                done = self._play(strokes[:-1], Outcome(does, moments, now))
                return _together(done, self._close(done.after, strokes[-1], done.moments))._replace(pair=pair)
            outcome = self._close(now, strokes[0], moments)
            return outcome._replace(pair=True) if pair else outcome
        if does is Does.TAKEN_BACK:
            return Outcome(does, moments, now)
        if does is not Does.LATCH and not strokes:
            return Outcome(does, moments, now, value=value)
        done = self._play(strokes, Outcome(does, moments, now))
        if does is Does.LATCH:
            now = done.after._replace(latches=done.after.latches ^ value)
            return _together(done, self._follow(does, now, done.moments))
        return _together(done, self._follow(does, done.after, done.moments))._replace(value=value)

    def is_within(self, entry: Entry) -> bool:
        """Whether an entry answers only within a sequence."""
        return self.table.first_sequence <= entry.after < KEEPS

    def parts(self, usage: Usage, level: int, entry: Entry) -> tuple[Entry, ...]:
        """The entries to play in turn for one entry: those of a sequence, or only itself."""
        found: list[Entry] = []
        while entry.sequence:
            first = self.compiled.look_up(ACCENT_ALONE, level, 0, entry.sequence)
            following = self.compiled.look_up(usage, level, 0, entry.sequence)
            assert first is not None, "the table lacks the first stroke of a sequence"
            assert following is not None, "the table lacks what a sequence goes on with"
            found.append(first)
            entry = following
        return (*found, entry)

    def _play(self, strokes: Iterable[Held], done: Outcome) -> Outcome:
        """Closes and releases strokes, one after the other."""
        for stroke in strokes:
            one = self._close(done.after, stroke, done.moments)
            # It opens at the moment when what follows opens others.
            after = one.after
            if one.strokes:
                after = after._replace(strokes=after.strokes[1:], places=after.places[1:])
            done = _together(done, one)._replace(after=after)
        return done

    def _settled(self, outcome: Outcome) -> Outcome:
        """An outcome after the keys that stand aside have come back, each time the newest that may."""
        now = outcome.after
        while len(now.places) > len(now.strokes):
            typist = self.typist(now)
            aside = (stroke for stroke in now.places if stroke not in now.strokes)
            back = next((stroke for stroke in aside if not any(self.judge((stroke, *now.strokes), typist))), None)
            if back is None:
                break
            wanted, strokes = back.wants(typist), (back, *now.strokes)
            steps = (self._mask(now.strokes, wanted), self._mask(strokes, wanted))
            places = (back, *(stroke for stroke in now.places if stroke != back))
            now = now._replace(strokes=strokes, modifiers=wanted, places=places)
            outcome = outcome._replace(moments=_changes(outcome.moments, steps), after=now)
        return outcome

    # What the machine remembers.

    def _remember(self, turn: Turn, outcome: Outcome) -> Outcome:
        """An outcome with the machine's memory after it."""
        if not self.turns.any:
            return outcome
        after, _ = self._in_turn(turn, outcome.moments)
        # Usually nothing has begun, and there are thousands of presses.
        if outcome.turn == turn and outcome.after.turn == after:
            return outcome
        return outcome._replace(turn=turn, after=outcome.after._replace(turn=after))

    def _follow_and_remember(self, before: Standing, now: Standing) -> Standing:
        """The state after the modifiers follow what the typist holds."""
        outcome = self._follow(Does.MODIFIER, now, (self.closed(before),))
        return self._remember(before.turn, outcome).after

    def _in_turn(self, turn: Turn, moments: tuple[int, ...]) -> tuple[Turn, tuple[Typed, ...]]:
        """What the newly read keys type, given the machine's memory; and its memory after that."""
        known = self._turned.get((turn, moments))
        if known is None:
            known = self._turned[turn, moments] = self._read_in_turn(turn, moments)
        return known

    def _read_in_turn(self, turn: Turn, moments: tuple[int, ...]) -> tuple[Turn, tuple[Typed, ...]]:
        found = []
        for before, after in pairwise(moments):
            for read in self.typed(before, after):
                key = self._keys.get(read.contact)
                if key is None:
                    found.append(read)
                    continue
                turn, legend, waits, completes = self.turns.read(turn, key.name, read.state, read.legend)
                found.append(read._replace(legend=legend, waits=waits, completes=completes))
            state = self.state(self.read(after))
            alone = state in self.turns.alone and not self.read(after) & ~self.modifier_mask
            if alone and state != self.state(self.read(before)):
                turn = self.turns.read(turn, None, state, None).turn
        return turn, tuple(found)

    # What is closed.

    def closed(self, standing: Standing) -> int:
        """The contacts that are closed, as a mask."""
        return self._mask(standing.strokes, standing.modifiers)

    def _mask(self, strokes: Iterable[Held], modifiers: int) -> int:
        closed = self.compiled.mask_of(modifiers)
        for stroke in strokes:
            closed |= stroke.mask
        return closed

    def stroke(self, usage: Usage, entry: Entry) -> Held:
        """The stroke of an entry, as that of a key."""
        found = self._strokes.get((usage, entry))
        if found is None:
            contacts = self.compiled.contacts(entry.kind, entry.value)
            mask = sum(1 << contact for contact in set(contacts))
            found = self._strokes[usage, entry] = Held(usage, contacts, mask, *self.compiled.demands[entry.demand])
        return found

    def _close(self, now: Standing, stroke: Held, moments: tuple[int, ...]) -> Outcome:
        """Leads and closes a stroke, or refuses it; opens older strokes that contradict it."""
        typist = self.typist(now)
        wanted = stroke.wants(typist)
        cause = self.refusal(stroke, wanted)
        if cause is not None:
            return self._follow(Does.STROKE, now, moments)._replace(refused=cause)
        # Alone it stays closed, because it is not refused.
        kept, opened = self._keep((stroke, *now.strokes), typist) if now.strokes else ((stroke,), ())
        steps = (self._mask(kept[1:], now.modifiers), self._mask(kept[1:], wanted), self._mask(kept, wanted))
        places = (stroke, *now.places) if self.compiled.resumes else now.places
        after = Standing(now.down, kept, wanted, *now[3:-1], places)
        changes = _changes(moments, steps)
        return Outcome(Does.STROKE, changes, after, strokes=1, opened=opened)

    def close_alone(self, entries: tuple[Entry, ...], typist: int) -> Outcome:
        """What the strokes of some entries do in turn while only modifier keys are held, by keys or by latches."""
        standing = REST._replace(modifiers=typist, latches=typist)
        strokes = tuple([self.stroke(Usage(0), one) for one in entries])
        return self._act(standing, Asks(Does.STROKE, 0, strokes), (self.closed(standing),))

    def _follow(self, does: Does, now: Standing, moments: tuple[int, ...]) -> Outcome:
        """After a change of modifiers: judges the closed strokes again; modifiers then follow the newest that stays."""
        typist = self.typist(now)
        if not now.strokes:
            after = now if typist == now.modifiers else Standing(now.down, (), typist, *now[3:])
            # A stroke that was closed before may have been released.
            mask_of = self.compiled.mask_of
            return Outcome(does, _changes(moments, (mask_of(now.modifiers), mask_of(typist))), after)
        kept, opened = self._keep(now.strokes, typist)
        wanted = kept[0].wants(typist) if kept else typist
        steps = (self._mask(kept, now.modifiers), self._mask(kept, wanted))
        # Usually nothing changes, and there are thousands of events.
        same = len(kept) == len(now.strokes) and wanted == now.modifiers
        after = now if same else now._replace(strokes=kept, modifiers=wanted)
        if len(kept) < len(now.strokes) and now.places:
            # A stroke that breaks a rule alone does not come back.
            alone = now.strokes[: now.strokes.index(kept[0])] if kept else now.strokes
            after = after._replace(places=tuple([stroke for stroke in now.places if stroke not in alone]))
        return Outcome(does, _changes(moments, steps), after, opened=opened)

    def refusal(self, stroke: Held, modifiers: int, pads: Padded = NONE) -> Cause | None:
        """Why a stroke is not closed alone, with its own modifier keys and what pads close; None if it is closed."""
        cell = (stroke.contacts, modifiers, pads)
        if cell not in self._alone:
            lifts = pads.held & ~modifiers
            present = self.compiled.mask_of(modifiers) | pads.joined
            self._alone[cell] = Cause.MODIFIERS if lifts else self._judge(stroke, present, 0, pads)
        return self._alone[cell]

    def judge(self, strokes: Iterable[Held], typist: int, pads: Padded = NONE) -> list[Cause | None]:
        """The rule that each of some strokes breaks, from the newest on; None for each that stays closed.

        The `typist` modifier keys must include what pads hold.
        """
        found: list[Cause | None] = []
        any_kept = False
        wanted = present = keys = 0
        for stroke in strokes:
            own = stroke.wants(typist)
            if not any_kept:
                wanted, present, keys = own, self.compiled.mask_of(own) | pads.joined, 0
            other = own != wanted or pads.held & ~own
            cause = Cause.MODIFIERS if other else self._judge(stroke, present, keys, pads)
            found.append(cause)
            if cause is None:
                any_kept = True
                present |= stroke.mask
                keys += (stroke.mask & self.crosspoints).bit_count()
        return found

    def judge_shown(self, strokes: Iterable[Held], modifiers: int, pads: Padded) -> int | None:
        """The place of the first stroke, from the newest on, that breaks a rule as closed with these modifier keys."""
        present, keys = self.compiled.mask_of(modifiers) | pads.joined, 0
        for place, stroke in enumerate(strokes):
            if self._judge(stroke, present, keys, pads):
                return place
            present |= stroke.mask
            keys += (stroke.mask & self.crosspoints).bit_count()
        return None

    def _keep(self, strokes: tuple[Held, ...], typist: int) -> tuple[tuple[Held, ...], tuple[tuple[Usage, Cause], ...]]:
        """The strokes that stay closed, from the newest on, and the opened ones, each with the rule that it breaks."""
        if not strokes:
            return (), ()
        causes = self.judge(strokes, typist)
        opened = tuple([(stroke.usage, cause) for stroke, cause in zip(strokes, causes, strict=True) if cause])
        if not opened:
            return strokes, ()
        return tuple([stroke for stroke, cause in zip(strokes, causes, strict=True) if not cause]), opened

    def _judge(self, stroke: Held, present: int, keys: int, pads: Padded = NONE) -> Cause | None:
        """The rule that a stroke breaks when its contacts close one after the other while others are closed."""
        compiled = self.compiled
        for contact in stroke.contacts:
            if present >> contact & 1:
                return Cause.CONTACT
            present |= 1 << contact
            if not self.crosspoints >> contact & 1:
                continue
            keys += 1
            if compiled.rollover is not None and keys > compiled.rollover:
                return Cause.ROLLOVER
            if compiled.guard and (
                carries_on(contact, present & self.crosspoints, pads.pulled, self._width, compiled.select)
                if pads.pulled or pads.joined
                else self.lies_at(contact, present)
            ):
                return Cause.PHANTOM
        return None

    def lies_at(self, contact: int, present: int) -> bool:
        """Whether the select line of a contact shares some, but not all, sense lines with another."""
        width, row = self._width, self._row
        own = present >> contact // width * width & row
        rest = present & self.crosspoints
        while rest:
            line = rest & row
            if line & own and line != own:
                return True
            rest >>= width
        return False

    def types(self, outcome: Outcome) -> tuple[Typed, ...]:
        """All newly read keys because of a press, in the order in which the machine reads them."""
        if self.turns.any:
            return self._in_turn(outcome.turn, outcome.moments)[1]
        return tuple(typed for before, after in pairwise(outcome.moments) for typed in self.typed(before, after))


def _together(before: Outcome, then: Outcome) -> Outcome:
    """The combined result of two actions in turn."""
    return then._replace(
        strokes=before.strokes + then.strokes,
        refused=then.refused or before.refused,
        opened=(*before.opened, *then.opened),
    )


def _changes(moments: tuple[int, ...], more: Iterable[int]) -> tuple[int, ...]:
    """The moments with more added, each different from the one before."""
    found = list(moments)
    for mask in more:
        if not found or found[-1] != mask:
            found.append(mask)
    return tuple(found)
