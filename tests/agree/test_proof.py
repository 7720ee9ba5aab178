"""Static proof: no input of any content or number makes the runtime read or write outside its memory, or overflow."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests import tools
from tests.agree.layouts import few_plans
from tests.agree.processors import write_tables

HARNESS = Path(__file__).with_name("proof") / "eva.c"


@pytest.mark.campaign
@pytest.mark.parametrize("machine", ["gcc_x86_32", "gcc_x86_16"])
def test_no_alarm(machine: str, tmp_path: Path) -> None:
    """Frama-C Eva gives no alarm for an unbounded number of inputs, with 32-bit and with 16-bit int."""
    frama_c = tools.tool("frama-c")
    plans = few_plans()
    write_tables(tmp_path, plans)
    sources = [HARNESS, tmp_path / "mm_runtime.c", *(tmp_path / f"{plan.id}.c" for plan in plans)]
    done = tools.run(
        frama_c,
        "-machdep",
        machine,
        f"-cpp-extra-args=-I{tmp_path}",
        "-eva",
        "-eva-precision",
        "3",
        "-eva-msg-key=-initial-state,-final-states",
        *sources,
        timeout=3600,
    )
    found = re.search(r"(\d+) alarms? generated", done.stdout)
    assert found, done.stdout[-3000:]
    assert int(found.group(1)) == 0, "\n".join(
        line for line in done.stdout.splitlines() if "alarm" in line or "warning" in line
    )
