"""A comparison as one HTML page for the owner of a machine; what reviewers also need is folded at its end.

The owner chooses a keyboard and sees on its picture what each changed key did and does. No information depends on
colour alone.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from matrixmap.compare.comparison import Comparison
from matrixmap.compare.items.item import Audience
from matrixmap.compare.layouts import LayoutComparison, Status
from matrixmap.compare.once import clash_news, layouts_words
from matrixmap.compare.sides.words import Words, rendered
from matrixmap.emit.pictures.drawing import STYLE as DRAWING_STYLE
from matrixmap.emit.pictures.drawing import draw, left_out
from matrixmap.emit.pictures.html import document
from matrixmap.emit.pictures.svg import element, markup
from matrixmap.form.comparison import (
    CAUTION,
    calm_lines,
    counts,
    findings_line,
    firmware_lines,
    headline,
    layout_headline,
    needs_caution,
    new_name,
    others_words,
    taken_lines,
    where_words,
    whole_layouts,
)
from matrixmap.form.owner.page import heading, owner_page
from matrixmap.form.owner.signs import STYLE as SIGN_STYLE
from matrixmap.form.owner.signs import Signs
from matrixmap.model.finding import Finding

PAGE_STYLE = """
:root{color-scheme:light dark;--paper:#f6f1e4;--plate:#fffdf7;--ink:#17283a;--soft:#4b5a66;--line:#8a8574;--warn:#a3340c;--link:#0d4a78}
@media screen and (prefers-color-scheme:dark){
:root{--paper:#0e1c26;--plate:#16303f;--ink:#ede6d3;--soft:#c3c8c4;--line:#7f8b90;--warn:#ffa873;--link:#a9dbe6}}
body{margin:0 auto;max-width:78rem;padding:1.2rem;background:var(--paper);color:var(--ink);
font:1rem/1.5 'DejaVu Sans','Noto Sans','Segoe UI',sans-serif;overflow-wrap:anywhere}
h1{font-size:1.5rem;line-height:1.25;margin:.2em 0 .5em}h2{font-size:1.2rem;margin:1.2em 0 .4em}h3{font-size:1rem}
a{color:var(--link)}p{margin:.4em 0}
.choose{columns:15rem;column-gap:1.5rem;list-style:none;padding:0;margin:.5em 0}
.choose li{break-inside:avoid;padding:.3rem 0}.choose .soft{white-space:nowrap}
.marks{display:grid;grid-template-columns:repeat(auto-fill,minmax(17rem,1fr));gap:.3rem 1.5rem;margin:.5em 0}
.marks div{display:flex;gap:.7rem;align-items:center;break-inside:avoid}
.marks dt{flex:0 0 3.6rem;text-align:center;font-size:1.15rem;line-height:1.2}.marks dd{margin:0;font-size:.9rem;line-height:1.35}
.marks dt .h,.marks dt .p{font-size:.8rem}.sample{width:1.6rem;height:1.6rem;vertical-align:middle}
.marks dt s,.marks dt .p,.marks dt .h{color:var(--soft)}
.keyboard{border-top:3px double var(--line);margin-top:1.5rem;padding-top:.2rem}
.keyboard h2{margin-top:.6em}.keyboard:target{scroll-margin-top:.5rem}
main:has(.keyboard:target) .keyboard:not(:target),main:has(.keyboard:target) .apart{display:none}
figure{margin:.8rem 0}figure svg{display:block;width:100%;height:auto}figure .part{display:none}
.defs{position:absolute;width:0;height:0}
text{fill:var(--ink)}.cap{fill:none;stroke:var(--line);stroke-width:1}
.hot{fill:var(--plate);stroke:var(--warn);stroke-width:3}.flag{fill:var(--warn)}
.p,.o,.h{fill:var(--soft);color:var(--soft)}.p{font-size:10px}.o{text-decoration:line-through 1px}.n{font-weight:bold}.s{font-style:italic}
table{border-collapse:collapse}th,td{border:1px solid var(--line);padding:.2rem .6rem;text-align:left;vertical-align:top}
th{white-space:nowrap}tr{break-inside:avoid}.rows{margin:.8em 0;columns:20rem;column-gap:1.5rem}
kbd{font-family:inherit;border:1px solid var(--ink);border-radius:.15rem .4rem .15rem .15rem;padding:0 .3rem;white-space:nowrap}
code{font-family:'DejaVu Sans Mono','Noto Sans Mono',monospace}
.soft{color:var(--soft)}.check{border-top:3px double var(--line);margin-top:2rem;padding-top:.8rem}
.caution{border:2px solid var(--ink);padding:.6rem}
li.breaking{list-style:square}li.breaking strong{color:var(--warn)}.check ul{padding-left:1.2rem}
summary{cursor:pointer}.scroll{overflow-x:auto}.scroll svg{min-width:60rem}
@media screen and (max-width:60rem){figure .whole{display:none}figure{display:flex;flex-wrap:wrap;gap:.6rem 1%;align-items:flex-start}
figure .part{display:block}figure .left{width:44%}figure .right{width:53%}figure .pad{width:44%}}
@media screen and (max-width:44rem){body{padding:.8rem}figure .left{width:83%}figure .right{width:100%}figure .pad{width:83%}
.choose{columns:1}.choose li{padding:.45rem 0}}
@page{size:A4 landscape;margin:12mm}
@media print{body{max-width:none;padding:0;font-size:10pt;background:none}.back,.check{display:none}
h1{font-size:15pt}h2{font-size:12pt}
h2,h3,thead{break-after:avoid}figure,.legend{break-inside:avoid}.keyboard{break-before:page;border:0;margin:0}
.keyboard:target,.keyboard:only-of-type{break-before:auto}
.rows{columns:20rem}.rows table{font-size:8.5pt}.rows td:first-child{white-space:nowrap}p,ul{margin:.2em 0}.marks{grid-template-columns:repeat(4,1fr);gap:.2rem 1rem}.marks dd{font-size:8pt}}
"""
MOST_DRAWN = 4
"""The most new layouts that are drawn for reviewers; if there are more, the page says how to draw them."""


def page_report(comparison: Comparison) -> str:
    """The comparison as an HTML document that needs no other file."""
    signs = Signs()
    drawn = comparison.of_status(Status.ADDED)[:MOST_DRAWN]
    owner = tuple(owner_page(comparison, signs))
    check = element("details", *_for_reviewers(comparison, drawn, _Names(signs)), class_="check")
    # Only now is it known which signs occur.
    body = "\n".join(["<main>", *filter(None, (signs.definitions(), *owner)), check, "</main>"])
    return document(heading(comparison), PAGE_STYLE + SIGN_STYLE + (DRAWING_STYLE if drawn else ""), body)


@dataclass(frozen=True, slots=True)
class _Names:
    """How names and legends stand in the part for reviewers: as code, their signs drawn."""

    signs: Signs

    def code(self, text: str) -> str:
        """A name as code."""
        return element("code", self.signs.inline(text if text != " " else "space"))

    def words(self, words: Words) -> str:
        """Words with their names as code."""
        return rendered(words, self.code, markup)


def _for_reviewers(comparison: Comparison, drawn: Iterable[LayoutComparison], names: _Names) -> Iterator[str]:
    yield element("summary", "For reviewers of this change")
    yield element("p", element("strong", names.signs.inline(headline(comparison))))
    yield element(
        "p",
        f"{names.code(comparison.old)} to {names.code(comparison.new)}; ",
        markup(counts(comparison)),
        class_="soft",
    )
    if needs_caution(comparison):
        yield element("p", element("strong", "Caution. "), markup(CAUTION), class_="caution")
    calm = [element("li", names.words(words)) for words in (*taken_lines(comparison), *calm_lines(comparison))]
    if calm:
        yield element("ul", *calm)
    for audience in Audience:
        yield from _for(comparison, audience, names)
    line = findings_line(comparison)
    if line:
        yield element("p", markup(line), class_="soft")
    yield from _clashes(comparison, names)
    for layout in whole_layouts(comparison):
        yield from _layout(layout, layout in drawn, names)
    for file in comparison.loose:
        yield element("p", names.code(file.name), markup(f": {file.change}, but no layout uses it"))
        yield from _faults(file.findings, names)


def _for(comparison: Comparison, audience: Audience, names: _Names) -> Iterator[str]:
    """What one audience must know; the changes of the same layouts are listed together."""
    blocks: dict[str, list[str]] = {}
    for news in comparison.news:
        if news.item.audience is audience:
            words = names.words(news.item.words) + others_words(news)
            blocks.setdefault(names.words(where_words(comparison, news)), []).append(_line(news.breaking, words))
    if audience is Audience.FIRMWARE:
        lines = [_line(line.breaking, names.words(line.words)) for line in firmware_lines(comparison)]
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


def _title(layout: LayoutComparison, names: _Names) -> str:
    was = new_name(layout)
    return names.code(layout.name) + (f" (was {names.code(was)})" if was else "")


def _layout(layout: LayoutComparison, drawn: bool, names: _Names) -> Iterator[str]:
    """A layout that was added or removed, or cannot be read; an added one is drawn."""
    yield element("h3", _title(layout, names), markup(f": {layout_headline(layout)}"))
    if layout.status is Status.BROKEN:
        yield from _faults(layout.new_faults or layout.old_faults, names)
    if layout.status is not Status.ADDED or layout.new is None:
        return
    if not drawn:
        yield element("p", "Its picture: ", names.code(f"matrixmap draw {layout.name}"), class_="soft")
        return
    # The page contains the style of the drawings once, and its policy allows no other style.
    parts = ("host", "machine")
    picture = draw(layout.new, parts).replace(element("style", DRAWING_STYLE), "")
    missing = (element("p", markup(reason), class_="soft") for reason in left_out(layout.new, parts))
    yield element("figure", picture, *missing, class_="scroll")


def _faults(findings: Iterable[Finding], names: _Names) -> Iterator[str]:
    lines = [
        element("li", names.code(str(finding.place)), names.signs.inline(f": {finding.slug}: {finding.text}"))
        for finding in findings
    ]
    if lines:
        yield element("ul", *lines)


def _clashes(comparison: Comparison, names: _Names) -> Iterator[str]:
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
                names.words,
                (layouts_words(news.layouts), news.clash.subject, news.clash.base, news.clash.ours, news.clash.theirs),
            )
        )
        for news in clash_news(comparison.clashes)
    ]
    rows = [element("tr", *(element("td", cell) for cell in row)) for row in cells]
    head = element("tr", *(element("th", markup(name), scope="col") for name in heads))
    yield element("table", element("thead", head), element("tbody", *rows))
