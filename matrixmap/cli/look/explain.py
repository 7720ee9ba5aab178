"""`matrixmap explain`: a rule in full."""

from __future__ import annotations

import typer

from matrixmap.cli.main import UsageError, make_app
from matrixmap.cli.session import FormatOption, choose_format, print_json

app = make_app()


@app.command(epilog="Example: matrixmap explain unreachable-character")
def explain(
    slug: str = typer.Argument(..., help="The slug of a rule, as `matrixmap rules` lists it."),
    format: str = FormatOption,
) -> None:
    """Explain a rule, with a bad and a good example."""
    from matrixmap.check.registry import all_rules
    from matrixmap.source.report import nearest

    choose_format(format)
    by_slug = {rule.slug: rule for rule in all_rules()}
    rule = by_slug.get(slug)
    if rule is None:
        raise UsageError(f"there is no rule {slug!r}{nearest(slug, by_slug)} (see matrixmap rules)")
    if format == "json":
        fields = ("slug", "purpose", "explanation", "bad", "good")
        print_json({**{name: getattr(rule, name) for name in fields}, "severity": rule.severity.word})
        return
    typer.echo(f"{rule.slug} ({rule.severity.word})\n\n{rule.purpose}\n\n{rule.explanation}\n")
    for title, example in (("Bad", rule.bad), ("Good", rule.good)):
        typer.echo(f"{title}:")
        typer.echo("".join(f"    {line}\n" for line in example.splitlines()))
