"""The parts of a check's report in any form: verdict lines and groups of findings."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from matrixmap.check.registry import all_rules
from matrixmap.check.run import Checked
from matrixmap.check.verdict import Practice, Verdict
from matrixmap.model.finding import Finding, Severity
from matrixmap.model.rule import Rule
from matrixmap.model.words import shown
from matrixmap.simulate.engine import Sizes

WORST_FEW = 3
"""The most findings of a group that a short report shows."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Unread:
    """A layout that was not checked: its name as asked for, the findings that say why, and that in three words."""

    name: str
    findings: tuple[Finding, ...]
    why: str = "cannot be read"


Result = Checked | Unread
"""The result for one layout. A form takes results one by one and drops each, because it holds thousands of findings."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """The findings on one layout or machine, without the plan: this is what one process can hand to another.

    `accepted` are those that the layout lives with, each with the reason; `why` says why a layout was not checked.
    """

    name: str
    findings: tuple[Finding, ...]
    accepted: tuple[tuple[Finding, str], ...] = ()
    why: str | None = None


def told_of(result: Result) -> Told:
    """The findings of a result."""
    if isinstance(result, Unread):
        return Told(name=result.name, findings=result.findings, why=result.why)
    reasons = {line.slug: line.reason for line in result.plan.layout.accept}
    return Told(
        name=result.plan.id,
        findings=result.findings,
        accepted=tuple((finding, reasons[finding.slug]) for finding in result.accepted),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Cause:
    """What one line, or one layout, causes by one rule: the first finding, how many findings and cases, and where.

    `reason` is given by the layout that accepts them; it is None for open findings.
    """

    finding: Finding
    findings: int
    cases: int
    layouts: int
    reason: str | None = None

    @property
    def words(self) -> str:
        """The text of the finding, with how many more there are."""
        more = f" (and {self.findings - 1} more of this kind)" if self.findings > 1 and self.layouts == 1 else ""
        return f"{self.finding.text}{more}" + (f" (in {self.layouts} layouts)" if self.layouts > 1 else "")


def placed(finding: Finding) -> dict[str, object]:
    """A finding about a board as JSON has it, with its place."""
    place = finding.place
    return {
        "slug": finding.slug,
        "severity": finding.severity.word,
        "file": place.file if place else None,
        "line": place.line if place else None,
        "column": place.column if place else None,
        "text": finding.text,
    }


def causes(told: Iterable[Told]) -> list[Cause]:
    """The findings of all layouts by their causes, the worst first: by rule, severity and place."""
    cells: dict[tuple[object, ...], list[Finding]] = {}
    layouts: dict[tuple[object, ...], set[str]] = {}
    reasons: dict[tuple[object, ...], str] = {}
    for each in told:
        rows = [(finding, None) for finding in each.findings]
        for finding, reason in (*rows, *each.accepted):
            cell = (finding.slug, finding.severity, finding.place, reason is None)
            cells.setdefault(cell, []).append(finding)
            layouts.setdefault(cell, set()).add(each.name)
            if reason is not None:
                reasons[cell] = reason
    found = [
        Cause(
            finding=findings[0],
            findings=len(findings),
            cases=sum(finding.count for finding in findings),
            layouts=len(layouts[cell]),
            reason=reasons.get(cell),
        )
        for cell, findings in cells.items()
    ]
    return sorted(found, key=lambda cause: -cause.finding.severity)


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Findings of one rule and severity, the most harmful first."""

    severity: Severity
    rule: Rule
    findings: tuple[Finding, ...]

    @property
    def count(self) -> int:
        """How many findings there are."""
        return len(self.findings)


def group(findings: Iterable[Finding]) -> tuple[Group, ...]:
    """Findings by severity and rule, in order of appearance."""
    rules = {rule.slug: rule for rule in all_rules()}
    cells: dict[tuple[Severity, str], list[Finding]] = {}
    for finding in findings:
        cells.setdefault((finding.severity, finding.slug), []).append(finding)
    return tuple(
        Group(severity=severity, rule=rules[slug], findings=tuple(found)) for (severity, slug), found in cells.items()
    )


def counted(findings: Iterable[Finding]) -> str:
    """How many findings of each severity: `2 warnings, 3 notes`."""
    counts = dict.fromkeys((Severity.ERROR, Severity.WARNING, Severity.NOTE), 0)
    for finding in findings:
        counts[finding.severity] += 1
    words = [f"{count} {severity.word}{'s' if count != 1 else ''}" for severity, count in counts.items() if count]
    return ", ".join(words) or "no findings"


def verdict_lines(verdict: Verdict) -> Iterator[str]:
    """The verdict, a sentence a line."""
    yield _reach(verdict)
    if verdict.stand_in is not None:
        yield _stand_in(verdict)
    yield from _counts(verdict)
    yield from _modifiers(verdict)
    yield from _practice(verdict)
    yield COMBINATION


COMBINATION = (
    "A combination is one set of strokes of different host keys that closes the contacts of a finding. Presses of "
    "one key that lead to the same stroke count once. The order of the keys and the side of a modifier do not matter."
)
"""What the counts of combinations mean; docs/check.md uses the same words."""


def _reach(verdict: Verdict) -> str:
    parts = []
    for what, names in (
        ("characters", verdict.characters),
        ("functions", verdict.functions),
        ("keys", verdict.keys),
    ):
        if names:
            parts.append(f"{what} {', '.join(shown(name) for name in names)}")
    if not parts:
        return "Reach: every key, character and function of the machine can be typed."
    return f"Reach: the {'; the '.join(parts)} of the machine cannot be reached."


def _stand_in(verdict: Verdict) -> str:
    keys = [" ".join(shown(text) for text in (key.key, *key.types)) for key in verdict.stood_in]
    if not keys:
        return f"Stand-in: {verdict.stand_in} stands in on no key."
    count = f"{len(keys)} key{'s' if len(keys) > 1 else ''}"
    types = "type" if len(keys) > 1 else "types"
    return (
        f"Stand-in: where the machine lacks what is printed, {count} {types} what {verdict.stand_in} prints "
        f"(key, then what it types): {', '.join(keys)}."
    )


def _counts(verdict: Verdict) -> Iterator[str]:
    tally = verdict.tally
    if tally.lying_strokes or tally.refused_strokes:
        refused = f"; the runtime refuses {tally.refused_strokes}" if tally.refused_strokes else ""
        yield f"One press alone: {tally.lying_strokes} of {tally.strokes} strokes make a phantom{refused}."
    else:
        yield f"One press alone: each of the {tally.strokes} strokes is read correctly."
    if verdict.one_side:
        ways = ", ".join(f"{shown(text)} ({shown(way)})" for text, way in verdict.one_side)
        yield f"With one side of a modifier only: {ways}."
    read = tally.lying_held - tally.lost_held
    refused = "a key pressed after these modifiers is refused, and one held before them is opened"
    lost = f"{refused} in {tally.lost_held} of them, and {read} are read so" if read else refused
    fewest = "strokes, with only the modifiers that they need"
    rows = (
        ("One press, more modifiers held", "", tally.lying_held, tally.held, lost),
        ("Two keys", f" pairs of {fewest},", tally.lying_pairs, tally.pairs, "none does, because the older key opens"),
        (
            "Three keys",
            f" sets of {fewest},",
            tally.lying_triples,
            tally.triples,
            "none does, because the oldest key opens",
        ),
    )
    for what, of, lying, all_of_them, guarded in rows:
        after = f"; with the guard on, {guarded}" if lying and verdict.guard else ""
        yield f"{what}: {lying} of {all_of_them}{of} make a phantom on the bare matrix{after}."
        if what == "Two keys":
            yield _overlaps(verdict)
    if verdict.rollover is not None:
        keys = "1 key" if verdict.rollover == 1 else f"{verdict.rollover} keys"
        yield f"The machine can tell {keys} apart, besides modifiers; the runtime never closes more at once."
    yield from _pace(verdict)


def _pace(verdict: Verdict) -> Iterator[str]:
    """How fast keystrokes may come over a long time."""
    rows = [
        f"{what} every {us / 1000:g} ms"
        for what, us in (
            ("another key", verdict.pace.other_us),
            ("the same key", verdict.pace.same_us),
            ("keys with a modifier and without in turn", verdict.pace.shifted_us),
        )
        if us is not None
    ]
    if rows:
        yield (
            f"Sustained: {', '.join(rows)}; faster presses wait, up to {Sizes().waiting} unless the firmware allows "
            "more."
        )


def _overlaps(verdict: Verdict) -> str:
    """How many pairs of keys make a phantom while modifier keys are held, key by key."""
    overlaps = verdict.overlaps
    rows = [f"{row.held or 'nothing'} {row.lying} of {row.pairs}" for row in overlaps.by_held]
    return (
        f"Two keys overlapping, pairs that make a phantom, for each key that is held meanwhile: {', '.join(rows)}; "
        f"with some set of modifier keys {overlaps.lying} of {overlaps.pairs}."
    )


def _modifiers(verdict: Verdict) -> Iterator[str]:
    rows = []
    for held in verdict.modifiers:
        names = held.press.removeprefix("hold ")
        alone = " make a phantom by themselves," if held.lies_alone else ""
        rows.append(f"{names}{alone} {held.lying} of {held.strokes} keys make one with them")
    if rows:
        yield f"Modifiers together: {'; '.join(rows)}."


def _practice(verdict: Verdict) -> Iterator[str]:
    """A line for each family of combinations, with one that is read wrongly."""
    families: dict[str, list[Practice]] = {}
    for practice in verdict.practice:
        families.setdefault(practice.family, []).append(practice)
    for family, members in families.items():
        wrong = [practice for practice in members if practice.reads]
        whole = sum(all(practice.kept) for practice in members)
        bare = f"{len(wrong)} of {len(members)} make a phantom on the bare matrix"
        example = f" ({wrong[0].press}: also reads {wrong[0].reads})" if wrong else ""
        kept = "all of them" if whole == len(members) else f"{whole} of {len(members)}"
        yield f"{family[0].upper()}{family[1:]}: {bare}{example}; the runtime closes {kept} completely."


def practice_outcome(practice: Practice) -> str:
    """What happens to a combination: what the bare matrix also reads, and what the runtime leaves closed."""
    bare = f"the bare matrix also reads {practice.reads}" if practice.reads else "the bare matrix reads them correctly"
    if any(practice.refused):
        return f"{bare}; the runtime does not close the newest key"
    opened = len(practice.kept) - sum(practice.kept)
    if not opened:
        return f"{bare}; the runtime closes all of them"
    return f"{bare}; the runtime opens the {'oldest' if opened == 1 else f'{opened} oldest'}"
