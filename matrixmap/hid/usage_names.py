"""Names of usages outside the keyboard page that keyboards commonly have: pages 0x01, 0x08 and 0x0C.

Names: USB-IF, HID Usage Tables, chapters 4 (Generic Desktop), 11 (LED) and 15 (Consumer). A usage that is not listed
here is written as its number.
"""

from typing import Final

from matrixmap.hid.usages import KEYBOARD_PAGE, LED_PAGE, by_number

DESKTOP_PAGE: Final = 0x01
CONSUMER_PAGE: Final = 0x0C

KEYBOARD: Final = DESKTOP_PAGE << 16 | 0x06
KEYPAD: Final = DESKTOP_PAGE << 16 | 0x07
JOYSTICK: Final = DESKTOP_PAGE << 16 | 0x04
GAME_PAD: Final = DESKTOP_PAGE << 16 | 0x05

PAGES: Final = {
    0x01: "Generic Desktop",
    0x02: "Simulation Controls",
    0x06: "Generic Device Controls",
    0x07: "Keyboard/Keypad",
    0x08: "LED",
    0x09: "Button",
    0x0B: "Telephony Device",
    0x0C: "Consumer",
    0x0D: "Digitizers",
    0x84: "Power",
}

NAMES: Final = {
    0x01: {
        0x01: "Pointer",
        0x02: "Mouse",
        0x04: "Joystick",
        0x05: "Gamepad",
        0x06: "Keyboard",
        0x07: "Keypad",
        0x30: "X",
        0x31: "Y",
        0x32: "Z",
        0x33: "Rx",
        0x34: "Ry",
        0x35: "Rz",
        0x36: "Slider",
        0x37: "Dial",
        0x38: "Wheel",
        0x39: "Hat Switch",
        0x3D: "Start",
        0x3E: "Select",
        0x80: "System Control",
        0x81: "System Power Down",
        0x82: "System Sleep",
        0x83: "System Wake Up",
        0x90: "D-pad Up",
        0x91: "D-pad Down",
        0x92: "D-pad Right",
        0x93: "D-pad Left",
    },
    0x08: {0x01: "Num Lock", 0x02: "Caps Lock", 0x03: "Scroll Lock", 0x04: "Compose", 0x05: "Kana"},
    0x0C: {
        0x01: "Consumer Control",
        0x30: "Power",
        0x32: "Sleep",
        0x40: "Menu",
        0x6F: "Display Brightness Increment",
        0x70: "Display Brightness Decrement",
        0xB0: "Play",
        0xB1: "Pause",
        0xB3: "Fast Forward",
        0xB4: "Rewind",
        0xB5: "Scan Next Track",
        0xB6: "Scan Previous Track",
        0xB7: "Stop",
        0xB8: "Eject",
        0xCD: "Play/Pause",
        0xE0: "Volume",
        0xE2: "Mute",
        0xE9: "Volume Increment",
        0xEA: "Volume Decrement",
        0x183: "AL Consumer Control Configuration",
        0x18A: "AL Email Reader",
        0x192: "AL Calculator",
        0x194: "AL Local Machine Browser",
        0x196: "AL Internet Browser",
        0x221: "AC Search",
        0x223: "AC Home",
        0x224: "AC Back",
        0x225: "AC Forward",
        0x226: "AC Stop",
        0x227: "AC Refresh",
        0x22A: "AC Bookmarks",
    },
}


def find_elsewhere(pattern: str) -> tuple[tuple[int, int, str], ...]:
    """Page, number and name of the usages outside the keyboard page with a pattern in their name, ascending.

    Letter case and outer blanks do not count; a blank pattern, or a number, finds nothing.
    """
    wanted = pattern.strip().casefold()
    if not wanted or wanted[0].isdigit():
        return ()
    return tuple(
        (page, usage, name)
        for page, names in sorted(NAMES.items())
        for usage, name in sorted(names.items())
        if wanted in name.casefold()
    )


def page_name(page: int) -> str:
    """A usage page in words, `the Consumer page`, or as its number."""
    if page >= 0xFF00:
        return f"vendor page 0x{page:04X}"
    name = PAGES.get(page)
    return f"the {name} page" if name else f"page 0x{page:02X}"


def extended_name(usage: int) -> str:
    """A usage with its page in the upper 16 bits, by its name (`KeyA`, `Mute`) or by its numbers."""
    page, number = usage >> 16, usage & 0xFFFF
    if page == KEYBOARD_PAGE:
        fact = by_number(number)
        return fact.code if fact and fact.code else f"0x{number:02X}"
    name = NAMES.get(page, {}).get(number)
    if name is not None:
        return f"{name} LED" if page == LED_PAGE else name
    return f"0x{number:02X} of {page_name(page)}"
