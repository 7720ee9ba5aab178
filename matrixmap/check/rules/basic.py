"""Basic keys, such as letters, digits, Space and Enter, which a person expects to do something."""

from __future__ import annotations

from collections.abc import Iterator

from matrixmap.check.engine.plan_conflicts import PlanConflicts
from matrixmap.check.engine.record import CheckRule, Report
from matrixmap.check.rules.reach import idle_keys, listed
from matrixmap.hid.usages import KEYPAD_DIGITS, Usage
from matrixmap.join.left_dead import dead_key
from matrixmap.model.basic import SHIFTS, basic_keys
from matrixmap.model.finding import Severity
from matrixmap.model.plan import Plan, Trigger
from matrixmap.model.words import usage_name


def dead_basic_keys(conflicts: PlanConflicts) -> tuple[Usage, ...]:
    """The basic keys of the host that do nothing in any press, by usage."""
    plan = conflicts.plan
    idle = {key.usage for key in idle_keys(conflicts.strokes)}
    if not _shift_chooses(plan):
        idle |= set(SHIFTS) - {binding.trigger.usage for binding in plan.bindings}
    return tuple(usage for usage in basic_keys(plan.layout.host) if usage in idle)


def _shift_chooses(plan: Plan) -> bool:
    """Whether some key does something else with Shift held, even if Shift feeds no modifier of the machine."""
    dead = plan.dead_keys
    levels = {(trigger.usage, trigger.level) for trigger in dead.triggers}
    levels |= {(usage, level) for _, usage, level in dead.pairs}
    if any((usage, level - 1) not in levels for usage, level in levels if level in (2, 4)):
        return True
    return any(
        plan.lookup(Trigger(usage=trigger.usage, level=trigger.level - 1, extras=trigger.extras)) != binding.action
        for binding in plan.bindings
        if (trigger := binding.trigger).level in (2, 4) and trigger.usage not in KEYPAD_DIGITS
    )


def _dead_basic_keys(conflicts: PlanConflicts) -> Iterator[Report]:
    layout = conflicts.plan.layout
    dead = [dead_key(layout.machine, layout.host, usage) for usage in dead_basic_keys(conflicts)]
    if not dead:
        return
    helped = listed(f"{usage_name(each.usage)} ({each.stroke} would do)" for each in dead if each.stroke)
    helpless = listed(usage_name(each.usage) for each in dead if not each.stroke)
    told = [*([f"{helpless} (the machine has nothing like it)"] if helpless else []), *([helped] if helped else [])]
    yield Report(
        f"{'this key does' if len(dead) == 1 else 'these keys do'} nothing, though everybody uses "
        f"{'it' if len(dead) == 1 else 'them'}: {'; '.join(told)}; add a line under keys, or a line with none if it "
        "is meant so",
        cases=len(dead),
    )


DEAD_BASIC_KEY = CheckRule(
    slug="dead-basic-key",
    severity=Severity.ERROR,
    purpose="A letter, a digit, Space, Enter, Backspace, Shift or an arrow does nothing.",
    explanation=(
        "Everybody presses these keys, so a dead one looks like a fault of the adapter. The machine may have the "
        "character or function in another shift state: a stroke under `keys` reaches it there. A line with `none` "
        "says that the key should do nothing. National letters that take the places of marks, and the keypad, are "
        "not checked."
    ),
    bad="keys: {KeyA: a}",
    good="keys: {KeyA: a, KeyB: none, ShiftLeft: shift-left, ShiftRight: shift-left}",
    function=_dead_basic_keys,
)

RULES = (DEAD_BASIC_KEY,)
