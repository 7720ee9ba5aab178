"""`matrixmap type`: a person types a text, and the machine reads it."""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from matrixmap.cli.main import UsageError, make_app
from matrixmap.cli.play.played import (
    EngineOption,
    PhaseOption,
    Phases,
    Row,
    TimelineOption,
    number,
    print_timeline,
    read_row,
    running,
    timeline,
)
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
    from matrixmap.model.press import KeyPress
    from matrixmap.simulate.scan import KeyRead
    from matrixmap.simulate.texts import Typing

app = make_app()


@app.command(epilog="Example: matrixmap type quillon8-en-GB-symbolic 'PRINT \"£5\"' --interval 15 --timeline")
def type(
    layout: str = typer.Argument(..., help="Id of a layout, or its YAML file."),
    text: str = typer.Argument(..., help="The text to type."),
    rate: str = typer.Option("8", "--rate", metavar="N", help="Keystrokes a second."),
    hold: str = typer.Option(
        None, "--hold", metavar="MS", help="How long a key is held (when left out, 5/4 of the time between keystrokes)."
    ),
    interval: str = typer.Option(
        "7.5", "--interval", metavar="MS", help="Time between two reports: 7.5 to 50 over radio, 1 to 10 over USB."
    ),
    link: str = typer.Option(
        "sampled",
        "--link",
        metavar="sampled|queued",
        help="sampled: a report shows the keys that are down at its moment; queued: it shows the next change.",
    ),
    phase: str = PhaseOption,
    engine: str = EngineOption,
    show_timeline: bool = TimelineOption,
    root: Path | None = RootOption,
    format: str = FormatOption,
) -> None:
    """Type a text as a person would, through reports and the runtime, and print what the machine reads.

    Exit 1 if the machine reads something else than was typed.
    """
    from matrixmap.simulate.engine import Sizes
    from matrixmap.simulate.scan import Reader
    from matrixmap.simulate.texts import meant_by, play_typing

    choose_format(format)
    beats = number("--rate", rate, Fraction(1, 10), Fraction(1000))
    interval_us = _milliseconds("--interval", interval, Fraction(1, 10))
    hold_us = None if hold is None else _milliseconds("--hold", hold, Fraction(1))
    project = open_project(root)
    if format == "text":
        print_overrides(project, [layout])
    plan = one_plan(project, layout)
    typing = _typing(plan, text, beats, hold_us, link, interval_us)
    with running(engine, [plan], Sizes()) as runtime:
        player = play_typing(runtime, typing)
    reader = Reader(plan.layout.machine, plan.contacts)
    outcomes = Phases(reader, phase).read(player)
    rows = timeline(plan.layout.machine, player.notes, outcomes[0])
    meant = meant_by(plan, typing.presses)
    facts = [_facts(plan, meant, reads) for reads in outcomes]
    head: Row = {"layout": plan.id, "engine": engine, **_settings(typing)}
    counts: Row = {"overflows": player.last.overflows, "refusals": player.last.refusals}
    if format == "json":
        others = {"other_phases": facts[1:]} if phase == "all" else {}
        print_json({**head, **facts[0], **counts, **others, **({"timeline": rows} if show_timeline else {})})
    else:
        if show_timeline:
            print_timeline(rows)
        _print(head, facts, counts)
    if any(fact["read"] != fact["typed"] for fact in facts):
        raise typer.Exit(1)


def _milliseconds(option: str, text: str, low: Fraction) -> int:
    """A time of an option in microseconds, as a whole number of the runtime's ticks."""
    from matrixmap.circuit.timing import TICK_US

    microseconds = number(option, text, low, Fraction(10_000)) * 1000
    if microseconds % TICK_US:
        raise UsageError(f"{option} takes a multiple of 0.1 ms, not {text!r}")
    return int(microseconds)


def _typing(plan: Plan, text: str, rate: Fraction, hold_us: int | None, link: str, interval_us: int) -> Typing:
    from matrixmap.simulate.texts import Typing
    from matrixmap.simulate.typing.reports import Link
    from matrixmap.simulate.typing.typist import Style, usual_style

    links = {known.value: known for known in Link}
    if link not in links:
        raise UsageError(f"there is no link {link!r} (links: {', '.join(links)})")
    style = usual_style(rate) if hold_us is None else Style(rate=rate, hold_us=hold_us)
    return Typing(plan=plan, presses=presses_for(plan, text), style=style, link=links[link], interval_us=interval_us)


def presses_for(plan: Plan, text: str) -> tuple[KeyPress, ...]:
    """The presses for a text; UsageError if a part of it cannot be typed."""
    from matrixmap.cli.look.howto import TYPED_AS_FUNCTION, why_not
    from matrixmap.model.words import shown
    from matrixmap.press.how_to_type import machine_text, ways_to_type
    from matrixmap.simulate.texts import presses_of

    if len(text) > TYPED_CHARACTERS:
        raise UsageError(f"a text has at most {TYPED_CHARACTERS} characters")
    ways = ways_to_type(plan)
    chars = (TYPED_AS_FUNCTION.get(char, char) for char in unicodedata.normalize("NFC", text))
    wanted = [machine_text(plan.layout.machine, char) for char in chars]
    missing = dict.fromkeys(name for name in wanted if name not in ways)
    if missing:
        faults = "; ".join(f"{shown(name)}: {shown(why_not(plan, name))}" for name in missing)
        raise UsageError(f"{plan.id} cannot type {faults}")
    return tuple(press for name in wanted for press in presses_of(ways[name][0]))


def _settings(typing: Typing) -> Row:
    """How the text was typed, and whether that is physically possible."""
    limits = typing.limits()
    return {
        "rate": float(typing.style.rate),
        "hold_ms": typing.performance.hold_us / 1000,
        "link": typing.link.value,
        "interval_ms": typing.interval_us / 1000,
        "service_ms": round(float(limits.service_us) / 1000, 3),
        "beat_ms": round(float(typing.style.beat_us) / 1000, 3),
        "feasible": not limits.limits,
        "limits": list(limits.limits),
    }


def _facts(plan: Plan, meant: Sequence[str], reads: tuple[KeyRead, ...]) -> Row:
    """What was typed and what the machine reads."""
    from matrixmap.simulate.texts import as_text, difference, legends_of

    read = legends_of(reads)
    differs = difference(meant, read)
    return {
        "typed": as_text(meant),
        "read": as_text(read),
        "lost": list(differs.lost),
        "extra": list(differs.extra),
        "keys": [{"time_ms": press.time_us / 1000, **read_row(plan.layout.machine, press)} for press in reads],
    }


def _print(head: Row, facts: list[Row], counts: Row) -> None:
    from matrixmap.model.words import shown

    typer.echo(f"typed: {shown(str(facts[0]['typed']))}")
    for fact in facts:
        typer.echo(f"read:  {shown(str(fact['read']))}")
        for name in ("lost", "extra"):
            listed = fact[name]
            if isinstance(listed, list) and listed:
                typer.echo(f"{name + ':':6} {', '.join(shown(str(text)) for text in listed)}")
    if len(facts) > 1:
        typer.echo(f"What is read depends on the phase of the scan: {len(facts)} different texts.")
    typer.echo(
        f"Reports every {head['interval_ms']:g} ms ({head['link']}); keys held for {head['hold_ms']:g} ms or more; a "
        f"keystroke every {head['beat_ms']:g} ms, and the machine needs {head['service_ms']:g} ms for one on average."
    )
    limits = head["limits"]
    for limit in limits if isinstance(limits, list) else []:
        typer.echo(f"Not feasible: {limit}.")
    if counts["overflows"] or counts["refusals"]:
        typer.echo(
            f"Presses dropped because the waiting line was full: {counts['overflows']}; refused: {counts['refusals']}."
        )
