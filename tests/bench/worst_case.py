"""Which input costs the runtime most on an AVR: python -m tests.bench.worst_case [--search SECONDS] [--write].

Streams of steps are made from by hand-built ones by a search that keeps what costs most: each candidate runs in simavr,
so a cost is exact cycles of one call of mm_advance alone, or of a boot report or bitmap and the one call after it. The
worst found are kept in worst_cases.json, with `--write` those of this run; without `--search` they are only played again.
"""

from __future__ import annotations

import json
import math
import random
import re
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from matrixmap.hid.usages import BOOT_KEYS, Usage
from matrixmap.model.plan import Plan
from matrixmap.press.table.make import make_table
from tests import tools
from tests.agree.processors import HERE as TARGETS
from tests.agree.processors import write_tables
from tests.agree.streams import Typist, bitmap
from tests.project import shipped_ids, shipped_plan

CASES = Path(__file__).with_name("worst_cases.json")
PLAYER = Path(__file__).with_name("worst") / "steps_avr.c"
CALLS = ("mm_boot_report", "mm_usages", "mm_advance")
MACHINE = "quillon8"
TARGETS_OF_SEARCH = {
    "boot": "a boot report and one mm_advance",
    "bitmap": "a bitmap and one mm_advance",
    "advance": "one mm_advance",
}
"""What a search makes as dear as it can -> its title in the figures."""

LONGEST = 60
"""Steps of a candidate."""

KEPT, SAME_COST, CHILDREN = 60, 3, 100
"""Streams that are kept from round to round, how many of them may cost the same, and how many are made of them."""

SEEDS = 300
"""Hand-built streams that are played with each layout, drawn from more."""

JOINS = ("symbolic", "positional")
LAYOUTS_SEARCHED = 2
"""How many layouts of each join are searched for each target, of all shipped ones."""

Step = bytes
"""A step as steps_avr.c reads it."""

Stream = tuple[Step, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """A stream that was found for a target, and the cycles that it took when it was found."""

    target: str
    layout: str
    cycles: int
    steps: Stream


def ticks(step: int) -> bytes:
    """Time since the step before."""
    return (step & 0xFFFF).to_bytes(2, "little")


def boot(modifiers: int, keys: Sequence[int], step: int) -> Step:
    """A boot report with its time."""
    return b"b" + bytes((modifiers, 0, *keys[:BOOT_KEYS])).ljust(8, b"\0") + ticks(step)


def usages(down: set[int], step: int) -> Step:
    """A bitmap with its time."""
    return b"u" + bitmap({Usage(usage) for usage in down}) + ticks(step)


def wait(step: int) -> Step:
    """No input, only time."""
    return b"a" + ticks(step)


class Player:
    """Firmware for one layout in a folder of its own; `flags` are further settings of the runtime."""

    def __init__(self, folder: Path, layout: str, flags: Sequence[str] = ()) -> None:
        folder.mkdir(parents=True)
        write_tables(folder, [shipped_plan(layout)])
        words = (tools.tool("avr-gcc"), "-mmcu=atmega328p", "-std=c99", "-Os", *flags, f"-I{folder}")
        self.firmware = folder / "firmware.elf"
        tools.run(*words, "-o", self.firmware, PLAYER, folder / "mm_runtime.c", folder / f"{layout}.c")
        self.host = folder / "avr-host"
        tools.run(tools.tool("gcc"), "-O2", "-o", self.host, TARGETS / "avr_host.c", "-lsimavr", "-lelf")
        addresses = {}
        for line in tools.run(tools.tool("avr-nm"), self.firmware).stdout.splitlines():
            address, _, name = line.split()[-3:]
            addresses[name] = f"0x{address}"
        self.watched = [addresses[name] for name in CALLS]

    def costs(self, streams: Sequence[Stream]) -> list[dict[str, list[int]]]:
        """For each stream, begun anew: target -> cycles of each step, 0 where the step is none of the target."""
        data = b"".join(b"s" + b"".join(stream) for stream in streams)
        done = subprocess.run(
            [self.host, self.firmware, self.firmware.with_name("rows.bin"), *self.watched],
            input=data,
            capture_output=True,
            timeout=600,
            check=True,
        )
        calls = iter(int(cycles) for cycles in re.findall(rb"^call \d+ (\d+) \d+$", done.stderr, re.MULTILINE))
        out = []
        for stream in streams:
            found: dict[str, list[int]] = {name: [] for name in TARGETS_OF_SEARCH}
            for step in stream:
                letter = chr(step[0])
                first = next(calls) if letter in "bu" else 0
                last = next(calls) if letter in "bua" else 0
                found["boot"].append(first + last if letter == "b" else 0)
                found["bitmap"].append(first + last if letter == "u" else 0)
                found["advance"].append(last)
            out.append(found)
        assert next(calls, None) is None, "a call too many"
        return out


class Pools:
    """What candidates of a layout are made of: usages by what they do, modifier bytes, and times on which much hangs."""

    def __init__(self, rng: random.Random, plan: Plan) -> None:
        self.rng = rng
        typist = Typist(rng, plan, 1)
        table = make_table(plan)
        data = table.to_bytes()
        close, open_, lead = (int.from_bytes(data[at : at + 2], "little") for at in (11, 13, 15))
        self.bound = [int(usage) for usage in typist.bound]
        swapped = [usage for usage in self.bound for one in table.caps if one.first <= usage <= one.last]
        accents = [int(press.usage) for press in plan.dead_keys.triggers] or self.bound
        paired = [int(usage) for usage in typist.composing] or self.bound
        switching = [int(usage) for usage in typist.switching] or self.bound
        self.keys = [
            self.bound,
            swapped or self.bound,
            self.bound[-20:],
            accents,
            paired,
            switching,
            list(range(4, 0xE0)),
        ]
        self.times = [0, 0, 1, lead, close, close + 1, open_, open_ + 1, close + lead, close + open_, 700, 2000]

    def key(self) -> int:
        """Some key."""
        return self.rng.choice(self.rng.choice(self.keys))

    def modifiers(self) -> int:
        """A modifier byte; AltGr and Shift more often than others."""
        return self.rng.choice((0, 0, 0x02, 0x20, 0x40, 0x42, 0x22, 0x80, 0x01, 0x04, 0xFF, self.rng.randrange(256)))

    def time(self) -> int:
        """Ticks since the step before."""
        return self.rng.choice((*self.times, self.rng.randrange(0x8000)))

    def step(self, letters: str = "bbbbuuaat") -> Step:
        """Any step."""
        match self.rng.choice(letters):
            case "b":
                return boot(self.modifiers(), [self.key() for _ in range(self.rng.randrange(7))], self.time())
            case "u":
                count = self.rng.choice((1, 6, 12, 40, 150))
                down = {self.key() for _ in range(count)} | set(
                    self.rng.sample(range(0xE0, 0xE8), self.rng.randrange(4))
                )
                return usages(down, self.time())
            case "t":
                return bytes((ord("t"), self.key(), self.modifiers()))
        return wait(self.time())

    def by_hand(self) -> Iterator[Stream]:
        """Streams on which much comes together, as far as one can think of it."""
        rng = self.rng
        full = set(range(4, 0xE8))
        caps = boot(0, [0x39], 0)
        for held in (0x00, 0x02, 0x40, 0x42, 0xE2, 0xFF):
            for pool in self.keys:
                some = [rng.choice(pool) for _ in range(BOOT_KEYS)]
                others = [rng.choice(pool) for _ in range(BOOT_KEYS)]
                fill = (boot(held, some, 0), boot(held, others, 0))
                for last in (*self.times, 0x7FFF):
                    # The line is filled, the strokes follow at full pace, and a report comes when a close time ends.
                    yield (caps, *fill, wait(last), wait(last), boot(0, some[::-1], last), boot(held, others, last))
                    yield (
                        *fill,
                        *(wait(time) for time in (5, 5, last, 5, last)),
                        usages(full, last),
                        usages(set(), last),
                    )
                    yield (
                        *(bytes((ord("t"), key, held)) for key in (*some, *others)),
                        wait(last),
                        boot(held, some, last),
                    )
                yield (caps, *fill, b"l", *fill, wait(0), wait(0), usages(full, 0), wait(0x7FFF))


def changed(rng: random.Random, pools: Pools, stream: Stream, other: Stream) -> Stream:
    """The stream with a few changes, or put together with the other one."""
    steps = list(stream)
    if rng.random() < 0.15:
        cut = rng.randrange(len(other) + 1)
        steps = [*other[:cut], *steps[rng.randrange(len(steps) + 1) :]]
    for _ in range(rng.choice((1, 1, 2, 3, 6))):
        at = rng.randrange(len(steps) + 1)
        what = rng.random()
        if what < 0.2 or at == len(steps):
            steps.insert(at, pools.step())
        elif what < 0.3:
            del steps[at]
        elif what < 0.35:
            steps.insert(rng.randrange(len(steps) + 1), steps[at])
        else:
            steps[at] = _bent(rng, pools, steps[at])
    return tuple(steps[:LONGEST])


def _bent(rng: random.Random, pools: Pools, step: Step) -> Step:
    """A step a little different."""
    letter, at = chr(step[0]), bytearray(step)
    if letter in "bua" and rng.random() < 0.4:
        at[-2:] = ticks(pools.time())
    elif letter == "b":
        if rng.random() < 0.4:
            at[1] = pools.modifiers()
        else:
            at[rng.randrange(3, 9)] = rng.choice((pools.key(), pools.key(), pools.key(), 0))
    elif letter == "u":
        if rng.random() < 0.5:
            at[1 + rng.randrange(29)] = rng.choice((0, 0x80, 0xFF, rng.randrange(256)))
        else:
            usage = pools.key()
            at[1 + (usage >> 3)] ^= 1 << (usage & 7)
        at[1] &= 0xF1 if rng.random() < 0.95 else 0xFF
    elif letter == "t":
        at[rng.choice((1, 2))] = rng.choice((pools.key(), pools.modifiers()))
    return bytes(at)


def search(
    player: Player,
    plan: Plan,
    target: str,
    seconds: float,
    seed: int = 0,
    begun: Sequence[Stream] = (),
    tell: Callable[[str], None] = lambda text: None,
) -> Case:
    """The dearest stream that could be found in so many seconds, cut after its dearest step."""
    rng = random.Random(seed)
    pools = Pools(rng, plan)
    kept: list[tuple[int, Stream]] = []
    fresh: list[Stream] = [*begun, *pools.by_hand()]
    fresh += [tuple(pools.step() for _ in range(30)) for _ in range(50)]
    until = time.monotonic() + seconds
    while True:
        kept += by_cost(player, fresh, target)
        best = {stream: cost for cost, stream in kept}
        kept = sorted(((cost, stream) for stream, cost in best.items()), key=lambda one: (-one[0], len(one[1])))
        # Those that cost the same are often the same in what matters: a few of each cost stay.
        same = Counter[int]()
        few = []
        for one in kept:
            same[one[0]] += 1
            few += [one] if same[one[0]] <= SAME_COST else []
        kept = few[:KEPT]
        tell(f"{plan.id} {target}: {kept[0][0]} cycles")
        if time.monotonic() > until:
            break
        fresh = []
        for _ in range(CHILDREN):
            first, second = (kept[min(int(rng.expovariate(0.12)), len(kept) - 1)][1] for _ in range(2))
            stream = changed(rng, pools, first, second)
            fresh.append(stream if any(step[:1] in (b"b", b"u", b"a") for step in stream) else first)
    return Case(target=target, layout=plan.id, cycles=kept[0][0], steps=kept[0][1])


def read_cases(path: Path = CASES) -> list[Case]:
    """The worst streams found so far."""
    rows: list[Mapping[str, str | int | list[str]]] = json.loads(path.read_text(encoding="ascii"))
    out = []
    for row in rows:
        steps = row["steps"]
        assert isinstance(steps, list)
        out.append(
            Case(
                target=str(row["target"]),
                layout=str(row["layout"]),
                cycles=int(str(row["cycles"])),
                steps=tuple(bytes.fromhex(step) for step in steps),
            )
        )
    return out


def write_cases(cases: Sequence[Case], path: Path = CASES) -> None:
    """Keeps streams."""
    rows = [
        {
            "target": case.target,
            "layout": case.layout,
            "cycles": case.cycles,
            "steps": [step.hex() for step in case.steps],
        }
        for case in cases
    ]
    path.write_text(json.dumps(rows, indent=1) + "\n", encoding="ascii")


def replay(folder: Path, cases: Sequence[Case]) -> list[Case]:
    """The same streams with what they cost now, at the dearest step of each."""
    players: dict[str, Player] = {}
    out = []
    for case in cases:
        player = players.get(case.layout) or Player(folder / case.layout, case.layout)
        players[case.layout] = player
        cycles = max(player.costs([case.steps])[0][case.target])
        out.append(Case(target=case.target, layout=case.layout, cycles=cycles, steps=case.steps))
    return out


def by_cost(player: Player, streams: Sequence[Stream], target: str) -> list[tuple[int, Stream]]:
    """Each stream cut after its dearest step, with the cycles of that step."""
    out = []
    for stream, costs in zip(streams, player.costs(streams), strict=True):
        worst = max(costs[target])
        out.append((worst, stream[: costs[target].index(worst) + 1]))
    return out


def search_all(folder: Path, seconds: float, begun: Sequence[Case], tell: Callable[[str], None]) -> list[Case]:
    """The dearest of hand-built streams with every shipped layout of 8 by 8 lines, then the search with those that cost most.

    Gives for each target the worst of each layout that was searched, the dearest first.
    """
    ids = [id for id in shipped_ids() if id.startswith(f"{MACHINE}-")]
    first: dict[str, list[tuple[int, str]]] = {target: [] for target in TARGETS_OF_SEARCH}
    for id in ids:
        pools = Pools(random.Random(0), shipped_plan(id))
        streams = [*random.Random(0).sample([*pools.by_hand()], SEEDS), *(case.steps for case in begun)]
        costs = Player(folder / "first" / id, id).costs(streams)
        for target, found in first.items():
            found.append((max(max(one[target], default=0) for one in costs), id))
    out = []
    for target, found in first.items():
        chosen = [
            id
            for join in JOINS
            for _, id in sorted((one for one in found if one[1].endswith(f"-{join}")), reverse=True)[:LAYOUTS_SEARCHED]
        ]
        share = seconds / len(TARGETS_OF_SEARCH) / len(chosen)
        known = [case.steps for case in begun if case.target == target]
        cases = [
            search(Player(folder / target / id, id), shipped_plan(id), target, share, 0, known, tell) for id in chosen
        ]
        out += sorted(cases, key=lambda case: -case.cycles)
    return out


def section(cases: Sequence[Case]) -> list[str]:
    """The lines of the page, for cases as they cost now: of each target the dearest."""
    lines = [
        "## The worst moment",
        "",
        "Random streams seldom reach the costliest moment, so `python -m tests.bench.worst_case --search SECONDS` searches for it.",
        f"It plays {SEEDS} streams built by hand with every shipped layout of 8 by 8 lines.",
        "They contain full waiting lines, keys in all places of a report, presses after a dead key, and all modifiers.",
        "They also contain Caps Lock, bitmaps of all keys, and reports at the tick at which times end.",
        f"For each target it then takes the costliest streams of the {LAYOUTS_SEARCHED} costliest symbolic and positional layouts, changes them again and again, and keeps each change that costs more.",
        "A step is a boot report, a bitmap or only time, with one call of `mm_advance` after any time since the last step.",
        "Pasted text and layout changes come in between. Every candidate runs in simavr.",
        "The costliest streams are kept and played again for this page. A search proves no bound: a worse stream may exist.",
        "",
        "| AVR (ATmega328P) | cycles | microseconds at 16 MHz | layout | steps up to it |",
        "| --- | --- | --- | --- | --- |",
    ]
    for target, title in TARGETS_OF_SEARCH.items():
        case = max((one for one in cases if one.target == target), key=lambda one: one.cycles)
        micros = math.ceil(case.cycles / 16)
        lines.append(f"| {title} | {case.cycles} | {micros} | {case.layout} | {len(case.steps)} |")
    return [*lines, ""]


def main() -> None:
    """Plays the kept streams, or searches for worse ones; keeps them if asked to."""
    words = sys.argv[1:]
    cases = read_cases() if CASES.exists() else []
    with tempfile.TemporaryDirectory() as name:
        if "--search" in words:
            seconds = float(words[words.index("--search") + 1])
            found = search_all(Path(name), seconds, cases, lambda text: print(text, file=sys.stderr))
        else:
            found = replay(Path(name), cases)
    for case in found:
        print(f"{TARGETS_OF_SEARCH[case.target]}: {case.cycles} cycles, {case.layout}, {len(case.steps)} steps")
    if "--write" in words:
        write_cases(found)


if __name__ == "__main__":
    main()
