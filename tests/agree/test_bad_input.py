"""Bad input: sanitizers and a fuzzer find nothing, and nothing stays closed."""

from __future__ import annotations

import subprocess
from collections.abc import Sequence
from pathlib import Path

import pytest

from matrixmap.model.plan import Plan
from matrixmap.simulate.engine import Sizes
from tests import tools
from tests.agree.both import Both
from tests.agree.layouts import few_plans, special_plans
from tests.agree.processors import HERE, SHIM_FOLDER, write_tables
from tests.agree.streams import random_stream

FUZZ = Path(__file__).with_name("fuzz") / "fuzz.c"
SANITIZERS = ("-O1", "-g", "-fsanitize=address,undefined", "-fno-sanitize-recover=all")
DEFINES = ("-DMM_KEYBOARDS=2", "-DMM_WAITING=3", "-DMM_HELD=3")
SIZES = Sizes(keyboards=2, waiting=3, held=3)


def compiled(folder: Path, plans: Sequence[Plan], compiler: str, flags: tuple[str, ...], *sources: Path) -> Path:
    """A program of some sources with the runtime and the tables of some plans."""
    write_tables(folder, plans)
    program = folder / "program"
    includes = (f"-I{folder}", f"-I{SHIM_FOLDER}", f"-I{HERE}")
    runtime = (folder / "mm_runtime.c", *(folder / f"{plan.id}.c" for plan in plans))
    tools.run(tools.tool(compiler), "-std=c99", *flags, *DEFINES, *includes, "-o", program, *sources, *runtime)
    return program


@pytest.mark.parametrize("compiler", ["gcc", pytest.param("clang", marks=pytest.mark.campaign)])
def test_sanitizers(small: Both, tmp_path: Path, compiler: str) -> None:
    """Under AddressSanitizer and UndefinedBehaviorSanitizer 12,000 random events show the same and no fault."""
    # Without bounds-strict gcc takes an array at the end of a structure for one of any length.
    bounds = ("-fsanitize=bounds-strict",) if compiler == "gcc" else ()
    program = compiled(tmp_path, small.plans, compiler, (*SANITIZERS, *bounds), HERE / "play.c", HERE / "stdio.c")
    for number, plan in enumerate(small.plans):
        stream = random_stream(500 + number, plan, number, 1000, keyboards=2, layouts=range(len(small.plans)))
        done = subprocess.run([program], input=b"".join(stream), capture_output=True, timeout=120, check=False)
        assert done.returncode == 0, done.stderr.decode(errors="replace")[-3000:]
        assert _wide(done.stdout) == small.model_rows(stream)


def _wide(rows: bytes) -> bytes:
    """Rows of eight select lines as rows of sixteen."""
    return b"".join(rows[at : at + 28] + bytes(16) for at in range(0, len(rows), 28))


def fuzz(folder: Path, seconds: int, seed: int = 1) -> str:
    """What the fuzzer says after so many seconds, if it found nothing."""
    flags = ("-g", "-O1", "-fsanitize=fuzzer,address,undefined", "-fno-sanitize-recover=all")
    program = compiled(folder, [*few_plans(), *special_plans()], "clang", flags, FUZZ)
    corpus = folder / "corpus"
    corpus.mkdir()
    words = [program, f"-max_total_time={seconds}", f"-seed={seed}", "-max_len=700", "-print_final_stats=1", corpus]
    done = subprocess.run(words, cwd=folder, capture_output=True, text=True, timeout=seconds + 120, check=False)
    assert done.returncode == 0, done.stderr[-4000:]
    return done.stderr


def test_fuzzer(tmp_path: Path) -> None:
    """4 seconds of any bytes as tables, reports and times: no fault, no endless call, no contact left closed."""
    assert "stat::number_of_executed_units" in fuzz(tmp_path, 2)


@pytest.mark.campaign
def test_long_fuzzer(tmp_path: Path) -> None:
    """The same for ten minutes, from another seed."""
    assert "stat::number_of_executed_units" in fuzz(tmp_path, 600, seed=2)
