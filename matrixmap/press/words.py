"""Presses and ways in words, for a person in front of the host's keyboard."""

from __future__ import annotations

from collections.abc import Container, Iterable

from matrixmap.hid.usages import (
    ALT_LEFT,
    ALT_RIGHT,
    CONTROL_LEFT,
    CONTROL_RIGHT,
    KEYPAD_DIGITS,
    META_LEFT,
    META_RIGHT,
    MODIFIER_BITS,
    NUM_LOCK,
    SHIFT_LEFT,
    SHIFT_RIGHT,
    Usage,
)
from matrixmap.model.host import Host
from matrixmap.model.press import KeyPress, Way
from matrixmap.model.words import cap_name, printed_keys, usage_name
from matrixmap.press.levels import Answer
from matrixmap.press.rules import Cause

_ORDER = (SHIFT_LEFT, SHIFT_RIGHT, ALT_RIGHT, CONTROL_LEFT, CONTROL_RIGHT, ALT_LEFT, META_LEFT, META_RIGHT)

LOCK_WORDS = {"CapsLock": "Caps Lock", "ScrollLock": "Scroll Lock", "NumLock": "Num Lock"}


def held_words(host: Host, press: KeyPress) -> tuple[str, ...]:
    """What to hold for a press, in words: `Shift`, `right Shift`, `AltGr`, `Alt`."""
    return holding_words(host, press.hold, press.either)


def holding_words(host: Host, hold: Iterable[Usage], either: Container[Usage] = ()) -> tuple[str, ...]:
    """Held keys in words and in the usual order; for keys in `either`, the side does not matter."""
    held = sorted(hold, key=held_order)
    return tuple(held_word(host, usage, usage in either) for usage in held)


def held_order(usage: Usage) -> int:
    """Sort key for held keys in the order of their names: Shift first, then AltGr, Control, Alt and Meta."""
    return _ORDER.index(usage) if usage in _ORDER else len(_ORDER) + usage


def lock_word(host: Host, usage: Usage) -> str:
    """A lock or latch key that is turned on, in words."""
    return LOCK_WORDS.get(usage_name(usage), cap_name(host, usage))


def held_word(host: Host, usage: Usage, either: bool = False) -> str:
    """A held key in words; with `either` the side does not matter."""
    name = usage_name(usage)
    if usage not in MODIFIER_BITS:
        return cap_name(host, usage)
    if usage == ALT_RIGHT and host.has_altgr:
        return "AltGr"
    word = name.removesuffix("Left").removesuffix("Right")
    if either or (usage == ALT_LEFT and host.has_altgr):
        return word
    return f"{'left' if name.endswith('Left') else 'right'} {word}"


def is_sided(host: Host, press: KeyPress) -> bool:
    """Whether a press needs a particular side of a modifier with two sides."""
    words = (held_word(host, usage, usage in press.either) for usage in press.hold if usage in MODIFIER_BITS)
    return any(word.startswith(("left ", "right ")) for word in words)


def key_words(host: Host, press: KeyPress) -> str:
    """The key of a press by its print; a keypad key with the state of Num Lock that it needs."""
    if press.usage in MODIFIER_BITS:
        return held_word(host, press.usage)
    plain = printed_keys(host, press.trigger) if press.level == 1 and not press.hold else cap_name(host, press.usage)
    if not usage_name(press.usage).startswith("Numpad"):
        return plain
    off = " with Num Lock off" if press.usage in KEYPAD_DIGITS and press.level == 2 else ""
    return f"keypad {plain.removeprefix('keypad ')}{off}"


def press_words(host: Host, press: KeyPress) -> str:
    """A press: `Shift 2`, `right Shift Alt 4`, `keypad 7`; with a lock or latch that must be on, `Caps Lock on, A`."""
    on = [usage for usage in press.on if usage != NUM_LOCK]
    locks = "".join(f"{lock_word(host, usage)} on, " for usage in on)
    return locks + " ".join((*held_words(host, press), key_words(host, press)))


def way_words(host: Host, way: Way) -> str:
    """Consecutive presses: `´, then Shift E`."""
    return ", then ".join(press_words(host, press) for press in way)


def press_after_words(host: Host, way: Way) -> str:
    """A way as a single item among presses: `Shift 2`, `E after the dead key ´`."""
    *dead, press = way
    return " after the dead key ".join(press_words(host, each) for each in (press, *dead))


REFUSALS = {
    Cause.PHANTOM: "refused: it would make a phantom",
    Cause.ROLLOVER: "refused: more keys than the machine tells apart",
    Cause.CONTACT: "refused: a contact of it is closed already",
}


def side_words(host: Host, answers: tuple[Answer, ...]) -> tuple[tuple[str, Answer], ...]:
    """Answers to one trigger, each with what to hold if that makes the difference: `right Shift Alt`."""
    if len(answers) == 1:
        return (("", answers[0]),)
    return tuple((" ".join(held_words(host, answer.press)), answer) for answer in answers)
