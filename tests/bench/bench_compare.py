"""What a comparison costs: python -m tests.bench.bench_compare.

The processor's time of comparing all shipped layouts across two git revisions, in a process of its own: a change of the
machine, which every layout of it joins, one of the lines that 57 symbolic layouts share, one of a single layout, and none.
Each is given in seconds, as a ratio to one check of the same layouts, and as the share of the time that it may take.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
from itertools import pairwise
from pathlib import Path

from tests.compare.scratch import Scratch
from tests.project import ROOT, RUN

MACHINE = "shared/machines/quillon8.yaml"
SHARED = "layouts/quillon8-symbolic.yaml"
ONE = "layouts/quillon8-de-DE-symbolic.yaml"
BOUNDS = {"machine": 8.0, "line": 8.0, "one": 1.0, "nothing": 1.0}
"""Seconds of processor time that each change may take on one core of a machine with nothing else to do."""


def processor_seconds(scratch: Scratch, *words: str) -> float:
    """The user and system time of a command in the repository."""
    before = os.times()
    done = subprocess.run(
        [sys.executable, "-c", RUN, *words],
        cwd=scratch.root,
        env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "utf-8"},
        capture_output=True,
        encoding="utf-8",
        check=False,
    )
    after = os.times()
    assert done.returncode == 0, done.stderr
    return after.children_user - before.children_user + after.children_system - before.children_system


def main() -> None:
    """Prints the figures."""
    with tempfile.TemporaryDirectory() as folder:
        scratch = Scratch(Path(folder) / "repo")
        for name in ("layouts", "shared"):
            shutil.copytree(ROOT / name, scratch.root / name)
        scratch.commit("As shipped", tag="shipped")
        scratch.edit(MACHINE, "samples_down: 2", "samples_down: 3")
        scratch.commit("Another machine", tag="machine")
        scratch.edit(SHARED, "  Delete: erase\n", "  Delete: erase\n  F10: hail\n")
        scratch.commit("A line more", tag="line")
        scratch.edit(ONE, "host: de-DE\n", "host: de-DE\n\nkeys:\n  F11: hail\n")
        scratch.commit("A line of one layout", tag="one")
        scratch.commit("Nothing", tag="nothing")
        check = processor_seconds(scratch, "check", "--fail-on", "none")
        print(f"check of all layouts: {check:.1f} s")
        tags = ("shipped", *BOUNDS)
        for old, new in pairwise(tags):
            chosen = ("quillon8-de-DE-symbolic",) if new == "one" else ()
            for form in ("text", "markdown", "json", "annotations"):
                compare = processor_seconds(scratch, "compare", old, new, *chosen, "--format", form)
                share = compare / BOUNDS[new]
                print(
                    f"compare {old} {new}, {form}: {compare:.2f} s, {compare / check:.3f} checks, {share:.0%} of the bound"
                )


if __name__ == "__main__":
    main()
