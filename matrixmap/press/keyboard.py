"""The keys of a keyboard as objects that fingers press: each once, and whether a usual keyboard has it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from matrixmap.hid.geometry import FORM_NAMES, form
from matrixmap.hid.usages import CAPS_LOCK, NUM_LOCK, Usage, by_code, by_number
from matrixmap.model.host import Host
from matrixmap.model.plan import Plan


@dataclass(frozen=True, slots=True, kw_only=True)
class PhysicalKey:
    """One key: the usage that it sends, the usages that boards of other forms send for it, and its place.

    `usual` means that the host's form has it. Keys such as F13 or Help, and keys of other forms only, are not usual.
    """

    usage: Usage
    others: tuple[Usage, ...]
    usual: bool


@cache
def form_usages(name: str) -> frozenset[Usage]:
    """The usages of a form's keys; none if the geometry of the form is not known."""
    return frozenset(form(name).by_usage) if name in FORM_NAMES else frozenset()


def same_key(usage: Usage) -> tuple[Usage, ...]:
    """The usages for one key, ascending: two for `Backslash`, else the usage itself."""
    fact = by_number(usage)
    return by_code(fact.code) if fact and fact.code else (usage,)


def key_usage(host: Host, usage: Usage) -> Usage:
    """The usage that identifies a key: of two usages for one key, that of the host's form, else the lower."""
    twins = same_key(usage)
    if len(twins) == 1:
        return usage
    usual = form_usages(host.form)
    return next((twin for twin in twins if twin in usual), twins[0])


def physical_keys(plan: Plan) -> tuple[PhysicalKey, ...]:
    """Every key that the host has or that the plan uses, each once, by usage.

    If the geometry of the host's form is not known, every key counts as usual.
    """
    host = plan.layout.host
    usual = form_usages(host.form)
    usages = {*host.keys, *usual, *(binding.trigger.usage for binding in plan.bindings)}
    usages |= {trigger.usage for trigger in plan.dead_keys.triggers}
    usages |= {usage for usage, kept in ((CAPS_LOCK, plan.caps_lock), (NUM_LOCK, plan.num_lock)) if kept}
    keys: dict[Usage, set[Usage]] = {}
    for usage in usages:
        keys.setdefault(key_usage(host, usage), set()).update(same_key(usage))
    return tuple(
        PhysicalKey(usage=usage, others=tuple(sorted(twins - {usage})), usual=not usual or bool(twins & usual))
        for usage, twins in sorted(keys.items())
    )
