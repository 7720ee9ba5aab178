"""The page of all rules, made from their records."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from matrixmap.emit.tables.keylist import markdown
from matrixmap.model.rule import Rule


def rules_page(reading: Iterable[Rule], checking: Iterable[Rule], boards: Iterable[Rule]) -> str:
    """The page in Markdown: the rules of checking first, then those of boards and of reading, each sorted by slug."""
    return "\n".join(_lines(reading, checking, boards))


def _lines(reading: Iterable[Rule], checking: Iterable[Rule], boards: Iterable[Rule]) -> Iterator[str]:
    yield "# Rules"
    yield ""
    yield "<!-- Made by: matrixmap rules --format markdown -->"
    yield ""
    yield "Each finding of `matrixmap` belongs to a rule."
    yield "`matrixmap explain SLUG` prints a rule, and a layout accepts one with a line under `accept`."
    for title, text, rules in (
        (
            "Checking",
            "These rules examine a layout. A finding may be milder than its rule; the rule says when.",
            checking,
        ),
        (
            "Boards",
            "These rules examine an adapter on a machine; `matrixmap adapter` and `matrixmap margins` report them. A "
            "finding may be milder than its rule.",
            boards,
        ),
        (
            "Reading",
            "These rules are about faults of a file. All of them are errors, and a file with one is not used.",
            reading,
        ),
    ):
        yield ""
        yield f"## {title}"
        yield ""
        yield text
        for rule in sorted(rules, key=lambda rule: rule.slug):
            yield from _rule(rule)


def _rule(rule: Rule) -> Iterator[str]:
    yield ""
    yield f"### {rule.slug}"
    yield ""
    yield f"{rule.severity.word.capitalize()}. {markdown(rule.purpose)}"
    yield ""
    yield markdown(rule.explanation)
    for title, example in (("Bad", rule.bad), ("Good", rule.good)):
        yield ""
        yield f"{title}:"
        yield ""
        yield "```yaml"
        yield from example.splitlines() or [""]
        yield "```"
