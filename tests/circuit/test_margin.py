"""How low a sense line falls: by hand, by another solver, by a circuit simulator, and as the pages say."""

from __future__ import annotations

import re
from dataclasses import replace
from math import exp, log
from pathlib import Path

import pytest

from matrixmap.check.rules.adapter import DIODES_COST_MARGIN
from matrixmap.check.run import check_plan
from matrixmap.circuit.margin import EXAMPLE, SCHOTTKY, SILICON, THERMAL_V, Diode, Line, low_v, most_forward
from matrixmap.model.finding import Severity
from tests.project import ROOT, shipped_plan
from tests.tools import run, tool

WEAKER = replace(EXAMPLE, pull_up_ohms=10_000.0)
DIODES = {"1N4148": SILICON[0], "default": SILICON[1], "BAT54": SCHOTTKY[0], "data sheet": SCHOTTKY[1]}
LINES = {"3.3 k": EXAMPLE, "10 k": WEAKER, "MOS": replace(EXAMPLE, driver_low_v=0.05, contact_ohms=185.0)}
CASES = [pytest.param(line, diode, id=f"{a}, {b}") for a, line in LINES.items() for b, diode in DIODES.items()]


def by_newton(line: Line, diode: Diode) -> float:
    """The voltage of the sense line by Newton's method in the voltage across the junction."""
    ohms = line.pull_up_ohms + line.contact_ohms + diode.series_ohms
    scale = diode.emission * THERMAL_V
    junction = scale * log((line.supply_v - line.driver_low_v) / ohms / diode.saturation_a)
    for _ in range(50):
        grown = diode.saturation_a * exp(junction / scale)
        missing = line.supply_v - line.driver_low_v - junction - ohms * (grown - diode.saturation_a)
        junction += missing / (1 + ohms * grown / scale)
    return line.supply_v - line.pull_up_ohms * diode.saturation_a * (exp(junction / scale) - 1)


def closed_form(line: Line, forward_v: float) -> float:
    """The formula of docs/firmware.md."""
    pulled = (line.driver_low_v + forward_v) * line.pull_up_ohms
    return (line.supply_v * line.contact_ohms + pulled) / (line.pull_up_ohms + line.contact_ohms)


def test_without_a_diode_by_hand() -> None:
    """4.6 V over 3365 ohms are 1.36701 mA, and 65 ohms of that with 0.4 V are 0.48886 V."""
    assert low_v(EXAMPLE) == pytest.approx(0.48886, abs=1e-5)
    assert low_v(EXAMPLE) == pytest.approx(closed_form(EXAMPLE, 0), abs=1e-9)


@pytest.mark.parametrize(("line", "diode"), CASES)
def test_another_solver_finds_the_same_voltage(line: Line, diode: Diode) -> None:
    """Bisection of the current and Newton's method in the voltage agree, and so does the closed form of the page."""
    volts = low_v(line, diode)
    assert volts == pytest.approx(by_newton(line, diode), abs=1e-9)
    forward = diode.forward_v((line.supply_v - volts) / line.pull_up_ohms)
    assert volts == pytest.approx(closed_form(line, forward), abs=1e-9)
    assert (forward <= most_forward(line)) == (volts <= line.reads_low_v)


@pytest.mark.parametrize(("line", "diode"), CASES)
def test_a_circuit_simulator_finds_the_same_voltage(line: Line, diode: Diode, tmp_path: Path) -> None:
    """The operating point of ngspice for the same circuit, at its own 27 degrees, within 10 microvolts."""
    assert spice_volts(line, diode, tmp_path) == pytest.approx(low_v(line, diode), abs=1e-5)


def spice_volts(line: Line, diode: Diode, folder: Path) -> float:
    """The voltage of the sense line by ngspice."""
    netlist = folder / "line.cir"
    netlist.write_text(
        "\n".join(
            [
                "a sense line, a contact with a diode, a strobed select line",
                f"Vsupply supply 0 {line.supply_v}",
                f"Vdriver select 0 {line.driver_low_v}",
                f"Rpull supply sense {line.pull_up_ohms}",
                f"Rcontact sense anode {line.contact_ohms}",
                "D1 anode select contact",
                f".model contact D(IS={diode.saturation_a} N={diode.emission} RS={diode.series_ohms})",
                ".control",
                "set numdgt=9",
                "op",
                "print v(sense)",
                "quit",
                ".endc",
                ".end",
                "",
            ]
        ),
        encoding="utf-8",
    )
    said = run(tool("ngspice"), "-b", netlist).stdout
    found = re.search(r"v\(sense\) = (\S+)", said)
    assert found, said
    return float(found[1])


def test_the_volts_agree_with_values_worked_out_elsewhere() -> None:
    """1.118 V with a silicon diode and 0.765 V with a Schottky diode, by models from memory, lie between those of two models here."""
    for diodes, volts in ((SILICON, 1.118), (SCHOTTKY, 0.765)):
        least, most = (low_v(EXAMPLE, diode) for diode in diodes)
        assert least < volts < most


@pytest.mark.parametrize(("current_ma", "most_v"), [(0.1, 0.24), (1, 0.32), (10, 0.40)])
def test_the_worse_schottky_diode_drops_what_a_data_sheet_allows(current_ma: float, most_v: float) -> None:
    """The most forward voltages of a BAT54 (from memory), within 3 mV; the model of the part itself stays below them."""
    typical, worst = SCHOTTKY
    assert worst.forward_v(current_ma / 1000) == pytest.approx(most_v, abs=0.003)
    assert typical.forward_v(current_ma / 1000) < most_v


def test_the_page_has_the_numbers() -> None:
    """The table and the two limits of docs/firmware.md, and the volts in the rule."""
    page = (ROOT / "docs" / "firmware.md").read_text(encoding="utf-8")
    for name, volts in {
        "the most that is surely read": [f"{line.reads_low_v:.2f}" for line in (EXAMPLE, WEAKER)],
        "no diode": [f"{low_v(line):.2f}" for line in (EXAMPLE, WEAKER)],
        "silicon diode": [span(line, SILICON) for line in (EXAMPLE, WEAKER)],
        "Schottky diode": [span(line, SCHOTTKY) for line in (EXAMPLE, WEAKER)],
    }.items():
        assert f"| {name} | {' | '.join(volts)} |" in page
    limits = f"*F* may be {most_forward(EXAMPLE):.2f} V with 3.3 k and {most_forward(WEAKER):.2f} V with 10 k"
    assert limits in page
    for diode in SILICON:
        assert low_v(WEAKER, diode) > WEAKER.reads_low_v  # with 10 k, still not surely read
    for text in (span(EXAMPLE, SILICON), span(EXAMPLE, SCHOTTKY)):
        assert text in DIODES_COST_MARGIN.explanation


def span(line: Line, diodes: tuple[Diode, ...]) -> str:
    """The volts with some diodes as the page has them."""
    return " to ".join(f"{by_newton(line, diode):.2f}" for diode in diodes)


def test_a_layout_with_diodes_is_told_once() -> None:
    """The note stands in the report of each layout whose contacts go through diodes, and says both levels."""
    found = [each for each in check_plan(shipped_plan("ricasso12-fo-en-US-symbolic")).findings if "diodes" in each.slug]
    assert [(each.slug, each.severity) for each in found] == [("diodes-cost-margin", Severity.NOTE)]
    assert span(EXAMPLE, SILICON) in found[0].text
