"""Two branches against their common base: where did both change one thing, and differently? These are the clashes."""

from __future__ import annotations

from dataclasses import dataclass

from matrixmap.compare.items.strokes import action_words, legend_text
from matrixmap.compare.sides.changes import ABSENT, Absent, renamed_facts, value_order
from matrixmap.compare.sides.facts import Fact, Facts, Name, Value, facts
from matrixmap.compare.sides.held import with_one_fewer
from matrixmap.compare.sides.outcomes import Outcome, Press
from matrixmap.compare.sides.pair import Pair, does, key_trigger, trigger_of
from matrixmap.compare.sides.renames import find_renames
from matrixmap.compare.sides.words import Words, join_words, say
from matrixmap.hid.usages import Usage
from matrixmap.model.plan import Plan, Trigger
from matrixmap.model.words import printed_keys, usage_name


@dataclass(frozen=True, slots=True, kw_only=True)
class Clash:
    """A fact that both branches changed, each in its own way. The words use the names of the base."""

    layout: str
    fact: Fact
    subject: Words
    base: Words
    ours: Words
    theirs: Words


def gone_clash(layout: str, ours_gone: bool, theirs_gone: bool) -> Clash:
    """The clash of a layout that one branch removed and the other changed."""
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
    sides = _Sides(base, ours, theirs)
    values = (origin, one, other)
    clashing = [fact for fact in clashing if not _told_with_fewer(fact, sides)]
    found = (
        _clash(ours.id, fact, sides, values)
        for fact in sorted(clashing, key=lambda fact: (fact[0] != "trigger", value_order(fact)))
    )
    # A key with two usages, such as Backslash, is one key to the reader.
    told = {(clash.subject, clash.base, clash.ours, clash.theirs): clash for clash in reversed(list(found))}
    return tuple(reversed(told.values()))


class _Sides:
    """What presses do in the base and on both branches."""

    def __init__(self, base: Plan, ours: Plan, theirs: Plan) -> None:
        self.host = ours.layout.host
        self._ours, self._theirs = Pair(base, ours), Pair(base, theirs)
        self.altgr = self._ours.altgr or self._theirs.altgr

    def presses(self, trigger: Trigger) -> tuple[Press, ...]:
        """The presses that make a trigger, one for each choice of sides; none if a side cannot be played."""
        if not (self._ours.played and self._theirs.played):
            return ()
        return self._ours.presses_of(trigger) or self._theirs.presses_of(trigger)

    def results(self, press: Press) -> tuple[Outcome, ...]:
        """What a press does in the base, on our branch and on theirs."""
        assert self._ours.played
        assert self._theirs.played
        return tuple(side.of(press) for side in (*self._ours.played, self._theirs.played[1]))

    def clashing(self, trigger: Trigger) -> Press | None:
        """The first press of a trigger for which the branches differ."""
        every = ((press, self.results(press)) for press in self.presses(trigger))
        return next((press for press, results in every if results[1] != results[2]), None)


def _told_with_fewer(fact: Fact, sides: _Sides) -> bool:
    """Whether a trigger clashes like the one with one modifier fewer, so that it need not be reported."""
    trigger = trigger_of(fact)
    press = sides.clashing(trigger) if trigger else None
    if press is None:
        return False
    fewer = (press._replace(held=held) for _, held in with_one_fewer(press.held, sides.altgr))
    return sides.results(press) in map(sides.results, fewer)


def _in_names_of(origin: Facts, branch: Facts) -> Facts:
    """The facts of a branch, with the names of its base."""
    return renamed_facts(branch, [(new, old) for old, new in find_renames(origin, branch)])


def _clash(layout: str, fact: Fact, sides: _Sides, values: tuple[Facts, Facts, Facts]) -> Clash:
    trigger = trigger_of(fact)
    press = sides.clashing(trigger) if trigger else None
    if press is not None:
        said = [does(outcome) for outcome in sides.results(press)]
    else:
        some = [side.get(fact, ABSENT) for side in values]
        said = [action_words(value) if fact[0] == "trigger" else _value_words(value) for value in some]
    subject = say("{}", printed_keys(sides.host, key_trigger(sides.host, trigger))) if trigger else _fact_words(fact)
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
