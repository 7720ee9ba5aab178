"""`matrixmap schema`: the shapes of the files, for editors and for readers."""

from __future__ import annotations

from pathlib import Path

import typer

from matrixmap.cli.main import UsageError, make_app

app = make_app()


@app.command(epilog="Example: matrixmap schema --out schema")
def schema(
    out: Path = typer.Option(Path("schema"), "--out", metavar="DIR", help="Folder to write the JSON Schemas to."),
    check: bool = typer.Option(False, "--check", help="Write nothing; exit 1 if what stands there is stale."),
    page: bool = typer.Option(False, "--page", help="Print the reference page of the files, in Markdown, instead."),
) -> None:
    """Write the JSON Schemas of the three kinds of file, by which editors complete and check."""
    from matrixmap.cli.files import read_text, write_all
    from matrixmap.source.schema import format_page, schema_texts

    if page and check:
        raise UsageError("--page prints, so there is nothing to check")
    if page:
        typer.echo(format_page(), nl=False)
        return
    texts = schema_texts()
    if check:
        stale = [name for name, text in texts.items() if read_text(out / name) != text]
        for name in stale:
            typer.echo(f"{out / name}: is stale", err=True)
        if stale:
            raise typer.Exit(1)
        typer.echo(f"{len(texts)} schemas in {out} are fresh")
        return
    write_all(out, texts)
    typer.echo(f"wrote {', '.join(texts)} to {out}")
