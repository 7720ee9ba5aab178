"""The checklist of a board: the order of its parts in assembly, and which way round each goes on."""

from __future__ import annotations

from collections.abc import Iterator

from matrixmap.board.cautions import CAUTIONS
from matrixmap.model.boards.adapter import Adapter, Mates, Part, PartUse, Passive
from matrixmap.model.words import shown

ORDER = (
    "flat parts first",
    "then small parts of three pins and jumpers",
    "then chips",
    "then capacitors",
    "then connectors",
    "modules last",
)
"""The steps, by height of the soldered parts, low ones first (common practice)."""


def checklist(adapter: Adapter) -> str:
    """The checklist in Markdown: a box to tick for each part, in the order of assembly."""
    return "\n".join(shown(line) for line in _lines(adapter)) + "\n"


def _lines(adapter: Adapter) -> Iterator[str]:
    yield f"# {adapter.title}: putting the board together"
    yield ""
    yield f"Source of the wiring: {adapter.source}."
    for number, step in enumerate(ORDER):
        uses = [use for use in adapter.parts.values() if step_of(use.part) == number]
        if uses:
            yield ""
            yield f"## {step.capitalize()}"
            yield ""
            yield from (f"- [ ] **{use.ref}**: {_what(adapter, use)}" for use in uses)
    yield ""
    yield "## Before power (common practice)"
    yield ""
    yield "- [ ] Compare each part with this list once more, with the board turned as the drawing shows it."
    yield from (f"- [ ] {caution}" for caution in CAUTIONS)


def step_of(part: Part) -> int:
    """The step of ORDER in which a part goes on."""
    if part.header is not None:
        return 4
    if part.processor:
        return 5
    if part.passive in (Passive.RESISTOR, Passive.DIODE, Passive.INDUCTOR):
        return 0
    if part.passive is Passive.CAPACITOR:
        return 3
    return 1 if len(part.pins) <= 3 else 2


def _what(adapter: Adapter, use: PartUse) -> str:
    part = use.part
    words = [part.title]
    if use.ohms is not None:
        words.append(f"{use.ohms:g} ohms")
    if part.passive is Passive.DIODE:
        nets = {pin: net.name for net in adapter.nets for pin in net.pins}
        for _, cathode in part.elements:
            net = next((name for pin, name in nets.items() if pin.ref == use.ref and pin.number == cathode), "?")
            words.append(f"the ring (cathode) at the net {net}")
    elif part.passive is Passive.JUMPER:
        words.append("closed" if use.closed else "open")
    elif part.header is not None:
        shape = part.header
        words.append(f"{shape.rows} x {shape.columns}, pin 1 at the square pad")
        if use.key_pin is not None:
            verb = "fill the hole of" if shape.gender.value == "socket" else "take out"
            words.append(f"{verb} pin {use.key_pin}")
        words += {
            Mates.KEYS: ["goes on the machine's key connector"],
            Mates.OWN_KEYBOARD: ["takes the machine's own keyboard"],
        }.get(use.mates, [])
    elif len(part.pins) > 2 and part.passive is None:
        words.append(f"pin 1 is {part.pins['1']}; its mark is at the square pad")
    elif len(part.pins) > 2:
        words.append("the mark is at pin 1")
    return "; ".join(words)
