"""Witnesses: what to hold and press so that a finding shows itself."""

from __future__ import annotations

from dataclasses import dataclass

from matrixmap.hid.usages import Usage
from matrixmap.model.machine import Contact
from matrixmap.model.plan import Trigger


@dataclass(frozen=True, slots=True, kw_only=True)
class Witness:
    """The smallest case that shows a finding.

    `held` are host keys that feed machine modifiers and stay down throughout. `presses` are triggers, the oldest first,
    each of which stays down. `switches` are closed switches of controllers, as controller and function. `closed` are
    the contacts that this closes, the guard being off, and `phantoms` the crosspoints that the machine then reads
    closed besides. `unseen` are closed contacts whose opening the machine cannot see while the others stay closed.
    """

    held: tuple[Usage, ...] = ()
    presses: tuple[Trigger, ...] = ()
    switches: tuple[tuple[str, str], ...] = ()
    closed: tuple[Contact, ...] = ()
    phantoms: tuple[Contact, ...] = ()
    unseen: tuple[Contact, ...] = ()
