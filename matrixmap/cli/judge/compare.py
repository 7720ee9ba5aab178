"""`matrixmap compare`: what a change means to the person typing."""

from __future__ import annotations

import re
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from matrixmap.cli.files import read_named
from matrixmap.cli.main import UsageError, make_app
from matrixmap.cli.session import RootOption, choose_format, open_project

if TYPE_CHECKING:
    from collections.abc import Iterator

    from matrixmap.cli.judge.git import Repository
    from matrixmap.compare.comparison import Comparison
    from matrixmap.compare.side import LayoutFile, Side
    from matrixmap.source.folder import Folder

app = make_app()

FORMATS = ("text", "markdown", "json", "html", "annotations", "notes")
FILES = {
    "text": "comparison.txt",
    "markdown": "comment.md",
    "json": "comparison.json",
    "html": "page.html",
    "annotations": "annotations.txt",
    "notes": "notes.md",
}
"""The file name of each form in a folder with several."""

SEVERITIES = {"error": 3, "warning": 2, "note": 1, "none": 4}
WORK_TREE = "."


@app.command(epilog="Example: matrixmap compare main --format markdown")
def compare(
    words: list[str] = typer.Argument(
        None,
        metavar="OLD [NEW] [LAYOUT]...",
        help=(
            "Two sides, each a folder, a layout file or a git revision; when NEW is left out, it is the current "
            "folder. Then ids of layouts; all when left out."
        ),
    ),
    base: str = typer.Option(
        None,
        "--base",
        metavar="REV",
        help=(
            "In place of OLD: compare with the point where this branch left REV, and report what both branches "
            "changed differently."
        ),
    ),
    root: Path | None = RootOption,
    formats: list[str] = typer.Option(
        ["text"], "--format", metavar="|".join(FORMATS), help="How to print; give several with --out DIR."
    ),
    out: Path | None = typer.Option(
        None,
        "--out",
        metavar="FILE|DIR",
        help="Write to this file and not to the terminal; with several forms, to this folder.",
    ),
    every: bool = typer.Option(False, "--all", help="Text: show every change, however many there are."),
    findings: bool = typer.Option(
        False, "--findings", help="Show what happened to the findings of a check, one by one."
    ),
    semver: bool = typer.Option(
        False, "--semver", help="Print only which part of a version number must be raised, and why."
    ),
    exit_code: bool = typer.Option(False, "--exit-code", help="Exit with 1 if there is a breaking change."),
    schema: bool = typer.Option(False, "--schema", help="Print only the JSON Schema of --format json."),
    fail_on_new: str = typer.Option(
        "none",
        "--fail-on-new",
        metavar="error|warning|note|none",
        help="Exit with 1 if there are new findings of this severity or a worse one.",
    ),
) -> None:
    """Tell what a change means: what each key types now, what is lost and gained, what board and firmware must know.

    Exit 0, or 1 as --exit-code and --fail-on-new ask, or 2 for sides or layouts that cannot be read.
    """
    if schema:
        from matrixmap.form.comparison_schema import schema_text

        typer.echo(schema_text(), nl=False)
        return
    chosen = [choose_format(each, FORMATS) for each in dict.fromkeys(formats)]
    if len(chosen) > 1 and (out is None or out.is_file()):
        raise UsageError("several forms need a folder to write them to: --out DIR")
    if fail_on_new not in SEVERITIES:
        raise UsageError(f"there is no severity {fail_on_new!r} for --fail-on-new (choices: {', '.join(SEVERITIES)})")
    if root is not None and not root.is_dir():
        raise UsageError(f"there is no folder {root}")
    wanted = True if findings or fail_on_new != "none" else False if semver or chosen == ["notes"] else None
    with _opened(root or Path()) as sides:
        comparison = sides.compare(list(words or ()), base, wanted)
    if semver:
        typer.echo(_semver(comparison))
    else:
        _print(comparison, chosen, out, every, findings)
    raise typer.Exit(_exit_code(comparison, exit_code, fail_on_new))


def _semver(comparison: Comparison) -> str:
    from matrixmap.compare.gist import step_of
    from matrixmap.compare.sides.words import plain

    step, reason = step_of(comparison)
    return f"{step.word}: {plain(reason)}"


def _print(comparison: Comparison, formats: list[str], out: Path | None, every: bool, findings: bool) -> None:
    """Writes the requested forms: one to the terminal or a file, several each to its file in a folder."""
    from matrixmap.cli.files import write_all

    texts = {each: _formatted(comparison, each, every, findings) for each in formats}
    (first, text), *more = texts.items()
    if out is None:
        typer.echo(text.encode("utf-8") if first in ("json", "html") else text, nl=False)
    elif more or out.is_dir():
        write_all(out, {FILES[each]: text for each, text in texts.items()})
    else:
        write_all(out.parent, {out.name: text})


def _formatted(comparison: Comparison, format: str, every: bool, findings: bool) -> str:
    match format:
        case "markdown":
            from matrixmap.form.as_markdown import markdown_report

            return markdown_report(comparison, findings=findings)
        case "json":
            from matrixmap.form.as_json import json_report

            return json_report(comparison)
        case "html":
            from matrixmap.form.as_html import page_report

            return page_report(comparison)
        case "annotations":
            from matrixmap.form.as_annotations import annotation_report

            return annotation_report(comparison)
        case "notes":
            from matrixmap.form.as_notes import notes_report

            return notes_report(comparison)
    from matrixmap.form.as_text import text_report

    return "".join(f"{line}\n" for line in text_report(comparison, every, findings))


def _exit_code(comparison: Comparison, exit_code: bool, fail_on_new: str) -> int:
    from matrixmap.model.finding import Severity

    if comparison.unreadable:
        return 2
    if exit_code and comparison.breaking:
        return 1
    if fail_on_new != "none":
        severity = Severity(SEVERITIES[fail_on_new])
        return int(
            any(layout.findings is not None and layout.findings.has_new(severity) for layout in comparison.layouts)
        )
    return 0


@contextmanager
def _opened(root: Path) -> Iterator[_Sides]:
    from matrixmap.cli.judge.git import Repository

    with Repository(root) as repository:
        yield _Sides(root, repository)


class _Sides:
    """Makes the sides named by the words of a call."""

    def __init__(self, root: Path, repository: Repository) -> None:
        self.root = root
        self.repository = repository

    def compare(self, words: list[str], base: str | None, findings: bool | None) -> Comparison:
        """The comparison that a call requests."""
        from matrixmap.compare.comparison import compare_branches, compare_sides

        if base is not None:
            new = words.pop(0) if words and self._is_side(words[0]) else WORK_TREE
            common = self.repository.merge_base(base, self._branch(new))
            shown = f"{base} as of {common[:12]}"
            old, ours, theirs = self._revision(common, shown), self._side(new), self._side(base)
            old, theirs = map(_from_before_the_first, (old, theirs))
            self._check_layouts(words, old, ours, theirs)
            return compare_branches(old, ours, theirs, words, findings)
        if not words:
            raise UsageError("say what to compare with: a folder, a layout file or a git revision (HEAD, main, a tag)")
        old = _from_before_the_first(self._side(words.pop(0)))
        new_side = self._side(words.pop(0) if words and self._is_side(words[0]) else WORK_TREE)
        self._check_layouts(words, old, new_side)
        return compare_sides(old, new_side, words, findings)

    def _own_root(self) -> Path | None:
        return self.root if self.root != Path() else None

    def _branch(self, word: str) -> str:
        if word == WORK_TREE:
            return "HEAD"
        if _is_folder(word) or _is_file(word):
            raise UsageError(f"--base compares branches, but {word} is not a revision; name a revision or nothing")
        return word

    def _check_layouts(self, words: list[str], *sides: Side) -> None:
        from matrixmap.source.report import named, nearest

        for side in sides:
            if not side.own_ids() and not side.before_first:
                # Two sides without layouts would compare the shipped set with itself, always without a change.
                raise UsageError(
                    f"there are no layouts in {side.name}, so there is nothing to compare; a layout is a file in "
                    "layouts/"
                )
        known = sorted({id for side in sides for id in side.all_ids()})
        for word in words:
            if word not in known:
                raise UsageError(
                    f"{word!r} is neither a layout{nearest(word, known)} (layouts: {named(known)}) nor, after the "
                    "first word, a folder, a layout file or a revision"
                )

    def _is_side(self, word: str) -> bool:
        return _is_file(word) or _is_folder(word) or self._names_revision(word)

    def _names_revision(self, word: str) -> bool:
        try:
            return self.repository.find_commit(word) is not None
        except UsageError:  # outside a repository there are no revisions
            return False

    def _side(self, word: str) -> Side:
        from matrixmap.compare.side import Side

        if word == WORK_TREE:
            return Side("the current files", open_project(self._own_root()))
        if _is_file(word):
            return Side(word, open_project(_project_of(Path(word)) or self._own_root()), _read_file(word))
        if _is_folder(word):
            if "/" not in word and self._names_revision(word):
                raise UsageError(f"{word} is both a folder and a revision; write ./{word} or heads/{word}")
            return Side(word, open_project(Path(word)))
        try:
            commit = self.repository.commit(word)
        except UsageError as error:
            raise UsageError(f"{word!r} is not a folder, and not a revision: {error}") from error
        return self._revision(commit, word)

    def _revision(self, commit: str, name: str) -> Side:
        from matrixmap.check.registry import known_slugs
        from matrixmap.cli.judge.git import GitFolder
        from matrixmap.compare.side import Side
        from matrixmap.source.folder import shipped_folder
        from matrixmap.source.kinds.project import Project

        shipped = shipped_folder()
        folders: list[Folder] = [GitFolder(self.repository, name, commit)]
        if self.root.resolve() != shipped.root.resolve():
            folders.append(shipped)
        return Side(name, Project(folders, known_slugs()))


def _from_before_the_first(side: Side) -> Side:
    """A side to compare with; a revision without a folder layouts/ is from before the first layout.

    An empty or wrong folder of layouts has no layouts either, but is an error.
    """
    from dataclasses import replace

    from matrixmap.cli.judge.git import GitFolder

    folder = side.project.folders[0]
    if side.file is None and isinstance(folder, GitFolder) and not folder.has_folder("layout"):
        return replace(side, before_first=True)
    return side


def _project_of(path: Path) -> Path | None:
    """The project with a file in its layouts/: the file's bases, machine and host are found there."""
    if path.parent.name != "layouts":
        return None
    return path.parent.parent


def _is_folder(word: str) -> bool:
    return word != "" and Path(word).is_dir()


def _is_file(word: str) -> bool:
    return word.endswith((".yaml", ".yml"))


def _read_file(word: str) -> LayoutFile:
    """A layout file under the id inside it: a copy for a comparison may have any name."""
    from matrixmap.compare.side import LayoutFile

    data = read_named(word)
    found = re.search(rb"(?m)^layout[ \t]*:[ \t]*[\"']?([A-Za-z0-9-]+)", data)
    return LayoutFile(found[1].decode("ascii") if found else Path(word).stem, word, data)
