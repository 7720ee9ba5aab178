"""How many bytes the tables of several layouts have in common, and what firmware with all of them would save by that."""

from __future__ import annotations

import math
import random
import zlib
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from matrixmap.model.plan import Plan
from matrixmap.press.table.make import make_table

GROUP_BYTES, ENTRY_BYTES = 4, 2
POINTER_BYTES = 2
"""Of an address in program memory on AVR; 32-bit processors need twice as many."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sharing:
    """Bytes of all tables of one machine: as they are, and with what is the same kept once, pointers included.

    `heads` shares all that stands before the groups, `groups` also each group that is the same byte for byte. `base` has one
    table of the entries that most layouts have, and for each layout its other entries and a bit for each of the base that it
    has not. `squeezed` is what a general compressor makes of all tables together: a floor that no runtime could read.
    """

    machine: str
    tables: int
    plain: int
    heads: int
    groups: int
    base: int
    squeezed: int
    largest: tuple[int, str]


Cell = tuple[int, int, int, int, int, int]
"""When, demand, kind, after, usage, value of an entry."""


def _group_bytes(cells: set[Cell]) -> int:
    """Bytes of these entries in groups."""
    return GROUP_BYTES * len({cell[:4] for cell in cells}) + ENTRY_BYTES * len(cells)


def sharing_of(machine: str, plans: Sequence[Plan]) -> Sharing:
    """What the tables of one machine share."""
    data = {plan.id: make_table(plan).to_bytes() for plan in plans}
    heads: list[bytes] = []
    groups: list[bytes] = []
    layouts: list[set[Cell]] = []
    for table in data.values():
        at = 17 + 2 * table[4] + 2 * table[5] + 3 * table[6] + 8 * table[7]
        heads.append(table[:at])
        cells = set()
        for _ in range(table[8]):
            when, demand, kind, count = table[at : at + GROUP_BYTES]
            end = at + GROUP_BYTES + ENTRY_BYTES * count
            groups.append(table[at:end])
            # Demands are told by what they ask, for their numbers are not the same in all tables.
            asked = int.from_bytes(table[17 + 2 * table[4] + 2 * demand :][:2], "little")
            cells |= {(when, asked, kind & 7, kind >> 3, *table[n : n + 2]) for n in range(at + 4, end, ENTRY_BYTES)}
            at = end
        layouts.append(cells)
    often = Counter(cell for cells in layouts for cell in cells)
    common = {cell for cell, count in often.items() if 2 * count > len(layouts)}
    plain = sum(map(len, data.values()))
    head = sum(map(len, heads))
    shared_heads = sum(map(len, set(heads))) + POINTER_BYTES * len(heads)
    shared_groups = sum(map(len, set(groups))) + POINTER_BYTES * len(groups)
    rest = sum(_group_bytes(cells - common) + math.ceil(len(common) / 8) for cells in layouts)
    return Sharing(
        machine=machine,
        tables=len(data),
        plain=plain,
        heads=plain - head + shared_heads,
        groups=plain - head - sum(map(len, groups)) + shared_heads + shared_groups,
        base=plain - sum(map(len, groups)) + _group_bytes(common) + rest,
        squeezed=len(zlib.compress(b"".join(data.values()), 9)),
        largest=max((len(table), id) for id, table in data.items()),
    )


FEW_TOGETHER = (2, 4, 8)
DRAWS = 20


def _saved(before: int, after: int) -> str:
    """Bytes, and by how much less they are."""
    return f"{after:,} ({100 * (after - before) / before:+.0f} %)"


def section(plans: Mapping[str, Sequence[Plan]]) -> list[str]:
    """The lines of the page, for the plans of each machine."""
    all_of = [sharing_of(machine, few) for machine, few in plans.items()]
    size, id = max(one.largest for one in all_of)
    largest = {one.machine: one.largest for one in all_of}
    lines = [
        "## Tables together",
        "",
        f"The largest of all {sum(one.tables for one in all_of)} shipped tables is that of `{id}` with {size} bytes; "
        + ", ".join(f"of {machine} `{id}` with {size}" for machine, (size, id) in largest.items())
        + ".",
        "Firmware with several layouts of a machine could store once what their tables have in common. Nothing does so today; these are the possible savings:",
        "",
        "- *heads*: everything before the groups is shared, through a pointer of 2 bytes;",
        "- *groups*: in addition, groups that are equal byte for byte are stored once, and a table has 2 bytes for each of its groups;",
        "- *base*: one table has the entries that most layouts have; each layout adds its other entries and one bit for each entry of the base;",
        "- *compressed*: all tables are one zlib stream, which the runtime could not read; this is only a lower bound.",
        "",
        "| tables | bytes today | heads | groups | base | compressed |",
        "| --- | --- | --- | --- | --- | --- |",
    ]

    def row(title: str, one: Sharing) -> str:
        cells = (_saved(one.plain, number) for number in (one.heads, one.groups, one.base, one.squeezed))
        return f"| {title} | {one.plain:,} | {' | '.join(cells)} |"

    lines += [row(f"all {one.tables} of {one.machine}", one) for one in all_of]
    machine, most = max(plans.items(), key=lambda item: len(item[1]))
    rng = random.Random(0)
    lines.append(row(f"1 of {machine}, mean of all", _mean([sharing_of(machine, [plan]) for plan in most])))
    for count in FEW_TOGETHER:
        drawn = [sharing_of(machine, rng.sample(list(most), count)) for _ in range(DRAWS)]
        lines.append(row(f"{count} of {machine}, mean of {DRAWS} draws", _mean(drawn)))
    return [
        *lines,
        "",
        "None of these is built, so their cycles are estimates from the instructions that each would need.",
        "*heads* costs almost no cycles. *base* needs a second search for a press that is in the base.",
        "*groups* costs none on AVR, which reads an address of 2 bytes in place of the count that leads to the next group.",
        "But *groups* costs flash if there is only one layout, and more with addresses of 4 bytes.",
        "A table would also no longer be one array with a size and a checksum, which keep every read inside it.",
        "The format would be another one, and `mm_init` would need other arguments.",
        "So the tables stay unchanged.",
        "",
    ]


def _mean(many: Sequence[Sharing]) -> Sharing:
    """The mean of each number."""
    numbers = {
        name: round(sum(getattr(one, name) for one in many) / len(many))
        for name in ("plain", "heads", "groups", "base", "squeezed")
    }
    return replace(many[0], **numbers)
