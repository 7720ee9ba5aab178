"""The page for the owner of a machine: only what changed, on each changed key what it did and does, and no jargon."""

from __future__ import annotations

import re
from collections import Counter
from pathlib import Path

import pytest

from matrixmap.compare.comparison import Comparison, compare_sides
from matrixmap.compare.layouts import Status
from matrixmap.compare.sides.outcomes import Does, Outcome
from matrixmap.compare.sides.pair import did, does
from matrixmap.emit.pictures.faces import form_of
from matrixmap.emit.pictures.written import is_sign, sign_name
from matrixmap.emit.texts.language import texts_of
from matrixmap.form.as_html import page_report
from matrixmap.form.owner.marks import Mark
from matrixmap.form.owner.rows import gift, print_text
from matrixmap.form.owner.sentences import plainer
from matrixmap.press.rules import Cause
from matrixmap.press.words import REFUSALS
from tests.compare.owner import Key, OwnerPage
from tests.compare.sides import compared, little, side
from tests.compare.test_comparison import MACHINE_FILE, changed
from tests.compare.test_edits import SOME, WAYS, begin
from tests.compare.test_edits import compared as edit
from tests.compare.test_once import base_change
from tests.nasty import TITLES, quoted
from tests.project import ROOT, matrixmap, write_project
from tests.shipped import in_campaign, some_of

OF_OWNERS = some_of(WAYS, "owner", 4)

JARGON = re.compile(
    r"\b(lift\w*|demand\w*|phantom\w*|stroke\w*|trigger\w*|contact\w*|crosspoint\w*|matrix|(select|sense) lines?|plan"
    r"|symbolic|positional|hosts?|guard|latch\w*|levels?|usages?|dead keys?|flash\w*|layouts?|breaking|findings?|firmware"
    r"|tables?|mm_\w*|MM_\w*|Key[A-Z]|Digit\d|Intl\w+|0x\w+)\b"
)


def owner_page(comparison: Comparison) -> OwnerPage:
    """The page of a comparison, read back."""
    return OwnerPage(page_report(comparison))


def project() -> dict[str, str]:
    """The files of the project, as they stand."""
    paths = (*ROOT.glob("layouts/*.yaml"), *ROOT.glob("shared/machines/*.yaml"), *ROOT.glob("shared/hosts/*.yaml"))
    return {path.relative_to(ROOT).as_posix(): path.read_text(encoding="utf-8") for path in paths}


BASE = "layouts/quillon8-symbolic.yaml"


FEW = 9
"""One layout in so many of the base stays for the tests of the suite."""


def base_changed(files: dict[str, str]) -> Comparison:
    """The base of 57 layouts loses two lines that stand for many keys, and a third gets another key."""
    new = changed(files, BASE, "  Alt+*: blazon + *\n  Shift+Alt+*: shift + blazon + *\n", "")
    new = changed(new, BASE, "  Pause: hail\n", "  F11: hail\n")
    return compare_sides(side("old", files), side("new", new), findings=False)


@pytest.fixture(scope="module")
def base_of_57() -> Comparison:
    """The change with all layouts of the base."""
    return base_changed(project())


@pytest.fixture(scope="module", params=["some", in_campaign("all")])
def of_base(request: pytest.FixtureRequest) -> Comparison:
    """The change with some of the layouts, or with all."""
    files = project()
    bases = {f"layouts/{base}.yaml" for text in files.values() for base in re.findall(r"(?m)^base: (\S+)", text)}
    of_it = sorted(name for name, text in files.items() if "base: quillon8-symbolic" in text and name not in bases)
    left_out = set() if request.param == "all" else {name for at, name in enumerate(of_it) if at % FEW}
    return base_changed({name: text for name, text in files.items() if name not in left_out})


@pytest.mark.campaign
def test_a_base_of_57_is_half_a_megabyte(base_of_57: Comparison) -> None:
    """The page of a base change that moves many keys of 57 keyboards has at most 500 KB, a section for each and no other."""
    page = page_report(base_of_57)
    assert len(page.encode()) <= 500_000
    found = OwnerPage(page)
    changed_names = {layout.name for layout in base_of_57.of_status(Status.CHANGED)}
    assert len(changed_names) == 57 < len(base_of_57.layouts)
    assert set(found.sections) == changed_names
    assert set(found.index()) == {f"#{name}" for name in changed_names}
    assert found.index()["#quillon8-de-DE-symbolic"] == "German (Germany)"


def test_each_changed_key_says_what_it_did_and_does(of_base: Comparison) -> None:
    """Of every layout each press that types something else is listed, and stands on its key with what it typed and types."""
    found = owner_page(of_base)
    for layout in of_base.of_status(Status.CHANGED):
        rows, keys = found.rows(layout.name), found.keys(layout.name)
        felt = [change for change in layout.presses if change.before or change.after]
        assert len(rows) == len(felt) > 0
        for change, (_, before, now) in zip(felt, rows, strict=True):
            assert before.startswith(change.before.text or "nothing")
            assert now.startswith(change.after.text or "nothing")
        assert len(keys) == len({change.presses[0][-1].usage for change in felt})
        for change in felt:
            texts = (change.before.text or "–", change.after.text or "–")
            assert any(all(part in "".join(key.lines) for part in texts) for key in keys), (layout.name, texts)


NUMBERS = re.compile(r"[\d.]+")


def test_no_sign_needs_a_font(of_base: Comparison) -> None:
    """No character of the page that is drawn elsewhere is text here; each sign is defined once, and has its name."""
    for comparison in (of_base, every_sign()):
        page = page_report(comparison)
        texts = re.sub(r"<[^>]*>", "", page[page.index("<main>") :])
        assert [char for char in texts if is_sign(char)] == []
        found = OwnerPage(page)
        symbols = list(found.main.iter("symbol"))
        signs = [str(one.get("data-sign")) for one in symbols]
        assert len(signs) == len(set(signs)) > 5
        names = texts_of("signs", "en")
        for symbol, sign in zip(symbols, signs, strict=True):
            (named,) = symbol
            assert named.get("role") == "img"
            assert named.get("aria-label") == (sign_name(sign, names) if len(sign) == 1 else sign)
            # The colour is that of the letters around it, in light and dark.
            inks = [{path.get("fill"), path.get("stroke")} - {"none", None} for path in named.iter("path")]
            assert inks == [{"currentColor"}] * len(inks) != []
        used = {str(use.get("href"))[1:] for use in found.main.iter("use")}
        assert {str(one.get("id")) for one in symbols} <= used


def test_signs_keep_within_their_keys(of_base: Comparison) -> None:
    """On a key, what is drawn for a sign lies on the key's own plate, and what is old is crossed out."""
    groups = [*owner_page(of_base).main.iter("g"), *owner_page(every_sign()).main.iter("g")]
    struck = 0
    for group in (one for one in groups if any(path.get("class") == "hot" for path in one)):
        numbers = [
            float(n) for path in group if path.get("class") == "hot" for n in NUMBERS.findall(str(path.get("d")))
        ]
        left, right, top, bottom = min(numbers[::2]), max(numbers[::2]), min(numbers[1::2]), max(numbers[1::2])
        uses = [use for use in group.iter("use") if use.get("class") != "p"]
        for use in uses:
            x, y, wide, high = (float(str(use.get(name))) for name in ("x", "y", "width", "height"))
            assert left <= x <= x + wide <= right + 0.5
            assert top <= y <= y + high <= bottom + 0.5
        old = [use for use in uses if (use.get("class") or "").startswith("o")]
        assert len([path for path in group.iter("path") if path.get("class") == "x"]) == len(old)
        struck += len(old)
    assert struck > 0


def test_a_key_shows_its_changes_at_their_levels() -> None:
    """A press alone, one with Shift and one with Alt stand on their keys, the latter two with what is to be held."""
    old = little(x="keys: {F1: a, F2: a, F3: a, F4: a}\n")
    new = little(x="keys: {F1: b, Shift+F2: b, Alt+F3: b, F4: b, Shift+F4: c, Alt+F4: d}\n")
    found = owner_page(compared(old, new))
    assert found.rows("x") == [
        ("F1", "a", "b"),
        ("F2", "a", "nothing"),
        ("F3", "a", "nothing"),
        ("F4", "a", "b"),
        ("Shift F2", "a (as without Shift)", "b"),
        ("Shift F4", "a (as without Shift)", "1"),
        ("Alt F3", "a (as without Alt)", "b"),
        ("Alt F4", "a (as without Alt)", "Enter"),
    ]
    assert found.keys("x") == [
        Key("F1", ("a →", "b")),
        Key("F2", ("a → –", "Shift ", "a → b")),
        Key("F3", ("a → –", "Alt ", "a → b")),
        Key("F4", ("a → b", "Shift a → 1", "Alt a → Enter")),
    ]


def test_every_key_of_the_form_has_its_print_once() -> None:
    """A picture has the print of each key of its own country, so that the owner finds the changed one; that has it twice."""
    comparison = edit("a line of the base is deleted", "there")
    page = owner_page(comparison)
    assert len(page.sections) == 2
    for layout in comparison.of_status(Status.CHANGED):
        if layout.name not in page.sections or layout.new is None:
            continue
        host = layout.new.layout.host
        board = form_of(host)
        assert board
        wanted = [print_text(host, cap.usage) for cap in board.caps]
        assert {"A", "F2", "Shift"} <= set(wanted)
        assert Counter(page.prints(layout.name)) == Counter([*filter(None, wanted), "Pause"])


def every_sign() -> Comparison:
    """An accent goes and one comes, a space moves, a key gets five changes, another a long name and a modifier; others functions."""
    old = begin()
    new = changed(
        old,
        "layouts/common.yaml",
        "F4: pound",
        "F4: space\n  Shift+F4: left\n  F5: shift + left\n  Shift+F5: attn\n  F3: graph\n  F6: return\n  F7: erase",
    )
    new = changed(
        new,
        "layouts/common.yaml",
        "  F2: a + b\n",
        "".join(f"  {held}F2: b\n" for held in ("", "Shift+", "Alt+", "Control+", "Meta+")),
    )
    new = changed(
        new, "shared/machines/bench.yaml", "{plain: ArrowLeft}", "{plain: ArrowLeft, shift: MoveTheWholeLineToTheLeft}"
    )
    new = changed(new, "shared/machines/bench.yaml", "{plain: c, shift: C}", "{plain: Tab, shift: ☞}")
    new = changed(new, "shared/hosts/xx.yaml", "Equal: [{dead: '^'}, '~']", "Equal: ['^', {dead: '^'}]")
    return compare_sides(side("old", old), side("new", new), findings=False)


SAMPLES = {
    "one press goes": lambda: compared(little(x="keys: {F1: a}\n"), little(x="")),
    "signs of every kind": every_sign,
    "a base": lambda: base_change("x1", "x2"),
    "a key that moves": lambda: edit("a key moves to a free crosspoint", "there"),
}


@pytest.mark.parametrize("name", SAMPLES)
def test_the_legend_explains_the_signs_that_occur_and_no_others(name: str) -> None:
    """Every sign on a key of the page is explained once, and nothing else is."""
    found = owner_page(SAMPLES[name]())
    assert found.legend() == found.signs()


@pytest.mark.parametrize(("name", "way"), SOME)
def test_the_legend_fits_every_kind_of_edit(name: str, way: str) -> None:
    """So it is for each edit that contributors make, there and back."""
    found = owner_page(edit(name, way))
    assert found.legend() == found.signs()


def test_every_sign_is_seen_in_some_sample() -> None:
    """The samples leave no sign of the legend untried."""
    seen = set().union(*(owner_page(make()).signs() for make in SAMPLES.values()))
    assert seen == {mark.name.lower() for mark in Mark}


@pytest.mark.parametrize(("name", "way"), OF_OWNERS)
def test_no_word_is_jargon(name: str, way: str) -> None:
    """What the page says to owners, names of keys and legends aside, has none of the words of those who make layouts."""
    told = owner_page(edit(name, way)).told()
    assert "keyboard" in told
    assert not JARGON.findall(told)


@pytest.mark.parametrize("cause", [None, *REFUSALS])
@pytest.mark.parametrize("kind", Does)
def test_no_outcome_is_told_in_jargon(kind: Does, cause: Cause | None) -> None:
    """Whatever a press did and does, an owner is told it in plain words; why it is refused, too."""
    if (kind is Does.REFUSED) != (cause is not None):
        return
    outcome = Outcome(kind, "x", cause=cause, waiting="´" if kind is Does.TYPES else "")
    told = [*gift(outcome, "Alt").words, *plainer(did(outcome)), *plainer(does(outcome))]
    assert not JARGON.findall(" ".join(piece for piece in told if isinstance(piece, str)))


@pytest.mark.parametrize(("name", "way"), OF_OWNERS)
def test_only_keyboards_on_which_something_changes_are_shown(name: str, way: str) -> None:
    """A layout has a section exactly if a press, keys held together or Caps Lock give something else."""
    comparison = edit(name, way)
    shown = set(owner_page(comparison).sections)
    for layout in comparison.layouts:
        if layout.name in shown:
            assert layout.status is Status.CHANGED
            assert not layout.gives_the_same
        else:
            assert layout.gives_the_same or not layout.presses, layout.name


def test_a_loss_is_told_to_the_owner() -> None:
    """What no key types any more stands in a sentence, and so does what is new."""
    old, new = little(x=""), little(x="keys: {KeyA: none, Shift+KeyA: none}\n")
    assert "<li>Can no longer be typed: <b>a</b> and <b>A</b>.</li>" in page_report(compared(old, new))
    assert "<li>Can be typed now, and could not before: <b>a</b> and <b>A</b>.</li>" in page_report(compared(new, old))


def test_nothing_is_said_where_nothing_changes() -> None:
    """A change of files alone makes a page with one sentence, without index, legend and pictures."""
    page = owner_page(compared(little(x=""), little(x="# a comment\n")))
    assert "No key types anything else than before." in page.told()
    assert not page.sections
    assert not page.legend()
    assert not list(page.main.iter("svg"))


def test_one_keyboard_needs_no_choice() -> None:
    """Where one keyboard changes it is shown at once, by its name."""
    page = owner_page(compared(little(x="keys: {F1: a}\n", y=""), little(x="", y="")))
    assert not page.index()
    assert "Something changes at one keyboard: A host." in page.told()


@pytest.mark.parametrize("title", TITLES)
def test_hostile_titles_and_legends_do_nothing(title: str) -> None:
    """A title of a host and of a machine, and legends that are markup, are text; links lead within the page."""
    old = {**little(x="keys: {F1: a, F2: c}\n", y="keys: {F1: a}\n")}
    for name in ("shared/hosts/xx.yaml", MACHINE_FILE):
        old[name] = (
            old[name]
            .replace("title: A host", f"title: {quoted(title)}")
            .replace("title: Little", f"title: {quoted(title)}")
        )
    old[MACHINE_FILE] = old[MACHINE_FILE].replace("d: {plain: Enter}", "d: {plain: '<', shift: '&'}")
    new = {
        **old,
        "layouts/x.yaml": old["layouts/x.yaml"].replace("F1: a", "F1: d"),
        "layouts/y.yaml": old["layouts/y.yaml"].replace("F1: a", "F1: d"),
    }
    page = page_report(compared(old, new))
    assert not re.search(r"[\x00-\x09\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]", page)
    found = OwnerPage(page)
    assert found.rows("x")[0] == ("F1", "a", "<")
    assert {str(each.get("href"))[0] for tag in ("a", "use") for each in found.main.iter(tag)} == {"#"}
    assert all(str(each.get("href"))[1:] in found.ids for tag in ("a", "use") for each in found.main.iter(tag))
    assert not [name for node in found.main.iter() for name in node.attrib if name.startswith("on") or name == "style"]


def test_one_page_whatever_the_order_of_sets(tmp_path: Path) -> None:
    """Two runs with other hash seeds write the same bytes."""
    old = {**little(x="keys: {F1: a, F2: a}\n", y="keys: {F1: a}\n")}
    new = {**little(x="keys: {F1: b, F3: a}\n", y="keys: {F4: c}\n")}
    folders = [write_project(tmp_path / name, files) for name, files in (("old", old), ("new", new))]
    pages = [
        matrixmap("compare", *folders, "--format", "html", cwd=tmp_path, env={"PYTHONHASHSEED": seed}).stdout
        for seed in ("1", "2", "3")
    ]
    assert len(set(pages)) == 1
    assert 'class="keyboard"' in pages[0]
    assert set(OwnerPage(pages[0]).sections) == {"x", "y"}
