"""Lines for many keys: the host key on which each key of the machine responds to one."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Set

from matrixmap.hid.geometry import FORM_NAMES, form
from matrixmap.hid.usages import KEYPAD_DIGITS, Usage, by_code
from matrixmap.join.demands import make_stroke
from matrixmap.model.host import Host
from matrixmap.model.layout import Join, Layout, ManyLine
from matrixmap.model.machine import Contact, Key
from matrixmap.model.plan import Binding, Demand, StandIn, Stroke, Trigger
from matrixmap.model.words import usage_name


def many_bindings(
    layout: Layout, bindings: Mapping[Trigger, Binding], stand_ins: Iterable[StandIn]
) -> dict[Trigger, Binding]:
    """What the lines for many keys add to some bindings; a line that names a key wins over them."""
    stands_in = frozenset(each.trigger for each in stand_ins)
    # Easiest first: the keypad last, keys of the form first, then keys that print it themselves, then the lowest level.
    presses = sorted(_alone(bindings), key=lambda press: (*_ease(layout.host, press[0], stands_in), press[1]))
    found: dict[Trigger, Binding] = {}
    for line in layout.many:
        for usage, key in _pairs(layout, line, presses):
            trigger = Trigger(usage=usage, level=line.trigger.level, extras=line.trigger.extras)
            named = bindings.get(trigger)
            if named is None or named.place is None:
                exact = layout.join is Join.SYMBOLIC
                stroke = make_stroke(layout.machine, layout.contacts, (key,), line.stroke.modifiers, exact)
                found[trigger] = Binding(trigger=trigger, action=stroke, place=line.trigger.place)
    return found


def _pairs(layout: Layout, line: ManyLine, presses: Iterable[tuple[Trigger, Contact]]) -> Iterator[tuple[Usage, Key]]:
    """Host keys with the machine's key that a line presses there.

    A host key stands for one key of the machine, and that key responds on one host key: the first free ones, in the
    order of `presses`. Both usages of a code are one host key.
    """
    wanted = {key.contact: key for key in layout.machine.keys if line.stroke.modifiers in key.types}
    taken: set[str] = set()
    for trigger, contact in presses:
        code = usage_name(trigger.usage)
        keypad = trigger.usage in KEYPAD_DIGITS and line.trigger.level > 1  # its second level is Num Lock off
        if contact in wanted and code not in taken and not keypad:
            taken.add(code)
            key = wanted.pop(contact)
            yield from ((usage, key) for usage in by_code(code) or (trigger.usage,))


def _alone(bindings: Mapping[Trigger, Binding]) -> Iterator[tuple[Trigger, Contact]]:
    """Presses that close one contact and hold no modifier of the machine, so that a key types its plain legend."""
    for trigger, binding in bindings.items():
        match binding.action:
            case Stroke(contacts=(contact,), demands=demands) if Demand.HOLD not in demands and not trigger.extras:
                yield trigger, contact


def _ease(host: Host, trigger: Trigger, stands_in: Set[Trigger]) -> tuple[bool, bool, bool, int, Usage]:
    name = usage_name(trigger.usage)
    of_form = host.form in FORM_NAMES and any(
        usage in form(host.form).by_usage for usage in (trigger.usage, *by_code(name))
    )
    return name.startswith("Numpad"), not of_form, trigger in stands_in, trigger.level, trigger.usage
