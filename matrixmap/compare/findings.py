"""Findings of two plans, matched by what they mean and not by where they stand."""

from __future__ import annotations

import re
from collections.abc import Hashable, Iterable, Mapping
from dataclasses import dataclass

from matrixmap.check.run import Checked
from matrixmap.compare.facts import Name
from matrixmap.model.finding import Finding, Severity
from matrixmap.model.plan import Plan
from matrixmap.model.words import key_name


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingChanges:
    """What happened to the findings of a layout.

    `grown` and `shrunk` are findings about a whole layout that now stand for more cases or others, or for fewer, each
    old one with the new one. `accepted` are those that the layout now accepts, `exposed` those that it no longer does;
    `unchanged` counts the others.
    """

    new: tuple[Finding, ...] = ()
    gone: tuple[Finding, ...] = ()
    grown: tuple[tuple[Finding, Finding], ...] = ()
    shrunk: tuple[tuple[Finding, Finding], ...] = ()
    accepted: tuple[Finding, ...] = ()
    exposed: tuple[Finding, ...] = ()
    unchanged: int = 0

    def __bool__(self) -> bool:
        return bool(self.new or self.gone or self.grown or self.shrunk or self.accepted or self.exposed)

    def worse(self) -> tuple[Finding, ...]:
        """The findings that a reviewer has not seen before: new ones, grown ones, and those no longer accepted."""
        return (*self.new, *(after for _, after in self.grown), *self.exposed)

    def has_new(self, severity: Severity) -> bool:
        """Whether there is a new finding of a severity or a worse one."""
        return any(finding.severity >= severity for finding in self.worse())


NO_FINDINGS = FindingChanges()


def all_new(checked: Checked) -> FindingChanges:
    """The findings of a layout that was not there before."""
    return FindingChanges(new=checked.findings)


def all_gone(checked: Checked) -> FindingChanges:
    """The findings of a layout that is there no more."""
    return FindingChanges(gone=checked.findings)


def match_findings(old: Checked, new: Checked, names: Mapping[Name, Name]) -> FindingChanges:
    """The findings of both plans matched; `names` are old names of keys and the new ones that took their place."""
    before = _by_identity(old.plan, old.findings, old.accepted, names)
    after = _by_identity(new.plan, new.findings, new.accepted, {})
    gone: list[Finding] = []
    come: list[Finding] = []
    accepted: list[Finding] = []
    exposed: list[Finding] = []
    unchanged = 0
    for identity in dict.fromkeys((*after, *before)):
        olds, news = before.get(identity, []), after.get(identity, [])
        for (_, was_accepted), (finding, is_accepted) in zip(olds, news, strict=False):
            if was_accepted == is_accepted:
                unchanged += 1
            else:
                (accepted if is_accepted else exposed).append(finding)
        gone += [finding for finding, was_accepted in olds[len(news) :] if not was_accepted]
        come += [finding for finding, is_accepted in news[len(olds) :] if not is_accepted]
    pairs = _whole_layout_pairs(old.plan, new.plan, gone, come)
    shrinking = [pair for pair in pairs if pair[1].count < pair[0].count and pair[1].severity <= pair[0].severity]
    return FindingChanges(
        new=tuple(finding for finding in come if all(finding is not pair[1] for pair in pairs)),
        gone=tuple(finding for finding in gone if all(finding is not pair[0] for pair in pairs)),
        grown=tuple(pair for pair in pairs if pair not in shrinking),
        shrunk=tuple(shrinking),
        accepted=tuple(accepted),
        exposed=tuple(exposed),
        unchanged=unchanged,
    )


Listed = dict[Hashable, list[tuple[Finding, bool]]]


def _by_identity(
    plan: Plan, findings: Iterable[Finding], accepted: Iterable[Finding], names: Mapping[Name, Name]
) -> Listed:
    found: Listed = {}
    for some, is_accepted in ((findings, False), (accepted, True)):
        for finding in some:
            found.setdefault(identity(plan, finding, names), []).append((finding, is_accepted))
    return found


def identity(plan: Plan, finding: Finding, names: Mapping[Name, Name]) -> Hashable:
    """What a finding is about, whatever its line and wording.

    With a witness that closes contacts: the rule, the keys that are closed, read besides and not seen, and the switches
    of controllers. Else the rule and the text, without numbers of lines.
    """
    witness = finding.witness
    if witness is not None and (witness.closed or witness.switches):
        machine = plan.layout.machine
        sets = (witness.closed, witness.phantoms, witness.unseen)
        keys = (frozenset(_new_name(key_name(machine, contact), names) for contact in contacts) for contacts in sets)
        return finding.slug, *keys, frozenset(witness.switches)
    text = re.sub(r"\bline \d+", "line", finding.text)
    if names:
        text = re.sub(r"[a-z0-9]+(-[a-z0-9]+)*", lambda match: _new_name(match[0], names), text)
    return finding.slug, text


def _new_name(text: str, names: Mapping[Name, Name]) -> str:
    for kind in ("key", "modifier"):
        name = names.get(Name(kind, text))
        if name is not None:
            return name.text
    return text


def _whole_layout_pairs(
    old: Plan, new: Plan, gone: Iterable[Finding], come: Iterable[Finding]
) -> list[tuple[Finding, Finding]]:
    """Old and new findings of one rule about the layout as a whole: they list other cases of the same thing."""
    before = [finding for finding in gone if finding.place == old.layout.place and finding.witness is None]
    pairs = []
    for finding in come:
        if finding.place != new.layout.place or finding.witness is not None:
            continue
        other = next((each for each in before if each.slug == finding.slug), None)
        if other is not None:
            before.remove(other)
            pairs.append((other, finding))
    return pairs
