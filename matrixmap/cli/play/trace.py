"""`matrixmap trace`: a script of keyboard events, and what the machine reads of it."""

from __future__ import annotations

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
    print_by_pads,
    print_switches,
    print_timeline,
    read_by_pads,
    read_row,
    running,
    switch_rows,
    timeline,
)
from matrixmap.cli.play.recordings import (
    DescriptorOption,
    Input,
    IntervalOption,
    LenientOption,
    RecordingFile,
    interval_us,
    look_at,
    read_descriptor,
)
from matrixmap.cli.session import (
    FormatOption,
    RootOption,
    choose_format,
    one_layout,
    open_project,
    print_json,
    print_overrides,
)
from matrixmap.limits import SCRIPT_BYTES

if TYPE_CHECKING:
    from matrixmap.model.layout import Layout
    from matrixmap.model.plan import Plan
    from matrixmap.simulate.script import Event
    from matrixmap.source.kinds.project import Project

app = make_app()


@app.command(epilog="Example: matrixmap trace quillon8-en-GB-symbolic visitor.txt --timeline")
def trace(
    layout: str = typer.Argument(..., help="Id of a layout, or its YAML file."),
    file: Path = typer.Argument(
        ..., metavar="FILE", help="A script of events or a recording of a keyboard; - for standard input."
    ),
    phase: str = PhaseOption,
    engine: str = EngineOption,
    show_timeline: bool = TimelineOption,
    descriptor: Path = DescriptorOption,
    interval: float = IntervalOption,
    lenient: bool = LenientOption,
    root: Path | None = RootOption,
    format: str = FormatOption,
) -> None:
    """Play a script of keyboard events (down, up, report, wait, layout), or a recording, and print what the machine reads."""
    from matrixmap.join.plan import compile_plan

    choose_format(format)
    project = open_project(root)
    if format == "text":
        print_overrides(project, [layout])
    first = one_layout(project, layout)
    source = look_at(file)
    recording = _recording(source, descriptor, interval, lenient)
    if recording is not None:
        _trace_recording(compile_plan(first), recording, phase, engine, show_timeline, format)
    else:
        _trace_script(project, first, source, phase, engine, show_timeline, format)


def _trace_script(
    project: Project, first: Layout, source: Input, phase: str, engine: str, show_timeline: bool, format: str
) -> None:
    """Plays a script; exit code 1 if what is read is not what was typed."""
    from matrixmap.join.plan import compile_plan
    from matrixmap.model.words import key_name
    from matrixmap.simulate.engine import Sizes
    from matrixmap.simulate.player import Player, commands
    from matrixmap.simulate.scan import Reader
    from matrixmap.simulate.script import MOST_KEYBOARDS
    from matrixmap.simulate.texts import as_text, difference, legends_of
    from matrixmap.simulate.trace import Listener, Tracer

    events = _events(source)
    layouts = _layouts(project, first, events)
    _refuse_pads_without_a_section(layouts, events)
    _refuse_keys_on_the_pads_keyboard(layouts, events)
    plans = [compile_plan(one) for one in layouts.values()]
    with running(engine, plans, Sizes(keyboards=MOST_KEYBOARDS)) as runtime:
        listener = Listener(runtime, plans, MOST_KEYBOARDS)
        player = Player(listener)
        Tracer(player, {name: number for number, name in enumerate(layouts)}, plans).play(events)
    outcomes = Phases(Reader(first.machine, plans[0].contacts), phase).read(player)
    meant = listener.take_meant()
    of_keys, by_pads = read_by_pads(outcomes[0])
    differs = difference(meant, legends_of(of_keys))
    texts = [as_text(legends_of(reads)) for reads in outcomes]
    rows = timeline(first.machine, player.notes, outcomes[0])
    facts: Row = {
        "layout": first.id,
        "engine": engine,
        "typed": as_text(meant),
        "read": texts[0],
        "lost": list(differs.lost),
        "extra": list(differs.extra),
        "keys": [{"time_ms": read.time_us / 1000, **read_row(first.machine, read)} for read in outcomes[0]],
        "commands": list(commands(player.notes)),
        "overflows": player.last.overflows,
        "refusals": player.last.refusals,
        "clashes": player.last.pads.clashes,
        "read_by_pads": by_pads,
        "closed": [key_name(first.machine, contact) for contact in sorted(player.last.contacts)],
        "pads": switch_rows(first.machine, player.notes),
    }
    if format == "json":
        others = {"other_phases": texts[1:]} if phase == "all" else {}
        print_json({**facts, **others, **({"timeline": rows} if show_timeline else {})})
    else:
        if show_timeline:
            print_timeline(rows)
        _print(facts, texts)
    if differs.lost or differs.extra or len(texts) > 1:
        raise typer.Exit(1)


def _recording(source: Input, descriptor: Path | None, interval: float, lenient: bool) -> RecordingFile | None:
    """The file as a recording if it is one; None for a script."""
    from matrixmap.hid.descriptor_text import holds_descriptor, holds_reports

    if descriptor is None and holds_descriptor(source.start):
        raise UsageError(
            f"{source.path} is a report descriptor; use matrixmap keyboard, or a recording, which also has the reports"
        )
    if not holds_reports(source.start):
        return None
    given = read_descriptor(look_at(descriptor), lenient) if descriptor is not None else None
    return RecordingFile(source=source, descriptor=given, interval_us=interval_us(interval), lenient=lenient)


def _trace_recording(
    plan: Plan, recording: RecordingFile, phase: str, engine: str, show_timeline: bool, format: str
) -> None:
    """Plays a recording; exit code 1 if what is read is not what was typed."""
    from matrixmap.cli.play.replayed import facts, print_outcome, replay
    from matrixmap.simulate.engine import Sizes
    from matrixmap.simulate.script import MOST_KEYBOARDS

    in_json = format == "json"
    with running(engine, [plan], Sizes(keyboards=MOST_KEYBOARDS)) as runtime:
        outcome, closed = replay(
            runtime, plan, recording, phase, show_timeline and not in_json, show_timeline and in_json
        )
    if in_json:
        print_json({**facts(plan, engine, outcome, closed), **({"timeline": outcome.rows} if show_timeline else {})})
    else:
        print_outcome(plan, outcome, closed)
    if outcome.lost or outcome.extra or outcome.unsteady:
        raise typer.Exit(1)


def _events(source: Input) -> tuple[Event, ...]:
    """The events of a script; its faults go to stderr and end the program with exit code 2."""
    from matrixmap.model.words import shown
    from matrixmap.simulate.script import read_script

    data = source.read(SCRIPT_BYTES + 1)
    events, faults = read_script(data, source.path.as_posix())
    for fault in faults:
        typer.echo(f"{shown(str(fault.place))}: {shown(fault.text)}", err=True)
    if faults:
        typer.echo(f"{len(faults)} fault{'s' if len(faults) != 1 else ''}; nothing was played", err=True)
        raise typer.Exit(2)
    return events


def _refuse_pads_without_a_section(layouts: dict[str, Layout], events: tuple[Event, ...]) -> None:
    """Refuses a step of a pad if no layout of the script says what pads do: it would have no effect."""
    from matrixmap.simulate.script import PadLink, PadMove, SwapPads

    if any(layout.pads for layout in layouts.values()):
        return
    for event in events:
        if isinstance(event.action, PadMove | PadLink | SwapPads):
            raise UsageError(f"{event.place}: {', '.join(layouts)} has no section pads, which says what pads do")


def _refuse_keys_on_the_pads_keyboard(layouts: dict[str, Layout], events: tuple[Event, ...]) -> None:
    """Refuses keys on that keyboard: these and the buttons that press a stroke would release each other."""
    from matrixmap.simulate.pads import PADS_KEYBOARD, PADS_KEYBOARD_IS_TAKEN

    if not any(layout.pads and layout.pads.buttons for layout in layouts.values()):
        return
    for event in events:
        if getattr(event.action, "keyboard", None) == PADS_KEYBOARD:
            raise UsageError(f"{event.place}: {PADS_KEYBOARD_IS_TAKEN}")


def _layouts(project: Project, first: Layout, events: tuple[Event, ...]) -> dict[str, Layout]:
    """The first layout and those that the script changes to, by id, all for one machine."""
    from matrixmap.simulate.script import SwitchLayout

    found = {first.id: first}
    for event in events:
        if not isinstance(event.action, SwitchLayout) or event.action.layout in found:
            continue
        name = event.action.layout
        if name not in project.ids("layout"):
            from matrixmap.source.report import nearest

            raise UsageError(f"{event.place}: there is no layout {name!r}{nearest(name, project.ids('layout'))}")
        other = one_layout(project, name)
        if (other.machine.id, other.contacts) != (first.machine.id, first.contacts):
            raise UsageError(
                f"{event.place}: {name} is for another machine or another way to close contacts than {first.id}"
            )
        found[name] = other
    return found


def _print(facts: Row, texts: list[str]) -> None:
    from matrixmap.model.words import shown

    typer.echo(f"typed: {shown(str(facts['typed']))}")
    for text in texts:
        typer.echo(f"read:  {shown(text)}")
    for name in ("lost", "extra", "commands", "closed"):
        listed = facts[name]
        if isinstance(listed, list) and listed:
            typer.echo(f"{name}: {', '.join(shown(str(item)) for item in listed)}")
    print_switches(facts["pads"])
    print_by_pads(facts["read_by_pads"], facts["clashes"])
    if len(texts) > 1:
        typer.echo(f"What is read depends on the phase of the scan: {len(texts)} different texts.")
    if facts["overflows"] or facts["refusals"]:
        typer.echo(
            f"presses dropped because the waiting line was full: {facts['overflows']}; refused: {facts['refusals']}"
        )
