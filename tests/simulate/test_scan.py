"""The machine that scans, and the shortest times that it can be sure of."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import permutations

import pytest

from matrixmap.circuit.timing import JITTER_US, TICK_US, timing_of
from matrixmap.model.layout import Contacts
from matrixmap.model.machine import Contact, Debounce, Scan
from matrixmap.model.plan import Timing
from matrixmap.simulate.scan import Finds, Moment, Reader, critical_phases, usual_finds

from .machines import make_machine, make_scan

A, B, SHIFT, HALT = Contact(0), Contact(7), Contact(8), Contact(9)

SCANS = {
    "50 Hz, two samples": make_scan(tolerance_percent=1),
    "50 Hz, one sample": make_scan(samples_down=1, samples_up=1),
    "60 Hz, slow release": make_scan(period_us=16667, samples_down=1, samples_up=5, sweep_us=400),
    "every third interrupt": make_scan(period_us=60000, sweep_us=1500, tolerance_percent=0.5),
    "fast, long sweep": make_scan(period_us=2000, sweep_us=2000),
    "no sweep": make_scan(sweep_us=0),
}


def timeline(*steps: tuple[int, Iterable[Contact]]) -> list[Moment]:
    """Moments from pairs of time in microseconds and contacts."""
    return [Moment(time, frozenset(contacts)) for time, contacts in steps]


def texts(reader: Reader, moments: list[Moment]) -> set[tuple[str, ...]]:
    """What is typed, over all critical phases."""
    return {
        tuple(read.types.text if read.types else "?" for read in reader.read(moments, phase))
        for phase in critical_phases(moments, reader.pace)
    }


def readers(scan: Scan, rollover: int | None) -> list[Reader]:
    """All ways to read, at nominal, slowest and fastest pace."""
    scan = make_scan(**{name: getattr(scan, name) for name in Scan.__slots__} | {"rollover": rollover})  # type: ignore[attr-defined]
    machine = make_machine(scan)
    tolerance = scan.tolerance_percent
    return [
        Reader(machine, Contacts.SWITCH, finds, slow)
        for finds in (Finds.LAST_PRESSED, usual_finds(scan))
        for slow in sorted({-tolerance, 0, tolerance})
    ]


def shortest(ticks: int) -> int:
    """The least whole microseconds that the runtime's ticks can come to at the contacts."""
    return ticks * TICK_US - JITTER_US + 1


def too_short(ticks: int) -> int:
    """The most that one tick less can come to."""
    return (ticks - 1) * TICK_US - JITTER_US


def handover(timing: Timing) -> int:
    """The least time from the opening of one key to the closing of the next where the machine takes one at a time."""
    return shortest(max(timing.lead_ticks, timing.open_ticks + timing.lead_ticks - timing.close_ticks))


def closed_one_after_the_other(close_us: int, gap_us: int, *keys: Contact) -> list[Moment]:
    """Each key closed for the same time, with a gap before the next."""
    step = close_us + gap_us
    return timeline(
        *(pair for number, key in enumerate(keys) for pair in ((number * step, [key]), (number * step + close_us, [])))
    )


@pytest.mark.parametrize("name", SCANS)
def test_single_press(name: str) -> None:
    """A press of the shortest closed time is read exactly once at every phase, whatever the line."""
    scan = SCANS[name]
    close = shortest(timing_of(scan, 3).close_ticks)
    for reader in readers(scan, None):
        for key in (A, B, HALT):
            expected = "Halt" if key == HALT else "abcdefgh"[key]
            assert texts(reader, closed_one_after_the_other(close, 0, key)) == {(expected,)}


def let_go_after(close_us: int, lead_us: int) -> list[Moment]:
    """Shift, then A with it, and Shift let go when A has been closed for a time; A stays."""
    return timeline((0, [SHIFT]), (lead_us, [SHIFT, A]), (lead_us + close_us, [A]), (lead_us + 10 * close_us, []))


@pytest.mark.parametrize("name", SCANS)
def test_closed_time_is_the_shortest(name: str) -> None:
    """Modifiers that change when the closed time ends are not read; with one tick less some phase reads them."""
    scan = SCANS[name]
    timing = timing_of(scan, 3)
    lead, close = shortest(timing.lead_ticks), shortest(timing.close_ticks)
    for reader in [*readers(scan, None), *readers(scan, 1)]:
        assert texts(reader, let_go_after(close, lead)) == {("A",)}
    for slowest in readers(scan, None)[-1:] + readers(scan, 1)[-1:]:
        assert texts(slowest, let_go_after(too_short(timing.close_ticks), lead)) == {("A",), ("a",)}


@pytest.mark.parametrize("name", SCANS)
def test_one_key_at_a_time(name: str) -> None:
    """Where the machine takes one key at a time, keys that follow each other are each read once, in order."""
    scan = SCANS[name]
    timing = timing_of(scan, 3)
    close, gap = shortest(timing.close_ticks), handover(timing)
    for reader in readers(scan, 1):
        for keys in permutations([A, Contact(4), B]):
            typed = tuple("abcdefgh"[key] for key in keys)
            assert texts(reader, closed_one_after_the_other(close, gap, *keys)) == {typed}


@pytest.mark.parametrize("name", SCANS)
def test_same_key_twice(name: str) -> None:
    """A key that closes again after the shortest open time is read twice at every phase; one tick less may lose one."""
    scan = SCANS[name]
    timing = timing_of(scan, 3)
    close, gap, short = shortest(timing.close_ticks), shortest(timing.open_ticks), too_short(timing.open_ticks)
    for reader in [*readers(scan, None), *readers(scan, 1)]:
        assert texts(reader, closed_one_after_the_other(close, gap, A, A)) == {("a", "a")}
    for slowest in readers(scan, None)[-1:] + readers(scan, 1)[-1:]:
        assert texts(slowest, closed_one_after_the_other(close, short, A, A)) == {("a", "a"), ("a",)}


@pytest.mark.parametrize("name", SCANS)
def test_same_key_after_others(name: str) -> None:
    """A key that comes again after others had their turn has been open for long enough."""
    scan = SCANS[name]
    timing = timing_of(scan, 3)
    close, gap = shortest(timing.close_ticks), handover(timing)
    step, wait = close + gap, shortest(timing.open_ticks)
    last = max(3 * step, close + wait)
    for reader in readers(scan, 1):
        for first, second, third in permutations([A, Contact(4), B]):
            moments = closed_one_after_the_other(close, gap, first, second, third)
            moments += timeline((last, [first]), (last + close, []))
            typed = tuple("abcdefgh"[key] for key in (first, second, third, first))
            assert texts(reader, moments) == {typed}


@pytest.mark.parametrize("name", SCANS)
def test_modifiers_lead_and_lag(name: str) -> None:
    """Every sweep that reads a key reads the modifiers that were closed a lead before it and a lag after it."""
    scan = SCANS[name]
    timing = timing_of(scan, 3)
    close, lead = shortest(timing.close_ticks), shortest(timing.lead_ticks)
    for reader in readers(scan, None):
        for key, typed in ((A, "A"), (B, "H")):
            moments = timeline((0, [SHIFT]), (lead, [SHIFT, key]), (lead + close, [SHIFT]), (2 * lead + close, []))
            assert texts(reader, moments) == {(typed,)}
            lifted = timeline(
                (0, [SHIFT]),
                (5 * close, []),
                (5 * close + lead, [key]),
                (6 * close + lead, []),
                (6 * close + 2 * lead, [SHIFT]),
            )
            assert texts(reader, lifted) == {(typed.lower(),)}


def test_lag_is_the_shortest() -> None:
    """If the modifiers follow the opening of a key by one tick less, some phase reads the key without them."""
    scan = make_scan(samples_down=1)
    close, lag = scan.period_us, too_short(timing_of(scan, 3).lead_ticks)
    early = timeline((0, [SHIFT]), (5000, [SHIFT, A]), (5000 + close, [SHIFT]), (5000 + close + lag, []))
    assert texts(Reader(make_machine(scan), Contacts.SWITCH), early) == {("A",), ("a",)}


WHOLE = Debounce.WHOLE
WHOLE_SCANS = {
    "two samples": make_scan(tolerance_percent=1, debounce=WHOLE),
    "one sample": make_scan(samples_down=1, samples_up=1, debounce=WHOLE),
    "slow release": make_scan(period_us=16667, samples_down=1, samples_up=5, sweep_us=400, debounce=WHOLE),
    "long sweep": make_scan(period_us=2000, sweep_us=None, samples_down=3, debounce=WHOLE),
}


def test_roll_over_where_whole_scans_are_compared() -> None:
    """B closes for its closed time, but A opens 15 ms after that began: of what is left two scans take more in most phases."""
    for what, lost in ((Debounce.KEY, 0), (WHOLE, 29)):
        scan = make_scan(debounce=what)
        reader = Reader(make_machine(scan), Contacts.SWITCH)
        until = 100_000 + shortest(timing_of(scan, 3).close_ticks)
        moments = timeline((0, [A]), (100_000, [A, B]), (115_000, [B]), (until, []))
        phases = (phase * reader.pace.grain for phase in range(0, 20_000, 500))
        reads = [[read.key for read in reader.read(moments, phase)] for phase in phases]
        assert len(reads) == 40
        assert sum(read != ["a", "h"] for read in reads) == lost
        assert all(read in (["a", "h"], ["a"]) for read in reads)


def test_every_contact_counts_where_whole_scans_are_compared() -> None:
    """A modifier or a direct line that changes more often than the samples last keeps a key from being read, too."""
    for other in (SHIFT, HALT):
        moments = timeline(*((20_000 * n, [A, other] if n % 2 else [A]) for n in range(8)), (160_000, []))
        for what, most in ((Debounce.KEY, 1), (WHOLE, 0)):
            reader = Reader(make_machine(make_scan(debounce=what)), Contacts.SWITCH)
            assert {len(typed) for typed in texts(reader, moments)} == {most}


@pytest.mark.parametrize("name", WHOLE_SCANS)
def test_closed_time_where_whole_scans_are_compared(name: str) -> None:
    """A key that closes a lead after another one opened is read at every phase, if nothing changes in its closed time.

    Where the machine takes one at a time, the other must have been open for its time.
    """
    scan = WHOLE_SCANS[name]
    timing = timing_of(scan, 3)
    lead, close = shortest(timing.lead_ticks), shortest(timing.close_ticks)
    for rollover in (None, 1):
        for reader in readers(scan, rollover):
            for first, second in ((A, B), (B, A)):
                gap = shortest(timing.open_ticks) if rollover else lead
                moments = closed_one_after_the_other(close, gap, first, second)
                assert texts(reader, moments) == {tuple("abcdefgh"[key] for key in (first, second))}


@pytest.mark.parametrize("name", WHOLE_SCANS)
def test_open_time_where_whole_scans_are_compared(name: str) -> None:
    """A key closes again when nothing has changed for the open time; with one tick less it may be read once.

    A, on the first line, opens right after B, on the last one, did: scans count that read both later.
    """
    scan = WHOLE_SCANS[name]
    timing = timing_of(scan, 3)
    close, gap = shortest(timing.close_ticks), shortest(timing.open_ticks)
    for open_, typed in ((gap, {("h", "h")}), (too_short(timing.open_ticks), {("h", "h"), ("h",)})):
        released = close + 1
        moments = timeline(
            (0, [A]),
            (5 * close, [A, B]),
            (6 * close, [A]),
            (5 * close + released, []),
            (5 * close + released + open_, [B]),
            (6 * close + released + open_, []),
        )
        found = {tuple(one for one in each if one != "a") for each in texts(readers(scan, None)[-1], moments)}
        assert found == typed


def test_phase_between_critical_ones_shows_nothing_new() -> None:
    """Every phase of a short period shows what some critical phase shows."""
    scan = make_scan(period_us=100, sweep_us=60, samples_down=1, samples_up=1, rollover=1)
    reader = Reader(make_machine(scan), Contacts.SWITCH)
    moments = timeline((0, [A]), (90, [B]), (150, [SHIFT, A]), (260, [SHIFT]), (300, [SHIFT, Contact(4)]), (420, []))
    critical = texts(reader, moments)
    every = {
        tuple(read.types.text if read.types else "?" for read in reader.read(moments, phase))
        for phase in range(reader.pace.period)
    }
    assert every == critical
    assert len(critical) > 1


def test_more_keys_than_the_rollover() -> None:
    """A scan with too many keys counts for none; one that stops at the first key sees no other."""
    machine = make_machine(make_scan(rollover=1))
    moments = timeline((0, [B]), (100_000, [A, B]), (200_000, [B]), (300_000, []))
    assert texts(Reader(machine, Contacts.SWITCH, Finds.LAST_PRESSED), moments) == {("h",)}
    assert texts(Reader(machine, Contacts.SWITCH, Finds.FIRST_FOUND), moments) == {("h", "a", "h")}


def test_phantom_is_read_as_a_key() -> None:
    """Three corners of a rectangle type the fourth as well, unless the adapter's contacts have diodes."""
    machine = make_machine(make_scan())
    corners = [Contact(0), Contact(1), Contact(3)]
    moments = timeline((0, corners), (100_000, []))
    for how, typed in ((Contacts.SWITCH, "abde"), (Contacts.SWITCH_WITH_DIODE, "abd")):
        assert {"".join(sorted(read)) for read in texts(Reader(machine, how), moments)} == {typed}


def test_short_press_may_be_missed() -> None:
    """A press shorter than a period is read at some phases and missed at others."""
    reader = Reader(make_machine(make_scan(samples_down=1)), Contacts.SWITCH)
    assert texts(reader, timeline((0, [A]), (19_999, []))) == {(), ("a",)}


def test_long_rest_changes_nothing() -> None:
    """A press after a long rest is read as the same press is read after a short one, a whole number of periods earlier."""
    reader = Reader(make_machine(make_scan()), Contacts.SWITCH)
    for phase in (0, 1, 12345):
        reads = [
            reader.read(timeline((5, [A]), (50_000, []), (gap, [B]), (gap + 60_000, [])), phase)
            for gap in (300_017, 300_017 + 150 * 20_000)
        ]
        assert [[read.key for read in row] for row in reads] == [["a", "h"], ["a", "h"]]
        assert reads[1][1].time_us - reads[0][1].time_us == 150 * 20_000
