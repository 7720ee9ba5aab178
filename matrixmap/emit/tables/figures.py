"""How small is a plan's table, and how small could any table of it be? Sizes in bytes and bits."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from math import log2

from matrixmap.hid.usages import STATUS_USAGES, USAGES, Usage
from matrixmap.model.plan import Action, Plan, Stroke
from matrixmap.press.table.format import CHECKSUM_BYTES, HEADER_BYTES
from matrixmap.press.table.make import make_table


@dataclass(frozen=True, slots=True, kw_only=True)
class Figures:
    """Sizes of one plan.

    `triggers` are the cells that do something, including those after a dead key; `strokes` are the distinct actions;
    `table_bytes` counts without the fixed header; `floor_bits` is the entropy of the actions over the triggers plus the
    entropy of which cells are triggers.
    """

    triggers: int
    strokes: int
    characters: int
    header_bytes: int
    table_bytes: int
    floor_bits: float

    @property
    def floor_bytes(self) -> float:
        """The floor in bytes."""
        return self.floor_bits / 8

    @property
    def ratio(self) -> float:
        """Table bytes over the floor; 0 without a floor."""
        return self.table_bytes / self.floor_bytes if self.floor_bits else 0.0


def figures_of(plan: Plan) -> Figures:
    """The figures of a plan.

    Entropy after Shannon, A Mathematical Theory of Communication (1948), section 6: N events with frequencies p
    carry -N sum p log2 p bits. A cell is a usage of the keyboard page at a level and set of further modifiers that
    the plan uses; cells after a dead key are separate.
    """
    done = list(_done(plan))
    actions = Counter(what for _, _, what in done)
    count = len(done)
    rows = {row for row, _, _ in done}
    cells = len(rows) * (len(USAGES) - len(STATUS_USAGES) - 1)
    bits = _entropy(list(actions.values())) + _entropy([count, cells - count])
    typed = {
        binding.action.types.text
        for binding in plan.bindings
        if isinstance(binding.action, Stroke) and binding.action.types and binding.action.types.is_character
    } | {stroke.types.text for stroke in plan.dead_keys.pairs.values() if stroke.types}
    return Figures(
        triggers=count,
        strokes=len(actions),
        characters=len(typed),
        header_bytes=HEADER_BYTES + CHECKSUM_BYTES,
        table_bytes=len(make_table(plan).to_bytes()) - HEADER_BYTES - CHECKSUM_BYTES,
        floor_bits=bits,
    )


def _done(plan: Plan) -> Iterator[tuple[object, Usage, object]]:
    """Each cell that does something: its row, its usage, and its action; pairs have a row for each accent and level."""
    for binding in plan.bindings:
        yield (binding.trigger.level, binding.trigger.extras), binding.trigger.usage, _identity(binding.action)
    for press, accent in plan.dead_keys.triggers.items():
        yield (press.level, press.extras), press.usage, accent
    for (accent, usage, level), stroke in plan.dead_keys.pairs.items():
        yield (accent, level), usage, _identity(stroke)


def _identity(action: Action) -> object:
    return (action.contacts, action.demands, action.holds) if isinstance(action, Stroke) else action


def _entropy(counts: list[int]) -> float:
    total = sum(counts)
    return -sum(count * log2(count / total) for count in counts if count)
