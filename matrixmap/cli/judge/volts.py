"""What the volts of an adapter say about a layout: whether it needs the guard, and which phantoms are really read."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

    from matrixmap.board.routes import Traced
    from matrixmap.margins.reads import PhantomReads
    from matrixmap.model.finding import Finding
    from matrixmap.model.plan import Plan


@dataclass(frozen=True)
class Volts:
    """The boards of an adapter on the machine of a layout: one per revision."""

    reads: tuple[PhantomReads, ...]
    never: bool

    def plan(self, plan: Plan) -> Plan:
        """The plan; no guard if the layout does not ask for it and none of the boards ever reads a phantom."""
        return replace(plan, guard=False) if self.never and plan.layout.guard is None else plan

    def told(self, findings: Iterable[Finding]) -> tuple[Finding, ...]:
        """Findings about phantoms, with what the volts say; a phantom that is never read becomes a note."""
        return tuple(self._told(finding) for finding in findings)

    def _told(self, finding: Finding) -> Finding:
        from matrixmap.check.on_board import ON_BOARD_RULES
        from matrixmap.margins.table import Read
        from matrixmap.model.finding import Severity
        from matrixmap.model.words import in_a_row

        witness = finding.witness
        if witness is None or not witness.phantoms or witness.switches:
            return finding
        if finding.slug in {rule.slug for rule in ON_BOARD_RULES}:
            # A key of the machine's own keyboard has other ohms than the adapter's contacts, and no diode.
            return finding
        told: dict[Read, list[str]] = {}
        for board in self.reads:
            found = {board.read(witness.closed, phantom) for phantom in witness.phantoms}
            worst = next(each for each in (Read.READ, Read.UNSURE, Read.NEVER) if each in found)
            told.setdefault(worst, []).append(board.name)
        severity = min(finding.severity, Severity.NOTE) if set(told) == {Read.NEVER} else finding.severity
        words = (f"by the voltages of {in_a_row(names)} this is {_WORDS[read.value]}" for read, names in told.items())
        return replace(finding, text="; ".join([finding.text, *words]), severity=severity)


_WORDS = {"really read": "really read", "unsure": "unsure: it may or may not be read", "never": "never read"}


def volts_of(plan: Plan, boards: Iterable[Traced]) -> Volts | None:
    """What the boards of an adapter on a plan's machine, one per revision, say about the plan.

    None without boards, if one closes contacts in another way, or if its volts are not known.
    """
    from matrixmap.margins.facts import facts_of
    from matrixmap.margins.reads import PhantomReads, most_closed, never_by_volts
    from matrixmap.margins.shapes import Kinds

    machine = plan.layout.machine
    reads, never = [], True
    for traced in boards:
        if not traced.routes or traced.how != plan.contacts.value:
            return None
        facts = facts_of(traced).facts
        if facts is None:
            return None
        never = never and never_by_volts(facts, machine, most_closed(machine))
        reads.append(PhantomReads(facts.title, Kinds(facts, len(machine.sense))))
    return Volts(tuple(reads), never) if reads else None


def volts_missing(traced: Traced) -> tuple[str, ...]:
    """The missing values without which the volts of a board are not known, as `field of part`."""
    from matrixmap.margins.facts import VOLTS, facts_of

    needed = (each for each in facts_of(traced).missing if each.needed_for == VOLTS)
    return tuple(dict.fromkeys(f"{each.field} of {each.of}" for each in needed))
