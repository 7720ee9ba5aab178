"""A grid of cells becomes a proposed machine: names of keys, modifiers, and what each key types.

The crosspoints come from the table. Everything else is proposed from common usage, and `notes` say what to check.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from matrixmap.model.legend import other_case
from matrixmap.source import rules
from matrixmap.source.kinds.machine_types import MOST_MODIFIER_KEYS, SHIFT
from matrixmap.source.propose.grid import Cell, Grid
from matrixmap.source.propose.keytops import ARROWS, Keytop, mark_name, read_keytop
from matrixmap.source.report import Report, named

KEYPAD_MARKS = frozenset("+-*/.,=")
KEYPAD_DIGITS = 5
"""If at least this many digits occur twice, the second ones belong to a keypad."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LegendChoices:
    """What a person says about legends.

    `later`: the shift states for the second legend of a cell, the third and so on; `modifiers`: further keys that
    are held; `capitals`: letters are capitals only.
    """

    later: tuple[str, ...] = (SHIFT,)
    modifiers: tuple[str, ...] = ()
    capitals: bool = False


@dataclass(slots=True, kw_only=True)
class ProposedKey:
    """A key with its proposed name, what it types in each shift state, and notes for its line."""

    name: str
    keytop: Keytop
    types: dict[str, str] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposal:
    """A proposed machine: its grid, its keys by cell, its modifiers with their keys, and notes for the person."""

    grid: Grid
    keys: dict[Cell, ProposedKey]
    modifiers: dict[str, list[str]]
    notes: tuple[str, ...]

    def rows(self) -> list[list[str]]:
        """The names of the keys, one row for each select line; `none` where there is no key."""
        return [[self.keys[cell].name if cell else "none" for cell in row] for row in self.grid.rows]


def propose_machine(grid: Grid, choices: LegendChoices, report: Report) -> Proposal | None:
    """The machine that a grid suggests, or None after a finding."""
    before = len(report.findings)
    held = (*choices.modifiers, *(part.strip() for state in choices.later for part in state.split("+")))
    tops = {cell: read_keytop(cell, held, report) for cell in grid.cells()}
    read = [top for top in tops.values() if top is not None]
    if len(report.findings) > before:
        return None
    proposer = _Proposer(read, choices, report)
    keys = proposer.keys()
    proposer.refuse_unknown_states()
    if len(report.findings) > before:
        return None
    return Proposal(
        grid=grid,
        keys={key.keytop.cell: key for key in keys},
        modifiers=proposer.modifiers,
        notes=tuple(proposer.notes),
    )


class _Proposer:
    """Names keys one after the other, because a taken name changes the next."""

    def __init__(self, tops: Sequence[Keytop], choices: LegendChoices, report: Report) -> None:
        self.tops = [_with_arrows(top, tops) for top in tops]
        self.choices = choices
        self.report = report
        self.modifiers: dict[str, list[str]] = {}
        self.notes: list[str] = []
        self.sides = Counter(top.modifier for top in tops if top.modifier)
        firsts = Counter(top.legends[0] for top in tops if top.legends and top.legends[0].isdigit())
        self.has_keypad = sum(times > 1 for times in firsts.values()) >= KEYPAD_DIGITS
        self.turned = _shifted_first(tops)
        self.has_shift = SHIFT in self.sides

    def keys(self) -> list[ProposedKey]:
        taken: dict[str, ProposedKey] = {}
        firsts: dict[str, ProposedKey] = {}
        # Of several keys with one mark, the one with more legends is the main key.
        order = sorted(self.tops, key=lambda top: -len(top.legends) if len(top.name) < 32 else 0)
        for top in order:
            legends = self._in_order(top)
            key = ProposedKey(name="", keytop=top)
            first = legends[0] if legends else None
            twin = firsts.get(_folded(first)) if first else None
            if first and twin and other_case(first) is not None:
                line = twin.keytop.cell.place.line
                self.report.add(
                    rules.KEY_ON_TWO_CROSSPOINTS,
                    top.cell.place,
                    f"{first} is already at another crosspoint, in line {line}; one of the two was copied wrongly",
                )
                continue
            wanted = self._modifier_name(top) if top.modifier else self._name(top, legends, twin)
            key.name = _free(wanted, taken)
            taken[key.name] = key
            if first:
                firsts.setdefault(_folded(first), key)
            if top.modifier:
                self.modifiers.setdefault(top.modifier, []).append(key.name)
            else:
                self._type(key, legends)
            if key.name != wanted:
                key.notes.append(f"this is a second key with {first or top.cell.text}; name it after its place")
        self._sort_modifiers(list(taken))
        self._tell_unknown_shift(taken.values())
        by_cell = {key.keytop.cell: key for key in taken.values()}
        return [by_cell[top.cell] for top in self.tops if top.cell in by_cell]

    def refuse_unknown_states(self) -> None:
        """A finding if cells have legends for a modifier that has no key."""
        if self.choices.later == (SHIFT,):
            return
        for state in self.choices.later:
            for name in (part.strip() for part in state.split("+")):
                if name not in self.modifiers:
                    self.report.add(
                        rules.UNKNOWN_MODIFIER,
                        self.tops[0].cell.place,
                        f"--legends names {name}, but the table has no key of that name (modifiers: {named(self.modifiers)})",
                    )

    def _in_order(self, top: Keytop) -> tuple[str, ...]:
        """The legends of a cell, plain first: a letter or digit is plain; else the table's digits show the order."""
        legends = top.legends
        plain = [legend for legend in legends if legend.isdigit() and legend.isascii()]
        plain = plain or [legend for legend in legends if other_case(legend) is not None]
        if len(legends) == 2 and (legends[1] in plain[:1] or (self.turned and not plain)):
            return (legends[1], legends[0])
        return legends

    def _name(self, top: Keytop, legends: tuple[str, ...], twin: ProposedKey | None) -> str:
        first = legends[0]
        if len(first) > 1 or (len(legends) > 1 and any(len(legend) > 1 for legend in legends)):
            name = top.name
        else:
            name = mark_name(first)
        if twin is not None and self.has_keypad and (first.isdigit() or first in KEYPAD_MARKS or first == "Enter"):
            return f"keypad-{first if first.isdigit() else 'enter' if first == 'Enter' else name}"
        return name

    def _modifier_name(self, top: Keytop) -> str:
        """The name of a key that is held, with its side if two keys are one modifier."""
        modifier = str(top.modifier)
        if self.sides[modifier] == 1 and top.side is None:
            return top.name
        side = top.side or ("right" if self.modifiers.get(modifier) else "left")
        if top.side is None and side == "right":
            self.notes.append(f"which of the two keys {top.cell.text} is the left one is a proposal: the first")
        return f"{modifier}-{side}"

    def _type(self, key: ProposedKey, legends: tuple[str, ...]) -> None:
        """What a key types: its legends in the shift states of the choices; Shift gives letters their other case."""
        first, later = legends[0], list(legends[1:])
        states = list(self.choices.later)
        other = other_case(first)
        if other is not None and self.has_shift and not self.choices.capitals:
            lower, upper = sorted((first, other), reverse=True) if first.isascii() else (first.lower(), first.upper())
            key.types = {"plain": lower, SHIFT: upper}
            later = [legend for legend in later if legend not in (lower, upper)]
            states = [state for state in states if state != SHIFT]
        else:
            if other is not None and self.choices.capitals:
                first = first.upper()
            key.types = {"plain": first}
        usable = [state for state in states if self._is_known(state)]
        for state, legend in zip(usable, later, strict=False):
            key.types[state] = legend
        rest = later[len(usable) :]
        if rest:
            key.notes.append(f"to be filled in: which modifier makes {' '.join(rest)}")

    def _is_known(self, state: str) -> bool:
        return all(part.strip() in self.sides for part in state.split("+")) or self.choices.later != (SHIFT,)

    def _sort_modifiers(self, names: Sequence[str]) -> None:
        for modifier, keys in self.modifiers.items():
            keys.sort(key=lambda name: (not name.endswith("-left"), names.index(name)))
            if len(keys) > MOST_MODIFIER_KEYS:
                fault = f"{len(keys)} keys are called {modifier}; a machine may have {MOST_MODIFIER_KEYS}"
                self.report.add(rules.TOO_MANY, self.tops[0].cell.place, fault)
        order = [SHIFT, *(top.modifier for top in self.tops if top.modifier)]
        self.modifiers = {name: self.modifiers[name] for name in dict.fromkeys(order) if name in self.modifiers}

    def _tell_unknown_shift(self, keys: Iterable[ProposedKey]) -> None:
        if not self.has_shift:
            return
        silent = [
            key.name
            for key in keys
            if list(key.types) == ["plain"] and len(key.types["plain"]) == 1 and key.types["plain"] != " "
            if not key.name.startswith("keypad-")
        ]
        if (silent and not self.choices.capitals) or any(name.startswith("d") and len(name) == 2 for name in silent):
            self.notes.append(
                f"the table does not say what Shift makes of {named(silent, 50)}; the file has only the plain legend"
            )


def _with_arrows(top: Keytop, tops: Sequence[Keytop]) -> Keytop:
    """Four keys with one arrow each are the cursor keys; a single arrow is a character."""
    alone = {other.legends for other in tops}
    if top.legends and top.legends[0] in ARROWS and all((arrow,) in alone for arrow in ARROWS):
        function = ARROWS[top.legends[0]]
        return Keytop(cell=top.cell, legends=(function,), name=function.removeprefix("Arrow").lower())
    return top


def _shifted_first(tops: Iterable[Keytop]) -> bool:
    """Whether the table prints the shifted legend first: most digits are second in their cells."""
    pairs = [top.legends for top in tops if len(top.legends) == 2 and any(legend.isdigit() for legend in top.legends)]
    return sum(legends[1].isdigit() for legends in pairs) * 2 > len(pairs)


def _folded(legend: str) -> str:
    other = other_case(legend)
    return min(legend, other) if other else legend


def _free(name: str, taken: dict[str, ProposedKey]) -> str:
    number, free = 2, name
    while free in taken or free in ("none", ""):
        free, number = f"{name or 'key'}-{number}", number + 1
    return free
