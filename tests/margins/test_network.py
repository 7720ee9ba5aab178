"""The voltages of a network: by closed forms, by an example worked out elsewhere, and by a circuit simulator."""

from __future__ import annotations

import random
from fractions import Fraction
from pathlib import Path

import pytest

from matrixmap.emit.boards.spice import Circuit
from matrixmap.margins.network import Leak, Network, Resistor, ShortError, Source, Span, solve
from tests.margins.random_boards import random_box, random_corner, spice_answers


def point(value: float | str) -> Span:
    """A value that is known exactly."""
    return Span(Fraction(value), Fraction(value))


def path_of_three(contact: float | str, pull_up: float | str, driver: float | str = 0) -> Network:
    """The phantom S0-N0-S1-N1: S0 strobed, three contacts, both sense lines pulled up to 5 V."""
    return Network(
        resistors=(
            Resistor("driver", "low", "S0", point(driver)),
            Resistor("S0/N0", "S0", "N0", point(contact)),
            Resistor("S1/N0", "N0", "S1", point(contact)),
            Resistor("S1/N1", "S1", "N1", point(contact)),
            Resistor("pull N0", "supply", "N0", point(pull_up)),
            Resistor("pull N1", "supply", "N1", point(pull_up)),
        ),
        sources=(Source("strobe", "low", point(0)), Source("supply", "supply", point(5))),
    )


def least(network: Network) -> dict[str, Fraction]:
    """The corner of all least values."""
    return {name: each.least for name, each in network.spans.items()}


def test_the_worked_example() -> None:
    """185 ohms, 3.3 k, a driver of 20 ohms and 5 V: 0.978537428 V at N1, by ngspice 39.3 and by scipy alike (worked elsewhere)."""
    network = path_of_three(185, 3300, 20)
    assert float(solve(network, least(network)).volts["N1"]) == pytest.approx(0.978537428, abs=5e-10)


@pytest.mark.parametrize("x", ["0.001", "0.0465", "0.1019", "0.1547", "0.4720", "1", "7.5"])
def test_closed_forms(x: str) -> None:
    """With x = contact over pull-up and an ideal driver: x / (1 + x) and 1 - 1 / ((1 + 2x)(1 + x) + x) of the supply, exactly."""
    share = Fraction(x)
    network = path_of_three(str(share * 3300), 3300)
    assert solve(network, least(network)).volts["N1"] / 5 == 1 - 1 / ((1 + 2 * share) * (1 + share) + share)
    direct = Network(
        resistors=(Resistor("c", "low", "N", point(str(share * 3300))), Resistor("p", "supply", "N", point(3300))),
        sources=network.sources,
    )
    assert solve(direct, least(direct)).volts["N"] / 5 == share / (1 + share)


@pytest.mark.parametrize(
    ("low", "high", "press", "read", "never"),
    [("0.16", "0.4", 0.1905, 0.0465, 0.1547), ("0.3", "0.7", 0.4286, 0.1019, 0.4720)],
)
def test_shares_of_contact_over_pull_up(low: str, high: str, press: float, read: float, never: float) -> None:
    """Up to which x a press is surely read, up to which a phantom is, and from which it surely is not, by halving."""

    def phantom(x: float) -> float:
        network = path_of_three(str(Fraction(x) * 1000), 1000)
        return float(solve(network, least(network)).volts["N1"]) / 5

    assert float(low) / (1 - float(low)) == pytest.approx(press, abs=5e-5)
    for share, x in ((low, read), (high, never)):
        assert phantom(x - 5e-5) < float(share) < phantom(x + 5e-5)


def test_leaks_pull_an_open_line_down() -> None:
    """Eight open channels of 5 uA over 47 k leave 5 - 8 * 0.235 = 3.12 V."""
    network = Network(
        resistors=(Resistor("pull", "supply", "N", point(47_000)),),
        sources=(Source("supply", "supply", point(5)),),
        leaks=(Leak("leak", "N", point(Fraction(-40, 10**6))),),
    )
    assert float(solve(network, least(network)).volts["N"]) == pytest.approx(3.12, abs=1e-12)


def test_current_into_a_source_by_hand() -> None:
    """5 V over 4.9 k and 100 ohms: 1 mA flows into the strobed source, and out of the supply."""
    network = Network(
        resistors=(Resistor("c", "low", "N", point(100)), Resistor("p", "supply", "N", point(4900))),
        sources=(Source("strobe", "low", point(0)), Source("supply", "supply", point(5))),
    )
    assert solve(network, least(network)).into == {"strobe": Fraction(1, 1000), "supply": Fraction(-1, 1000)}


def test_joined_sources_have_no_answer() -> None:
    """Two sources without resistance between them are a short circuit."""
    network = Network(
        resistors=(Resistor("c", "low", "supply", point(0)),),
        sources=(Source("strobe", "low", point(0)), Source("supply", "supply", point(5))),
    )
    with pytest.raises(ShortError):
        solve(network, least(network))


@pytest.mark.parametrize(("diodes", "close"), [(False, 1e-9), (True, 1e-4)], ids=["resistors", "diodes"])
def test_a_circuit_simulator_finds_the_same_voltages(diodes: bool, close: float, tmp_path: Path) -> None:
    """300 random boards each, at a random corner: every sense line as ngspice has it, on netlists that the tool writes."""
    draw = random.Random(7 + diodes)
    for _ in range(6):
        circuits, expected = [], []
        for _ in range(50):
            network = random_box(draw, diodes).network
            corner = random_corner(draw, network)
            volts = solve(network, corner).volts
            for node in sorted(volts):
                if node.startswith("N"):
                    circuits.append(Circuit(network, corner, node, "a random board"))
                    expected.append(float(volts[node]))
        found, _ = spice_answers(circuits, [], tmp_path)
        assert max(abs(a - b) for a, b in zip(found, expected, strict=True)) < close
