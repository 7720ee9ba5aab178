"""A reader of table format 3, written from the description in mm_runtime.h and not from the emitter."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from tests.runtime.table import with_checksum

KINDS = ("crosspoint", "direct", "chord", "modifier", "latch", "command", "nothing", "dead key")
EXTRAS = {4: "Control", 6: "Alt", 7: "Meta"}
ENDINGS = {0: "accent first", 29: "keeps", 30: "takes back", 31: "drops"}
KEYPAD = range(0x59, 0x64)


Keys = tuple[tuple[tuple[str, int, int], ...], frozenset[tuple[str, int, int]], frozenset[tuple[str, int, int]]]
"""A stroke by its contacts, the modifier keys that it rules, and those that it holds."""

SEQUENCE = 0x80
GOES_ON = 1
"""The usage that has the further strokes of an accent by itself."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What a table says to one trigger.

    `contacts` are `("x", select, sense)` or `("d", line, 0)`; `rule` and `hold` are sets of modifier keys, which are
    contacts; `value` is the number of a command or dead key. `ending` is what it does while a dead key is pending, that
    has no pair with it.
    """

    kind: str
    contacts: tuple[tuple[str, int, int], ...]
    rule: frozenset[tuple[str, int, int]]
    hold: frozenset[tuple[str, int, int]]
    value: int
    ending: str
    before: tuple[Keys, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Read:
    """A whole table. `caps` maps a usage to the pairs of levels that Caps Lock swaps on it.

    `pairs` has a dead key's number, usage and level for keys; `alone` the accents of dead keys by themselves.
    """

    lines: tuple[int, int, int]
    modifier_keys: tuple[tuple[str, int, int], ...]
    caps: dict[int, int]
    flags: int
    rollover: int
    times: tuple[int, int, int]
    answers: dict[tuple[int, int, frozenset[str]], Answer]
    pairs: dict[tuple[int, int, int], Answer]
    alone: dict[int, Answer]


def _checked(data: bytes) -> bytes:
    """The bytes before the checksum."""
    assert with_checksum(data[:-2]) == data
    return data[:-2]


def read_table(data: bytes) -> Read:
    """The table that the bytes are. AssertionError if they are none, or if anything is left over."""
    take = _Taker(_checked(data))
    version, select, sense, direct, modifiers, demands, caps, chords, groups, flags, rollover = take.bytes(11)
    assert version == 3
    low_high = take.bytes(6)
    times = tuple(low_high[at] + 256 * low_high[at + 1] for at in (0, 2, 4))
    modifier_keys = tuple(_contact(*take.bytes(2), (select, sense, direct)) for _ in range(modifiers))
    asked = [
        tuple(
            frozenset(key for bit, key in enumerate(modifier_keys) if mask >> bit & 1)
            for mask in _within(take, modifiers)
        )
        for _ in range(demands)
    ]
    swaps: dict[int, int] = {}
    for _ in range(caps):
        first, last, pairs = take.bytes(3)
        assert first <= last
        assert pairs in (1, 2, 3)
        swaps.update(dict.fromkeys(range(first, last + 1), pairs))
    chord_rows = []
    for _ in range(chords):
        cells = take.bytes(8)
        pairs_of = [(cells[at], cells[at + 1]) for at in range(0, 8, 2)]
        used = [pair for pair in pairs_of if pair != (0xFF, 0xFF)]
        assert pairs_of[: len(used)] == used, "unused contacts stand at the end"
        chord_rows.append(tuple(_contact(*pair, (select, sense, direct)) for pair in used))
    answers: dict[tuple[int, int, frozenset[str]], Answer] = {}
    pairs: dict[tuple[int, int, int], Answer] = {}
    alone: dict[int, Answer] = {}
    for _ in range(groups):
        when, demand, after_and_kind, count = take.bytes(4)
        assert when & 0x0F
        assert not when & 0x20
        after, kind = after_and_kind >> 3, KINDS[after_and_kind & 7]
        extras = frozenset(name for bit, name in EXTRAS.items() if when >> bit & 1)
        assert kind != "modifier" or not after
        rule, hold = asked[demand]
        before = -1
        for _ in range(count):
            usage, value = take.bytes(2)
            assert before < usage <= 0xE7, "usages ascend"
            before = usage
            answer = _answer(
                kind,
                value,
                (rule, hold),
                modifier_keys,
                chord_rows,
                (select, sense, direct),
                ENDINGS.get(after, "pair"),
            )
            if usage == 0:
                assert after not in ENDINGS
                assert when == 0x0F
                assert after not in alone
                alone[after] = answer
                continue
            for level in (level for level in range(1, 5) if when >> (level - 1) & 1):
                if after in ENDINGS:
                    cell = (usage, level, extras)
                    assert cell not in answers, f"{cell} is answered twice"
                    answers[cell] = answer
                else:
                    assert not extras
                    assert (after, usage, level) not in pairs
                    assert (usage, level, extras) not in answers, "pairs stand first"
                    pairs[after, usage, level] = answer
    take.end()
    return _in_turn(
        Read(
            lines=(select, sense, direct),
            modifier_keys=modifier_keys,
            caps=swaps,
            flags=flags,
            rollover=rollover,
            times=(times[0], times[1], times[2]),
            answers=answers,
            pairs=pairs,
            alone=alone,
        )
    )


def _in_turn(read: Read) -> Read:
    """The same with each sequence as its last stroke and those before it; the entries that say these are gone then."""
    answers, pairs, alone = read.answers, read.pairs, read.alone
    used: set[tuple[int, int]] = set()

    def whole(answer: Answer, usage: int, level: int) -> Answer:
        before: list[Keys] = []
        number, last = 0, answer
        while last.kind == "dead key" and last.value & SEQUENCE:
            assert last.value & 0x1F > number, "a sequence goes on with one of a higher number"
            number = last.value & 0x1F
            first = alone[number]
            before.append((first.contacts, first.rule, first.hold))
            used.add((number, usage))
            last = pairs[number, usage, level]
        return replace(last, ending=answer.ending, before=tuple(before))

    whole_answers = {cell: whole(answer, cell[0], cell[1]) for cell, answer in answers.items()}
    # Entries of sequences are met on the way from others, and are not asked for themselves.
    values = [
        answer.value for answer in (*answers.values(), *pairs.values(), *alone.values()) if answer.kind == "dead key"
    ]
    sequences = {value & 0x1F for value in values if value & SEQUENCE}
    whole_pairs = {cell: whole(answer, cell[1], cell[2]) for cell, answer in pairs.items() if cell[0] not in sequences}
    whole_alone = {number: whole(answer, GOES_ON, 1) for number, answer in alone.items() if number not in sequences}
    assert used == {(number, usage) for number, usage, _ in pairs if number in sequences}
    assert sequences <= set(alone)
    return replace(read, answers=whole_answers, pairs=whole_pairs, alone=whole_alone)


class _Taker:
    def __init__(self, data: bytes) -> None:
        self.data = data
        self.at = 0

    def bytes(self, count: int) -> bytes:
        self.at += count
        assert self.at <= len(self.data), "the table ends too early"
        return self.data[self.at - count : self.at]

    def end(self) -> None:
        assert self.at == len(self.data), "bytes are left over"


def _within(take: _Taker, modifiers: int) -> Iterator[int]:
    for mask in take.bytes(2):
        assert mask < 1 << modifiers, "a mask names modifier keys that are not there"
        yield mask


def _contact(kind: int, value: int, lines: tuple[int, int, int]) -> tuple[str, int, int]:
    if kind == 0:
        assert value >> 4 < lines[0]
        assert value & 15 < lines[1]
        return "x", value >> 4, value & 15
    assert kind == 1
    assert value < lines[2]
    return "d", value, 0


def _answer(
    kind: str,
    value: int,
    demand: tuple[frozenset[tuple[str, int, int]], frozenset[tuple[str, int, int]]],
    modifier_keys: tuple[tuple[str, int, int], ...],
    chords: list[tuple[tuple[str, int, int], ...]],
    lines: tuple[int, int, int],
    ending: str,
) -> Answer:
    contacts: tuple[tuple[str, int, int], ...] = ()
    if kind in ("crosspoint", "direct"):
        contacts = (_contact(KINDS.index(kind), value, lines),)
    elif kind == "chord":
        contacts = chords[value]
    elif kind in ("modifier", "latch"):
        assert value < 1 << len(modifier_keys)
        contacts = tuple(key for bit, key in enumerate(modifier_keys) if value >> bit & 1)
    return Answer(
        kind=kind,
        contacts=contacts,
        rule=demand[0],
        hold=demand[1],
        value=value if kind in ("command", "dead key") else 0,
        ending=ending,
    )
