"""What every command shares: help with an example, exit codes, nearest names, formats, pipes, encodings."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from matrixmap.cli.main import COMMANDS
from tests.project import ROOT, RUN, call, matrixmap
from tests.shipped import in_campaign

HEAVY = ("yaml", "rich", "pydantic")
LAYOUT = "quillon8-en-GB-symbolic"
WITH_JSON = (
    ("list",),
    ("show", LAYOUT),
    ("howto", LAYOUT, "£"),
    ("hold", LAYOUT, "KeyA"),
    ("usages", "KeyA"),
)


@pytest.mark.parametrize("command", COMMANDS)
def test_help_has_an_example(command: str) -> None:
    """`--help` of every command tells what it does and ends with an example that begins with its call."""
    done = call(command, "--help")
    assert done.returncode == 0, done.stderr
    assert done.stderr == ""
    assert done.stdout.startswith(f"Usage: matrixmap {command} ")
    assert re.search(rf"Example: matrixmap {command}\b", done.stdout)


def test_help_lists_the_commands() -> None:
    """`matrixmap --help` names every command with a line about it, and so does a call without arguments."""
    done = matrixmap("--help")
    assert done.returncode == 0
    for name, command in COMMANDS.items():
        assert re.search(rf"^  {name} +{re.escape(command.line[:30])}", done.stdout, re.MULTILINE)
    alone = matrixmap()
    assert alone.returncode == 2
    assert "Commands:" in alone.stdout + alone.stderr


def test_version() -> None:
    """`--version` prints the version and nothing else."""
    from matrixmap import __version__

    done = matrixmap("--version")
    assert (done.returncode, done.stdout, done.stderr) == (0, f"matrixmap {__version__}\n", "")


def test_help_loads_nothing_heavy() -> None:
    """`matrixmap --help` imports neither yaml nor rich nor Typer; after another option it prints the same with Typer."""
    done = matrixmap("--help", python=("-X", "importtime"))
    loaded = {line.rpartition("|")[2].strip().partition(".")[0] for line in done.stderr.splitlines()}
    assert not loaded & {"typer", *HEAVY}
    library = matrixmap("--help", "list", python=("-X", "importtime"))
    assert (library.returncode, library.stdout) == (0, done.stdout)
    assert "| typer\n" in library.stderr


@pytest.mark.parametrize("words", [("usages", "KeyA"), ("list",), ("build", LAYOUT, "--check"), ("howto", LAYOUT, "a")])
def test_commands_load_no_more_than_they_need(words: tuple[str, ...]) -> None:
    """Rich is loaded only to draw tables, pydantic never, and yaml not to look up a usage."""
    done = matrixmap(*words, python=("-X", "importtime"))
    loaded = {line.rpartition("|")[2].strip().partition(".")[0] for line in done.stderr.splitlines()}
    assert not loaded & {"rich", "pydantic"}
    assert ("yaml" in loaded) == (words[0] != "usages")


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("shwo",), "there is no command 'shwo'; did you mean show?"),
        (("show", "quillon8-en-GB-symbolc"), "did you mean quillon8-en-GB-symbolic?"),
        (("howto", "quillon-en-GB-symbolic", "a"), "did you mean quillon8-en-GB-symbolic?"),
        (("build", "quillon8-de-DE-positonal"), "did you mean quillon8-de-DE-positional?"),
        (("usages", "KeyAA"), "did you mean KeyA?"),
        (("list", "--format", "xml"), "there is no format 'xml'"),
        (("list", "--root", "nowhere"), "there is no folder nowhere"),
        (("show", "missing.yaml"), "cannot read missing.yaml: No such file or directory"),
        (("show",), "missing argument"),
        (("build", "--nonsense"), "no such option"),
        (("show", "\x1b[31mred"), "\\x1b[31mred"),
    ],
)
def test_unusable_calls(words: tuple[str, ...], told: str) -> None:
    """A call that cannot be carried out says why in one go, with the nearest right name, and exits with 2."""
    done = call(*words)
    assert done.returncode == 2
    assert done.stdout == ""
    assert told in done.stderr
    assert "Traceback" not in done.stderr
    assert "\x1b" not in done.stderr


@pytest.mark.parametrize("words", WITH_JSON)
def test_json_is_one_object(words: tuple[str, ...]) -> None:
    """`--format json` prints one JSON object on stdout and nothing else, and the same again."""
    first, second = (call(*words, "--format", "json") for _ in range(2))
    assert first.returncode == 0, first.stderr
    assert isinstance(json.loads(first.stdout), dict)
    assert (first.stdout, first.stderr) == (second.stdout, "")


@pytest.mark.parametrize(
    ("encoding", "words"),
    [
        *(("ascii", words) for words in WITH_JSON[:2]),
        *(in_campaign(("ascii", words)) for words in WITH_JSON[2:]),
        *((encoding, words) for encoding in ("latin-1", "cp437", "utf-8") for words in WITH_JSON[1:2]),
    ],
)
def test_any_encoding_of_the_terminal_will_do(words: tuple[str, ...], encoding: str) -> None:
    """What the terminal's encoding lacks comes out as a code point; JSON is UTF-8 whatever the terminal takes."""
    # JSON does not ask what the terminal takes; the poorest of them shows it.
    for more in ((), ("--format", "json"))[: 2 if encoding == "ascii" else 1]:
        done = subprocess.run(
            [sys.executable, "-c", RUN, *words, *more],
            cwd=ROOT,
            env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONIOENCODING": encoding},
            capture_output=True,
            check=False,
        )
        assert (done.returncode, done.stderr) == (0, b"")
        # The command-line library takes a terminal that claims ASCII for one of UTF-8.
        text = done.stdout.decode("utf-8" if more or encoding == "ascii" else encoding)
        if more:
            assert json.loads(text)


@pytest.mark.parametrize("words", [*WITH_JSON, ("usages",), ("--help",)])
@pytest.mark.parametrize("lines", [0, in_campaign(1)])
def test_a_pipe_closed_early_is_quiet(words: tuple[str, ...], lines: int) -> None:
    """Whoever reads only the first line, or none, sees no complaint."""
    with subprocess.Popen(
        [sys.executable, "-c", RUN, *words],
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    ) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        for _ in range(lines):
            process.stdout.readline()
        process.stdout.close()
        told = process.stderr.read()
        code = process.wait(timeout=60)
    assert (told, code) == (b"", 0)


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="/dev/full is missing")
@pytest.mark.parametrize("unbuffered", ["", "1"])
@pytest.mark.parametrize(
    "words", [WITH_JSON[0], *(pytest.param(words, marks=pytest.mark.campaign) for words in WITH_JSON[1:])]
)
def test_a_full_disk_is_told(words: tuple[str, ...], unbuffered: str) -> None:
    """Output that cannot be written is a line on stderr and exit code 2, be it written at once or kept back by Python."""
    with Path("/dev/full").open("w") as full:
        done = subprocess.run(
            [sys.executable, "-c", RUN, *words],
            cwd=ROOT,
            env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONUNBUFFERED": unbuffered},
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
        )
    assert done.returncode == 2
    assert done.stderr == "matrixmap: cannot read or write: No space left on device\n"


@pytest.mark.parametrize("words", [("show", LAYOUT), ("list",), ("howto", LAYOUT, "PRINT")])
def test_no_colour_in_a_pipe(words: tuple[str, ...]) -> None:
    """In a pipe there is neither colour nor wrapping, whatever the size and kind of terminal that the environment claims."""
    plain = call(*words).stdout
    for env in ({"COLUMNS": "20", "LINES": "5", "TERM": "xterm-256color"}, {"NO_COLOR": "1"}, {"TERM": "dumb"}):
        assert call(*words, env=env).stdout == plain
    assert "\x1b" not in plain
