"""Whether the machine really reads a phantom, by a board's volts: for one set of contacts, or for all possible sets."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from fractions import Fraction

from matrixmap.margins.facts import Facts
from matrixmap.margins.shapes import Kinds, Shape, parts_of
from matrixmap.margins.table import Read
from matrixmap.margins.worst import CycleError
from matrixmap.model.machine import Contact, Machine


@dataclass(frozen=True)
class PhantomReads:
    """Answers for phantoms on one board; each kind is worked out once."""

    name: str
    kinds: Kinds
    _known: dict[tuple[Shape, int, int], Read] = field(default_factory=dict)

    def read(self, closed: Iterable[Contact], phantom: Contact) -> Read:
        """Whether an open crosspoint reads closed while some contacts are closed; unsure if not computable."""
        width = self.kinds.width
        select, sense = divmod(phantom, width)
        mask = sum(1 << contact for contact in set(closed) if contact in self.kinds.facts.contacts)
        mask &= (1 << width * len(self.kinds.facts.selects)) - 1
        for part in parts_of(mask, width):
            selects = sorted({at // width for at in range(part.bit_length()) if part >> at & 1})
            senses = sorted({at % width for at in range(part.bit_length()) if part >> at & 1})
            if select in selects and sense in senses:
                return self._of(part, selects.index(select), senses.index(sense))
        # Nothing joins the phantom's lines.
        return Read.NEVER

    def _of(self, part: int, select: int, sense: int) -> Read:
        shape = self.kinds.shape_as_it_lies(part)
        key = shape, select, sense
        if key not in self._known:
            facts = self.kinds.facts
            box, node = self.kinds.box(shape, select), f"N{sense}"
            try:
                least, most, into = box.worst(node, False), box.worst(node, True), box.worst_into("strobe")
            except CycleError:
                return self._known.setdefault(key, Read.UNSURE)
            known = Read.UNSURE
            if least.value is not None and least.value >= facts.high:
                known = Read.NEVER
            elif most.value is not None and most.value <= facts.low:
                holds = facts.amps is None or (into.value is not None and into.value <= facts.amps)
                known = Read.READ if holds else Read.UNSURE
            self._known[key] = known
        return self._known[key]


def most_closed(machine: Machine) -> int:
    """The most crosspoints that the runtime closes at once: keys up to the rollover, modifiers' keys and latches."""
    held = {machine.key(name).contact for each in machine.modifiers for name in each.keys}
    held |= {machine.key(name).contact for name in machine.latching.values()}
    others = sum(key.contact < machine.crosspoints for key in machine.keys if key.contact not in held)
    rollover = machine.scan.rollover
    return len(held) + (others if rollover is None else min(others, rollover))


def never_by_volts(facts: Facts, machine: Machine, most: int) -> bool:
    """Whether without the guard, provably, up to `most` contacts make no phantom and each press is surely read.

    A path from the strobed line to a phantom's sense line has its first contact on the one, its last on the other, and
    one between on neither. These are three sets of a, b and c contacts, and each set cuts all paths. So the resistance
    between both lines is at least R (1 / a + 1 / b + 1 / c), with a, b and c together at most `most`. This is
    Nash-Williams' inequality, which follows from shorting everything between the cuts. All other pull-ups only raise
    the phantom's line, and a leak lowers it by at most the leak times its pull-up.

    For a press, `most` - 2 other sense lines add the whole current of their pull-ups; the contacts that join them count
    as no resistance. Also False if the machine has controllers, or its own keyboard stays connected: their contacts are
    not the adapter's.
    """
    crosspoints = [each for at, each in facts.contacts.items() if at < machine.crosspoints]
    if facts.how != "switch" or machine.controllers or facts.own_keyboard or facts.unselected is not None:
        return False
    if not crosspoints or any(each.diodes or each.volts for each in crosspoints):
        return False
    if any(line.pulls for line in (*facts.senses, *facts.selects)):
        return False
    least = min(each.ohms.least for each in crosspoints)
    worst = max(each.ohms.most for each in crosspoints)
    leak = (most + 1) * max(line.leak for line in (*facts.senses, *facts.selects))
    return _phantoms_high(facts, machine, most, least, leak) and _presses_low(facts, most, worst, leak)


def _phantoms_high(facts: Facts, machine: Machine, most: int, ohms: Fraction, leak: Fraction) -> bool:
    if not ohms:
        return False
    senses, selects = len(machine.sense) - 1, len(machine.select) - 1
    shares = [
        Fraction(1, a) + Fraction(1, b) + Fraction(1, most - a - b)
        for a in range(1, min(senses, most) + 1)
        for b in range(1, min(selects, most) + 1)
        if most - a - b >= 1
    ]
    if not shares:
        return True
    between = ohms * min(shares)
    pull, driver = facts.pull_up.most, facts.driver_v.least
    volts = (facts.supply.least * between + driver * pull) / (between + pull)
    return volts - leak * pull >= facts.high


def _presses_low(facts: Facts, most: int, ohms: Fraction, leak: Fraction) -> bool:
    siemens = max(most - 1, 1) / facts.pull_up.least
    amps = most * facts.supply.most / facts.pull_up.least + leak
    driver = facts.driver_v.most + facts.driver_ohms.most * amps
    if not ohms:
        return driver <= facts.low
    volts = (driver / ohms + facts.supply.most * siemens + leak) / (1 / ohms + siemens)
    return volts <= facts.low and (facts.amps is None or amps <= facts.amps)
