"""The sheet of a kit, in HTML: the order of the parts, what to measure before power, and what to type and compare."""

from __future__ import annotations

from collections.abc import Iterator

from matrixmap.board.cautions import CAUTIONS
from matrixmap.board.nets import Board
from matrixmap.emit.boards.checklist import ORDER, step_of
from matrixmap.emit.boards.kit_words import (
    answer_html,
    fault_words,
    for_page,
    marked,
)
from matrixmap.emit.boards.lookup import lookup_section
from matrixmap.emit.boards.meter_rows import bullets, meter_lead, meter_rows, row, rows_table
from matrixmap.emit.pictures.html import document
from matrixmap.emit.pictures.svg import FONTS
from matrixmap.emit.pictures.written import SIGN_STYLE
from matrixmap.emit.texts.language import Texts
from matrixmap.kit.fewest import Fewest
from matrixmap.kit.meter import Meter
from matrixmap.kit.table import FaultTable
from matrixmap.kit.text import Text
from matrixmap.model.boards.adapter import Mates, PartUse, Passive
from matrixmap.model.machine import Gender


def kit_html(
    table: FaultTable, text: Text, meter: Meter, texts: Texts, paper: str, listed: Fewest | None = None
) -> str:
    """The sheet as an HTML document for a paper size of CSS, such as `A4`; if there is a list, with rows to look up."""
    board, name = table.board, texts.say("title", adapter=table.board.adapter.title)
    texts = for_page(texts)
    cautions = "".join(f"<li>{marked(texts.say(f'caution-{number}'))}</li>" for number in range(1, len(CAUTIONS) + 1))
    parts = [
        f"<main><h1>{marked(texts.say('title', adapter=board.adapter.title))}</h1>",
        f"<p>{marked(texts.say('lead', machine=board.machine.title, layout=table.plan.id))}</p>",
        f'<section class="caution"><h2>{marked(texts.say("caution"))}</h2><ul>{cautions}</ul></section>',
        _section(texts.say("assembly"), texts.say("assembly-lead"), _assembly(board, texts)),
        _section(texts.say("meter"), meter_lead(meter, texts), meter_rows(board, meter, texts)),
        _section(texts.say("type"), texts.say("type-lead"), _typing(table, text, texts)),
        lookup_section(table, listed, texts) if listed else "",
        "</main>",
    ]
    body = "\n".join(parts)
    return document(name, STYLE.replace("PAPER", paper), body, language=texts.language, direction=texts.direction)


def _section(title: str, lead: str, inner: str) -> str:
    return f"<section><h2>{marked(title)}</h2><p>{marked(lead)}</p>{inner}</section>"


def _assembly(board: Board, texts: Texts) -> str:
    rows = []
    for number in range(len(ORDER)):
        uses = [use for use in board.adapter.parts.values() if step_of(use.part) == number]
        if uses:
            rows.append(f'<tr><th colspan="5" class="step">{marked(texts.say(f"step-{number}"))}</th></tr>')
        rows += [
            row(
                f"<b>{marked(use.ref)}</b>",
                marked("; ".join([use.part.title, *_value(use, texts)])),
                marked(texts.say(_side(board, use))),
                marked("; ".join(_way_round(board, use, texts)) or texts.say("either")),
            )
            for use in uses
        ]
    return rows_table((texts.say("part"), texts.say("what"), texts.say("side"), texts.say("way")), rows)


def _value(use: PartUse, texts: Texts) -> Iterator[str]:
    if use.ohms is not None:
        yield texts.say("ohms", ohms=f"{use.ohms:g}")
    if use.mates is Mates.KEYS and use.part.header is not None:
        yield texts.say("for-keys")
    elif use.mates is Mates.OWN_KEYBOARD:
        yield texts.say("for-own")


def _side(board: Board, use: PartUse) -> str:
    """The side of the board: the machine's connector goes where the file says, everything else on top."""
    on_machine = use.part.header is not None and use.mates is Mates.KEYS
    return "underside" if on_machine and board.fit.other_side else "top"


def _way_round(board: Board, use: PartUse, texts: Texts) -> Iterator[str]:
    part = use.part
    if part.passive is Passive.DIODE:
        for _, cathode in part.elements:
            nets = (
                net.name
                for net in board.adapter.nets
                for pin in net.pins
                if (pin.ref, pin.number) == (use.ref, cathode)
            )
            yield texts.say("cathode", net=next(nets, "?"))
    elif part.passive is Passive.JUMPER:
        yield texts.say("jumper-closed" if use.closed else "jumper-open")
    elif part.header is not None:
        yield texts.say("header")
        if use.key_pin is not None:
            yield texts.say("fill" if part.header.gender is Gender.SOCKET else "take-out", pin=use.key_pin)
    elif len(part.pins) > 2 and part.passive is None:
        yield texts.say("square", name=next(iter(part.pins.values())))
    elif len(part.pins) > 2:
        yield texts.say("mark")
    elif part.passive is None:
        yield texts.say("square", name=next(iter(part.pins.values())))


def _typing(table: FaultTable, text: Text, texts: Texts) -> str:
    rows = [
        row(
            f"<kbd>{marked(table.presses[number].words)}</kbd>",
            f"<bdi>{answer_html(texts, table.healthy[number + 1])}</bdi>",
        )
        for number in text.presses
    ]
    faults = len(table.shown) - len(text.missed)
    key = "exact" if text.is_exact else "bound"
    said = texts.say(key, count=len(text.presses), faults=faults, bound=text.at_least)
    hidden = texts.say("hidden", count=len(table.hidden))
    return (
        f'<div class="typing">{rows_table((texts.say("press"), texts.say("appears")), rows)}</div>'
        f"<p>{marked(said)} {marked(texts.say('wrong'))} {marked(hidden)}</p>"
        + bullets(texts.say("missed"), (fault_words(texts, table.board, fault) for fault in text.missed))
    )


STYLE = f"""
@page{{size:PAPER portrait;margin:12mm}}
html{{font-family:{FONTS.replace("'", '"')};font-size:9pt;line-height:1.3;color:#17283a;background:#fff}}
main{{max-width:60rem;margin:0 auto}}
h1{{font-size:1.7em;margin:0 0 .2em}}
h2{{font-size:1.15em;margin:0 0 .3em;padding-top:.2em;border-top:.18em double #17283a;break-after:avoid}}
p{{margin:0 0 .5em}}
section{{margin:0 0 1em}}
ul{{margin:0 0 .5em;padding:0 1.4em}}
.caution{{border:.15em solid #17283a;padding:.3em .6em}}
.caution h2{{border:0}}
table{{border-collapse:collapse;width:100%;margin:0 0 .5em}}
tr{{break-inside:avoid}}
th{{text-align:start;padding:.1em .25em;border-bottom:.1em solid #17283a}}
th.step{{padding-top:.5em}}
td{{vertical-align:top;padding:.15em .25em;border-bottom:.05em solid #b9b29c}}
td.box{{width:1.4em;padding:.2em .2em .15em}}
td.box::before{{content:"";display:inline-block;width:.8em;height:.8em;border:.08em solid #17283a}}
.typing table{{width:auto}}
.typing td{{padding:.15em 1em;font-size:1.15em}}
.lookup{{font-size:.78em}}
.lookup td,.lookup th{{padding:.1em .2em;border-inline-end:.05em solid #b9b29c;overflow-wrap:anywhere}}
.lookup td:last-child,.lookup th:last-child{{border:0;border-bottom:.05em solid #b9b29c;width:36%;overflow-wrap:normal}}
.lookup .blank td{{height:2.2em;border-bottom:.15em solid #17283a}}
bdi{{direction:ltr}}
kbd{{font-family:inherit;direction:ltr;unicode-bidi:isolate;border:.07em solid #17283a;padding:0 .3em;border-top-right-radius:.45em}}
{SIGN_STYLE}
@media screen{{body{{margin:1rem}}}}
"""
