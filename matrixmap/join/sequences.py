"""Sequences: legends that the machine types with several strokes in turn, as one stroke with others before it."""

from __future__ import annotations

from dataclasses import replace

from matrixmap.join.demands import choose_holds
from matrixmap.model.layout import Layout
from matrixmap.model.legend import Legend, other_case
from matrixmap.model.machine import Keystroke
from matrixmap.model.plan import Demand, Stroke
from matrixmap.model.sequences import sequences_of


class SequenceMaker:
    """The sequences of a layout's machine, each made once."""

    def __init__(self, layout: Layout) -> None:
        self.layout = layout
        self.known = sequences_of(layout.machine)
        self._made: dict[str, Stroke] = {}

    def find(self, legend: Legend, exact: bool = False) -> Stroke | None:
        """The last stroke of the sequence that types a legend, with those before it; in either case unless `exact`."""
        text: str | None = legend.text
        if text not in self.known:
            text = other_case(legend.text) if not exact and legend.is_character else None
        if text is None or text not in self.known:
            return None
        if text not in self._made:
            *before, last = (self._stroke(stroke) for stroke in self.known[text])
            self._made[text] = replace(last, before=tuple(before), types=Legend(text))
        return self._made[text]

    def _stroke(self, stroke: Keystroke) -> Stroke:
        """One stroke with exactly the modifiers of its state: with others it may begin or type something else."""
        machine, how = self.layout.machine, self.layout.contacts
        key = machine.key(stroke.key) if stroke.key is not None else None
        contacts = (key.contact,) if key else ()
        held = [modifier.name for modifier in machine.modifiers if modifier.name in stroke.state]
        demands = (Demand.HOLD if modifier.name in held else Demand.LIFT for modifier in machine.modifiers)
        return Stroke(
            contacts=contacts,
            demands=tuple(demands),
            holds=choose_holds(machine, how, contacts, held),
            types=key.types.get(stroke.state) if key else None,
        )
