"""What a matrix reads, by pulling lines low one after the other until nothing changes: slow, and plain to see."""

from __future__ import annotations

from collections.abc import Iterable

from matrixmap.circuit.reading import Conduction
from matrixmap.model.machine import ControllerSwitch

Point = tuple[int, int, Conduction]
Pull = tuple[int, int | None]
"""A controller's switch that pulls: the sense line, and the select line that it needs (None: always)."""


def read(points: Iterable[Point], selects: int, senses: int, pulls: Iterable[Pull] = ()) -> frozenset[tuple[int, int]]:
    """The pairs of select and sense line that read closed."""
    closed, pulling = tuple(points), tuple(pulls)
    return frozenset(
        (select, sense)
        for select in range(selects)
        for kind, sense in low_lines(closed, select, pulling)
        if kind == "sense" and sense < senses
    )


def low_lines(points: tuple[Point, ...], strobed: int, pulls: tuple[Pull, ...] = ()) -> set[tuple[str, int]]:
    """All lines that are low while one select line is strobed."""
    low = {("select", strobed)} | {("sense", sense) for sense, select in pulls if select in (None, strobed)}
    while True:
        more = set()
        for select, sense, conduction in points:
            # Current runs from the line that is pulled up to the one that is low.
            if ("select", select) in low and conduction in (Conduction.BOTH, Conduction.FORWARD):
                more.add(("sense", sense))
            if ("sense", sense) in low and conduction in (Conduction.BOTH, Conduction.REVERSE):
                more.add(("select", select))
        if more <= low:
            return low
        low |= more


def switch_parts(switches: Iterable[ControllerSwitch]) -> tuple[list[Point], list[Pull]]:
    """Closed switches of controllers: the joined lines of plain contacts, and the pulls of the others."""
    points: list[Point] = []
    pulls: list[Pull] = []
    for controller, switch in switches:
        match controller.wired.value:
            case "ground":
                pulls.append((switch.sense, None))
            case "gated":
                assert switch.select is not None
                pulls.append((switch.sense, switch.select))
            case "contact":
                assert switch.select is not None
                points.append((switch.select, switch.sense, Conduction.BOTH))
    return points, pulls
