"""A plan as Markdown: the list of the host's keys with what each types."""

from __future__ import annotations

from collections.abc import Iterator

from matrixmap.hid.usages import KEYPAD_DIGITS, Usage
from matrixmap.model.layout import HostModifier
from matrixmap.model.plan import Action, Plan, Stroke, Trigger
from matrixmap.model.words import LEVEL_TITLES, action_name, shown, stroke_name, trigger_name, usage_name

SPECIAL = str.maketrans({char: f"\\{char}" for char in "\\`*_[]<>|~&$"})


def markdown(text: str) -> str:
    """Text that Markdown prints as it is, in a table cell too."""
    return " ".join(shown(text).split()).translate(SPECIAL) if text != " " else "space"


def key_list(plan: Plan, plan_hash: str, made_by: str) -> str:
    """The key list of a layout."""
    return "\n".join([*_lines(plan), "", f"<!-- Made by {made_by}; SHA-256 of the plan: {plan_hash} -->", ""])


def _lines(plan: Plan) -> Iterator[str]:
    layout = plan.layout
    yield f"# {markdown(layout.title)}"
    yield ""
    yield f"Layout `{layout.id}`: the machine {markdown(layout.machine.title)}, typed on from the host {markdown(layout.host.title)}."
    columns = _columns(plan)
    if not columns:
        yield "No key of the host does anything."
        return
    yield "Each cell says what the machine types, and in brackets the stroke that does it."
    yield ""
    yield f"| key | {' | '.join(title for title, _, _ in columns)} |"
    yield "| --- |" + " --- |" * len(columns)
    dead = {press.usage for press in plan.dead_keys.triggers}
    for usage in sorted({binding.trigger.usage for binding in plan.bindings} | dead):
        if usage in KEYPAD_DIGITS:
            continue
        cells = [_cell(plan, usage, level, extras) for _, level, extras in columns]
        yield f"| {markdown(usage_name(usage))} | {' | '.join(cells)} |"
    yield from _keypad(plan)
    yield from _pairs(plan)
    yield from _stand_ins(plan)


def _pairs(plan: Plan) -> Iterator[str]:
    dead = plan.dead_keys
    if not dead.pairs and not dead.accents:
        return
    yield ""
    yield "After a dead key; another character comes after the accent, if the machine has that."
    yield ""
    yield "| dead key | next key | types |"
    yield "| --- | --- | --- |"
    rows: dict[tuple[str, Stroke], list[Trigger]] = {}
    for (accent, usage, level), stroke in sorted(dead.pairs.items()):
        rows.setdefault((accent, stroke), []).append(Trigger(usage=usage, level=level))
    for (accent, stroke), presses in rows.items():
        keys = ", ".join(trigger_name(press) for press in presses)
        yield f"| {markdown(accent)} | {markdown(keys)} | {markdown_action(plan, stroke)} |"
    for accent, stroke in sorted(dead.accents.items()):
        yield f"| {markdown(accent)} | by itself | {markdown_action(plan, stroke)} |"


def _keypad(plan: Plan) -> Iterator[str]:
    usages = sorted({binding.trigger.usage for binding in plan.bindings if binding.trigger.usage in KEYPAD_DIGITS})
    if not usages:
        return
    yield ""
    yield "| keypad | Num Lock on | Num Lock off |"
    yield "| --- | --- | --- |"
    for usage in usages:
        cells = [_cell(plan, usage, level, frozenset()) for level in (1, 2)]
        yield f"| {markdown(usage_name(usage))} | {' | '.join(cells)} |"


def _stand_ins(plan: Plan) -> Iterator[str]:
    """What a second host types on keys whose own characters the machine lacks."""
    other = plan.layout.stand_in
    if other is None or not plan.stand_ins:
        return
    yield ""
    yield f"On these keys the machine lacks what {markdown(plan.layout.host.title)} prints, and {markdown(other.title)} stands in:"
    yield ""
    yield "| key | is printed | types |"
    yield "| --- | --- | --- |"
    for item in plan.stand_ins:
        own = markdown(item.own.text) if item.own else ""
        yield f"| {markdown(trigger_name(item.trigger))} | {own} | {markdown(item.legend.text)} |"


def _columns(plan: Plan) -> list[tuple[str, int, frozenset[HostModifier]]]:
    """Title, level and further modifiers of each column that the plan uses."""
    triggers = [*(binding.trigger for binding in plan.bindings), *plan.dead_keys.triggers]
    extras = {trigger.extras for trigger in triggers}
    columns = []
    for extra in sorted(extras, key=lambda some: sorted(modifier.value for modifier in some)):
        used = {trigger.level for trigger in triggers if trigger.extras == extra}
        for level in sorted(used):
            names = [modifier.value for modifier in HostModifier if modifier in extra]
            title = "+".join([*([LEVEL_TITLES[level]] if level > 1 or not names else []), *names])
            columns.append((title, level, extra))
    return columns


def _cell(plan: Plan, usage: Usage, level: int, extras: frozenset[HostModifier]) -> str:
    press = Trigger(usage=usage, level=level, extras=extras)
    if press in plan.dead_keys.triggers:
        return f"dead key {markdown(plan.dead_keys.triggers[press])}"
    action = plan.by_trigger.get(press)
    return markdown_action(plan, action) if action else ""


def markdown_action(plan: Plan, action: Action) -> str:
    """What a trigger does, in a table cell."""
    machine = plan.layout.machine
    if isinstance(action, Stroke):
        name = markdown(stroke_name(machine, action) or "modifiers")
        return f"{markdown(action.types.text)} ({name})" if action.types else name
    return markdown(action_name(machine, action))
