"""Nasty text in the files of a project, through the real command and out of it in each form: shown, and never obeyed."""

from __future__ import annotations

import json
import re
from itertools import product

import pytest

from matrixmap.model.words import shown
from tests.nasty import quoted
from tests.project import call, write_project
from tests.shipped import some_of

NASTY = {
    "markup": "[red]x[/]",
    "html": "<img src=x onerror=1>",
    "command": "::error::x",
    "newline": "one\n::error::two",
    "bar": "a|b",
    "escape": "\x1b[31mred",
}

MACHINE = """machine: nasty
title: {machine_title}
source: {machine_source}
matrix:
  select: [S0, {line}]
  sense: [N0, N1]
  grid:
    S0: [{key}, b]
    {line}: [shift-left, c]
direct: {{hail: HAIL}}
modifiers: {{shift: [shift-left]}}
controllers: {{{controller}: {{{switch}: N0}}}}
types:
  {key}: {{plain: {legend}, shift: A}}
  b: {{plain: {function}}}
  c: {{plain: c}}
scan: {{period_us: 20000}}
"""
HOST = """host: nasty
title: {host_title}
source: {host_source}
form: ansi-104
legends:
  KeyA: [{host_legend}, A]
  KeyB: [{host_function}, B]
  KeyC: [c, C]
  F9: [F9]
"""
LAYOUT = """layout: nasty
title: {layout_title}
machine: nasty
host: nasty
join: positional
guard: off
accept: {{guard-is-off: {reason}}}
keys: {{KeyA: {key}, KeyB: b, KeyC: c + a + b, ShiftLeft: shift-left}}
"""
# What the files say where nothing nasty stands, and whether any text may stand there.
FREE = ("machine_title", "machine_source", "host_title", "host_source", "layout_title", "reason")
PLAIN = {
    "machine_title": "A machine",
    "machine_source": "to be filled in",
    "line": "S1",
    "key": "a",
    "controller": "stick",
    "switch": "Fire",
    "legend": "a",
    "function": "U1",
    "host_title": "A host",
    "host_source": "made for this test",
    "host_legend": "a",
    "host_function": "b",
    "layout_title": "A layout",
    "reason": "meant so",
}
NAMES = tuple(slot for slot in PLAIN if slot not in FREE)
FORMS = ("text", "json", "sarif", "markdown", "annotations")


CONTROL = re.compile(r"[\x00-\x09\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]")


def run(tmp_path, slot, text, form, **env):
    """`matrixmap check` on a project with a text in one place."""
    fields = PLAIN | {slot: quoted(text)}
    write_project(
        tmp_path,
        {
            "shared/machines/nasty.yaml": MACHINE.format(**fields),
            "shared/hosts/nasty.yaml": HOST.format(**fields),
            "layouts/nasty.yaml": LAYOUT.format(**fields),
        },
    )
    return call("check", "nasty", "--root", tmp_path, "--all", "--format", form, env=env)


def check_text(out: str) -> None:
    """Nothing that a terminal obeys."""
    assert not CONTROL.search(out)


def check_json(out: str) -> None:
    """JSON, with every control character escaped."""
    check_text(out)
    assert json.loads(out)["layouts"]


def check_sarif(out: str) -> None:
    """JSON, with every control character escaped."""
    check_text(out)
    assert json.loads(out)["runs"]


def check_markdown(out: str) -> None:
    """No mark of the text's own, HTML included."""
    check_text(out)
    ours = re.sub(r"</?(details|summary)>|`nasty`", "", out)
    ours = re.sub(r"^#+ |^ *- (\*\*[A-Z][a-z ]+\*\*: )?", "", ours, flags=re.MULTILINE)
    assert not re.search(r"(?<!\\)[<>|*_`~&$]", ours), ours
    assert not re.search(r"(?<!\\)\[[^\]]*(?<!\\)\][(\[]", ours), ours


def check_annotations(out: str) -> None:
    """Each command is one of ours, and no other line begins one."""
    check_text(out)
    for line in out.splitlines():
        if "::" in line:
            assert re.match(r"::(error|warning|notice) file=[^,:]+,line=\d+,col=\d+,title=[a-z0-9-]+::\S", line), line


CHECKS = {
    "text": check_text,
    "json": check_json,
    "sarif": check_sarif,
    "markdown": check_markdown,
    "annotations": check_annotations,
}


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize(("slot", "kind"), some_of(product(FREE, NASTY), "free", 6))
def test_a_nasty_text_in_a_title_or_reason_is_escaped(tmp_path, slot, kind, form):
    """Titles, sources and reasons take any text; each form shows it in one line, and as it was where it has a field for it."""
    done = run(tmp_path, slot, NASTY[kind], form)
    assert done.returncode == 1, done.stdout
    CHECKS[form](done.stdout)
    plain = run(tmp_path, slot, "plain", form)
    assert len(done.stdout.splitlines()) == len(plain.stdout.splitlines())
    if form == "json":
        layout = json.loads(done.stdout)["layouts"][0]
        said = {"layout_title": layout["title"], "reason": layout["accepted"][0]["reason"]}
        assert said.get(slot, NASTY[kind]) == NASTY[kind]
    if form == "text" and slot in ("layout_title", "reason"):
        assert shown(NASTY[kind]) in done.stdout


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize(("slot", "kind"), some_of(product(NAMES, NASTY), "terms", 6))
def test_a_nasty_name_is_refused_and_escaped(tmp_path, slot, kind, form):
    """Names and legends take no such text: the finding says so and quotes it, in each form as it must."""
    done = run(tmp_path, slot, NASTY[kind], form)
    assert done.returncode == 2, done.stdout
    CHECKS[form](done.stdout)
    assert re.search("bad-name|bad-legend|bad\\\\-name|bad\\\\-legend", done.stdout)
    if form in ("json", "text"):
        quote = repr(NASTY[kind])[1:-1]
        assert (quote if form == "text" else json.dumps(quote)[1:-1]) in done.stdout


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize("legend", some_of([*"|<>[]&`*_$~:%\\#", "\u0085", "\x1b", "\n", "\u202e"], "signs", 2))
def test_a_nasty_legend_is_escaped_or_refused(tmp_path, legend, form):
    """A single sign is a legend like others and shown where findings name it; one that prints nothing is refused."""
    done = run(tmp_path, "host_legend", legend, form)
    assert done.returncode == (1 if legend.isprintable() else 2), done.stdout
    CHECKS[form](done.stdout)
    if form == "json":
        slugs = {finding["slug"] for finding in json.loads(done.stdout)["layouts"][0]["findings"]}
        assert legend.isprintable() or "unprintable-legend" in slugs
        assert not legend.isprintable() or f"press {legend} and B" in done.stdout.replace("\\\\", "\\")


@pytest.mark.parametrize("kind", NASTY)
@pytest.mark.parametrize("settings", [{"NO_COLOR": "1"}, {"FORCE_COLOR": "1"}, {"CLICOLOR_FORCE": "1"}])
def test_the_text_report_is_the_same_with_and_without_colour(tmp_path, kind, settings):
    """No setting of colours makes the report obey a text, or colour it."""
    done = run(tmp_path, "layout_title", NASTY[kind], "text", **settings)
    assert done.stdout == run(tmp_path, "layout_title", NASTY[kind], "text").stdout
    check_text(done.stdout)
