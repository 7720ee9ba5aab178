"""Random streams of events: whatever happens, both engines show the same."""

from __future__ import annotations

import pytest

from matrixmap.simulate import tape
from tests.agree.both import Both
from tests.agree.layouts import special_plans
from tests.agree.streams import composing_stream, random_stream

EVENTS = 250
SPECIAL = len(special_plans())


def play(both: Both, first_seed: int, events: int) -> int:
    """Plays streams until there were so many events."""
    played, seed = 0, first_seed
    while played < events:
        # Every second stream begins with a layout made for the tests, which are at the end.
        number = -1 - seed // 2 % SPECIAL if seed % 2 else seed // 2 % (len(both.plans) - SPECIAL)
        number %= len(both.plans)
        layouts = range(len(both.plans)) if seed % 3 else ()
        stream = random_stream(
            seed, both.plans[number], number, EVENTS, keyboards=1 + seed % both.sizes.keyboards, layouts=layouts
        )
        played += both.check(stream)
        played += both.check(composing_stream(seed, both.plans[number], number, EVENTS // 2))
        seed += 1
    return played


def test_random_events(both: Both) -> None:
    """25,000 random events by each compiler leave both engines in the same state after every one."""
    assert play(both, 0, 25_000) >= 25_000


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
