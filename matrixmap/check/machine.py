"""The check of a machine by itself, with contacts that close in one way: what no layout of it can change."""

from __future__ import annotations

from dataclasses import dataclass

from matrixmap.check.engine.machine_conflicts import MachineConflicts, machine_conflicts
from matrixmap.check.rules.of_machine import MACHINE_RULES
from matrixmap.model.finding import Finding
from matrixmap.model.layout import Contacts
from matrixmap.model.machine import Machine


@dataclass(frozen=True, slots=True, kw_only=True)
class MachineChecked:
    """What was found on a machine: its conflicts, and findings, the worst first."""

    conflicts: MachineConflicts
    findings: tuple[Finding, ...]

    @property
    def machine(self) -> Machine:
        """The machine that was checked."""
        return self.conflicts.machine


def check_machine(machine: Machine, how: Contacts) -> MachineChecked:
    """All findings about a machine."""
    conflicts = machine_conflicts(machine, how)
    found = [finding for rule in MACHINE_RULES for finding in rule.findings(conflicts)]
    return MachineChecked(conflicts=conflicts, findings=tuple(sorted(found, key=lambda finding: -finding.severity)))
