"""Random streams of events: whatever happens, both engines show the same."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import count

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from matrixmap.hid.usages import CAPS_LOCK, LED_NUM_LOCK, MODIFIER_BITS, NUM_LOCK, SHIFT_LEFT, Usage, by_code
from matrixmap.model.plan import Plan
from matrixmap.simulate import tape
from matrixmap.simulate.compiled import shown_of
from matrixmap.simulate.engine import Result, Sizes
from matrixmap.simulate.tape import ModelTape, rows_of
from matrixmap.simulate.typing.reports import boot_report
from tests.agree.both import Both
from tests.agree.layouts import special_plans
from tests.agree.streams import BITMAP_BYTES, Stream, bitmap, composing_stream, random_stream

EVENTS = 250
LONG = 20_000
SPECIAL = len(special_plans())


def random_streams(both: Both, first_seed: int, special: int = SPECIAL) -> Iterator[Stream]:
    """Streams without end; the last so many layouts are special."""
    every = range(len(both.plans))
    for seed in count(first_seed):
        # Every second stream begins with a layout made for the tests, which are at the end.
        number = -1 - seed // 2 % special if special and seed % 2 else seed // 2 % (len(both.plans) - special)
        number %= len(both.plans)
        # No change of layout, changes among all, and among those that have latches and commands.
        layouts = ((), every, every[-special:])[seed % 3]
        keyboards = 1 + seed // 2 % both.sizes.keyboards
        yield random_stream(seed, both.plans[number], number, EVENTS, keyboards=keyboards, layouts=layouts)
        yield composing_stream(seed, both.plans[number], number, EVENTS // 2, layouts)


def play(both: Both, first_seed: int, events: int, special: int = SPECIAL) -> int:
    """Plays streams until there were so many events."""
    played = 0
    for stream in random_streams(both, first_seed, special):
        played += both.check(stream)
        if played >= events:
            break
    return played


class Counting(ModelTape):
    """Counts what the streams are to have."""

    def __init__(self, plans: Sequence[Plan], sizes: Sizes) -> None:
        super().__init__(plans, sizes)
        self.counted: Counter[str] = Counter()

    def _row(self, result: Result, wait: int) -> None:
        super()._row(result, wait)
        for press in self.model.closed_strokes:
            self.counted[f"modifiers alone, keyboard {press.keyboard}"] += not press.stroke.contacts

    def _change_layout(self, number: int) -> None:
        model = self.model
        self.counted["change with a latch"] += model.latches != 0
        self.counted["change with a latch that has closed nothing"] += bool(model.latches & ~model.modifiers)
        self.counted["change with a dead key pending"] += model.accent is not None
        self.counted["change with presses ahead"] += bool(model.line)
        super()._change_layout(number)


@pytest.mark.parametrize("both", ["gcc"], indirect=True)
def test_streams_have_what_is_rare(both: Both) -> None:
    """The streams of the suite, which hang on no compiler, have strokes of modifiers alone on both keyboards, and changes of layout amid all else."""
    counting = Counting(both.plans, both.sizes)
    left = 50_000
    for stream in random_streams(both, 0):
        counting.play(b"".join(stream))
        left -= len(stream)
        if left <= 0:
            break
    assert len(counting.counted) == 6
    assert min(counting.counted.values()) >= 3, counting.counted


def test_random_events(both: Both) -> None:
    """50,000 random events leave both engines in the same state after every one."""
    assert play(both, 0, 50_000) >= 50_000


def test_random_events_on_other_machines(other: Both) -> None:
    """10,000 random events on another machine's layouts, changes among them, leave both engines in the same state."""
    assert play(other, 0, 10_000, special=0) >= 10_000


@st.composite
def streams(draw: st.DrawFn, both: Both) -> Stream:
    """A few keys of one layout that go down and up between waits, with now and then anything that can happen else."""
    number = draw(st.integers(0, len(both.plans) - 1))
    bound = {binding.trigger.usage for binding in both.plans[number].bindings}
    some = sorted(bound | {CAPS_LOCK, NUM_LOCK} | set(MODIFIER_BITS))
    keys = draw(st.lists(st.sampled_from(some), min_size=1, max_size=6, unique=True))
    keyboard = st.integers(0, both.sizes.keyboards - 1)
    down: list[set[Usage]] = [set() for _ in range(both.sizes.keyboards)]
    waits = st.one_of(st.sampled_from((0, 1, 7, 75, 411, 830, 12_000)), st.integers(0, 5_000)).map(tape.run)
    others = st.one_of(
        st.builds(tape.boot_report, st.binary(max_size=12), st.integers(0, both.sizes.keyboards)),
        st.builds(tape.usages, st.binary(min_size=BITMAP_BYTES, max_size=BITMAP_BYTES), keyboard),
        st.builds(tape.jump, st.integers(0, 0xFFFF)),
        st.builds(tape.change_layout, st.integers(0, len(both.plans) - 1)),
        st.builds(tape.on_command, st.integers(0, len(both.plans) - 1)),
        st.builds(tape.disconnected, keyboard),
    )
    stream = [tape.start(number)]
    for _ in range(draw(st.integers(1, 30))):
        if draw(st.integers(0, 7)) == 7:
            stream.append(draw(others))
        else:
            at = draw(keyboard)
            down[at] ^= set(draw(st.lists(st.sampled_from(keys), min_size=1, max_size=3)))
            of_six = len(down[at] - set(MODIFIER_BITS)) <= 6 and draw(st.booleans())
            stream.append(tape.boot_report(boot_report(down[at]), at) if of_six else tape.usages(bitmap(down[at]), at))
        stream.append(draw(waits))
    return stream


@pytest.mark.parametrize("examples", [100, pytest.param(20_000, marks=pytest.mark.campaign)])
def test_streams_of_hypothesis(both: Both, examples: int) -> None:
    """Whatever Hypothesis makes of keys, waits and mishaps, both engines show the same after every event."""

    @settings(max_examples=examples, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
    @given(streams(both))
    def check(stream: Stream) -> None:
        both.check(stream)

    check()


def test_random_events_in_little_memory(small: Both) -> None:
    """A waiting line of three and three held strokes overflow alike in both engines."""
    assert play(small, 10_000, 10_000) >= 10_000


@pytest.mark.campaign
def test_a_million_random_events(both: Both) -> None:
    """1,000,000 random events by each compiler leave both engines in the same state after every one."""
    assert play(both, 1_000_000, 1_000_000) >= 1_000_000


def test_a_modifier_among_the_keys_of_a_rolled_report(both: Both) -> None:
    """Where a field of a report that tells of roll-over holds a modifier, both engines follow it as the modifier byte."""
    for number in range(len(both.plans)):
        full = tape.boot_report(bytes([0x01, 0, 0x08, 0x0A, 0x18, 0x48, 0x50, 0x64]), 0)
        rolled = tape.boot_report(bytes([0xBD, 0, 0xB6, 0xE6, 0xE0, 0x59, 0x6F, 0x03]), 0)
        both.check([tape.start(number), full, rolled, tape.run(20_000)])


def test_caps_lock_counts_where_only_a_press_with_alt_does_something(both: Both) -> None:
    """Caps Lock swaps the levels of a key whose own letters the machine lacks, so that Alt makes the other character."""
    for number in range(len(both.plans)):
        stream = [tape.start(number)]
        for usage in (0x39, *range(0x04, 0x39)):
            stream += [tape.boot_report(bytes([held, 0, usage, 0, 0, 0, 0, 0]), 0) for held in (0x04, 0x06)]
            stream += [tape.boot_report(bytes(8), 0), tape.run(8_000)]
        both.check(stream)


def test_a_stroke_of_modifiers_alone(both: Both) -> None:
    """A stroke without a contact of its own closes the modifiers that it holds while its key is down, in both engines."""
    number = next(number for number, plan in enumerate(both.plans) if plan.id == "everything")
    machine = both.plans[number].layout.machine
    f8, key_a = by_code("F8")[0], by_code("KeyA")[0]
    held = frozenset(machine.key(name).contact for name in ("shift-left", "helm"))
    stream = [tape.start(number), tape.boot_report(boot_report({f8})), tape.run(LONG)]
    assert shown_of(rows_of(both.compiled_rows(stream))[-1], machine).contacts == held
    for then in ({f8, key_a}, {key_a}, {f8, SHIFT_LEFT}, {f8, CAPS_LOCK}, set()):
        stream += [tape.boot_report(boot_report(then)), tape.run(LONG)]
        both.check(stream)
    assert shown_of(rows_of(both.compiled_rows(stream))[-1], machine).contacts == frozenset(
        {machine.key("blazon").contact}
    )


@pytest.mark.parametrize(
    "keys", [("CapsLock", "F12"), ("CapsLock", "F11", "F12"), ("CapsLock", "Tab", "F12")], ids="+".join
)
def test_a_command_changes_the_layout_at_once(both: Both, keys: tuple[str, ...]) -> None:
    """Where a command of the report that closes a latch changes the layout, no latch is closed or lit afterwards."""
    ids = [plan.id for plan in both.plans]
    machine = both.plans[0].layout.machine
    report = tape.boot_report(boot_report({by_code(key)[0] for key in keys}))
    for other in ("quillon8-de-DE-symbolic", "everything", "switching"):
        stream = [tape.start(ids.index("switching")), tape.on_command(ids.index(other)), report, tape.run(LONG)]
        stream += [tape.boot_report(boot_report(set())), tape.run(LONG)]
        both.check(stream)
        last = shown_of(rows_of(both.compiled_rows(stream))[-1], machine)
        assert (last.contacts, last.leds, last.idle) == (frozenset(), LED_NUM_LOCK, True), other


def test_usage_zero_is_no_key(both: Both) -> None:
    """A bitmap may have usage 0 set: it takes no place in the line, which here is full without it."""
    keys = {Usage(0), *map(Usage, range(0x04, 0x04 + both.sizes.waiting))}
    stream = [tape.start(0), tape.usages(bitmap(keys)), tape.run(100)]
    assert all(
        shown_of(row, both.plans[0].layout.machine).overflows == 0 for row in rows_of(both.compiled_rows(stream))
    )
    both.check(stream)
