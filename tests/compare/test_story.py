"""A repository of the museum's with real commits: what each change means, as it stands in `story/`.

After a change of words: MATRIXMAP_BLESS=1 pytest tests/compare/test_story.py, then read the difference.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path
from typing import Final

import pytest
import yaml

from tests.compare.scratch import Scratch
from tests.shipped import some_of

STORY = Path(__file__).parent / "story"
MUSEUM = Path(__file__).parent / "museum"
GB, US, DE = (f"layouts/quillon8-{host}-symbolic.yaml" for host in ("en-GB", "en-US", "de-DE"))
SHARED = "layouts/quillon8-symbolic.yaml"
MACHINE = "shared/machines/quillon8.yaml"
HOST_BASE, HOST_GB, HOST_US, HOST_DE = (f"shared/hosts/{id}.yaml" for id in ("base", "en-GB", "en-US", "de-DE"))


def take_from_museum(scratch: Scratch, *names: str) -> None:
    """Copies files of the museum's project as it began."""
    for name in names:
        scratch.write(name, (MUSEUM / name).read_bytes())


def add_a_country(scratch: Scratch) -> None:
    take_from_museum(scratch, HOST_DE, DE)


def reformat(scratch: Scratch) -> None:
    """Comments, quotes, blanks, the order of lines and block style instead of flow."""
    scratch.edit(
        SHARED,
        "pass: {Control: helm, Alt: blazon}\n",
        "# What Control and Alt feed.\npass:\n  'Alt': blazon\n  \"Control\": helm\n",
    )
    scratch.edit(MACHINE, "direct: {hail: HAIL}", "direct:\n    hail:   HAIL   # interrupts")
    scratch.edit(HOST_GB, "host: en-GB", "# The museum's own country.\n\nhost:   'en-GB'")


def move_a_key(scratch: Scratch) -> None:
    scratch.edit(MACHINE, "S4: [left,  k,             z,", "S4: [left,  z,             k,")


def correct_a_legend(scratch: Scratch) -> None:
    scratch.edit(MACHINE, "at:            {plain: '@', shift: °}", "at:            {plain: '@', shift: '#'}")


def take_it_back(scratch: Scratch) -> None:
    scratch.edit(MACHINE, "at:            {plain: '@', shift: '#'}", "at:            {plain: '@', shift: °}")


def rename_a_key(scratch: Scratch) -> None:
    for name in (MACHINE, SHARED):
        text = (scratch.root / name).read_text(encoding="utf-8")
        scratch.write(name, text.replace("hail", "halt"))


def rename_a_layout(scratch: Scratch) -> None:
    scratch.git("mv", US, "layouts/museum-foyer.yaml")
    scratch.edit("layouts/museum-foyer.yaml", "layout: quillon8-en-US-symbolic", "layout: museum-foyer")


def give_a_trigger_another_stroke(scratch: Scratch) -> None:
    scratch.edit(GB, "host: en-GB\n", "host: en-GB\n\nkeys:\n  Backquote: shift + at\n  F10: b1\n")


def break_a_file(scratch: Scratch) -> None:
    scratch.edit(HOST_DE, "form: iso-105", "form: iso-501")


def mend_it_and_accept(scratch: Scratch) -> None:
    scratch.edit(HOST_DE, "form: iso-501", "form: iso-105")
    scratch.edit(DE, "host: de-DE\n", "host: de-DE\n\naccept:\n  unreachable-latch: visitors need no latch\n")


def slow_the_scan(scratch: Scratch) -> None:
    scratch.edit(MACHINE, "samples_down: 2", "samples_down: 3")
    scratch.edit(MACHINE, "rollover: 2", "rollover: 1")


def merge_a_branch(scratch: Scratch) -> None:
    """A branch with a command and a lock, merged into a main line that went on."""
    scratch.git("checkout", "--quiet", "-b", "commands")
    scratch.edit(SHARED, "keys:\n  F1: b1", "locks: {CapsLock: blazon-latch}\ncommands: {F12: 1}\n\nkeys:\n  F1: b1")
    scratch.commit("Change layouts with F12")
    scratch.git("checkout", "--quiet", "main")
    scratch.edit(MACHINE, "title: Quillon 8", "title: Quillon 8 of the museum")
    scratch.commit("Name the machine as the label does")
    scratch.git("merge", "--quiet", "--no-ff", "--no-commit", "commands")


def rewire_a_controller(scratch: Scratch) -> None:
    scratch.edit(MACHINE, "Back: N3, Ring: N7}", "Back: N3, Ring: N6}")
    scratch.edit(MACHINE, "pins: [ground, supply, S7, N7, S6,", "pins: [ground, supply, S6, N7, S7,")


def change_dead_keys(scratch: Scratch) -> None:
    scratch.edit(HOST_DE, "  Equal: [{dead: '´'}, {dead: '`'}", "  Equal: ['´', '`'")
    scratch.edit(HOST_BASE, "'^': aâ eê", "'^': aâ eê oô")


def remove_a_layout(scratch: Scratch) -> None:
    (scratch.root / "layouts/museum-foyer.yaml").unlink()


def add_a_stray_host(scratch: Scratch) -> None:
    scratch.write("shared/hosts/fr-FR.yaml", "host: fr-FR\ntitle: French\nsource: the museum\nform: unknown\n")


STEPS: tuple[Callable[[Scratch], None], ...] = (
    add_a_country,
    reformat,
    move_a_key,
    correct_a_legend,
    take_it_back,
    rename_a_key,
    rename_a_layout,
    give_a_trigger_another_stroke,
    break_a_file,
    mend_it_and_accept,
    slow_the_scan,
    merge_a_branch,
    rewire_a_controller,
    change_dead_keys,
    remove_a_layout,
    add_a_stray_host,
)


@pytest.fixture(scope="module")
def museum(tmp_path_factory: pytest.TempPathFactory) -> Scratch:
    """The repository, with a tag for each step and one before the first."""
    scratch = Scratch(tmp_path_factory.mktemp("museum") / "repo")
    take_from_museum(scratch, MACHINE, HOST_BASE, HOST_GB, HOST_US, SHARED, GB, US)
    scratch.commit("Two layouts for the classroom", tag="step-0")
    for number, step in enumerate(STEPS, start=1):
        step(scratch)
        scratch.commit(step.__name__.replace("_", " "), tag=f"step-{number}")
    return scratch


@pytest.mark.parametrize(
    "number", some_of(range(1, len(STEPS) + 1), "story", 2), ids=lambda number: STEPS[number - 1].__name__
)
def test_each_commit_is_told_as_expected(museum: Scratch, number: int) -> None:
    """The report of each commit against the one before, and its exit code under --exit-code, are the stored ones."""
    done = museum.compare(f"step-{number - 1}", f"step-{number}", "--exit-code", "--findings")
    assert done.stderr == ""
    told = f"{done.stdout}\nexit code {done.returncode}\n"
    expected = STORY / f"{number:02}-{STEPS[number - 1].__name__.replace('_', '-')}.txt"
    if os.environ.get("MATRIXMAP_BLESS") == "1":
        assert os.environ.get("CI") != "true", "expectations are not rewritten in CI"
        expected.parent.mkdir(exist_ok=True)
        expected.write_text(told, encoding="utf-8", newline="\n")
    assert told == expected.read_text(encoding="utf-8")


REASONS: Final = yaml.safe_load((STORY / "reasons.yaml").read_text(encoding="utf-8"))


@pytest.mark.parametrize("number", range(1, len(STEPS) + 1), ids=lambda number: STEPS[number - 1].__name__)
def test_each_stored_report_says_what_a_person_finds(number: int) -> None:
    """What a reading of the commit tells, each with its reason, stands in the report; no blessing changes these lines."""
    name = f"{number:02}-{STEPS[number - 1].__name__.replace('_', '-')}"
    report = (STORY / f"{name}.txt").read_text(encoding="utf-8")
    for reason in REASONS[name]:
        assert reason["because"]
        assert reason["says"] in report, reason


def test_every_stored_report_has_its_commit() -> None:
    """No report stands alone, each has reasons, and there are at least twelve."""
    names = {f"{number:02}-{step.__name__.replace('_', '-')}.txt" for number, step in enumerate(STEPS, start=1)}
    assert {path.name for path in STORY.iterdir()} == {*names, "reasons.yaml"}
    assert {f"{name}.txt" for name in REASONS} == names
    assert len(names) >= 12


def test_a_commit_and_its_revert_cancel_out(museum: Scratch) -> None:
    """Across a change and its being taken back the layouts are untouched."""
    done = museum.compare("step-3", "step-5")
    assert "3 untouched" in done.stdout
    assert "Nothing changes for anybody." in done.stdout
