"""The lines of a layout: what each one causes, and which could be removed without a change."""

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
    """The place of a line in its file."""
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
    """The lines of the layout's own file; those inherited from other files serve other layouts too."""
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
    """The layout without a line."""
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
    """Whether two plans of one machine and host do the same, regardless of the lines that cause it."""
    locks = (one.caps_lock, one.num_lock) == (other.caps_lock, other.num_lock)
    return locks and one.by_trigger == other.by_trigger and one.dead_keys == other.dead_keys


def needless_lines(plan: Plan) -> Iterator[tuple[Line, bool]]:
    """Lines that can be removed without changing the plan, each with whether it loses to others everywhere.

    The result is that of compiling the layout without each line in turn, in most cases at the cost of one compilation.
    Of the lines that cost a compilation each, only a limited number are looked at.
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
    """Whether a plan without the line does the same for a trigger, also as a dead key or after one."""
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
    """Whether nothing else would cause what the line causes.

    Only a line makes a host key feed a modifier, other than Shift, or tells further modifiers apart. This is not so if
    a line for many keys may answer for the same trigger, or for other triggers without the line.
    """
    if isinstance(line, KeyLine | ManyLine | CommandLine):
        return bool(line.trigger.extras) and not _others(line, layout.many)
    if not isinstance(line, PassLine):
        return False
    others = _others(line, (*layout.keys, *layout.commands, *layout.passes, *layout.locks))
    return not _usages(line) & {SHIFT_LEFT, SHIFT_RIGHT}.union(*map(_usages, others))


class _Spoken:
    """How many lines without further modifiers, and how many lines of locks, name each host key."""

    def __init__(self, layout: Layout) -> None:
        lines: tuple[KeyLine | CommandLine, ...] = (*layout.keys, *layout.commands)
        bare: list[Line] = [line for line in lines if not line.trigger.extras]
        self.bare = frozenset(map(id, bare))
        self.count = Counter(usage for line in (*bare, *layout.locks) for usage in _usages(line))

    def by_others(self, line: Line, usage: Usage) -> bool:
        """Whether a line other than this one names a host key."""
        return self.count[usage] > (id(line) in self.bare)


def _lies_on_top(layout: Layout, line: Line, spoken: _Spoken) -> bool:
    """Whether, without the line, the join shows and nothing else changes.

    Not so if another line names the same key, or a lock: the runtime keeps a lock unless a line names it.
    """
    if not isinstance(line, KeyLine | CommandLine) or layout.many or _usages(line) & {CAPS_LOCK, NUM_LOCK}:
        return False
    return not any(spoken.by_others(line, usage) for usage in _usages(line))
