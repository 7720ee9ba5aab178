"""`matrixmap usages`: HID usages by number, name or W3C code."""

from __future__ import annotations

import typer

from matrixmap.cli.main import UsageError, make_app
from matrixmap.cli.session import FormatOption, choose_format, print_json

app = make_app()


@app.command(epilog="Example: matrixmap usages IntlBackslash")
def usages(
    pattern: str = typer.Argument(
        "", help="A number (0x64), a W3C code (KeyA) or a part of a name; all when left out."
    ),
    format: str = FormatOption,
) -> None:
    """Look up HID usages of the keyboard page (0x07) by number, name or W3C code."""
    from matrixmap.hid.usages import USAGES, find

    choose_format(format)
    facts = find(pattern) if pattern else USAGES
    if not facts:
        from matrixmap.source.report import nearest

        known = [fact.code for fact in USAGES if fact.code]
        raise UsageError(f"no usage of page 0x07 is called {pattern!r}{nearest(pattern, known)}")
    if format == "json":
        rows = [{"usage": fact.usage, "name": fact.name, "code": fact.code, "note": fact.note} for fact in facts]
        print_json({"usages": rows})
        return
    width = max(len(fact.code or "-") for fact in facts)
    for fact in facts:
        note = f"  ({fact.note})" if fact.note and len(facts) <= 8 else ""
        typer.echo(f"0x{fact.usage:02X}  {fact.code or '-':{width}}  {fact.name}{note}")
