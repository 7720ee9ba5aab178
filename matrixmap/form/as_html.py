"""A comparison as one HTML page: the same words as elsewhere, and each changed layout drawn before and after.

What is breaking says so in a word and has a heavier edge; changed keys have a thick outline and a flag.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from matrixmap.compare.comparison import Comparison, SharedPart, own_breaking
from matrixmap.compare.items.item import Item
from matrixmap.compare.layouts import LayoutComparison, Status, marked_contacts, marked_usages
from matrixmap.compare.sides.facts import Name
from matrixmap.compare.sides.words import Words, count_of, rendered
from matrixmap.emit.pictures.drawing import STYLE as DRAWING_STYLE
from matrixmap.emit.pictures.drawing import Marks, draw_keyboards, left_out
from matrixmap.emit.pictures.html import document
from matrixmap.emit.pictures.svg import element, markup
from matrixmap.form.comparison import (
    CAUTION,
    FindingGroup,
    code_words,
    counts,
    file_words,
    finding_counts,
    finding_groups,
    finding_text,
    headline,
    layout_headline,
    needs_caution,
    new_name,
    place_words,
    rest_words,
    sorted_items,
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
    yield element("h1", f"{code(comparison.old)} to {code(comparison.new)}")
    yield element("p", element("strong", markup(headline(comparison))))
    yield element("p", markup(f"{counts(comparison)}."), class_="soft")
    if needs_caution(comparison):
        yield element("p", element("strong", "Caution. "), markup(CAUTION), class_="caution")
    rows = [*map(_part_row, comparison.shared()), *_layout_rows(comparison)]
    if rows:
        heads = "".join(element("th", head, scope="col") for head in ("what", "breaking", "others", "findings", "C"))
        yield element("table", element("thead", element("tr", heads)), element("tbody", *rows))
    yield from _clashes(comparison)
    for part in comparison.shared():
        yield element("h2", markup(f"{part.part.value} "), code(part.name))
        yield from _items(sorted_items(part.items))
    for layout in comparison.layouts:
        if layout.status not in (Status.UNTOUCHED, Status.SAME):
            yield from _layout(layout)
    for file in comparison.loose:
        yield element("p", code(file.name), markup(f": {file.change}, but no layout uses it"))
        yield from _faults(file.findings)


def _row(name: str, *cells: str) -> str:
    columns = "".join(element("td", cell or " ") for cell in cells)
    return element("tr", element("th", name, scope="row"), columns)


def _part_row(part: SharedPart) -> str:
    name = f"{part.part.value} {code(part.name)} ({count_of(len(part.layouts), 'layout')})"
    return _row(name, _number(part.breaking), _number(len(part.items) - part.breaking), "", "")


def _number(count: int) -> str:
    return str(count) if count else ""


def _layout_rows(comparison: Comparison) -> Iterator[str]:
    for layout in comparison.layouts:
        if layout.status is Status.UNTOUCHED:
            continue
        if layout.status is Status.SAME:
            said = f"{code(layout.name)}: {layout_headline(layout)} ({words_markup(file_words(layout))})"
            yield _row(said, "", "", "", "")
            continue
        others = sum(not item.breaking for item in layout.own_items())
        size = markup(code_words(layout) or "")
        yield _row(_title(layout), _number(own_breaking(layout)), _number(others), finding_counts(layout), size)


def _title(layout: LayoutComparison) -> str:
    was = new_name(layout)
    return code(layout.name) + (f" (was {code(was)})" if was else "")


def _layout(layout: LayoutComparison) -> Iterator[str]:
    yield element("h2", _title(layout), markup(f": {layout_headline(layout)}"))
    if layout.status is Status.BROKEN:
        yield from _faults(layout.new_faults or layout.old_faults)
        return
    yield from _items(layout.own_items())
    groups = finding_groups(layout) if layout.status is not Status.REMOVED else ()
    if groups:
        yield element("h3", markup(f"Findings: {finding_counts(layout)}"))
        rest = (element("li", markup(line)) for line in rest_words(groups))
        yield element("ul", *(line for group in groups for line in _findings(layout, group)), *rest)
    if layout.code is not None and layout.code.lines:
        lines = markup_lines(layout.code.lines)
        yield element("details", element("summary", markup(f"C: {code_words(layout)}")), element("pre", lines))
    yield from _drawings(layout)


def markup_lines(lines: Iterable[str]) -> str:
    """Lines of text for a preformatted element."""
    return "\n".join(markup(line) for line in lines)


def _items(items: Iterable[Item]) -> Iterator[str]:
    lines = [
        element("li", element("strong", "breaking: "), words_markup(item.words), class_="breaking")
        if item.breaking
        else element("li", words_markup(item.words))
        for item in items
    ]
    if lines:
        yield element("ul", *lines)


def _findings(layout: LayoutComparison, group: FindingGroup) -> Iterator[str]:
    head = markup(f"{group.word} {group.severity.word} ") + code(group.slug)
    for finding, more in group.told():
        place = place_words(layout, finding)
        where = f" ({code(place)})" if place else ""
        yield element("li", head, markup(f": {finding_text(finding, more)}"), where)


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
    heads = ("layout", "what", "before", "here", f"in {comparison.theirs}")
    cells = [
        (code(clash.layout), *map(words_markup, (clash.subject, clash.base, clash.ours, clash.theirs)))
        for clash in comparison.clashes
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
