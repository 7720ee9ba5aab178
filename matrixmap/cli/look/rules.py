"""`matrixmap rules`: the rules of reading and checking."""

from __future__ import annotations

import typer

from matrixmap.cli.main import make_app
from matrixmap.cli.session import choose_format, print_json

app = make_app()


@app.command(epilog="Example: matrixmap rules --format json")
def rules(
    format: str = typer.Option("text", "--format", metavar="text|json|markdown", help="How to print the rules."),
) -> None:
    """List the rules of reading and checking, with severity and purpose."""
    from matrixmap.check.registry import all_rules

    choose_format(format, ("text", "json", "markdown"))
    listed = all_rules()
    if format == "markdown":
        from matrixmap.board.rules.run import BOARD_RULES
        from matrixmap.form.rules_page import rules_page
        from matrixmap.margins.rules import MARGIN_RULES
        from matrixmap.source.rules import READING_RULES

        boards = (*BOARD_RULES, *MARGIN_RULES)
        others = {rule.slug for rule in (*READING_RULES, *boards)}
        typer.echo(rules_page(READING_RULES, [rule for rule in listed if rule.slug not in others], boards))
        return
    if format == "json":
        fields = ("slug", "purpose", "explanation", "bad", "good")
        print_json(
            {
                "rules": [
                    {**{name: getattr(rule, name) for name in fields}, "severity": rule.severity.word}
                    for rule in listed
                ]
            }
        )
        return
    width = max(len(rule.slug) for rule in listed)
    for rule in listed:
        typer.echo(f"{rule.slug:{width}}  {rule.severity.word:7}  {rule.purpose}")
