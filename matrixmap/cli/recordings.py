"""Files of recorded reports on the command line: read in blocks, with a progress bar, strict or lenient."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from matrixmap.cli.main import UsageError

if TYPE_CHECKING:
    from matrixmap.hid.descriptor import Descriptor
    from matrixmap.hid.recording import Event, Keyboard

LenientOption = typer.Option(
    False, "--lenient", help="Read what can be read: faulty lines and reports are told and change nothing."
)
DescriptorOption = typer.Option(
    None, "--descriptor", metavar="FILE", help="Report descriptor of keyboards whose recording has none."
)
IntervalOption = typer.Option(
    10.0, "--interval", metavar="MS", help="Milliseconds between two reports of a recording without times."
)

BLOCK_BYTES = 1 << 18
TOLD_FAULTS = 10
"""A lenient reading tells so many faults and counts the rest."""

PROGRESS_BYTES = 4 << 20
"""Smaller files are read before a progress bar would be seen."""


@dataclass(slots=True)
class RecordingFile:
    """A recording on its way through the program. `keyboards` fills while `events` runs.

    A fault raises UsageError with the line; if `lenient`, it is counted, told on stderr and passed over.
    """

    path: Path
    descriptor: Descriptor | None = None
    interval_us: int = 10_000
    lenient: bool = False
    faults: int = 0
    keyboards: dict[int, Keyboard] = field(default_factory=dict)

    def events(self) -> Iterator[Event]:
        """The events of the file in order, those with a fault left out."""
        from matrixmap.hid.recording import Recording, split_lines

        recording = Recording(self.descriptor, self.interval_us)
        self.keyboards = recording.keyboards
        with read_blocks(self.path) as blocks:
            for event in recording.events(split_lines(blocks)):
                if event.fault is None:
                    yield event
                else:
                    self._fault(event.line, event.fault)
        if self.faults > TOLD_FAULTS:
            typer.echo(f"note: {self.path}: {self.faults - TOLD_FAULTS} more faults", err=True)

    def _fault(self, line: int, text: str) -> None:
        told = f"{self.path}:{line}: {text}"
        if not self.lenient:
            raise UsageError(f"{told} (with --lenient this line changes nothing)")
        self.faults += 1
        if self.faults <= TOLD_FAULTS:
            typer.echo(f"note: {told}", err=True)


def interval_us(interval_ms: float) -> int:
    """The option --interval in microseconds."""
    if not 0.001 <= interval_ms <= 60_000:
        raise UsageError(f"--interval is 0.001 to 60000 milliseconds, not {interval_ms:g}")
    return round(1000 * interval_ms)


def read_start(path: Path, size: int) -> bytes:
    """The first bytes of a file."""
    try:
        with path.open("rb") as file:
            return file.read(size)
    except OSError as error:
        raise UsageError(f"cannot read {path}: {error.strerror or error}") from error


def read_descriptor(path: Path, lenient: bool) -> Descriptor:
    """The report descriptor in a file: binary, hexadecimal text or a C array."""
    from matrixmap.hid.descriptor import parse_descriptor
    from matrixmap.hid.descriptor_text import MAX_TEXT_BYTES, read_descriptor_text

    text = read_descriptor_text(read_start(path, MAX_TEXT_BYTES + 1))
    fault = f"{path}:{text.line}: {text.fault}" if text.fault is not None else None
    parsed = parse_descriptor(text.data)
    if fault is None and parsed.fault is not None:
        fault = f"{path}: {parsed.fault}"
    if fault is not None:
        if not lenient or not parsed.descriptor.reports:
            more = (
                " (with --lenient what stands before it is read)" if not lenient and parsed.descriptor.reports else ""
            )
            raise UsageError(fault + more)
        typer.echo(f"note: {fault}", err=True)
    return parsed.descriptor


def _hint(data: bytes, lenient: bool, readable: bool) -> str:
    """What to do about a faulty descriptor."""
    if readable and not lenient:
        return " (with --lenient what stands before it is read)"
    # A descriptor begins with a Usage Page; eight bytes a line are more likely reports.
    return " (if these are reports, use --keys)" if data and data[0] & 0xFC != 0x04 and len(data) % 8 == 0 else ""


@contextmanager
def read_blocks(path: Path) -> Iterator[Iterator[bytes]]:
    """The blocks of a file, with a progress bar on stderr if that is a terminal and the file is large."""
    try:
        size = path.stat().st_size
        with path.open("rb") as file:
            blocks = iter(lambda: file.read(BLOCK_BYTES), b"")
            if size < PROGRESS_BYTES or not sys.stderr.isatty():
                yield blocks
                return
            from rich.progress import BarColumn, DownloadColumn, Progress, TextColumn, TimeRemainingColumn

            from matrixmap.cli.session import make_console

            columns = (
                TextColumn("{task.description}", markup=False),
                BarColumn(),
                DownloadColumn(),
                TimeRemainingColumn(),
            )
            with Progress(*columns, console=make_console(stderr=True), transient=True) as progress:
                task = progress.add_task(path.name, total=size)
                yield _counted(blocks, lambda count: progress.advance(task, count))
    except OSError as error:
        raise UsageError(f"cannot read {path}: {error.strerror or error}") from error


def _counted(blocks: Iterator[bytes], advance: Callable[[int], None]) -> Iterator[bytes]:
    for block in blocks:
        yield block
        advance(len(block))
