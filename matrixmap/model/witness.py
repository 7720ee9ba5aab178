"""Witnesses: what to hold and press so that a finding shows itself."""

from __future__ import annotations

from typing import NamedTuple

from matrixmap.hid.usages import Usage
from matrixmap.model.machine import Contact
from matrixmap.model.press import Way


class Event(NamedTuple):
    """A key of the host goes down, or up."""

    down: bool
    usage: Usage


class Witness(NamedTuple):
    """The smallest case that shows a finding. A report has thousands: a tuple is made quickly.

    `held` are host keys that feed machine modifiers and stay down throughout; the `first` of the presses come before
    they go down. `presses` are ways, the oldest first: of each the last press stays down, and a dead key before it is
    let go. `switches` are closed switches of controllers, as controller and function. `closed` are
    the contacts that this closes, guard and rollover being off, and `phantoms` the crosspoints that the machine then
    reads closed besides. `unseen` are closed contacts whose opening the machine cannot see while the others stay closed.
    What no order of presses has `made` is only thought of: it says what a finding is about, and cannot be carried out.
    """

    held: tuple[Usage, ...] = ()
    presses: tuple[Way, ...] = ()
    switches: tuple[tuple[str, str], ...] = ()
    closed: tuple[Contact, ...] = ()
    phantoms: tuple[Contact, ...] = ()
    unseen: tuple[Contact, ...] = ()
    first: int = 0
    made: bool = True
