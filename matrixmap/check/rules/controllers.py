"""Controllers: their switches share lines with the matrix, and the adapter does not see them."""

from __future__ import annotations

from collections.abc import Iterator

from matrixmap.check.engine.conflicts import conducting, likeliest, unlikely
from matrixmap.check.engine.plan_conflicts import PlanConflicts
from matrixmap.check.engine.record import CheckRule, Report
from matrixmap.check.rules.phantoms import NOT_MADE, not_told
from matrixmap.check.rules.reach import reached_contacts
from matrixmap.circuit.reading import phantoms, switch_contacts
from matrixmap.model.finding import Severity
from matrixmap.model.machine import Wiring
from matrixmap.model.words import key_name

SECOND_SWITCH = 4
"""How much less likely a second closed switch makes a case; as a further modifier does."""


def _pulled(conflicts: PlanConflicts) -> Iterator[Report]:
    machine, how = conflicts.plan.layout.machine, conflicts.plan.contacts
    wording = conflicts.wording
    told, more = likeliest(conflicts.pulls)
    for conflict in told:
        items, fed, combinations = conflict.how
        closing = tuple([(controller.name, switch.function) for controller, switch in conflict.switches])
        extra = conflict.extra
        witness = wording.witness(items, fed, extra, switches=closing)
        if witness.closed != conflict.contacts:
            extra = tuple(sorted(phantoms(machine, witness.closed, how, conflict.switches)))
            if not extra:
                continue
            witness = witness._replace(phantoms=extra)
        after = "the guard does not see the controller" if witness.made else NOT_MADE
        names = " and ".join([wording.switch(*switch) for switch in conflict.switches])
        yield Report(
            f"{wording.press(witness)}, and close {names}: {conducting(machine, wording, conflict.contacts, conflict.switches)}, and the machine "
            f"also reads {wording.reads(extra, witness.closed)}; {after}",
            place=wording.place(items),
            cases=combinations,
            witness=witness,
            likelihood=unlikely(conflict) + SECOND_SWITCH * (len(closing) - 1),
            at_most=Severity.WARNING if witness.made and len(items) < 2 else Severity.NOTE,
        )
    if more:
        yield not_told(more, "sets of contacts and switches would make a phantom", Severity.WARNING)


CONTROLLER_MAKES_PHANTOM = CheckRule(
    slug="controller-makes-phantom",
    severity=Severity.WARNING,
    purpose="Keys held together with a controller's switch make the machine read keys that are not pressed.",
    explanation="A switch that pulls a sense line low (ground, gated) needs two contacts on one select line. They carry the "
    "pull on to a second sense line, which then reads closed wherever the switch pulls. A switch that is a plain contact is "
    "one corner of a rectangle, as a key is. With two more contacts the machine reads the fourth corner, or the contact carries "
    "the pull of another switch on. So two switches and one key can do what none of them does alone: all such sets of one or two "
    "switches are told. Three switches without a key are not told, because no layout changes them. The adapter cannot know that a "
    "switch is closed, so the guard does not help. Adapter contacts through diodes do, except where the corner of the path "
    "is a controller's plain contact; they have a price (diodes-cost-margin). With two keys it is a note, with one key and its "
    "modifiers a warning.",
    bad="keys: {F9: d6 + s}",
    good="keys: {F9: b1 + q}",
    of_machine=True,
    function=_pulled,
)


def _look_alike(conflicts: PlanConflicts) -> Iterator[Report]:
    strokes = conflicts.strokes
    machine = conflicts.plan.layout.machine
    wording = conflicts.wording
    pressed = reached_contacts(strokes)
    for controller in machine.controllers:
        for switch in controller.switches:
            contacts = switch_contacts(machine, switch)
            alike = [contact for contact in contacts if contact in pressed]
            if not alike:
                continue
            manner = {Wiring.GROUND: "at once ", Wiring.CONTACT: "exactly "}.get(controller.wired, "")
            yield Report(
                f"{wording.switch(controller, switch)} reads {manner}like {', '.join(key_name(machine, contact) for contact in alike)}; "
                "while it is closed, the machine sees no press of these",
                cases=len(alike),
            )


CONTROLLER_LOOKS_LIKE_KEY = CheckRule(
    slug="controller-looks-like-key",
    severity=Severity.NOTE,
    purpose="The machine cannot tell a controller's switch from keys.",
    explanation="A switch that pulls a sense line reads like all keys of that line; a gated one, like the key on its select "
    "line. A plain contact is, to the machine, the very key at its two lines. That is how the machine was built. The list "
    "tells which keys to keep off while somebody plays.",
    bad="keys: {KeyQ: q}",
    good="keys: {F2: b2}",
    of_machine=True,
    function=_look_alike,
)

RULES = (CONTROLLER_MAKES_PHANTOM, CONTROLLER_LOOKS_LIKE_KEY)
