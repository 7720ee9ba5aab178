"""Keys of a host: what is typed at a level, and whether it can be read on the key."""

from __future__ import annotations

import pytest

from matrixmap.hid.usages import Usage
from matrixmap.model.host import CapsLock, HostKey
from matrixmap.model.legend import Legend
from matrixmap.model.place import Place


def key(*legends: str | None, printed: set[int]) -> HostKey:
    """A key with these legends; those that begin with `dead` are dead keys."""
    typed = [None if text is None else Legend(text.removeprefix("dead "), text.startswith("dead ")) for text in legends]
    return HostKey(
        usage=Usage(0x1F),
        name="Digit2",
        legends=tuple(typed),
        caps=CapsLock.NONE,
        printed=frozenset(printed),
        place=Place(file="x", line=1, column=1),
    )


@pytest.mark.parametrize(
    ("typed", "printed"),
    [
        (key("2", '"', "²", "⅛", printed={1, 2, 3}), {1, 2, 3}),
        (key("²", "~", "¬", printed={1}), {1}),
        (key("Enter", printed={1}), {1, 2, 3, 4}),
        (key("2", '"', printed={1, 2}), {1, 2, 3, 4}),
        (key("2", '"', printed={1}), {1, 3}),
        (key("2", '"', "@", printed={1, 2, 3}), {1, 2, 3, 4}),
        (key("2", '"', "@", printed={1, 2}), {1, 2}),
        (key("'", "*", "´", "*", printed={1, 2}), {1, 2, 4}),
        (key("dead ~", "dead ^", "~", "^", printed={1, 2}), {1, 2}),
        (key("dead ´", "dead ¨", "dead ¨", "dead ˚", printed={1, 2}), {1, 2, 3}),
        (key("dead ^", "dead ^", "[", printed={2}), set()),
        (key("b", None, None, "x", printed={1, 4}), {1, 4}),
    ],
    ids=lambda value: "".join(map(str, sorted(value))) if isinstance(value, set) else None,
)
def test_a_level_that_repeats_a_lower_one_is_printed_as_that(typed: HostKey, printed: set[int]) -> None:
    """With few legends a modifier changes nothing, and so a level is printed as the one whose legend it types.

    A dead key is not its accent typed at once, and where nothing is typed nothing is printed.
    """
    assert {level for level in (1, 2, 3, 4) if typed.is_printed(level)} == printed
