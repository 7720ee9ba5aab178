"""`matrixmap check`, `rules` and `explain`: exit codes, choices, and what goes wrong with arguments and files."""

import json
import os
import subprocess
import sys

import pytest

from matrixmap.board.rules.run import BOARD_RULES
from matrixmap.check.registry import CHECK_RULES, all_rules, known_slugs
from matrixmap.form.parts.report import COMBINATION
from matrixmap.form.rules_page import rules_page
from matrixmap.margins.rules import MARGIN_RULES
from matrixmap.source.rules import READING_RULES
from tests.check.cases import load_case
from tests.project import ROOT, RUN, call, write_project
from tests.shipped import OTHERS

HOST = """\
host: few
title: A host with few keys
source: invented for this test
form: ansi-104
legends:
  KeyA: [a, A]
  KeyB: [b, B]
  F9: [F9]
"""


def layout(id: str, *lines: str) -> str:
    return "\n".join([f"layout: {id}", "machine: quillon8", "host: few", "join: positional", *lines, ""])


@pytest.fixture
def project(tmp_path):
    """A folder with a layout that has an error, one that has warnings at most, one that accepts, one that is broken."""
    return write_project(
        tmp_path,
        {
            "shared/hosts/few.yaml": HOST,
            "layouts/lying.yaml": layout("lying", "keys: {F9: q + o + a}"),
            "layouts/fair.yaml": layout(
                "fair", "keys: {KeyA: a, KeyB: b, ShiftLeft: shift-left, ShiftRight: shift-left}"
            ),
            "layouts/accepting.yaml": layout(
                "accepting",
                "accept:",
                *(
                    f"  {slug}: meant so"
                    for slug in (
                        "controller-makes-phantom",
                        "dead-basic-key",
                        "stroke-exceeds-rollover",
                        "stroke-makes-phantom",
                        "unreachable-key",
                        "unreachable-direct-line",
                        "unreachable-character",
                        "unreachable-function",
                    )
                ),
                "keys: {F9: q + o + a}",
            ),
            "layouts/broken.yaml": layout("broken", "keys: {F9: dl}"),
        },
    )


def run(project, *words):
    return call("check", *words, "--root", project)


def findings(done, number=0):
    return json.loads(done.stdout)["layouts"][number]["findings"]


def test_exit_codes_follow_the_severity(project):
    """0 clean, 1 findings at or above --fail-on, 2 unusable input; the default is to fail on errors."""
    assert run(project, "fair").returncode == 0
    assert run(project, "fair", "--fail-on", "warning").returncode == 1
    assert run(project, "lying").returncode == 1
    assert run(project, "lying", "--fail-on", "none").returncode == 0
    assert run(project, "broken").returncode == 2
    assert run(project, "broken", "--fail-on", "none").returncode == 2


def test_an_accepted_finding_does_not_fail(project):
    """What a layout accepts with a reason counts for no exit code, and is listed with the reason."""
    done = run(project, "accepting", "--fail-on", "warning")
    assert done.returncode == 0, done.stdout
    assert "stroke-makes-phantom (meant so)" in done.stdout


def test_only_and_without_take_whole_slugs(project):
    """--only leaves these rules only, --without all but these, and exit codes follow."""
    done = run(project, "lying", "--format", "json", "--only", "stroke-makes-phantom,unreachable-key")
    assert {finding["slug"] for finding in findings(done)} == {"stroke-makes-phantom", "unreachable-key"}
    assert done.returncode == 1
    done = run(
        project, "lying", "--without", "stroke-makes-phantom", "--without", "stroke-exceeds-rollover,dead-basic-key"
    )
    assert done.returncode == 0
    assert "error:" not in done.stdout


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--only", "stroke-make-phantom"), "stroke-makes-phantom"),
        (("--without", "unreachable-keys"), "did you mean unreachable-key?"),
        (("--fail-on", "fatal"), "error, warning, none"),
        (("--format", "xml"), "text, json, sarif, markdown, annotations"),
        (("no-such-layout",), "no layout"),
        (("no-such-file.yaml",), "cannot read"),
    ],
)
def test_bad_arguments_end_with_2_and_a_sentence(project, words, said):
    """An unknown slug, severity, form, layout or file is a usage error that names what there is."""
    done = run(project, *words)
    assert done.returncode == 2
    assert said in done.stderr
    assert "Traceback" not in done.stderr
    assert done.stdout == ""


def test_an_unknown_slug_in_accept_is_a_finding_of_reading(tmp_path):
    """An acceptance of a rule that does not exist is named with the nearest one, and the layout is not checked."""
    write_project(
        tmp_path,
        {"shared/hosts/few.yaml": HOST, "layouts/x.yaml": layout("x", "accept: {guard-off: games}", "keys: {KeyA: a}")},
    )
    done = call("check", "x", "--root", tmp_path)
    assert done.returncode == 2
    assert "guard-is-off" in done.stdout


@pytest.mark.parametrize("form", ["text", "json", "sarif", "markdown", "annotations"])
def test_a_layout_that_cannot_be_read_reports_that_alone(project, form):
    """A layout with a fault in its file has its reading findings in every form, and none of checking; others are checked."""
    done = run(project, "broken", "fair", "--format", form)
    assert done.returncode == 2
    assert "unknown-key" in done.stdout
    assert "Traceback" not in done.stderr
    if form == "json":
        first, second = json.loads(done.stdout)["layouts"]
        assert (first["read"], second["read"]) == (False, True)
        assert {finding["slug"] for finding in first["findings"]} == {"unknown-key"}


def test_a_pipe_closed_early_ends_quietly():
    """Whoever reads the report may stop: no traceback, no complaint."""
    command = [sys.executable, "-c", RUN, "check", "quillon8-en-US-positional", "--all"]
    env = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "utf-8"}
    with subprocess.Popen(command, cwd=ROOT, env=env, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdout.read(100)
        process.stdout.close()
        complaint = process.stderr.read().decode()
        assert process.wait(timeout=60) == 0
    assert complaint == ""


def test_output_is_the_same_on_every_run(project):
    """Two processes with different hash seeds print the same bytes."""
    outs = []
    for seed in ("1", "2"):
        command = [sys.executable, "-c", RUN, "check", "quillon8-fr-FR-symbolic", "--format", "json"]
        env = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONHASHSEED": seed, "PYTHONIOENCODING": "utf-8"}
        outs.append(subprocess.run(command, cwd=ROOT, env=env, capture_output=True, check=False).stdout)
    assert outs[0] == outs[1] != b""


def test_rules_lists_every_rule():
    """`rules` has a line a rule; as JSON all fields of the records."""
    text = call("rules")
    assert [line.split()[0] for line in text.stdout.splitlines()] == sorted(known_slugs())
    rows = json.loads(call("rules", "--format", "json").stdout)["rules"]
    assert [row["slug"] for row in rows] == sorted(known_slugs())
    assert all(row["purpose"] and row["explanation"] and row["good"] for row in rows)


def test_explain_prints_a_rule_in_full():
    """`explain` prints severity, purpose, explanation and both examples, and as JSON the same."""
    for rule in all_rules():
        done = call("explain", rule.slug)
        assert done.returncode == 0
        for part in (rule.severity.word, rule.purpose, rule.explanation):
            assert part in done.stdout
        for line in (rule.bad + "\n" + rule.good).splitlines():
            assert line in done.stdout
    row = json.loads(call("explain", "guard-is-off", "--format", "json").stdout)
    assert row["slug"] == "guard-is-off"
    assert row["severity"] == "warning"


def test_explain_names_the_nearest_slug():
    """A misspelt slug ends with 2 and the nearest right one."""
    done = call("explain", "gard-is-off")
    assert done.returncode == 2
    assert "did you mean guard-is-off?" in done.stderr


def test_the_page_of_rules_is_fresh():
    """docs/rules.md is what `matrixmap rules --format markdown` prints."""
    boards = (*BOARD_RULES, *MARGIN_RULES)
    others = (*READING_RULES, *boards)
    page = rules_page(READING_RULES, [rule for rule in all_rules() if rule not in others], boards)
    assert (ROOT / "docs" / "rules.md").read_text(encoding="utf-8") == page + "\n"
    assert call("rules", "--format", "markdown").stdout == page + "\n"


def test_records_are_complete_and_slugs_are_claims():
    """Each record has all its texts; slugs are kebab-case, unique, and of several words."""
    slugs = [rule.slug for rule in all_rules()]
    assert len(slugs) == len(set(slugs))
    for rule in CHECK_RULES:
        assert rule.slug == rule.slug.lower()
        assert "-" in rule.slug
        assert rule.purpose.endswith(".")
        assert rule.explanation.endswith(".")
        assert "\n" not in rule.purpose


def test_the_schema_can_be_printed():
    """`check --schema` prints the JSON Schema of the JSON form."""
    done = call("check", "--schema")
    assert done.returncode == 0
    assert json.loads(done.stdout)["$schema"] == "https://json-schema.org/draft/2020-12/schema"


def test_shipped_layouts_have_no_errors(project):
    """Layouts of every kind that ship check without an error."""
    ids = ["quillon8-de-DE-positional", "quillon8-en-US-symbolic", "quillon8-ja-JP-symbolic", "quillon8-he-IL-symbolic"]
    done = call("check", *ids, *OTHERS)
    assert done.returncode == 0, [line for line in done.stdout.splitlines() if line.startswith("error")]
    assert load_case("guard-is-off").slug in known_slugs()


def test_the_docs_say_what_a_combination_is_in_the_same_words():
    """The sentence of the report on combinations stands in docs/check.md, and in each whole report."""
    assert COMBINATION in (ROOT / "docs" / "check.md").read_text(encoding="utf-8")
    assert COMBINATION in " ".join(call("check", "langet41-de-DE-symbolic", "--all").stdout.split())
