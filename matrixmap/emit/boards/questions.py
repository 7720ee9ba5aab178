"""The questions that find a fault, as a page to print: what to press, and where each answer leads."""

from __future__ import annotations

from collections.abc import Iterator

from matrixmap.emit.boards.kit_words import (
    answer_html,
    at_most,
    class_words,
    for_page,
    marked,
    measurement_words,
    question_words,
)
from matrixmap.emit.boards.meter_rows import meter_lead, meter_rows
from matrixmap.emit.pictures.html import document
from matrixmap.emit.pictures.svg import FONTS
from matrixmap.emit.pictures.written import SIGN_STYLE
from matrixmap.emit.texts.language import Texts
from matrixmap.kit.meter import MeterBench, meter_checks, to_measure
from matrixmap.kit.table import FaultTable
from matrixmap.kit.tree import Node, Tree
from matrixmap.kit.trials.faults import Fault

MOST_LINES = 8
"""The most lines of one class on the page; the rest is counted."""


def questions_html(table: FaultTable, tree: Tree, texts: Texts) -> str:
    """The tree as an HTML document for paper A4: a table of rows for each question, in the order of asking."""
    name = texts.say("tree-title", adapter=table.board.adapter.title)
    texts = for_page(texts)
    numbers: dict[int, int] = {}
    ordered = list(_nodes(tree.root))
    for number, node in enumerate(ordered, start=1):
        numbers[id(node)] = number
    worst = texts.say("tree-worst", worst=tree.worst, mean=f"{tree.mean:.1f}", bound=tree.at_least, least=tree.least)
    bench = MeterBench(table.board)
    hidden = meter_checks(table.board, to_measure(table), bench=bench)
    leads = _Leads(table, texts, numbers, bench)
    parts = [
        f"<main><h1>{marked(texts.say('tree-title', adapter=table.board.adapter.title))}</h1>",
        f"<p>{marked(texts.say('lead', machine=table.board.machine.title, layout=table.plan.id))}</p>",
        f"<p>{marked(texts.say('tree-lead'))} {marked(worst)}</p>",
        *(leads.question(node) for node in ordered),
        f'<section><h2 id="measure">{marked(texts.say("tree-meter"))}</h2>',
        f"<p>{marked(meter_lead(hidden, texts))} {marked(texts.say('hidden', count=len(table.hidden)))}</p>",
        f"{meter_rows(table.board, hidden, texts)}</section>",
        "</main>",
    ]
    body = "\n".join(parts)
    return document(name, STYLE, body, language=texts.language, direction=texts.direction)


def _nodes(root: Node) -> Iterator[Node]:
    """The questions, starting with the first, each before those that it leads to."""
    waiting = [root] if root.then else []
    while waiting:
        node = waiting.pop(0)
        yield node
        # The answers of a board without fault lead to the next question, so that the page reads from top to bottom.
        following = [each for each in node.then.values() if each.then]
        waiting = [
            *(each for each in following if 0 in each.classes),
            *waiting,
            *(each for each in following if 0 not in each.classes),
        ]


class _Leads:
    """Where the answers to each question lead: to the next question, or to what to inspect and measure."""

    def __init__(self, table: FaultTable, texts: Texts, numbers: dict[int, int], bench: MeterBench) -> None:
        self.table, self.texts, self.numbers, self.bench = table, texts, numbers, bench

    def question(self, node: Node) -> str:
        """A question with its answers."""
        texts, rows = self.texts, []
        for answer, then in node.then.items():
            shown = answer_html(texts, answer)
            rows.append(f"<tr><td><bdi>{shown}</bdi></td><td>{self._to(then)}</td></tr>")
        number = self.numbers[id(node)]
        asked = marked(question_words(texts, self.table, node.asks))
        head = f"{marked(texts.say('question', number=number))}: <kbd>{asked}</kbd>"
        return f'<section><h2 id="q{number}">{head}</h2><table>{"".join(rows)}</table></section>'

    def _to(self, node: Node) -> str:
        texts = self.texts
        if node.then:
            number = self.numbers[id(node)]
            return f'<a href="#q{number}">{marked(texts.say("go", number=number))}</a>'
        if node.classes == (0,):
            return f'<a href="#measure">{marked(texts.say("fine"))}</a>'
        faults = self.table.classes[node.classes[0]].faults
        lines = list(class_words(texts, self.table.board, faults))
        look = f"{marked(texts.say('look'))}: {marked('; '.join(at_most(texts, lines, MOST_LINES)))}"
        return look + (self._measure(faults) if len(faults) > 1 else "")

    def _measure(self, faults: tuple[Fault, ...]) -> str:
        """The measurements that separate faults that no key separates."""
        meter = meter_checks(self.table.board, faults, bench=self.bench)
        lines = [measurement_words(self.texts, self.table.board, each) for each in meter.measurements]
        items = "".join(f"<li>{marked(line)}</li>" for line in at_most(self.texts, lines, MOST_LINES))
        return f"<ul>{items}</ul>" if items else ""


STYLE = f"""
@page{{size:A4 portrait;margin:12mm}}
html{{font-family:{FONTS.replace("'", '"')};font-size:9pt;line-height:1.3;color:#17283a;background:#fff}}
main{{max-width:60rem;margin:0 auto}}
h1{{font-size:1.6em;margin:0 0 .2em}}
h2{{font-size:1em;margin:.7em 0 .2em;padding-top:.2em;border-top:.08em solid #17283a;break-after:avoid}}
p{{margin:0 0 .5em}}
tr{{break-inside:avoid}}
table{{border-collapse:collapse;width:100%}}
td{{vertical-align:top;padding:.1em .25em;border-bottom:.05em solid #b9b29c}}
td:first-child:not(.box){{width:8em;font-weight:bold;overflow-wrap:anywhere}}
bdi{{direction:ltr}}
kbd{{font-family:inherit;direction:ltr;unicode-bidi:isolate;border:.07em solid #17283a;padding:0 .3em;border-top-right-radius:.45em}}
a{{color:inherit}}
{SIGN_STYLE}
ul{{margin:.1em 0;padding:0 1.2em}}
th{{text-align:start;padding:.1em .25em;border-bottom:.1em solid #17283a}}
td.box{{width:1.4em;padding:.2em .2em .15em}}
td.box::before{{content:"";display:inline-block;width:.8em;height:.8em;border:.08em solid #17283a}}
@media screen{{body{{margin:1rem}}}}
"""
