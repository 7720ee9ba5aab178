"""The sheet for the desk in HTML: the drawn keyboard, and how to type special characters, on one printed page.

It uses the language of its reader if there is a file for it: `emit/texts/`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from math import ceil

from matrixmap.emit.pictures.drawing import STYLE as DRAWING_STYLE
from matrixmap.emit.pictures.drawing import draw_host
from matrixmap.emit.pictures.faces import Faces, Kind, form_of
from matrixmap.emit.pictures.html import document
from matrixmap.emit.pictures.keys import Letters
from matrixmap.emit.pictures.svg import FONTS, element, glyph, markup, number
from matrixmap.emit.pictures.words import Tongue, tongue_of
from matrixmap.emit.pictures.written import SIGN_STYLE, inline
from matrixmap.emit.texts.language import FALLBACK, Texts, texts_of
from matrixmap.hid.usages import NUM_LOCK
from matrixmap.model.host import Host
from matrixmap.model.legend import other_case
from matrixmap.model.plan import Plan
from matrixmap.model.press import KeyPress
from matrixmap.model.press import Way as Presses
from matrixmap.model.words import printed_name, shown, usage_name
from matrixmap.press.table.format import Kind as Answer
from matrixmap.press.words import held_words, key_words, lock_word

PAPERS = {"A4": "A4", "Letter": "letter"}
LARGEST_PT = 11.0
SMALLEST_PT = 5.0
COLUMNS = 3
THEN, ON, UNPRINTED, RARE = ", then", "on,", "(not printed)", "(a key that few keyboards have)"
"""Marks among the keys of a way that are not keys."""

# The height of a page's column at one point of font size, in lines; measured, with a reserve.
LINES_AT_ONE_POINT = 285.0

LETTERS = Letters(least=13.6, print=13.6)
"""For the drawn keyboard: at the width of a page its smallest letter has 5 points."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """How to type one character or function: its text, and up to two ways, each the keys to hold and press.

    THEN is between a dead key and the press after it, ON after a lock that must be on. At the end of a way, UNPRINTED
    means that its legend is not printed on the key, RARE that few keyboards have the key.
    """

    text: str
    presses: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Content:
    """The contents of the sheet.

    `usual` are the letters and digits that are typed as printed; `lacking` what the machine has but no key reaches;
    `foreign` what is printed on the host's keys but missing on the machine.
    """

    characters: tuple[Way, ...]
    functions: tuple[Way, ...]
    usual: tuple[str, ...]
    modifiers: tuple[tuple[str, str], ...]
    commands: tuple[Way, ...]
    lacking: tuple[str, ...]
    foreign: tuple[str, ...]


def sheet_content(plan: Plan, language: str = FALLBACK) -> Content:
    """The contents of a plan's sheet in a language with a file.

    TableError if no table can hold the plan: the table says what a press does.
    """
    return _content(Faces(plan), texts_of("sheet", language))


def _content(faces: Faces, texts_: Texts) -> Content:
    plan = faces.plan
    machine, host = plan.layout.machine, plan.layout.host
    ways = faces.to_type
    texts = sorted({legend.text for key in machine.keys for legend in key.types.values()})
    usual = [text for text in texts if _is_usual(host, text, ways.get(text, ()))]
    special = [text for text in texts if text in ways and text not in usual]
    printed = {
        legend.text
        for key in host.keys.values()
        for level in range(1, host.levels + 1)
        if key.is_printed(level) and (legend := key.at(level)) and legend.is_character and not legend.dead
    }
    commands = {
        number: _way(plan, texts_.say("command", number=number), tuple((press,) for press in presses))
        for number, presses in faces.ways.of_kind(Answer.COMMAND).items()
    }
    return Content(
        characters=tuple(_way(plan, text, ways[text]) for text in special if len(text) == 1),
        functions=tuple(_way(plan, text, ways[text]) for text in special if len(text) > 1),
        usual=tuple(usual),
        modifiers=tuple(_modifiers(faces, texts_)),
        commands=tuple(commands[number] for number in sorted(commands)),
        lacking=tuple(text for text in texts if text not in ways),
        foreign=tuple(sorted(text for text in printed if text not in ways and other_case(text) not in ways)),
    )


def _is_usual(host: Host, text: str, ways: tuple[Presses, ...]) -> bool:
    """Whether a letter or digit is typed by the key with its print, at the level where it is printed."""
    if not ways or len(ways[0]) > 1 or not (text.isascii() and text.isalnum() and len(text) == 1):
        return False
    press = ways[0][0]
    key = host.keys.get(press.usage)
    if key is None or press.extras or press.on or not (press.usual and key.is_printed(press.level)):
        return False
    legend = key.at(press.level)
    return legend is not None and legend.text == text


def _way(plan: Plan, text: str, ways: tuple[Presses, ...]) -> Way:
    """The easiest way, and the easiest single press of another usual key with the print, not on the keypad."""
    others = (way for way in ways[1:] if way[-1].usage != ways[0][-1].usage and len(way) == 1 and not way[0].on)
    plain = (way for way in others if way[0].printed and way[0].usual)
    second = next((way for way in plain if not usage_name(way[0].usage).startswith("Numpad")), None)
    chosen = [ways[0], *([second] if second else [])]
    return Way(text=text, presses=tuple(way_keys(plan, way) for way in chosen))


def way_keys(plan: Plan, way: Presses) -> tuple[str, ...]:
    """The keys of a way, with THEN between a dead key and the press after it, and any remark at its end."""
    *dead, press = way
    remark = RARE if not press.usual else "" if all(one.printed for one in way) else UNPRINTED
    before = (key for one in dead for key in (*press_keys(plan, one), THEN))
    return (*before, *press_keys(plan, press), *([remark] if remark else []))


def press_keys(plan: Plan, press: KeyPress) -> tuple[str, ...]:
    """The keys to hold and the one to press, by their print: `("Shift", "2")`; locks that must be on come first."""
    host = plan.layout.host
    on = [key for usage in press.on if usage != NUM_LOCK for key in (lock_word(host, usage), ON)]
    return (*on, *held_words(host, press), key_words(host, press))


def _modifiers(faces: Faces, texts_: Texts) -> Iterator[tuple[str, str]]:
    """Each host key that is not a plain key, and what it does."""
    host = faces.plan.layout.host
    board = form_of(host)
    if board is None:
        return
    for face in faces.host(board):
        name, what = printed_name(host, face.usage), face.whole or ""
        if face.kind is Kind.MODIFIER and what == "AltGr":
            yield name, texts_.say("altgr")
        elif face.kind is Kind.MODIFIER:
            yield name, texts_.say("modifier", modifier=what)
        elif face.kind is Kind.LATCH:
            yield name, texts_.say("latch", modifier=what)
        elif face.kind is Kind.LOCK:
            yield name, texts_.say("caps" if what == "Caps Lock" else "num")


def sheet_html(plan: Plan, paper: str, size: float | None = None, language: str = FALLBACK) -> str:
    """The sheet as an HTML document for paper `A4` or `Letter`, in a language with a file.

    Letters are as large as possible for one page by our estimate, or have the given size in points.
    """
    tongue = tongue_of(language)
    texts_ = tongue.sheet
    say = texts_.say
    faces = Faces(plan)
    content = _content(faces, texts_)
    layout, machine = plan.layout, plan.layout.machine.title
    size = size if size is not None else reckoned_size(content)
    title = say("title", machine=machine, host=layout.host.title)
    sections = [
        _section(say("characters"), _list(tongue, content.characters)),
        _section(say("functions"), _list(tongue, content.functions, "wide")),
        _section(say("commands"), _list(tongue, content.commands)),
        _section(say("hold"), _pairs(tongue, content.modifiers)),
        _section(say("as-printed"), _run(tongue, content.usual), say("as-printed-lead")),
        _section(say("lacking"), _run(tongue, content.lacking), say("lacking-lead", machine=machine)),
        _section(say("foreign"), _run(tongue, content.foreign), say("foreign-lead")),
    ]
    lead = f"{layout.title} ({plan.id}). {say('lead')} {_repeat(plan, texts_)}".rstrip()
    body = (
        f"<main><h1>{markup(title)}</h1>\n<p>{markup(lead)}</p>\n{_keyboard(faces, tongue)}"
        f'<div class="columns">\n{"".join(sections)}</div></main>'
    )
    style = STYLE.replace("SIZE", f"{size:g}pt").replace("PAPER", PAPERS[paper])
    return document(title, style, body, inner=DRAWING_STYLE, language=language, direction=texts_.direction)


def _repeat(plan: Plan, texts_: Texts) -> str:
    """When a key of the machine repeats; empty if its file does not say."""
    scan = plan.layout.machine.scan
    if scan.repeat_delay_ms is None or scan.repeat_every_ms is None:
        return ""
    return texts_.say("repeat", delay=scan.repeat_delay_ms, every=scan.repeat_every_ms)


def _keyboard(faces: Faces, tongue: Tongue) -> str:
    """The host's keyboard with what each key types, and how to read it; empty if the form cannot be drawn."""
    texts_ = tongue.sheet
    part = draw_host(faces, LETTERS, tongue)
    board = form_of(faces.plan.layout.host)
    if part is None or board is None:
        return ""
    drawn = faces.host(board)
    columns = [tongue.key(column.title) for column in faces.columns[1:]]
    notes = [
        texts_.say("reading", upper=tongue.key(faces.columns[0].upper)),
        texts_.say("further", columns=", ".join(columns)) if columns else "",
        texts_.say("hatched"),
        texts_.say("dots") if any(face.waits for face in drawn) else "",
        texts_.say("underlined") if any(face.unprinted for face in drawn) else "",
    ]
    # The style is inside the picture: not every HTML printer looks for it outside.
    svg = element(
        "svg", element("style", DRAWING_STYLE), part.markup, viewBox=f"0 0 {number(part.width)} {number(part.height)}", class_="matrixmap keyboard", font_family=FONTS
    )  # fmt: skip
    heading = f"<h2>{markup(texts_.say('keyboard'))}</h2>"
    return f'<section>{heading}{svg}<p class="note">{markup(" ".join(filter(None, notes)))}</p></section>\n'


STYLE = f"""
@page{{size:PAPER portrait;margin:12mm}}
html{{font-family:{FONTS.replace("'", '"')};font-size:SIZE;line-height:1.35;color:#17283a;background:#fff}}
h1{{font-size:1.7em;margin:0 0 .2em}}
p{{margin:0 0 .5em}}
.columns{{columns:{COLUMNS};column-gap:1.6em}}
h2{{font-size:1.1em;margin:0 0 .3em;padding-top:.2em;border-top:.18em double #17283a;break-after:avoid}}
section{{margin:0 0 .8em}}
dl{{margin:0}}
dl div{{display:flex;gap:.6em;align-items:baseline;break-inside:avoid;border-bottom:.05em solid #b9b29c;padding:.08em 0}}
dt{{flex:0 0 auto;min-width:4em;max-width:60%;font-weight:bold;overflow-wrap:anywhere}}
dd{{margin:0;flex:1;overflow-wrap:anywhere}}
.wide dt{{flex-basis:6.6em}}
bdi{{direction:ltr;unicode-bidi:isolate}}
.keyboard{{display:block;width:100%;height:auto;direction:ltr}}
.note{{font-size:.85em}}
.press{{display:inline-block;white-space:nowrap}}
kbd{{display:inline-block;direction:ltr;unicode-bidi:isolate;overflow-wrap:normal;break-inside:avoid;font-family:inherit;white-space:nowrap;line-height:1.2;border:.07em solid #17283a;padding:0 .3em;border-top-right-radius:.45em}}
.run{{overflow-wrap:anywhere;word-spacing:.3em}}
{SIGN_STYLE}
@media screen{{html{{font-size:max(SIZE,9.5pt)}}body{{margin:1rem}}main{{max-width:72rem;margin:0 auto}}@media (max-width:50rem){{.columns{{columns:1}}}}}}
@media screen and (prefers-color-scheme:dark){{html{{color:#ede6d3;background:#0e1c26}}h2,kbd{{border-color:#c9c2ae}}}}
"""


def reckoned_size(content: Content) -> float:
    """The estimated font size in points at which the sheet fits on one page."""
    rows = len(content.characters) + len(content.functions) + len(content.commands) + len(content.modifiers)
    runs = (content.usual, content.lacking, content.foreign)
    lines = rows * 1.15 + sum(2 + ceil(sum(len(text) + 1 for text in run) / 22) for run in runs if run)
    lines += 2.2 * sum(
        1 for part in (content.characters, content.functions, content.commands, content.modifiers, *runs) if part
    )
    long = sum(1 for way in (*content.characters, *content.functions) if len("".join(map("".join, way.presses))) > 16)
    per_column = (lines + long) / COLUMNS + 2
    return max(SMALLEST_PT, min(LARGEST_PT, round(LINES_AT_ONE_POINT / per_column, 1)))


def sizes_to_try(content: Content) -> Iterator[float]:
    """Font sizes for a page maker that counts pages: the first is larger than estimated, so that no room is wasted."""
    return smaller_sizes(1.3 * reckoned_size(content))


def smaller_sizes(size: float) -> Iterator[float]:
    """A font size, then smaller ones in steps of half a point, down to the smallest readable one."""
    while size > SMALLEST_PT:
        yield size
        size = round(size - 0.5, 1)
    yield SMALLEST_PT


def _section(title: str, inner: str, lead: str = "") -> str:
    if not inner:
        return ""
    said = f"<p>{markup(lead)}</p>" if lead else ""
    return f"<section><h2>{markup(title)}</h2>{said}{inner}</section>\n"


def _list(tongue: Tongue, ways: Iterable[Way], class_: str = "short") -> str:
    rows = []
    between = f" {markup(tongue.keys.say('or'))} "
    for way in ways:
        presses = between.join(_way_html(tongue, press) for press in way.presses)
        rows.append(f"<div><dt>{_inline(tongue, way.text)}</dt><dd>{presses}</dd></div>\n")
    return f'<dl class="{class_}">{"".join(rows)}</dl>' if rows else ""


def _way_html(tongue: Tongue, way: tuple[str, ...]) -> str:
    """A way as key caps: lines break between presses, never inside one."""
    presses: list[list[str]] = [[]]
    after = []
    for index, word in enumerate(way):
        following = way[index + 1] if index + 1 < len(way) else ""
        if word == THEN:
            presses[-1].append(f", {markup(tongue.keys.say('then'))}")
            presses.append([])
        elif word in (UNPRINTED, RARE):
            after.append(markup(tongue.keys.say("unprinted" if word == UNPRINTED else "rare")))
        elif following == ON:
            presses[-1].append(markup(tongue.keys.say("on")).format(key=_cap(tongue, word)) + ",")
        elif word != ON:
            presses[-1].append(_cap(tongue, word))
    spans = [f'<span class="press">{" ".join(press).replace(" ,", ",")}</span>' for press in presses]
    return " ".join([*spans, *after])


def _cap(tongue: Tongue, name: str) -> str:
    return f"<kbd>{_inline(tongue, tongue.key(name))}</kbd>"


def _pairs(tongue: Tongue, pairs: Iterable[tuple[str, str]]) -> str:
    rows = [f"<div><dt>{_inline(tongue, tongue.key(name))}</dt><dd>{markup(said)}</dd></div>\n" for name, said in pairs]
    return f'<dl class="wide">{"".join(rows)}</dl>' if rows else ""


def _run(tongue: Tongue, texts: Iterable[str]) -> str:
    words = " ".join(_inline(tongue, text) for text in texts)
    return f'<p class="run">{words}</p>' if words else ""


def _inline(tongue: Tongue, text: str) -> str:
    """A legend in running text: a blank by its name, a sign as a picture, in its own direction."""
    said = tongue.keys.say("space") if text == " " else shown(text) if text.isspace() else glyph(text)
    return f"<bdi>{inline(said, tongue.signs)}</bdi>"
