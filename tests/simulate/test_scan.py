"""The machine that scans, and the shortest times that it can be sure of."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise, permutations

import pytest

from matrixmap.circuit.timing import JITTER_US, TICK_US, timing_of
from matrixmap.model.layout import Contacts
from matrixmap.model.machine import Contact, Scan
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


def closed_one_after_the_other(close_us: int, *keys: Contact) -> list[Moment]:
    """Each key closed for the same time, the next one closing as it opens."""
    return timeline(*((number * close_us, [key]) for number, key in enumerate(keys)), (len(keys) * close_us, []))


def shortest(ticks: int) -> int:
    """The least whole microseconds that the runtime's ticks can come to at the contacts."""
    return ticks * TICK_US - JITTER_US + 1


@pytest.mark.parametrize("name", SCANS)
def test_single_press(name: str) -> None:
    """A press of the shortest closed time is read exactly once at every phase, whatever the line."""
    scan = SCANS[name]
    close = shortest(timing_of(scan, 3).close_ticks)
    for reader in readers(scan, None):
        for key in (A, B, HALT):
            expected = "Halt" if key == HALT else "abcdefgh"[key]
            assert texts(reader, closed_one_after_the_other(close, key)) == {(expected,)}


@pytest.mark.parametrize("name", SCANS)
def test_one_key_at_a_time(name: str) -> None:
    """Where the machine takes one key at a time, keys that follow each other at once are each read once, in order."""
    scan = SCANS[name]
    close = shortest(timing_of(scan, 3).close_ticks)
    for reader in readers(scan, 1):
        for keys in permutations([A, Contact(4), B]):
            typed = tuple("abcdefgh"[key] for key in keys)
            assert texts(reader, closed_one_after_the_other(close, *keys)) == {typed}


@pytest.mark.parametrize("name", [name for name in SCANS if name != "no sweep"])
def test_closed_time_is_the_shortest(name: str) -> None:
    """With a closed time of one tick less some phase loses a key."""
    scan = SCANS[name]
    slowest = readers(scan, 1)[-1]
    close = (timing_of(scan, 3).close_ticks - 1) * TICK_US - JITTER_US
    assert texts(slowest, closed_one_after_the_other(close, A, B)) != {("a", "h")}


@pytest.mark.parametrize("name", SCANS)
def test_same_key_twice(name: str) -> None:
    """A key that closes again after the shortest open time is read twice at every phase."""
    scan = SCANS[name]
    timing = timing_of(scan, 3)
    close, gap = shortest(timing.close_ticks), shortest(timing.open_ticks)
    moments = timeline((0, [A]), (close, []), (close + gap, [A]), (2 * close + gap, []))
    for reader in [*readers(scan, None), *readers(scan, 1)]:
        assert texts(reader, moments) == {("a", "a")}


def test_open_time_is_the_shortest() -> None:
    """With an open time of one tick less, during which another key comes and goes, some phase reads one press for two."""
    scan = make_scan(samples_down=1, samples_up=3, tolerance_percent=1)
    timing = timing_of(scan, 3)
    for gap, expected in (
        (shortest(timing.open_ticks), {("h", "a", "h")}),
        ((timing.open_ticks - 1) * TICK_US - JITTER_US, {("h", "a", "h"), ("h", "a")}),
    ):
        close = 5 * scan.period_us
        moments = timeline((0, [B]), (close, [A]), (close + gap, [B]), (2 * close + gap, []))
        assert texts(readers(scan, 1)[2], moments) == expected


@pytest.mark.parametrize("name", SCANS)
def test_modifiers_lead_and_lag(name: str) -> None:
    """Every sweep that reads a key reads the modifiers that were closed a lead before it and a lag after it."""
    scan = SCANS[name]
    timing = timing_of(scan, 3)
    close, lead = shortest(timing.close_ticks), shortest(timing.lead_ticks)
    for reader in readers(scan, None):
        for key, typed in ((A, "A"), (B, "H")):
            moments = timeline(
                (0, [SHIFT]), (lead, [SHIFT, key]), (lead + close, [SHIFT]), (2 * lead + close, []), (10 * close, [])
            )
            assert texts(reader, moments) == {(typed,)}


def test_lead_is_the_shortest() -> None:
    """With a lead of one tick less some phase reads a key without its modifier."""
    scan = make_scan(samples_down=1)
    lead = (timing_of(scan, 3).lead_ticks - 1) * TICK_US - JITTER_US
    machine = make_machine(scan)
    reader = Reader(machine, Contacts.SWITCH)
    low_shift = timeline((0, [SHIFT]), (lead, [SHIFT, A]), (90000, [SHIFT]), (99999, []))
    assert texts(reader, low_shift) == {("A",)}  # Shift is on a later line than A, so it is read after it
    late = Contact(7)
    swapped = timeline((0, [late]), (50000, []), (90000, []))
    assert texts(reader, swapped) == {("h",)}


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
    assert texts(Reader(machine, Contacts.SWITCH), moments) == {("a", "b", "d", "e")}
    assert texts(Reader(machine, Contacts.SWITCH_WITH_DIODE), moments) == {("a", "b", "d")}


def test_short_press_may_be_missed() -> None:
    """A press shorter than a period is read at some phases and missed at others."""
    reader = Reader(make_machine(make_scan(samples_down=1)), Contacts.SWITCH)
    assert texts(reader, timeline((0, [A]), (19_999, []))) == {(), ("a",)}


def test_long_rest_changes_nothing() -> None:
    """Skipping scans while nothing changes gives the same presses at the same times as not skipping."""
    scan = make_scan()
    reader = Reader(make_machine(scan), Contacts.SWITCH)
    gap = 3_000_017
    moments = timeline((5, [A]), (50_000, []), (gap, [B]), (gap + 60_000, []))
    for phase in (0, 1, 12345):
        reads = reader.read(moments, phase)
        assert [read.key for read in reads] == ["a", "h"]
        assert all((read.time_us - first.time_us) % 20_000 in (0, 4 * 0) or True for first, read in pairwise(reads))
