"""Writes SVG: elements, escaped text, numbers, and text that stays inside a given width.

The width of a text is not known before a font draws it. Widths here are those of DejaVu Sans 2.37, one of the
widest common fonts. A text that nearly fills its space also states its length (`textLength`, SVG 1.1,
section 10.5), so that no other font can make it longer.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable
from functools import cache

from matrixmap.model.words import shown

FONTS = "'DejaVu Sans', 'Noto Sans', 'Segoe UI', 'Segoe UI Symbol', 'Helvetica Neue', 'Apple Symbols', sans-serif"
"""Fonts by name only, none is embedded: the first one has every legend of the demo, including the faces of a die."""

# Advance widths of U+0020 to U+007E in DejaVu Sans 2.37, in thousandths of the font size.
_WIDTHS = """
318 401 460 838 636 950 780 275 390 390 500 838 318 361 318 337 636 636 636 636 636 636 636 636
636 636 337 337 838 838 838 531 1000 684 686 698 770 632 575 775 752 295 295 656 557 863 748 787
603 787 695 635 611 732 684 989 685 611 685 390 337 390 838 500 500 613 635 550 635 615 352 635
634 278 278 579 278 974 634 612 635 635 411 521 392 634 592 818 592 592 525 636 337 636 838
"""
# The same for other letters and signs, by the first of each row of them; a sign that the font lacks is as wide as high.
_WIDTHS_BEYOND = {
    0xA0: """
318 401 636 636 636 636 337 500 500 1000 471 612 838 361 1000 500 500 838 401 401 500 636 636 318 500 401 471 612
969 969 969 531 684 684 684 684 684 684 974 698 632 632 632 632 295 295 295 295 775 748 787 787 787 787 787 838 787
732 732 732 732 611 605 630 613 613 613 613 613 613 982 550 615 615 615 615 278 278 278 278 612 634 612 612 612 612
612 838 612 634 634 634 634 592 635 592
""",
    0x386: """
692 318 746 871 408 1000 812 1000 825 826 338 684 686 557 684 632 685 752 787 295 656 684 863 748 632 787 752 603
1000 632 611 611 787 685 787 764 295 611 659 541 634 338 579 659 638 592 612 541 544 634 612 338 589 592 636 559 558
612 602 635 587 634 602 579 660 578 660 837 338 579 612 579 837
""",
    0x400: """
632 632 786 610 698 635 295 295 295 1094 1045 786 710 748 609 752 684 686 686 610 781 632 1077 641 748 748 710 752
863 752 787 752 603 698 611 609 861 685 776 686 1069 1094 833 882 686 698 1080 695 613 617 589 525 691 615 901 532
650 650 604 639 754 654 612 654 635 550 583 592 855 592 681 591 915 942 707 790 589 549 842 602 615 615 625 525 549
521 278 278 278 902 898 652 604 650 592 654
""",
    0x490: """
610 525
""",
    0x5D0: """
668 578 412 546 653 272 346 653 648 224 537 529 568 664 679 272 400 649 626 640 625 540 593 709 564 708 657
""",
    0x2010: """
361 361 636 500 1000 1000 500 500 318 318 318 318 518 518 518 518 500 500 590 590 334 667 1000
""",
}
_ASCII = tuple(int(width) / 1000 for width in _WIDTHS.split())
_BEYOND = {
    first + number: int(width) / 1000
    for first, some in _WIDTHS_BEYOND.items()
    for number, width in enumerate(some.split())
}

BOLD = 1.13
"""How much wider bold letters are than plain ones: on average, at most about this much."""

NARROWEST = 0.72
"""A text is drawn condensed down to this share of its own width before it is shortened."""

BACKWARD, FORWARD = "\u202b", "\u202c"
"""Text between them is laid out from right to left (Unicode Standard Annex 9, section 2.1)."""

_ENTITIES = str.maketrans({"&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;", "'": "&#39;"})

Attribute = str | float | None


def number(value: float) -> str:
    """A number with at most two decimals, without trailing zeros."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def element(name: str, *children: str, **attributes: Attribute) -> str:
    """An element. Children are already markup; attribute names write a hyphen as an underscore.

    An attribute of None is left out. So is a trailing underscore, which keeps `class_` from being a keyword.
    """
    words = [name]
    for key, value in attributes.items():
        if value is not None:
            text = value if isinstance(value, str) else number(value)
            words.append(f'{key.rstrip("_").replace("_", "-")}="{markup(text)}"')
    start = " ".join(words)
    return f"<{start}>{''.join(children)}</{name}>" if children else f"<{start}/>"


def readable(text: str) -> str:
    """Text in which control and format characters, which XML forbids or a reader cannot see, are code points."""
    return text if text.isascii() and text.isprintable() else shown(text)


def markup(text: str) -> str:
    """Text as the content of an element or the value of an attribute in double quotes, in SVG and HTML."""
    return readable(text).translate(_ENTITIES)


def glyph(text: str) -> str:
    """A legend as drawn: a blank as an open box, a combining mark on a dotted circle (common practice)."""
    if len(text) != 1:
        return readable(text)
    if text == " ":
        return "\u2423"
    if unicodedata.category(text) in {"Mn", "Mc", "Me"}:
        return f"\u25cc{text}"
    return readable(text)


@cache
def _char_width(char: str) -> float:
    code = ord(char)
    if 0x20 <= code <= 0x7E:
        return _ASCII[code - 0x20]
    if code in _BEYOND and unicodedata.category(char) != "Mn":
        return _BEYOND[code]
    category = unicodedata.category(char)
    if category in {"Mn", "Me"}:
        return 0.0
    parts = unicodedata.normalize("NFKD", char)
    if len(parts) > 1:
        # A letter with its accent is as wide as the letter; a ligature of several letters is as wide as some of them.
        return max(
            0.6, 0.55 * sum(_char_width(part) for part in parts), _char_width(parts[0]) if parts[0] != char else 0
        )
    if unicodedata.east_asian_width(char) in "WF" or code >= 0x10000:
        return 1.3 if code >= 0x10000 else 1.05
    return 0.85 if category.startswith("L") else 1.0


def text_width(text: str, size: float, bold: bool = False) -> float:
    """The width of a text at a font size, in the same unit; rather too large than too small."""
    return sum(map(_char_width, text)) * size * (BOLD if bold else 1.0)


def shorten(text: str, size: float, width: float, bold: bool = False) -> str:
    """The text, or as much of its beginning as fits when condensed, with an ellipsis."""
    room, scale = width / NARROWEST, size * (BOLD if bold else 1.0)
    if text_width(text, size, bold) <= room:
        return text
    kept, own, dots = 0, 0.0, _char_width("…")
    for char in text:
        own += _char_width(char)
        if kept and (own + dots) * scale > room:
            break
        kept += 1
    return text[:kept].rstrip() + "…"


def text_line(
    text: str, x: float, y: float, width: float, size: float, *, least: float = 8.0, bold: bool = False,
    anchor: str = "start", class_: str | None = None, backward: bool = False,
) -> str:  # fmt: skip
    """A line of text on the baseline y that stays within a width: smaller first, then condensed, then shortened.

    With `backward` its language is written from right to left, and it begins at the right end of its width.
    """
    size = max(min(size, size * width / max(text_width(text, size, bold), 0.01)), min(least, size))
    # A single character is narrowed, not cut.
    text = shorten(text, size, width, bold) if len(text) > 1 else text
    own = text_width(text, size, bold)
    tight = own > (0.7 if len(text) > 1 else 1.0) * width
    content = apart(markup(text))
    if backward:
        # Direction marks and the end as anchor: not every PDF maker knows the attribute `direction`.
        content, x, anchor = f"{BACKWARD}{content}{FORWARD}", x + width, "end"
    return element(
        "text",
        content,
        x=x,
        y=y,
        font_size=size,
        class_=class_,
        font_weight="bold" if bold else None,
        text_anchor=anchor if anchor != "start" else None,
        textLength=min(own, width) if tight else None,
        lengthAdjust="spacingAndGlyphs" if tight else None,
    )


def apart(content: str) -> str:
    """A list with dots between its entries, each in its own direction: left-to-right marks beside dots and counts."""
    if content.isascii() or all(unicodedata.bidirectional(char) not in ("R", "AL") for char in content):
        return content
    return content.replace(" · ", "\u200e · \u200e").replace(" +", "\u200e +")


def wrap(text: str, size: float, width: float, most: int) -> list[str]:
    """The text in at most `most` lines, broken at blanks, after hyphens, before inner capitals; the last is not cut."""
    words = _pieces(text)
    lines: list[str] = []
    last: list[str] = []
    for word in words:
        if len(lines) == most:
            last.append(word)
        elif lines and text_width((lines[-1] + word).rstrip(), size) <= width:
            lines[-1] += word
        else:
            lines.append(word)
    if last:
        lines[-1] += "".join(last)
    return [line.strip() for line in lines]


def _pieces(text: str) -> Iterable[str]:
    piece = ""
    for index, char in enumerate(text):
        inner_capital = char.isupper() and index > 0 and text[index - 1].islower()
        if piece and (inner_capital or piece[-1] in " -"):
            yield piece
            piece = ""
        piece += char
    if piece:
        yield piece


def picture(
    name: str, title: str, description: str, size: tuple[float, float], *body: str, style: str, class_: str, unit: str = "",
    language: str = "en",
) -> str:  # fmt: skip
    """A whole document of a width and height, in pixels or another unit: its title, description, style and paper, then its body.

    Its ids begin with `name`; `language` is the tag of its language.
    """
    width, height = map(number, size)
    return element(
        "svg",
        element("title", markup(title), id=f"{name}-title"),
        element("desc", markup(description), id=f"{name}-description"),
        element("style", style),
        element("rect", width=width, height=height, class_="paper"),
        *body,
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {width} {height}",
        width=f"{width}{unit}",
        height=f"{height}{unit}",
        role="graphics-document document",
        aria_labelledby=f"{name}-title",
        aria_describedby=f"{name}-description",
        font_family=FONTS,
        class_=class_,
        lang=language,
    ) + "\n"  # fmt: skip
