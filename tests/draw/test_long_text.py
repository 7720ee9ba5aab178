"""Text that is too long for its place costs no more than a look at each of its characters."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from matrixmap.emit.pictures import svg

LINEAR = 6.0
"""Growth of work over four times the size that is linear, with a margin; quadratic work grows 16 times."""


@pytest.mark.parametrize(
    "drawn",
    [
        lambda text: svg.text_line(text, 0, 0, 100, 12),
        lambda text: svg.shorten(text, 12, 5 * len(text)),
        lambda text: svg.wrap(text, 12, 100, 3),
    ],
    ids=["line", "shortened", "wrapped"],
)
@pytest.mark.parametrize("text", ["W", "w ", "aB"])
def test_characters_are_looked_at_a_few_times(
    drawn: Callable[[str], object], text: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A text of four times the length is measured by about four times as many looks at a character."""
    width_of, looks = svg._char_width, []
    monkeypatch.setattr(svg, "_char_width", lambda char: looks.append(char) or width_of(char))
    counts = []
    for length in (500, 2_000):
        looks.clear()
        drawn(text * length)
        counts.append(len(looks))
    # A single word is wrapped unmeasured.
    assert counts[1] <= LINEAR * counts[0]


@pytest.mark.parametrize(
    "text", ["Quillon 8, German, by print", "Wwww wwwwwww", "漢字かな交じり文の題", "a\u0301bc\u0301 defg h"]
)
def test_a_text_keeps_as_much_as_fits(text: str) -> None:
    """Of a text that is cut one character more would not fit, whatever the width; at least one stays."""
    for width in range(1, 120):
        cut = svg.shorten(text, 12, width)
        room = width / svg.NARROWEST
        if cut == text:
            assert svg.text_width(text, 12) <= room
            continue
        # A blank before the ellipsis may have been taken off.
        fitting = [count for count in range(1, len(text)) if text[:count].rstrip() + "…" == cut]
        assert any(as_much_as_fits(text, kept, room) for kept in fitting), (text, width, cut)


def as_much_as_fits(text: str, kept: int, room: float) -> bool:
    """Whether so many characters and an ellipsis fit, or there is one only, and one more does not."""
    fits = kept == 1 or svg.text_width(text[:kept] + "…", 12) <= room
    return fits and svg.text_width(text[: kept + 1] + "…", 12) > room
