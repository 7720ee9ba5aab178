"""What handbooks say beside the matrix: repeat times, which shift the host's Shift feeds, an optional pad.

Sources: spectrum-matrix.yaml and msx-matrix.yaml beside this file, each with document, edition and section.
"""

from __future__ import annotations

from pathlib import Path

from matrixmap.emit.sheet import sheet_html
from matrixmap.hid.usages import SHIFT_LEFT, SHIFT_RIGHT
from matrixmap.join.plan import compile_plan
from matrixmap.model.plan import Feed, Plan, Trigger
from tests.project import HANDBOOK, open_folders, read_layout
from tests.reference.printed import tree

HERE = Path(__file__).parent


def plan_of(id: str) -> Plan:
    """The plan of a fixture."""
    return compile_plan(read_layout(open_folders(HANDBOOK), id))


def test_the_spectrum_repeats_as_its_system_variables_say() -> None:
    """REPDEL 35 and REPPER 5 in fiftieths of a second (+3 manual, system variables 23561 and 23562), told in the sheet."""
    plan = plan_of("zx-spectrum-en-US-symbolic")
    facts = tree(HERE / "spectrum-matrix.yaml")["repeat_50ths_of_a_second"]
    delay, every = (int(facts[name]) * 20 for name in ("delay_REPDEL", "period_REPPER"))
    assert (plan.layout.machine.scan.repeat_delay_ms, plan.layout.machine.scan.repeat_every_ms) == (delay, every)
    assert f"A key that stays down repeats after {delay} ms, then every {every} ms." in sheet_html(plan, "A4")


def test_the_hosts_shift_feeds_caps_shift_without_a_line() -> None:
    """CAPS SHIFT (half-row 0, D0) is not named shift, and what it makes of letters is not in the sources: the file says it."""
    plan = plan_of("zx-spectrum-en-US-symbolic")
    row = tree(HERE / "spectrum-matrix.yaml")["half_rows"][0]
    contact = row["keys"].index("CAPS SHIFT")
    for usage in (SHIFT_LEFT, SHIFT_RIGHT):
        action = plan.by_trigger[Trigger(usage=usage, level=1)]
        assert action == Feed(modifier="caps-shift", contact=contact)
