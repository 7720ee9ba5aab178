"""The report of a check as SARIF 2.1.0 (OASIS, Static Analysis Results Interchange Format), one run a layout."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from urllib.parse import quote

from matrixmap import __version__
from matrixmap.check.registry import all_rules
from matrixmap.form.report import Result, Unread
from matrixmap.model.finding import Finding, Severity
from matrixmap.model.place import Place
from matrixmap.model.rule import Rule
from matrixmap.model.words import json_text, shown

Json = dict[str, object]

SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
LEVELS = {Severity.ERROR: "error", Severity.WARNING: "warning", Severity.NOTE: "note"}
SHIPPED = "shipped:"


def report_sarif(results: Iterable[Result]) -> Iterator[str]:
    """The log in pieces: every finding; those that a layout accepts are suppressed with their reason."""
    yield f'{{"$schema": {json_text(SCHEMA)}, "version": "2.1.0", "runs": ['
    before = ""
    for result in results:
        if isinstance(result, Unread):
            run = _run(result.name, result.findings, (), {})
        else:
            reasons = {line.slug: line.reason for line in result.plan.layout.accept}
            run = _run(result.plan.id, result.findings, result.accepted, reasons)
        yield before + json_text(run, indent=None)
        before = ","
    yield "]}"


def _run(name: str, findings: Iterable[Finding], accepted: Iterable[Finding], reasons: dict[str, str]) -> Json:
    open_ones, closed_ones = tuple(findings), tuple(accepted)
    used = {finding.slug for finding in (*open_ones, *closed_ones)}
    rules = [rule for rule in all_rules() if rule.slug in used]
    index = {rule.slug: number for number, rule in enumerate(rules)}
    results = [_result(finding, index) for finding in open_ones]
    results += [
        {
            **_result(finding, index),
            "suppressions": [{"kind": "inSource", "justification": shown(reasons[finding.slug])}],
        }
        for finding in closed_ones
    ]
    driver: Json = {"name": "matrixmap", "version": __version__, "rules": [_rule(rule) for rule in rules]}
    return {
        "tool": {"driver": driver},
        "automationDetails": {"id": f"matrixmap/{shown(name)}"},
        "columnKind": "unicodeCodePoints",
        "results": results,
    }


def _rule(rule: Rule) -> Json:
    return {
        "id": rule.slug,
        "shortDescription": {"text": rule.purpose},
        "fullDescription": {"text": rule.explanation},
        "help": {"text": f"{rule.explanation}\n\nBad:\n{rule.bad}\n\nGood:\n{rule.good}"},
        "defaultConfiguration": {"level": LEVELS[rule.severity]},
    }


def _result(finding: Finding, index: dict[str, int]) -> Json:
    result: Json = {
        "ruleId": finding.slug,
        "ruleIndex": index[finding.slug],
        "level": LEVELS[finding.severity],
        "message": {"text": shown(finding.text)},
    }
    if finding.place:
        result["locations"] = [{"physicalLocation": _location(finding.place)}]
    if finding.count > 1:
        result["occurrenceCount"] = finding.count
    return result


def _location(place: Place) -> Json:
    """A place; files that ship with the tool stand below a base of their own."""
    name = place.file
    artifact: Json = {"uri": quote(name.removeprefix(SHIPPED))}
    if name.startswith(SHIPPED):
        artifact["uriBaseId"] = "SHIPPED"
    return {"artifactLocation": artifact, "region": {"startLine": place.line, "startColumn": place.column}}
