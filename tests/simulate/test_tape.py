"""Tapes that the model plays: where each event ends, and what its row says, written out by hand."""

from __future__ import annotations

from collections.abc import Callable

from matrixmap.model.plan import Plan
from matrixmap.simulate import tape
from matrixmap.simulate.engine import Result, Sizes
from matrixmap.simulate.tape import ModelTape, rows_of
from tests.check.cases import plan_of
from tests.project import shipped_plan

Start = Callable[[], ModelTape]
A_DOWN, B_DOWN, ALL_UP = bytes.fromhex("0000040000000000"), bytes.fromhex("0000050000000000"), bytes(8)
COMMANDS = "layout: case\nmachine: quillon8\nhost: en-US\njoin: positional\nkeys: {KeyA: a}\ncommands: {KeyB: 7}\n"


def contact(plan: Plan, key: str) -> int:
    """The contact of a key of the machine."""
    return plan.layout.machine.key(key).contact


def closed(row: bytes, plan: Plan) -> set[int]:
    """The crosspoints of a row: 11 bytes about the runtime, one of direct lines, two bytes a select line."""
    width = len(plan.layout.machine.sense)
    lines = [int.from_bytes(row[at : at + 2], "little") for at in range(12, len(row), 2)]
    return {select * width + sense for select, line in enumerate(lines) for sense in range(16) if line >> sense & 1}


def test_a_report_ends_where_its_length_says() -> None:
    """A report of any length is followed by the next event: each gives one row."""
    player = ModelTape([shipped_plan("quillon8-en-US-positional")], Sizes())
    rows = rows_of(player.play(tape.boot_report(A_DOWN + b"\0") + tape.boot_report(b"") + tape.boot_report(ALL_UP)))
    assert [row[0] for row in rows] == [Result.TAKEN, Result.MALFORMED, Result.TAKEN]


def test_a_tape_changes_the_layout() -> None:
    """The key Q presses q with the first layout and a with the second."""
    plans = [shipped_plan("quillon8-en-US-positional"), shipped_plan("quillon8-fr-FR-symbolic")]
    press = tape.boot_report(bytes.fromhex("0000140000000000")) + tape.run(1)
    for before, key in ((b"", "q"), (tape.change_layout(1) + tape.run(1000), "a")):
        last = rows_of(ModelTape(plans, Sizes()).play(before + press))[-1]
        assert closed(last, plans[0]) == {contact(plans[0], key)}


def test_a_row_has_the_commands_since_the_last_one() -> None:
    """How many became due, and the last of them: one of number 7 while B goes down, none before and after."""
    plan = plan_of(COMMANDS)
    rows = rows_of(
        ModelTape([plan], Sizes()).play(tape.boot_report(ALL_UP) + tape.boot_report(B_DOWN) + tape.boot_report(ALL_UP))
    )
    assert [(row[4], row[5]) for row in rows] == [(0, 0), (1, 7), (0, 0)]


def test_a_model_has_as_many_keyboards_as_its_sizes_say() -> None:
    """The third keyboard's key is pressed, and let go alone by what the third keyboard says."""
    plan = shipped_plan("quillon8-en-US-positional")
    player = ModelTape([plan], Sizes(keyboards=3))
    press = tape.boot_report(A_DOWN, 2) + tape.run(1)
    for event, still in ((b"", True), (tape.boot_report(ALL_UP, 0), True), (tape.boot_report(ALL_UP, 2), False)):
        last = rows_of(player.play(tape.start(0) + press + event + tape.run(2000)))[-1]
        assert closed(last, plan) == ({contact(plan, "a")} if still else set())
        assert last[10] == (not still), "the runtime is idle once nothing is closed"
