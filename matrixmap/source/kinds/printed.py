"""What is printed on the keycaps? The section `printed` of a host file becomes levels."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from matrixmap.hid.usages import Usage
from matrixmap.model.legend import Legend
from matrixmap.model.place import Place
from matrixmap.source import rules
from matrixmap.source.report import Report, named

Levels = frozenset[int]
Legends = Mapping[Usage, tuple[str, tuple[Legend | None, ...], Place]]
"""Usage -> its name, what it types at each level, and where the file says so."""

LOWER, UPPER = (1, 2), (3, 4)
"""The levels without AltGr, and those with it."""

WORDS = {LOWER: "without AltGr", UPPER: "with AltGr"}


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedLine:
    """A key with some of its legends (None: the word `none`), all with AltGr or all without."""

    name: str
    usages: tuple[Usage, ...]
    legends: tuple[Legend | None, ...]
    levels: tuple[int, int]
    place: Place


def printed_levels(
    lines: tuple[PrintedLine, ...] | None, own: Legends, base: Legends, taken: Mapping[Usage, Levels], report: Report
) -> dict[Usage, Levels]:
    """The printed levels of each key that some file describes. Every other key counts as printed at every level.

    `lines` are those of a file, None if it has no such section; `own` are its legends, `base` the inherited ones,
    `taken` the printed levels of these. A legend that a file repeats stays printed if it keeps its level.
    """
    if lines is None:
        return {usage: levels for usage, levels in taken.items() if usage not in own}
    legends = {**base, **own}
    printed = {usage: _before(usage, legends, base, taken) for usage in legends}
    for line in lines:
        for usage, found in _found(line, legends, report).items():
            there = existing_levels(legends[usage][1]) & frozenset(line.levels)
            printed[usage] = printed[usage] - there | (found if line.levels == UPPER else there - found)
    return printed


def existing_levels(typed: tuple[Legend | None, ...]) -> Levels:
    """The levels at which a key has a legend of its own."""
    return frozenset(level for level, legend in enumerate(typed, start=1) if legend is not None)


def _before(usage: Usage, legends: Legends, base: Legends, taken: Mapping[Usage, Levels]) -> Levels:
    """What is printed on a key before the lines of the file: as in the base, else all it types without AltGr."""
    typed = legends[usage][1]
    before = base[usage][1] if usage in taken else ()
    known = {level for level, pair in enumerate(zip(typed, before, strict=False), start=1) if pair[0] == pair[1]}
    levels = {level for level in LOWER if level not in known} | (taken.get(usage, frozenset()) & known)
    return frozenset(levels) & existing_levels(typed)


def _found(line: PrintedLine, legends: Legends, report: Report) -> dict[Usage, Levels]:
    """The levels that a line names, for each usage of its key; nothing after a finding."""
    # A code can mean two usages, and a board may have only one of them.
    usages = [usage for usage in line.usages if usage in legends]
    fault = _fault(line, usages, legends)
    if fault:
        report.add(rules.PRINTS_SOMETHING_ELSE, line.place, fault)
        return {}
    wanted = [legend for legend in line.legends if legend]
    return {
        usage: frozenset(_level_of(legend, line.levels, legends[usage][1]) for legend in wanted) for usage in usages
    }


def _fault(line: PrintedLine, usages: list[Usage], legends: Legends) -> str:
    """What is wrong with a line; empty if nothing is."""
    if line.usages and not usages:
        return f"{line.name} types nothing on this keyboard"
    if None in line.legends and len(line.legends) > 1:
        return f"{line.name}: none cannot stand together with a legend"
    for number, legend in enumerate(line.legends):
        if legend in line.legends[:number]:
            return f"{line.name}: {legend} is there twice"
        for usage in usages:
            if legend and not _level_of(legend, line.levels, legends[usage][1]):
                return _other_place(line, usage, legend, legends)
    return ""


def _level_of(legend: Legend, levels: tuple[int, ...], typed: tuple[Legend | None, ...]) -> int:
    """The first of some levels that types a legend, or 0; an accent without the word `dead` may be a dead key."""
    for level in levels:
        there = typed[level - 1] if level <= len(typed) else None
        if there is not None and there.text == legend.text and (there.dead or not legend.dead):
            return level
    return 0


def _other_place(line: PrintedLine, usage: Usage, legend: Legend, legends: Legends) -> str:
    """Says that a key lacks a legend at the levels of a line, what it types there, and what types the legend."""
    here = existing_levels(legends[usage][1])
    typed = [str(legends[usage][1][level - 1]) for level in line.levels if level in here]
    fault = f"{line.name} types {' and '.join(typed) or 'nothing of its own'} {WORDS[line.levels]}, not {legend}"
    others = UPPER if line.levels == LOWER else LOWER
    if _level_of(legend, others, legends[usage][1]):
        return f"{fault}, but types it {WORDS[others]}"
    does = dict.fromkeys(name for name, typed, _ in legends.values() if _level_of(legend, line.levels, typed))
    return f"{fault}; at that level it is on {named(does, 3)}" if does else fault
