"""Controllers: their switches share lines with the matrix, and the adapter does not see them."""

from __future__ import annotations

from collections.abc import Iterator

from matrixmap.check.phantoms import unlikely
from matrixmap.check.reach import reached_contacts
from matrixmap.check.record import CheckRule, Report
from matrixmap.check.study import Study
from matrixmap.circuit.reading import phantoms, switch_contacts
from matrixmap.model.finding import Severity
from matrixmap.model.words import key_name


def _pulled(study: Study) -> Iterator[Report]:
    machine, how = study.plan.layout.machine, study.plan.contacts
    teller = study.teller
    for conflict in study.pulls:
        if conflict.switch is None:
            continue
        controller, switch = conflict.switch
        items, fed, combinations = conflict.how
        closing = ((controller.name, switch.function),)
        extra = conflict.extra
        witness = teller.witness(items, fed, extra, switches=closing)
        if len(witness.closed) > len(conflict.contacts):
            extra = tuple(sorted(phantoms(machine, witness.closed, how, [switch])))
            witness = teller.witness(items, fed, extra, switches=closing)
        name = teller.switch(controller, switch)
        yield Report(
            f"{teller.press(witness)}, and close {name}: {teller.closes(conflict.contacts)} carry its pull on, and the machine "
            f"also reads {teller.reads(extra, witness.closed)}; the guard does not see the controller",
            place=teller.place(items),
            cases=combinations,
            witness=witness,
            likelihood=unlikely(conflict),
            at_most=Severity.WARNING if len(items) < 2 else Severity.NOTE,
        )


CONTROLLER_MAKES_PHANTOM = CheckRule(
    slug="controller-makes-phantom",
    severity=Severity.WARNING,
    purpose="Keys held together with a controller's switch make the machine read keys that are not pressed.",
    explanation="The switch pulls a sense line low. Two contacts on one select line carry the pull on to a second sense "
    "line, which then reads closed wherever the switch pulls. The adapter cannot know that the switch is closed, so the "
    "guard does not help; contacts through diodes do. Two switches together do nothing that one of them does not do. "
    "With two keys it is a note, with one key and its modifiers a warning.",
    bad="keys: {F9: q + a}",
    good="keys: {F9: q + w}",
    function=_pulled,
)


def _look_alike(study: Study) -> Iterator[Report]:
    subject = study.subject
    machine = study.plan.layout.machine
    teller = study.teller
    pressed = reached_contacts(subject.plan)
    for controller in machine.controllers:
        for switch in controller.switches:
            contacts = switch_contacts(machine, switch)
            alike = [contact for contact in contacts if contact in pressed]
            if not alike:
                continue
            every = "at once " if switch.select is None else ""
            yield Report(
                f"{teller.switch(controller, switch)} reads {every}like {', '.join(key_name(machine, contact) for contact in alike)}; "
                "while it is closed, the machine sees no press of these",
                cases=len(alike),
            )


CONTROLLER_LOOKS_LIKE_KEY = CheckRule(
    slug="controller-looks-like-key",
    severity=Severity.NOTE,
    purpose="The machine cannot tell a controller's switch from keys.",
    explanation="The switch pulls a sense line that keys pull as well. That is how the machine was built; the list tells "
    "which keys to keep off while somebody plays.",
    bad="keys: {KeyQ: q}",
    good="keys: {F1: u1}",
    function=_look_alike,
)

RULES = (CONTROLLER_MAKES_PHANTOM, CONTROLLER_LOOKS_LIKE_KEY)
