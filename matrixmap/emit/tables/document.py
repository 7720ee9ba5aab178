"""A plan as JSON: what a program needs to know about a layout, and the hash that identifies it."""

from __future__ import annotations

import json
from hashlib import sha256
from typing import NotRequired, TypedDict

from matrixmap.emit.tables.pads import PadsDocument, pads_document
from matrixmap.model.machine import Contact
from matrixmap.model.plan import Binding, Command, Feed, Latch, Nothing, Plan, Stroke
from matrixmap.model.words import json_text, key_name, trigger_name, usage_name
from matrixmap.press.levels import Answer, Levels


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


class TypesDocument(TypedDict):
    """What is typed while these keys are held, or the rule that keeps everything open."""

    hold: list[str]
    types: str | None
    refused: str | None


class StrokeDocument(TypedDict):
    """A stroke of a sequence: the contacts that close, and the modifier keys held at the same time."""

    contacts: list[ContactDocument]
    holds: list[ContactDocument]


class TriggerDocument(TypedDict, total=False):
    """A trigger and its effect; `action` decides which fields are present."""

    trigger: str
    usage: int
    level: int
    extras: list[str]
    action: str
    types: str | None
    refused: str
    by_side: list[TypesDocument]
    contacts: list[ContactDocument]
    demands: dict[str, str]
    holds: list[ContactDocument]
    before: list[StrokeDocument]
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
    resume: bool
    keyboards: str
    caps_lock: bool
    num_lock: bool
    rollover: int | None
    debounce: str
    timing: TimingDocument
    caps: dict[str, str]
    triggers: list[TriggerDocument]
    pads: NotRequired[PadsDocument]


def plan_document(levels: Levels) -> PlanDocument:
    """The plan without places in files, so that it stays the same if only lines move."""
    plan = levels.every.plan
    layout = plan.layout
    pads: PlanDocument = {"pads": pads_document(plan)} if layout.pads else {}  # type: ignore[typeddict-item]
    return {
        **pads,
        "layout": layout.id,
        "title": layout.title,
        "machine": layout.machine.id,
        "host": layout.host.id,
        "join": layout.join.value,
        "contacts": plan.contacts.value,
        "guard": plan.guard,
        "resume": layout.resumes,
        "keyboards": "apart" if layout.apart else "together",
        "caps_lock": plan.caps_lock,
        "num_lock": plan.num_lock,
        "rollover": layout.machine.scan.rollover,
        "debounce": layout.machine.scan.debounce.value,
        "timing": {"close": plan.timing.close_ticks, "open": plan.timing.open_ticks, "lead": plan.timing.lead_ticks},
        "caps": {
            usage_name(usage): key.caps.value for usage, key in layout.host.keys.items() if key.caps.value != "none"
        },
        "triggers": [_trigger(levels, binding) for binding in plan.bindings],
    }


def plan_json(document: PlanDocument) -> str:
    """A plan as JSON text, one line per trigger."""
    lines = [json_text(trigger, indent=None) for trigger in document["triggers"]]
    head = json_text({**document, "triggers": []})
    body = ",\n    ".join(lines)
    return head.removesuffix("[]\n}") + f"[\n    {body}\n  ]\n}}\n" if lines else head + "\n"


def plan_hash(document: PlanDocument) -> str:
    """SHA-256 of a plan, in hexadecimal."""
    text = json.dumps(document, ensure_ascii=False, separators=(",", ":"), sort_keys=True)
    return sha256(text.encode("utf-8")).hexdigest()


def _trigger(levels: Levels, binding: Binding) -> TriggerDocument:
    trigger = binding.trigger
    return {
        "trigger": trigger_name(trigger),
        "usage": trigger.usage,
        "level": trigger.level,
        "extras": sorted(extra.value for extra in trigger.extras),
        **_action(levels, binding),
    }


def _before(plan: Plan, stroke: Stroke) -> StrokeDocument:
    """A stroke of a sequence before the last one; it asks for exactly the modifiers that it holds."""
    return {
        "contacts": [_contact(plan, contact) for contact in stroke.contacts],
        "holds": [_contact(plan, contact) for contact in stroke.holds],
    }


def _action(levels: Levels, binding: Binding) -> TriggerDocument:
    plan, action = levels.every.plan, binding.action
    match action:
        case Stroke():
            return {
                "action": "stroke",
                **_types(levels.answers(binding.trigger)),
                "contacts": [_contact(plan, contact) for contact in action.contacts],
                "demands": {
                    modifier.name: demand.value
                    for modifier, demand in zip(plan.layout.machine.modifiers, action.demands, strict=True)
                },
                "holds": [_contact(plan, contact) for contact in action.holds],
                **({"before": [_before(plan, stroke) for stroke in action.before]} if action.before else {}),
            }
        case Feed():
            return {"action": "modifier", "modifier": action.modifier, "contacts": [_contact(plan, action.contact)]}
        case Latch():
            return {"action": "latch", "modifier": action.modifier, "contacts": [_contact(plan, action.contact)]}
        case Command():
            return {"action": "command", "command": action.number}
        case Nothing():
            return {"action": "nothing"}


def _types(answers: tuple[Answer, ...]) -> TriggerDocument:
    """What is typed, or why nothing closes; by the keys to hold if their side matters."""
    told: list[TypesDocument] = [
        {
            "hold": [usage_name(usage) for usage in answer.press.hold],
            "types": answer.done.text if answer.done else None,
            "refused": answer.done.refused.value if answer.done and answer.done.refused else None,
        }
        for answer in answers
    ]
    texts, refused = {each["types"] for each in told}, {each["refused"] for each in told}
    if len(told) == 1:
        return {"types": texts.pop(), **({"refused": reason} if (reason := refused.pop()) else {})}
    return {"types": None, "by_side": told}


def _contact(plan: Plan, contact: Contact) -> ContactDocument:
    machine = plan.layout.machine
    return {"contact": contact, "lines": machine.contact_name(contact), "key": key_name(machine, contact)}
