"""Conflicts in words: what to hold and press, what closes, what the machine reads and types."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import permutations
from typing import NamedTuple

from matrixmap.check.guard import Guard, held_contacts
from matrixmap.check.subject import Item, Subject, are_plain
from matrixmap.check.ways import fed_bits
from matrixmap.circuit.reading import phantoms
from matrixmap.hid.usages import ALT_LEFT, KEYPAD_DIGITS, SHIFT_LEFT, SHIFT_RIGHT, Usage
from matrixmap.join.typed import EXTRA_USAGES
from matrixmap.model.finding import Place
from matrixmap.model.layout import HostModifier
from matrixmap.model.machine import PLAIN, Contact, Controller, Switch
from matrixmap.model.plan import Latch, Trigger, Way
from matrixmap.model.witness import Witness
from matrixmap.model.words import LEVEL_WORDS, key_name, printed_keys, printed_press, shown, usage_name

_Presses = tuple[tuple[Usage, ...], tuple[Way, ...], tuple[Way, ...] | None]


class Teller:
    """Words for the strokes, contacts and readings of one subject; each is worked out once."""

    def __init__(self, subject: Subject) -> None:
        self.subject = subject
        self.guard = Guard(subject)
        self.machine = subject.plan.layout.machine
        self.host = subject.plan.layout.host
        self.fed = fed_bits(subject)
        count = self.machine.crosspoints + len(self.machine.direct)
        self.lines = tuple(self.machine.contact_name(Contact(number)) for number in range(count))
        self._modifier_of = {
            self.machine.key(name).contact: modifier.name
            for modifier in self.machine.modifiers
            for name in modifier.keys
        }
        self._latches = frozenset(
            binding.trigger.usage for binding in subject.plan.bindings if isinstance(binding.action, Latch)
        )
        places = {binding.trigger: binding.place for binding in subject.plan.bindings if binding.place}
        self._places = {
            item: place for item in subject.items if (place := places.get(item.trigger)) and len(item.ways[0]) == 1
        }
        # By identity: the subject keeps its ways and their triggers alive, and they are asked for thousands of times.
        self._split: dict[int, tuple[tuple[str, ...], str]] = {}
        self._orders: dict[tuple[tuple[int, ...], tuple[Usage, ...]], tuple[Way, ...] | None] = {}
        self._owns: dict[tuple[int, bool], int] = {}
        self._feeding: dict[tuple[Usage, ...], int] = {}
        self._feeder: dict[int, tuple[Usage, str]] = {}
        self._same: dict[tuple[int, tuple[Usage, ...]], bool] = {}
        self._last: tuple[tuple[Item, ...], int, _Presses] = ((), 0, ((), (), ()))
        self._reads: dict[tuple[Contact, frozenset[str]], str] = {}

    def witness(
        self,
        items: tuple[Item, ...],
        fed: int,
        extra: tuple[Contact, ...] = (),
        unseen: tuple[Contact, ...] = (),
        switches: tuple[tuple[str, str], ...] = (),
    ) -> Witness:
        """The presses, the newest last, with what closes; `fed` are modifiers that the typist holds besides."""
        hold = 0
        for item in items:
            hold |= item.hold
        held, presses, order = self._presses(items, fed)
        presses = order or presses
        closed = [contact for item in items for contact in item.stroke.contacts]
        if hold or fed:
            closed = [*{*closed, *held_contacts(self.subject, hold | fed)}]
        closed.sort()
        return Witness(held, presses, switches, tuple(closed), extra, unseen)

    def can_be_made(self, items: tuple[Item, ...], fed: int) -> bool:
        """Whether hands can press strokes in some order so that none opens one before it, guard and rollover aside."""
        return self._presses(items, fed)[2] is not None

    def _presses(self, items: tuple[Item, ...], fed: int) -> _Presses:
        """The host keys to hold for strokes, the presses in the order of the strokes, and the first order that works."""
        last, fed_last, found = self._last
        # Of each conflict it is asked first whether it can be made, and then how.
        if items is last and fed == fed_last:
            return found
        hold = 0
        for item in items:
            hold |= item.hold
        if hold | fed:
            held = tuple([self.feeder(bit)[0] for bit in _bits(fed | self.needed(items, hold))])
            presses = tuple([self._way(item, held) for item in items])
        else:
            held, presses = (), tuple([item.ways[0] for item in items])
        order = self._made_in_order(items, presses, held) if held or not are_plain(items) else presses
        found = held, presses, order
        self._last = items, fed, found
        return found

    def _made_in_order(
        self, items: tuple[Item, ...], presses: tuple[Way, ...], held: tuple[Usage, ...]
    ) -> tuple[Way, ...] | None:
        """The first order in which no press opens one before it; None if there is none."""
        if len(presses) < 2:
            return presses
        steady = self._fed_by(held) if held else 0
        hold, lift = items[0].hold, items[0].lift
        felt, differ = steady, 0
        for item, way in zip(items, presses, strict=True):
            for trigger in way:
                if trigger.level > 1 or trigger.extras:
                    felt |= self.own(trigger, held)
            differ |= item.hold ^ hold or item.lift ^ lift
        if not differ & felt and (not differ or all(item.hold == hold for item in items)):
            # All strokes ask alike for the modifiers that are ever held: none opens another.
            return tuple(sorted(presses, key=lambda way: self._same_press(way, held))) if held else presses
        cell = (tuple([id(way) for way in presses]), held)
        if cell not in self._orders:
            rows = [
                _Row(
                    item, way, tuple([self.own(press, held) for press in way]), not held or self._same_press(way, held)
                )
                for item, way in zip(items, presses, strict=True)
            ]
            found = next((order for order in permutations(rows) if _stays_closed(order, steady)), None)
            self._orders[cell] = tuple([row.way for row in found]) if found else None
        return self._orders[cell]

    def own(self, trigger: Trigger, held: tuple[Usage, ...] = ()) -> int:
        """The bits of modifiers that host keys feed which are held for one press alone."""
        cell = (id(trigger), SHIFT_RIGHT in held)
        if cell not in self._owns:
            shift = trigger.level in (2, 4) and trigger.usage not in KEYPAD_DIGITS and SHIFT_RIGHT not in held
            extras = tuple([EXTRA_USAGES[extra] for extra in trigger.extras])
            self._owns[cell] = self._fed_by((*extras, SHIFT_LEFT) if shift else extras)
        return self._owns[cell]

    def _fed_by(self, usages: tuple[Usage, ...]) -> int:
        """The bits of modifiers that host keys feed."""
        if usages not in self._feeding:
            contacts = {self.subject.feeds[usage] for usage in usages if usage in self.subject.feeds}
            bits = enumerate(self.subject.modifier_keys)
            self._feeding[usages] = sum(1 << number for number, contact in bits if contact in contacts)
        return self._feeding[usages]

    def what_is_left(self, items: tuple[Item, ...], fed: int) -> Witness:
        """Presses that may contradict each other, the newest last, with what stays closed of them without the guard."""
        left = self.guard.settle(items, fed, on=False, rollover=False)
        extra = phantoms(self.machine, left.closed, self.subject.plan.contacts)
        return Witness(
            held=tuple([self.feeder(bit)[0] for bit in _bits(fed)]),
            presses=tuple([item.ways[0] for item in items]),
            closed=left.closed,
            phantoms=tuple(sorted(extra)),
        )

    def needed(self, items: tuple[Item, ...], hold: int) -> int:
        """Modifiers that one stroke holds and another lets pass: the typist holds them too."""
        needed = 0
        for item in items:
            needed |= hold & ~(item.hold | item.lift)
        return needed

    def feeder(self, bit: int) -> tuple[Usage, str]:
        """The host key that holds a modifier's key, and its name: `Shift` where both Shift keys do the same.

        A lock that works a latch in parallel with that key is named only where no key is held for it.
        """
        if bit not in self._feeder:
            contact = self.subject.modifier_keys[bit.bit_length() - 1]
            feeding = sorted(usage for usage, other in self.subject.feeds.items() if other == contact)
            usages = [usage for usage in feeding if usage not in self._latches] or feeding
            name = usage_name(usages[0])
            sides = {name.removesuffix("Left").removesuffix("Right") for name in map(usage_name, usages)}
            # Where right Alt is AltGr, the left one is the only Alt.
            both = len(usages) > 1 or (usages[0] == ALT_LEFT and self.host.has_altgr)
            self._feeder[bit] = usages[0], sides.pop() if both and len(sides) == 1 else name
        return self._feeder[bit]

    def _way(self, item: Item, held: tuple[Usage, ...]) -> Way:
        """The way to make a stroke that is pressed while host keys are held, else the easiest."""
        if not held:
            return item.ways[0]
        shift = self._shifts(held)
        for way in item.ways:
            if (way[-1].level in (2, 4)) is shift or way[-1].usage in KEYPAD_DIGITS:
                return way
        return item.ways[0]

    def press(self, witness: Witness) -> str:
        """A witness as a person with the host in front carries it out: `hold Shift, press 2`."""
        if not witness.held:
            caps = []
            for way in witness.presses:
                modifiers, cap = self._parts(way)
                if modifiers:
                    break
                caps.append(cap)
            else:
                return f"press {_and(caps)}" if caps else ""
        parts = [self._parts(way) for way in witness.presses]
        held = [self._held_name(usage) for usage in witness.held if usage not in self._latches]
        on = [self._held_name(usage) for usage in witness.held if usage in self._latches]
        latched = f"with {_and(on)} on" if on else ""
        if not parts:
            return ", ".join(words for words in (latched, f"hold {_and(held)}" if held else "") if words)
        return f"{latched}, {self._pressing(witness, parts, held)}" if on else self._pressing(witness, parts, held)

    def _pressing(self, witness: Witness, parts: list[tuple[tuple[str, ...], str]], held: list[str]) -> str:
        """What to hold and press, latches apart."""
        # A held Shift is the Shift of a trigger, by whatever name of its side.
        sides = _without_sides(witness.held)
        own = [(*held, *(modifier for modifier in modifiers if modifier not in sides)) for modifiers, _ in parts]
        first = sum(not self._same_press(way, witness.held) for way in witness.presses) if held else 0
        if first:
            before = _and([_chord(*part) for part in parts[:first]])
            keep = "it" if first == 1 else "them"
            rest = [_chord(own[number][len(held) :], parts[number][1]) for number in range(first, len(parts))]
            after = f" and press {_and(rest)}" if rest else ""
            return f"press {before} and keep {keep} down, then hold {_and(held)}{after}"
        if len(set(own)) == 1:
            caps = _and([cap for _, cap in parts])
            return f"hold {_and(list(own[0]))}, press {caps}" if own[0] else f"press {caps}"
        words = [_chord(modifiers, cap) for modifiers, (_, cap) in zip(own, parts, strict=True)]
        return f"press {_and(words, ' then ')}"

    def _held_name(self, usage: Usage) -> str:
        contact = self.subject.feeds[usage]
        return self.feeder(1 << self.subject.modifier_keys.index(contact))[1]

    def _same_press(self, way: Way, held: tuple[Usage, ...]) -> bool:
        """Whether pressing a way's keys while host keys are held does the same as the way."""
        cell = (id(way), held)
        if cell not in self._same:
            plan = self.subject.plan
            *dead, trigger = way
            extras = {extra for extra, usage in EXTRA_USAGES.items() if usage in held} | trigger.extras
            wider = Trigger(usage=trigger.usage, level=trigger.level, extras=frozenset(extras))
            level = not self._shifts(held) or trigger.level in (2, 4) or trigger.usage in KEYPAD_DIGITS
            if dead:
                # Control, Alt and Meta drop a dead key, and Shift makes another pair.
                shift = self._shifts(held)
                self._same[cell] = not extras and all((press.level in (2, 4)) is shift for press in way)
            else:
                self._same[cell] = level and plan.lookup(wider) == plan.by_trigger.get(trigger)
        return self._same[cell]

    def _shifts(self, held: tuple[Usage, ...]) -> bool:
        return SHIFT_LEFT in held or SHIFT_RIGHT in held

    def _parts(self, way: Way) -> tuple[tuple[str, ...], str]:
        """The host modifiers of a way's press, and its key as printed; with a dead key before it, all in one."""
        cell = id(way)
        if cell in self._split:
            return self._split[cell]
        if len(way) > 1:
            self._split[cell] = (), shown(printed_press(self.host, way))
        else:
            trigger = way[-1]
            levels = () if trigger.usage in KEYPAD_DIGITS else tuple(LEVEL_WORDS[trigger.level].split("+")[:-1])
            modifiers = (*levels, *(extra.value for extra in HostModifier if extra in trigger.extras))
            words = printed_keys(self.host, trigger)
            cap = words.removeprefix("".join(f"{modifier} " for modifier in modifiers))
            self._split[cell] = modifiers, shown(cap)
        return self._split[cell]

    def closes(self, contacts: Iterable[Contact]) -> str:
        """Contacts by their lines: `S0/N3 and S1/N3`."""
        return _and([self.lines[contact] for contact in contacts])

    def reads(self, extra: tuple[Contact, ...], closed: tuple[Contact, ...]) -> str:
        """What the machine reads besides, and what it types: `s (S1/N2) as well and types s`."""
        modifiers = [self._modifier_of[contact] for contact in (*closed, *extra) if contact in self._modifier_of]
        state = frozenset(modifiers) if modifiers else PLAIN
        if len(extra) == 1:
            return self._reading(extra[0], state)
        return _and([self._reading(contact, state) for contact in extra])

    def _reading(self, contact: Contact, state: frozenset[str]) -> str:
        cell = (contact, state)
        if cell not in self._reads:
            words = f"{key_name(self.machine, contact)} ({self.lines[contact]})"
            key = self.subject.keys.get(contact)
            if key is None:
                words = f"{self.lines[contact]}, where no key is"
            elif contact in self._modifier_of:
                words += f", so that all is typed with {self._modifier_of[contact]}"
            elif typed := key.types.get(state & key.selectors):
                words += f", which types {shown(typed.text)}"
            self._reads[cell] = words
        return self._reads[cell]

    def place(self, items: Iterable[Item]) -> Place | None:
        """The first line of the layout among those that cause some strokes, None where the join gives them all."""
        places = self._places
        found = [place for item in items if (place := places.get(item))] if places else []
        return min(found) if found else None

    def switch(self, controller: Controller, switch: Switch) -> str:
        """A controller's switch with its lines: `stick-left Fire (N4)`."""
        sense = self.machine.sense[switch.sense]
        lines = sense if switch.select is None else f"{self.machine.select[switch.select]}/{sense}"
        return f"{controller.name} {switch.function} ({lines})"


class _Row(NamedTuple):
    """A stroke to be made with others.

    `own` are the modifiers held for each press of its way alone; `same` says whether it may be made while the steady
    modifiers are held.
    """

    item: Item
    way: Way
    own: tuple[int, ...]
    same: bool


def _stays_closed(order: tuple[_Row, ...], steady: int) -> bool:
    """Whether each press leaves those before it closed; the steady modifiers stay held from the first that may."""
    holding = False
    for number, row in enumerate(order):
        if holding and not row.same:
            return False
        holding = holding or row.same
        resting = steady if holding else 0
        before = [other.item for other in order[:number]]
        *dead, own = row.own
        # A dead key closes nothing: while it is pressed, the newest stroke is the one before.
        changes = [(before[-1], resting | fed) for fed in dead] if before else []
        for newest, fed in (*changes, (row.item, resting | own), (row.item, resting)):
            wanted = fed & ~newest.lift | newest.hold
            for other in before:
                if fed & ~other.lift | other.hold != wanted:
                    return False
    return len({steady & ~row.item.lift | row.item.hold for row in order}) == 1


def _without_sides(held: Iterable[Usage]) -> frozenset[str]:
    """Names of modifier keys, be they left or right."""
    return frozenset(usage_name(usage).removesuffix("Left").removesuffix("Right") for usage in held)


def _chord(modifiers: Iterable[str], cap: str) -> str:
    return " ".join((*modifiers, cap))


def _and(words: list[str], last: str = " and ") -> str:
    """Words in a row: `A`, `A and B`, `A, B and C`."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])}{last}{words[-1]}"


def _bits(mask: int) -> Iterable[int]:
    while mask:
        yield mask & -mask
        mask &= mask - 1
