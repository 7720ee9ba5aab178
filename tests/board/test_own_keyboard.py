"""The machine's own keyboard beside the adapter: strokes that suffer, against a search over lines."""

from __future__ import annotations

from matrixmap.check.own_keyboard import beside_own_keyboard
from matrixmap.model.layout import Contacts
from matrixmap.model.machine import Contact, Machine
from matrixmap.model.plan import Stroke
from tests.project import call, shipped_plan


def read_by_search(machine: Machine, closed: frozenset[Contact]) -> set[Contact]:
    """What is read where all contacts are plain switches: for each select line, the sense lines that it leads to."""
    joined: dict[str, set[str]] = {}
    for contact in closed:
        lines = machine.lines(contact)
        if lines is not None:
            a, b = machine.select[lines[0]], machine.sense[lines[1]]
            joined.setdefault(a, set()).add(b)
            joined.setdefault(b, set()).add(a)
    read = set()
    for at, select in enumerate(machine.select):
        seen, waiting = {select}, [select]
        while waiting:
            for line in joined.get(waiting.pop(), ()):
                if line not in seen:
                    seen.add(line)
                    waiting.append(line)
        read |= {Contact(at * len(machine.sense) + n) for n, sense in enumerate(machine.sense) if sense in seen}
    return read


def test_every_pair_is_judged_as_the_lines_are() -> None:
    """Each pair of a stroke and an own key makes a phantom exactly where a search over the joined lines reads one more."""
    plan = shipped_plan("quillon8-en-GB-symbolic")
    machine = plan.layout.machine
    found = beside_own_keyboard(plan, Contacts.SWITCH)
    told = {(clash.stroke, clash.key.contact): clash.extra for clash in found.clashes}
    strokes = {
        frozenset((*stroke.contacts, *stroke.holds))
        for binding in plan.bindings
        if isinstance(binding.action, Stroke)
        for stroke in (*binding.action.before, binding.action)
    }
    assert found.strokes == len(strokes)
    wanted = {}
    for stroke in strokes:
        for key in machine.keys:
            if key.contact < machine.crosspoints and key.contact not in stroke:
                extra = read_by_search(machine, stroke | {key.contact}) - stroke - {key.contact}
                if extra:
                    wanted[stroke, key.contact] = frozenset(extra)
    assert told == wanted
    assert 50 < len(found.suffering) < found.strokes


def test_with_diodes_fewer_pairs_suffer() -> None:
    """Contacts with diodes let current run one way, so that fewer pairs make a phantom."""
    plan = shipped_plan("quillon8-en-GB-symbolic")
    assert len(beside_own_keyboard(plan, Contacts.SWITCH_WITH_DIODE).clashes) < len(
        beside_own_keyboard(plan, Contacts.SWITCH).clashes
    )


def test_the_command_tells_the_strokes() -> None:
    """`adapter --layout` counts and lists them, and says whether the board can read sense lines back."""
    done = call("adapter", "locket", "--machine", "quillon8", "--layout", "quillon8-en-GB-symbolic")
    found = beside_own_keyboard(shipped_plan("quillon8-en-GB-symbolic"), Contacts.SWITCH)
    assert done.returncode == 0
    assert f"{len(found.suffering)} of {found.strokes} strokes of quillon8-en-GB-symbolic" in done.stdout
    assert "the board cannot read the sense lines back" in done.stdout
    done = call("adapter", "ferrule", "--layout", "quillon8-en-GB-symbolic")
    assert "no header of ferrule has mates: own-keyboard" in done.stderr
    assert done.returncode == 2
