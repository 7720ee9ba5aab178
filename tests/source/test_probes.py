"""Continuity probes: any wiring that is probed in any order comes back as it is."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from matrixmap.source.propose.probes import ProbeChoices, Probed, read_probes
from matrixmap.source.report import Report


def read(text: str, **choices: object) -> tuple[Probed | None, list[str]]:
    """What probes give, and what is told about them."""
    report = Report()
    probed = read_probes(text.encode(), "p", ProbeChoices(**choices), report)  # type: ignore[arg-type]
    assert (probed is None) == bool(report.findings)
    return probed, [f"{finding.place}: {finding.slug}: {finding.text}" for finding in report.findings]


@settings(max_examples=150, deadline=None)
@given(data=st.data(), rows=st.integers(1, 8), columns=st.integers(1, 8))
def test_any_wiring_comes_back(data: st.DataObject, rows: int, columns: int) -> None:
    """Pins of a connector in any order, probes in any order and direction: each key is where its two lines cross."""
    pins = data.draw(st.permutations(range(1, rows + columns + 1)))
    select, sense = pins[:rows], pins[rows:]
    crossings = data.draw(
        st.sets(st.tuples(st.integers(0, rows - 1), st.integers(0, columns - 1)), min_size=1, max_size=rows * columns)
    )
    one_way = data.draw(st.booleans())
    keys = {f"k{row}x{column}": (select[row], sense[column]) for row, column in sorted(crossings)}
    lines = []
    for key in data.draw(st.permutations(sorted(keys))):
        one, other = keys[key]
        back = data.draw(st.booleans())
        # Active low: current flows from the sense line to the select line.
        way = "-" if not one_way else ">" if back else "<"
        lines.append(f"{key}: {other} {way} {one}" if back else f"{key}: {one} {way} {other}")
    strobed = tuple(str(one) for one, _ in keys.values())
    choices = {"active": "low"} if one_way else {"strobed": strobed}
    probed, told = read("\n".join(lines), **choices)
    assert told == []
    assert probed is not None
    grid = probed.grid
    found = {
        cell.text: (grid.select[row], grid.sense[column])
        for row, cells in enumerate(grid.rows)
        for column, cell in enumerate(cells)
        if cell is not None
    }
    assert found == {key: (f"P{one}", f"P{other}") for key, (one, other) in keys.items()}
    assert {cell.text for cell in grid.one_way} == (set(keys) if one_way else set())
    for number, pin in enumerate(grid.pins, 1):
        assert pin == (f"P{number}" if f"P{number}" in (*grid.select, *grid.sense) else None)


@settings(max_examples=100, deadline=None)
@given(text=st.text(st.sampled_from("ab12:-<># \n"), max_size=80))
def test_any_text_gives_a_grid_or_findings(text: str) -> None:
    """No text ends in an error of the program."""
    read(text, strobed=("1",))


def test_keys_on_lines_of_their_own() -> None:
    """A key that joins a line and ground is a direct key; ground can be called by its pin."""
    probed, _ = read("q: 2 - 5\nw: 2 - 6\nstop: 7 - ground\nhalt: 1 - 8\n", strobed=("2",), ground=("1",))
    assert probed is not None
    assert [(cell.text, line) for cell, line in probed.grid.direct] == [("stop", "P7"), ("halt", "P8")]
    assert probed.grid.pins == ("ground", "P2", None, None, "P5", "P6", "P7", "P8")


def test_what_no_probe_joins_to_the_rest_is_told() -> None:
    """Two parts of a matrix each have their own sides; the smaller one is named, and places without a key."""
    probed, _ = read("q: A8 - D0\nw: A8 - D1\na: A9 - D2\n", strobed=("A8", "A9"))
    assert probed is not None
    assert probed.grid.select == ("A8", "A9")
    assert probed.notes == (
        "no probe joins pins A9, D2 to the rest (a)",
        "no key was probed at A8/D2, A9/D0, A9/D1; the file has none there",
    )
    assert probed.grid.pins == ()


@pytest.mark.parametrize(
    ("choices", "told"),
    [
        (
            {"strobed": ("1", "5")},
            "p:1:1: side-not-stated: --strobed names pins 1 and 5, which are on both sides: keys join one side with the other",
        ),
        ({"strobed": ("9",)}, "p:1:1: side-not-stated: --strobed names pin 9, but no probe does"),
        (
            {"strobed": ("5",), "active": "high"},
            "p:1:1: side-not-stated: --strobed names 5, but with --active high the diodes say that the other side is strobed: 1",
        ),
    ],
)
def test_options_that_contradict_the_probes(choices: dict[str, object], told: str) -> None:
    """What is said of the strobed side must fit the wiring and the diodes."""
    assert read("q: 1 > 5\nw: 1 > 6\n", **choices)[1] == [told]


@pytest.mark.parametrize(("active", "select"), [("low", ("P5", "P6")), ("high", ("P1",))])
def test_diodes_tell_the_strobed_side(active: str, select: tuple[str, ...]) -> None:
    """Current flows to a line that is strobed low, and from one that is strobed high."""
    probed, _ = read("q: 1 > 5\nw: 6 < 1\n", active=active)
    assert probed is not None
    assert probed.grid.select == select


def test_the_ring_that_is_told_is_a_shortest_one() -> None:
    """Seven keys on a ring of seven pins and three on a ring of three: the three are named, in the order of the ring."""
    seven = [f"k{n}: {n} - {n % 7 + 1}" for n in range(1, 8)]
    _, told = read("\n".join([*seven, "x: 1 - 8", "y: 8 - 2"]))
    assert len(told) == 1
    assert "3 keys form a ring" in told[0]
    assert {"k1 (1-2, line 1)", "x (1-8, line 8)", "y (8-2, line 9)"} == set(
        told[0].split("two sides: ")[1].split("; one of them")[0].replace("), ", ")|").split("|")
    )


def test_the_hash_key_is_no_comment() -> None:
    """A line that begins with # and a blank is a comment; `#:` is the key with that print."""
    probed, _ = read("# measured twice\n#: 1 - 2\n", strobed=("1",))
    assert probed is not None
    assert [cell.text for cell in probed.grid.cells()] == ["#"]
