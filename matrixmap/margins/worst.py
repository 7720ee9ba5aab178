"""In which corner of all intervals a voltage or a current is worst, and how far it then goes.

Each voltage, and each current into a source, is a quotient of two functions that are linear in each resistance, each
source and each leak. So it is monotone in each of them while the others are fixed, and the worst is in a corner of the
box. In a bridge, its direction can depend on the other parts: such parts are tried at both ends. For the others, the
direction is known:

- more volts of a source, or more current of a leak into a node, never lower a voltage;
- if surely no current flows from a line into a pull-up, and some surely flows into the driver: a larger pull-up
  lowers all voltages, and a larger resistance of the driver raises them;
- a contact that is in no closed cycle carries its current towards the strobed line. If it is on the path from the line
  in question, more ohms raise that line's voltage; if it is not, fewer ohms do, because more current then joins.

If the direction is not known in this way, both ends are tried too, so the answer is exact. A diode in no closed cycle
counts as a contact. In a closed cycle, a diode's drop is not monotone in this sense: such a network is refused.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from itertools import product
from math import log1p

from matrixmap.circuit.margin import THERMAL_V
from matrixmap.margins.network import Junction, Network, Point, ShortError, Solved, UnsolvedError, solve

MOST_TRIED = 12
"""The most parts that are tried at both ends: 4,096 corners."""


class CycleError(Exception):
    """A diode is in a closed cycle, or too many parts would have to be tried at both ends."""


def most_drop(junction: Junction, amps: Fraction) -> Fraction:
    """The most volts that a junction drops at a current, rounded up."""
    scale = float(junction.emission.most) * THERMAL_V
    return Fraction(scale * log1p(float(amps / junction.saturation.least))) + Fraction(1, 10**9)


@dataclass(frozen=True, slots=True, kw_only=True)
class Worst:
    """How far a voltage or a current goes (None: without limit), the corner, and how many corners were tried."""

    value: Fraction | None
    point: Point
    tried: int

    @property
    def number(self) -> float:
        """The value as a number."""
        return float("inf") if self.value is None else float(self.value)


@dataclass(frozen=True)
class Box:
    """A network with the roles of its parts.

    `pull_ups` and `drivers` lead from lines to sources, all other resistors are contacts. `strobed` is the source that
    holds a strobed line, and `high` are the sources that nothing in the network is above.
    """

    network: Network
    strobed: str
    high: frozenset[str]

    @cached_property
    def _of_source(self) -> dict[str, str]:
        return {each.node: each.name for each in self.network.sources}

    @cached_property
    def links(self) -> tuple[tuple[str, str, str], ...]:
        """Resistors and junctions between nodes, neither of which is a source above the others: name and both ends."""
        tops = {each.node for each in self.network.sources if each.name in self.high}
        found = [(each.name, each.a, each.b) for each in self.network.resistors if not {each.a, each.b} & tops]
        return (*found, *((each.name, each.anode, each.cathode) for each in self.network.junctions))

    @cached_property
    def pulls(self) -> frozenset[str]:
        """The resistors to a source above all others."""
        linked = {name for name, _, _ in self.links}
        return frozenset(each.name for each in self.network.resistors if each.name not in linked)

    @cached_property
    def root(self) -> str:
        """The node of the strobed source."""
        return next(each.node for each in self.network.sources if each.name == self.strobed)

    @cached_property
    def in_cycle(self) -> frozenset[str]:
        """The links in a closed cycle: without one of them, its ends stay joined."""
        return frozenset(name for name, a, b in self.links if self._joined(a, b, name))

    def _joined(self, a: str, b: str, without: str) -> bool:
        return b in self._reached(a, without)

    def _reached(self, start: str, without: str) -> set[str]:
        reached, waiting = {start}, [start]
        while waiting:
            here = waiting.pop()
            for name, one, other in self.links:
                if name != without and here in (one, other):
                    there = other if here == one else one
                    # Nothing passes through a node that a source holds.
                    if there not in reached:
                        reached.add(there)
                        waiting += [there] if there not in self._of_source else []
        return reached

    @cached_property
    def flows_in(self) -> bool:
        """Whether, in the whole box, current flows from each pull-up towards the strobed source, whatever leaks.

        No link carries more than all the current that is possible. So a line is at most as high as the strobed source
        plus the drop of that current along one path to it. If the line's pull-up then brings more than all leaks can
        take, current flows in.
        """
        network = self.network
        low = self._low
        if low is None:
            return False
        highs = [each.volts for each in network.sources if each.name in self.high]
        pulls = [each for each in network.resistors if each.name in self.pulls]
        if not highs or any(not each.ohms.least for each in pulls):
            return False
        leak = sum((max(abs(each.amps.least), abs(each.amps.most)) for each in network.leaks), Fraction(0))
        top = max(each.most for each in highs)
        amps = leak + sum((top / each.ohms.least for each in pulls), Fraction(0))
        rises = self._rises(amps)
        tops = {each.node for each in network.sources if each.name in self.high}
        for each in pulls:
            line = each.a if each.b in tops else each.b
            room = min(every.least for every in highs) - low - rises.get(line, top)
            if room <= 0 or room / each.ohms.most <= leak:
                return False
        return True

    @cached_property
    def _low(self) -> Fraction | None:
        """The most volts of the strobed source; None if there is none, or another source is below the high ones."""
        low = [each for each in self.network.sources if each.name not in self.high]
        return low[0].volts.most if [each.name for each in low] == [self.strobed] else None

    def _rises(self, amps: Fraction) -> dict[str, Fraction]:
        """How far each node is at most above the strobed source, if no link carries more than some current."""
        ohms = {each.name: each.ohms.most for each in self.network.resistors}
        junctions = {each.name: each for each in self.network.junctions}
        rises, waiting = {self.root: Fraction(0)}, [self.root]
        while waiting:
            here = waiting.pop(0)
            for name, a, b in self.links:
                if here not in (a, b) or (name in junctions and here != junctions[name].cathode):
                    continue
                there = b if here == a else a
                if there not in rises:
                    rise = ohms[name] * amps if name in ohms else most_drop(junctions[name], amps)
                    rises[there] = rises[here] + rise
                    waiting.append(there)
        return rises

    def worst(self, node: str, most: bool) -> Worst:
        """The highest, or lowest, voltage of a node in the box. CycleError if it cannot be known."""
        return self._extreme(node, most, lambda solved: solved.volts[node])

    def worst_or_bound(self, node: str, most: bool) -> tuple[Worst, bool]:
        """The highest, or lowest, voltage of a node, and whether it is only a bound, which it may not come near.

        It is also a bound if sources are joined without resistance: the node is anywhere between them. No line is
        higher above the strobed source than the drop of all possible current along one path to it, and none is higher
        than all pull-ups plus what the leaks add through them. The lower bound is found in the same way, but with the
        leaks out of lines alone.
        """
        try:
            found = self.worst(node, most)
        except CycleError:
            found = None
        if found is None or found.value is None:
            return Worst(value=self._bound(node, most), point={}, tried=0), True
        return found, False

    def most_into_or_bound(self) -> Fraction | None:
        """The most current into the strobed source, or all the current that is possible."""
        try:
            return self.worst_into(self.strobed).value
        except CycleError:
            return self._all_amps()

    def _all_amps(self) -> Fraction | None:
        """More than any current: each pull-up from source to ground, and all leaks; None if a pull-up has 0 ohms."""
        pulls = [each.ohms.least for each in self.network.resistors if each.name in self.pulls]
        if not all(pulls):
            return None
        top = max((each.volts.most for each in self.network.sources), default=Fraction(0))
        return self._leak + sum((top / ohms for ohms in pulls), Fraction(0))

    @property
    def _leak(self) -> Fraction:
        return sum((max(abs(each.amps.least), abs(each.amps.most)) for each in self.network.leaks), Fraction(0))

    def _bound(self, node: str, most: bool) -> Fraction:
        ohms = max(each.ohms.most for each in self.network.resistors if each.name in self.pulls)
        sources = [each.volts for each in self.network.sources]
        amps, low = self._all_amps(), self._low
        if not most:
            return min(each.least for each in sources) - self._leak * ohms
        top = max(each.most for each in sources) + self._leak * ohms
        if amps is None or low is None:
            return top
        return min(top, low + self._rises(amps).get(node, top))

    def worst_into(self, source: str, most: bool = True) -> Worst:
        """The most, or least, current in amperes into a source; below 0 it flows out."""
        return self._extreme(None, most, lambda solved: solved.into[source], source)

    def _extreme(self, node: str | None, most: bool, value: Callable[[Solved], Fraction], source: str = "") -> Worst:
        best: tuple[Fraction, Point] | None = None
        tried = 0
        for point in self._corners(node, most, source):
            tried += 1
            try:
                found = value(solve(self.network, point))
            except ShortError:
                return Worst(value=None, point=point, tried=tried)
            except UnsolvedError as error:
                raise CycleError from error
            if best is None or (found > best[0] if most else found < best[0]):
                best = found, point
        assert best is not None
        return Worst(value=best[0], point=best[1], tried=tried)

    def _corners(self, node: str | None, most: bool, source: str) -> Iterator[Point]:
        """The corners that must be tried."""
        fixed: dict[str, bool] = {each.name: most for each in self.network.leaks}
        fixed |= {each.name: most != (each.name == source) for each in self.network.sources}
        if self.flows_in:
            fixed |= self._known(node, most, source)
        if any(each.name not in fixed for each in self.network.junctions):
            raise CycleError
        spans = self.network.spans
        open_parts = [name for name, each in spans.items() if name not in fixed and not each.is_point]
        if len(open_parts) > MOST_TRIED:
            raise CycleError
        settled = {name: each.most if fixed.get(name, True) else each.least for name, each in spans.items()}
        for ends in product((False, True), repeat=len(open_parts)):
            yield settled | {
                name: spans[name].most if end else spans[name].least for name, end in zip(open_parts, ends, strict=True)
            }

    def _known(self, node: str | None, most: bool, source: str) -> dict[str, bool]:
        """Parts with a known worse end, if all current flows towards the strobed source: True is the most."""
        known = dict.fromkeys(self.pulls, not most)
        if node is None:
            # All current of the pull-ups ends in the strobed source: less resistance on any path lets more flow.
            return known | dict.fromkeys(self._bridges(), not most) if source == self.strobed else {}
        for name in self._bridges():
            behind = self._reached(self.root, name)
            known[name] = most if node not in behind else not most
        return known

    def _bridges(self) -> Iterable[str]:
        return (name for name, _, _ in self.links if name not in self.in_cycle)
