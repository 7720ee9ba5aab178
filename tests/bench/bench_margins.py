"""What the margins of a board cost: python -m tests.bench.bench_margins.

A full matrix of 8x8, all single contacts, pairs and triples, and two keys with any modifiers. The time is the processor's, the
shortest of several, and beside it as a ratio to reading and joining the layout; the number of networks that are solved, which
does not depend on the machine that runs it, is counted.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from time import thread_time
from unittest.mock import patch

from matrixmap.margins import times, worst
from matrixmap.margins.network import Network, Point, Solved, solve
from matrixmap.margins.run import Margins, margins_of
from tests.bench.bench_check import read_and_join
from tests.board.boards import checked

LAYOUT = "quillon8-de-DE-symbolic"


@dataclass(frozen=True, slots=True, kw_only=True)
class Cost:
    """Seconds of the processor for the margins of a board, and for reading and joining a layout; networks that were solved."""

    seconds: float
    join: float
    solved: int
    margins: Margins

    @property
    def ratio(self) -> float:
        """How many times longer the margins take."""
        return self.seconds / self.join


@contextmanager
def counting() -> Iterator[list[int]]:
    """Counts the networks that are solved meanwhile."""
    count = [0]

    def counted(network: Network, point: Point) -> Solved:
        count[0] += 1
        return solve(network, point)

    with patch.object(worst, "solve", counted), patch.object(times, "solve", counted):
        yield count


def cost_of(adapter: str, fit: str, repeats: int = 3) -> Cost:
    """The cost of the margins of a shipped adapter."""
    board = checked(adapter, {}, fit)
    assert board.traced is not None
    with counting() as count:
        found = margins_of(board.traced)
    taken, joins = [], []
    for _ in range(repeats):
        begun = thread_time()
        read_and_join(LAYOUT)
        joined = thread_time()
        margins_of(board.traced)
        taken.append(thread_time() - joined)
        joins.append(joined - begun)
    return Cost(seconds=min(taken), join=min(joins), solved=count[0], margins=found)


def main() -> None:
    """Prints a line a board."""
    for adapter in ("ferrule", "locket"):
        for fit in ("quillon8", "quillon8/late"):
            cost = cost_of(adapter, fit)
            sets = cost.margins.sets
            assert sets is not None
            print(
                f"{adapter} on {fit}: {sets.looked_at} sets, {cost.solved} networks solved, {cost.seconds:.2f} s, "
                f"{cost.ratio:.1f} times reading and joining a layout"
            )


if __name__ == "__main__":
    main()
