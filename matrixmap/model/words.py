"""Triggers, strokes and legends in words, the same everywhere."""

from __future__ import annotations

import json
import unicodedata
from collections.abc import Sequence
from dataclasses import replace

from matrixmap.hid.usages import KEYPAD_DIGITS, Usage, code_or_number
from matrixmap.model.host import Host, cap_text
from matrixmap.model.layout import HostModifier
from matrixmap.model.machine import Contact, Machine, Scan
from matrixmap.model.plan import Action, Command, Demand, Feed, Latch, Nothing, Stroke, Trigger, Way

LEVEL_WORDS = {1: "", 2: "Shift+", 3: "AltGr+", 4: "Shift+AltGr+"}
LEVEL_TITLES = {1: "plain", 2: "Shift", 3: "AltGr", 4: "Shift+AltGr"}


def usage_name(usage: Usage) -> str:
    """A host key by its W3C code, or by its number if it has no code."""
    return code_or_number(usage)


def trigger_name(trigger: Trigger) -> str:
    """A trigger as a layout file writes it, with the state of Num Lock on the keypad: `Shift+Digit2`."""
    name = usage_name(trigger.usage)
    extras = "".join(f"{extra.value}+" for extra in HostModifier if extra in trigger.extras)
    if trigger.usage in KEYPAD_DIGITS:
        lock = {1: " (Num Lock on)", 2: " (Num Lock off)"}.get(trigger.level, "")
        return f"{extras}{name}{lock}"
    return f"{LEVEL_WORDS[trigger.level]}{extras}{name}"


def printed_keys(host: Host, trigger: Trigger) -> str:
    """A trigger as a person with the host in front reads it: `Shift 2`, `AltGr Q`, `Alt F1`, `keypad 7`."""
    plain = trigger.level == 1 and not trigger.extras
    name = _plain_name(host, trigger.usage) if plain else cap_name(host, trigger.usage)
    extras = [extra.value for extra in HostModifier if extra in trigger.extras]
    if usage_name(trigger.usage).startswith("Numpad"):
        off = trigger.usage in KEYPAD_DIGITS and trigger.level == 2
        return " ".join([*extras, f"keypad {name}" + (" with Num Lock off" if off else "")])
    levels = LEVEL_WORDS[trigger.level].split("+")[:-1]
    return " ".join([*levels, *extras, name])


def printed_press(host: Host, way: Way) -> str:
    """A way as one press among others: `Shift 2`, `E after the dead key ´`."""
    *dead, press = way
    return " after the dead key ".join(printed_keys(host, trigger) for trigger in (press, *dead))


def cap_name(host: Host, usage: Usage) -> str:
    r"""The print by which a person finds a key: its digit or letter, else its first legend, else the W3C code.

    If several keys print the same, the code follows the print: `\ (IntlBackslash)`.
    """
    return host.names.get(usage) or usage_name(usage)


def _plain_name(host: Host, usage: Usage) -> str:
    """A key by what it types plain, if that is printed on it; told apart from other keys as by `cap_name`."""
    key, name = host.keys.get(usage), cap_name(host, usage)
    typed = key.at(1) if key and key.is_printed(1) else None
    if typed is None or host.prints.get(usage) == cap_text(typed.text):
        return name
    return cap_text(typed.text)


_MODIFIER_PRINT = {"Shift": "Shift", "Control": "Ctrl", "Alt": "Alt", "Meta": "Meta"}


def printed_on(host: Host, usage: Usage) -> str:
    """What is printed on a key, whatever other keys print; modifiers by their usual names."""
    name = usage_name(usage)
    if name == "AltRight" and host.has_altgr:
        return "AltGr"
    for word, printed in _MODIFIER_PRINT.items():
        if name in (f"{word}Left", f"{word}Right"):
            return printed
    return host.prints.get(usage, name)


def printed_name(host: Host, usage: Usage) -> str:
    r"""The print of a key, told apart if two keys print the same: `keypad 7`, `left Shift`, `\ (IntlBackslash)`."""
    name, printed = usage_name(usage), printed_on(host, usage)
    if name.startswith("Numpad"):
        return f"keypad {cap_name(host, usage)}"
    if printed in _MODIFIER_PRINT.values():
        return f"{'left' if name.endswith('Left') else 'right'} {printed}"
    return printed if printed == "AltGr" else cap_name(host, usage)


def key_name(machine: Machine, contact: Contact) -> str:
    """The key at a contact, or the contact by its lines if there is no key."""
    for key in machine.keys:
        if key.contact == contact:
            return key.name
    return machine.contact_name(contact)


def in_a_row(words: Sequence[str], last: str = " and ") -> str:
    """Words in a row: `A`, `A and B`, `A, B and C`."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])}{last}{words[-1]}"


def repeat_words(scan: Scan) -> str:
    """When a key of the machine repeats, as a sentence; empty if the file does not say."""
    if scan.repeat_delay_ms is None or scan.repeat_every_ms is None:
        return ""
    return f"A key that stays down repeats after {scan.repeat_delay_ms} ms, then every {scan.repeat_every_ms} ms."


def stroke_name(machine: Machine, stroke: Stroke) -> str:
    """A stroke as a layout file writes it: `shift + d2`; a sequence as `ebb + b, then flood + a`."""
    if stroke.before:
        last = replace(stroke, before=())
        return ", then ".join(stroke_name(machine, each) for each in (*stroke.before, last))
    held = [
        modifier.name
        for modifier, demand in zip(machine.modifiers, stroke.demands, strict=True)
        if demand is Demand.HOLD
    ]
    return " + ".join([*held, *(key_name(machine, contact) for contact in stroke.contacts)])


def lifted(machine: Machine, stroke: Stroke) -> tuple[str, ...]:
    """The modifiers that a stroke lifts."""
    return tuple(
        modifier.name
        for modifier, demand in zip(machine.modifiers, stroke.demands, strict=True)
        if demand is Demand.LIFT
    )


def action_name(machine: Machine, action: Action) -> str:
    """What a trigger does, in a few words."""
    match action:
        case Stroke():
            return stroke_name(machine, action)
        case Feed():
            return f"is {action.modifier} ({key_name(machine, action.contact)})"
        case Latch():
            return f"sets and frees {action.key}"
        case Command():
            return f"command {action.number}"
        case Nothing():
            return "nothing, on purpose"


def shown(text: str) -> str:
    """A legend or title for reading: a blank is named, and what a terminal would obey is written as its code point."""
    if text == " ":
        return "space"
    if len(text) == 1 and unicodedata.category(text) == "Zs":
        return unicodedata.name(text).lower()
    if text.isprintable():
        return text
    return "".join(char if _visible(char) else f"\\u{{{ord(char):04x}}}" for char in text)


def json_text(value: object, indent: int | None = 2) -> str:
    """A value as JSON that can be read directly: what a terminal would obey is written as JSON's own escape."""
    text = json.dumps(value, ensure_ascii=False, indent=indent)
    if all(line.isprintable() for line in text.split("\n")):
        return text
    return "".join(char if char == "\n" or _visible(char) else json.dumps(char)[1:-1] for char in text)


def _visible(char: str) -> bool:
    return unicodedata.category(char) not in {"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"}
