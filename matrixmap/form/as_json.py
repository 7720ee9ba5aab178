"""Findings and changes as JSON; `schemas` describes both."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from matrixmap import __version__
from matrixmap.check.engine.playing import events_of
from matrixmap.check.machine import MachineChecked
from matrixmap.check.run import Checked
from matrixmap.check.verdict import Practice, Verdict
from matrixmap.compare.comparison import Comparison, LooseFile
from matrixmap.compare.firmware import Firmware
from matrixmap.compare.gist import step_of
from matrixmap.compare.items.findings import FindingChanges
from matrixmap.compare.items.item import Proof
from matrixmap.compare.items.presses import PressChange
from matrixmap.compare.layouts import LayoutComparison
from matrixmap.compare.once import ClashNews, News, clash_news
from matrixmap.compare.sides.changes import ABSENT, Absent, Changes, value_order
from matrixmap.compare.sides.facts import Fact, Name, Value
from matrixmap.compare.sides.outcomes import Outcome
from matrixmap.compare.sides.words import plain
from matrixmap.form.comparison import headline
from matrixmap.form.parts.report import Result, Unread, placed
from matrixmap.model.finding import Finding
from matrixmap.model.machine import Contact, Machine
from matrixmap.model.witness import Witness
from matrixmap.model.words import json_text, trigger_name, usage_name
from matrixmap.press.table.format import TABLE_VERSION
from matrixmap.press.words import press_after_words

Json = dict[str, object]


def check_json(layouts: Iterable[str], machines: Iterable[str] = ()) -> Iterator[str]:
    """The report in pieces, of layouts and machines that are JSON already."""
    yield f'{{"tool": "matrixmap", "version": {_line(__version__)}, "layouts": ['
    yield from _with_commas(layouts)
    yield '], "machines": ['
    yield from _with_commas(machines)
    yield "]}"


def _with_commas(pieces: Iterable[str]) -> Iterator[str]:
    before = ""
    for piece in pieces:
        yield before + piece
        before = ","


def layout_json(result: Result) -> str:
    """The result for one layout."""
    return _unread(result) if isinstance(result, Unread) else _checked(result)


def machine_json(checked: MachineChecked) -> str:
    """The findings on one machine."""
    conflicts = checked.conflicts
    fields = [
        ("machine", checked.machine.id),
        ("title", checked.machine.title),
        ("contacts", conflicts.how.value),
        (
            "conflicts",
            {
                "by_keys": [len(sets) for sets in conflicts.by_keys],
                "without_key": len(conflicts.without_key),
                "masks": len(conflicts.masks),
                "pulls": len(conflicts.pulls),
            },
        ),
    ]
    head = "".join(f"{_line(name)}: {_line(value)},\n" for name, value in fields)
    rows = _rows(finding_fields(finding) for finding in checked.findings)
    return f'{{{head}"findings": [{rows}]}}'


def _line(value: object) -> str:
    return json_text(value, indent=None)


def _object(fields: Iterable[tuple[str, object]], findings: str, accepted: str) -> str:
    head = "".join(f"{_line(name)}: {_line(value)},\n" for name, value in fields)
    return f'{{{head}"findings": [{findings}],\n"accepted": [{accepted}]}}'


def _rows(rows: Iterable[Json]) -> str:
    return ",".join(f"\n{_line(row)}" for row in rows)


def _unread(unread: Unread) -> str:
    rows = _rows(finding_fields(finding) for finding in unread.findings)
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
    # With the guard on, none is left closed whole; without it, the order of the presses decides.
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
        "pace": verdict.pace._asdict(),
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
        "printed": {
            "right": verdict.printed.right,
            "differs": [
                {"press": each.press, "prints": each.prints, "does": each.does} for each in verdict.printed.differs
            ],
            "lacking": list(verdict.printed.lacking),
        },
        "basic_keys": {"all": verdict.basic, "dead": list(verdict.dead_basic)},
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


def finding_fields(finding: Finding, checked: Checked | None = None) -> Json:
    """A finding as in the schema. `checked` is the check that it belongs to; without it, the witness is left out."""
    fields: Json = {**placed(finding), "count": finding.count}
    if finding.witness and finding.witness.made and checked:
        fields["witness"] = witness_fields(checked, finding.witness)
    return fields


def witness_fields(checked: Checked, witness: Witness) -> Json:
    """A witness with the names that a person uses."""
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


VERSION = 2
"""Increased when a program that reads the form would have to change."""


def json_report(comparison: Comparison) -> str:
    """The comparison as JSON text."""
    return json_text(comparison_document(comparison)) + "\n"


def comparison_document(comparison: Comparison) -> Json:
    """The comparison as JSON values."""
    step, reason = step_of(comparison)
    return {
        "version": VERSION,
        "old": comparison.old,
        "new": comparison.new,
        "theirs": comparison.theirs,
        "headline": headline(comparison),
        "breaking": comparison.breaking,
        "release": {"step": step.word, "reason": plain(reason)},
        "news": [_news(news) for news in comparison.news],
        "firmware": _firmware(comparison.firmware),
        "layouts": [_layout(layout) for layout in comparison.layouts],
        "taken": [{"file": file.name, "old": file.old, "new": file.new} for file in comparison.taken],
        "not_read": list(comparison.misnamed),
        "loose": [_loose(file) for file in comparison.loose],
        "clashes": [_clash(news) for news in clash_news(comparison.clashes)],
    }


def _layout(layout: LayoutComparison) -> Json:
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
        "presses": [_press(change) for change in layout.presses],
        "changes": changes_document(layout.changes),
        "sibling": layout.sibling,
        "findings": None if layout.findings is None else _findings(layout.findings),
        "code": None
        if code is None
        else {
            "old_bytes": code.old_bytes,
            "new_bytes": code.new_bytes,
            "same": code.same,
            "fault": code.fault,
        },
        "old_faults": [finding_fields(finding) for finding in layout.old_faults],
        "new_faults": [finding_fields(finding) for finding in layout.new_faults],
    }


def _news(news: News) -> Json:
    item = news.item
    return {
        "audience": item.audience.value,
        "breaking": item.breaking,
        "section": item.section.value,
        "subject": news.subject,
        "text": plain(item.words),
        "layouts": list(news.layouts),
        "other_words": news.others,
        "gains": list(item.gains),
        "proof": None if item.proof is None else _proof(item.proof),
        "file": item.place.file if item.place else None,
        "line": item.place.line if item.place else None,
        "facts": [fact_value(fact) for fact in sorted(item.facts, key=value_order)],
    }


def _proof(proof: Proof) -> Json:
    """A witness: what to press and release first, what to hold, and the key."""
    return {
        "first": [[*map(usage_name, held), usage_name(key)] for held, key in proof.first],
        "hold": [usage_name(usage) for usage in proof.held],
        "press": usage_name(proof.key),
        "let_go": None if proof.let_go is None else usage_name(proof.let_go),
        "apart": proof.apart,
        "before": plain(proof.before),
        "after": plain(proof.after),
    }


def _firmware(firmware: Firmware) -> Json:
    return {
        "flash": firmware.flash,
        "table_version": TABLE_VERSION,
        "tables": firmware.tables,
        "differ": firmware.differ,
        "old_bytes": firmware.old_bytes,
        "new_bytes": firmware.new_bytes,
        "names_gone": list(firmware.gone),
        "names_new": list(firmware.come),
        "moved": [{"layout": each.layout, "old": each.old, "new": each.new} for each in firmware.moved],
        "stored": [{"layout": each.layout, "id16": each.id16, "new": each.new} for each in firmware.stored],
        "faults": list(firmware.faults),
    }


def _press(change: PressChange) -> Json:
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


def _outcome(outcome: Outcome) -> Json:
    cause = outcome.cause.value if outcome.cause else None
    return {
        "does": outcome.does.value,
        "text": outcome.text,
        "also": list(outcome.also),
        "cause": cause,
        "waiting": outcome.waiting,
    }


def changes_document(changes: Changes) -> Json:
    """Changes as JSON values: first the names to replace in the old facts, then the facts to set or remove."""
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


def _findings(changes: FindingChanges) -> Json:
    def pairs(some: Iterable[tuple[Finding, Finding]]) -> list[Json]:
        return [{"before": finding_fields(before), "after": finding_fields(after)} for before, after in some]

    return {
        "new": [finding_fields(finding) for finding in changes.new],
        "gone": [finding_fields(finding) for finding in changes.gone],
        "grown": pairs(changes.grown),
        "shrunk": pairs(changes.shrunk),
        "accepted": [finding_fields(finding) for finding in changes.accepted],
        "exposed": [finding_fields(finding) for finding in changes.exposed],
        "unchanged": changes.unchanged,
    }


def _loose(file: LooseFile) -> Json:
    return {
        "file": file.name,
        "change": file.change,
        "findings": [finding_fields(finding) for finding in file.findings],
    }


def _clash(news: ClashNews) -> Json:
    clash = news.clash
    return {
        "layouts": list(news.layouts),
        "fact": fact_value(clash.fact),
        "subject": plain(clash.subject),
        "before": plain(clash.base),
        "here": plain(clash.ours),
        "there": plain(clash.theirs),
    }
