"""Rules about putting the adapter on: what a slip of the hand can do."""

from __future__ import annotations

from collections.abc import Iterator

from matrixmap.board.matings import WORDS, harmful_by_hand, pin_to_blank
from matrixmap.board.record import BoardRule, Judged, Told
from matrixmap.model.finding import Severity


def _harmful(judged: Judged) -> Iterator[Told]:
    found = harmful_by_hand(judged.board)
    if not found:
        return
    worst = max(found, key=lambda mating: mating.harm)
    more = f"; {len(found) - 1} more ways may damage something" if len(found) > 1 else ""
    best = pin_to_blank(judged.board)
    if best.pin is None:
        cure = "no pin that can be left out prevents more of them; a shroud does"
    else:
        left = "none is" if best.left == 0 else f"only {best.left} {'is' if best.left == 1 else 'are'}"
        cure = f"with pin {best.pin} of the machine's connector removed and its hole filled, {left} left"
    text = f"put on {worst.words()}, {judged.board.header.ref} {WORDS[worst.harm]} ({worst.because}), and nothing prevents it"
    yield Told(f"{text}{more}; {cure}", judged.board.header.place, cases=len(found))


RULES: tuple[BoardRule, ...] = (
    BoardRule(
        slug="harmful-mating",
        severity=Severity.WARNING,
        purpose="The adapter can easily be put on in a wrong way that may damage something.",
        explanation=(
            "All ways to put the connector on were tried, and both ends of a cable: turned round, and shifted "
            "along and across. A blanked pin, a shroud or neighbouring parts prevent some of them. The finding "
            "names the worst way that nothing prevents, and the pin to leave out so that the fewest ways remain."
        ),
        bad="clearance: 1",
        good="clearance: 0",
        function=_harmful,
    ),
)
"""The rules about putting the adapter on."""
