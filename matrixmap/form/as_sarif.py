"""The report of a check as SARIF 2.1.0 (OASIS, Static Analysis Results Interchange Format), one run for all layouts."""

from __future__ import annotations

from collections.abc import Iterable
from hashlib import sha256
from urllib.parse import quote

from matrixmap import __version__
from matrixmap.check.registry import all_rules
from matrixmap.form.parts.report import Cause, Told, causes
from matrixmap.model.finding import Finding, Severity
from matrixmap.model.place import Place
from matrixmap.model.rule import Rule
from matrixmap.model.words import json_text, shown

Json = dict[str, object]

SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
LEVELS = {Severity.ERROR: "error", Severity.WARNING: "warning", Severity.NOTE: "note"}
SHIPPED = "shipped:"


FINGERPRINT = "matrixmapCause/v1"


def sarif_log(told: Iterable[Told]) -> str:
    """The log of what was found on some layouts."""
    found = causes(told)
    used = {cause.finding.slug for cause in found}
    rules = [rule for rule in all_rules() if rule.slug in used]
    index = {rule.slug: number for number, rule in enumerate(rules)}
    driver: Json = {"name": "matrixmap", "version": __version__, "rules": [_rule(rule) for rule in rules]}
    run: Json = {
        "tool": {"driver": driver},
        "automationDetails": {"id": "matrixmap/check"},
        "columnKind": "unicodeCodePoints",
        "results": [_result(cause, index) for cause in found],
    }
    return json_text({"$schema": SCHEMA, "version": "2.1.0", "runs": [run]}, indent=None)


def _rule(rule: Rule) -> Json:
    return {
        "id": rule.slug,
        "shortDescription": {"text": rule.purpose},
        "fullDescription": {"text": rule.explanation},
        "help": {"text": f"{rule.explanation}\n\nBad:\n{rule.bad}\n\nGood:\n{rule.good}"},
        "defaultConfiguration": {"level": LEVELS[rule.severity]},
    }


def _result(cause: Cause, index: dict[str, int]) -> Json:
    finding = cause.finding
    result: Json = {
        "ruleId": finding.slug,
        "ruleIndex": index[finding.slug],
        "level": LEVELS[finding.severity],
        "message": {"text": shown(cause.words)},
        "partialFingerprints": {FINGERPRINT: _fingerprint(finding)},
    }
    if finding.place:
        result["locations"] = [{"physicalLocation": _location(finding.place)}]
    if cause.cases > 1:
        result["occurrenceCount"] = cause.cases
    if cause.reason is not None:
        result["suppressions"] = [{"kind": "inSource", "justification": shown(cause.reason)}]
    return result


def _fingerprint(finding: Finding) -> str:
    """A fingerprint that stays the same when the line of a finding moves: made of the rule, the file and the text."""
    file = finding.place.file if finding.place else ""
    return sha256("\0".join((finding.slug, file, finding.text)).encode("utf-8", "surrogatepass")).hexdigest()[:32]


def _location(place: Place) -> Json:
    """A place; files that ship with the tool have a separate base."""
    name = place.file
    artifact: Json = {"uri": quote(name.removeprefix(SHIPPED))}
    if name.startswith(SHIPPED):
        artifact["uriBaseId"] = "SHIPPED"
    return {"artifactLocation": artifact, "region": {"startLine": place.line, "startColumn": place.column}}
