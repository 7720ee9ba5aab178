"""Broken files: each holds one mistake that a contributor makes, and beside it stands what the reader says.

After a change of the texts: MATRIXMAP_BLESS=1 pytest tests/source/test_broken.py, then read the difference.
"""

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from matrixmap.source.kinds.project import Loaded
from matrixmap.source.rules import READING_RULES
from tests.source.test_pasted import PASTED_RULES

BROKEN = Path(__file__).parent / "broken"
KINDS = {"machines": "machine", "hosts": "host", "layouts": "layout", "parts": "part", "adapters": "adapter"}
FILES = sorted(BROKEN.glob("*/*.yaml"))
FEWEST = 60

# Faults that one file of a few lines cannot show; the tests named have them.
SHOWN_ELSEWHERE = {
    "file-too-large": "tests/source/test_limits.py, test_a_file_too_large_is_refused",
    "too-many-findings": "tests/source/test_limits.py, test_of_many_findings_the_first_are_listed",
    "ids-differ-in-case": "tests/cli/test_build.py, test_ids_that_differ_in_case_only",
    "same-16-bit-id": "tests/emit/test_id16.py, test_two_layouts_with_one_number_are_refused",
    "command-names-differ": "tests/cli/test_commands.py, test_layouts_that_disagree",
    "netlist-damaged": "tests/board/test_netlist.py, the broken netlists",
    **dict.fromkeys(PASTED_RULES, "tests/source/test_pasted.py, the folder pasted/broken/"),
}


def findings_as_text(loaded: Loaded) -> str:
    """One finding a line, as the command prints them."""
    return "".join(f"{finding.place}: {finding.slug}: {finding.text}\n" for finding in loaded.findings)


@pytest.mark.parametrize("path", FILES, ids=lambda path: f"{path.parent.name}/{path.stem}")
def test_a_broken_file_gives_exactly_these_findings(path: Path, read_bytes: Callable[..., Loaded]) -> None:
    """Place, slug and text of every finding are as they stand beside the file; the file is not used."""
    loaded = read_bytes(KINDS[path.parent.name], path.stem, path.read_bytes())
    told = findings_as_text(loaded)
    expected = path.with_suffix(".txt")
    if os.environ.get("MATRIXMAP_BLESS") == "1":
        assert os.environ.get("CI") != "true", "expectations are not rewritten in CI"
        expected.write_text(told, encoding="utf-8", newline="\n")
    assert told == expected.read_text(encoding="utf-8")
    assert told
    assert loaded.value is None


def test_every_expectation_has_its_file() -> None:
    """No expectation stands alone, and there are many broken files."""
    assert {path.with_suffix(".yaml") for path in BROKEN.glob("*/*.txt")} == set(FILES)
    assert {path.parent.name for path in FILES} == set(KINDS)
    assert len(FILES) >= FEWEST


def test_every_rule_of_reading_has_a_broken_file() -> None:
    """Each kind of finding that the reader can make is made by one of the files, or by a test named here."""
    lines = [line for path in BROKEN.glob("*/*.txt") for line in path.read_text(encoding="utf-8").splitlines()]
    made = {line.split(": ")[1] for line in lines}
    assert {rule.slug for rule in READING_RULES} - made == set(SHOWN_ELSEWHERE)


# From memory: Microsoft Learn, "Naming Files, Paths, and Namespaces", section "Naming Conventions".
DEVICES = ["CON", "PRN", "AUX", "NUL", *(f"{port}{number}" for port in ("COM", "LPT") for number in "123456789")]


@pytest.mark.parametrize("id", [*DEVICES, *(name.lower() for name in DEVICES), "Con", "cOM5"])
@pytest.mark.parametrize("kind", ["machine", "host", "layout"])
def test_no_id_is_a_device_of_windows(kind: str, id: str, read_bytes: Callable[..., Loaded]) -> None:
    """Each name of a device, in any case, is refused at its place as the id of a layout, a machine and a host."""
    loaded = read_bytes(kind, id, f"{kind}: {id}\n".encode())
    reserved = [finding for finding in loaded.findings if finding.slug == "reserved-id"]
    assert [str(finding.place) for finding in reserved] == [f"{id}.yaml:1:{len(kind) + 3}"]


@pytest.mark.parametrize("id", ["com0", "com10", "console", "con-1", "x-nul", "lpt", "aux1"])
def test_an_id_may_hold_the_name_of_a_device(id: str, read_bytes: Callable[..., Loaded]) -> None:
    """Only the whole id counts."""
    loaded = read_bytes("layout", id, f"layout: {id}\nmachine: quillon8\nhost: en-GB\njoin: symbolic\n".encode())
    assert findings_as_text(loaded) == ""
