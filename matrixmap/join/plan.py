"""How a layout is compiled into its plan: what the join gives, then what the layout's lines change."""

from __future__ import annotations

from types import MappingProxyType

from matrixmap.circuit.reading import phantoms_possible
from matrixmap.circuit.timing import poll_ticks, timing_of
from matrixmap.hid.pads.sources import STROKE_USAGES, Direction
from matrixmap.hid.usages import CAPS_LOCK, KEYPAD_DIGITS, NUM_LOCK, Usage
from matrixmap.join.dead import join_dead_keys
from matrixmap.join.demands import make_stroke
from matrixmap.join.many import many_bindings
from matrixmap.join.pads import driven_controllers
from matrixmap.join.symbolic import join_symbolic
from matrixmap.model.layout import Join, KeyLine, Layout, LockLine, StrokeName, TriggerName
from matrixmap.model.plan import Action, Binding, Command, Driven, Feed, Latch, Nothing, Plan, StandIn, Trigger


def compile_plan(layout: Layout) -> Plan:
    """The plan of a layout."""
    bindings: dict[Trigger, Binding] = {}
    stand_ins: tuple[StandIn, ...] = ()
    if layout.join is Join.SYMBOLIC:
        bindings, stand_ins = join_symbolic(layout)
    _apply_lines(layout, bindings)
    bindings.update(many_bindings(layout, bindings, stand_ins))
    dead_keys = join_dead_keys(layout, bindings, {stand_in.trigger for stand_in in stand_ins})
    kept = bindings.keys() - dead_keys.triggers.keys()
    ordered = tuple(bindings[trigger] for trigger in sorted(kept, key=Trigger.sort_key))
    taken = {binding.trigger.usage for binding in ordered}
    possible = phantoms_possible(layout.machine, layout.contacts)
    return Plan(
        layout=layout,
        bindings=ordered,
        dead_keys=dead_keys,
        stand_ins=tuple(stand_in for stand_in in stand_ins if bindings[stand_in.trigger].place is None),
        caps_lock=CAPS_LOCK not in taken,
        num_lock=NUM_LOCK not in taken,
        guard=possible if layout.guard is None else layout.guard,
        timing=timing_of(layout.machine.scan, len(layout.machine.select)),
        by_trigger=MappingProxyType({binding.trigger: binding.action for binding in ordered}),
        pad_bindings=_pad_bindings(layout),
        driven=_driven(layout),
    )


def _driven(layout: Layout) -> Driven | None:
    """The controllers that pads drive, pairs of directions that never close together, and how long a tap is shown."""
    if layout.pads is None:
        return None
    opposites: list[tuple[str, str, str]] = []
    for one in driven_controllers(layout.pads, layout.machine):
        for pair in ((Direction.UP, Direction.DOWN), (Direction.LEFT, Direction.RIGHT)):
            found = [each.switch.function for each in one.switches if each.direction in pair]
            if len({each.direction for each in one.switches if each.direction in pair}) == len(found) == 2:
                opposites.append((one.controller.name, found[0], found[1]))
    return Driven(controllers=layout.pads.order, opposites=tuple(opposites), poll_ticks=poll_ticks(layout.machine.scan))


def _pad_bindings(layout: Layout) -> tuple[Binding, ...]:
    """What buttons of pads press, at every level, because Shift on a keyboard changes nothing about a button."""
    buttons = layout.pads.buttons if layout.pads else ()
    found = []
    for button, usage in zip(buttons, STROKE_USAGES, strict=False):
        does = button.does
        action = Command(number=does) if isinstance(does, int) else stroke_action(layout, does)
        for level in range(1, layout.host.levels + 1):
            trigger = Trigger(usage=usage, level=level)
            found.append(Binding(trigger=trigger, action=action, place=button.place))
    return tuple(found)


def _apply_lines(layout: Layout, bindings: dict[Trigger, Binding]) -> None:
    """Puts the layout's own lines over the result of the join; a line with modifiers wins over one without."""
    named: list[tuple[TriggerName, Action]] = [(line.trigger, _line_action(layout, line)) for line in layout.keys]
    named += [(line.trigger, Command(number=line.number)) for line in layout.commands]
    for trigger, action in sorted(named, key=lambda pair: not pair[0].every_level):
        for usage in trigger.usages:
            for level in _levels(layout, trigger, usage, action):
                cell = Trigger(usage=usage, level=level, extras=trigger.extras)
                bindings[cell] = Binding(trigger=cell, action=action, place=trigger.place)
    for lock in layout.locks:
        for level in range(1, layout.host.levels + 1):
            cell = Trigger(usage=lock.usage, level=level)
            bindings[cell] = Binding(trigger=cell, action=_lock_action(layout, lock), place=lock.place)


def _levels(layout: Layout, trigger: TriggerName, usage: Usage, action: Action) -> range:
    """The levels for which a line is used.

    A line without modifiers is used for every level in four cases: it feeds a modifier; the key's place counts (a
    positional layout); the host key does not tell levels apart; or the key is on the keypad, where level 2 is Num Lock
    off.
    """
    if not trigger.every_level:
        return range(trigger.level, trigger.level + 1)
    if usage in KEYPAD_DIGITS:
        return range(1, 3)
    key = layout.host.keys.get(usage)
    one_legend = key is None or len(key.legends) == 1
    if layout.join is Join.POSITIONAL or one_legend or isinstance(action, Feed):
        return range(1, layout.host.levels + 1)
    return range(1, 2)


def _line_action(layout: Layout, line: KeyLine) -> Action:
    return stroke_action(layout, line.stroke)


def stroke_action(layout: Layout, name: StrokeName) -> Action:
    """What a stroke as written does: nothing, feed a modifier, or press keys."""
    machine = layout.machine
    if not name.keys and not name.modifiers:
        return Nothing()
    if len(name.keys) == 1 and not name.modifiers:
        modifier = machine.modifier_of(name.keys[0])
        if modifier is not None:
            return Feed(modifier=modifier, contact=machine.key(name.keys[0]).contact)
    keys = tuple(machine.key(key) for key in name.keys)
    return make_stroke(machine, layout.contacts, keys, name.modifiers, exact=layout.join is Join.SYMBOLIC)


def _lock_action(layout: Layout, lock: LockLine) -> Action:
    machine = layout.machine
    parallel = machine.latching.get(lock.key)
    if parallel is not None:
        return Latch(key=lock.key, modifier=machine.modifier_of(parallel), contact=machine.key(parallel).contact)
    held, names = machine.pressed(lock.key)
    return make_stroke(machine, layout.contacts, tuple(map(machine.key, names)), held, exact=False)
