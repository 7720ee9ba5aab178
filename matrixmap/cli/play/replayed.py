"""`matrixmap trace` on a recording: what the machine reads, and what the runtime did for it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import typer

from matrixmap.cli.main import UsageError
from matrixmap.cli.play.played import Phases, Row, print_by_pads, print_switches, read_by_pads, switch_rows, timeline

if TYPE_CHECKING:
    from matrixmap.cli.play.recordings import RecordingFile
    from matrixmap.hid.recording import Event
    from matrixmap.model.machine import Machine
    from matrixmap.model.plan import Plan
    from matrixmap.simulate.engine import Engine
    from matrixmap.simulate.recorded import Opened, Replay, Stretch

LISTED = 1000
"""The most strokes opened for newer ones, and the most unplayed presses, that are listed; the rest are counted."""

CHART_COLUMNS = (10, 34, 34)


@dataclass(frozen=True, slots=True, kw_only=True)
class Unplayed:
    """Presses of one report that the runtime counted instead of playing: when, what was held, how many, why."""

    time_us: int
    held: str
    count: int
    counter: str


@dataclass(slots=True)
class Outcome:
    """The result of a replay, summed over its stretches."""

    typed: list[str] = field(default_factory=list)
    read: list[str] = field(default_factory=list)
    lost: list[str] = field(default_factory=list)
    extra: list[str] = field(default_factory=list)
    opened: list[Opened] = field(default_factory=list)
    unplayed: list[Unplayed] = field(default_factory=list)
    reasons: dict[str, int] = field(default_factory=dict)
    commands: list[int] = field(default_factory=list)
    rows: list[Row] = field(default_factory=list)
    switches: list[Row] = field(default_factory=list)
    switch_changes: int = 0
    reports: int = 0
    rolled: int = 0
    unsteady: int = 0
    overflows: int = 0
    refusals: int = 0
    clashes: int = 0
    kept_open: int = 0
    by_pads: list[str] = field(default_factory=list)


def replay(
    engine: Engine, plan: Plan, recording: RecordingFile, phase: str, chart: bool, keep_rows: bool
) -> tuple[Outcome, frozenset[str]]:
    """Plays a recording; returns the outcome, and the keys that are still closed at its end."""
    from matrixmap.model.words import key_name
    from matrixmap.simulate.player import commands
    from matrixmap.simulate.recorded import Replay
    from matrixmap.simulate.scan import Reader
    from matrixmap.simulate.script import MOST_KEYBOARDS
    from matrixmap.simulate.texts import as_text, difference, legends_of

    machine = plan.layout.machine
    phases = Phases(Reader(machine, plan.contacts), phase)
    player = Replay(engine, plan, MOST_KEYBOARDS, lambda number: recording.keyboards[number])
    outcome = Outcome()
    if chart:
        typer.echo(_line("ms", "keyboard", "contacts", "machine"))
    for stretch in _bounded(player, recording, MOST_KEYBOARDS):
        outcomes = phases.read(stretch)
        of_keys, by_pads = read_by_pads(outcomes[0])
        differs = difference(stretch.meant, legends_of(of_keys))
        outcome.typed.append(as_text(stretch.meant))
        outcome.read.append(as_text(legends_of(outcomes[0])))
        outcome.by_pads += by_pads
        outcome.lost += differs.lost
        outcome.extra += differs.extra
        outcome.unsteady += len(outcomes) > 1
        outcome.reports += stretch.reports
        outcome.rolled += stretch.rolled
        outcome.commands += commands(stretch.notes)
        for opened in stretch.opened:
            outcome.reasons[opened.reason.value] = outcome.reasons.get(opened.reason.value, 0) + 1
        outcome.opened += stretch.opened[: max(LISTED - len(outcome.opened), 0)]
        _count_unplayed(outcome, stretch)
        changes = switch_rows(machine, stretch.notes)
        outcome.switch_changes += len(changes)
        outcome.switches += changes[: max(LISTED - len(outcome.switches), 0)]
        if chart or keep_rows:
            rows = timeline(machine, stretch.notes, outcomes[0])
            outcome.rows += rows if keep_rows else []
            for line in _chart(rows, stretch) if chart else ():
                typer.echo(line)
    return outcome, frozenset(key_name(machine, contact) for contact in player.player.last.contacts)


def _bounded(player: Replay, recording: RecordingFile, most: int) -> Iterator[Stretch]:
    """The stretches of a recording; one that does not end is reported with its line."""
    from matrixmap.simulate.recorded import ReplayError

    try:
        yield from player.stretches(_known(recording, most))
    except ReplayError as fault:
        raise UsageError(f"{recording.path}:{fault.line}: {fault}") from fault


def _count_unplayed(outcome: Outcome, stretch: Stretch) -> None:
    """The unplayed presses of a stretch. The runtime's counters stop at their greatest value, but its notes go on."""
    from matrixmap.simulate.player import Kind

    held = ""
    gave_way = Counter(opened.time_us for opened in stretch.opened if opened.reason.value == "pad")
    for note in stretch.notes:
        if note.kind is Kind.INPUT:
            held = note.text
        elif note.kind is Kind.COUNTER:
            outcome.overflows += note.number * (note.text == "overflow")
            outcome.refusals += note.number * (note.text == "refusal")
            count = note.number
            if note.text == "clash":
                # Those that were closed before are reported as opened.
                count = max(note.number - gave_way.pop(note.time_us, 0), 0)
                outcome.clashes += note.number
                outcome.kept_open += count
            if count and len(outcome.unplayed) < LISTED:
                found = Unplayed(time_us=note.time_us, held=held, count=count, counter=note.text)
                outcome.unplayed.append(found)


def _known(recording: RecordingFile, most: int) -> Iterator[Event]:
    for event in recording.events():
        if event.keyboard >= most:
            raise UsageError(
                f"{recording.path}:{event.line}: the runtime knows keyboards 0 to {most - 1}, not {event.keyboard}"
            )
        yield event


def facts(plan: Plan, engine: str, outcome: Outcome, closed: frozenset[str]) -> Row:
    """The outcome for programs."""
    return {
        "layout": plan.id,
        "engine": engine,
        "reports": outcome.reports,
        "rolled": outcome.rolled,
        "typed": "".join(outcome.typed),
        "read": "".join(outcome.read),
        "lost": outcome.lost,
        "extra": outcome.extra,
        "phantoms_avoided": outcome.reasons.get("phantom", 0) + outcome.refusals,
        "opened_for_newer": dict(sorted(outcome.reasons.items())),
        "opened": [_opened_row(plan.layout.machine, opened) for opened in outcome.opened],
        "not_played": [
            {"time_ms": one.time_us / 1000, "held": one.held, "count": one.count, "reason": one.counter}
            for one in outcome.unplayed
        ],
        "stretches_that_depend_on_the_phase": outcome.unsteady,
        "commands": outcome.commands,
        "overflows": outcome.overflows,
        "refusals": outcome.refusals,
        "clashes": outcome.clashes,
        "read_by_pads": outcome.by_pads,
        "closed": sorted(closed),
        "pads": outcome.switches,
    }


def _opened_row(machine: Machine, opened: Opened) -> Row:
    from matrixmap.model.words import key_name, usage_name

    return {
        "time_ms": opened.time_us / 1000,
        "host_key": usage_name(opened.usage),
        "key": key_name(machine, opened.contact),
        "reason": opened.reason.value,
    }


WHY = {
    "phantom": "a phantom was avoided",
    "rollover": "the machine can tell no more keys apart",
    "same contact": "the newer one closes the same contact",
    "modifiers": "the newer one asks for other modifiers",
    "pad": "it gives way to what a pad closes",
}


def print_outcome(plan: Plan, outcome: Outcome, closed: frozenset[str]) -> None:
    """Prints the outcome in plain words."""
    from matrixmap.model.words import key_name, shown, usage_name

    typer.echo(f"typed: {shown(''.join(outcome.typed))}")
    typer.echo(f"read:  {shown(''.join(outcome.read))}")
    for name, listed in (("lost", outcome.lost), ("extra", outcome.extra), ("closed at the end", sorted(closed))):
        if listed:
            typer.echo(f"{name}: {', '.join(map(shown, listed))}")
    typer.echo(f"{outcome.reports} reports, {outcome.rolled} of them of too many keys")
    total = sum(outcome.reasons.values())
    if total:
        what = "a newer one or a pad" if "pad" in outcome.reasons else "a newer one"
        typer.echo(f"strokes opened for {what}: {total}")
    for opened in outcome.opened:
        key = key_name(plan.layout.machine, opened.contact)
        typer.echo(f"{opened.time_us / 1000:10.1f} ms  {key} ({usage_name(opened.usage)}): {WHY[opened.reason.value]}")
    if total > len(outcome.opened):
        typer.echo(f"            and {total - len(outcome.opened)} more")
    print_switches(outcome.switches)
    if outcome.switch_changes > len(outcome.switches):
        typer.echo(f"            and {outcome.switch_changes - len(outcome.switches)} more changes by pads")
    if outcome.unsteady:
        typer.echo(f"What is read depends on the phase of the scan in {outcome.unsteady} stretches.")
    print_by_pads(outcome.by_pads, outcome.clashes)
    if outcome.unplayed:
        _print_unplayed(outcome)


UNPLAYED = {
    "overflow": "the waiting line was full",
    "refusal": "a phantom with their own modifiers",
    "clash": "it gives way to what a pad closes",
}


def _print_unplayed(outcome: Outcome) -> None:
    from matrixmap.model.words import shown

    if outcome.overflows or outcome.refusals:
        typer.echo(
            f"presses dropped because the waiting line was full: {outcome.overflows}; refused because they made a phantom "
            f"with their own modifiers: {outcome.refusals}"
        )
    for one in outcome.unplayed:
        count = f"{one.count} presses" if one.count > 1 else "a press"
        typer.echo(
            f"{one.time_us / 1000:10.1f} ms  {count} not played: {UNPLAYED[one.counter]} (held: {shown(one.held)})"
        )
    left = outcome.overflows + outcome.refusals + outcome.kept_open - sum(one.count for one in outcome.unplayed)
    if left:
        typer.echo(f"            and {left} more")


def _line(time: str, *lanes: str) -> str:
    width, *widths = CHART_COLUMNS
    cells = [lane if len(lane) <= size else lane[: size - 3] + "..." for lane, size in zip(lanes, widths, strict=False)]
    padded = " | ".join(cell.ljust(size) for cell, size in zip(cells, widths, strict=True))
    return f"{time:>{width}} | {padded} | {lanes[-1]}".rstrip()


def _chart(rows: list[Row], stretch: Stretch) -> Iterator[str]:
    """A line for each moment with a change: the keys held, the contacts closed, what the machine reads."""
    from matrixmap.model.words import shown

    held, closed, now = "", {}, None
    reads: list[str] = []
    for row in [*rows, None]:
        time = None if row is None else float(str(row["time_ms"]))
        if now is not None and time != now:
            yield _line(f"{now:.1f}", held, " ".join(closed), " ".join(reads))
            reads = []
        now = time
        if row is None:
            return
        kind = str(row["kind"])
        keys = row.get("keys")
        names = [str(key) for key in keys] if isinstance(keys, list) else []
        if kind == "input":
            held = shown(str(row["what"]))
        elif kind == "closed":
            closed.update(dict.fromkeys(names))
        elif kind == "opened":
            for name in names:
                closed.pop(name, None)
        elif kind == "read":
            reads.append(f"{row['key']}: {shown(str(row['types'])) if row['types'] is not None else 'nothing'}")
        elif kind == "switches":
            reads.append(f"[{row['what']}]")
        elif kind == "counter":
            reads.append(f"({row['what']})")
        elif kind == "command":
            reads.append(f"(command {row['number']})")
