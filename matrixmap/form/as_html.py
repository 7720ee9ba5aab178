"""A comparison as one HTML page: the same words as elsewhere, and each changed layout drawn before and after.

What is breaking says so in a word and has a heavier edge; changed keys have a thick outline and a flag.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from matrixmap.compare.comparison import Comparison
from matrixmap.compare.gist import gist
from matrixmap.compare.items.item import Audience
from matrixmap.compare.layouts import LayoutComparison, Status, marked_contacts, marked_usages
from matrixmap.compare.once import clash_news, layouts_words
from matrixmap.compare.sides.facts import Name
from matrixmap.compare.sides.words import Words, join_words, rendered
from matrixmap.emit.pictures.drawing import STYLE as DRAWING_STYLE
from matrixmap.emit.pictures.drawing import Marks, draw_keyboards, left_out
from matrixmap.emit.pictures.html import document
from matrixmap.emit.pictures.svg import element, markup
from matrixmap.form.comparison import (
    CAUTION,
    calm_lines,
    counts,
    findings_line,
    firmware_lines,
    layout_headline,
    needs_caution,
    new_name,
    others_words,
    taken_lines,
    where_words,
)
from matrixmap.model.finding import Finding
from matrixmap.model.plan import Plan

PAGE_STYLE = """
:root{color-scheme:light dark;--paper:#f6f1e4;--ink:#17283a;--soft:#4b5a66;--line:#8a8574;--warn:#a3340c}
@media (prefers-color-scheme:dark){:root{--paper:#0e1c26;--ink:#ede6d3;--soft:#c3c8c4;--line:#7f8b90;--warn:#ffa873}}
body{margin:0 auto;max-width:76rem;padding:1.5rem;background:var(--paper);color:var(--ink);
font:1rem/1.5 'DejaVu Sans','Noto Sans','Segoe UI',sans-serif}
h1{font-size:1.5rem}h2{font-size:1.2rem;border-top:3px double var(--line);padding-top:1rem}h3{font-size:1rem}
code{font-family:'DejaVu Sans Mono','Noto Sans Mono',monospace;overflow-wrap:anywhere}
table{border-collapse:collapse}th,td{border:1px solid var(--line);padding:.25rem .6rem;text-align:left}
ul{padding-left:1.2rem}li.breaking{list-style:square}li.breaking strong{color:var(--warn)}
.caution{border:2px solid var(--ink);padding:.6rem}.soft{color:var(--soft)}
pre{overflow:auto;border:1px solid var(--line);padding:.6rem;font-size:.85rem}
summary{cursor:pointer}figure{margin:1rem 0}figure svg{max-width:100%;height:auto}
"""


def page_report(comparison: Comparison) -> str:
    """The comparison as an HTML document that needs nothing but itself."""
    body = "\n".join(["<main>", *_body(comparison), "</main>"])
    return document(f"{comparison.old} to {comparison.new}", PAGE_STYLE + DRAWING_STYLE, body)


def code(text: str) -> str:
    """A name as code."""
    return element("code", markup(text if text != " " else "space"))


def words_markup(words: Words) -> str:
    """Words with their names as code."""
    return rendered(words, code, markup)


def _body(comparison: Comparison) -> Iterator[str]:
    yield element("h1", words_markup(gist(comparison)))
    yield element("p", f"{code(comparison.old)} to {code(comparison.new)}; ", markup(counts(comparison)), class_="soft")
    if needs_caution(comparison):
        yield element("p", element("strong", "Caution. "), markup(CAUTION), class_="caution")
    calm = [element("li", words_markup(words)) for words in (*taken_lines(comparison), *calm_lines(comparison))]
    if calm:
        yield element("ul", *calm)
    for audience in Audience:
        yield from _for(comparison, audience)
    line = findings_line(comparison)
    if line:
        yield element("p", markup(line), class_="soft")
    yield from _clashes(comparison)
    for layout, others in _drawn(comparison):
        yield from _layout(layout, others)
    for file in comparison.loose:
        yield element("p", code(file.name), markup(f": {file.change}, but no layout uses it"))
        yield from _faults(file.findings)


def _for(comparison: Comparison, audience: Audience) -> Iterator[str]:
    """What one audience has to know; the changes of the same layouts stand together."""
    blocks: dict[str, list[str]] = {}
    for news in comparison.news:
        if news.item.audience is audience:
            words = words_markup(news.item.words) + others_words(news)
            blocks.setdefault(words_markup(where_words(comparison, news)), []).append(_line(news.breaking, words))
    if audience is Audience.FIRMWARE:
        lines = [_line(line.breaking, words_markup(line.words)) for line in firmware_lines(comparison)]
        blocks.update({"": lines} if lines else {})
    if blocks:
        yield element("h2", markup(f"For the {audience.value}"))
    for where, lines in blocks.items():
        if where:
            yield element("h3", where)
        yield element("ul", *lines)


def _line(breaking: bool, words: str) -> str:
    if breaking:
        return element("li", element("strong", "breaking: "), words, class_="breaking")
    return element("li", words)


def _title(layout: LayoutComparison) -> str:
    was = new_name(layout)
    return code(layout.name) + (f" (was {code(was)})" if was else "")


def _drawn(comparison: Comparison) -> Iterator[tuple[LayoutComparison, tuple[str, ...]]]:
    """The layouts to draw, each with the names of those that have the very same changes: one picture shows them all."""
    alike: dict[tuple[object, ...], list[LayoutComparison]] = {}
    for layout in comparison.layouts:
        if layout.status not in (Status.UNTOUCHED, Status.SAME):
            shared = tuple(number for number, news in enumerate(comparison.news) if layout.name in news.layouts)
            cell = (shared,) if layout.status is Status.CHANGED and shared else (layout.name,)
            alike.setdefault(cell, []).append(layout)
    for first, *rest in alike.values():
        yield first, tuple(layout.name for layout in rest)


def _layout(layout: LayoutComparison, others: tuple[str, ...]) -> Iterator[str]:
    yield element("h2", _title(layout), markup(f": {layout_headline(layout)}"))
    if others:
        yield element("p", "The same changes: ", words_markup(join_words(others)))
    if layout.status is Status.BROKEN:
        yield from _faults(layout.new_faults or layout.old_faults)
        return
    yield from _drawings(layout)


def _faults(findings: Iterable[Finding]) -> Iterator[str]:
    lines = [
        element("li", code(str(finding.place)), markup(f": {finding.slug}: {finding.text}")) for finding in findings
    ]
    if lines:
        yield element("ul", *lines)


def _clashes(comparison: Comparison) -> Iterator[str]:
    if comparison.theirs is None:
        return
    yield element("h2", "Changed on both branches, differently")
    if not comparison.clashes:
        yield element("p", "Nothing.")
        return
    heads = ("layouts", "what", "before", "here", f"in {comparison.theirs}")
    cells = [
        tuple(
            map(
                words_markup,
                (layouts_words(news.layouts), news.clash.subject, news.clash.base, news.clash.ours, news.clash.theirs),
            )
        )
        for news in clash_news(comparison.clashes)
    ]
    rows = [element("tr", *(element("td", cell) for cell in row)) for row in cells]
    head = element("tr", *(element("th", markup(name), scope="col") for name in heads))
    yield element("table", element("thead", head), element("tbody", *rows))


def _drawings(layout: LayoutComparison) -> Iterator[str]:
    """The keyboards before and after; of a layout that came or went, the one there is."""
    names = dict(layout.changes.renames) if layout.status is Status.CHANGED else {}
    sides = [("Before", layout.old, names), ("After", layout.new, {})]
    if layout.old and layout.new and not layout.changes:
        return
    for title, plan, known in sides:
        if plan is not None:
            yield _drawing(layout, title if layout.old and layout.new else plan.layout.title, plan, known)


def _drawing(layout: LayoutComparison, title: str, plan: Plan, names: dict[Name, Name]) -> str:
    changed = layout.status is Status.CHANGED
    marks = (
        Marks(usages=marked_usages(layout), contacts=marked_contacts(layout, plan, names), word="changed")
        if changed
        else Marks()
    )
    prefix = f"{title.lower()}-" if changed else ""
    picture = draw_keyboards(plan, marks, title=f"{title}: {plan.layout.title}" if changed else None, prefix=prefix)
    # The page has the style of the drawings once, and its policy allows no other.
    picture = picture.replace(element("style", DRAWING_STYLE), "")
    missing = "".join(element("p", markup(reason), class_="soft") for reason in left_out(plan, ("host", "machine")))
    return element("figure", element("figcaption", element("h3", markup(title))), picture, missing)
