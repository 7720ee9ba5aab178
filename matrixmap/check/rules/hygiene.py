"""Hygiene: lines of a layout that say nothing, or not what they seem to say."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from matrixmap.check.engine.lines import Line, line_place, line_words, own_lines
from matrixmap.check.engine.plan_conflicts import PlanConflicts
from matrixmap.check.engine.record import CheckRule, Report
from matrixmap.check.engine.strokes import PlanStrokes, feeding_usages
from matrixmap.check.rules.reach import listed
from matrixmap.hid.usages import (
    ALT_RIGHT,
    KEYPAD_DIGITS,
    MODIFIER_BITS,
    SHIFT_LEFT,
    SHIFT_RIGHT,
    Usage,
)
from matrixmap.join.symbolic import find_offer, find_offers
from matrixmap.model.finding import Severity
from matrixmap.model.layout import CommandLine, Join, KeyLine, Layout, LockLine, ManyLine, PassLine, TypeLine
from matrixmap.model.plan import Action, Binding, Feed, Nothing, Plan, Trigger
from matrixmap.model.words import action_name, shown, usage_name
from matrixmap.press.levels import held_choices
from matrixmap.press.words import held_word


def _redundant_lines(conflicts: PlanConflicts) -> Iterator[Report]:
    for line, loses in conflicts.needless:
        if not loses:
            yield Report(f"{line_words(line)}: the join gives this without the line; remove it", line_place(line))


REDUNDANT_LINE = CheckRule(
    slug="redundant-line",
    severity=Severity.WARNING,
    purpose="A line of a layout says what the join gives without it.",
    explanation=(
        "Every line of a layout should be necessary, so that a reader sees at a glance what is special about it. "
        "Without the line, the compiled layout would be the same."
    ),
    bad="keys: {KeyA: a}",
    good="keys: {KeyA: b}",
    function=_redundant_lines,
)


def _shadowed_lines(conflicts: PlanConflicts) -> Iterator[Report]:
    strokes = conflicts.strokes
    contradicted = {id(loser) for loser, _ in _contradictions(strokes.plan)}
    for line, loses in conflicts.needless:
        if loses and id(line) not in contradicted:
            none_left = "no host key without its own line types a plain legend that this line needs"
            why = none_left if isinstance(line, ManyLine) else "other lines win for every trigger that this line names"
            yield Report(f"{line_words(line)}: {why}; remove it", line_place(line))


SHADOWED_LINE = CheckRule(
    slug="shadowed-line",
    severity=Severity.WARNING,
    purpose="A line of a layout never has an effect, because other lines win everywhere.",
    explanation="A line that names modifiers wins over one that names none.",
    bad="pass: {Control: helm}\nkeys: {ControlLeft: helm, ControlRight: helm}",
    good="pass: {Control: helm}",
    function=_shadowed_lines,
)


def _claims(layout: Layout, line: Line) -> tuple[tuple[Usage, ...], Action | None]:
    """The usages that a line is about while nothing else is held, and what it does with them; none for other lines."""
    machine = layout.machine
    match line:
        case KeyLine(trigger=trigger) | CommandLine(trigger=trigger):
            return (() if trigger.extras else trigger.usages), None
        case PassLine(usages=usages, modifier=modifier):
            first = next(each.keys[0] for each in machine.modifiers if each.name == modifier)
            return usages, Feed(modifier=modifier, contact=machine.key(first).contact)
        case LockLine(usage=usage):
            return (usage,), None
        case TypeLine() | ManyLine():
            return (), None


def _contradictions(plan: Plan) -> Iterator[tuple[Line, Binding]]:
    """Lines that lose a trigger to a line of another section that does something else, with the winning binding."""
    layout = plan.layout
    by_place = {line_place(line): line for line in own_lines(layout)}
    winners = {(binding.trigger.usage, binding.trigger.level): binding for binding in reversed(plan.bindings)}
    for line in own_lines(layout):
        usages, action = _claims(layout, line)
        for usage in usages:
            level = line.trigger.level if isinstance(line, KeyLine | CommandLine) else 1
            winner = winners.get((usage, level))
            if winner is None or winner.place is None or winner.place == line_place(line):
                continue
            other = by_place.get(winner.place)
            if type(other) is type(line) and not isinstance(line, PassLine):
                continue
            if action is None or winner.action != action:
                yield line, winner
                break


def _contradicting_lines(conflicts: PlanConflicts) -> Iterator[Report]:
    strokes = conflicts.strokes
    machine = strokes.plan.layout.machine
    for line, winner in _contradictions(strokes.plan):
        name, does = usage_name(winner.trigger.usage), action_name(machine, winner.action)
        line_number = winner.place.line if winner.place else 0
        yield Report(
            f"{line_words(line)}: line {line_number} says something else about {name} ({does}) and wins; keep the one "
            "that you mean",
            line_place(line),
        )


LINES_CONTRADICT = CheckRule(
    slug="lines-contradict",
    severity=Severity.WARNING,
    purpose="Two lines of different sections contradict each other about one host key.",
    explanation=(
        "Locks win over keys, and keys win over pass; of two lines under pass, the later one wins. A reader would "
        "have to know that, so remove one of the lines."
    ),
    bad="pass: {Control: helm}\nkeys: {ControlLeft: blazon}",
    good="pass: {ControlRight: helm}\nkeys: {ControlLeft: blazon}",
    function=_contradicting_lines,
)


def _ambiguous_lines(conflicts: PlanConflicts) -> Iterator[Report]:
    strokes = conflicts.strokes
    layout = strokes.plan.layout
    for line in own_lines(layout):
        if not isinstance(line, KeyLine | ManyLine | CommandLine):
            continue
        trigger, usages = line.trigger, line.trigger.usages
        if isinstance(line, ManyLine):
            caused = (each.trigger.usage for each in strokes.plan.bindings if each.place == trigger.place)
            usages = tuple(caused)
        elif trigger.level == 2 and set(trigger.usages) & set(KEYPAD_DIGITS):
            yield Report(
                f"{line_words(line)}: on the keypad the second level means Num Lock off, whatever Shift does; the "
                "line acts with Num Lock off",
                trigger.place,
            )
        levels = {SHIFT_LEFT, SHIFT_RIGHT} | ({ALT_RIGHT} if layout.host.has_altgr else set())
        chooses = levels & set(trigger.usages)
        if chooses and (not _feeds_shift(strokes, trigger.usages) or ALT_RIGHT in chooses):
            yield Report(
                f"{line_words(line)}: this key also chooses the level of other keys, and it still does so with this "
                "line",
                trigger.place,
            )
        acting = list(dict.fromkeys(key for usage in usages for key in _acting(strokes, line, usage)))
        if acting:
            names = " and ".join(held_word(layout.host, usage) for usage in acting)
            yield Report(
                f"{line_words(line)}: {names} {'does' if len(acting) == 1 else 'do'} something alone, which happens "
                "first; no other output counts this press",
                trigger.place,
            )


def _acting(strokes: PlanStrokes, line: KeyLine | ManyLine | CommandLine, usage: Usage) -> tuple[Usage, ...]:
    """The keys of a modifier that a line needs, if each of them does something by itself."""
    trigger = Trigger(usage=usage, level=line.trigger.level, extras=line.trigger.extras)
    for choice in held_choices(strokes.plan.layout.host, trigger):
        if usage not in choice and strokes.every.acting.issuperset(choice):
            return choice
    return ()


def _feeds_shift(strokes: PlanStrokes, usages: Iterable[Usage]) -> bool:
    actions = [strokes.plan.by_trigger.get(Trigger(usage=usage, level=1)) for usage in usages]
    return all(isinstance(action, Feed | Nothing) for action in actions)


AMBIGUOUS_LINE = CheckRule(
    slug="ambiguous-line",
    severity=Severity.WARNING,
    purpose="A line of a layout can be understood in two ways.",
    explanation=(
        "On the digits of the keypad, the second level means Num Lock off and not Shift. Shift and AltGr choose "
        "levels, whatever else a layout does with them. If each key of a modifier presses something or sends a "
        "command by itself, nobody can hold the modifier for another key without doing that too."
    ),
    bad="keys: {Shift+Numpad7: b1}",
    good="keys: {Numpad7: b1}",
    function=_ambiguous_lines,
)


def _never_made(conflicts: PlanConflicts) -> Iterator[Report]:
    strokes = conflicts.strokes
    feeding = feeding_usages(strokes.plan)
    for line in own_lines(strokes.plan.layout):
        if isinstance(line, KeyLine | CommandLine) and feeding.issuperset(line.trigger.usages):
            triggers = [
                Trigger(usage=usage, level=line.trigger.level, extras=line.trigger.extras)
                for usage in line.trigger.usages
            ]
            if not any(isinstance(strokes.plan.by_trigger.get(trigger), Feed) for trigger in triggers):
                yield Report(
                    f"{line_words(line)}: this key is a modifier of the machine whatever else is held, so this line "
                    "never has an effect",
                    line.trigger.place,
                )


TRIGGER_NEVER_HAPPENS = CheckRule(
    slug="trigger-never-happens",
    severity=Severity.WARNING,
    purpose="A line of a layout names a trigger that cannot happen.",
    explanation="A key that is a modifier of the machine is that modifier at every level, and with every other key held.",
    bad="keys: {F1: shift-left, Alt+F1: b1}",
    good="keys: {F1: shift-left, Alt+F2: b1}",
    function=_never_made,
)


def _not_on_host(conflicts: PlanConflicts) -> Iterator[Report]:
    strokes = conflicts.strokes
    layout = strokes.plan.layout
    for line in own_lines(layout):
        if isinstance(line, KeyLine | CommandLine):
            usages = line.trigger.usages
            if not any(usage in layout.host.keys or usage in MODIFIER_BITS for usage in usages):
                yield Report(
                    f"{line_words(line)}: the host {layout.host.id} ({layout.host.form}) has no such key; only other "
                    "keyboards send it",
                    line.trigger.place,
                )


KEY_NOT_ON_HOST = CheckRule(
    slug="key-not-on-host",
    severity=Severity.NOTE,
    purpose="A line of a layout names a key that the host does not have.",
    explanation="The line has an effect only on a keyboard of another form. That may be your intention.",
    bad="keys: {IntlYen: a}",
    good="keys: {F9: a}",
    function=_not_on_host,
)


def _ambiguous_characters(conflicts: PlanConflicts) -> Iterator[Report]:
    strokes = conflicts.strokes
    layout = strokes.plan.layout
    if layout.join is not Join.SYMBOLIC:
        return
    chosen = {line.legend.text for line in layout.types}
    offers = find_offers(layout)
    optional = layout.machine.optional
    printed = {
        (offer[0].contact, tuple(sorted(offer[1]))): offer
        for key in layout.host.keys.values()
        for legend in key.legends
        if legend and (offer := find_offer(offers, legend))
    }
    for _, (key, state) in sorted(printed.items(), key=lambda pair: pair[0]):
        text = key.types[state].text
        rivals = [
            (other, held)
            for other in layout.machine.keys
            for held, legend in other.types.items()
            if legend.text == text
            and len(held) == len(state)
            and (other, held) != (key, state)
            and (other.name in optional) == (key.name in optional)
        ]
        if rivals and text not in chosen:
            names = listed(
                " + ".join([*([layout.machine.state_name(held)] if held else []), other.name]) for other, held in rivals
            )
            yield Report(
                f"{shown(text)} is typed by {key.name}, which comes first in the grid, and also by {names}; a line "
                "under types chooses"
            )


AMBIGUOUS_CHARACTER = CheckRule(
    slug="ambiguous-character",
    severity=Severity.NOTE,
    purpose="Several keys of the machine type one character with equally few modifiers.",
    explanation="Then the order of the grid decides. A line under `types` makes the choice visible.",
    bad="S0: [a, k1]\nS1: [b, k2]",
    good="types: {'1': k2}",
    function=_ambiguous_characters,
)

RULES = (
    REDUNDANT_LINE,
    SHADOWED_LINE,
    LINES_CONTRADICT,
    AMBIGUOUS_LINE,
    TRIGGER_NEVER_HAPPENS,
    KEY_NOT_ON_HOST,
    AMBIGUOUS_CHARACTER,
)
