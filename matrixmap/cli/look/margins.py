"""`matrixmap margins`: whether a board's contacts really read low, and in time, and whether its supply suffices."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import typer

from matrixmap.cli.main import UsageError, make_app
from matrixmap.cli.session import (
    FailOnOption,
    RootOption,
    choose_fail_on,
    choose_format,
    one_plan,
    open_project,
    print_json,
)

if TYPE_CHECKING:
    from matrixmap.margins.run import Margins
    from matrixmap.model.plan import Plan
    from matrixmap.source.kinds.project import Project

app = make_app()

FORMATS = ("text", "json", "svg", "spice")


@app.command(epilog="Example: matrixmap margins quillon8-en-GB-symbolic --adapter ferrule")
def margins(
    layout: str = typer.Argument(..., metavar="LAYOUT", help="Id of a layout, or its YAML file."),
    adapter: str = typer.Option(..., "--adapter", metavar="ADAPTER", help="Id of an adapter, or its YAML file."),
    machine: str | None = typer.Option(
        None,
        "--machine",
        metavar="MACHINE[/REVISION]",
        help="One of the machines that the adapter fits (when left out, all revisions of the layout's machine).",
    ),
    format: str = typer.Option("text", "--format", metavar="|".join(FORMATS), help="How to print."),
    typical: bool = typer.Option(
        False, "--typical", help="Use usual values for those that no file gives, and mark the results."
    ),
    fail_on: str = FailOnOption,
    root: Path | None = RootOption,
) -> None:
    """Tell whether closed contacts are surely read, in time, and whether the supply holds: the worst of all values."""
    choose_format(format, FORMATS)
    fails_from = choose_fail_on(fail_on)
    project = open_project(root)
    plan = one_plan(project, layout)
    found = margins_for(project, plan, adapter, machine, typical)
    if format in ("svg", "spice"):
        _print_file(found, plan, format)
    elif format == "json":
        from matrixmap.form.margins.as_json import margins_json

        print_json({"boards": [margins_json(each, plan.id) for each in found]})
    else:
        from matrixmap.form.margins.as_text import margins_text

        typer.echo("\n\n".join(margins_text(each, plan.id) for each in found))
    from matrixmap.margins.findings import findings_of

    worst = max((finding.severity for each in found for finding in findings_of(each)), default=0)
    if worst >= fails_from:
        raise typer.Exit(1)


def margins_for(project: Project, plan: Plan, adapter: str, machine: str | None, typical: bool) -> list[Margins]:
    """The margins of an adapter with a layout on each machine that both fit, or on one of them.

    UsageError if there is none, or if the adapter closes contacts in another way than the layout says.
    """
    from matrixmap.cli.look.adapter import checked_boards
    from matrixmap.margins.run import margins_of

    own = plan.layout.machine.id
    boards = [each for each in checked_boards(project, adapter, machine) if each.fit.machine == own]
    if not boards:
        raise UsageError(f"{plan.id} is for {own}, but {machine or adapter} is for another machine")
    found = []
    for each in boards:
        if each.traced is None:
            raise UsageError(f"{each.findings[0].place}: {each.findings[0].text}")
        if not each.traced.routes:
            raise UsageError(f"{each.adapter.id} on {each.fit.name} closes no contact; matrixmap adapter says why")
        if each.traced.how != plan.contacts.value:
            raise UsageError(
                f"{plan.id} says contacts: {plan.contacts.value}, but {each.adapter.id} closes them as {each.traced.how}; change "
                "the layout, or choose another adapter"
            )
        found.append(margins_of(each.traced, plan.guard, typical))
    return found


def _print_file(found: list[Margins], plan: Plan, format: str) -> None:
    """Prints the chart, or the netlist for a simulator, of one machine."""
    first, *more = found
    if more:
        known = ", ".join(each.traced.board.fit.name for each in found)
        raise UsageError(f"{format} shows one machine; say which with --machine (fits: {known})")
    if first.facts is None:
        missing = ", ".join(dict.fromkeys(f"{each.field} of {each.of}" for each in first.missing))
        raise UsageError(f"the voltages cannot be known without {missing}; --typical uses usual values")
    if format == "spice":
        from matrixmap.emit.boards.spice import margins_spice

        typer.echo(margins_spice(first), nl=False)
        return
    from matrixmap.emit.boards.voltages import voltages_svg

    typer.echo(voltages_svg(first, plan.id), nl=False)
