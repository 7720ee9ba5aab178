"""The physical forms agree with published widths, offsets and numbers of keys."""

from __future__ import annotations

from itertools import combinations, pairwise

import pytest

from matrixmap.emit.pictures.faces import cap_at
from matrixmap.hid.geometry import FORM_NAMES, KEY_TOP_MM, PITCH_MM, Block, Cap, form
from matrixmap.hid.usages import by_code

# W3C, UI Events KeyboardEvent code Values, 2023, section 3.1: keys of the standard "101", "102" and the Korean,
# Brazilian and Japanese keyboards with the keys that have become usual since.
KEYS = {"ansi-104": (104, 61), "iso-105": (105, 62), "ks-106": (106, 63), "abnt-107": (107, 63), "jis-109": (109, 66)}

# First keys of the rows, in key pitches from the left edge. The PC Guide (C. Kozierok), page on key cap size, spacing
# and alignment: each row is 3/8, 3/16 and 3/8 inch to the right of the one above, of 3/4 inch a key.
FIRST = {"Digit1": 1.0, "KeyQ": 1.5, "KeyA": 1.75, "KeyZ": 2.25}

# Usual places of what ISO boards have besides (common practice; W3C UI Events code, drawing of the 102-key board).
ISO = {"IntlBackslash": (1.25, 4.5), "Backslash": (12.75, 3.5)}


def cap(name: str, code: str) -> Cap:
    """The key of a code on a form."""
    board = form(name)
    return next(cap for usage in by_code(code) if (cap := board.by_usage.get(usage)))


@pytest.mark.parametrize("name", FORM_NAMES)
def test_numbers_of_keys(name: str) -> None:
    """Each form has as many keys, and as many alphanumeric ones, as W3C counts; none twice."""
    caps = form(name).caps
    assert (len(caps), sum(cap.block is Block.MAIN for cap in caps)) == KEYS[name]
    assert len({cap.usage for cap in caps}) == len(caps)


@pytest.mark.parametrize("name", FORM_NAMES)
def test_rows_begin_where_published(name: str) -> None:
    """The offsets of the rows are 1/2, 1/4 and 1/2 key on every form."""
    assert {code: cap(name, code).left for code in FIRST} == FIRST


@pytest.mark.parametrize("name", FORM_NAMES)
def test_keys_do_not_overlap(name: str) -> None:
    """No two keys cover the same place, the lower part of an Enter key of two rows included, and all lie on the board."""
    board = form(name)
    boxes = [(cap, box) for cap in board.caps for box in parts(cap)]
    for (one, a), (other, b) in combinations(boxes, 2):
        apart = a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]
        assert apart or one is other, f"{one.usage:#x} and {other.usage:#x}"
    assert all(0 <= box[0] < box[2] <= board.width and 0 <= box[1] < box[3] <= board.height for _, box in boxes)


def parts(cap: Cap) -> list[tuple[float, float, float, float]]:
    """The rectangles that a key covers: left, top, right, bottom."""
    if cap.lower is None:
        return [(cap.left, cap.top, cap.left + cap.width, cap.top + cap.height)]
    left, width = cap.lower
    return [(cap.left, cap.top, cap.left + cap.width, cap.top + 1), (left, cap.top + 1, left + width, cap.top + 2)]


@pytest.mark.parametrize("name", FORM_NAMES)
def test_alphanumeric_rows_are_fifteen_keys_wide(name: str) -> None:
    """Every row of letters and digits is 15 key pitches wide without a gap, with Enter's lower part where it has two rows."""
    rows: dict[float, list[tuple[float, float]]] = {}
    for cap in form(name).caps:
        if cap.block is Block.MAIN:
            for left, top, right, bottom in parts(cap):
                assert bottom - top == 1
                rows.setdefault(top, []).append((left, right))
    assert len(rows) == 5
    for spans in rows.values():
        spans.sort()
        assert spans[0][0] == 0
        assert spans[-1][1] == 15
        assert all(one[1] == other[0] for one, other in pairwise(spans))


@pytest.mark.parametrize("name", ["iso-105", "abnt-107"])
def test_iso_has_its_two_keys_more(name: str) -> None:
    """The ISO keys beside left Shift and Enter sit where they usually do, and Enter has two rows."""
    assert {code: (cap(name, code).left, cap(name, code).top) for code in ISO} == ISO
    enter = cap(name, "Enter")
    assert (enter.width, enter.height, enter.lower) == (1.5, 2.0, (13.75, 1.25))


def test_ansi_enter_has_one_row() -> None:
    """ANSI has Backslash above a wide Enter key and no key between Shift and Z."""
    assert cap("ansi-104", "Enter").lower is None
    assert (cap("ansi-104", "Backslash").left, cap("ansi-104", "Backslash").width) == (13.5, 1.5)
    assert cap("ansi-104", "Enter").width == 2.25
    assert not set(by_code("IntlBackslash")) & set(form("ansi-104").by_usage)


def test_both_usages_of_backslash_are_one_key() -> None:
    """A plan may speak of 0x31 or 0x32: each finds the one key that a form has."""
    for name in FORM_NAMES:
        caps = {cap_at(form(name), usage) for usage in by_code("Backslash")}
        assert len(caps) == 1
        assert None not in caps


def test_pitch_and_key_top() -> None:
    """19.05 mm is 3/4 inch and lies in 19 +- 1 mm (ISO 9241-4:1998); a key top has about half an inch."""
    assert pytest.approx(0.75 * 25.4) == PITCH_MM
    assert abs(PITCH_MM - 19) <= 1
    assert abs(KEY_TOP_MM - 12.7) <= 0.25
