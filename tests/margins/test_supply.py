"""A filter in a supply: its formulas against a circuit simulator, and what is traced through the nets of a board."""

from __future__ import annotations

import json
import random
import re
from math import inf
from pathlib import Path

import pytest

from matrixmap.form.margins.as_json import margins_json
from matrixmap.form.margins.as_text import margins_text
from matrixmap.margins.supply import Filter
from tests.board.boards import edited, text_of
from tests.margins.boards import margins, with_filter
from tests.project import call, write_project
from tests.tools import run, tool

FILTERS = (
    Filter(10e-6, 10e-6, 0.1, 0.05),
    Filter(10e-6, 100e-6, 0.5, 1.0),
    Filter(10e-6, 10e-6, 2.0, 0.3),
    Filter(1e-6, 100e-6, 1.0, 0.01),
    Filter(22e-6, 47e-6, 0.2, 1e-4),
    Filter(10e-6, 100e-6, 0.05, 0.5),
)


def simulated(each: Filter, folder: Path) -> dict[str, float]:
    """Peak, gain at 20 kHz, drop at 100 mA and inrush at 5 V by ngspice."""
    span, step = 12 / each.corner_hz, 1 / each.corner_hz / 400
    parts = [
        f"L{{0}} {{1}} m{{0}} {each.henries!r} IC=0",
        f"R{{0}} m{{0}} o{{0}} {each.ohms!r}",
        f"Rc{{0}} o{{0}} c{{0}} {each.esr!r}",
        f"C{{0}} c{{0}} 0 {each.farads!r} IC=0",
    ]
    text = "\n".join(
        [
            "* a filter three times: gain, drop, inrush",
            "Va ia 0 DC 0 AC 1",
            *(part.format("a", "ia") for part in parts),
            "Vb ib 0 0",
            *(part.format("b", "ib") for part in parts),
            f"Ib ob 0 PULSE(0 0.1 0 1n 1n {2 * span!r})",
            "Vd id 0 5",
            *(part.format("d", "id") for part in parts),
            ".control",
            "set numdgt=9",
            f"ac dec 20000 {each.corner_hz / 30!r} {each.corner_hz * 30!r}",
            "meas ac peak MAX vm(oa)",
            f"tran {step!r} {span!r} 0 {step!r} uic",
            "meas tran drop MIN v(ob)",
            "meas tran inrush MIN i(Vd)",
            "ac lin 1 20000 20000",
            "print vm(oa)",
            "quit",
            ".endc",
            ".end",
            "",
        ]
    )
    file = folder / "filter.cir"
    file.write_text(text, encoding="utf-8")
    said = run(tool("ngspice"), "-b", file).stdout
    found = {name: float(value) for name, value in re.findall(r"^(peak|drop|inrush) += +(\S+)", said, re.MULTILINE)}
    gain = re.search(r"^vm\(oa\) = (\S+)", said, re.MULTILINE)
    assert gain, said
    return found | {"gain": float(gain[1])}


@pytest.mark.parametrize("each", FILTERS, ids=["rings", "damped", "lossy", "slow", "no ESR", "ESR"])
def test_a_circuit_simulator_finds_the_same(each: Filter, tmp_path: Path) -> None:
    """Peak, gain, drop and inrush of ngspice within 1 percent."""
    found = simulated(each, tmp_path)
    gain, hertz = each.peak()
    # Where there is no peak, most passes where the sweep begins.
    assert found["peak"] == pytest.approx(gain if hertz else each.gain(each.corner_hz / 30), rel=0.01)
    assert found["gain"] == pytest.approx(each.gain(20_000), rel=0.01)
    assert -found["drop"] == pytest.approx(each.drop(0.1), rel=0.01)
    assert -found["inrush"] == pytest.approx(each.inrush(5), rel=0.01)


def test_corner_and_damping_by_hand() -> None:
    """10 uH with 10 uF: 15.9 kHz and 1 ohm; 0.3 ohms in all are a damping of 0.15, and without a loss the peak is unbounded."""
    each = Filter(10e-6, 10e-6, 0.2, 0.1)
    assert each.corner_hz == pytest.approx(15_915.494, rel=1e-6)
    assert each.damping == pytest.approx(0.15)
    assert each.most_inrush(5) == pytest.approx(5 / 0.3)
    assert Filter(10e-6, 10e-6, 1e-6, 0).peak()[0] > 1e5


def test_a_peak_is_at_the_top_of_the_gain() -> None:
    """No pace near it passes more, for 200 random filters; where no peak is told, nothing passes more than all."""
    draw = random.Random(2)
    for _ in range(200):
        each = Filter(
            draw.uniform(1, 100) * 1e-6, draw.uniform(1, 300) * 1e-6, draw.uniform(0.01, 1), draw.uniform(0, 1)
        )
        gain, hertz = each.peak()
        others = [each.gain(each.corner_hz * 10 ** draw.uniform(-2, 2)) for _ in range(50)]
        assert max(others) <= gain * (1 + 1e-12)
        if hertz:
            assert each.gain(hertz) == gain > max(each.gain(hertz * 1.01), each.gain(hertz * 0.99))


def test_a_filter_is_traced_through_the_nets() -> None:
    """The coil with the USB supply at one end, the capacitor to ground behind it, and what it feeds."""
    edits = with_filter(
        "microhenries: [9, 11], series_ohms: [0.1, 0.2], saturation_ma: 800",
        "microfarads: [8, 12], series_ohms: [0.02, 0.5]",
        "ma: 20, burst_ma: 200, burst_khz: 50}",
    )
    (found,) = margins("ferrule", edits).supplies
    assert (found.inductor.ref, found.capacitor and found.capacitor.ref, found.volts) == ("L1", "C2", 5)
    assert found.loads == ("U1.AVCC", "U1.VCC")
    assert (found.milliamps, found.step_ma, found.bursts_khz, found.needs_v) == (20, 200, 50, 4.5)
    assert len(found.points) == 16
    assert found.drop_v == pytest.approx(max(each.drop(0.2) + each.ohms * 0.02 for each in found.points))
    assert found.attenuation_db is not None
    assert found.inrush_a == (max(each.most_inrush(5) for each in found.points), True)
    damped = [each._replace(esr=each.esr + found.damped_by()) for each in found.points]
    assert min(each.damping for each in damped) == pytest.approx(0.5)


def test_where_nothing_damps_no_figure_is_made_up() -> None:
    """Without any resistance the peak has no limit, nor has the current of an inductor that saturates: so it is said, and null in JSON."""
    edits = with_filter(
        "microhenries: 1, series_ohms: 0, saturation_ma: 100",
        "microfarads: 100, series_ohms: 0",
        "ma: 20, burst_khz: 15.9}",
    )
    found = margins("ferrule", edits, with_limits=False)
    assert found.supplies[0].peak == (inf, pytest.approx(15915, abs=1))
    text = margins_text(found, "a layout")
    assert "peak without limit at 15.9 kHz" in text
    assert "inrush without limit, because the inductor saturates" in text
    assert "L1 and C2 amplify without limit the current at 15.9 kHz" in text
    assert "then no stated value limits the current" in text
    (supply,) = margins_json(found, "a layout")["supplies"]  # type: ignore[misc]
    assert supply["peak"] is supply["inrush_a"] is None
    json.dumps(supply, allow_nan=False)


def test_a_board_without_a_coil_has_no_filter() -> None:
    """Nothing is told of a supply."""
    assert margins("ferrule").supplies == ()


@pytest.mark.parametrize("each", FILTERS, ids=["rings", "damped", "lossy", "slow", "no ESR", "ESR"])
def test_a_drop_by_small_steps(each: Filter) -> None:
    """Drop and inrush by stepping through the differential equations in a hundred-thousandth of the time looked at."""
    step = 12 / each.corner_hz / 100_000
    for load, volts, expected in ((1.0, 0.0, each.drop(1)), (0.0, 5.0, each.inrush(5))):
        amps = stored = 0.0
        most = 0.0
        for _ in range(100_000):
            out = stored + each.esr * (amps - load)
            amps += step * (volts - each.ohms * amps - out) / each.henries
            stored += step * (amps - load) / each.farads
            most = max(most, -out if load else amps)
        assert most == pytest.approx(expected, rel=0.03)


def test_values_of_parts_outlive_a_netlist(tmp_path: Path) -> None:
    """An adapter that is written as a netlist and begun anew from it has the same values of its parts."""
    edits = with_filter(
        "microhenries: [9, 11], series_ohms: 0.2, saturation_ma: 800",
        "microfarads: [8, 12.5], series_ohms: [0.02, 0.5]",
    )
    files = {f"shared/{kind}s/{id}.yaml": edited(text_of(kind, id), pairs) for (kind, id), pairs in edits.items()}
    root = write_project(tmp_path, files)
    netlist = call("adapter", "ferrule", "--format", "netlist", cwd=root).stdout
    (root / "again.net").write_text(netlist, encoding="utf-8")
    done = call("new", "adapter", "again", "--netlist", "again.net", "--machine", "quillon8", cwd=root)
    assert done.returncode == 0, done.stderr
    text = (root / "shared/adapters/again.yaml").read_text(encoding="utf-8")
    for ref in ("L1", "C2"):
        stated = next(
            line for line in files["shared/adapters/ferrule.yaml"].splitlines() if line.startswith(f"  {ref}: ")
        )
        found = next(line for line in text.splitlines() if line.startswith(f"  {ref}: "))
        assert sorted(stated.strip(" }").split(", ")[1:]) == sorted(found.strip(" }").split(", ")[1:])
