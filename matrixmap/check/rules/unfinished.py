"""What a machine's file leaves open: values that are still as they were when the file was begun."""

from __future__ import annotations

from collections.abc import Iterator

from matrixmap.check.engine.plan_conflicts import PlanConflicts
from matrixmap.check.engine.record import CheckRule, Report
from matrixmap.check.rules.reach import listed
from matrixmap.model.finding import Severity
from matrixmap.model.legend import other_case
from matrixmap.model.machine import PLAIN, Machine
from matrixmap.source.report import named
from matrixmap.source.write.host_file import scalar
from matrixmap.source.write.scaffold import TO_FILL_IN, crosspoint_key


def _unfinished_machine(conflicts: PlanConflicts) -> Iterator[Report]:
    return unfinished(conflicts.plan.layout.machine)


def unfinished(machine: Machine) -> Iterator[Report]:
    """The parts of a machine's file that are still as they were begun."""
    if machine.source == TO_FILL_IN:
        yield Report(
            f"the source of {machine.id} is still {TO_FILL_IN!r}; name document, edition and page", machine.place
        )
    unnamed = [
        key
        for key in machine.keys
        if (lines := machine.lines(key.contact))
        and key.name == crosspoint_key(machine.select[lines[0]], machine.sense[lines[1]])
    ]
    if unnamed:
        names = listed(key.name for key in unnamed)
        one = len(unnamed) == 1
        yield Report(
            f"{names} {'has the name of its crosspoint' if one else 'have the names of their crosspoints'}; give "
            f"{'it' if one else 'each'} the machine's own name, or write none where there is no key",
            unnamed[0].place,
            cases=len(unnamed),
        )
    if not any(key.types for key in machine.keys):
        yield Report(
            "no key types anything yet, so nothing can be joined by print; name the modifiers, and give each "
            "key a line under types",
            machine.place,
        )
        return
    yield from _shift_untold(machine)
    strokes = [stroke for sequence in machine.sequences.values() for stroke in sequence]
    strokes += [stroke for mode in machine.modes for stroke in (mode.by, mode.until) if stroke]
    in_turn = {stroke.key for stroke in strokes} | {key.name for key in machine.keys if key.dead or key.modes}
    silent = [
        key
        for key in machine.keys
        if not key.types and not machine.modifier_of(key.name) and key not in unnamed and key.name not in in_turn
    ]
    if silent:
        yield Report(
            f"{listed(key.name for key in silent)} {'types' if len(silent) == 1 else 'type'} nothing; "
            "a line under types gives a key a character, or a function by its name",
            silent[0].place,
            cases=len(silent),
            at_most=Severity.NOTE,
        )


def _shift_untold(machine: Machine) -> Iterator[Report]:
    """A note if Shift changes only letters, as in a file made from a table that prints one legend a key."""
    characters = [key for key in machine.keys if PLAIN in key.types and key.types[PLAIN].is_character]
    letters = [key for key in characters if other_case(key.types[PLAIN].text)]
    others = [key for key in characters if key not in letters and key.types[PLAIN].text != " "]
    shift = machine.host_shift
    if any(shift in key.selectors for key in letters) and others and not any(shift in key.selectors for key in others):
        yield Report(
            f"{shift} changes only letters; write what it makes of {named([key.name for key in others], 6)}, such as "
            f"{others[0].name}: {{plain: {scalar(others[0].types[PLAIN].text)}, {shift}: '!'}}",
            others[0].place,
            cases=len(others),
            at_most=Severity.NOTE,
        )


UNFINISHED_MACHINE = CheckRule(
    slug="unfinished-machine",
    severity=Severity.WARNING,
    purpose="The machine file is not complete yet.",
    explanation=(
        "A new file has a key with a made-up name at every crosspoint, no characters and no source. A file made "
        "from a table may not say what a key types with Shift. Each of these is reported until you replace it."
    ),
    bad="source: to be filled in",
    good="source: invented for these tests",
    of_machine=True,
    function=_unfinished_machine,
)


def _sweep_not_stated(conflicts: PlanConflicts) -> Iterator[Report]:
    return sweep_not_stated(conflicts.plan.layout.machine)


def sweep_not_stated(machine: Machine) -> Iterator[Report]:
    """A note if a machine's file does not say how long a scan takes."""
    if machine.scan.sweep_us is None:
        yield Report(
            f"the file of {machine.id} does not say how long one scan takes; the runtime's times allow for all of the "
            f"{machine.scan.period_us} us until the next one, so typing is slower than necessary; add sweep_us to scan",
            machine.place,
        )


SWEEP_NOT_STATED = CheckRule(
    slug="sweep-not-stated",
    severity=Severity.WARNING,
    purpose="The machine file does not say how long one scan takes.",
    explanation=(
        "Lines that are read one after the other see a change at different times. So modifiers close a sweep "
        "before the key and open a sweep after it, and a key stays closed a sweep longer than its samples take. If "
        "the sweep in the file is too short, some keystrokes type with the modifiers of the one before. Without "
        "sweep_us, the times allow for the longest possible sweep, which is the whole period: no keystroke is "
        "misread then, but each takes longer. The machine's program shows the sweep; so does an oscilloscope on "
        "the first and the last select line. A number that is too large does no harm."
    ),
    bad="scan: {period_us: 20000, rollover: 2}",
    good="scan: {period_us: 20000, sweep_us: 640, rollover: 2}",
    of_machine=True,
    function=_sweep_not_stated,
)

RULES = (UNFINISHED_MACHINE, SWEEP_NOT_STATED)
