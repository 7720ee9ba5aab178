"""The lines of a layout: what each causes, and which could be taken out without a change."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import replace

from matrixmap.hid.usages import CAPS_LOCK, NUM_LOCK, SHIFT_LEFT, SHIFT_RIGHT, Usage
from matrixmap.join.plan import compile_plan
from matrixmap.limits import COMPILED_LINES
from matrixmap.model.layout import CommandLine, KeyLine, Layout, LockLine, ManyLine, PassLine, TypeLine
from matrixmap.model.place import Place
from matrixmap.model.plan import Binding, Plan
from matrixmap.model.words import shown

Line = KeyLine | ManyLine | CommandLine | PassLine | LockLine | TypeLine


def line_place(line: Line) -> Place:
    """Where a line stands."""
    return line.trigger.place if isinstance(line, KeyLine | ManyLine | CommandLine) else line.place


def line_words(line: Line) -> str:
    """A line with its section, as a message names it."""
    match line:
        case KeyLine(trigger=trigger, stroke=stroke) | ManyLine(trigger=trigger, stroke=stroke):
            return f"keys {trigger.text}: {stroke.text}"
        case CommandLine(trigger=trigger, number=number):
            return f"commands {trigger.text}: {number}"
        case PassLine(text=text, modifier=modifier):
            return f"pass {text}: {modifier}"
        case LockLine(text=text, key=key):
            return f"locks {text}: {key}"
        case TypeLine(legend=legend, stroke=stroke):
            return f"types {shown(legend.text)}: {stroke.text}"


def own_lines(layout: Layout) -> tuple[Line, ...]:
    """The lines that stand in the layout's own file; those taken over from elsewhere serve other layouts too."""
    lines: tuple[Line, ...] = (
        *layout.types,
        *layout.keys,
        *layout.many,
        *layout.passes,
        *layout.locks,
        *layout.commands,
    )
    return tuple(line for line in lines if line_place(line).file == layout.place.file)


def without(layout: Layout, line: Line) -> Layout:
    """The layout as it would be if a line were not there."""
    return replace(
        layout,
        types=tuple(each for each in layout.types if each is not line),
        keys=tuple(each for each in layout.keys if each is not line),
        many=tuple(each for each in layout.many if each is not line),
        passes=tuple(each for each in layout.passes if each is not line),
        locks=tuple(each for each in layout.locks if each is not line),
        commands=tuple(each for each in layout.commands if each is not line),
    )


def does_the_same(one: Plan, other: Plan) -> bool:
    """Whether two plans of one machine and host do the same, whatever lines cause it."""
    locks = (one.caps_lock, one.num_lock) == (other.caps_lock, other.num_lock)
    return locks and one.by_trigger == other.by_trigger and one.dead_keys == other.dead_keys


def needless_lines(plan: Plan) -> Iterator[tuple[Line, bool]]:
    """Lines without which the plan would do the same, and whether the line loses to others everywhere.

    Equal to compiling the layout without each line in turn, at the cost of one compilation in most cases; of lines that
    do cost one, only so many are looked at.
    """
    layout, left = plan.layout, COMPILED_LINES
    spoken = _Spoken(layout)
    below: Plan | None = None
    effects = _effects(plan)
    for line in own_lines(layout):
        caused = effects.get(line_place(line), [])
        if _stands_alone(layout, line):
            same = not caused
        elif _lies_on_top(layout, line, spoken):
            below = below or compile_plan(replace(layout, keys=(), commands=()))
            same = all(_shows_below(below, binding) for binding in caused)
        elif left:
            left -= 1
            same = does_the_same(plan, compile_plan(without(layout, line)))
        else:
            continue
        if same:
            yield line, not caused and not isinstance(line, TypeLine)


def _shows_below(below: Plan, binding: Binding) -> bool:
    """Whether a plan without the line does the same for a trigger, also where it is a dead key or comes after one."""
    trigger, dead = binding.trigger, below.dead_keys
    pairs = any(
        (accent, trigger.usage, trigger.level) in dead.pairs for accent in dead.accents.keys() | dead.triggers.values()
    )
    plain = trigger.extras or not (trigger in dead.triggers or pairs)
    return bool(plain) and below.by_trigger.get(trigger) == binding.action


def _effects(plan: Plan) -> dict[Place, list[Binding]]:
    """What each line causes."""
    effects: dict[Place, list[Binding]] = {}
    for binding in plan.bindings:
        if binding.place is not None:
            effects.setdefault(binding.place, []).append(binding)
    return effects


def _usages(line: Line) -> frozenset[Usage]:
    match line:
        case KeyLine(trigger=trigger) | ManyLine(trigger=trigger) | CommandLine(trigger=trigger):
            return frozenset(trigger.usages)
        case PassLine(usages=usages):
            return frozenset(usages)
        case LockLine(usage=usage):
            return frozenset({usage})
        case TypeLine():
            return frozenset()


def _others(line: Line, lines: Iterable[Line]) -> list[Line]:
    return [other for other in lines if other is not line]


def _stands_alone(layout: Layout, line: Line) -> bool:
    """Whether whatever the line causes would not be so without it.

    Nothing but a line makes a host key feed a modifier, Shift apart, or tells further modifiers apart. Where a line for
    many keys may answer for the same trigger, or for others without the line, this is not so.
    """
    if isinstance(line, KeyLine | ManyLine | CommandLine):
        return bool(line.trigger.extras) and not _others(line, layout.many)
    if not isinstance(line, PassLine):
        return False
    others = _others(line, (*layout.keys, *layout.commands, *layout.passes, *layout.locks))
    return not _usages(line) & {SHIFT_LEFT, SHIFT_RIGHT}.union(*map(_usages, others))


class _Spoken:
    """How many lines without further modifiers, and lines of locks, speak of each host key."""

    def __init__(self, layout: Layout) -> None:
        lines: tuple[KeyLine | CommandLine, ...] = (*layout.keys, *layout.commands)
        bare: list[Line] = [line for line in lines if not line.trigger.extras]
        self.bare = frozenset(map(id, bare))
        self.count = Counter(usage for line in (*bare, *layout.locks) for usage in _usages(line))

    def by_others(self, line: Line, usage: Usage) -> bool:
        """Whether another line than this speaks of a host key."""
        return self.count[usage] > (id(line) in self.bare)


def _lies_on_top(layout: Layout, line: Line, spoken: _Spoken) -> bool:
    """Whether without the line the join shows, and nothing else changes.

    Not so where another line speaks of the same key, or of a lock, which the runtime keeps unless a line names it.
    """
    if not isinstance(line, KeyLine | CommandLine) or layout.many or _usages(line) & {CAPS_LOCK, NUM_LOCK}:
        return False
    return not any(spoken.by_others(line, usage) for usage in _usages(line))
