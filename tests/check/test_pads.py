"""Controllers that the adapter closes for pads: what was a warning is what the guard does, and it does what is told."""

from dataclasses import replace

import pytest

from matrixmap.check.run import Checked, check_plan
from matrixmap.circuit.reading import phantoms
from matrixmap.form.parts.screen import screen_rows
from matrixmap.model.finding import Severity
from matrixmap.model.layout import Contacts
from matrixmap.model.plan import Driven, Plan
from matrixmap.simulate.engine import Sizes
from matrixmap.simulate.model import Model
from tests.project import shipped_plan

SLUG = "controller-makes-phantom"
LONG = 3_000


def checked(plan: Plan) -> Checked:
    """The check of a plan, with what belongs to the machine."""
    return check_plan(plan)


def driven(id: str) -> Plan:
    """A shipped layout whose controllers pads drive."""
    return replace(shipped_plan(id), driven=Driven())


@pytest.fixture(scope="module")
def sides() -> tuple[Checked, Checked]:
    """A layout as it ships, and with pads."""
    id = "quillon8-en-GB-symbolic"
    return checked(shipped_plan(id)), checked(driven(id))


def test_warnings_become_notes(sides: tuple[Checked, Checked]) -> None:
    """Plugged into the machine switches make warnings; closed by the adapter none that says that the guard does not see them."""
    plugged, pads = ([one for one in side.findings if one.slug == SLUG] for side in sides)
    assert sum(one.severity is Severity.WARNING for one in plugged) > 20
    assert any("the guard cannot see the controller" in one.text for one in plugged)
    assert len(pads) == len(plugged)
    assert not [one.text for one in pads if "cannot see the controller" in one.text]
    left = [one for one in pads if one.severity is Severity.WARNING]
    assert all("modifiers alone do this" in one.text for one in left)
    assert any("the guard keeps" in one.text for one in pads)


def test_the_report_says_which(sides: tuple[Checked, Checked]) -> None:
    """The first screen says whether the guard sees the controllers."""
    plugged, pads = (dict(screen_rows(side))["Controllers"] for side in sides)
    assert "the guard cannot see switches that are plugged into the machine" in plugged
    assert "closed by the adapter for pads: the guard keeps keys from carrying their pulls on" in pads
    assert "It cannot see switches that are plugged into the machine" in pads


def test_without_the_guard_they_stay() -> None:
    """With the guard off the warnings stay, and say so."""
    plan = driven("quillon8-en-GB-symbolic")
    found = [one for one in checked(replace(plan, guard=False)).findings if one.slug == SLUG]
    assert any(one.severity is Severity.WARNING and one.text.endswith("the guard is off") for one in found)


def test_through_diodes_nothing_is_carried_on() -> None:
    """A plain contact of a controller is closed through the adapter's own diode then."""
    plan = driven("quillon8-en-GB-symbolic")
    diodes = replace(plan, layout=replace(plan.layout, contacts=Contacts.SWITCH_WITH_DIODE))
    assert not [one for one in checked(diodes).findings if one.slug == SLUG]


def test_the_model_does_what_is_told(sides: tuple[Checked, Checked]) -> None:
    """With the keys of each finding held and its switches closed the machine soon reads no more, save what modifiers alone do."""
    plan = sides[1].plan
    machine = plan.layout.machine
    numbers = {controller.name: number for number, controller in enumerate(machine.controllers)}
    played = 0
    for finding in [one for one in sides[1].findings if one.slug == SLUG and one.witness][::2]:
        witness = finding.witness
        assert witness is not None
        model = Model([plan], Sizes())
        now = 0
        down = bytearray(32)
        for usage in (*witness.held, *(press.usage for way in witness.presses for press in way)):
            for each in (usage, *(held for way in witness.presses for press in way for held in press.hold)):
                down[each >> 3] |= 1 << (each & 7)
            model.usages(0, bytes(down))
            for _ in range(LONG // 50):
                now += 50
                model.advance(now & 0xFFFF)
        closing = []
        for name, function in witness.switches:
            controller = machine.controllers[numbers[name]]
            switch = next(one for one in controller.switches if one.function == function)
            closing.append((controller, switch))
        for number, controller in enumerate(machine.controllers):
            mask = sum(1 << at for at, one in enumerate(controller.switches) if (controller, one) in closing)
            model.controller(number, mask)
        # Modifiers that lag are gone after a lead time.
        for _ in range(LONG // 50):
            model.advance(now & 0xFFFF)
            now += 50
        own = model.closed() & ~model.pads.padded.joined
        contacts = [contact for contact in range(own.bit_length()) if own >> contact & 1]
        read = phantoms(machine, contacts, plan.contacts, closing)
        assert bool(read) == ("modifiers alone do this" in finding.text), finding.text
        played += 1
    assert played > 20
