"""Two branches against what they both come from: where both changed one thing, and differently."""

from __future__ import annotations

from dataclasses import dataclass

from matrixmap.compare.changes import ABSENT, Absent, renamed_facts, value_order
from matrixmap.compare.facts import Fact, Facts, Name, Value, facts
from matrixmap.compare.outcomes import Outcome, Outcomes, with_one_fewer
from matrixmap.compare.pair import does, trigger_of
from matrixmap.compare.renames import find_renames
from matrixmap.compare.strokes import action_words, legend_text
from matrixmap.compare.words import Words, join_words, say
from matrixmap.hid.usages import Usage
from matrixmap.model.plan import Plan
from matrixmap.model.words import printed_keys, usage_name


@dataclass(frozen=True, slots=True, kw_only=True)
class Clash:
    """A fact that both branches changed, each in its own way. The words are in the names of the base."""

    layout: str
    fact: Fact
    subject: Words
    base: Words
    ours: Words
    theirs: Words


def gone_clash(layout: str, ours_gone: bool, theirs_gone: bool) -> Clash:
    """The clash of a layout that one branch took out and the other changed."""
    said: tuple[Words, Words] = ("is changed",), ("is gone",)
    return Clash(
        layout=layout,
        fact=("layout", "id"),
        subject=("the whole layout",),
        base=("is there",),
        ours=said[ours_gone],
        theirs=said[theirs_gone],
    )


def find_clashes(base: Plan, ours: Plan, theirs: Plan) -> tuple[Clash, ...]:
    """The facts of one layout that two branches changed differently; triggers first."""
    origin = facts(base)
    one, other = _in_names_of(origin, facts(ours)), _in_names_of(origin, facts(theirs))
    both = {fact for fact, _ in origin.items() ^ one.items()} & {fact for fact, _ in origin.items() ^ other.items()}
    clashing = [fact for fact in both if one.get(fact, ABSENT) != other.get(fact, ABSENT)]
    outcomes = Outcomes(base), Outcomes(ours), Outcomes(theirs)
    values = (origin, one, other)
    clashing = [fact for fact in clashing if not _told_with_fewer(fact, outcomes)]
    return tuple(
        _clash(ours.id, fact, outcomes, values)
        for fact in sorted(clashing, key=lambda fact: (fact[0] != "trigger", value_order(fact)))
    )


def _told_with_fewer(fact: Fact, outcomes: tuple[Outcomes, Outcomes, Outcomes]) -> bool:
    """Whether a trigger clashes as the one with a modifier fewer does, so that it need not be told."""
    trigger = trigger_of(fact)
    if trigger is None:
        return False
    results = [side.of(trigger) for side in outcomes]
    return results[1] != results[2] and any(
        [side.of(other) for side in outcomes] == results for other in with_one_fewer(trigger)
    )


def _in_names_of(origin: Facts, branch: Facts) -> Facts:
    """The facts of a branch with the names that its base had."""
    return renamed_facts(branch, [(new, old) for old, new in find_renames(origin, branch)])


def _clash(
    layout: str, fact: Fact, outcomes: tuple[Outcomes, Outcomes, Outcomes], values: tuple[Facts, Facts, Facts]
) -> Clash:
    trigger = trigger_of(fact)
    said: list[Words] = []
    results: list[Outcome] = [side.of(trigger) for side in outcomes] if trigger else []
    for number, some in enumerate(values):
        value = some.get(fact, ABSENT)
        if not results:
            said.append(_value_words(value))
        elif results[1] == results[2]:
            said.append(action_words(value) if fact[0] == "trigger" else _value_words(value))
        else:
            said.append(does(results[number]))
    subject = say("{}", printed_keys(outcomes[1].plan.layout.host, trigger)) if trigger else _fact_words(fact)
    return Clash(layout=layout, fact=fact, subject=subject, base=said[0], ours=said[1], theirs=said[2])


def _fact_words(fact: Fact) -> Words:
    match fact:
        case ("print" | "unprinted" | "caps" as kind, int(usage)):
            return say(f"{kind} of {{}}", usage_name(Usage(usage)))
        case ("pair", str(accent), int(usage), int(level)):
            return say("{} then {}, level {}", accent, usage_name(Usage(usage)), str(level))
    return say(f"{fact[0]} {{}}", join_words((_value_words(part) for part in fact[1:]), comma=" ", last=" "))


def _value_words(value: Value | Absent) -> Words:
    match value:
        case Name():
            return say("{}", value.text)
        case ("dead", str()):
            return say("{}", legend_text(value))
        case ("stroke" | "modifier" | "latch" | "command" | "nothing", *_):
            return action_words(value)
        case tuple() | frozenset():
            parts = sorted(value, key=value_order) if isinstance(value, frozenset) else value
            return join_words((_value_words(part) for part in parts), comma=" ", last=" ") or ("nothing",)
        case None | Absent.ABSENT:
            return ("nothing",)
        case bool():
            return ("yes" if value else "no",)
    return say("{}", str(value))
