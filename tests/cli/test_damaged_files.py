"""Every command with every kind of damaged file: told in words, by exit code 0, 1 or 2, with bounded work.

What is still a layout after the damage plays random events in the model and in the C, which must agree.
"""

from __future__ import annotations

import ctypes
import shutil
import signal
import tempfile
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from functools import cache
from pathlib import Path
from random import Random
from subprocess import CompletedProcess
from types import FrameType

import pytest

from matrixmap.join.plan import compile_plan
from matrixmap.press.table.make import TableError, make_table
from matrixmap.simulate.engine import Sizes
from tests import damage
from tests.agree.both import Both, build
from tests.agree.streams import random_stream
from tests.project import call, open_folders, write_project

MOST_SECONDS = 5.0
"""Processor time of one command on one damaged file."""

OUT = "made"
MODEL = ("--engine", "model")
PROJECT_COMMANDS: tuple[tuple[str, ...], ...] = (
    ("check", "x"),
    ("check", "x", "--format", "json"),
    ("check", "x", "--format", "sarif"),
    ("check", "x", "--format", "markdown", "--all"),
    ("check", "x", "--format", "annotations"),
    ("check", "layouts/x.yaml"),
    ("show", "x"),
    ("howto", "x", "aAé1?"),
    ("hold", "x", "Shift+KeyA", "KeyB", "Space"),
    ("draw", "x", "--out", f"{OUT}/x.svg"),
    ("stickers", "x", "--out", f"{OUT}/x.svg"),
    ("sheet", "x", "--out", f"{OUT}/x.html"),
    ("page", "x", "--out", f"{OUT}/x.html"),
    ("build", "x", "--out", OUT),
    ("type", "x", "abAé1", *MODEL),
    ("trace", "x", "script.txt", *MODEL),
    ("trace", "x", "keyboard.rec", *MODEL),
    ("keyboard", "keyboard.rec", "--layout", "x"),
    ("compare", "layouts/x.yaml", "layouts/whole.yaml"),
    ("compare", "layouts/whole.yaml", "layouts/x.yaml", "--format", "json"),
    ("list",),
    ("tidy", "--check", "layouts/x.yaml", "shared/hosts/xx.yaml", "shared/machines/small.yaml"),
    ("tidy", "layouts/x.yaml", "shared/hosts/xx.yaml", "shared/machines/small.yaml"),
    ("schema", "--out", OUT),
    ("new", "layout", "made", "--machine", "small", "--host", "xx"),
)
OTHER_COMMANDS: dict[str, tuple[tuple[str, ...], ...]] = {
    "script.txt": (("trace", "x", "script.txt", *MODEL), ("trace", "x", "script.txt", "--phase", "all", *MODEL)),
    "keyboard.rec": (
        ("trace", "x", "keyboard.rec", "--timeline", *MODEL),
        ("trace", "x", "keyboard.rec", "--lenient", "--format", "json", *MODEL),
        ("keyboard", "keyboard.rec"),
        ("keyboard", "keyboard.rec", "--keys", "--lenient"),
        ("keyboard", "keyboard.rec", "--emit", "c", "--out", OUT),
    ),
    "descriptor.hex": (
        ("keyboard", "descriptor.hex"),
        ("keyboard", "descriptor.hex", "--lenient", "--format", "json"),
        ("keyboard", "descriptor.hex", "--emit", "c", "--out", OUT),
        ("trace", "x", "keyboard.rec", "--descriptor", "descriptor.hex", *MODEL),
    ),
    "table.txt": (("new", "machine", "made", "--from", "table.txt"),),
    "probes.txt": (
        ("new", "machine", "made", "--probes", "probes.txt", "--strobed", "3"),
        ("new", "machine", "made", "--from", "table.txt", "--place", "probes.txt"),
    ),
}
WRITES = ("draw", "stickers", "sheet", "page", "build", "schema", "keyboard")


class TooLongError(Exception):
    """A command took more processor time than any may."""


@contextmanager
def bounded(seconds: float) -> Iterator[None]:
    """Ends what takes more processor time than that."""

    def stop(number: int, frame: FrameType | None) -> None:
        raise TooLongError

    before = signal.signal(signal.SIGPROF, stop)
    signal.setitimer(signal.ITIMER_PROF, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.signal(signal.SIGPROF, before)


SIZES = Sizes(keyboards=2)
EVENTS = 40
"""Events that a damaged layout plays."""


@cache
def runtime() -> ctypes.CDLL:
    """The runtime with room for every kind of table."""
    with tempfile.TemporaryDirectory(prefix="matrixmap-") as folder:
        return build(Path(folder), SIZES)


def play_both(folder: Path, id: str, seed: int) -> int:
    """Plays random events with a layout of a project in the model and in C, which must agree; how many.

    0 for a layout with a finding, or without a table.
    """
    loaded = open_folders(folder).layout(id)
    if loaded is None or loaded.value is None:
        return 0
    plan = compile_plan(loaded.value)
    try:
        make_table(plan)
    except TableError:
        return 0
    return Both([plan], SIZES, runtime()).check(random_stream(seed, plan, 0, EVENTS, keyboards=1 + seed % 2))


def call_in_time(words: Sequence[str], folder: Path, told: str) -> CompletedProcess[str]:
    """A command that ends in time, with an exit code of its own, and says why where it is 2; `told` is said where not."""
    try:
        with bounded(MOST_SECONDS):
            done = call(*words, cwd=folder)
    except BaseException as fault:
        raise AssertionError(told) from fault
    assert done.returncode in (0, 1, 2), told
    assert done.returncode != 2 or done.stderr or done.stdout, told
    assert "Traceback" not in done.stderr, told
    return done


def run_damaged(seed: int, folder: Path) -> int:
    """One command on a project of which one file or two are damaged; how many events model and C then played alike."""
    rng = Random(seed)
    write_project(folder, {**damage.FILES, "layouts/whole.yaml": damage.LAYOUT.replace("layout: x", "layout: whole")})
    (folder / OUT).mkdir(exist_ok=True)
    names = rng.sample([*damage.FILES], 2 if rng.random() < 0.2 else 1)
    for name in names:
        (folder / name).write_bytes(damage.damaged(rng, name, damage.FILES))
    words = rng.choice(OTHER_COMMANDS.get(names[0], PROJECT_COMMANDS))
    told = f"seed {seed}: {' '.join(words)} with {', '.join(names)}"
    done = call_in_time(words, folder, told)
    if done.returncode == 2 and words[0] in WRITES:
        assert not (folder / OUT).exists() or not [*(folder / OUT).iterdir()], told
    return play_both(folder, "x", seed) if any(name.endswith(".yaml") for name in names) else 0


def run_all(run: Callable[[int, Path], int], seeds: range, folder: Path) -> tuple[int, list[str]]:
    """What some seeds make: how many events were played alike, and what was found."""
    found = []
    played = 0
    for seed in seeds:
        root = folder / str(seed)
        try:
            played += run(seed, root)
        except AssertionError as fault:
            found.append(f"seed {seed}: {fault} {fault.__cause__!r}")
        shutil.rmtree(root)
    return played, found


def test_the_files_are_sound_before(tmp_path: Path) -> None:
    """Undamaged, each command takes every file: what a damage does is the damage's."""
    whole = {**damage.FILES, "layouts/whole.yaml": damage.LAYOUT.replace("layout: x", "layout: whole")}
    others = [words for commands in OTHER_COMMANDS.values() for words in commands]
    first = {words[0]: words for words in reversed(PROJECT_COMMANDS)}
    for number, words in enumerate([*first.values(), *others]):
        folder = write_project(tmp_path / str(number), whole)
        (folder / OUT).mkdir()
        done = call(*words, cwd=folder)
        # Probes are no places of keys, and are read as such only to be refused.
        assert done.returncode in ((2,) if "--place" in words else (0, 1)), (words, done.stderr)


def test_the_layout_plays_before(tmp_path: Path) -> None:
    """Undamaged, the layout has a table, so that events are played by both runtimes."""
    assert play_both(write_project(tmp_path, damage.FILES), "x", 0) >= EVENTS


@pytest.mark.parametrize("part", range(4))
def test_damaged_files_are_told(part: int, tmp_path: Path) -> None:
    """No damage ends a command with a traceback, another exit code, half a file written, or much work."""
    _, found = run_all(run_damaged, range(7 * part, 7 * part + 7), tmp_path)
    assert not found


@pytest.mark.campaign
@pytest.mark.parametrize("part", range(100))
def test_many_damaged_files_are_told(part: int, tmp_path: Path) -> None:
    """The same for 100,000 damages."""
    played, found = run_all(run_damaged, range(100_000 + 1_000 * part, 101_000 + 1_000 * part), tmp_path)
    assert not found
    assert played > 1_000
