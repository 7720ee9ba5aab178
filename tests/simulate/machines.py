"""Small machines, made by hand, on which every case can be tried."""

from __future__ import annotations

from matrixmap.model.legend import Legend
from matrixmap.model.machine import PLAIN, Contact, Diodes, Key, Machine, Modifier, Scan
from matrixmap.model.place import Place

HERE = Place(file="test", line=1, column=1)
SHIFT = frozenset({"shift"})


def make_scan(**changed: object) -> Scan:
    """A scan of 20 ms with a sweep of 640 us and two equal samples, save what is changed."""
    values: dict[str, object] = {
        "period_us": 20000,
        "sweep_us": 640,
        "samples_down": 2,
        "samples_up": 2,
        "tolerance_percent": 0,
        "rollover": None,
        "strobe_to_read_us": None,
    }
    return Scan(**{**values, **changed})  # type: ignore[arg-type]


def make_machine(scan: Scan, *, select: int = 3, sense: int = 3) -> Machine:
    """A full matrix of letters from `a`, capitals with Shift, which is the last crosspoint; one direct line `halt`."""
    keys = [
        Key(
            name=chr(ord("a") + number),
            contact=Contact(number),
            types={PLAIN: Legend(chr(ord("a") + number)), SHIFT: Legend(chr(ord("A") + number))},
            place=HERE,
        )
        for number in range(select * sense - 1)
    ]
    keys.append(Key(name="shift", contact=Contact(select * sense - 1), types={}, place=HERE))
    keys.append(Key(name="halt", contact=Contact(select * sense), types={PLAIN: Legend("Halt")}, place=HERE))
    return Machine(
        id="small",
        title="Small",
        source="made for a test",
        select=tuple(f"S{number}" for number in range(select)),
        sense=tuple(f"N{number}" for number in range(sense)),
        direct=("H",),
        diodes=Diodes.NONE,
        diode_contacts=frozenset(),
        keys=tuple(keys),
        latching={},
        modifiers=(Modifier(name="shift", keys=("shift",)),),
        scan=scan,
        rows=(),
        connector=None,
        controllers=(),
        place=HERE,
        host_shift="shift",
    )
