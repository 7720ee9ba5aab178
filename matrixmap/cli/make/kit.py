"""`matrixmap kit`: the sheet of a kit, from the order of its parts to the keys that show a fault."""

from __future__ import annotations

from pathlib import Path

import typer

from matrixmap.cli.look.faulty import need_solver, table_of
from matrixmap.cli.main import UsageError, make_app
from matrixmap.cli.session import RootOption, open_project, print_overrides

app = make_app()


@app.command(epilog="Example: matrixmap kit ferrule quillon8-en-GB-symbolic --out ferrule.pdf")
def kit(
    adapter: str = typer.Argument(..., help="Id of an adapter, or its YAML file."),
    layout: str = typer.Argument(..., help="Id of the layout that is in its chip, or its YAML file."),
    machine: str | None = typer.Option(
        None,
        "--machine",
        metavar="MACHINE[/REVISION]",
        help="The machine that it is for (when left out, the first that it fits).",
    ),
    out: Path | None = typer.Option(
        None,
        "--out",
        metavar="FILE",
        help="File to write, ending in .html or .pdf (default: the ids of adapter and layout, -kit.html).",
    ),
    paper: str = typer.Option("A4", "--sheet", metavar="A4|Letter", help="The paper, in portrait."),
    language: str = typer.Option("en", "--language", metavar="TAG", help="The language of the sheet."),
    lookup: bool = typer.Option(
        False,
        "--lookup",
        help="Add a list of keys that distinguishes all faults, and a table to look the answers up in.",
    ),
    root: Path | None = RootOption,
) -> None:
    """Make the sheet of a kit: the parts in order, what to measure before power, what to type and what must appear."""
    from matrixmap.cli.make.pictures import check_language, check_paper, check_suffix, write_page
    from matrixmap.emit.pictures.sheet import PAPERS
    from matrixmap.emit.texts.language import texts_of

    check_paper(paper, PAPERS)
    check_suffix(out, (".html", ".pdf"))
    check_language(language)
    need_solver()
    project = open_project(root)
    print_overrides(project, [layout])
    table = table_of(project, adapter, layout, machine)
    from matrixmap.emit.boards.kit_sheet import kit_html
    from matrixmap.emit.boards.lookup import MOST_LISTED
    from matrixmap.kit.apart import list_of
    from matrixmap.kit.meter import meter_checks, to_measure
    from matrixmap.kit.text import text_of

    text = text_of(table)
    meter = meter_checks(table.board, to_measure(table))
    listed = list_of(table)
    if lookup and len(listed.chosen) > MOST_LISTED:
        raise UsageError(
            f"{len(listed.chosen)} presses are needed to distinguish all faults, but only {MOST_LISTED} fit on a page; leave out --lookup"
        )
    html = kit_html(table, text, meter, texts_of("kit", language), PAPERS[paper], listed if lookup else None)
    target = out or Path(f"{table.board.adapter.id}-{table.plan.id}-kit.html")
    write_page(html, target)
    typer.echo(
        f"{len(table.models)} faults; {len(table.shown)} show in every case, by {len(text.presses)} presses of {len(table.presses)} "
        f"({'fewer do not' if text.is_exact else f'at least {text.at_least} are needed'}); {len(table.classes)} classes"
    )
    typer.echo(
        f"{len(meter.measurements)} measurements before power "
        f"({'fewer do not' if meter.at_least == len(meter.measurements) else f'at least {meter.at_least} are needed'})"
    )
    typer.echo(
        f"{len(listed.chosen)} presses in a fixed list distinguish all classes "
        f"({'fewer do not' if listed.is_exact else f'at least {listed.at_least} are needed'})"
    )
    typer.echo(f"{target} written")
