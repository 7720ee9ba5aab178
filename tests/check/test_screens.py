"""What a person sees first: screens of 80 by 24, lines that fit, a bar while many layouts are checked."""

from __future__ import annotations

import json
import os
import pty
import subprocess
import sys
from pathlib import Path

import pytest
from rich.cells import cell_len

from matrixmap.check.machine import check_machine
from matrixmap.check.registry import known_slugs
from matrixmap.check.run import Checked, check_plan
from matrixmap.cli.judge import checking
from matrixmap.cli.judge.checking import Piece, Wanted, check_all
from matrixmap.form.parts.screen import LINES, WIDTH, first_screen, machine_screen, screen_rows
from matrixmap.join.plan import compile_plan
from matrixmap.model.layout import Contacts
from tests.check.cases import load_case, plan_of
from tests.project import HANDBOOK, RUN, open_folders, read_layout, sample_ids, shipped_ids, shipped_plan
from tests.shipped import OTHERS

TITLES = ["To do", "Printed", "Basic keys", "Typing", "Holding", "Controllers", "Machine", "Accepted", "Notes"]
SCREENS = Path(__file__).parent / "screens"
GOLDEN = (
    "quillon8-de-DE-symbolic",
    "quillon8-de-DE-positional",
    "quillon8-ja-JP-symbolic",
    "langet41-en-US-positional",
    "ricasso12-fo-fo-FO-symbolic",
    "ricasso12-fo-de-DE-positional",
)
HANDBOOKS = ("msx-uk", "zx-spectrum")


def own_check(id: str) -> Checked:
    project = open_folders(HANDBOOK)
    return check_plan(compile_plan(read_layout(project, id)), everything=False)


def machine_lines(id: str) -> list[str]:
    loaded = open_folders(HANDBOOK).machine(id)
    assert loaded is not None
    assert loaded.value is not None
    return machine_screen(check_machine(loaded.value, Contacts.SWITCH))


def screens() -> dict[str, list[str]]:
    """The screens that are stored: six layouts, layouts of two handbook machines, and machines by themselves."""
    layouts = [*GOLDEN, *(path.stem for path in sorted((HANDBOOK / "layouts").glob("*.yaml")))]
    found = {id: first_screen(own_check(id)) for id in layouts}
    machines = sorted(path.stem for path in (HANDBOOK / "shared" / "machines").glob("*.yaml"))
    return found | {f"machine-{id}": machine_lines(id) for id in ("quillon8", *machines)}


def test_the_stored_screens_are_what_is_printed() -> None:
    """A change of a screen is seen in a review: tests/check/screens has them as they are printed (MATRIXMAP_BLESS=1 stores them)."""
    made = {name: "\n".join(lines) + "\n" for name, lines in screens().items()}
    if os.environ.get("MATRIXMAP_BLESS"):
        for path in SCREENS.glob("*.txt"):
            path.unlink()
        for name, text in made.items():
            (SCREENS / f"{name}.txt").write_text(text, encoding="utf-8")
    assert {path.stem: path.read_text(encoding="utf-8") for path in SCREENS.glob("*.txt")} == made


@pytest.mark.parametrize("id", [*sample_ids(), *OTHERS])
def test_a_screen_fits_a_terminal_and_answers_in_order(id: str) -> None:
    """At most 80 columns and 23 lines, the rows in their order, at whatever width."""
    checked = check_plan(shipped_plan(id), everything=False)
    for width in (WIDTH, 60):
        lines = first_screen(checked, width)
        assert len(lines) <= LINES
        assert max(map(cell_len, lines)) <= width
        titles = [line[:12].strip() for line in lines[1:] if line[:12].strip()]
        assert titles == TITLES


@pytest.mark.campaign
@pytest.mark.parametrize("id", shipped_ids())
def test_every_screen_fits_a_terminal(id: str) -> None:
    """The same for all layouts that ship."""
    test_a_screen_fits_a_terminal_and_answers_in_order(id)


def test_what_the_guard_lets_pass_is_said() -> None:
    """Phantoms of modifiers alone are none that the guard prevents, and the row of the machine counts them apart."""
    case = load_case("modifiers-make-phantom")
    rows = dict(screen_rows(check_plan(plan_of(case.bad, case.bad_machine), everything=False)))
    assert "the guard keeps them from being read, but for 1 of modifiers alone (check" in rows["Machine"]
    rows = dict(screen_rows(check_plan(shipped_plan("quillon8-de-DE-symbolic"), everything=False)))
    assert "the guard keeps them from being read (check" in rows["Machine"]


def on_a_terminal(*words: str, columns: int = 80) -> str:
    """What the command writes to a terminal of so many columns: standard output and standard error are one."""
    main, sub = pty.openpty()
    environment = {**os.environ, "COLUMNS": str(columns), "LINES": "24", "TERM": "xterm", "NO_COLOR": "1"}
    process = subprocess.Popen(
        [sys.executable, "-c", RUN, *words], stdin=sub, stdout=sub, stderr=sub, env=environment, close_fds=True
    )
    os.close(sub)
    parts = []
    while True:
        try:
            block = os.read(main, 65_536)
        except OSError:
            break
        if not block:
            break
        parts.append(block)
    os.close(main)
    process.wait()
    return b"".join(parts).decode("utf-8").replace("\r\n", "\n")


def in_a_pipe(*words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run([sys.executable, "-c", RUN, *words], capture_output=True, text=True, encoding="utf-8")


def test_lines_fit_a_terminal_and_a_pipe() -> None:
    """With --all no line has more than 80 columns on a terminal, or than 40 on a narrow one, and 200 in a pipe."""
    id = "langet41-de-DE-symbolic"
    piped = in_a_pipe("check", id, "--all").stdout
    for out, most in (
        (piped, 200),
        (on_a_terminal("check", id, "--all"), 80),
        (on_a_terminal("check", id, "--all", columns=40), 40),
        (on_a_terminal("check", id, "--all", columns=200), 80),
    ):
        assert max(map(cell_len, out.splitlines())) <= most
        assert "".join(out.split()) == "".join(piped.split())


def wanted(form: str) -> Wanted:
    return Wanted(form=form, everything=False, slugs=frozenset(known_slugs()), width=200, many=True)


def test_shared_work_gives_the_same_report(monkeypatch: pytest.MonkeyPatch) -> None:
    """Several processes tell the same of the same layouts in the same order as one does."""
    names = OTHERS
    for form in ("text", "sarif"):
        alone: list[Piece] = []
        monkeypatch.setattr(checking, "MANY", 1000)
        alone += check_all(open_folders(), names, wanted(form))
        monkeypatch.setattr(checking, "MANY", 2)
        monkeypatch.setattr(os, "cpu_count", lambda: 3)
        assert list(check_all(open_folders(), names, wanted(form))) == alone


def test_a_bar_tells_how_far_a_long_check_is() -> None:
    """On a terminal there is a bar while eight layouts are checked, and none for few."""
    many = [id for id in shipped_ids() if id.startswith("langet41")][:8]
    assert "checking layouts" in on_a_terminal("check", *many)
    assert "checking layouts" not in on_a_terminal("check", *many[:2])


def test_many_layouts_are_a_line_each_with_a_sum() -> None:
    """Of several layouts a clean one is a line, and the last line counts them."""
    many = [id for id in shipped_ids() if id.startswith("langet41")][:3]
    lines = in_a_pipe("check", *many).stdout.splitlines()
    assert [line.partition(":")[0] for line in lines[:3]] == many
    assert lines[3:] == ["", "3 layouts: 3 without errors or warnings"]


def test_the_shipped_layouts_are_clean() -> None:
    """No layout that ships has an error or a warning: each has a remedy, or is accepted. Their log takes at most 2 MB.

    In a pipe there is no bar, however many they are.
    """
    done = in_a_pipe("check", "--fail-on", "warning", "--format", "sarif")
    assert (done.returncode, done.stderr) == (0, "")
    assert len(done.stdout.encode()) <= 2_000_000
    rows = json.loads(done.stdout)["runs"][0]["results"]
    assert {row["level"] for row in rows if "suppressions" not in row} == {"note"}
