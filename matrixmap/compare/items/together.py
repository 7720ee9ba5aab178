"""What does the machine read for two or three keys held together? Both sides are compared.

This is played if the guard, the rollover, the way in which contacts close or the wiring changed. The first sets with
a different result are reported, the smallest first.
"""

from __future__ import annotations

from collections.abc import Iterator
from enum import IntEnum
from itertools import combinations
from typing import NamedTuple

from matrixmap.compare.items.item import Item, Part, Proof, Section
from matrixmap.compare.sides.outcomes import Does, Outcomes, Press
from matrixmap.compare.sides.pair import Pair
from matrixmap.compare.sides.words import Words, join_words, say
from matrixmap.hid.usages import SHIFT_LEFT, Usage
from matrixmap.model.plan import Trigger
from matrixmap.model.words import printed_keys
from matrixmap.press.rules import REST, Held, Rules
from matrixmap.press.rules import Does as Played

KEYS = (*range(0x04, 0x28), 0x2C)
"""Letters, digits and Space (HID Usage Tables 1.5, section 10): what fast fingers and players hold together."""


class Read(IntEnum):
    """The result of keys held together, the worst first."""

    WRONG = 0
    OPENED = 1
    WHOLE = 2


class Together(NamedTuple):
    """Keys pressed in this order, the result, the keys that stay closed, and what is read in addition."""

    keys: tuple[Usage, ...]
    read: Read
    kept: tuple[Usage, ...]
    besides: int


def together_items(pair: Pair) -> Iterator[Item]:
    """A set of keys that is no longer read whole and one that now is, if any; keys that come back; two keyboards."""
    if pair.played is None:
        return
    yield from _apart_item(pair)
    before, after = (side.rules.compiled for side in pair.played)
    if before.resumes != after.resumes:
        yield from _resume_item(pair)
    if pair.same_machine or "machine" in pair.another or "host" in pair.another:
        return
    worse, better = _first_changes(pair)
    for found, breaking in ((worse, True), (better, False)):
        if found:
            yield _together_item(pair, *found, breaking)


def _first_changes(pair: Pair) -> list[tuple[Together, Together] | None]:
    """The first set of keys with a worse result, and the first with a better one."""
    assert pair.played
    found: list[tuple[Together, Together] | None] = [None, None]
    strokes = [_strokes(side.rules) for side in pair.played]
    common = [usage for usage in KEYS if usage in strokes[0] and usage in strokes[1]]
    for size in (2, 3):
        for keys in combinations(common, size):
            both = [
                _play(side.rules, [some[key] for key in keys]) for side, some in zip(pair.played, strokes, strict=True)
            ]
            better = both[1].read > both[0].read
            if both[0].read != both[1].read and found[better] is None:
                found[better] = both[0], both[1]
                if None not in found:
                    return found
        if any(found):
            break
    return found


def _strokes(rules: Rules) -> dict[int, Held]:
    """The strokes of keys that close one stroke and ask for nothing before it."""
    found = {}
    for number in KEYS:
        asks = rules.asks(Usage(number), 1, 0, 0)
        if asks.does is Played.STROKE and len(asks.strokes) == 1:
            found[number] = asks.strokes[0]
    return found


def _play(rules: Rules, strokes: list[Held]) -> Together:
    """The result of strokes that close one after the other."""
    causes = rules.judge(reversed(strokes), 0)
    kept = [stroke for stroke, cause in zip(reversed(strokes), causes, strict=True) if cause is None]
    mask = rules.compiled.mask_of(kept[0].wants(0)) if kept else 0
    for stroke in kept:
        mask |= stroke.mask
    besides = rules.phantoms(mask)
    keys = tuple(stroke.usage for stroke in strokes)
    read = Read.WRONG if besides else Read.WHOLE if len(kept) == len(strokes) else Read.OPENED
    return Together(keys, read, tuple(stroke.usage for stroke in reversed(kept)), besides)


def _together_item(pair: Pair, old: Together, new: Together, breaking: bool) -> Item:
    assert pair.played
    words = (_read_words(pair, 0, old), _read_words(pair, 1, new))
    keys = _named(pair, old.keys)
    said = say("{} held together: {}, now {}", keys, *words)
    short = say("{} held together: {}", keys, words[1])
    proof = Proof(key=old.keys[-1], held=old.keys[:-1], before=words[0], after=words[1])
    return _item(pair, breaking, said, short, proof, ("together", old, new))


def _read_words(pair: Pair, side: int, found: Together) -> Words:
    assert pair.played
    was = side == 0
    if found.read is Read.WHOLE:
        return ("were all read" if was else "are all read",)
    several = len(found.kept) > 1
    verb = ("were" if several else "was") if was else ("are" if several else "is")
    kept = say(f"only {{}} {verb} read", _named(pair, found.kept)) if len(found.kept) < len(found.keys) else ()
    if found.read is Read.OPENED:
        return kept
    besides = say(
        "the machine also read {}" if was else "the machine also reads {}", _besides(pair.played[side], found)
    )
    return (*kept, " and ", *besides) if kept else besides


def _besides(side: Outcomes, found: Together) -> Words:
    names = [key.name for key in side.plan.layout.machine.keys if found.besides >> key.contact & 1]
    return join_words(names) if names else ("a crosspoint without a key",)


def _named(pair: Pair, keys: tuple[Usage, ...]) -> Words:
    host = pair.new.layout.host
    return join_words(printed_keys(host, Trigger(usage=usage, level=1)) for usage in keys)


def _resume_item(pair: Pair) -> Iterator[Item]:
    """A key opened for a newer one: whether it comes back when the newer one is released."""
    assert pair.played
    now = pair.played[1].rules.compiled.resumes
    side = pair.played[1 if now else 0]
    strokes = _strokes(side.rules)
    for size in (2, 3):
        for keys in combinations(strokes, size):
            older, newest = Usage(keys[0]), Usage(keys[-1])
            standing = REST
            for key in keys:
                standing = side.rules.press(standing, Usage(key)).after
            if older in {stroke.usage for stroke in standing.strokes}:
                continue
            standing = side.rules.release(standing, newest)
            if older not in {stroke.usage for stroke in standing.strokes}:
                continue
            held = tuple(map(Usage, keys[:-1]))
            both = ("did not come back" if now else "came back"), ("comes back" if now else "does not come back")
            said = say(
                "{} held, then {} pressed and let go: {} {} and now {}",
                _named(pair, held),
                _named(pair, (newest,)),
                _named(pair, (older,)),
                (both[0],),
                (both[1],),
            )
            proof = Proof(key=newest, held=held, let_go=newest, before=(both[0],), after=(both[1],))
            short = ("a key that was opened for a newer one ", both[1])
            yield _item(pair, not now, said, short, proof, ("resume", keys, now))
            return


def _apart_item(pair: Pair) -> Iterator[Item]:
    """Shift of one keyboard with a key of another."""
    both = pair.old.layout.apart, pair.new.layout.apart
    if both[0] == both[1]:
        return
    assert pair.played
    side = pair.played[0 if both[1] else 1]
    held = side.every.mask_of((SHIFT_LEFT,)) if SHIFT_LEFT in side.every.holding else 0
    for number in KEYS if held else ():
        with_shift, alone = (side.of(Press(Usage(number), some)) for some in (held, 0))
        if with_shift != alone and with_shift.does is alone.does is Does.TYPES:
            texts = (with_shift.text, alone.text) if both[1] else (alone.text, with_shift.text)
            said = say(
                "Shift on one keyboard with {} on another typed {} and now types {}",
                _named(pair, (Usage(number),)),
                *texts,
            )
            proof = Proof(
                key=Usage(number),
                held=(SHIFT_LEFT,),
                apart=True,
                before=say("typed {}", texts[0]),
                after=say("types {}", texts[1]),
            )
            short: Words = (
                "Shift on one keyboard no longer counts on another" if both[1] else "Shift counts on all keyboards",
            )
            yield _item(pair, both[1], said, short, proof, ("apart", both[1]))
            return


def _item(pair: Pair, breaking: bool, words: Words, short: Words, proof: Proof, same: tuple[object, ...]) -> Item:
    return Item(
        part=Part.LAYOUT,
        section=Section.TOGETHER,
        breaking=breaking,
        words=words,
        facts=frozenset(),
        place=pair.new.layout.place,
        short=short,
        proof=proof,
        same=same,
    )
