"""`matrixmap howto`: which keys to press to type a text."""

from __future__ import annotations

import unicodedata
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from matrixmap.cli.main import make_app
from matrixmap.cli.session import (
    FormatOption,
    RootOption,
    choose_format,
    one_plan,
    open_project,
    print_json,
    print_overrides,
)

if TYPE_CHECKING:
    from matrixmap.model.plan import Plan
    from matrixmap.model.press import Way

app = make_app()

TYPED_AS_FUNCTION = {"\n": "Enter", "\t": "Tab", "\b": "Backspace", "\x1b": "Escape"}


@app.command(epilog="Example: matrixmap howto quillon8-de-DE-symbolic 'PRINT \"£5\"'")
def howto(
    layout: str = typer.Argument(..., help="Id of a layout, or its YAML file."),
    text: str = typer.Argument("", help="The text to type."),
    function: list[str] = typer.Option([], "--function", "-f", metavar="NAME", help="A function to type, such as B4."),
    root: Path | None = RootOption,
    format: str = FormatOption,
) -> None:
    """Tell which keys to press to type a text, character by character. Exit 1 if some cannot be typed.

    Where it takes a dead key, that is pressed and let go first.
    """
    from matrixmap.press.ways import ways_to_type

    choose_format(format)
    project = open_project(root)
    if format == "text":
        print_overrides(project)
    plan = one_plan(project, layout)
    ways = ways_to_type(plan)
    wanted = [TYPED_AS_FUNCTION.get(char, char) for char in unicodedata.normalize("NFC", text)] + function
    rows = [(name, ways.get(name, ()), None if name in ways else why_not(plan, name)) for name in wanted]
    if format == "json":
        print_json({"layout": plan.id, "text": text, "steps": [_step(plan, *row) for row in rows]})
    else:
        _print_rows(plan, rows)
    if any(not found for _, found, _ in rows):
        raise typer.Exit(1)


def why_not(plan: Plan, name: str) -> str:
    """Why a character or function cannot be typed."""
    machine = plan.layout.machine
    for key in machine.keys:
        for state, legend in key.types.items():
            if legend.text == name:
                stroke = " + ".join([*([machine.state_name(state)] if state else []), key.name])
                return f"the machine types it with {stroke}, but this layout reaches that from no key"
    kind = "character" if len(name) == 1 else "function"
    return f"{machine.title} has no such {kind}"


def _step(plan: Plan, name: str, found: tuple[Way, ...], fault: str | None) -> dict[str, object]:
    first = _way(plan, found[0]) if found else {"press": None, "triggers": [], "presses": []}
    return {"types": name, **first, "others": [_way(plan, way) for way in found[1:]], "fault": fault}


def _way(plan: Plan, way: Way) -> dict[str, object]:
    """A way in words, and press by press: which keys to turn on, to hold and to press, by their W3C codes."""
    from matrixmap.model.words import trigger_name, usage_name
    from matrixmap.press.words import way_words

    return {
        "press": way_words(plan.layout.host, way),
        "triggers": [trigger_name(press.trigger) for press in way],
        "presses": [
            {
                "on": [usage_name(usage) for usage in press.on],
                "hold": [usage_name(usage) for usage in press.hold],
                "either_side": [usage_name(usage) for usage in press.hold if usage in press.either],
                "key": usage_name(press.usage),
                "printed": press.printed,
                "usual": press.usual,
            }
            for press in way
        ],
    }


def _print_rows(plan: Plan, rows: list[tuple[str, tuple[Way, ...], str | None]]) -> None:
    from matrixmap.model.words import shown
    from matrixmap.press.words import way_words

    host = plan.layout.host
    width = max((len(shown(name)) for name, _, _ in rows), default=0)
    for name, found, fault in rows:
        if found:
            first = found[0]
            others = (way for way in found if way[-1].usage != first[-1].usage and not way[-1].on)
            other = next((way for way in others if way[-1].usual and way[-1].printed), None)
            more = f"   (or {shown(way_words(host, other))})" if other else ""
            typer.echo(f"{shown(name):{width}}  {shown(way_words(host, first))}{_remark(first)}{more}")
        else:
            typer.echo(f"{shown(name):{width}}  cannot be typed: {shown(fault or '')}")


def _remark(way: Way) -> str:
    """What a person has to know who looks for the character or the key."""
    if not way[-1].usual:
        return " (a key that few keyboards have)"
    return "" if all(press.printed for press in way) else " (not printed on the key)"
