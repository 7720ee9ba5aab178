"""Files of recorded reports on the command line: read in blocks, with a progress bar, strict or lenient."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from itertools import chain
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO

import typer

from matrixmap.cli.inputs import open_input
from matrixmap.cli.main import UsageError
from matrixmap.limits import RECORDING_BYTES, RECORDING_LINES

if TYPE_CHECKING:
    from matrixmap.hid.descriptor import Descriptor
    from matrixmap.hid.recording import Event, Keyboard

LenientOption = typer.Option(
    False, "--lenient", help="Read what can be read: faulty lines and reports are named and have no effect."
)
DescriptorOption = typer.Option(
    None, "--descriptor", metavar="FILE", help="Report descriptor of keyboards that have none in the recording."
)
IntervalOption = typer.Option(
    10.0, "--interval", metavar="MS", help="Milliseconds between two reports, for a recording without times."
)

BLOCK_BYTES = 1 << 18
TOLD_FAULTS = 10
"""The most faults that a lenient reading prints; the rest are counted."""

PROGRESS_BYTES = 4 << 20
"""A smaller file is read before a progress bar would be noticed."""

START_BYTES = 1 << 16
"""The bytes that are examined to recognize a file."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Input:
    """A file, or standard input for `-`, with its first bytes already read.

    `stream` is the rest of an input that cannot be read twice, such as a pipe; None for a file.
    """

    path: Path
    start: bytes
    stream: BinaryIO | None

    def read(self, most: int) -> bytes:
        """Everything, but at most that many bytes."""
        if self.stream is not None:
            with self.stream:
                return self.start + self.stream.read(max(most - len(self.start), 0))
        if len(self.start) < START_BYTES:
            return self.start
        with self.path.open("rb") as file:
            return file.read(most)


def look_at(path: Path) -> Input:
    """Opens a file, or standard input for `-`, and reads its first bytes."""
    try:
        stream = open_input(path)
        start = stream.read(START_BYTES)
        if stream.seekable() and str(path) != "-":
            stream.close()
            return Input(path=path, start=start, stream=None)
        return Input(path=path, start=start, stream=stream)
    except OSError as error:
        raise UsageError(f"cannot read {path}: {error.strerror or error}") from error


@dataclass(slots=True)
class RecordingFile:
    """A recording that is being read. `keyboards` fills while `events` runs.

    A fault raises UsageError with the line; if `lenient`, it is counted, printed on stderr and skipped.
    """

    source: Input
    descriptor: Descriptor | None = None
    interval_us: int = 10_000
    lenient: bool = False
    faults: int = 0
    keyboards: dict[int, Keyboard] = field(default_factory=dict)

    @property
    def path(self) -> Path:
        """The file's path."""
        return self.source.path

    def events(self) -> Iterator[Event]:
        """The events of the file in order, without those that have a fault."""
        from matrixmap.hid.recording import Recording, split_lines

        recording = Recording(self.descriptor, self.interval_us)
        self.keyboards = recording.keyboards
        with read_blocks(self.source) as blocks:
            for event in recording.events(self._counted(split_lines(self._bounded(blocks)))):
                if event.fault is None:
                    yield event
                else:
                    self._fault(event.line, event.fault)
        if self.faults > TOLD_FAULTS:
            typer.echo(f"note: {self.path}: {self.faults - TOLD_FAULTS} more faults", err=True)

    def _bounded(self, blocks: Iterator[bytes]) -> Iterator[bytes]:
        """The blocks of a file of limited size."""
        left = RECORDING_BYTES
        for block in blocks:
            left -= len(block)
            if left < 0:
                raise UsageError(f"{self.path} has more than {RECORDING_BYTES} bytes; play it in parts")
            yield block

    def _counted(self, lines: Iterator[bytes]) -> Iterator[bytes]:
        """The lines of a file, which may be short and many."""
        for number, line in enumerate(lines):
            if number >= RECORDING_LINES:
                raise UsageError(f"{self.path} has more than {RECORDING_LINES} lines; play it in parts")
            yield line

    def _fault(self, line: int, text: str) -> None:
        told = f"{self.path}:{line}: {text}"
        if not self.lenient:
            raise UsageError(f"{told} (with --lenient, everything that can be read is read)")
        self.faults += 1
        if self.faults <= TOLD_FAULTS:
            typer.echo(f"note: {told}", err=True)


def interval_us(interval_ms: float) -> int:
    """The option --interval in microseconds."""
    if not 0.001 <= interval_ms <= 60_000:
        raise UsageError(f"--interval is 0.001 to 60000 milliseconds, not {interval_ms:g}")
    return round(1000 * interval_ms)


def read_descriptor(source: Input, lenient: bool) -> Descriptor:
    """The report descriptor in a file: binary, hexadecimal text or a C array."""
    from matrixmap.hid.descriptor import parse_descriptor
    from matrixmap.hid.descriptor_text import MAX_TEXT_BYTES, read_descriptor_text

    text = read_descriptor_text(source.read(MAX_TEXT_BYTES + 1))
    parsed = parse_descriptor(text.data)
    fault = None
    if text.fault is not None:
        fault = f"{source.path}:{text.line}: {text.fault}"
    elif parsed.fault is not None:
        fault = f"{source.path}: {parsed.fault}"
    if not parsed.descriptor.reports:
        told = fault or f"{source.path}: this descriptor declares no report: it has no Input, Output or Feature item"
        raise UsageError(told + _hint(text.data))
    if fault is not None:
        if not lenient:
            raise UsageError(f"{fault} (with --lenient, everything before it is read)")
        typer.echo(f"note: {fault}", err=True)
    return parsed.descriptor


def _hint(data: bytes) -> str:
    """What else the file may be, if it is not a descriptor: those of keyboards begin with a Usage Page item."""
    return " (if these are reports, use --keys)" if data and data[0] & 0xFC != 0x04 else ""


@contextmanager
def read_blocks(source: Input) -> Iterator[Iterator[bytes]]:
    """The blocks of a file, with a progress bar on stderr if that is a terminal and the file is large."""
    try:
        if source.stream is not None:
            with source.stream as stream:
                yield chain((source.start,), iter(lambda: stream.read(BLOCK_BYTES), b""))
            return
        size = source.path.stat().st_size
        with source.path.open("rb") as file:
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
                task = progress.add_task(source.path.name, total=size)
                yield _counted(blocks, lambda count: progress.advance(task, count))
    except OSError as error:
        raise UsageError(f"cannot read {source.path}: {error.strerror or error}") from error


def _counted(blocks: Iterator[bytes], advance: Callable[[int], None]) -> Iterator[bytes]:
    for block in blocks:
        yield block
        advance(len(block))
