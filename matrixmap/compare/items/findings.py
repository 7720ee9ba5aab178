"""Findings of two plans, matched by meaning, not by place."""

from __future__ import annotations

import re
from collections.abc import Hashable, Iterable, Mapping
from dataclasses import dataclass

from matrixmap.check.rules.modifiers import UNREACHABLE_STATE
from matrixmap.check.run import Found
from matrixmap.compare.sides.facts import Name
from matrixmap.model.finding import Finding, Severity
from matrixmap.model.machine import Contact
from matrixmap.model.plan import Plan


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingChanges:
    """What happened to the findings of a layout.

    `grown` and `shrunk` are findings about a whole layout that now cover more or other cases, or fewer, each old one
    with the new one. `accepted` are those that the layout now accepts, `exposed` those that it no longer accepts;
    `unchanged` counts the rest.
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
        """The findings that a reviewer has not seen: new ones, grown ones, and those no longer accepted."""
        return (*self.new, *(after for _, after in self.grown), *self.exposed)

    def has_new(self, severity: Severity) -> bool:
        """Whether there is a new finding of this severity or worse."""
        return any(finding.severity >= severity for finding in self.worse())


NO_FINDINGS = FindingChanges()


def all_new(checked: Found, sibling: Found | None) -> FindingChanges:
    """The findings of a new layout.

    Conflicts that another layout of the machine also has are not news; they count as unchanged.
    """
    if sibling is None:
        return FindingChanges(new=checked.findings)
    matched = match_findings(sibling, checked, {})
    fresh = {id(finding) for finding in (*matched.new, *matched.exposed)}
    fresh |= {id(after) for _, after in (*matched.grown, *matched.shrunk)}
    new = tuple(finding for finding in checked.findings if id(finding) in fresh)
    return FindingChanges(new=new, unchanged=len(checked.findings) - len(new))


def all_gone(checked: Found) -> FindingChanges:
    """The findings of a removed layout."""
    return FindingChanges(gone=checked.findings)


def match_findings(old: Found, new: Found, names: Mapping[Name, Name]) -> FindingChanges:
    """The findings of both plans, matched; `names` maps old names of keys to the new ones that replaced them."""
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
    paired = {id(finding) for pair in pairs for finding in pair}
    reworded = _reworded(
        [finding for finding in gone if id(finding) not in paired],
        [finding for finding in come if id(finding) not in paired],
    )
    paired |= {id(finding) for pair in reworded for finding in pair}
    unchanged += len(reworded)
    shrinking = [pair for pair in pairs if pair[1].count < pair[0].count and pair[1].severity <= pair[0].severity]
    return FindingChanges(
        new=tuple(finding for finding in come if id(finding) not in paired),
        gone=tuple(finding for finding in gone if id(finding) not in paired),
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
    identities = Identities(plan, names)
    for some, is_accepted in ((findings, False), (accepted, True)):
        for finding in some:
            found.setdefault(identities.of(finding), []).append((finding, is_accepted))
    return found


class Identities:
    """The subjects of a plan's findings, independent of lines and wording."""

    def __init__(self, plan: Plan, names: Mapping[Name, Name]) -> None:
        self._names = names
        # A finding identifies contacts by number; if another key now has the crosspoint, that is a different key to the
        # reader.
        self._keys = {key.contact: self._new_name(key.name) for key in plan.layout.machine.keys}

    def of(self, finding: Finding) -> Hashable:
        """The subject of a finding.

        For a conflict: the rule, its severity, the keys that are closed, additionally read and not seen, and the
        switches of controllers. For any other: the rule and the text, without line numbers.
        """
        if _is_conflict(finding):
            assert finding.witness is not None
            witness = finding.witness
            sets = (self._named(contacts) for contacts in (witness.closed, witness.phantoms, witness.unseen))
            return finding.slug, finding.severity, *sets, witness.switches
        text = re.sub(r"\bline \d+", "line", finding.text)
        if self._names:
            text = re.sub(r"[a-z0-9]+(-[a-z0-9]+)*", lambda match: self._new_name(match[0]), text)
        return finding.slug, text

    def _named(self, contacts: tuple[Contact, ...]) -> frozenset[str | Contact]:
        # A machine has thousands of conflicts, so a generator call for each would be slow.
        return frozenset(map(self._keys.get, contacts, contacts))

    def _new_name(self, text: str) -> str:
        for kind in ("key", "modifier"):
            name = self._names.get(Name(kind, text))
            if name is not None:
                return name.text
        return text


def _is_conflict(finding: Finding) -> bool:
    """Whether a finding is about one set of contacts and has its smallest witness."""
    witness = finding.witness
    return witness is not None and bool(witness.phantoms or witness.unseen or witness.switches)


def _subject(finding: Finding) -> tuple[str, str]:
    """The subject of a finding about a whole layout: its rule, or the machine's shift state that it names."""
    return finding.slug, finding.text.split(":")[0] if finding.slug == UNREACHABLE_STATE.slug else ""


def _reworded(gone: Iterable[Finding], come: Iterable[Finding]) -> list[tuple[Finding, Finding]]:
    """Old and new findings of one rule about one press, such as `Alt D types`, that differ only after it: no news."""
    before: dict[Hashable, list[Finding]] = {}
    for finding in gone:
        if not _is_conflict(finding):
            before.setdefault(_press_of(finding), []).append(finding)
    pairs = []
    for finding in come:
        some = before.get(_press_of(finding)) if not _is_conflict(finding) else None
        if some:
            pairs.append((some.pop(0), finding))
    return pairs


def _press_of(finding: Finding) -> Hashable:
    """Rule, severity, and the words before the verb of a finding about a press; for any other, the whole text."""
    press, verb, _ = finding.text.partition(" types ")
    return finding.slug, finding.severity, press if verb else finding.text


def _whole_layout_pairs(
    old: Plan, new: Plan, gone: Iterable[Finding], come: Iterable[Finding]
) -> list[tuple[Finding, Finding]]:
    """Old and new findings about a whole layout that list different cases of the same thing."""
    before = [finding for finding in gone if finding.place == old.layout.place and not _is_conflict(finding)]
    pairs = []
    for finding in come:
        if finding.place != new.layout.place or _is_conflict(finding):
            continue
        other = next((each for each in before if _subject(each) == _subject(finding)), None)
        if other is not None:
            before.remove(other)
            pairs.append((other, finding))
    return pairs
