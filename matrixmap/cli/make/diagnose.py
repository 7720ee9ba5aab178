"""`matrixmap diagnose`: asks for one press at a time and ends with the joints to inspect."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from matrixmap.cli.files import read_named
from matrixmap.cli.look.faulty import need_solver, table_of
from matrixmap.cli.main import UsageError, make_app
from matrixmap.cli.session import RootOption, open_project, print_overrides

if TYPE_CHECKING:
    from matrixmap.emit.texts.language import Texts
    from matrixmap.kit.finder import Finder, Near

app = make_app()

ARROW = " -> "
MOST_LINES = 12
"""The most printed lines of one class; the rest is counted."""


@app.command(epilog="Example: matrixmap diagnose ferrule quillon8-en-GB-symbolic")
def diagnose(
    adapter: str = typer.Argument(..., help="Id of an adapter, or its YAML file."),
    layout: str = typer.Argument(..., help="Id of the layout that should be in its chip, or its YAML file."),
    machine: str | None = typer.Option(
        None,
        "--machine",
        metavar="MACHINE[/REVISION]",
        help="The machine that it is on (when left out, the first that it fits).",
    ),
    answers: str | None = typer.Option(
        None, "--answers", metavar="FILE", help="Take the answers from a file: lines such as `Shift 2 -> nothing`."
    ),
    check: bool = typer.Option(
        True,
        "--check/--no-check",
        help="Continue until one wrong answer would be noticed, or stop at the first fault that fits.",
    ),
    page: Path | None = typer.Option(
        None, "--page", metavar="FILE", help="Write the questions as a page to print, .html or .pdf, and ask nothing."
    ),
    language: str = typer.Option("en", "--language", metavar="TAG", help="The language of the output and of the page."),
    root: Path | None = RootOption,
) -> None:
    """Find a fault of a board that was put together: asks for one press at a time, and ends with the joints to look at."""
    from matrixmap.cli.make.pictures import check_language, check_suffix
    from matrixmap.emit.texts.language import texts_of

    check_language(language)
    texts = texts_of("kit", language)
    need_solver()
    if page is not None and answers is not None:
        raise UsageError("--page and --answers cannot be used together")
    if page is not None:
        check_suffix(page, (".html", ".pdf"))
    given = _read_file(answers) if answers is not None else None
    project = open_project(root)
    print_overrides(project, [layout])
    table = table_of(project, adapter, layout, machine)
    from matrixmap.kit.finder import Finder
    from matrixmap.kit.tree import make_tree

    tree = make_tree(table)
    if page is not None:
        from matrixmap.cli.make.pictures import write_page
        from matrixmap.emit.boards.questions import questions_html

        write_page(questions_html(table, tree, texts), page)
        typer.echo(f"{page} written")
        return
    finder = Finder(table, tree)
    if given is None:
        _ask(finder, texts, check)
    else:
        _take(finder, given, answers or "")
    _tell(finder, texts, check)
    if [near.number for near in finder.fitting] != [0]:
        raise typer.Exit(1)


def _read_file(name: str) -> list[tuple[int, str, str]]:
    """The lines of a file of answers: number, press and answer. UsageError for any other line."""
    found = []
    try:
        text = read_named(name).decode("utf-8")
    except UnicodeDecodeError as fault:
        raise UsageError(f"{name} is not text in UTF-8") from fault
    for number, line in enumerate(text.splitlines(), start=1):
        press, arrow, answer = line.partition(ARROW)
        if arrow:
            found.append((number, press.strip(), answer))
        elif line.strip() and not line.startswith("# "):
            raise UsageError(
                f"{name}:{number}: a line must be a press, an arrow and what appeared, such as Shift 2{ARROW}nothing"
            )
    return found


def _take(finder: Finder, given: list[tuple[int, str, str]], file: str) -> None:
    """Takes the answers of a file; UsageError for a press that is not among the questions."""
    from matrixmap.kit.finder import read_answer
    from matrixmap.kit.presses import by_words
    from matrixmap.source.report import nearest

    known = by_words(finder.table.presses)
    for number, press, answer in given:
        at = known.get(press, known.get(press.lower()))
        asks = 0 if press.lower() == "untouched" else None if at is None else at + 1
        if asks is None:
            raise UsageError(f"{file}:{number}: there is no press {press!r}{nearest(press, known)}")
        read = read_answer(answer, _answers(finder))
        if read is None:
            raise UsageError(f"{file}:{number}: there is nothing after the arrow; if nothing appeared, write nothing")
        finder.take(asks, read)


def _answers(finder: Finder) -> list[str]:
    return sorted({answer for each in finder.table.classes for answer in each.answers if answer.startswith("<")})


def _ask(finder: Finder, texts: Texts, check: bool) -> None:
    """Asks until no question is left, or the answers end."""
    from matrixmap.emit.boards.kit_words import question_words
    from matrixmap.kit.finder import read_answer

    table, tree = finder.table, finder.tree
    typer.echo(
        f"{len(table.models)} faults, {len(table.classes)} classes; at most {tree.worst} questions (at least {tree.at_least} are "
        f"needed), {tree.mean:.1f} on average (at least {tree.least}){', and some more to check' if check else ''}"
    )
    typer.echo(
        "Before each press, remove the adapter's supply for a moment. Write what appears on the screen: a, Enter, "
        "nothing,"
    )
    typer.echo("a... if it goes on by itself, or something else: ...; undo takes the last answer back, end stops.")
    while (asks := finder.next(check)) is not None or not finder.fitting:
        if asks is None:
            typer.echo(
                "no single fault fits these answers; undo takes the last one back, end shows the nearest: ",
                nl=False,
            )
        else:
            typer.echo(f"{len(finder.observed) + 1}. press {question_words(texts, table, asks)}: ", nl=False)
        line = _line()
        if line is None or line.strip().lower() == "end":
            typer.echo("")
            return
        if line.strip().lower() == "undo":
            if not finder.undo():
                typer.echo("there is no answer to take back")
            continue
        answer = read_answer(line, _answers(finder))
        if asks is None:
            continue
        if answer is None:
            typer.echo("if nothing appears, write nothing")
        else:
            finder.take(asks, answer)


def _line() -> str | None:
    import sys

    line = sys.stdin.readline()
    return line if line else None


def _tell(finder: Finder, texts: Texts, check: bool) -> None:
    """Prints what the answers mean."""
    from matrixmap.emit.boards.kit_words import question_words
    from matrixmap.kit.finder import NEAREST
    from matrixmap.model.words import shown

    for asks in finder.contradictions:
        given = " and ".join(dict.fromkeys(one.answer for one in finder.observed if one.asks == asks))
        typer.echo(
            shown(f"these answers contradict each other: {question_words(texts, finder.table, asks)} gave {given}")
        )
    fitting = finder.fitting
    if not fitting:
        nearest = finder.nearest
        typer.echo("no single fault fits all answers; the nearest:")
        for near in nearest[:NEAREST]:
            _tell_class(finder, texts, near)
        if len(nearest) > NEAREST:
            typer.echo(f"and {len(nearest) - NEAREST} more that are as near")
        _tell_pairs(finder, texts)
        return
    following = finder.next(check=False)
    if following is not None:
        classes = len(fitting)
        typer.echo(
            f"{classes} classes of faults fit the answers so far; next, press {question_words(texts, finder.table, following)}"
        )
        return
    for near in fitting:
        _tell_class(finder, texts, near)
    others = [near for near in finder.near(1) if near.against]
    if check and len(others) == 1:
        typer.echo("if one answer was wrong:")
        _tell_class(finder, texts, others[0])
    elif len(others) > 1:
        surer = finder.next()
        more = f"; to be surer, press {question_words(texts, finder.table, surer)}" if surer is not None else ""
        typer.echo(f"{len(others)} other classes would fit if one answer was wrong{more}")


def _tell_class(finder: Finder, texts: Texts, near: Near) -> None:
    from matrixmap.emit.boards.kit_words import answer_words, class_words, question_words
    from matrixmap.model.words import shown

    table = finder.table
    each = table.classes[near.number]
    against = "; ".join(
        f"{question_words(texts, table, one.asks)} would show {answer_words(texts, each.answers[one.asks])}, "
        f"not {answer_words(texts, one.answer)}"
        for one in near.against
    )
    lines = list(class_words(texts, table.board, each.faults))
    if near.number == 0:
        typer.echo(shown(f"no fault that a press shows{f' ({against})' if against else ''}"))
        lines = [] if near.against else [f"not shown by any press, or not always: {line}" for line in lines]
    else:
        typer.echo(shown(f"look at{f' ({against})' if against else ''}:"))
    for line in lines[:MOST_LINES]:
        typer.echo(shown(f"- {line}"))
    if len(lines) > MOST_LINES:
        typer.echo(f"- and {len(lines) - MOST_LINES} more")
    if near.number and len(each.faults) > 1:
        for line in list(_checks(finder, texts, near))[:MOST_LINES]:
            typer.echo(shown(f"  {line}"))


def _checks(finder: Finder, texts: Texts, near: Near) -> Iterator[str]:
    """The measurements that separate the faults of a class."""
    from matrixmap.emit.boards.kit_words import measurement_words
    from matrixmap.kit.meter import meter_checks

    table = finder.table
    meter = meter_checks(table.board, table.classes[near.number].faults)
    for measurement in meter.measurements:
        yield measurement_words(texts, table.board, measurement)


def _tell_pairs(finder: Finder, texts: Texts) -> None:
    from matrixmap.emit.boards.kit_words import fault_words
    from matrixmap.model.words import shown

    pairs = finder.pairs()
    if pairs:
        typer.echo("two faults side by side fit; that is a weaker explanation than one fault:")
    for one, other in pairs[:MOST_LINES]:
        board = finder.table.board
        typer.echo(shown(f"- {fault_words(texts, board, one)}, and {fault_words(texts, board, other)}"))
    if len(pairs) > MOST_LINES:
        typer.echo(f"- and {len(pairs) - MOST_LINES} more")
