"""Witnesses: what to hold and press to show a finding."""

from __future__ import annotations

from typing import NamedTuple

from matrixmap.hid.usages import Usage
from matrixmap.model.machine import Contact
from matrixmap.model.press import Way


class Event(NamedTuple):
    """A key of the host is pressed or released."""

    down: bool
    usage: Usage


class Witness(NamedTuple):
    """The smallest case that shows a finding. A report has thousands: a tuple is made quickly.

    `held` are host keys that feed machine modifiers and stay down throughout; the `first` of the presses come before
    they are pressed. `presses` are ways, the oldest first: the last press of each stays down, and a dead key before it
    is released. `switches` are closed switches of controllers, as controller and function. `closed` are the contacts
    that this closes with guard and rollover off, and `phantoms` the further crosspoints that the machine then reads
    closed. `unseen` are closed contacts: if one opens while the others stay closed, the machine does not see it. Unless
    some order of presses has `made` it, the case is theoretical: it says what a finding is about, and cannot be carried
    out.
    """

    held: tuple[Usage, ...] = ()
    presses: tuple[Way, ...] = ()
    switches: tuple[tuple[str, str], ...] = ()
    closed: tuple[Contact, ...] = ()
    phantoms: tuple[Contact, ...] = ()
    unseen: tuple[Contact, ...] = ()
    first: int = 0
    made: bool = True
