"""Shared by `type` and `trace`: the runtime that plays, the machine that reads, and how both are printed."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

import typer

from matrixmap.cli.main import UsageError
from matrixmap.limits import PHASE_SCANS

if TYPE_CHECKING:
    from matrixmap.model.machine import Machine
    from matrixmap.model.plan import Plan
    from matrixmap.simulate.engine import Engine, Sizes
    from matrixmap.simulate.player import Note, Player
    from matrixmap.simulate.recorded import Stretch
    from matrixmap.simulate.scan import KeyRead, Reader

EngineOption = typer.Option(
    "model",
    "--engine",
    metavar="model|c",
    help="Play the reference model, or the C runtime built by the system's compiler.",
)
TimelineOption = typer.Option(False, "--timeline", help="Print every report, change and press with its time.")
PhaseOption = typer.Option(
    "0", "--phase", metavar="MS", help="When the machine's first scan begins; `all` tries every phase that matters."
)

LISTED_LEGENDS = 100
"""The most legends that are listed because of pads alone; the rest are counted."""

Row = dict[str, object]


@contextmanager
def running(engine: str, plans: Sequence[Plan], sizes: Sizes) -> Iterator[Engine]:
    """The runtime named by an option, with these layouts."""
    from matrixmap.press.table.make import TableError, make_table

    if engine == "model":
        from matrixmap.simulate.model import Model

        try:
            model = Model(plans, sizes)
        except TableError as fault:
            raise UsageError(str(fault)) from fault
        yield model
    elif engine == "c":
        from tempfile import TemporaryDirectory

        from matrixmap.simulate.compiled import Compiled, CompilerError, compile_library, features_of, load_library

        try:
            made = [make_table(plan) for plan in plans]
        except TableError as fault:
            raise UsageError(str(fault)) from fault
        with TemporaryDirectory(prefix="matrixmap-") as folder:
            from pathlib import Path

            try:
                library = load_library(compile_library(Path(folder), sizes, features=features_of(made)))
            except CompilerError as error:
                raise UsageError(str(error)) from error
            yield Compiled(library, plans[0].layout.machine, [table.to_bytes() for table in made])
    else:
        raise UsageError(f"there is no engine {engine!r} (engines: model, c)")


def number(option: str, text: str, low: Fraction, high: Fraction) -> Fraction:
    """A positive decimal number of an option, within bounds."""
    if re.fullmatch(r"[0-9]{1,9}(\.[0-9]{1,6})?", text) and low <= Fraction(text) <= high:
        return Fraction(text)
    raise UsageError(f"{option} takes a number from {float(low):g} to {float(high):g}, not {text!r}")


@dataclass(slots=True)
class Phases:
    """Reads at the phase of an option, or at all relevant ones; `left` is how many scans these may still use."""

    reader: Reader
    option: str
    left: int = PHASE_SCANS

    def read(self, player: Player | Stretch) -> list[tuple[KeyRead, ...]]:
        """The reads at the phase, or each different result of any phase."""
        from matrixmap.simulate.scan import critical_phases

        reader = self.reader
        if self.option != "all":
            chosen = number("--phase", self.option, Fraction(0), Fraction(1000)) * 1000 * reader.pace.grain
            return [reader.read(player.moments, int(chosen))]
        scans = reader.scans(player.moments)
        # The first line alone has this many phases; all phases of many changes would fill the memory.
        fewest = len({moment.time_us * reader.pace.grain % reader.pace.period for moment in player.moments})
        phases = critical_phases(player.moments, reader.pace) if fewest * scans <= self.left else ()
        self.left -= max(fewest, len(phases)) * scans
        if self.left < 0:
            raise UsageError(f"--phase all would need more than {PHASE_SCANS} scans; play less at once")
        found: dict[tuple[tuple[str, object], ...], tuple[KeyRead, ...]] = {}
        for phase in phases:
            reads = reader.read(player.moments, phase)
            found.setdefault(tuple((read.key, read.state) for read in reads), reads)
        return list(found.values()) or [()]


def timeline(machine: Machine, notes: Sequence[Note], reads: Sequence[KeyRead]) -> list[Row]:
    """Everything that happened, in order of time: kind and subject."""
    rows: list[Row] = []
    for note in notes:
        row: Row = {"time_ms": note.time_us / 1000, "kind": note.kind.value}
        if note.contacts:
            row["contacts"] = [machine.contact_name(contact) for contact in sorted(note.contacts)]
            row["keys"] = [_key_at(machine, contact) for contact in sorted(note.contacts)]
        elif note.text:
            row["what"] = note.text
        if note.kind.value in ("leds", "command", "counter"):
            row["number"] = note.number
        elif note.kind.value == "switches":
            row["what"] = ": ".join(_switches(machine, note))
        rows.append(row)
    rows += [{"time_ms": read.time_us / 1000, "kind": "read", **read_row(machine, read)} for read in reads]
    # Sorting keeps the order of events at one time; the machine reads contacts after they have changed.
    return sorted(rows, key=lambda row: float(str(row["time_ms"])))


def read_row(machine: Machine, read: KeyRead) -> Row:
    """A press that the machine read."""
    return {
        "key": read.key,
        "state": machine.state_name(read.state),
        "types": read.types.text if read.types else None,
        **({"by_pad": True} if read.by_pad else {}),
    }


def _key_at(machine: Machine, contact: int) -> str:
    from matrixmap.model.machine import Contact
    from matrixmap.model.words import key_name

    return key_name(machine, Contact(contact))


def print_timeline(rows: Sequence[Row]) -> None:
    """The rows, one a line: time in milliseconds, what happened."""
    from matrixmap.model.words import shown

    for row in rows:
        typer.echo(f"{float(str(row['time_ms'])):10.1f} ms  {shown(_words(row))}")


COUNTED = {"clash": "key that gives way to a pad"}
"""Words for a counter in the timeline, instead of its name."""


def _words(row: Row) -> str:
    match row["kind"]:
        case "input":
            return f"{row['what']}"
        case "closed" | "opened":
            return f"    {row['kind']:7} {_listed(row['keys'])}"
        case "leds":
            lit = [name for bit, name in ((1, "Num Lock"), (2, "Caps Lock")) if int(str(row["number"])) & bit]
            return f"    LEDs    {' and '.join(lit) or 'none'}"
        case "switches":
            return f"    pad     {row['what']}"
        case "command":
            return f"    command {row['number']}"
        case "counter":
            return f"    {COUNTED.get(str(row['what']), row['what'])} counted: {row['number']}"
    typed = row["types"] if row["types"] is not None else "nothing"
    return f"        the machine reads {row['key']} ({row['state']}): {typed}{', by a pad' if 'by_pad' in row else ''}"


def _listed(names: object) -> str:
    return ", ".join(str(name) for name in names) if isinstance(names, list) else str(names)


def _switches(machine: Machine, note: Note) -> tuple[str, str]:
    """The controller in a note of switches, and the switches closed from then on."""
    controller = machine.controllers[note.controller]
    closed = [switch.function for bit, switch in enumerate(controller.switches) if note.number >> bit & 1]
    return controller.name, ", ".join(closed) or "none"


def switch_rows(machine: Machine, notes: Sequence[Note]) -> list[Row]:
    """The changes of controllers' switches that the runtime made for pads: when, and which are closed then."""
    changes = [(note.time_us, *_switches(machine, note)) for note in notes if note.kind.value == "switches"]
    return [{"time_ms": time / 1000, "controller": name, "closed": closed} for time, name, closed in changes]


def read_by_pads(reads: Sequence[KeyRead]) -> tuple[list[KeyRead], list[str]]:
    """What the machine reads because of keys, and what it types because of pads alone."""
    from matrixmap.simulate.texts import legends_of

    return [read for read in reads if not read.by_pad], legends_of([read for read in reads if read.by_pad])


def print_by_pads(legends: object, clashes: object) -> None:
    """Prints what the machine read because of pads alone, and the keys that gave way to them."""
    from matrixmap.model.words import shown

    if isinstance(legends, list) and legends:
        typer.echo(f"read because of pads alone: {', '.join(map(shown, legends[:LISTED_LEGENDS]))}")
        if len(legends) > LISTED_LEGENDS:
            typer.echo(f"            and {len(legends) - LISTED_LEGENDS} more")
    if clashes:
        typer.echo(f"keys kept from closing, or opened, because of pads: {clashes}")


def print_switches(rows: object) -> None:
    """Prints these changes, one line each."""
    for row in rows if isinstance(rows, list) else ():
        typer.echo(f"{row['time_ms']:10.1f} ms  pad: {row['controller']}: {row['closed']}")
