"""The edits of `table/edits.yaml`, there and back: what is said, and that the compiled runtime does so.

That something is lost is decided by `harness.losses`, which presses keys on both compiled tables; a comparison that then
is not breaking for the typist is a false calm. Each breaking change carries a witness, and played on both tables it must
come out differently; one that does not is a false alarm.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml

from matrixmap.compare.comparison import Comparison, compare_sides
from matrixmap.compare.gist import step_of
from matrixmap.compare.items.item import Audience, Proof
from matrixmap.compare.layouts import Status
from matrixmap.compare.sides.words import plain
from matrixmap.form.as_json import comparison_document
from matrixmap.form.as_text import text_report
from matrixmap.model.plan import Plan
from matrixmap.press.keyboard import form_usages
from tests.compare import harness
from tests.compare.sides import side
from tests.shipped import some_of

TABLE = Path(__file__).parent / "table"
EDITS: list[dict[str, Any]] = yaml.safe_load((TABLE / "edits.yaml").read_text(encoding="utf-8"))
WAYS = [(edit["edit"], way) for edit in EDITS for way in ("there", "back")]
SOME = some_of(WAYS, "edits", 3)
FIELDS = {"first", "says", "not", "breaking", "step"}


def begin() -> dict[str, str]:
    """The project before any edit."""
    files = (path for path in sorted(TABLE.rglob("*.yaml")) if path.parent != TABLE)
    return {path.relative_to(TABLE).as_posix(): path.read_text(encoding="utf-8") for path in files}


def edited(files: Mapping[str, str], changes: list[dict[str, Any]]) -> dict[str, str]:
    """The files after some changes: a text for another, a name for another, a file that comes, goes or moves."""
    found = dict(files)
    for change in changes:
        match change:
            case {"file": name, "old": old, "new": new}:
                assert old in found[name], change
                found[name] = found[name].replace(old, new, 1)
            case {"file": name, "rename": old, "to": new}:
                found[name] = re.sub(rf"\b{old}\b(?!-)", new, found[name])
            case {"file": name, "to": new}:
                found[new] = found.pop(name)
            case {"file": name, "copy": old}:
                copied = found[old].replace("machine: bench", "machine: other")
                found[name] = copied.replace("[a, b, one", "[b, a, one")
            case {"file": name, "gone": True}:
                del found[name]
            case {"file": name, "text": text}:
                found[name] = text
            case _:
                raise AssertionError(change)
    return found


@cache
def compared(name: str, way: str) -> Comparison:
    """The comparison of an edit, there or back."""
    (edit,) = (edit for edit in EDITS if edit["edit"] == name)
    old = edited(begin(), edit.get("start", []))
    sides = side("old", old), side("new", edited(old, edit["change"]))
    return compare_sides(*(sides if way == "there" else sides[::-1]), findings=False)


def expected(name: str, way: str) -> dict[str, Any]:
    """What the table says of an edit."""
    (edit,) = (edit for edit in EDITS if edit["edit"] == name)
    return edit[way]


def test_the_table_is_whole() -> None:
    """At least 59 kinds of edit, each under a name of its own, with everything that is to be said of it in both directions."""
    assert len(EDITS) == len({edit["edit"] for edit in EDITS}) >= 59
    for edit in EDITS:
        assert set(edit) - {"start"} == {"edit", "change", "there", "back"}, edit["edit"]
        for way in ("there", "back"):
            assert set(edit[way]) == FIELDS, edit["edit"]
            assert edit[way]["not"], edit["edit"]


@pytest.mark.parametrize(("name", "way"), SOME)
def test_what_is_said(name: str, way: str) -> None:
    """The sentence that stands first, what else must be said and what must not, for whom it is breaking, and the number."""
    comparison, wanted = compared(name, way), expected(name, way)
    lines = list(text_report(comparison, True))
    assert lines[0] == wanted["first"]
    report = "\n".join(lines)
    for words in wanted["says"]:
        assert words in report
    for words in wanted["not"]:
        assert words not in report
    assert [audience.value for audience in Audience if comparison.breaks(audience)] == wanted["breaking"]
    assert step_of(comparison)[0].word == wanted["step"]
    assert comparison_document(comparison)["headline"] == wanted["first"]


def plans(comparison: Comparison) -> dict[str, tuple[Plan, Plan]]:
    """The layouts that are on both sides and changed."""
    changed = comparison.of_status(Status.CHANGED, Status.SAME)
    return {layout.name: (layout.old, layout.new) for layout in changed if layout.old and layout.new}


@pytest.mark.parametrize(("name", "way"), SOME)
def test_what_is_lost_on_the_runtime_is_breaking(name: str, way: str) -> None:
    """Where the compiled tables take something from a typist, the comparison says that it is breaking for the typist."""
    comparison = compared(name, way)
    for layout, (old, new) in plans(comparison).items():
        lost = next(harness.losses(old, new), None)
        told = any(
            news.breaking and news.item.audience is Audience.TYPIST and layout in news.layouts
            for news in comparison.news
        )
        assert told or lost is None, (layout, lost)


@pytest.mark.parametrize(("name", "way"), SOME)
def test_each_witness_holds_on_the_runtime(name: str, way: str) -> None:
    """Each change that is breaking for the typist has a witness, which comes out otherwise on the compiled tables."""
    comparison = compared(name, way)
    both = plans(comparison)
    for news in comparison.news:
        if news.breaking and news.item.audience is Audience.TYPIST:
            assert news.item.proof is not None, news.text()
            holds(news.item.proof, *both[news.layouts[0]])


def holds(proof: Proof, old: Plan, new: Plan) -> None:
    """Fails if a witness comes out the same on both tables, or otherwise than its words say."""
    before, after = (harness.play(harness.player_of(plan), proof) for plan in (old, new))
    words = plain(proof.before), plain(proof.after)
    if words[1] == "is not on the keyboard":
        assert before.typed
        assert proof.key not in form_usages(new.layout.host.form)
        return
    works_latch = any("latch" in each or "Caps Lock" in each or "dead key" in each for each in words)
    assert before != after or works_latch, (proof, before)
    for said, verb, done in ((words[0], "typed ", before), (words[1], "types ", after)):
        if said.startswith(verb) and ", " not in said and " then " not in said:
            text = said.removeprefix(verb)
            assert done.typed == (" " if text == "space" else text,), (proof, done)
        if said == "does nothing":
            assert done.typed == (), (proof, done)
