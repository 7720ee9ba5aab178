"""An adapter on a machine for reading in a terminal: the wiring pin by pin, the findings, the cautions."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from matrixmap.board.cautions import CAUTIONS
from matrixmap.board.matings import WORDS, Harm, matings, pin_to_blank
from matrixmap.board.nets import Board
from matrixmap.board.record import Judged
from matrixmap.board.rules.run import BoardChecked
from matrixmap.board.wiring import control_rows, pin_rows
from matrixmap.model.words import shown


def board_text(checked: BoardChecked, with_matings: bool = False) -> str:
    """The report of an adapter on a machine; no terminal obeys anything in it."""
    return "\n".join(shown(line) for line in _lines(checked, with_matings))


def _lines(checked: BoardChecked, with_matings: bool) -> Iterator[str]:
    machine, traced = checked.machine, checked.traced
    contacts = machine.crosspoints + len(machine.direct)
    yield f"{checked.adapter.id} on {checked.fit.name}: {checked.routed} of {contacts} contacts can be closed" + (
        f", contacts: {traced.how}" if traced and traced.routes else ""
    )
    if traced is not None:
        judged = Judged(traced)
        header = traced.board.header.ref
        yield ""
        yield from _table(
            ("pin", "line", header, "net", "leads to"),
            (
                (
                    str(row.number),
                    "blanked" if row.blank else row.line or "none",
                    "-" if row.own is None else str(row.own),
                    row.net or "-",
                    ", ".join(row.leads_to) or "-",
                )
                for row in pin_rows(judged)
            ),
        )
        controls = list(control_rows(judged))
        if controls:
            yield ""
            rows = (
                (row.control, row.role, ", ".join(row.driven_by) or "nothing", ", ".join(row.held_by) or "-")
                for row in controls
            )
            yield from _table(("control", "role", "driven by", "held before start"), rows)
        yield from _pulls(judged)
    yield ""
    if not checked.findings:
        yield "nothing was found"
    for finding in checked.findings:
        yield f"{finding.severity.word}: {finding.slug}: {finding.text}"
        if finding.place is not None:
            yield f"  {finding.place}"
    if with_matings and traced is not None:
        yield from _matings(traced.board)
    yield ""
    yield "Before you wire anything (common practice):"
    yield from (f"- {caution}" for caution in CAUTIONS)


def _matings(board: Board) -> Iterator[str]:
    """All ways to put it on: counts by what they do, then the ways that nothing prevents, then the pin to blank."""
    found = matings(board)
    yield ""
    yield (
        f"{len(found)} ways to put {board.header.ref} on; {sum(mating.by_hand for mating in found)} of them need "
        "only a hand:"
    )
    rows = []
    for harm in sorted(Harm, reverse=True):
        same = [mating for mating in found if mating.harm is harm]
        free = [mating for mating in same if mating.prevented_by is None]
        hand = sum(mating.by_hand for mating in free)
        if same:
            rows.append((WORDS[harm], str(len(same)), str(hand), str(len(free) - hand)))
    yield from _table(("what it does", "ways", "open to a hand", "open if built in wrongly"), rows)
    for mating in found:
        if mating.is_open_harm:
            how = "" if mating.by_hand else " (only if built in on the wrong side)"
            yield f"{mating.words()}: {WORDS[mating.harm]} ({mating.because}){how}"
    best = pin_to_blank(board)
    yield f"harmful ways open to a hand: {best.without} with no pin blanked, {best.now} as it is" + (
        f", {best.left} with pin {best.pin} blanked" if best.pin is not None else ""
    )


def _pulls(judged: Judged) -> Iterator[str]:
    """The lines that processor pins pull."""
    pulls: dict[str, list[str]] = {}
    for route in judged.traced.followers:
        if route.drives is not None and route.drives.pin is not None:
            line = judged.lines_of(route.contact)[-1]
            names = pulls.setdefault(judged.board.shown(route.drives.pin), [])
            if line not in names:
                names.append(line)
    if pulls:
        yield ""
        yield from (f"{pin} pulls {', '.join(lines)}" for pin, lines in pulls.items())


def _table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> Iterator[str]:
    listed = [head, *rows]
    widths = [max(len(row[column]) for row in listed) for column in range(len(head))]
    for row in listed:
        yield "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()
