"""The beginning of a positional layout: the proposed pairs, and what they leave open."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from textwrap import wrap

from matrixmap.model.host import Host
from matrixmap.model.machine import Machine
from matrixmap.model.pairs import DeadKey, PlacedPair
from matrixmap.model.words import usage_name
from matrixmap.source.shape.schema import schema_comment
from matrixmap.source.write.scaffold import example_key

FAR = 0.75
"""A proposed pair at least this far apart, in key pitches, has a comment with the distance."""


def positional_text(id: str, machine: Machine, host: Host, pairs: Iterable[PlacedPair], dead: Iterable[DeadKey]) -> str:
    """A layout that joins by place, with proposed pairs and the basic keys of the host without a pair."""
    listed = list(pairs)
    body = "".join(f"{line}\n" for line in (_proposal(machine, listed, list(dead)) if listed else _nothing(machine)))
    return (
        f"{schema_comment('layout')}layout: {id}\nmachine: {machine.id}\nhost: {host.id}\n"
        f"join: positional  # every key does what the machine's key at its place does\n\n{_lock(machine, listed)}{body}"
    )


def _lock(machine: Machine, pairs: Sequence[PlacedPair]) -> str:
    latch = next(iter(machine.latching), None)
    taken = "CapsLock" in [usage_name(pair.usage) for pair in pairs]
    return f"locks: {{CapsLock: {latch}}}\n\n" if latch and not taken else ""


def _nothing(machine: Machine) -> Iterator[str]:
    yield "# The machine has no `place`, so nothing can be proposed: write a line for each key."
    yield "# keys:"
    yield f"#   KeyA: {example_key(machine)}"


def _proposal(machine: Machine, pairs: Sequence[PlacedPair], dead: Sequence[DeadKey]) -> Iterator[str]:
    total = sum(pair.distance for pair in pairs if not pair.alike)
    yield "# Proposed: the two keyboards are laid over each other, letters over letters and keypad over keypad. Keys that are alike"
    yield (
        "# are paired wherever they are: letters, digits, Space, Enter and other functions, Shift and its like, "
        "keypads. Every other"
    )
    yield "# key of the machine gets a host key by its place, with the least total distance, here"
    yield f"# {total:.1f} key pitches. Change what your fingers find wrong."
    yield from _left_dead(dead)
    placed = {pair.key for pair in pairs}
    missing = [key.name for key in machine.keys if key.name not in placed]
    if missing:
        yield f"# No key of this host is where these are: {', '.join(missing)}. Choose one for each."
    yield "keys:"
    for pair in pairs:
        far = f"  # {pair.distance:.1f} pitches away" if pair.distance >= FAR else ""
        yield f"  {usage_name(pair.usage)}: {pair.key}{far}"


def _left_dead(dead: Sequence[DeadKey]) -> Iterator[str]:
    """The basic keys without effect: those that a stroke would help get a line, the others are named."""
    helped = [each for each in dead if each.stroke]
    if helped:
        yield (
            "# These keys of the host do nothing yet, because no key of the machine is like them. A line under "
            "keys would do:"
        )
        yield from (f"#   {usage_name(each.usage)}: {each.stroke}  # {each.why}" for each in helped)
    helpless = [usage_name(each.usage) for each in dead if not each.stroke]
    if helpless:
        yield (
            "# These keys of the host do nothing, because the machine has nothing like them. A line with none says "
            "that it is meant:"
        )
        yield from wrap(", ".join(helpless), 118, initial_indent="#   ", subsequent_indent="#   ")
