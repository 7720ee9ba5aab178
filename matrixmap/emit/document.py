"""A plan as JSON: what a program needs to know about a layout, and the hash that names it."""

from __future__ import annotations

import json
from hashlib import sha256
from typing import TypedDict

from matrixmap.model.machine import Contact
from matrixmap.model.plan import Action, Binding, Command, Feed, Latch, Nothing, Plan, Stroke
from matrixmap.model.words import json_text, key_name, trigger_name, usage_name


class TimingDocument(TypedDict):
    """Times in ticks of 100 microseconds."""

    close: int
    open: int
    lead: int


class ContactDocument(TypedDict):
    """A contact: its number, its lines in words, and the key there."""

    contact: int
    lines: str
    key: str


class TriggerDocument(TypedDict, total=False):
    """A trigger and what it does; which fields are there depends on `action`."""

    trigger: str
    usage: int
    level: int
    extras: list[str]
    action: str
    types: str | None
    contacts: list[ContactDocument]
    demands: dict[str, str]
    holds: list[ContactDocument]
    modifier: str | None
    command: int


class PlanDocument(TypedDict):
    """A plan."""

    layout: str
    title: str
    machine: str
    host: str
    join: str
    contacts: str
    guard: bool
    caps_lock: bool
    num_lock: bool
    rollover: int | None
    timing: TimingDocument
    caps: dict[str, str]
    triggers: list[TriggerDocument]


def plan_document(plan: Plan) -> PlanDocument:
    """The plan without places in files, so that it stays the same when only lines move."""
    layout = plan.layout
    return {
        "layout": layout.id,
        "title": layout.title,
        "machine": layout.machine.id,
        "host": layout.host.id,
        "join": layout.join.value,
        "contacts": plan.contacts.value,
        "guard": plan.guard,
        "caps_lock": plan.caps_lock,
        "num_lock": plan.num_lock,
        "rollover": layout.machine.scan.rollover,
        "timing": {"close": plan.timing.close_ticks, "open": plan.timing.open_ticks, "lead": plan.timing.lead_ticks},
        "caps": {
            usage_name(usage): key.caps.value for usage, key in layout.host.keys.items() if key.caps.value != "none"
        },
        "triggers": [_trigger(plan, binding) for binding in plan.bindings],
    }


def plan_json(document: PlanDocument) -> str:
    """A plan as JSON text, a line a trigger."""
    lines = [json_text(trigger, indent=None) for trigger in document["triggers"]]
    head = json_text({**document, "triggers": []})
    body = ",\n    ".join(lines)
    return head.removesuffix("[]\n}") + f"[\n    {body}\n  ]\n}}\n" if lines else head + "\n"


def plan_hash(document: PlanDocument) -> str:
    """SHA-256 of a plan, in hexadecimal."""
    text = json.dumps(document, ensure_ascii=False, separators=(",", ":"), sort_keys=True)
    return sha256(text.encode("utf-8")).hexdigest()


def _trigger(plan: Plan, binding: Binding) -> TriggerDocument:
    trigger = binding.trigger
    return {
        "trigger": trigger_name(trigger),
        "usage": trigger.usage,
        "level": trigger.level,
        "extras": sorted(extra.value for extra in trigger.extras),
        **_action(plan, binding.action),
    }


def _action(plan: Plan, action: Action) -> TriggerDocument:
    match action:
        case Stroke():
            return {
                "action": "stroke",
                "types": action.types.text if action.types else None,
                "contacts": [_contact(plan, contact) for contact in action.contacts],
                "demands": {
                    modifier.name: demand.value
                    for modifier, demand in zip(plan.layout.machine.modifiers, action.demands, strict=True)
                },
                "holds": [_contact(plan, contact) for contact in action.holds],
            }
        case Feed():
            return {"action": "modifier", "modifier": action.modifier, "contacts": [_contact(plan, action.contact)]}
        case Latch():
            return {"action": "latch", "modifier": action.modifier, "contacts": [_contact(plan, action.contact)]}
        case Command():
            return {"action": "command", "command": action.number}
        case Nothing():
            return {"action": "nothing"}


def _contact(plan: Plan, contact: Contact) -> ContactDocument:
    machine = plan.layout.machine
    return {"contact": contact, "lines": machine.contact_name(contact), "key": key_name(machine, contact)}
