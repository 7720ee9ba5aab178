"""Splits the nodes of a graph into two sides, or shows a ring of odd length that makes this impossible."""

from __future__ import annotations

import re
from collections import defaultdict, deque
from collections.abc import Sequence

Ring = tuple[int, ...]
"""Indices of edges around a ring, in order."""

Sides = tuple[list[str], list[str]]
"""The nodes of a part of the graph on each side, in the order of their numbers."""


def colour(edges: Sequence[tuple[str, str]]) -> tuple[list[Sides], list[Ring]]:
    """The parts of a graph with their two sides, and a shortest odd ring for each part that has one."""
    around: dict[str, list[tuple[str, int]]] = defaultdict(list)
    for index, (one, other) in enumerate(edges):
        around[one].append((other, index))
        around[other].append((one, index))
    parts: list[Sides] = []
    rings: list[Ring] = []
    seen: set[str] = set()
    for start in around:
        if start in seen:
            continue
        depth = _depths(start, around)
        seen |= set(depth)
        if any(depth[one] % 2 == depth[other] % 2 for one, other in edges if one in depth):
            rings.append(_shortest_ring(sorted(depth), edges, around))
        else:
            parts.append(
                (
                    sorted((node for node in depth if depth[node] % 2 == 0), key=in_order),
                    sorted((node for node in depth if depth[node] % 2), key=in_order),
                )
            )
    return parts, rings


def _depths(start: str, around: dict[str, list[tuple[str, int]]]) -> dict[str, int]:
    depth = {start: 0}
    queue = deque([start])
    while queue:
        node = queue.popleft()
        for other, _ in around[node]:
            if other not in depth:
                depth[other] = depth[node] + 1
                queue.append(other)
    return depth


def _shortest_ring(
    nodes: Sequence[str], edges: Sequence[tuple[str, str]], around: dict[str, list[tuple[str, int]]]
) -> Ring:
    """A shortest odd ring: from each node, the nearest edge between two nodes of equal distance closes one."""
    best: Ring = ()
    for start in nodes:
        depth = _depths(start, around)
        for index, (one, other) in enumerate(edges):
            if one in depth and depth[one] == depth[other] and (not best or 2 * depth[one] + 1 < len(best)):
                ring = (*reversed(_back(one, depth, around)), index, *_back(other, depth, around))
                if len(set(ring)) == len(ring):
                    best = ring
    return best


def _back(node: str, depth: dict[str, int], around: dict[str, list[tuple[str, int]]]) -> list[int]:
    """The edges of a shortest way from a node back to the start of the depth count."""
    way = []
    while depth[node]:
        node, index = next((other, index) for other, index in around[node] if depth[other] == depth[node] - 1)
        way.append(index)
    return way


def in_order(name: str) -> tuple[str, int, str]:
    """Sort key for names with numbers: 2 before 10."""
    found = re.fullmatch(r"(\D*)(\d+)(.*)", name)
    return (found[1], int(found[2]), found[3]) if found else (name, -1, "")
