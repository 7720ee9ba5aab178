"""Controllers: their switches share lines with the matrix; the adapter sees only those it closes itself, for pads."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from matrixmap.check.engine.conflict_words import contacts_of
from matrixmap.check.engine.conflicts import conducting, likeliest, unlikely
from matrixmap.check.engine.plan_conflicts import PlanConflicts
from matrixmap.check.engine.record import CheckRule, Report
from matrixmap.check.rules.phantoms import NOT_MADE, not_told
from matrixmap.check.rules.reach import reached_contacts
from matrixmap.circuit.reading import phantoms, switch_contacts
from matrixmap.model.finding import Severity
from matrixmap.model.machine import Controller, ControllerSwitch, Wiring
from matrixmap.model.witness import Witness
from matrixmap.model.words import key_name
from matrixmap.press.pads import padded_by

SECOND_SWITCH = 4
"""How much less likely a second closed switch makes a case; a further modifier counts the same."""


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
        after, left = _what_the_guard_does(conflicts, witness, conflict.switches) if witness.made else (NOT_MADE, False)
        names = " and ".join([wording.switch(*switch) for switch in conflict.switches])
        yield Report(
            f"{wording.press(witness)}, and close {names}: {conducting(machine, wording, conflict.contacts, conflict.switches)}, and the machine "
            f"also reads {wording.reads(extra, witness.closed)}; {after}",
            place=wording.place(items),
            cases=combinations,
            witness=witness,
            likelihood=unlikely(conflict) + SECOND_SWITCH * (len(closing) - 1),
            at_most=Severity.WARNING if left and len(items) < 2 else Severity.NOTE,
        )
    if more:
        driven = conflicts.plan.driven
        all_driven = driven is not None and all(driven.drives(each.name) for each in machine.controllers)
        kept = all_driven and conflicts.plan.guard
        worst = Severity.NOTE if kept else Severity.WARNING
        yield not_told(more, "sets of contacts and switches would make a phantom", worst)


def _what_the_guard_does(
    conflicts: PlanConflicts, witness: Witness, switches: tuple[ControllerSwitch, ...]
) -> tuple[str, bool]:
    """What happens to presses while a pad closes switches, in words; and whether the machine still reads wrongly."""
    plan, wording = conflicts.plan, conflicts.wording
    if plan.driven is None or not all(plan.driven.drives(controller.name) for controller, _ in switches):
        return "the guard cannot see the controller", True
    rules = wording.hands.rules
    if not rules.compiled.guard:
        return "the guard is off", True
    standing = wording.hands.play(witness.held, witness.presses, witness.first).standing
    padded = padded_by(rules.compiled, [_shut(controller, switches) for controller in plan.layout.machine.controllers])
    typist = rules.typist(standing) | padded.held
    causes = rules.judge(standing.strokes, typist, padded)
    kept = [stroke for stroke, cause in zip(standing.strokes, causes, strict=True) if cause is None]
    closed = rules.compiled.mask_of(kept[0].wants(typist) if kept else typist)
    for stroke in kept:
        closed |= stroke.mask
    if phantoms(plan.layout.machine, contacts_of(closed), plan.contacts, switches):
        return "the guard sees the switch, but modifiers alone do this, and the guard opens no modifier", True
    usages = {stroke.usage for stroke in kept}
    opened = [wording.key_of(way) for way in witness.presses if way[-1].usage not in usages]
    if not opened:
        return "the runtime never closes these together", False
    return f"the guard keeps {' and '.join(opened)} open meanwhile", False


def _shut(controller: Controller, closing: Iterable[ControllerSwitch]) -> int:
    """A mask of the closed switches of a controller."""
    closed = [switch for other, switch in closing if other == controller]
    return sum(1 << number for number, switch in enumerate(controller.switches) if switch in closed)


CONTROLLER_MAKES_PHANTOM = CheckRule(
    slug="controller-makes-phantom",
    severity=Severity.WARNING,
    purpose="Keys held together with a controller's switch make the machine read keys that are not pressed.",
    explanation=(
        "A switch that pulls a sense line low (ground, gated) needs two contacts on one select line. They carry "
        "the pull on to a second sense line, which is then read as closed wherever the switch pulls. A switch that "
        "is a plain contact is one corner of a rectangle, as a key is. With two more contacts, the machine reads "
        "the fourth corner, or the contact carries on the pull of another switch. So two switches and one key can "
        "do what none of them does alone: all such sets of one or two switches are reported. Three switches "
        "without a key are not reported, because no layout can change them. If a switch is plugged into the "
        "machine itself, the adapter cannot know that it is closed, and the guard does not help. If the adapter "
        "closes the switch for a pad, the guard knows it and keeps keys open that would carry its pull on; then "
        "the finding is a note. Adapter contacts through diodes help too, unless the corner of the path is a "
        "controller's plain contact; diodes have a price (diodes-cost-margin). With two keys the finding is a "
        "note; with one key and its modifiers it is a warning."
    ),
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
                f"{wording.switch(controller, switch)} reads {manner}like "
                f"{', '.join(key_name(machine, contact) for contact in alike)}; while it is closed, the machine "
                "cannot see a press of these",
                cases=len(alike),
            )


CONTROLLER_LOOKS_LIKE_KEY = CheckRule(
    slug="controller-looks-like-key",
    severity=Severity.NOTE,
    purpose="The machine cannot tell a controller's switch from keys.",
    explanation=(
        "A switch that pulls a sense line reads like all keys of that line; a gated one reads like the key on its "
        "select line. A plain contact is, to the machine, the key at its two lines. The machine was built that "
        "way. The list says which keys nobody should press while somebody plays."
    ),
    bad="keys: {KeyQ: q}",
    good="keys: {F2: b2}",
    of_machine=True,
    function=_look_alike,
)

RULES = (CONTROLLER_MAKES_PHANTOM, CONTROLLER_LOOKS_LIKE_KEY)
