"""The report of a check as JSON, one finding a line; `report_schema` describes it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from matrixmap import __version__
from matrixmap.check.engine.playing import events_of
from matrixmap.check.run import Checked
from matrixmap.check.verdict import Practice, Verdict
from matrixmap.form.report import Result, Unread
from matrixmap.model.finding import Finding
from matrixmap.model.machine import Contact, Machine
from matrixmap.model.witness import Witness
from matrixmap.model.words import json_text, usage_name
from matrixmap.press.words import press_after_words

Json = dict[str, object]


def report_json(results: Iterable[Result]) -> Iterator[str]:
    """The report in pieces: every finding, whatever the number."""
    yield f'{{"tool": "matrixmap", "version": {_line(__version__)}, "layouts": ['
    before = ""
    for result in results:
        yield before + (_unread(result) if isinstance(result, Unread) else _checked(result))
        before = ","
    yield "]}"


def _line(value: object) -> str:
    return json_text(value, indent=None)


def _object(fields: Iterable[tuple[str, object]], findings: str, accepted: str) -> str:
    head = "".join(f"{_line(name)}: {_line(value)},\n" for name, value in fields)
    return f'{{{head}"findings": [{findings}],\n"accepted": [{accepted}]}}'


def _rows(rows: Iterable[Json]) -> str:
    return ",".join(f"\n{_line(row)}" for row in rows)


def _unread(unread: Unread) -> str:
    rows = _rows(finding_fields(finding, None) for finding in unread.findings)
    return _object([("layout", unread.name), ("read", False)], rows, "")


def _checked(checked: Checked) -> str:
    plan = checked.plan
    fields = [
        ("layout", plan.id),
        ("read", True),
        ("title", plan.layout.title),
        ("machine", plan.layout.machine.id),
        ("host", plan.layout.host.id),
        ("verdict", _verdict(checked)),
    ]
    reasons = {line.slug: line.reason for line in plan.layout.accept}
    findings = _rows(finding_fields(finding, checked) for finding in checked.findings)
    accepted = _rows(
        {**finding_fields(finding, checked), "reason": reasons[finding.slug]} for finding in checked.accepted
    )
    return _object(fields, findings, accepted)


def _verdict(checked: Checked) -> Json:
    verdict: Verdict = checked.verdict
    tally = verdict.tally
    # With the guard on none is left closed whole; without it the order of the presses decides.
    guarded = 0 if verdict.guard else None
    return {
        "unreachable": {
            "keys": list(verdict.keys),
            "characters": list(verdict.characters),
            "functions": list(verdict.functions),
        },
        "stand_in": {
            "host": verdict.stand_in,
            "keys": [{"key": key.key, "types": list(key.types)} for key in verdict.stood_in],
        },
        "guard": verdict.guard,
        "rollover": verdict.rollover,
        "strokes": {"all": tally.strokes, "bare": tally.lying_strokes, "refused": tally.refused_strokes},
        "held": {"all": tally.held, "bare": tally.lying_held, "lost": tally.lost_held},
        "pairs": {"all": tally.pairs, "bare": tally.lying_pairs, "guarded": guarded},
        "triples": {
            "all": tally.triples,
            "bare": tally.lying_triples,
            "guarded": guarded,
        },
        "overlaps": {
            "by_held": [
                {"held": row.held or None, "all": row.pairs, "bare": row.lying} for row in verdict.overlaps.by_held
            ],
            "all": verdict.overlaps.pairs,
            "bare": verdict.overlaps.lying,
        },
        "one_side": [{"types": text, "press": way} for text, way in verdict.one_side],
        "modifiers": [
            {"press": held.press, "strokes": held.strokes, "bare": held.lying, "alone": held.lies_alone}
            for held in verdict.modifiers
        ],
        "practice": [_practice(checked, practice) for practice in verdict.practice],
    }


def _practice(checked: Checked, practice: Practice) -> Json:
    return {
        "family": practice.family,
        "press": practice.press,
        "reads": practice.reads,
        "kept": list(practice.kept),
        "refused": list(practice.refused),
        "witness": witness_fields(checked, practice.witness),
    }


def finding_fields(finding: Finding, checked: Checked | None) -> Json:
    """A finding as the schema has it; `checked` is what it belongs to, None for a finding of reading."""
    place = finding.place
    fields: Json = {
        "slug": finding.slug,
        "severity": finding.severity.word,
        "file": place.file if place else None,
        "line": place.line if place else None,
        "column": place.column if place else None,
        "text": finding.text,
        "count": finding.count,
    }
    if finding.witness and finding.witness.made and checked:
        fields["witness"] = witness_fields(checked, finding.witness)
    return fields


def witness_fields(checked: Checked, witness: Witness) -> Json:
    """A witness by the names that a person uses."""
    machine, host = checked.plan.layout.machine, checked.plan.layout.host
    return {
        "events": [
            f"{'down' if event.down else 'up'} {usage_name(event.usage)}" for event in events_of(checked.plan, witness)
        ],
        "printed": [press_after_words(host, way) for way in witness.presses],
        "switches": [list(switch) for switch in witness.switches],
        "closed": _contacts(machine, witness.closed),
        "phantoms": _contacts(machine, witness.phantoms),
        "unseen": _contacts(machine, witness.unseen),
    }


def _contacts(machine: Machine, contacts: Iterable[Contact]) -> list[str]:
    return [machine.contact_name(contact) for contact in contacts]
