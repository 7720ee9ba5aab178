"""`matrixmap usages`: HID usages by number, name or W3C code."""

from __future__ import annotations

import typer

from matrixmap.cli.main import UsageError, make_app
from matrixmap.cli.session import FormatOption, choose_format, print_json

app = make_app()


@app.command(epilog="Example: matrixmap usages IntlBackslash")
def usages(
    pattern: str = typer.Argument(
        "", help="A number (0x64), a W3C code (KeyA) or a part of a name; all usages when left out."
    ),
    format: str = FormatOption,
) -> None:
    """Look up HID usages by number, name or W3C code: those of the keyboard page (0x07), and by name those of other pages."""
    from matrixmap.hid.usage_names import PAGES, find_elsewhere
    from matrixmap.hid.usages import KEYBOARD_PAGE, USAGES, find

    choose_format(format)
    facts = find(pattern) if pattern else USAGES
    others = find_elsewhere(pattern)
    if not facts and not others:
        from matrixmap.source.report import nearest

        known = [fact.code for fact in USAGES if fact.code]
        raise UsageError(f"no usage is called {pattern!r}{nearest(pattern, known)}")
    if format == "json":
        rows: list[dict[str, object]] = [
            {"page": KEYBOARD_PAGE, "usage": fact.usage, "name": fact.name, "code": fact.code, "note": fact.note}
            for fact in facts
        ]
        rows += [{"page": page, "usage": usage, "name": name, "code": None, "note": ""} for page, usage, name in others]
        print_json({"usages": rows})
        return
    width = max((len(fact.code or "-") for fact in facts), default=0)
    for fact in facts:
        note = f"  ({fact.note})" if fact.note and len(facts) <= 8 else ""
        typer.echo(f"0x{fact.usage:02X}  {fact.code or '-':{width}}  {fact.name}{note}")
    for page, usage, name in others:
        typer.echo(f"0x{page:02X}:0x{usage:02X}  {name}  ({PAGES[page]} page)")
