"""Are these the labels of lines or the legends of keys? In a table, both look alike."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterable, Iterator, Sequence

_NUMBERED = re.compile(r"(?P<prefix>[^\d]*?)\s*(?P<number>\d+)")
_HEX = re.compile(r"(?:0x|\$|&)?[0-9A-Fa-f]{2,4}[hH]?")
_DIGIT = re.compile(r"(?:^|(?<=[\s/]))['\"]?(\d)['\"]?(?=$|[\s/])|^(\d)[^\w\s]$|^[^\w\s](\d)$")


def is_series(labels: Sequence[str]) -> bool:
    """Whether labels are one prefix, or none, with consecutive numbers up or down: D0 D1 D2, 7 6 5."""
    numbers = _numbers(labels)
    if numbers is None:
        return False
    steps = {second - first for first, second in itertools.pairwise(numbers)}
    return steps <= {1} or steps <= {-1}


def looks_like_lines(labels: Sequence[str]) -> bool:
    """Whether labels can only name lines: numbers with a prefix that no key has, or hexadecimal masks."""
    if labels and all(label.endswith(":") and len(label) > 1 for label in labels):
        return True
    found = _NUMBERED.fullmatch(labels[0]) if labels else None
    if found and _numbers(labels) is not None:
        # Function keys are numbered, too.
        return found["prefix"] != "" and found["prefix"].upper() not in {"F", "U", "PF", "B", "K"}
    masks = [label for label in labels if _HEX.fullmatch(label) and not label.isdigit()]
    return len(labels) > 1 and len(masks) == len(labels) == len(set(labels)) and len(set(map(len, labels))) == 1


def spelled_digits(texts: Iterable[str]) -> Iterator[str]:
    """The digits that are legends in these cells: `1`, `1 !`, `!1`, `1/!`."""
    for text in texts:
        for found in _DIGIT.findall(text.strip()):
            yield next(digit for digit in found if digit)


def _numbers(labels: Sequence[str]) -> list[int] | None:
    """The numbers of labels with one prefix; None for other labels."""
    found = [_NUMBERED.fullmatch(label.rstrip(":.")) for label in labels]
    whole = [match for match in found if match]
    if len(whole) < len(labels) or len({match["prefix"] for match in whole}) != 1:
        return None
    return [int(match["number"]) for match in whole]
