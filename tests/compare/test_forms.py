"""The forms of a comparison: each escapes for itself, keeps its length and its shape."""

from __future__ import annotations

import json
import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import pytest

from matrixmap.compare.comparison import Comparison
from matrixmap.compare.sides.changes import find_changes
from matrixmap.compare.sides.facts import facts
from matrixmap.form.as_annotations import annotation_report, command
from matrixmap.form.as_html import page_report
from matrixmap.form.as_json import changes_document, comparison_document, fact_value, json_report
from matrixmap.form.as_markdown import MOST_CHARACTERS, markdown_report
from matrixmap.form.as_text import text_report
from matrixmap.form.comparison_schema import comparison_schema, schema_text
from matrixmap.model.place import Place
from tests import tools
from tests.compare.sides import HOST, compared, little
from tests.nasty import TITLES, quoted
from tests.project import ROOT, shipped_plan

MENTION = "@someone #12 :: %0A ]]> <b>bold</b>"


def nasty_comparison(title: str) -> Comparison:
    """A comparison with a text in a title, a source and an acceptance, and legends that forms write otherwise."""
    legends = [("`", "|"), ("<", "&"), ("\\", '"'), ("*", "_"), ("%", " ")]
    lines = "".join(f"  0x{0x64 + n:02X}: [{quoted(one)}, {quoted(other)}]\n" for n, (one, other) in enumerate(legends))
    old, new = (
        little(x="", y="keys: {F1: nix}\n"),
        little(x=f"title: {quoted(title)}\naccept: {{redundant-line: {quoted(title)}}}\n"),
    )
    new["shared/hosts/xx.yaml"] = HOST.replace("title: A host", f"title: {quoted(title)}") + lines
    machine = new["shared/machines/little.yaml"]
    machine = machine.replace("title: Little", f"title: {quoted(title)}").replace("S2: [d, none]", "S2: [none, d]")
    new["shared/machines/little.yaml"] = machine.replace("d: {plain: Enter}", "d: {plain: '`', shift: '<'}")
    return compared(old, new)


def test_the_nasty_text_is_really_there() -> None:
    """The comparison that the tests below look at tells the text, in several items."""
    news = comparison_document(nasty_comparison(MENTION))["news"]
    assert sum(MENTION in item["text"] for item in news) >= 4  # type: ignore[attr-defined]


@pytest.mark.parametrize("title", [*TITLES, MENTION])
def test_a_terminal_obeys_nothing(title: str) -> None:
    """The text form holds no control character but ends of lines, and none that turns the reading direction."""
    text = "\n".join(text_report(nasty_comparison(title), True))
    assert not re.search(r"[\x00-\x09\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]", text)


@pytest.mark.parametrize("title", [*TITLES, MENTION])
def test_markdown_shows_text_as_it_is(title: str) -> None:
    """Rendered, the Markdown has no element but its own, no link and no picture, and names nobody outside of code."""
    markdown_it = tools.module("markdown_it", "markdown-it-py")
    report = markdown_report(nasty_comparison(title))
    html = markdown_it.MarkdownIt("commonmark").enable("table").render(report)
    tags = set(re.findall(r"<([a-z0-9]+)", html))
    own = {
        "p",
        "h3",
        "ul",
        "li",
        "strong",
        "code",
        "details",
        "summary",
        "table",
        "thead",
        "tbody",
        "tr",
        "th",
        "td",
        "pre",
    }
    assert tags <= own, tags - own
    assert re.findall(r"<!--.*?-->", html) == ["<!-- matrixmap compare -->"]
    outside = re.sub(r"<code[^>]*>.*?</code>", "", html, flags=re.DOTALL)
    assert not re.search(r"[@#]\w", re.sub(r"&#?\w+;", "", outside))
    assert html.count("<code") == html.count("</code>")


class _Tags(HTMLParser):
    """The tags and attributes of a page."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.attributes: list[tuple[str, str | None]] = []
        self.ids: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += attrs
        self.ids += [value for name, value in attrs if name == "id" and value]


@pytest.mark.parametrize("title", [*TITLES, MENTION])
def test_a_page_runs_and_fetches_nothing(title: str) -> None:
    """The page is well-formed, without script, handler or frame; links stay within it; its policy forbids all else; every id stands once."""
    page = page_report(nasty_comparison(title))
    seen = _Tags()
    seen.feed(page)
    assert not {"script", "img", "iframe", "object", "link", "form"} & set(seen.tags)
    assert not [name for name, _ in seen.attributes if name.startswith("on") or name in ("src", "style")]
    assert all(value and value.startswith("#") for name, value in seen.attributes if name == "href")
    assert len(seen.ids) == len(set(seen.ids)) > 0
    assert "default-src 'none'" in page
    body = page[page.index("<main>") : page.index("</main>") + len("</main>")]
    ET.fromstring(body)


def test_a_page_keeps_what_reviewers_need_folded() -> None:
    """What concerns board and firmware, and what is breaking, stands at the end, folded; what concerns owners is open."""
    page = page_report(nasty_comparison("plain"))
    owners, _, reviewers = page.partition('<details class="check">')
    assert "<strong>breaking: </strong>" in reviewers
    assert "For the typist" in reviewers
    assert "breaking" not in owners[owners.index("<main>") :]
    assert "open" not in re.findall(r"<details[^>]*>", page)[0]


def test_a_new_layout_is_drawn_for_reviewers() -> None:
    """A new layout has its picture within the folded part, by its own style."""
    page = page_report(compared(little(x=""), little(x="", y="")))
    owners, _, reviewers = page.partition('<details class="check">')
    assert "<h2>New keyboards</h2>" in owners
    assert reviewers.count('class="matrixmap"') == 1
    assert page.count("<style>") == 1
    assert ".matrixmap .paper{" in page


@pytest.mark.parametrize("title", [*TITLES, MENTION])
def test_annotations_are_one_command_a_line(title: str) -> None:
    """Every line is one workflow command, and text of a file begins no second one."""
    report = annotation_report(nasty_comparison(title))
    lines = report.splitlines()
    assert len(lines) == report.count("\n") >= 1
    for line in lines:
        assert re.fullmatch(r"::(error|warning|notice) ([a-z]+=[^,:]*)(,[a-z]+=[^,:]*)*::.+", line), line
        assert len(line.splitlines()) == 1


def test_annotations_escape_as_runners_read_them() -> None:
    """Percent signs and ends of lines are escaped, in properties colons and commas too."""
    place = Place(file="layouts/a,b%.yaml", line=3, column=4)
    assert command("error", place, "a:b,c", "100%\nx") == (
        "::error file=layouts/a%2Cb%25.yaml,line=3,col=4,title=a%3Ab%2Cc::100%25\\u{000a}x"
    )
    assert command("notice", Place(file="main:layouts/a.yaml", line=1, column=1), "t", "x") == "::notice title=t::x"


@pytest.mark.parametrize("title", TITLES)
def test_json_keeps_the_text_and_the_schema(title: str) -> None:
    """The JSON follows its schema, keeps every text exactly and has no character that a terminal would obey."""
    jsonschema = tools.module("jsonschema", "jsonschema")
    comparison = nasty_comparison(title)
    text = json_report(comparison)
    assert not re.search(r"[\x00-\x09\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]", text)
    document = json.loads(text)
    jsonschema.Draft202012Validator(comparison_schema()).validate(document)
    assert document == json.loads(json.dumps(comparison_document(comparison)))


def test_the_schema_is_published_and_strict() -> None:
    """The file in schema/ is what the command prints; it is a valid schema and refuses what it does not name."""
    jsonschema = tools.module("jsonschema", "jsonschema")
    assert (ROOT / "schema" / "comparison.json").read_text(encoding="utf-8") == schema_text()
    schema = comparison_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    validator = jsonschema.Draft202012Validator(schema)
    document = json.loads(json_report(compared(little(x=""), little(x="keys: {F1: a}\n"))))
    assert validator.is_valid(document)
    assert not validator.is_valid({**document, "more": 1})
    assert not validator.is_valid({**document, "layouts": [{**document["layouts"][0], "status": "odd"}]})


def test_the_changes_in_json_lead_to_the_new_facts() -> None:
    """A program that replaces names, then sets and takes out facts as the JSON says, has the facts of the new plan."""
    old, new = (facts(shipped_plan(f"quillon8-{host}-symbolic")) for host in ("de-DE", "en-GB"))
    document = json.loads(json.dumps(changes_document(find_changes(old, new))))
    assert document["renames"] == []
    known = {json.dumps(fact_value(fact)): fact_value(value) for fact, value in old.items()}
    for change in document["facts"]:
        key = json.dumps(change["fact"])
        assert ("old" in change) == (key in known)
        if "new" in change:
            known[key] = change["new"]
        else:
            del known[key]
    assert known == {json.dumps(fact_value(fact)): fact_value(value) for fact, value in new.items()}


def many(count: int) -> Comparison:
    """A comparison with many changed layouts, of which each has changes of its own."""
    comparison = compared(little(x="keys: {F1: a, F2: b, F3: c}\n"), little(x="keys: {F1: b, F2: a + b}\n"))
    (layout,) = comparison.layouts
    layouts = [replace(layout, id=f"x-{n}", old_id=f"x-{n}") for n in range(count)]
    news = (
        replace(some, layouts=(f"x-{n}",), item=replace(some.item, words=(*some.item.words, f" ({n})")))
        for n in range(count)
        for some in comparison.news
    )
    ordered = sorted(news, key=lambda some: not some.breaking)
    return replace(comparison, layouts=tuple(layouts), news=tuple(ordered))


@pytest.mark.parametrize("count", [1, 100, 1000])
def test_markdown_fits_into_a_comment(count: int) -> None:
    """However many layouts changed, the Markdown has at most 60,000 characters and tells how many lines were cut."""
    report = markdown_report(many(count))
    assert len(report) <= MOST_CHARACTERS == 60_000
    assert ("cut here" in report) == (count > 100)
    assert report.count("<details>") == report.count("</details>")
    assert report.count("```") % 2 == 0


@pytest.mark.parametrize("room", [1500, 2500, 4000, 8000])
def test_cut_lines_are_counted_and_breaking_ones_go_last(room: int) -> None:
    """Lines kept and lines cut make all lines; while a line that is not breaking is left, no breaking one is cut."""
    whole, short = markdown_report(many(60), 10**6), markdown_report(many(60), room)
    assert len(short) <= room
    cut = re.search(r"^(\d+) lines? cut here", short, re.MULTILINE)
    assert cut is not None
    # Every line is one of the whole report's, in its order.
    lines = iter(whole.splitlines())
    assert all(line in lines for line in short.splitlines() if "cut here" not in line)
    kept = [sum(line.startswith(("- ", "| <")) for line in text.splitlines()) for text in (whole, short)]
    assert int(cut[1]) >= kept[0] - kept[1] > 0
    breaking = [text.count("- **breaking**") for text in (whole, short)]
    details = short[short.find("<details>") :] if "<details>" in short else ""
    others = [line for line in details.splitlines() if line.startswith("- ") and "**breaking**" not in line]
    assert breaking[1] == breaking[0] or not others


def test_text_is_cut_with_a_count_unless_all_is_asked(tmp_path: Path) -> None:
    """Long lists stop after some items with a count of the rest; --all tells all."""
    lines = "".join(f"  0x{usage:02X}: b\n" for usage in range(0x68, 0x68 + 12))
    more = "".join(f"  {extra}+F{n}: c\n" for extra in ("Alt", "Control", "Shift") for n in range(1, 13))
    comparison = compared(little(x=""), little(x=f"keys:\n{lines}{more}"))
    short, whole = "\n".join(text_report(comparison, False)), "\n".join(text_report(comparison, True))
    cut = re.search(r"\.\.\. and (\d+) more \(--all shows them\)", short)
    assert cut is not None
    assert whole.count(" and now ") == short.count(" and now ") + int(cut[1])
    assert "--all" not in whole
