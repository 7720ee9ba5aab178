"""What it costs to start the program, in instructions under callgrind: python -m tests.bench.bench_start."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from dataclasses import dataclass

from tests.project import ROOT, RUN
from tests.tools import tool

CALLS = (("--help",), ("--version",), ("usages", "KeyA"), ("list",), ("show", "quillon8-en-GB-symbolic"))
BARE = ("import typer", "import yaml", "import rich.console", "import typer, yaml")


@dataclass(frozen=True, slots=True, kw_only=True)
class Cost:
    """A program and the instructions that it took."""

    name: str
    instructions: int


def instructions(code: str, *words: str) -> int:
    """Instructions of one run of Python on that code. A fixed hash seed and warm byte code make runs differ by under 1 %."""
    command = [sys.executable, "-c", code, *words]
    env = {**os.environ, "PYTHONHASHSEED": "0", "PYTHONPATH": str(ROOT)}
    env.pop("PYTHONDONTWRITEBYTECODE", None)
    subprocess.run(command, cwd=ROOT, env=env, capture_output=True, check=True)
    count = [tool("valgrind"), "--tool=callgrind", "--callgrind-out-file=/dev/null", *command]
    done = subprocess.run(count, cwd=ROOT, env=env, capture_output=True, text=True, check=True)
    found = re.search(r"Collected : (\d+)", done.stderr)
    assert found, done.stderr
    return int(found.group(1))


def python_alone() -> int:
    """Instructions of `python -c pass`, the measure of all others."""
    return instructions("pass")


def command_cost(*words: str) -> Cost:
    """What a call of matrixmap costs."""
    return Cost(name=" ".join(("matrixmap", *words)), instructions=instructions(RUN, *words))


def main() -> None:
    """Prints each program with its instructions and the ratio to `python -c pass`."""
    alone = python_alone()
    rows = [Cost(name="python -c pass", instructions=alone)]
    rows += [Cost(name=code, instructions=instructions(code)) for code in BARE]
    rows += [command_cost(*words) for words in CALLS]
    for row in rows:
        print(f"{row.name:40} {row.instructions / 1e6:8.1f} M  {row.instructions / alone:6.2f} x")


if __name__ == "__main__":
    main()
