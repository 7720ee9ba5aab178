"""Writes a machine file from a proposal. It is readable at once, and says what is proposed and what is missing."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from matrixmap.model.machine import PlaceRow
from matrixmap.source.propose.proposal import Proposal, ProposedKey
from matrixmap.source.shape.schema import schema_comment
from matrixmap.source.write.host_file import scalar
from matrixmap.source.write.scaffold import SCAN, TO_FILL_IN

WIDEST = 118


@dataclass(frozen=True, slots=True, kw_only=True)
class Heading:
    """The part above the matrix: id, title and source (None: to be filled in), and what the file was made from."""

    id: str
    title: str | None
    source: str | None
    origin: str


def proposed_text(heading: Heading, proposal: Proposal, rows: Sequence[PlaceRow], rows_are_proposed: bool) -> str:
    """The machine file of a proposal; `rows` are the places of its keys."""
    source = (
        scalar(heading.source)
        if heading.source
        else f"{TO_FILL_IN}  # where the facts come from: document, edition, page"
    )
    title = scalar(heading.title) if heading.title else f"{scalar(heading.id)}  # the name as people write it"
    parts = [
        f"{schema_comment('machine')}machine: {heading.id}\ntitle: {title}\nsource: {source}\n",
        (
            f"# The crosspoints are those of {heading.origin}. Names of keys, functions and modifiers are proposals: read "
            "them through.\n"
        )
        + "".join(f"# - {note}\n" for note in proposal.notes)
        + _matrix(proposal),
        _direct(proposal),
        _modifiers(proposal),
        _types(proposal),
        SCAN.replace("scan:", "scan:  # to be filled in: these are common values", 1),
        _place(rows, rows_are_proposed),
        _connector(proposal),
    ]
    return "\n".join(part for part in parts if part)


def _matrix(proposal: Proposal) -> str:
    grid = proposal.grid
    names = proposal.rows()
    widths = [
        max(len(name) for name in (line, *column)) + 1
        for line, column in zip(grid.sense, zip(*names, strict=True), strict=True)
    ]
    label = max(map(len, grid.select)) + 2
    head = "".join(line.ljust(width + 1) for line, width in zip(grid.sense, widths, strict=True)).rstrip()
    lines = [f"    #{'':{label}}{head}"]
    for line, row in zip(grid.select, names, strict=True):
        cells = " ".join(f"{name},".ljust(width) for name, width in zip(row[:-1], widths, strict=False))
        lines.append(f"    {f'{line}:':{label}}[{f'{cells} ' if cells else ''}{row[-1]}]")
    return (
        f"matrix:\n  select: [{', '.join(grid.select)}]  # the lines that the machine strobes\n"
        f"  sense: [{', '.join(grid.sense)}]  # the lines that it reads back\n"
        f"  diodes: {_diodes(proposal)}\n  grid:\n" + "\n".join(lines) + "\n"
    )


def _diodes(proposal: Proposal) -> str:
    crossed = [cell for row in proposal.grid.rows for cell in row if cell is not None]
    one_way = [proposal.keys[cell].name for cell in crossed if cell in proposal.grid.one_way]
    if not one_way:
        return "none  # or all, or a list of the keys that have one"
    return "all" if len(one_way) == len(crossed) else f"[{', '.join(one_way)}]"


def _direct(proposal: Proposal) -> str:
    pairs = ", ".join(f"{proposal.keys[cell].name}: {line}" for cell, line in proposal.grid.direct)
    return f"# Keys on a line of their own, outside the matrix, and that line.\ndirect: {{{pairs}}}\n" if pairs else ""


def _modifiers(proposal: Proposal) -> str:
    listed = ", ".join(f"{name}: {_listed(keys)}" for name, keys in proposal.modifiers.items())
    return (
        f"# Keys that are held. Other names may be better; the states under types use them.\nmodifiers: {{{listed}}}\n"
    )


def _listed(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"[{', '.join(names)}]"


def _types(proposal: Proposal) -> str:
    keys = [key for key in proposal.keys.values() if key.types]
    lines = [line for key in sorted(keys, key=_order) for line in _type_lines(key)]
    return (
        "# What each key types in each shift state; a modifier that no state of a key names has no effect on "
        "it.\ntypes:" + ("\n" + "\n".join(lines) if lines else " {}") + "\n"
    )


def _order(key: ProposedKey) -> tuple[int, str]:
    """Digits first, then marks, letters, functions; each sorted by name."""
    first = key.types["plain"]
    if key.name.startswith("keypad-"):
        return 5, key.name
    if len(first) > 1 or first == " ":
        return 4, ""
    if first.isdigit():
        return 1, "~" if first == "0" else first
    return (3, first.lower()) if first.isalpha() else (2, "")


def _type_lines(key: ProposedKey) -> Iterable[str]:
    states = ", ".join(f"{state}: {scalar(legend)}" for state, legend in key.types.items())
    yield f"  {key.name}: {{{states}}}" + (f"  # {'; '.join(key.notes)}" if key.notes else "")


def _place(rows: Sequence[PlaceRow], proposed: bool) -> str:
    if not rows:
        return ""
    said = (
        "# Proposed: the places of a usual keyboard, and keys that it lacks in the last row. Put them where they "
        "are, or remove\n# the section: only pictures and layouts by place use it."
        if proposed
        else "# The physical keyboard: rows from the top, in key pitches."
    )
    lines = [line for row in rows for line in _place_lines(row)]
    return f"{said}\nplace:\n" + "\n".join(lines) + "\n"


def _place_lines(row: PlaceRow) -> Iterable[str]:
    items = [
        f"{{gap: {width:g}}}" if name is None else name if width == 1 else f"{{key: {name}, width: {width:g}}}"
        for name, width in row.keys
    ]
    line = f"  - {{row: {row.row:g}, from: {row.left:g}, keys: ["
    for number, item in enumerate(items):
        if len(line) + len(item) > WIDEST:
            yield line.rstrip()
            line = "      "
        line += item + (", " if number < len(items) - 1 else "]}")
    yield line


def _connector(proposal: Proposal) -> str:
    if not proposal.grid.pins:
        return ""
    pins = ", ".join(pin or "none" for pin in proposal.grid.pins)
    return (
        "# The pins as they were probed; none where no probe was taken: it may be ground, the supply, or nothing.\n"
        f"connector:\n  pins: [{pins}]\n"
    )
