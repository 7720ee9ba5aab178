"""`matrixmap show`: the machine's matrix with what reaches each key, and the host's keys with what they type."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import typer

from matrixmap.cli.main import make_app
from matrixmap.cli.session import (
    FormatOption,
    RootOption,
    choose_format,
    make_console,
    one_layout,
    open_project,
    print_json,
    print_overrides,
)

if TYPE_CHECKING:
    from rich.console import Console

    from matrixmap.hid.usages import Usage
    from matrixmap.model.machine import Contact
    from matrixmap.model.plan import Plan

app = make_app()

Levels = list[tuple[str, str | None]]

KEYPAD_TITLES = {1: "Num Lock on", 2: "Num Lock off"}


@app.command(epilog="Example: matrixmap show quillon8-fr-FR-symbolic")
def show(
    layout: str = typer.Argument(..., help="Id of a layout, or its YAML file."),
    root: Path | None = RootOption,
    format: str = FormatOption,
) -> None:
    """Print the machine's matrix with, in each cell, the keys of the host that reach it, and what each host key types."""
    from matrixmap.join.plan import compile_plan

    choose_format(format)
    project = open_project(root)
    if format == "text":
        print_overrides(project)
    plan = compile_plan(one_layout(project, layout))
    reached = _reached(plan)
    keys = _host_keys(plan)
    if format == "json":
        print_json(_document(plan, reached, keys))
        return
    console = make_console()
    _print_matrix(console, plan, reached)
    _print_host(console, plan, keys)


def _reached(plan: Plan) -> dict[Contact, list[str]]:
    """Contact -> the host keys that close it, in order of usage."""
    from matrixmap.model.plan import Feed, Latch, Stroke
    from matrixmap.model.words import usage_name

    reached: dict[Contact, dict[str, None]] = {}
    for binding in plan.bindings:
        action = binding.action
        if isinstance(action, Stroke):
            closed = action.contacts
        elif isinstance(action, Feed | Latch):
            closed = (action.contact,)
        else:
            continue
        for contact in closed:
            reached.setdefault(contact, {})[usage_name(binding.trigger.usage)] = None
    return {contact: list(names) for contact, names in reached.items()}


def _host_keys(plan: Plan) -> dict[Usage, Levels]:
    """Host key -> what it does at each level and with further modifiers; None where it does nothing."""
    from matrixmap.hid.usages import CAPS_LOCK, KEYPAD_DIGITS, NUM_LOCK
    from matrixmap.join.typed import presses, typed_by
    from matrixmap.model.plan import Feed, Trigger
    from matrixmap.model.words import LEVEL_TITLES, action_name, shown

    machine = plan.layout.machine
    keys: dict[Usage, Levels] = {}
    named = {binding.trigger for binding in plan.bindings}
    for press in presses(plan):
        action = plan.lookup(press)
        if action is None or (press.extras and press not in named):
            continue
        legend = typed_by(plan, press)
        extras = "+".join(sorted(extra.value for extra in press.extras))
        titles = KEYPAD_TITLES if press.usage in KEYPAD_DIGITS else LEVEL_TITLES
        title = f"{titles[press.level]} {extras}".strip()
        keys.setdefault(press.usage, []).append((title, legend.text if legend else action_name(machine, action)))
    for press, accent in plan.dead_keys.triggers.items():
        keys.setdefault(press.usage, []).append((LEVEL_TITLES[press.level], f"dead key {shown(accent)}"))
    for binding in plan.bindings:
        if isinstance(binding.action, Feed) and binding.trigger.level == 1:
            keys[binding.trigger.usage] = [("plain", action_name(machine, binding.action))]
    for usage, kept, word in ((CAPS_LOCK, plan.caps_lock, "Caps Lock"), (NUM_LOCK, plan.num_lock, "Num Lock")):
        if kept:
            keys[usage] = [("plain", f"{word}, kept by the adapter")]
    for usage in plan.layout.host.keys:
        if usage not in keys and plan.lookup(Trigger(usage=usage, level=1)) is None:
            keys[usage] = []
    return dict(sorted(keys.items()))


def _document(plan: Plan, reached: dict[Contact, list[str]], keys: dict[Usage, Levels]) -> dict[str, object]:
    from matrixmap.model.machine import Contact
    from matrixmap.model.words import key_name, usage_name

    machine = plan.layout.machine
    width = len(machine.sense)
    names = {key.contact for key in machine.keys}

    def cell(contact: Contact) -> dict[str, object]:
        name = key_name(machine, contact) if contact in names else None
        return {
            "contact": contact,
            "lines": machine.contact_name(contact),
            "key": name,
            "reached_by": reached.get(contact, []),
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
        "host_keys": [
            {
                "usage": usage,
                "name": usage_name(usage),
                "types": [{"level": title, "types": text} for title, text in levels],
            }
            for usage, levels in keys.items()
        ],
    }


def _print_matrix(console: Console, plan: Plan, reached: dict[Contact, list[str]]) -> None:
    from rich import box
    from rich.table import Table
    from rich.text import Text

    from matrixmap.model.machine import Contact
    from matrixmap.model.words import key_name, shown

    machine = plan.layout.machine
    console.print(f"{shown(plan.layout.title)} ({plan.id})")
    console.print("The matrix: in each cell the machine's key, and the host keys that reach it.")
    table = Table(box=box.ASCII2 if not console.is_terminal else box.SQUARE, show_lines=True, pad_edge=False)
    table.add_column("")
    for sense in machine.sense:
        table.add_column(sense)
    names = {key.contact for key in machine.keys}
    for row, select in enumerate(machine.select):
        cells = []
        for column in range(len(machine.sense)):
            contact = Contact(row * len(machine.sense) + column)
            name = key_name(machine, contact) if contact in names else "-"
            by = reached.get(contact, [])
            text = Text(name, style="bold")
            text.append("\n" + ("\n".join(by) if by else "(none)" if contact in names else ""), style="not bold")
            cells.append(text)
        table.add_row(select, *cells)
    console.print(table)
    for number, line in enumerate(machine.direct):
        contact = Contact(machine.crosspoints + number)
        by_names = ", ".join(reached.get(contact, [])) or "none"
        console.print(f"direct line {line}: {key_name(machine, contact)}, reached by {by_names}")


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
            console.print(f"{usage_name(usage):{width}}  {words}", soft_wrap=True)
    if idle:
        console.print(f"\nThese do nothing: {', '.join(idle)}", soft_wrap=True)


def _at_every_level(plan: Plan, usage: Usage, levels: Levels) -> bool:
    """Whether a key does the same at every level, so that no level need be named."""
    from matrixmap.hid.usages import CAPS_LOCK, KEYPAD_DIGITS, NUM_LOCK
    from matrixmap.model.plan import Feed, Trigger

    fixed = usage in (CAPS_LOCK, NUM_LOCK) or isinstance(plan.lookup(Trigger(usage=usage, level=1)), Feed)
    count = 2 if usage in KEYPAD_DIGITS else plan.layout.host.levels
    return len({text for _, text in levels}) == 1 and (fixed or len(levels) == count)
