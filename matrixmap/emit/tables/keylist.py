"""A plan as Markdown: the list of the host's keys with what each types."""

from __future__ import annotations

from collections.abc import Iterator

from matrixmap.hid.usages import KEYPAD_DIGITS, Usage
from matrixmap.model.layout import HostModifier
from matrixmap.model.plan import Plan, Stroke, Trigger
from matrixmap.model.words import LEVEL_TITLES, action_name, shown, stroke_name, trigger_name, usage_name
from matrixmap.press.every import Done
from matrixmap.press.keyboard import same_key
from matrixmap.press.levels import Answer, Levels
from matrixmap.press.words import REFUSALS, side_words

SPECIAL = str.maketrans({char: f"\\{char}" for char in "\\`*_[]<>|~&$"})


def markdown(text: str) -> str:
    """Text that Markdown prints literally, even in a table cell."""
    return " ".join(shown(text).split()).translate(SPECIAL) if text != " " else "space"


def key_list(levels: Levels, plan_hash: str, made_by: str) -> str:
    """The key list of a layout."""
    return "\n".join([*_lines(levels), "", f"<!-- Made by {made_by}; SHA-256 of the plan: {plan_hash} -->", ""])


def _lines(levels: Levels) -> Iterator[str]:
    plan = levels.every.plan
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
    for usage, name in _rows(plan):
        if usage not in KEYPAD_DIGITS:
            triggers = [Trigger(usage=usage, level=level, extras=extras) for _, level, extras in columns]
            yield f"| {markdown(name)} | {' | '.join(_cell(levels, trigger) for trigger in triggers)} |"
    yield from _keypad(levels)
    yield from _pairs(levels)
    yield from _stand_ins(plan)
    yield from _sources(plan)


def _rows(plan: Plan) -> Iterator[tuple[Usage, str]]:
    """The keys that do something, with their names; two usages of one key only if they do different things."""
    does: dict[Usage, list[tuple[object, ...]]] = {}
    for binding in plan.bindings:
        does.setdefault(binding.trigger.usage, []).append((*binding.trigger.sort_key()[1:], binding.action))
    for press, accent in plan.dead_keys.triggers.items():
        does.setdefault(press.usage, []).append((press.level, accent))
    for usage, own in sorted(does.items()):
        name, first = usage_name(usage), same_key(usage)[0]
        if usage == first or first not in does:
            yield usage, name
        elif does[first] != own:
            yield usage, f"{name} (0x{usage:02X})"


def _pairs(levels: Levels) -> Iterator[str]:
    plan = levels.every.plan
    dead = plan.dead_keys
    if not dead.pairs and not dead.accents:
        return
    yield ""
    yield "After a dead key; another character comes after the accent, if the machine has that."
    yield ""
    yield "| dead key | next key | types |"
    yield "| --- | --- | --- |"
    rows: dict[tuple[str, str], dict[str, None]] = {}
    for (accent, usage, level), stroke in sorted(dead.pairs.items()):
        press = Trigger(usage=usage, level=level)
        answers = levels.answers(press, levels.number_of(accent))
        rows.setdefault((accent, _told(levels, answers, stroke)), {})[trigger_name(press)] = None
    for (accent, words), presses in rows.items():
        yield f"| {markdown(accent)} | {markdown(', '.join(presses))} | {words} |"
    for accent, stroke in sorted(dead.accents.items()):
        done = levels.accent_alone(accent)
        yield f"| {markdown(accent)} | by itself | {_done_words(plan, done, stroke)} |"


def _keypad(levels: Levels) -> Iterator[str]:
    plan = levels.every.plan
    usages = sorted({binding.trigger.usage for binding in plan.bindings if binding.trigger.usage in KEYPAD_DIGITS})
    if not usages:
        return
    yield ""
    yield "| keypad | Num Lock on | Num Lock off |"
    yield "| --- | --- | --- |"
    for usage in usages:
        cells = [_cell(levels, Trigger(usage=usage, level=level)) for level in (1, 2)]
        yield f"| {markdown(usage_name(usage))} | {' | '.join(cells)} |"


def _stand_ins(plan: Plan) -> Iterator[str]:
    """What a second host types on keys with characters that the machine lacks."""
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


def _sources(plan: Plan) -> Iterator[str]:
    """The keys of the machine with facts from a different source than the others."""
    if plan.layout.machine.sources:
        yield ""
        yield "What these keys of the machine type, and where they are wired, comes from a source of their own:"
        yield ""
        yield "| key | source |"
        yield "| --- | --- |"
    for name, source in plan.layout.machine.sources.items():
        yield f"| {markdown(name)} | {markdown(source)} |"


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


def _cell(levels: Levels, press: Trigger) -> str:
    plan = levels.every.plan
    if press in plan.dead_keys.triggers:
        return f"dead key {markdown(plan.dead_keys.triggers[press])}"
    action = plan.by_trigger.get(press)
    if isinstance(action, Stroke):
        return _told(levels, levels.answers(press), action)
    return markdown(action_name(plan.layout.machine, action)) if action else ""


def _told(levels: Levels, answers: tuple[Answer, ...], stroke: Stroke) -> str:
    """What a stroke types, by side if that matters."""
    plan = levels.every.plan
    told = [
        f"{f'{markdown(side)}: ' if side else ''}{_done_words(plan, answer.done, stroke)}"
        for side, answer in side_words(plan.layout.host, answers)
    ]
    return "; ".join(told)


def _done_words(plan: Plan, done: Done | None, stroke: Stroke) -> str:
    name = markdown(stroke_name(plan.layout.machine, stroke) or "modifiers")
    if done is None:
        return ""
    if done.refused:
        return f"{markdown(REFUSALS[done.refused])} ({name})"
    return f"{markdown(done.text)} ({name})" if done.text is not None else name
