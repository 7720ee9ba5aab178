"""The layout: what the join of a machine and a host does not give by itself."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from typing import Final

from matrixmap.hid.pads.sources import Source
from matrixmap.hid.pads.stick import Thresholds
from matrixmap.hid.usages import Usage
from matrixmap.model.host import Host
from matrixmap.model.legend import Legend
from matrixmap.model.machine import Machine, ShiftState
from matrixmap.model.place import Place

SWAP_PADS: Final = "swap-pads"
"""The name of the command that swaps the first two pads."""


class Join(Enum):
    """How a layout joins host and machine: by what is printed, or by the key's place."""

    SYMBOLIC = "symbolic"
    POSITIONAL = "positional"


class HostModifier(Enum):
    """A host modifier that a trigger may name in addition to Shift and AltGr, which choose the level."""

    CONTROL = "Control"
    ALT = "Alt"
    META = "Meta"


class Contacts(Enum):
    """How the adapter closes a contact."""

    SWITCH = "switch"
    SWITCH_WITH_DIODE = "switch-with-diode"
    FOLLOWS_SELECT = "follows-select"


@dataclass(frozen=True, slots=True, kw_only=True)
class TriggerName:
    """A trigger as written: its usages (two for `Backslash`), level, further host modifiers, and text.

    `every_level` is set if the line names no modifier: such a line may be used for more than level 1.
    """

    text: str
    usages: tuple[Usage, ...]
    level: int
    extras: frozenset[HostModifier]
    every_level: bool
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class StrokeName:
    """A stroke as written: modifiers to hold and keys to press, or neither for `none`."""

    text: str
    modifiers: ShiftState
    keys: tuple[str, ...]
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class KeyLine:
    """A line under `keys:`: what a trigger does."""

    trigger: TriggerName
    stroke: StrokeName


@dataclass(frozen=True, slots=True, kw_only=True)
class ManyLine:
    """A line under `keys:` for many keys, as `Alt+*: graph + *`: no usages in its trigger, and no keys in its stroke.

    It is a line for each key of the machine that types something with the modifiers of the stroke. Each is on the host
    key that types the plain legend of that key.
    """

    trigger: TriggerName
    stroke: StrokeName


@dataclass(frozen=True, slots=True, kw_only=True)
class TypeLine:
    """A line under `types:`: which key and shift state types a character or function."""

    legend: Legend
    stroke: StrokeName
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class PassLine:
    """A line under `pass:`: a host modifier key and the machine modifier that it feeds."""

    text: str
    usages: tuple[Usage, ...]
    modifier: str
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class LockLine:
    """A line under `locks:`: a lock key of the host and the key of the machine that it works instead."""

    text: str
    usage: Usage
    key: str
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class CommandLine:
    """A line under `commands:`: a trigger and the number that the firmware gets (0 to 255)."""

    trigger: TriggerName
    number: int


@dataclass(frozen=True, slots=True, kw_only=True)
class CommandName:
    """A line under `command_names:`: the name in C of a command."""

    number: int
    name: str
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class PadButton:
    """A line under `pads:` for a source of a pad that presses a stroke, as a key does, or sends a command."""

    source: Source
    does: StrokeName | int
    place: Place

    @property
    def words(self) -> str:
        """What it does: the stroke as written, or `command 3`."""
        return self.does.text if isinstance(self.does, StrokeName) else f"command {self.does}"


@dataclass(frozen=True, slots=True, kw_only=True)
class PadSwitch:
    """A line under `pads:` for a switch of the controllers, by its function: the sources that close it."""

    function: str
    sources: tuple[Source, ...]
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Pads:
    """The section `pads:`: the controllers that the pads drive, in the order in which pads connect, and its lines."""

    order: tuple[str, ...]
    switches: tuple[PadSwitch, ...]
    buttons: tuple[PadButton, ...]
    limits: Thresholds
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Acceptance:
    """A line under `accept:`: the slug of a finding that this layout lives with, and why.

    With `count`, it covers this many cases and no more. With `witnesses`, it covers only findings that begin with one
    of these combinations of keys.
    """

    slug: str
    reason: str
    place: Place
    count: int | None = None
    witnesses: tuple[str, ...] = ()

    @property
    def words(self) -> str:
        """The reason, with how much is accepted if the line says so."""
        parts = [self.reason]
        parts += [f"cases: {self.count}"] if self.count is not None else []
        parts += [f"only {', '.join(self.witnesses)}"] if self.witnesses else []
        return "; ".join(parts)

    def takes(self, text: str) -> bool:
        """Whether the line covers a finding of this slug, by its text."""
        return not self.witnesses or any(text.startswith(f"{witness}:") for witness in self.witnesses)


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """A layout with the machine and host that it joins.

    The legends of `stand_in` are used on triggers with characters that the machine lacks. If it `resumes`, a key that
    was opened for a newer one closes again when that one is released. If keyboards are `apart`, the modifiers of one do
    not count for the presses of another. `pads` says what pads do; None: nothing.
    """

    id: str
    title: str
    machine: Machine
    host: Host
    stand_in: Host | None
    join: Join
    contacts: Contacts
    guard: bool | None
    resumes: bool
    apart: bool
    types: tuple[TypeLine, ...]
    keys: tuple[KeyLine, ...]
    many: tuple[ManyLine, ...] = ()
    passes: tuple[PassLine, ...]
    locks: tuple[LockLine, ...]
    commands: tuple[CommandLine, ...]
    command_names: tuple[CommandName, ...] = ()
    pads: Pads | None = None
    accept: tuple[Acceptance, ...]
    place: Place
    inputs: Mapping[str, str]
    """SHA-256 of each file read for this layout, by its name within the project."""

    @property
    def swaps(self) -> frozenset[int]:
        """The numbers of the commands by which the first two pads swap their places."""
        return frozenset(line.number for line in self.command_names if line.name == SWAP_PADS)
