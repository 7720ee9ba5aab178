"""Streams of events for both engines: at random, and in every order."""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence

from matrixmap.hid.usages import (
    ALT_LEFT,
    ALT_RIGHT,
    CAPS_LOCK,
    CONTROL_LEFT,
    ERROR_ROLL_OVER,
    META_LEFT,
    MODIFIER_BITS,
    NUM_LOCK,
    SHIFT_LEFT,
    Usage,
    by_code,
)
from matrixmap.model.plan import Command, Feed, Latch, Plan, Trigger
from matrixmap.simulate import tape
from matrixmap.simulate.typing.reports import boot_report

Stream = list[bytes]
"""Events of a tape, each by itself."""

BITMAP_BYTES = 32
FIELDS = 6
BACKSPACE = by_code("Backspace")[0]


def bitmap(down: set[Usage]) -> bytes:
    """The set of usages as 32 bytes."""
    out = bytearray(BITMAP_BYTES)
    for usage in down:
        out[usage >> 3] |= 1 << (usage & 7)
    return bytes(out)


class Typist:
    """Moves keys of several keyboards at random."""

    def __init__(self, rng: random.Random, plan: Plan, keyboards: int) -> None:
        self.rng = rng
        self.bound = sorted({binding.trigger.usage for binding in plan.bindings} - set(MODIFIER_BITS))
        named = {binding.trigger.usage for binding in plan.bindings if binding.trigger.extras}
        self.named = sorted(named & set(self.bound)) or self.bound
        dead = plan.dead_keys
        self.switching = sorted(
            {one.trigger.usage for one in plan.bindings if isinstance(one.action, Latch | Command)} - set(MODIFIER_BITS)
        )
        self.feeding = sorted(
            {one.trigger.usage for one in plan.bindings if isinstance(one.action, Feed)} & set(self.bound)
        )
        self.composing = sorted({press.usage for press in dead.triggers} | {usage for _, usage, _ in dead.pairs})
        self.down: list[set[Usage]] = [set() for _ in range(keyboards)]

    def move(self, most: int) -> tuple[int, set[Usage]]:
        """Moves a few keys of one keyboard, which then has at most so many keys down besides modifiers."""
        rng = self.rng
        keyboard = rng.randrange(len(self.down))
        down = self.down[keyboard]
        for _ in range(rng.choice((1, 1, 1, 2, 3))):
            if down and rng.random() < 0.5:
                down.discard(rng.choice(sorted(down)))
            elif rng.random() < 0.25:
                down.add(rng.choice(sorted(MODIFIER_BITS)))
            elif rng.random() < 0.15:
                down.add(rng.choice(self.named))
            elif self.switching and rng.random() < 0.15:
                # Latches and commands, often several in one report.
                down.update(rng.choices(self.switching, k=rng.choice((1, 2, 3))))
            elif self.composing and rng.random() < 0.4:
                down.add(rng.choice(self.composing))
            else:
                down.add(rng.choice(self.bound) if rng.random() < 0.95 else Usage(rng.randrange(4, 256)))
        keys = sorted(down - set(MODIFIER_BITS))
        while len(keys) > most:
            down.discard(keys.pop(rng.randrange(len(keys))))
        return keyboard, down


def random_stream(
    seed: int, plan: Plan, first: int, events: int, *, keyboards: int = 1, layouts: Sequence[int] = ()
) -> Stream:
    """Typing at random with layout `first`: boot reports and bitmaps, some broken, lost links, changes of layout.

    `layouts` are those to change to, at any time or on every command. Times are such that the waiting line is now empty, now full.
    """
    rng = random.Random(seed)
    typist = Typist(rng, plan, keyboards)
    hurry = rng.choice((30, 300, 900, 3000))
    stream = [tape.start(first)]
    if layouts and rng.random() < 0.5:
        stream.append(tape.on_command(rng.choice(layouts)))
    while len(stream) < events:
        what = rng.random()
        if what < 0.5:
            keyboard, down = typist.move(FIELDS)
            stream.append(tape.boot_report(boot_report(down), keyboard))
        elif what < 0.6:
            keyboard, down = typist.move(rng.choice((FIELDS, 20)))
            stream.append(tape.usages(bitmap(down), keyboard))
        elif what < 0.63:
            usage = rng.choice((rng.choice(typist.bound), *typist.feeding, rng.randrange(256)))
            stream.append(tape.pasted(usage, rng.choice((0, 0, 0x02, 0x40, rng.randrange(256)))))
        elif what < 0.95:
            stream.append(tape.run(rng.choice((0, rng.randrange(30), rng.randrange(hurry), rng.randrange(hurry)))))
        elif what < 0.975 or not layouts:
            stream.append(_mishap(rng, keyboards, typist))
        elif what < 0.985:
            stream.append(tape.on_command(rng.choice((*layouts, tape.NO_LAYOUT))))
        else:
            stream.append(tape.change_layout(rng.choice(layouts)))
    return stream


def composing_stream(seed: int, plan: Plan, number: int, events: int, layouts: Sequence[int] = ()) -> Stream:
    """Dead keys with layout `number`: what comes between one and the next key, and what is held with both, at random.

    Now and then one of `layouts` comes between, and the layout again. Nothing but the start where the layout has no dead key.
    """
    rng = random.Random(seed)
    dead = sorted(plan.dead_keys.triggers, key=Trigger.sort_key)
    pairs = sorted((usage, level) for _, usage, level in plan.dead_keys.pairs)
    bound = sorted({binding.trigger.usage for binding in plan.bindings} - set(MODIFIER_BITS))
    stream = [tape.start(number)]
    while pairs and len(stream) < events:
        first = rng.choice(dead)
        usage, level = rng.choice(pairs) if rng.random() < 0.7 else (rng.choice(bound), rng.randrange(1, 5))
        taps = [(first.usage, first.level), (usage, level)]
        if rng.random() < 0.4:
            taps.insert(1, (rng.choice((CAPS_LOCK, NUM_LOCK, BACKSPACE, rng.choice(bound))), 1))
        for tapped, at in taps:
            held = {Usage(SHIFT_LEFT)} if at in (2, 4) else set()
            held |= {Usage(ALT_RIGHT)} if at > 2 else set()
            held |= {rng.choice((CONTROL_LEFT, ALT_LEFT, META_LEFT))} if rng.random() < 0.15 else set()
            stream += [tape.boot_report(boot_report({*held, Usage(tapped)})), tape.run(rng.choice((0, 900)))]
            stream += [tape.boot_report(boot_report(set())), tape.run(rng.choice((0, 900)))]
            if layouts and rng.random() < 0.05:
                stream += [tape.change_layout(rng.choice(layouts)), tape.change_layout(number)]
    return stream


def _mishap(rng: random.Random, keyboards: int, typist: Typist) -> bytes:
    """What goes wrong now and then."""
    keyboard = rng.randrange(keyboards)
    down = typist.down[keyboard]
    match rng.randrange(7):
        case 0:
            down.clear()
            return tape.disconnected(keyboard)
        case 1:
            report = bytearray(boot_report(down))
            report[rng.randrange(2, 8)] = rng.choice((ERROR_ROLL_OVER, 2, 3))
            return tape.boot_report(bytes(report), keyboard)
        case 2:
            return tape.boot_report(rng.randbytes(rng.randrange(12)), keyboard)
        case 3:
            return tape.boot_report(rng.randbytes(8), keyboard)
        case 4:
            return tape.jump(rng.choice((rng.randrange(0x10000), rng.randrange(200), -rng.randrange(200))))
        case 5:
            any_keys = bytearray(rng.randbytes(BITMAP_BYTES))
            # Only some bitmaps say that the keyboard cannot tell its keys apart.
            any_keys[0] &= rng.choice((0xF1, 0xF1, 0xFF))
            return tape.usages(bytes(any_keys) if rng.random() < 0.3 else bytes(BITMAP_BYTES), keyboard)
    return tape.boot_report(boot_report(down), rng.randrange(keyboards, 256))


def orders(keys: int) -> Iterator[tuple[tuple[tuple[int, bool], ...], ...]]:
    """Every order of going down and up of so many keys: steps of `(key, goes down)` that happen in one report.

    For two keys these are the thirteen relations of two intervals, for three there are 409.
    """

    def extend(state: tuple[int, ...]) -> Iterator[tuple[tuple[tuple[int, bool], ...], ...]]:
        # 0: not yet down, 1: down, 2: up again.
        open_keys = [key for key in range(keys) if state[key] < 2]
        if not open_keys:
            yield ()
            return
        for chosen in range(1, 1 << len(open_keys)):
            step = tuple((key, state[key] == 0) for bit, key in enumerate(open_keys) if chosen >> bit & 1)
            moved = tuple(value + ((key, value == 0) in step) for key, value in enumerate(state))
            for rest in extend(moved):
                yield (step, *rest)

    return extend((0,) * keys)
