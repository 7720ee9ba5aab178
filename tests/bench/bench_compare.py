"""What a comparison costs: python -m tests.bench.bench_compare.

The processor's time of comparing all shipped layouts across two git revisions, as a ratio to that of one check of the
same layouts, both in processes of their own. Two changes: one of the machine, which every layout joins, and one of the
lines that the symbolic layouts share.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from tests.compare.scratch import Scratch
from tests.project import ROOT, RUN

MACHINE = "shared/machines/quillon8.yaml"
SHARED = "layouts/quillon8-symbolic.yaml"


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
        check = processor_seconds(scratch, "check", "--fail-on", "none")
        print(f"check of all layouts: {check:.1f} s")
        for old, new in (("shipped", "machine"), ("machine", "line")):
            compare = processor_seconds(scratch, "compare", old, new)
            print(f"compare {old} {new}: {compare:.1f} s, {compare / check:.2f} times a check")


if __name__ == "__main__":
    main()
