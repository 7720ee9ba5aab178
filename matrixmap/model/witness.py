"""Witnesses: what to hold and press so that a finding shows itself."""

from __future__ import annotations

from typing import NamedTuple

from matrixmap.hid.usages import Usage
from matrixmap.model.machine import Contact
from matrixmap.model.plan import Way


class Witness(NamedTuple):
    """The smallest case that shows a finding. A report has thousands: a tuple is made quickly.

    `held` are host keys that feed machine modifiers and stay down throughout. `presses` are ways, the oldest first: of
    each the last press stays down, and a dead key before it is let go. `switches` are closed switches of controllers, as controller and function. `closed` are
    the contacts that this closes, the guard being off, and `phantoms` the crosspoints that the machine then reads
    closed besides. `unseen` are closed contacts whose opening the machine cannot see while the others stay closed.
    """

    held: tuple[Usage, ...] = ()
    presses: tuple[Way, ...] = ()
    switches: tuple[tuple[str, str], ...] = ()
    closed: tuple[Contact, ...] = ()
    phantoms: tuple[Contact, ...] = ()
    unseen: tuple[Contact, ...] = ()
