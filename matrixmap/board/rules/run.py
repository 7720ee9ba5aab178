"""The check of a board: asks all rules about an adapter on a machine that it fits."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from matrixmap.board.nets import connector_of, fits_in_gender, fits_in_size, make_board
from matrixmap.board.record import BoardRule, Judged
from matrixmap.board.routes import Traced
from matrixmap.board.rules import control, mating, power, series, wiring
from matrixmap.model.boards.adapter import Adapter, Fit, Mates
from matrixmap.model.finding import Finding, Severity
from matrixmap.model.machine import Header, Machine
from matrixmap.model.rule import Rule

NOT_MATED = Rule(
    slug="not-mated",
    severity=Severity.ERROR,
    purpose="The adapter cannot be put on the machine.",
    explanation=(
        "The machine file says where the pins of the machine's connector are (gender, rows, numbering). One header "
        "of the adapter has mates: keys. Both, and the cable between them, must have the same number of rows and "
        "columns. Pins go into holes: at each joint there is a plug and a socket."
    ),
    bad="J1: socket-2x11",
    good="J1: {part: socket-2x11, mates: keys, key_pin: 11}",
)

RULES: tuple[BoardRule, ...] = (*wiring.RULES, *series.RULES, *control.RULES, *power.RULES, *mating.RULES)
"""The rules about a board; within one severity a report follows their order."""

BOARD_RULES: tuple[Rule, ...] = (NOT_MATED, wiring.MISPLACED, *RULES)
"""All rules about boards."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardChecked:
    """What was found on an adapter on a machine: the traced board (None: cannot be put on); findings, worst first."""

    adapter: Adapter
    machine: Machine
    fit: Fit
    traced: Traced | None
    findings: tuple[Finding, ...]

    @property
    def routed(self) -> int:
        """How many contacts of the machine have a route."""
        return len(self.traced.by_contact) if self.traced else 0


def check_board(adapter: Adapter, machine: Machine, fit: Fit) -> BoardChecked:
    """All findings about an adapter on a machine that it fits."""
    board = make_board(adapter, machine, fit)
    if board is None:
        findings = tuple(_not_mated(adapter, machine, fit))
        return BoardChecked(adapter=adapter, machine=machine, fit=fit, traced=None, findings=findings)
    traced = Traced(board)
    judged = Judged(traced)
    found = list(wiring.MISPLACED.findings(judged))
    # Everything else that a misplaced header makes wrong has this one cause.
    found = found or [finding for rule in RULES for finding in rule.findings(judged)]
    # Sorting is stable: it keeps the order of the rules within one severity.
    ordered = tuple(sorted(found, key=lambda finding: -finding.severity))
    return BoardChecked(adapter=adapter, machine=machine, fit=fit, traced=traced, findings=ordered)


def _not_mated(adapter: Adapter, machine: Machine, fit: Fit) -> Iterator[Finding]:
    connector, _ = connector_of(machine, fit.revision)
    header = next(adapter.headers(Mates.KEYS), None)
    place = fit.place
    if connector is None or connector.shape is None:
        text = (
            f"the file of {machine.id} does not say where the pins of its connector are; add gender, rows and numbering"
        )
        place = machine.place
    elif header is None or header.part.header is None:
        text = "no header of the adapter has mates: keys, so nothing says what is put on the machine's connector"
        place = adapter.place
    else:
        size, own = connector.shape, header.part.header
        if fits_in_size(fit, size, own):
            assert not fits_in_gender(fit, size, own)
            yield _finding_of_gender(fit, size, header.ref, own)
            return
        text = (
            f"the connector of {fit.name} has {size.rows}x{size.columns} pins, but {header.ref} has "
            f"{own.rows}x{own.columns}"
        )
        if fit.through is not None and fit.through.header is not None:
            text += f", and {fit.through.id} {fit.through.header.rows}x{fit.through.header.columns}"
    yield Finding(slug=NOT_MATED.slug, severity=NOT_MATED.severity, place=place, text=text)


def _finding_of_gender(fit: Fit, shape: Header, ref: str, own: Header) -> Finding:
    text = f"the connector of {fit.name} is a {shape.gender.value}, and {ref} is a {own.gender.value}"
    if fit.through is not None and fit.through.header is not None:
        text += (
            f", and {fit.through.id} has a {fit.through.header.gender.value} at the machine and the other kind at {ref}"
        )
    return Finding(
        slug=NOT_MATED.slug, severity=NOT_MATED.severity, place=fit.place, text=f"{text}: pins must go into holes"
    )
