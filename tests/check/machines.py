"""Small machines and layouts made at random, as texts that the reader reads."""

from __future__ import annotations

from hypothesis import strategies as st

HOST_KEYS = ("KeyA", "KeyB", "KeyD", "KeyE", "KeyQ", "KeyS", "KeyW")
FEEDERS = ("ShiftLeft", "ShiftRight", "ControlLeft", "AltLeft", "F9")


@st.composite
def machines_and_layouts(draw: st.DrawFn, contacts: tuple[str, ...] = ("switch",)) -> tuple[str, str]:
    """A machine of at most 3x4 with modifiers and controllers, and a layout on it with chords, sides, locks and dead keys."""
    selects, senses = draw(st.integers(2, 3)), draw(st.integers(2, 4))
    cells = [f"k{number}" for number in range(selects * senses)]
    present = [draw(st.integers(0, 5)) > 0 for _ in cells]
    names = [name for name, there in zip(cells, present, strict=True) if there] or [cells[0]]
    rows = [
        [name if name in names else "none" for name in cells[row * senses : (row + 1) * senses]]
        for row in range(selects)
    ]
    modifiers = draw_modifiers(draw, names)
    latch = draw(st.sampled_from([None, *names]))
    # No stroke names the key of a modifier or of a latch: no table holds it.
    plain = [name for name in names if name != latch and not any(name in keys for keys in modifiers.values())]
    machine = machine_text(draw, rows, senses, modifiers, plain, latch) + controllers_text(draw, selects, senses)
    layout = layout_text(draw, names, plain, modifiers, latch, draw(st.sampled_from(contacts)))
    return machine, layout


def draw_modifiers(draw: st.DrawFn, names: list[str]) -> dict[str, list[str]]:
    """Modifiers with one or two keys each, of which none has another's."""
    left = list(names)
    modifiers = {}
    for name in ("shift", "control", "graph")[: draw(st.integers(0, 3))]:
        keys = [left.pop(draw(st.integers(0, len(left) - 1))) for _ in range(draw(st.integers(1, 2))) if len(left) > 1]
        if keys:
            modifiers[name] = keys
    return modifiers


def machine_text(draw, rows, senses, modifiers, plain, latch) -> str:
    states = ["plain", *modifiers]
    lines = ["machine: random", "title: A random machine", "source: made for this test", "matrix:"]
    lines += [f"  select: [{', '.join(f'S{row}' for row in range(len(rows)))}]"]
    lines += [f"  sense: [{', '.join(f'N{column}' for column in range(senses))}]", "  grid:"]
    lines += [f"    S{number}: [{', '.join(row)}]" for number, row in enumerate(rows)]
    if modifiers:
        lines += ["modifiers:", *(f"  {name}: [{', '.join(keys)}]" for name, keys in modifiers.items())]
    if latch:
        lines += [f"latching: {{latch: {latch}}}"]
    letters = iter("abcdefghijklmnopqrstuvwxyz0123456789!$%&()=?ABCDEFGHIJKLMNOP")
    lines += ["types:", f"  {rows[0][0] if rows[0][0] != 'none' else first_key(rows)}: {{plain: U9}}"]
    for name in plain:
        if name == lines[-1].split(":")[0].strip():
            continue
        typed = [state for state in states if draw(st.booleans())] or ["plain"]
        lines.append(f"  {name}: {{{', '.join(f'{state}: {chr(39)}{next(letters)}{chr(39)}' for state in typed)}}}")
    lines = list(dict.fromkeys(lines))
    rollover = draw(st.sampled_from(["", ", rollover: 1", ", rollover: 2", ", rollover: 3"]))
    return "\n".join([*unique_types(lines), f"scan: {{period_us: 20000{rollover}}}", ""])


def controllers_text(draw, selects: int, senses: int) -> str:
    """None to three controllers of any wiring with up to three switches each, lines in common or not."""
    lines = []
    for number in range(draw(st.integers(0, 3))):
        wired = draw(st.sampled_from(["ground", "gated", "contact", "contact"]))
        switches = [f"wired: {wired}"]
        for function in ("Up", "Left", "Fire")[: draw(st.integers(1, 3))]:
            select = "" if wired == "ground" else f"S{draw(st.integers(0, selects - 1))}/"
            switches.append(f"{function}: {select}N{draw(st.integers(0, senses - 1))}")
        lines.append(f"  stick-{number}: {{{', '.join(switches)}}}\n")
    return "".join(["controllers:\n", *lines]) if lines else ""


def first_key(rows) -> str:
    return next(name for row in rows for name in row if name != "none")


def unique_types(lines: list[str]) -> list[str]:
    """The lines with one entry a key under `types`, the last one."""
    start = lines.index("types:")
    entries = {line.split(":")[0]: line for line in lines[start + 1 :]}
    return [*lines[: start + 1], *entries.values()]


def layout_text(draw, names, plain, modifiers, latch, contacts) -> str:
    join = draw(st.sampled_from(["symbolic", "positional"]))
    host = draw(st.sampled_from(["few", "composing"]))
    lines = ["layout: case", "machine: random", f"host: {host}", f"join: {join}", f"contacts: {contacts}"]
    if latch and draw(st.booleans()):
        lines.append("locks: {CapsLock: latch}")
    keys = {}
    for feeder in FEEDERS:
        chosen = draw(st.sampled_from([None, *(key for each in modifiers.values() for key in each)]))
        if chosen:
            keys[feeder] = chosen
    for host_key in HOST_KEYS[: draw(st.integers(1, len(HOST_KEYS)))]:
        for prefix in ("", "Shift+")[: draw(st.integers(1, 2))]:
            held = [name for name in modifiers if plain and draw(st.integers(0, 3)) == 0]
            most = 2 if plain else 1
            pressed = draw(st.lists(st.sampled_from(plain or names), min_size=1, max_size=most, unique=True))
            if not plain and (prefix or pressed == [latch]):
                continue
            keys[f"{prefix}{host_key}"] = " + ".join([*held, *pressed])
    if keys:
        lines += ["keys:", *(f"  {trigger}: {stroke}" for trigger, stroke in keys.items())]
    return "\n".join([*lines, ""])
