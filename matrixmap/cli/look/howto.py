"""`matrixmap howto`: which keys to press to type a text."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from matrixmap.cli.main import UsageError, make_app
from matrixmap.cli.session import (
    FormatOption,
    RootOption,
    choose_format,
    one_plan,
    open_project,
    print_json,
    print_overrides,
)
from matrixmap.limits import TYPED_CHARACTERS

if TYPE_CHECKING:
    from matrixmap.model.plan import Plan
    from matrixmap.model.press import Way
    from matrixmap.press.modes import ByHand

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

    Where it takes a dead key, or several strokes of the machine in turn, each is pressed and let go before the next. What a
    key types in a mode of the machine is told with the words of that mode. On a machine of capitals only, a is A.
    """
    from matrixmap.press.how_to_type import HowToType, every_press, machine_text
    from matrixmap.press.modes import by_hand

    choose_format(format)
    project = open_project(root)
    if format == "text":
        print_overrides(project, [layout])
    if len(text) > TYPED_CHARACTERS:
        raise UsageError(f"a text has at most {TYPED_CHARACTERS} characters")
    plan = one_plan(project, layout)
    every = every_press(plan)
    ways, hands = HowToType(every).to_type(), by_hand(every)
    chars = (TYPED_AS_FUNCTION.get(char, char) for char in unicodedata.normalize("NFC", text))
    wanted = [machine_text(plan.layout.machine, char) for char in chars] + function
    rows = [_row(plan, name, ways.get(name, ()), hands.get(name)) for name in wanted]
    if format == "json":
        print_json({"layout": plan.id, "text": text, "steps": [_step(plan, row) for row in rows]})
    else:
        _print_rows(plan, rows)
    if any(not row.ways for row in rows):
        raise typer.Exit(1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A text to type, and the ways to do it; `when` they work, or the `fault` that prevents them.

    `strokes` is what the machine receives if one press plays several strokes.
    """

    name: str
    ways: tuple[Way, ...]
    when: str = ""
    fault: str | None = None
    strokes: str = ""


def _row(plan: Plan, name: str, ways: tuple[Way, ...], hand: ByHand | None) -> Row:
    if ways:
        return Row(name=name, ways=ways, strokes=_strokes(plan, ways[0]))
    if hand is not None:
        return Row(name=name, ways=(hand.way,), when=hand.when)
    return Row(name=name, ways=(), fault=why_not(plan, name))


def _strokes(plan: Plan, way: Way) -> str:
    """The strokes that the last press of a way plays, if there are several; in the words of the machine."""
    from matrixmap.model.plan import Stroke
    from matrixmap.model.words import stroke_name

    *dead, press = way
    action: object = plan.lookup(press.trigger)
    if dead:
        accent = plan.dead_key(dead[-1].trigger) or ""
        action = plan.dead_keys.pairs.get((accent, press.usage, press.level), plan.dead_keys.accents.get(accent))
    return stroke_name(plan.layout.machine, action) if isinstance(action, Stroke) and action.before else ""


def why_not(plan: Plan, name: str) -> str:
    """Why a character or function cannot be typed."""
    from matrixmap.model.sequences import modal_legends, sequences_of

    machine = plan.layout.machine
    for key in machine.keys:
        for state in key.types:
            if name in [legend.text for legend in key.meanings(state)]:
                stroke = " + ".join([*([machine.state_name(state)] if state else []), key.name])
                return f"the machine types it with {stroke}, but no key of this layout reaches that"
    strokes = (
        sequences_of(machine).get(name)
        or [stroke for _, stroke, legend in modal_legends(machine) if legend.text == name][:1]
    )
    if strokes:
        told = ", then ".join(map(machine.keystroke_name, strokes))
        return f"the machine types it with {told}, but no keys of this layout reach all of that"
    kind = "character" if len(name) == 1 else "function"
    return f"{machine.title} has no such {kind}"


def _step(plan: Plan, row: Row) -> dict[str, object]:
    first = _way(plan, row.ways[0]) if row.ways else {"press": None, "triggers": [], "presses": []}
    others = [_way(plan, way) for way in row.ways[1:]]
    told = {"when": row.when or None, "strokes": row.strokes or None}
    return {"types": row.name, **first, "others": others, "fault": row.fault, **told}


def _way(plan: Plan, way: Way) -> dict[str, object]:
    """A way in words, and press by press: the keys to turn on, to hold and to press, by their W3C codes."""
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


def _print_rows(plan: Plan, rows: list[Row]) -> None:
    from matrixmap.model.words import shown
    from matrixmap.press.words import way_words

    host = plan.layout.host
    width = max((len(shown(row.name)) for row in rows), default=0)
    for row in rows:
        if not row.ways:
            typer.echo(f"{shown(row.name):{width}}  cannot be typed: {shown(row.fault or '')}")
            continue
        first = row.ways[0]
        others = (way for way in row.ways if way[-1].usage != first[-1].usage and not way[-1].on)
        other = next((way for way in others if way[-1].usual and way[-1].printed), None)
        more = f"   (or {shown(way_words(host, other))})" if other else ""
        more += f"   (the machine gets {shown(row.strokes)})" if row.strokes else ""
        when = f", {shown(row.when)}" if row.when else ""
        typer.echo(f"{shown(row.name):{width}}  {shown(way_words(host, first))}{when}{_remark(first)}{more}")


def _remark(way: Way) -> str:
    """A remark for a person who looks for the character or the key."""
    if not way[-1].usual:
        return " (a key that few keyboards have)"
    return "" if all(press.printed for press in way) else " (not printed on the key)"
