"""Keys that are held together, pressed in every order: what stays closed, what is opened or refused, what is read."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from enum import Enum
from itertools import chain
from typing import NamedTuple

from matrixmap.circuit.corners import corners_of
from matrixmap.hid.usages import Usage
from matrixmap.model.machine import Contact
from matrixmap.press.rules import REST, Cause, Does, Rules, Standing

Order = tuple[int, ...]
"""Keys by number, in the order in which they are pressed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HeldKey:
    """A key to hold. The keys in `before` are pressed right before it, unless already down, and stay down too."""

    usage: Usage
    before: tuple[Usage, ...] = ()

    @property
    def usages(self) -> tuple[Usage, ...]:
        """All keys that are pressed, in order."""
        return (*self.before, self.usage)


class Status(Enum):
    """What has happened to a key once all are down."""

    CLOSED = "closed"
    OPENED = "opened"
    REFUSED = "refused"
    LIFTED = "lifted"
    OTHER = "no contact"


class Fate(NamedTuple):
    """What happened to a key: what its press did, its contacts in the end, and the rule if they are not closed."""

    does: Does
    status: Status
    cause: Cause | None = None


class Result(NamedTuple):
    """What an order of presses leads to; contacts are masks.

    `closed` and `read` are the state once all keys are down. `lies` are the crosspoints that were read at some moment
    although nothing closed them. `unseen` are closed contacts: if one of them opens, the machine does not see it.
    """

    fates: tuple[Fate, ...]
    closed: int
    read: int
    lies: int
    unseen: int

    @property
    def is_whole(self) -> bool:
        """Whether every key that closes something is closed, and the machine reads nothing else."""
        closing = (fate for fate in self.fates if fate.does is Does.STROKE)
        return not self.lies and all(fate.status is Status.CLOSED for fate in closing)


class Group(NamedTuple):
    """Orders with the same result."""

    result: Result
    orders: tuple[Order, ...]


@dataclass(slots=True)
class _Walk:
    """A walk through all orders: their results, and the sets of contacts closed while only some keys are down."""

    rules: Rules
    keys: Sequence[HeldKey]
    ends: list[tuple[Order, Standing, Result]] = field(default_factory=list)
    moments: dict[frozenset[int], set[int]] = field(default_factory=dict)

    def go(self, order: Order, standing: Standing, does: dict[int, Fate], lies: int) -> None:
        """Presses each key that is not yet down, and goes on from there."""
        if len(order) == len(self.keys):
            self.ends.append((order, standing, self._result(standing, does, lies)))
            return
        for number in range(len(self.keys)):
            if number not in order:
                self._press(order, number, standing, dict(does), lies)

    def _press(self, order: Order, number: int, standing: Standing, does: dict[int, Fate], lies: int) -> None:
        key, rules = self.keys[number], self.rules
        order = (*order, number)
        moments = self.moments.setdefault(frozenset(order), set())
        does[number] = Fate(Does.MODIFIER if key.usage in rules.compiled.feeds else Does.NOTHING, Status.OTHER)
        numbers = {each.usage: number for number, each in enumerate(self.keys)}
        for usage in key.usages:
            if usage in standing.down:
                continue
            outcome = rules.press(standing, usage)
            standing = outcome.after
            for closed in outcome.moments[1:] or outcome.moments:
                moments.add(closed)
                # A contact that is about to close may be read a moment early; that is no other key.
                lies |= rules.phantoms(closed) & ~outcome.closed
            for other, cause in outcome.opened:
                if other in numbers:
                    does[numbers[other]] = Fate(Does.STROKE, Status.OPENED, cause)
            if usage == key.usage:
                refused = outcome.refused
                does[number] = Fate(outcome.does, Status.REFUSED if refused else Status.OTHER, refused)
        self.go(order, standing, does, lies)

    def _result(self, standing: Standing, does: dict[int, Fate], lies: int) -> Result:
        rules = self.rules
        closed = rules.closed(standing)
        fates = tuple(self._fate(number, standing, does[number]) for number in range(len(self.keys)))
        return Result(fates, closed, rules.read(closed), lies, rules.masked(closed))

    def _fate(self, number: int, standing: Standing, fate: Fate) -> Fate:
        usage = self.keys[number].usage
        if fate.does is Does.MODIFIER:
            fed = self.rules.compiled.feeds.get(usage, 0)
            return Fate(Does.MODIFIER, Status.LIFTED if fed & ~standing.modifiers else Status.CLOSED)
        if any(stroke.usage == usage for stroke in standing.strokes):
            return Fate(Does.STROKE, Status.CLOSED)
        return fate


class Holding:
    """Some keys held together by one set of rules; every order is played once."""

    def __init__(self, rules: Rules, keys: Sequence[HeldKey]) -> None:
        self.rules = rules
        self.keys = tuple(keys)
        walk = _Walk(rules, self.keys)
        walk.go((), REST, {}, 0)
        self._ends = walk.ends
        self.moments = walk.moments

    @property
    def orders(self) -> int:
        """How many orders there are."""
        return len(self._ends)

    @property
    def is_whole(self) -> bool:
        """Whether in every order all keys are closed and nothing else is read."""
        return all(result.is_whole for _, _, result in self._ends)

    def groups(self) -> tuple[Group, ...]:
        """The orders by their result, the largest group first."""
        found: dict[Result, list[Order]] = {}
        for order, _, result in self._ends:
            found.setdefault(result, []).append(order)
        groups = [Group(result, tuple(orders)) for result, orders in found.items()]
        return tuple(sorted(groups, key=lambda group: (-len(group.orders), group.orders[0])))

    def all_moments(self) -> frozenset[int]:
        """Every set of contacts that is closed at some moment, as masks."""
        return frozenset(chain.from_iterable(self.moments.values()))

    def releases(self) -> Iterator[tuple[Order, int, tuple[int, ...]]]:
        """Each order and key, with the keys that close again when that key is released, once all are down.

        Its keys in `before` are released after it, unless another key needs them.
        """
        for order, standing, _ in self._ends:
            closed = {stroke.usage for stroke in standing.strokes}
            for number in range(len(self.keys)):
                after = standing
                for usage in self._released(number):
                    after = self.rules.release(after, usage)
                back = {stroke.usage for stroke in after.strokes} - closed
                yield order, number, tuple(n for n, each in enumerate(self.keys) if each.usage in back and n != number)

    def _released(self, number: int) -> Iterator[Usage]:
        others = {usage for n, key in enumerate(self.keys) if n != number for usage in key.usages}
        return (usage for usage in reversed(self.keys[number].usages) if usage not in others)


class PhantomCause(NamedTuple):
    """Three closed contacts that make a phantom, the corner first; the fewest keys that close them; what is read."""

    keys: tuple[int, ...]
    contacts: tuple[Contact, Contact, Contact]
    reads: Contact


def phantom_causes(bare: Holding) -> tuple[PhantomCause, ...]:
    """Every three contacts that make a phantom at some moment on a matrix of plain switches, by the fewest keys."""
    machine = bare.rules.machine
    corners = corners_of(machine, bare.rules.contacts)
    if corners is None:
        return ()
    found: dict[tuple[Contact, Contact, Contact], PhantomCause] = {}
    for keys in sorted(bare.moments, key=lambda keys: (len(keys), sorted(keys))):
        for closed in sorted(bare.moments[keys]):
            for corner, beside, below, phantom in corners.triples(closed):
                contacts = (corner, beside, below)
                if not closed >> phantom & 1 and contacts not in found:
                    found[contacts] = PhantomCause(tuple(sorted(keys)), contacts, phantom)
    return tuple(sorted(found.values(), key=lambda cause: (len(cause.keys), cause)))
