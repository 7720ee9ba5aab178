"""One fact is told once in every form, its annotation stands on a line that changed, and findings stand behind a switch."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from matrixmap.compare.boards import board_news
from matrixmap.compare.comparison import MANY, Comparison, compare_sides
from matrixmap.compare.gist import Step, step_of
from matrixmap.compare.side import changed_lines
from matrixmap.compare.sides.words import plain
from matrixmap.form.as_annotations import MOST, annotation_report
from matrixmap.form.as_html import page_report
from matrixmap.form.as_json import comparison_document
from matrixmap.form.as_markdown import markdown_report
from matrixmap.form.as_notes import notes_report
from matrixmap.form.as_text import text_report
from tests.compare.scratch import Scratch, copy_demo
from tests.compare.sides import HOST, MACHINE, compared, little, side
from tests.compare.test_comparison import MACHINE_FILE, changed
from tests.compare.test_edits import begin
from tests.nasty import TITLES, quoted

BASE = "layout: common\nmachine: little\njoin: symbolic\nkeys:\n  F1: a\n  F2: b\n"
MANY_LAYOUTS = tuple(f"x{number:02}" for number in range(57))


def based(lines: str, *names: str) -> dict[str, str]:
    """Layouts that share the lines of a base."""
    files = {"shared/machines/little.yaml": MACHINE, "shared/hosts/xx.yaml": HOST, "layouts/common.yaml": lines}
    return {**files, **{f"layouts/{name}.yaml": f"layout: {name}\nbase: common\nhost: xx\n" for name in names}}


def base_change(*names: str) -> Comparison:
    """A line of the base goes and one comes."""
    old, new = (
        based(lines, *names) for lines in (BASE, BASE.replace("  F1: a\n", "").replace("  F2: b", "  F2: b\n  F3: c"))
    )
    return compare_sides(side("old", old), side("new", new))


def test_a_change_of_the_base_is_told_once_in_every_form() -> None:
    """57 layouts that lose one press are one line, one row, one object and one annotation."""
    comparison = base_change(*MANY_LAYOUTS)
    words = "F1 typed a and now does nothing"
    assert next(text_report(comparison, True)) == "57 layouts: F1 no longer types a; flash again"
    assert "\n".join(text_report(comparison, True)).count(words) == 1
    # Above the fold and in the details.
    assert re.sub("</?code>", "", markdown_report(comparison)).count(words) == 2
    document = comparison_document(comparison)
    assert [news["layouts"] for news in document["news"] if words in news["text"]] == [list(MANY_LAYOUTS)]  # type: ignore[attr-defined]
    assert annotation_report(comparison).count(words) == 1
    assert re.sub("</?code>", "", notes_report(comparison)).count(words) == 1
    page = re.sub("</?code>", "", page_report(comparison))
    assert page.count(words) == 1
    # Each owner has a picture, of which the key that all share is drawn once.
    assert page.count('class="whole"') == 57
    assert len(re.findall('id="_k[0-9]+"', page)) == 2
    assert len(page) < 500_000


def test_annotations_stand_on_lines_that_changed() -> None:
    """The line that went is annotated where the next one stands now, in the file in which it stood, once for all layouts."""
    comparison = base_change(*MANY_LAYOUTS)
    (line,) = annotation_report(comparison).splitlines()
    # Line 5 held F1; F2 has taken its place.
    assert line.startswith(
        "::warning file=common.yaml,line=5,col=1,title=breaking for the typist::57 layouts: F1 typed a"
    )
    assert [file.name for file in comparison.edited] == ["layouts/common.yaml"]


def test_lines_that_changed() -> None:
    """Lines that came or differ count by their own number, lines that went by that of the one after them."""
    assert changed_lines(b"a\nb\nc\n", b"a\nB\nc\nd\n") == (2, 4)
    assert changed_lines(b"a\nb\nc\n", b"a\nc\n") == (2,)
    assert changed_lines(b"a\nb\n", b"a\n") == (1,)
    assert changed_lines(b"a\n", b"a\n") == ()


def test_there_are_at_most_ten_annotations() -> None:
    """A runner shows no more of one step: the last one says how many are left out."""
    lines = "".join(f"  F{number}: a\n" for number in range(1, 13))
    comparison = compared(little(x=f"keys:\n{lines}"), little(x=""))
    told = annotation_report(comparison).splitlines()
    assert len(told) == MOST == 10
    assert told[-1] == "::notice title=review::3 more are in the report"


def test_findings_stand_behind_a_switch() -> None:
    """Without it there is one line of counts, of many layouts none but that they were not compared."""
    old, new = little(x=""), little(x="keys: {KeyA: a}\n")
    comparison = compare_sides(side("old", old), side("new", new))
    short, whole = ("\n".join(text_report(comparison, False, asked)) for asked in (False, True))
    assert "findings: 1 new warning (--findings tells them)" in short
    assert "redundant-line" not in short
    assert "new warning: x.yaml:5:8: redundant-line" in whole
    many = base_change(*MANY_LAYOUTS)
    assert len(MANY_LAYOUTS) > MANY
    assert not many.findings_compared
    assert "findings: not compared in so many layouts (--findings compares them)" in list(text_report(many, False))
    assert comparison_document(many)["layouts"][0]["findings"] is None  # type: ignore[index]


def test_a_finding_in_other_words_is_no_news() -> None:
    """One rule about one press, of which only the rest differs, is neither new nor gone."""
    mixed = changed(little(x="keys: {KeyA: b}\n"), MACHINE_FILE, "b: {plain: b", "b: {plain: b")
    other = changed(mixed, "layouts/x.yaml", "KeyA: b", "KeyA: c")
    findings = compared(mixed, other).layouts[0].findings
    assert findings is not None
    assert "print-differs" not in {finding.slug for finding in (*findings.new, *findings.gone)}


def test_the_machines_conflicts_are_one_fact() -> None:
    """A key more is told with how many conflicts the machine has now, in the part of the machine and not in each layout."""
    old = little(x="", y="")
    new = changed(old, MACHINE_FILE, "S2: [d, none]", "S2: [d, e]")
    (news,) = [news for news in compared(old, new).news if "conflicts of the machine" in news.text()]
    assert (news.subject, news.layouts) == ("machine little", ("x", "y"))
    assert news.text() == (
        "conflicts of the machine's own keys: 12 sets of three that make a phantom, were 6; 3 rectangles that mask, were 1"
    )


@pytest.mark.parametrize("title", TITLES)
def test_notes_show_text_as_it_is(title: str) -> None:
    """Names out of files stand in code elements, where nothing obeys them."""
    new = {**little(x="", y=f"title: {quoted(title)}\n")}
    report = notes_report(compared(little(x=""), new))
    assert not re.search(r"[\x00-\x09\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]", report)
    assert "### New layouts" in report
    assert "<b>" not in report


def test_notes_are_for_people_who_type() -> None:
    """What is lost, what is gained and how fast it is stand apart, with what to do, and without a word of findings."""
    old = little(x="keys: {F1: a}\n")
    new = changed(
        little(x="keys: {KeyB: b}\n", y=""), MACHINE_FILE, "d: {plain: Enter}", "d: {plain: Enter, shift: Tab}"
    )
    new = changed(new, MACHINE_FILE, "period_us: 20000", "period_us: 30000")
    report = notes_report(compared(old, new))
    titles = re.findall(r"^### (.*)$", report, re.M)
    assert titles == ["New layouts", "What you lose", "How fast it is", "What to do"]
    assert "Flash your adapter again." in report
    assert "redundant" not in report


@pytest.mark.parametrize(
    ("old", "new", "step", "why"),
    [
        (little(x="keys: {F1: a}\n"), little(x=""), Step.MAJOR, "breaking for the typist: x: F1 no longer types a"),
        (little(x=""), little(x="keys: {F1: a}\n"), Step.MINOR, "x: F1 types a now; flash again"),
        (little(x=""), little(x="", y=""), Step.MINOR, "new layout: y;"),
        (little(x=""), little(x="title: Ours\n"), Step.PATCH, "x: 1 name or source changed; flash again"),
        (little(x=""), little(x="# a comment\n"), Step.NONE, "Nothing changes for anybody."),
    ],
)
def test_which_number_a_release_raises(old: dict[str, str], new: dict[str, str], step: Step, why: str) -> None:
    """What is breaking for anybody is major, what anybody gains minor, what only tables or names show a patch."""
    found, reason = step_of(compared(old, new))
    assert found is step
    assert plain(reason).startswith(why)


@pytest.fixture
def scratch(tmp_path: Path) -> Scratch:
    """A repository with one layout that gained a key."""
    made = Scratch(tmp_path / "repo")
    copy_demo(made.root)
    made.commit("One layout")
    made.edit("layouts/quillon8-symbolic.yaml", "  F1: b1\n", "  F1: b1\n  F11: b1\n")
    return made


def test_one_run_writes_all_forms(scratch: Scratch) -> None:
    """Each form that is asked for is a file of a folder; without a folder several forms are refused."""
    forms = ("text", "markdown", "json", "html", "annotations", "notes")
    words = [word for form in forms for word in ("--format", form)]
    done = scratch.compare("HEAD", *words, "--out", "review")
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")
    found = {path.name for path in (scratch.root / "review").iterdir()}
    assert found == {"comparison.txt", "comment.md", "comparison.json", "page.html", "annotations.txt", "notes.md"}
    for form, name in (("text", "comparison.txt"), ("json", "comparison.json")):
        alone = scratch.compare("HEAD", "--format", form).stdout
        assert (scratch.root / "review" / name).read_text(encoding="utf-8") == alone
    assert json.loads((scratch.root / "review/comparison.json").read_text(encoding="utf-8"))["version"] == 2
    refused = scratch.compare("HEAD", *words)
    assert (refused.returncode, refused.stdout) == (2, "")
    assert "several forms need a folder to write them to: --out DIR" in refused.stderr


def test_semver_is_one_line(scratch: Scratch) -> None:
    """The part of the number and the reason, for a program that releases."""
    done = scratch.compare("HEAD", "--semver")
    assert (done.returncode, done.stdout) == (0, "minor: quillon8-en-GB-symbolic: F11 types B1 now; flash again\n")
    assert scratch.compare("HEAD", "HEAD", "--semver").stdout == "none: Nothing changes for anybody.\n"


def test_a_change_of_an_adapter_is_told_in_every_form() -> None:
    """What board makers must know stands in each form under the adapter's name, and nobody who types reads of it."""
    old = begin()
    new = changed(old, "shared/adapters/rig.yaml", "S0: [J1.3, U1.A1]", "S0: [J1.4, U1.A1]")
    new = changed(new, "shared/adapters/rig.yaml", "unused: [J1.1, J1.4,", "unused: [J1.1, J1.3,")
    comparison = compare_sides(side("old", old), side("new", new))
    words = "the net S0 joins now J1.4, no longer J1.3"
    text = "\n".join(text_report(comparison, True))
    assert text.startswith(f"adapter rig: {words}\n")
    assert f"  adapter rig\n    breaking  {words}" in text
    for form in (markdown_report(comparison), notes_report(comparison)):
        assert re.sub("</?code>", "", form).count(words) >= 1
    (fact, other) = comparison_document(comparison)["news"]  # type: ignore[misc]
    assert (fact["audience"], fact["subject"], fact["layouts"]) == ("board", "adapter rig", [])
    assert (fact["breaking"], other["breaking"]) == (True, False)
    assert annotation_report(comparison) == (
        f"::warning file=rig.yaml,line=11,col=1,title=breaking for the board::adapter rig: {words}\n"
    )
    owners, _, reviewers = page_report(comparison).partition('<details class="check">')
    assert not re.search(r"\brig\b", owners)
    assert words in re.sub("</?code>", "", reviewers)
    assert step_of(comparison)[0] is Step.MAJOR


def test_adapters_of_the_shipped_set_are_no_news() -> None:
    """A project without adapters of its own has none to tell of, whatever ships."""
    assert list(board_news(side("old", little(x="")), side("new", little(x="# more\n")))) == []


def test_a_new_adapter_that_cannot_be_read_is_told() -> None:
    """A fault in the file of a new adapter is no calm, and one that was there before is no news."""
    sound = begin()
    without = {name: text for name, text in sound.items() if name != "shared/adapters/rig.yaml"}
    broken = changed(sound, "shared/adapters/rig.yaml", "U1: quad", "U1: quod")
    told = [news.text() for news in board_news(side("old", without), side("new", broken))]
    assert len(told) == 1
    assert told[0].startswith("cannot be read: there is no part 'quod'")
    worse = changed(broken, "shared/adapters/rig.yaml", "title: Rig", "title: Rigged")
    assert list(board_news(side("old", broken), side("new", worse))) == []
    # As with a layout, this is more than a breaking change: exit code 2.
    assert compare_sides(side("old", sound), side("new", broken)).unreadable
    assert not compare_sides(side("old", broken), side("new", worse)).unreadable
    assert not compare_sides(side("old", broken), side("new", sound)).unreadable
