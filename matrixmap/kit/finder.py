"""Which faults fit what a person saw, what should be asked next, and what is told if nothing fits.

Answers are weighed by how many of them a class would have to contradict. The finder asks until one class fits all, and then on until
at most one other would fit with a single answer taken back: so one wrong answer is told, or leaves two candidates.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from matrixmap.kit.screen import AND_SO_ON, NOTHING
from matrixmap.kit.table import FaultTable, models_of
from matrixmap.kit.tree import Node, Tree
from matrixmap.kit.trials.faults import Fault, Kind, neighbours
from matrixmap.model.boards.adapter import Pin

MOST_TIMES = 3
"""So often one press is asked for at most."""
NEAREST = 3
"""So many of the nearest classes are told where none fits."""
MOST_PAIRS = 400
"""So many pairs of faults are tried where no single one fits."""


@dataclass(frozen=True, slots=True)
class Observed:
    """What appeared for a question, by the number of its answer."""

    asks: int
    answer: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Near:
    """A class and the answers that it contradicts."""

    number: int
    against: tuple[Observed, ...]


@dataclass
class Finder:
    """The answers so far and what they say."""

    table: FaultTable
    tree: Tree
    observed: list[Observed] = field(default_factory=list)

    def take(self, asks: int, answer: str) -> None:
        """What appeared for a question."""
        self.observed.append(Observed(asks, answer))

    def undo(self) -> bool:
        """Takes the last answer back; False if there is none."""
        return bool(self.observed) and self.observed.pop() is not None

    def near(self, most: int) -> tuple[Near, ...]:
        """The classes that contradict at most so many answers, those that fit best first."""
        observed = [(one.asks, one.answer) for one in self.observed]
        found = []
        for number, (answers, _) in enumerate(self.table.classes):
            count = 0
            for asks, answer in observed:
                count += answers[asks] != answer
                if count > most:
                    break
            else:
                against = tuple(one for one in self.observed if answers[one.asks] != one.answer) if count else ()
                found.append(Near(number=number, against=against))
        return tuple(sorted(found, key=lambda near: (len(near.against), near.number)))

    @property
    def fitting(self) -> tuple[Near, ...]:
        """The classes that contradict nothing."""
        return self.near(0)

    @property
    def nearest(self) -> tuple[Near, ...]:
        """The classes that contradict the fewest answers."""
        found = self.near(len(self.observed))
        least = len(found[0].against)
        return tuple(near for near in found if len(near.against) == least)

    @property
    def contradictions(self) -> tuple[int, ...]:
        """Questions that were answered in more than one way."""
        answers: dict[int, set[str]] = {}
        for one in self.observed:
            answers.setdefault(one.asks, set()).add(one.answer)
        return tuple(sorted(asks for asks, given in answers.items() if len(given) > 1))

    def next(self, check: bool = True) -> int | None:
        """The number of the next question; None where nothing is left to ask. Without `check` only until one class is left."""
        fitting = [near.number for near in self.fitting]
        if not fitting:
            return None
        if len(fitting) > 1:
            return self._in_tree(tuple(fitting)) or self._apart(fitting, 1)
        left = [near.number for near in self.near(1)] if check else []
        return self._apart(left, MOST_TIMES) if len(left) > 2 else None

    def _in_tree(self, fitting: tuple[int, ...]) -> int | None:
        """What the tree asks, if the answers so far came along it."""
        node: Node | None = self.tree.root
        for one in self.observed:
            if node is None or node.asks != one.asks:
                return None
            node = node.then.get(one.answer)
        return node.asks if node is not None and node.then and node.classes == fitting else None

    def _apart(self, classes: Sequence[int], most: int) -> int | None:
        """The question that leaves the fewest of some classes together with the first, not yet asked if there is such a one."""
        times: dict[int, int] = {}
        for one in self.observed:
            times[one.asks] = times.get(one.asks, 0) + 1
        first = self.table.classes[classes[0]].answers
        best: tuple[int, int, int] | None = None
        for asks in range(len(first)):
            if times.get(asks, 0) >= most:
                continue
            alike = sum(self.table.classes[number].answers[asks] == first[asks] for number in classes)
            rank = (times.get(asks, 0), alike, asks)
            if alike < len(classes) and (best is None or rank < best):
                best = rank
        return best[2] if best else None

    def pairs(self) -> tuple[tuple[Fault, Fault], ...]:
        """Pairs of faults of one neighbourhood that fit all answers together, where no single fault does.

        Tried are the faults of the nearest classes, each with the faults at its parts and next to its joints.
        """
        found = []
        for one, other in self._neighbourhood():
            wired = self.table.bench.wired_with((one, other))
            models = models_of(self.table.bench, self.table.screens, wired)
            if any(all(model.answers[each.asks] == each.answer for each in self.observed) for model in models):
                found.append((one, other))
        return tuple(found)

    def _neighbourhood(self) -> Iterator[tuple[Fault, Fault]]:
        tried: set[frozenset[Fault]] = set()
        nearest = [near.number for near in self.near(len(self.observed)) if near.number][: 4 * NEAREST]
        for number in nearest:
            for fault in self.table.classes[number].faults:
                for other in self._beside(fault):
                    pair = frozenset((fault, other))
                    if len(pair) == 2 and pair not in tried and len(tried) < MOST_PAIRS:
                        tried.add(pair)
                        yield fault, other

    def _beside(self, fault: Fault) -> Iterator[Fault]:
        """Faults at the pins next to those of a fault."""
        if fault.kind not in (Kind.OPEN, Kind.BRIDGE):
            return
        near = {Pin(pin.ref, other) for pin in fault.pins for other in self._next_to(pin)} | set(fault.pins)
        for other in self.table.models:
            if other.kind in (Kind.OPEN, Kind.BRIDGE) and set(other.pins) & near:
                yield other

    def _next_to(self, pin: Pin) -> Iterator[str]:
        for one, other in neighbours(self.table.board.adapter.part(pin)):
            if pin.number in (one, other):
                yield other if pin.number == one else one


def read_answer(text: str, known: Iterable[str] = ()) -> str | None:
    """What a person wrote as what appeared: `a`, `nothing`, `a...`, `Enter`, `something else: ...`; None for an empty text."""
    text = text.strip()
    other = re.fullmatch(r"something else\s*:\s*(.*)", text, re.IGNORECASE)
    if other is not None:
        text = other[1].strip()
    if not text:
        return None
    if text.lower() == NOTHING:
        return NOTHING
    text = re.sub(r"\.\.\.$", AND_SO_ON, text)
    names = {each.lower(): each for each in known}
    if f"<{text.lower()}>" in names:
        return names[f"<{text.lower()}>"]
    text = names.get(text.lower(), text) if text not in names.values() and text.startswith("<") else text
    run = re.fullmatch(r"(.*?)(.)\2{2,}", text)
    if run is not None and AND_SO_ON not in text:
        return f"{run[1]}{run[2]}{AND_SO_ON}"
    return text
