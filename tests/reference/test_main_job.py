"""The main job, from the YAML files to the contacts that the compiled C closes.

Every trigger of every shipped layout is pressed. What the machine would type is read off the closed contacts by a second
reading of the YAML files (printed.py), which shares no code with the project, and must be what is printed on the host key.
"""

from __future__ import annotations

import ctypes
from collections.abc import Iterator
from pathlib import Path

import pytest

from matrixmap.hid.usages import ALT_RIGHT
from matrixmap.model.plan import Plan, Stroke, Trigger
from tests.emit.compiled import table_bytes
from tests.project import ROOT, sample_ids, shipped_ids, shipped_plan
from tests.reference.pressing import CAPS_LOCK, NUM_LOCK, Press, closed_by, closed_in_plan, pause
from tests.reference.printed import KEYPAD, Layout, read_layout
from tests.runtime.engine import Engine
from tests.shipped import in_suite

# Every layout as gcc compiles it; some as clang does, for the tables are the same bytes (tests/emit) and so is the runtime's text.
JOBS = [
    ("gcc", id) if in_suite(id, "main job") else pytest.param("gcc", id, marks=pytest.mark.campaign)
    for id in shipped_ids()
] + [("clang", id) for id in sample_ids()[:2]]


def all_presses(layout: Layout) -> Iterator[Press]:
    """Every usage of the host at every level, with what extras the layout's lines name, from either Shift.

    Where a line makes the right Alt key a key of the machine, it chooses no level.
    """
    own_key = layout.line_for(ALT_RIGHT, 1, frozenset()) is not None and ALT_RIGHT not in layout.feeds
    usages = sorted({*layout.host.legends, *layout.feeds, *(usage for line in layout.lines for usage in line.usages)})
    named = {(usage, line.extras) for line in layout.lines for usage in line.usages}
    for usage in usages:
        levels = range(1, 3) if usage in KEYPAD or own_key else range(1, layout.host.levels + 1)
        for extras in sorted({frozenset[str](), *(extras for at, extras in named if at == usage)}, key=sorted):
            for level in levels:
                for side in ("left", "right") if level in (2, 4) or extras else ("left",):
                    press = Press(usage, level, extras, side)
                    if usage not in press.held:
                        yield press


def other_case(text: str) -> str:
    """The other case of a letter, the text itself where there is none."""
    swapped = text.swapcase()
    return swapped if len(swapped) == 1 and swapped.swapcase() == text else text


def wanted_texts(layout: Layout, press: Press) -> set[str | None]:
    """What a symbolic layout promises for a press: what is printed, in the machine's case if it has only one.

    Where the machine lacks a character, or a key of characters has none at this level, that of the second host stands in.
    A dead key that nothing stands in for types nothing yet.
    """
    usage, level = press.usage, press.level
    printed = layout.host.at(usage, level)
    if usage in (CAPS_LOCK, NUM_LOCK) and usage not in layout.locks and not layout.machine.has(printed or ""):
        return {None}
    own = on_the_machine(layout, printed) if printed else None
    prints_characters = any(text is not None and len(text) == 1 for text in layout.host.legends.get(usage, ()))
    dead = layout.host.is_dead(usage, level)
    if (own is not None and not dead) or layout.stand_in is None or len(printed or "") > 1 or not prints_characters:
        return {None if dead else own}
    other = layout.stand_in.at(usage, level)
    stands_in = other is not None and len(other) == 1 and not layout.stand_in.is_dead(usage, level)
    second = on_the_machine(layout, other) if stands_in and other else None
    # Dead keys that compose something with another key of the host stay dead.
    return {second, None} if dead else {second}


def on_the_machine(layout: Layout, text: str) -> str | None:
    """The text if the machine types it, else its other case if it types that."""
    return next((some for some in (text, other_case(text)) if layout.machine.has(some)), None)


def check_press(layout: Layout, press: Press, closed: frozenset[tuple[str, int, int]]) -> str | None:
    """The fault of a press, None if the closed contacts are right."""
    machine = layout.machine
    fed = {machine.contact(layout.feeds[usage]) for usage in press.held if usage in layout.feeds}
    if press.usage in layout.feeds:
        wanted = fed | {machine.contact(layout.feeds[press.usage])}
        return None if closed == wanted else f"a modifier closes {sorted(closed)} and not {sorted(wanted)}"
    keys, held = machine.decode(closed)
    if press.usage in layout.locks:
        key = layout.locks[press.usage]
        wanted = fed | {machine.contact(machine.latching.get(key, key))}
        return None if closed == wanted else f"a lock closes {sorted(closed)} and not {sorted(wanted)}"
    line = layout.line_for(press.usage, press.level, press.extras)
    if line is None and press.extras:
        line = layout.line_for(press.usage, press.level, frozenset())
    if line is not None:
        names = [name.strip() for name in line.stroke.split("+")] if line.stroke != "none" else []
        named = {name for name in names if name in machine.modifiers and len(names) > 1}
        pressed = sorted(name for name in names if name not in named)
        if sorted(keys) != pressed:
            return f"the line {line.stroke} closes {keys}"
        if not layout.symbolic:
            wanted = fed | {machine.contact(name) for name in (*pressed, *(machine.modifiers[one][0] for one in named))}
            return None if closed == wanted else f"by its place {line.stroke} closes {sorted(closed)}"
        selectors = frozenset().union(*(frozenset().union(*machine.types.get(key, {})) for key in pressed))
        if held & (selectors | named) != named:
            return f"the line {line.stroke} holds {sorted(held)}"
        return None
    texts = wanted_texts(layout, press) if layout.symbolic else {None}
    in_turn = [machine.strokes(text)[-1] for text in texts if text in machine.sequences]
    if any(keys == [key] and held == state for key, state in in_turn):
        return None
    typed = machine.typed(closed)
    if closed == fed:
        return None if None in texts else f"closes nothing for {texts}"
    return None if typed is not None and typed in texts else f"types {typed!r} and not {texts}"


@pytest.mark.parametrize(("lib", "id"), JOBS, indirect=["lib"])
def test_the_machine_types_what_is_printed(lib: ctypes.CDLL, built: Path, id: str) -> None:
    """Every key at every level closes, in C, the contacts by which the machine types what is printed there.

    The guard refuses a key that would make a phantom with a further modifier that the machine is fed.
    """
    plan, layout = shipped_plan(id), read_layout(ROOT, id)
    table = table_bytes(lib, built, plan)
    presses = list(all_presses(layout))
    faults = [
        f"{press}: {fault}"
        for press in presses
        if (fault := check_press(layout, press, closed := closed_by(lib, table, plan, press)))
        and not (press.extras and makes_phantom(closed | closed_by(lib, table, plan, Press(press.usage, press.level))))
    ]
    assert not faults, "\n".join(faults)
    assert len(presses) > 100


@pytest.mark.parametrize(("lib", "id"), JOBS, indirect=["lib"])
def test_c_closes_what_the_plan_says(lib: ctypes.CDLL, built: Path, id: str) -> None:
    """For every trigger of a plan the contacts that C closes are those of the plan, and nothing more."""
    plan = shipped_plan(id)
    table = table_bytes(lib, built, plan)
    faults = [
        f"{press}: C {sorted(closed)}, plan {sorted(wanted)}"
        for press in plan_presses(plan)
        if (closed := closed_by(lib, table, plan, press)) != (wanted := closed_in_plan(plan, press))
    ]
    assert not faults, "\n".join(faults)


@pytest.mark.parametrize(("lib", "id"), JOBS, indirect=["lib"])
def test_dead_keys_compose_what_the_host_file_says(lib: ctypes.CDLL, built: Path, id: str) -> None:
    """A dead key and then each key of the host: what both compose, else the accent and the key, as far as the machine has it."""
    plan, layout = shipped_plan(id), read_layout(ROOT, id)
    engine = Engine(lib, table_bytes(lib, built, plan))
    firsts: dict[str, Press] = {}
    if layout.symbolic and layout.stand_in is None:
        for usage, level in sorted(layout.host.dead):
            if layout.line_for(usage, level, frozenset()) is None:
                firsts.setdefault(layout.host.legends[usage][level - 1] or "", Press(usage, level))
    faults = []
    for accent, first in firsts.items():
        # Letters are tried with some accents only, for most accents make nothing that this machine has.
        usages = [0x2C, first.usage, 0x04, 0x08, 0x15, 0x0E, 0x16, 0x38, 0x28, 0x2A, 0x29, 0x3A]
        for press in (Press(usage, level) for usage in usages if usage in layout.host.legends for level in (1, 2)):
            wanted = texts_after(layout, accent, press)
            typed = [*typed_in_a_row(engine, plan, layout, first), *typed_in_a_row(engine, plan, layout, press)]
            # Whatever is pending now must not reach into the next case.
            engine.change_layout(table_bytes(lib, built, plan))
            engine.run(pause(plan))
            if wanted is not None and typed != wanted:
                faults.append(f"{accent} then {press}: types {typed} and not {wanted}")
    assert not faults, "\n".join(faults)


def texts_after(layout: Layout, accent: str, press: Press) -> list[str] | None:
    """What a dead key and a press type by the host file; None where a line of the layout decides."""
    if layout.line_for(press.usage, press.level, frozenset()) is not None:
        return None
    printed = layout.host.at(press.usage, press.level)
    own = on_the_machine(layout, printed) if printed else None
    dead = layout.host.is_dead(press.usage, press.level)
    if printed in ("Backspace", "Escape"):
        return []
    if printed is None or len(printed) > 1:
        return [own] if own else []
    composed = None if dead and printed != accent else layout.host.composes.get(accent, {}).get(printed)
    if not dead and printed == accent:
        composed = None
    result = on_the_machine(layout, composed) if composed else None
    if result is not None:
        return [result]
    if own is None and not dead:
        return []
    alone = on_the_machine(layout, accent)
    return [*([alone] if alone else []), *([own] if own and not dead else [])]


def typed_in_a_row(engine: Engine, plan: Plan, layout: Layout, press: Press) -> list[str]:
    """What the machine types while a press is made and let go, one key after the other."""
    engine.mark()
    engine.report(modifiers=press.modifier_byte)
    engine.run(pause(plan))
    engine.report(press.usage, modifiers=press.modifier_byte)
    engine.run(2 * pause(plan))
    engine.report()
    engine.run(pause(plan))
    typed: list[str] = []
    before: list[str] = []
    for _, contacts in engine.story:
        keys, _ = layout.machine.decode(contacts)
        if keys and keys != before:
            typed.append(layout.machine.typed(contacts) or f"<{keys}>")
        before = keys
    return layout.machine.in_turn(typed)


def plan_presses(plan: Plan) -> Iterator[Press]:
    """A press for each trigger of a plan that a keyboard can make: none with AltGr where that is a key of the machine."""
    own_key = isinstance(plan.by_trigger.get(Trigger(usage=ALT_RIGHT, level=1)), Stroke)
    for binding in plan.bindings:
        trigger = binding.trigger
        press = Press(trigger.usage, trigger.level, frozenset(extra.value for extra in trigger.extras))
        if press.usage not in press.held and not (own_key and ALT_RIGHT in press.held):
            yield press


@pytest.mark.parametrize("id", [id for id in sample_ids() if id.endswith("symbolic")])
def test_caps_lock_types_capitals(lib: ctypes.CDLL, built: Path, id: str) -> None:
    """With Caps Lock on, a key that prints the two cases of one letter types the other one, Shift or not."""
    plan, layout = shipped_plan(id), read_layout(ROOT, id)
    assert CAPS_LOCK not in layout.locks, "this layout sends Caps Lock to the machine, and is no case"
    table = table_bytes(lib, built, plan)
    tried = 0
    for usage, row in layout.host.legends.items():
        lower, upper = layout.host.at(usage, 1), layout.host.at(usage, 2)
        if len(row) < 2 or lower is None or not (lower.isascii() and lower.isalpha()) or lower.upper() != upper:
            continue
        for level, text in ((1, upper), (2, lower)):
            closed = closed_by(lib, table, plan, Press(usage, level), caps=True)
            assert layout.machine.typed(closed) == text, (hex(usage), level)
            tried += 1
    assert tried == (0 if id.startswith("quillon8-el-") else 52)


@pytest.mark.parametrize("id", [id for id in sample_ids() if id.endswith("symbolic")])
def test_control_passes(lib: ctypes.CDLL, built: Path, id: str) -> None:
    """With Control held each key closes what it closes without, and Helm, which Control feeds, as well.

    On keys where Helm selects it is as the stroke asks: B1 to B3 are typed without it. A key that would make a phantom with the modifiers is refused by the guard and closes nothing of its own.
    """
    plan, layout = shipped_plan(id), read_layout(ROOT, id)
    table = table_bytes(lib, built, plan)
    control = layout.machine.contact(layout.feeds[0xE0])
    refused = selected = 0
    for usage in layout.host.legends:
        if usage in (CAPS_LOCK, NUM_LOCK) or usage in KEYPAD:
            continue
        for level in (1, 2):
            alone = closed_by(lib, table, plan, Press(usage, level))
            pressed, _ = layout.machine.decode(alone)
            selects = any("helm" in state for key in pressed for state in layout.machine.types.get(key, {}))
            wanted = alone if selects else alone | {control}
            selected += selects
            if makes_phantom(wanted):
                wanted = closed_by(lib, table, plan, Press(0xE0, level)) | {control}
                refused += 1
            closed = closed_by(lib, table, plan, Press(usage, level, frozenset({"Control"})))
            assert closed == wanted, (hex(usage), level)
    assert refused > 0
    # F1 to F9 at two levels.
    assert selected == 18


def makes_phantom(closed: frozenset[tuple[str, int, int]]) -> bool:
    """Whether three corners of a rectangle of lines are closed and the fourth is not (no diodes anywhere)."""
    points = {(select, sense) for kind, select, sense in closed if kind == "x"}
    return any(
        (other, sense) in points and (select, across) in points and (other, across) not in points
        for select, sense in points
        for other in {row for row, _ in points} - {select}
        for across in {column for _, column in points} - {sense}
    )


@pytest.mark.parametrize("id", [id for id in shipped_ids() if id.endswith("symbolic")])
def test_every_character_of_the_machine_that_is_printed_can_be_typed(id: str) -> None:
    """A character that both the machine and the host have is reached by some press of the plan."""
    plan, layout = shipped_plan(id), read_layout(ROOT, id)
    printed = {
        layout.host.at(usage, level) for usage in layout.host.legends for level in range(1, layout.host.levels + 1)
    }
    reached = {binding.action.types.text for binding in plan.bindings if getattr(binding.action, "types", None)}
    reached |= {stroke.types.text for stroke in plan.dead_keys.pairs.values() if stroke.types}
    assert {text for text in printed if text and layout.machine.has(text)} <= reached
