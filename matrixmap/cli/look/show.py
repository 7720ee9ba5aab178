"""`matrixmap show`: the machine's matrix with what reaches each key, and the host's keys with what they type."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from matrixmap.cli.main import make_app
from matrixmap.cli.session import (
    FormatOption,
    RootOption,
    choose_format,
    make_console,
    one_plan,
    open_project,
    print_json,
    print_overrides,
)

if TYPE_CHECKING:
    from rich.console import Console

    from matrixmap.hid.usages import Usage
    from matrixmap.model.machine import Contact
    from matrixmap.model.plan import Plan, Trigger
    from matrixmap.press.levels import Levels as KeyLevels

app = make_app()

Levels = list[tuple[str, str | None]]
Reached = tuple[list[str], list[str]]

NOT_REACHED: Reached = ([], [])
KEYPAD_TITLES = {1: "Num Lock on", 2: "Num Lock off"}


@app.command(epilog="Example: matrixmap show quillon8-fr-FR-symbolic")
def show(
    layout: str = typer.Argument(..., help="Id of a layout, or its YAML file."),
    root: Path | None = RootOption,
    format: str = FormatOption,
) -> None:
    """Print the machine's matrix with, in each cell, the keys of the host that reach it, and what each host key types."""
    choose_format(format)
    project = open_project(root)
    if format == "text":
        print_overrides(project, [layout])
    from matrixmap.press.levels import levels_of

    plan = one_plan(project, layout)
    levels = levels_of(plan)
    reached = _reached(levels)
    keys = _host_keys(levels)
    if format == "json":
        print_json(_document(plan, reached, keys))
        return
    console = make_console()
    _print_matrix(console, plan, reached)
    _print_host(console, plan, keys)


def _reached(levels: KeyLevels) -> dict[Contact, Reached]:
    """Contact -> the host keys that close it as their own, and those that close it only as a modifier; by usage."""
    from matrixmap.model.words import usage_name
    from matrixmap.press.reach import closing

    return {
        contact: (
            [usage_name(key.usage) for key in found.own],
            [usage_name(key.usage) for key in found.beside if key not in found.own],
        )
        for contact, found in closing(levels.every).items()
    }


def _host_keys(levels: KeyLevels) -> dict[Usage, Levels]:
    """Host key -> what it does at each level and with further modifiers; None if it does nothing."""
    from matrixmap.hid.usages import CAPS_LOCK, NUM_LOCK
    from matrixmap.model.plan import Feed, Trigger
    from matrixmap.model.words import LEVEL_TITLES, action_name, shown

    plan = levels.every.plan
    machine = plan.layout.machine
    keys: dict[Usage, Levels] = {}
    for binding in plan.bindings:
        trigger = binding.trigger
        if trigger.usage == levels.key(trigger.usage).usage and not isinstance(binding.action, Feed):
            keys.setdefault(trigger.usage, []).extend(_at_level(levels, trigger))
    order = {title: level for level, title in LEVEL_TITLES.items()}
    for press, accent in plan.dead_keys.triggers.items():
        if press.usage == levels.key(press.usage).usage:
            told = keys.setdefault(press.usage, [])
            told.append((LEVEL_TITLES[press.level], f"dead key {shown(accent)}"))
            told.sort(key=lambda item: order.get(item[0], len(order)))
    for binding in plan.bindings:
        if isinstance(binding.action, Feed) and binding.trigger.level == 1:
            keys[binding.trigger.usage] = [("plain", action_name(machine, binding.action))]
    for usage, kept, word in ((CAPS_LOCK, plan.caps_lock, "Caps Lock"), (NUM_LOCK, plan.num_lock, "Num Lock")):
        if kept:
            keys[usage] = [("plain", f"{word}, kept by the adapter")]
    for key in levels.every.keys:
        if key.usage not in keys and plan.lookup(Trigger(usage=key.usage, level=1)) is None:
            keys[key.usage] = []
    return dict(sorted(keys.items()))


def _at_level(levels: KeyLevels, trigger: Trigger) -> Levels:
    """What a trigger does, by side if the side of a modifier matters."""
    from matrixmap.hid.usages import KEYPAD_DIGITS
    from matrixmap.model.plan import Stroke
    from matrixmap.model.words import LEVEL_TITLES, action_name
    from matrixmap.press.words import REFUSALS, side_words

    plan = levels.every.plan
    action = plan.by_trigger[trigger]
    titles = KEYPAD_TITLES if trigger.usage in KEYPAD_DIGITS else LEVEL_TITLES
    extras = "+".join(sorted(extra.value for extra in trigger.extras))
    level = "" if extras and trigger.level == 1 else titles.get(trigger.level, "")
    title = f"{level} {extras}".strip()
    words = action_name(plan.layout.machine, action)
    told: Levels = []
    for side, answer in side_words(plan.layout.host, levels.answers(trigger)):
        done = answer.done
        if done is None or not isinstance(action, Stroke):
            text = words
        elif done.refused:
            text = f"{words} is {REFUSALS[done.refused]}"
        else:
            text = done.text or words
        told.append((side or title, text))
    return told


def _document(plan: Plan, reached: dict[Contact, Reached], keys: dict[Usage, Levels]) -> dict[str, object]:
    from matrixmap.model.machine import Contact
    from matrixmap.model.words import key_name, usage_name

    machine = plan.layout.machine
    scan, width = machine.scan, len(machine.sense)
    names = {key.contact for key in machine.keys}

    def cell(contact: Contact) -> dict[str, object]:
        name = key_name(machine, contact) if contact in names else None
        return {
            "contact": contact,
            "lines": machine.contact_name(contact),
            "key": name,
            "reached_by": reached.get(contact, NOT_REACHED)[0],
            "held_by_strokes_of": reached.get(contact, NOT_REACHED)[1],
        }

    return {
        "layout": plan.id,
        "title": plan.layout.title,
        "select": list(machine.select),
        "sense": list(machine.sense),
        "matrix": [
            [cell(Contact(row * width + column)) for column in range(width)] for row in range(len(machine.select))
        ],
        "direct": [cell(Contact(machine.crosspoints + number)) for number in range(len(machine.direct))],
        "repeat": {"delay_ms": scan.repeat_delay_ms, "every_ms": scan.repeat_every_ms}
        if scan.repeat_every_ms
        else None,
        "parallel": {name: list(keys) for name, keys in machine.parallel.items()},
        "options": {name: list(keys) for name, keys in machine.options.items()},
        "key_sources": dict(machine.sources),
        "host_keys": [
            {
                "usage": usage,
                "name": usage_name(usage),
                "types": [{"level": title, "types": text} for title, text in levels],
            }
            for usage, levels in keys.items()
        ],
    }


def _print_matrix(console: Console, plan: Plan, reached: dict[Contact, Reached]) -> None:
    from rich import box
    from rich.cells import cell_len
    from rich.table import Table
    from rich.text import Text

    from matrixmap.model.machine import Contact
    from matrixmap.model.words import key_name, shown

    machine = plan.layout.machine
    console.print(f"{shown(plan.layout.title)} ({plan.id})")
    console.print("The matrix: each cell shows the machine's key and the host keys that reach it.")
    cells: dict[tuple[int, int], list[str]] = {}
    names = {key.contact for key in machine.keys}
    for row in range(len(machine.select)):
        for column in range(len(machine.sense)):
            contact = Contact(row * len(machine.sense) + column)
            by = _by(reached, contact) or (["(none)"] if contact in names else [""])
            cells[row, column] = [key_name(machine, contact) if contact in names else "-", *by]
    head = max(map(len, machine.select))
    widths = [
        max(len(sense), *(cell_len(text) for row in range(len(machine.select)) for text in cells[row, column]))
        for column, sense in enumerate(machine.sense)
    ]
    for part in beside_each_other(widths, console.width - head - 3):
        table = Table(box=box.ASCII2 if not console.is_terminal else box.SQUARE, show_lines=True, pad_edge=False)
        table.add_column("", no_wrap=True)
        for column in part:
            table.add_column(machine.sense[column], overflow="fold")
        for row, select in enumerate(machine.select):
            beside: list[Text] = []
            for column in part:
                name, *by = cells[row, column]
                text = Text(name, style="bold")
                text.append("\n" + "\n".join(by), style="not bold")
                beside.append(text)
            table.add_row(select, *beside)
        console.print(table)
    for sentence in _below(plan, reached):
        for line in _hanging("", sentence, console):
            console.print(line, soft_wrap=True)


def _below(plan: Plan, reached: dict[Contact, Reached]) -> Iterator[str]:
    """The text below the matrix, one sentence each: direct lines, caps in parallel, options, repeat, sources."""
    from matrixmap.model.machine import Contact
    from matrixmap.model.words import key_name, repeat_words, shown

    machine = plan.layout.machine
    for number, line in enumerate(machine.direct):
        contact = Contact(machine.crosspoints + number)
        yield f"direct line {line}: {key_name(machine, contact)}, reached by {', '.join(_by(reached, contact)) or 'none'}"
    for name in machine.parallel:
        texts = ", ".join(shown(legend.text) for legend in machine.cap_types(name).values())
        yield f"cap {name}: closes {machine.closes(name)}{f' and types {texts}' if texts else ''}"
    for option, keys in machine.options.items():
        yield f"option {option}, which only some machines have: {', '.join(keys)}"
    if repeat := repeat_words(machine.scan):
        yield repeat
    for name, source in machine.sources.items():
        yield f"{name}: from {shown(source)}"


def beside_each_other(widths: Sequence[int], room: int) -> Iterator[range]:
    """Columns of these widths, in as many tables as necessary, each within a room, with three places between columns.

    A column that is wider than the room has a table of its own, in which its words are folded and never cut.
    """
    first, used = 0, 0
    for column, width in enumerate(widths):
        if column > first and used + width + 3 > room:
            yield range(first, column)
            first, used = column, 0
        used += width + 3
    yield range(first, len(widths))


def _by(reached: dict[Contact, Reached], contact: Contact) -> list[str]:
    """The keys that reach a contact; if no key closes it as its own, those with strokes that hold it."""
    own, beside = reached.get(contact, NOT_REACHED)
    more = f" +{len(beside) - 2}" if len(beside) > 2 else ""
    return own or ([f"(strokes of {', '.join(beside[:2])}{more})"] if beside else [])


def _print_host(console: Console, plan: Plan, keys: dict[Usage, Levels]) -> None:
    from matrixmap.model.words import shown, usage_name

    console.print(f"\nThe keys of the host {shown(plan.layout.host.title)} and what they type.")
    width = max((len(usage_name(usage)) for usage in keys), default=0)
    idle = [usage_name(usage) for usage, levels in keys.items() if not levels]
    for usage, levels in keys.items():
        if levels:
            alike = _at_every_level(plan, usage, levels)
            words = (
                shown(levels[0][1] or "")
                if alike
                else "   ".join(f"{title}: {shown(text or '')}" for title, text in levels)
            )
            for line in _hanging(f"{usage_name(usage):{width}}  ", words, console):
                console.print(line, soft_wrap=True)
    if idle:
        console.print()
        for line in _hanging("", f"These keys do nothing: {', '.join(idle)}", console):
            console.print(line, soft_wrap=True)


def _hanging(head: str, words: str, console: Console) -> Iterator[str]:
    """Words in lines as wide as the terminal, the first line after a head, the others indented below it."""
    from matrixmap.form.parts.wrapping import wrapped

    for number, line in enumerate(wrapped(words, max(console.width - len(head), 20))):
        yield (" " * len(head) if number else head) + line


def _at_every_level(plan: Plan, usage: Usage, levels: Levels) -> bool:
    """Whether a key does the same at every level, so that no level needs a name."""
    from matrixmap.hid.usages import CAPS_LOCK, KEYPAD_DIGITS, NUM_LOCK
    from matrixmap.model.plan import Feed, Trigger

    fixed = usage in (CAPS_LOCK, NUM_LOCK) or isinstance(plan.lookup(Trigger(usage=usage, level=1)), Feed)
    count = 2 if usage in KEYPAD_DIGITS else plan.layout.host.levels
    return len({text for _, text in levels}) == 1 and (fixed or len(levels) == count)
