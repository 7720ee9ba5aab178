"""What is proposed for a positional layout: pairs of keys, and the basic keys of the host without a pair."""

from __future__ import annotations

from dataclasses import dataclass

from matrixmap.hid.usages import Usage


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedPair:
    """A host key, the machine's key that it stands for, their distance in key pitches, and whether they are alike."""

    usage: Usage
    key: str
    distance: float
    alike: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class DeadKey:
    """A basic key of the host that does nothing: why, and a stroke of the machine that would serve, if there is one."""

    usage: Usage
    why: str
    stroke: str | None
