"""A comparison as JSON. `matrixmap.form.comparison_schema` describes the form."""

from __future__ import annotations

from collections.abc import Iterable

from matrixmap.compare.comparison import Comparison, LooseFile
from matrixmap.compare.items.findings import FindingChanges
from matrixmap.compare.items.item import Item
from matrixmap.compare.items.presses import PressChange
from matrixmap.compare.layouts import LayoutComparison
from matrixmap.compare.sides.changes import ABSENT, Absent, Changes, value_order
from matrixmap.compare.sides.facts import Fact, Name, Value
from matrixmap.compare.sides.outcomes import Outcome
from matrixmap.compare.sides.words import plain
from matrixmap.compare.threeway import Clash
from matrixmap.form.comparison import headline
from matrixmap.model.finding import Finding
from matrixmap.model.words import json_text, trigger_name, usage_name

VERSION = 1
"""Goes up when a program that reads the form would have to change."""

Document = dict[str, object]


def json_report(comparison: Comparison) -> str:
    """The comparison as JSON text."""
    return json_text(comparison_document(comparison)) + "\n"


def comparison_document(comparison: Comparison) -> Document:
    """The comparison as values that JSON has."""
    return {
        "version": VERSION,
        "old": comparison.old,
        "new": comparison.new,
        "theirs": comparison.theirs,
        "headline": headline(comparison),
        "breaking": comparison.breaking,
        "layouts": [_layout(layout) for layout in comparison.layouts],
        "loose": [_loose(file) for file in comparison.loose],
        "clashes": [_clash(clash) for clash in comparison.clashes],
    }


def _layout(layout: LayoutComparison) -> Document:
    code = layout.code
    return {
        "layout": layout.id,
        "old_layout": layout.old_id,
        "status": layout.status.value,
        "breaking": layout.breaking,
        "files": list(layout.files),
        "reach": {"before": layout.reach[0], "after": layout.reach[1]},
        "lost": list(layout.lost),
        "gained": list(layout.gained),
        "items": [_item(item) for item in layout.items],
        "presses": [_press(change) for change in layout.presses],
        "changes": changes_document(layout.changes),
        "sibling": layout.sibling,
        "findings": _findings(layout.findings),
        "code": None
        if code is None
        else {
            "old_bytes": code.old_bytes,
            "new_bytes": code.new_bytes,
            "lines": list(code.lines),
            "fault": code.fault,
        },
        "old_faults": [_finding(finding) for finding in layout.old_faults],
        "new_faults": [_finding(finding) for finding in layout.new_faults],
    }


def _item(item: Item) -> Document:
    return {
        "part": item.part.value,
        "section": item.section.value,
        "breaking": item.breaking,
        "text": plain(item.words),
        "file": item.place.file if item.place else None,
        "line": item.place.line if item.place else None,
        "facts": [fact_value(fact) for fact in sorted(item.facts, key=value_order)],
    }


def _press(change: PressChange) -> Document:
    last = change.presses[0][-1]
    return {
        "triggers": [[trigger_name(press.trigger) for press in way] for way in change.presses],
        "hold": [usage_name(usage) for usage in last.hold if usage not in last.either],
        "on": [usage_name(usage) for usage in last.on],
        "kind": change.kind,
        "breaking": change.breaking,
        "before": _outcome(change.before),
        "after": _outcome(change.after),
        "accent": change.accent,
    }


def _outcome(outcome: Outcome) -> Document:
    cause = outcome.cause.value if outcome.cause else None
    return {
        "does": outcome.does.value,
        "text": outcome.text,
        "also": list(outcome.also),
        "cause": cause,
        "waiting": outcome.waiting,
    }


def changes_document(changes: Changes) -> Document:
    """Changes as JSON values: first the names to replace in the old facts, then the facts to set or take out."""
    facts = []
    for change in changes.facts:
        values = {
            side: fact_value(value) for side, value in (("old", change.old), ("new", change.new)) if value is not ABSENT
        }
        facts.append({"fact": fact_value(change.fact), **values})
    renames = [{"kind": old.kind, "old": old.text, "new": new.text} for old, new in changes.renames]
    return {"renames": renames, "facts": facts}


def fact_value(value: Value | Absent | Fact) -> object:
    """A value as JSON: names are texts, lists and sets lists."""
    if isinstance(value, Name):
        return value.text
    if isinstance(value, frozenset):
        return [fact_value(part) for part in sorted(value, key=value_order)]
    if isinstance(value, tuple):
        return [fact_value(part) for part in value]
    return None if value is ABSENT else value


def _findings(changes: FindingChanges) -> Document:
    def pairs(some: Iterable[tuple[Finding, Finding]]) -> list[Document]:
        return [{"before": _finding(before), "after": _finding(after)} for before, after in some]

    return {
        "new": [_finding(finding) for finding in changes.new],
        "gone": [_finding(finding) for finding in changes.gone],
        "grown": pairs(changes.grown),
        "shrunk": pairs(changes.shrunk),
        "accepted": [_finding(finding) for finding in changes.accepted],
        "exposed": [_finding(finding) for finding in changes.exposed],
        "unchanged": changes.unchanged,
    }


def _finding(finding: Finding) -> Document:
    place = finding.place
    return {
        "slug": finding.slug,
        "severity": finding.severity.word,
        "file": place.file if place else None,
        "line": place.line if place else None,
        "column": place.column if place else None,
        "text": finding.text,
        "count": finding.count,
    }


def _loose(file: LooseFile) -> Document:
    return {"file": file.name, "change": file.change, "findings": [_finding(finding) for finding in file.findings]}


def _clash(clash: Clash) -> Document:
    return {
        "layout": clash.layout,
        "fact": fact_value(clash.fact),
        "subject": plain(clash.subject),
        "before": plain(clash.base),
        "here": plain(clash.ours),
        "there": plain(clash.theirs),
    }
