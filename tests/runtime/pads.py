"""Which switches of controllers pads close, by rules 9 to 11 of mm_runtime.h, with sets and absolute times."""

from __future__ import annotations

from dataclasses import dataclass, field

from .table import Controller, Table, Wired

Switch = tuple[int, int]  # controller, number of the switch


@dataclass(slots=True)
class Pads:
    """The switches of all controllers of one machine: those that are on, and those whose poll time runs."""

    on: set[Switch] = field(default_factory=set)
    coming: set[Switch] = field(default_factory=set)  # their time begins with the next one
    staying: set[Switch] = field(default_factory=set)  # until the time that runs is over
    ends: int | None = None
    shut: frozenset[Switch] = frozenset()

    def give(self, table: Table, number: int, switches: int) -> None:
        """What a pad holds down now."""
        if number >= len(table.controllers):
            return
        now = {(number, bit) for bit in range(8) if switches >> bit & 1}
        for pair in table.controllers[number].opposites:
            both = {(number, bit) for bit in pair}
            if both and both <= now:
                now -= both
            elif both & now:
                self.coming -= both - now
                self.staying -= both - now
        self.on = {switch for switch in self.on if switch[0] != number} | now
        self.coming |= now - self.shut

    def unplug(self, number: int) -> None:
        """A pad is gone."""
        for some in (self.on, self.coming, self.staying):
            some.difference_update({(number, bit) for bit in range(8)})

    def advance(self, table: Table, clock: int, due: bool) -> bool:
        """Lets time pass; whether a switch opened or closed."""
        before = self.shut
        if self.ends is not None and self.ends <= clock:
            self.ends = None
        if not table.controllers:
            assert not before
            return False
        if self.ends is None:
            self.staying, self.coming = self.coming, set()
            if self.staying:
                self.ends = clock + max(1, table.poll)
        self.shut = frozenset() if due else frozenset(self.on | self.coming | self.staying)
        return self.shut != before

    def each(self, table: Table) -> list[tuple[Controller, tuple[Wired, int]]]:
        """The switches that are closed, with their controllers."""
        found = []
        for number, bit in sorted(self.shut):
            controller = table.controllers[number]
            if bit < len(controller.switches):
                found.append((controller, controller.switches[bit]))
        return found

    def joined(self, table: Table) -> set[tuple[int, int]]:
        """Crosspoints that pads close."""
        return {divmod(value, 16) for _, (wired, value) in self.each(table) if wired is Wired.CONTACT}

    def pulled(self, table: Table, line: int) -> set[int]:
        """Sense lines that pads pull low while a select line is strobed; line 16: whatever is strobed."""
        low = set()
        for _, (wired, value) in self.each(table):
            at, bit = divmod(value, 16)
            if wired is Wired.GROUND or (wired is Wired.GATED and at == line):
                low.add(bit)
        return low

    def held(self, table: Table) -> int:
        """The modifier keys whose contacts pads close."""
        joined = self.joined(table)
        return sum(
            1 << number
            for number, (kind, value) in enumerate(table.modifiers)
            if kind == 0 and divmod(value, 16) in joined
        )
