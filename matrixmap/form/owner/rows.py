"""Which presses of a keyboard now give something else: by key, what is held for it, and what it gave and gives."""

from __future__ import annotations

from dataclasses import dataclass

from matrixmap.compare.items.presses import PressChange
from matrixmap.compare.layouts import LayoutComparison
from matrixmap.compare.sides.outcomes import Does, Outcome
from matrixmap.compare.sides.words import Words, join_words, say
from matrixmap.emit.pictures.faces import cap_at, form_of
from matrixmap.emit.pictures.svg import glyph
from matrixmap.hid.geometry import Block
from matrixmap.hid.usages import KEYPAD_DIGITS, NUM_LOCK, Usage
from matrixmap.model.host import Host
from matrixmap.model.press import KeyPress
from matrixmap.model.words import printed_name, printed_on, usage_name
from matrixmap.press.rules import Cause
from matrixmap.press.words import held_words, lock_word

NOTHING = "–"
"""Shown on a key that does nothing."""

ACCENT = "+"
"""Follows an accent, which is typed together with the next key."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Gift:
    """What a press gives the typist: `text` as drawn on a key, and `words` for the whole.

    `named` is set if the text is a name of something and not a character, `waits` if it is an accent.
    """

    text: str
    words: Words
    named: bool = False
    waits: bool = False
    nothing: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A press that gives something else than before.

    `usages` are the keys; any of them will do, and `key` is their print. `accent` is pressed first, if there is one.
    `on` is what must be on or off, `held` what to hold. `usual` says that keyboards of this shape have the key.
    """

    usages: tuple[Usage, ...]
    key: str
    before: Gift
    after: Gift
    accent: str = ""
    on: tuple[str, ...] = ()
    held: tuple[str, ...] = ()
    usual: bool = True

    @property
    def label(self) -> str:
        """What to do in addition to pressing the key, as drawn on the key."""
        accent = (f"{glyph(self.accent)}{ACCENT}",) if self.accent else ()
        return " ".join((*accent, *self.on, "+".join(self.held))).strip()


def rows_of(layout: LayoutComparison) -> tuple[Row, ...]:
    """The presses of a changed layout that give something else, in the order of the comparison.

    A press that gave nothing and still gives nothing, even for another reason, is left out.
    """
    if layout.new is None:
        return ()
    host, old = layout.new.layout.host, layout.old.layout.host if layout.old else None
    return tuple(_row(host, old, change) for change in layout.presses if change.before or change.after)


def _row(host: Host, old: Host | None, change: PressChange) -> Row:
    presses = [way[-1] for way in change.presses]
    press = presses[0]
    return Row(
        usages=tuple(dict.fromkeys(each.usage for each in presses)),
        key=key_text(host, press.usage, old),
        before=gift(change.before, change.as_before),
        after=gift(change.after, change.as_after),
        accent=change.accent or "",
        on=_on(host, press),
        held=held_words(host, press),
        usual=any(each.usual for each in presses),
    )


_ROWS = {
    "E": "in the row of digits",
    "D": "in the top row of letters",
    "C": "in the middle row of letters",
    "B": "in the bottom row of letters",
    "A": "beside the space bar",
}


_NAMED = {
    "Backspace",
    "Tab",
    "Enter",
    "CapsLock",
    "Space",
    "ContextMenu",
    "NonConvert",
    "Convert",
    "KanaMode",
    "Lang1",
    "Lang2",
    "NumLock",
}
"""Keys among the letters and on the keypad that are known by a name if the file gives no print for them."""


def print_text(host: Host, usage: Usage) -> str:
    """What is printed on a key; empty for a key of letters and signs without a print in the host's file."""
    printed, board = printed_on(host, usage), form_of(host)
    cap = cap_at(board, usage) if board else None
    unknown = printed == usage_name(usage) and printed not in _NAMED and usage not in host.prints
    return "" if unknown and cap is not None and cap.block in (Block.MAIN, Block.KEYPAD) else printed


def key_text(host: Host, usage: Usage, other: Host | None = None) -> str:
    """A key by its print, with its row if two keys print the same; by another host's print if this one has none.

    A key of letters and signs without a known print is counted in its row.
    """
    name, printed = printed_name(host, usage), print_text(host, usage)
    if printed and not name.endswith(f" ({usage_name(usage)})"):
        return name
    if not printed and other is not None:
        return key_text(other, usage)
    board = form_of(host)
    cap = cap_at(board, usage) if board else None
    if board is None or cap is None or cap.block is not Block.MAIN:
        return printed or name
    if printed:
        return f"{printed} ({_ROWS[cap.row]})"
    row = sorted(each.left for each in board.caps if each.block is cap.block and each.row == cap.row)
    return f"key {row.index(cap.left) + 1} {_ROWS[cap.row]}"


def _on(host: Host, press: KeyPress) -> tuple[str, ...]:
    off = press.usage in KEYPAD_DIGITS and press.level == 2
    locks = (f"{lock_word(host, usage)} on" for usage in press.on if usage != NUM_LOCK)
    return (*locks, *(("Num Lock off",) if off else ()))


_WORDS = {
    Does.TYPES: "{}",
    Does.TYPES_MORE: "{}",
    Does.PRESSES: "presses {}",
    Does.MODIFIER: "works as {}",
    Does.LATCH: "sets and frees {}",
    Does.LOCK: "works as {}, with its light",
    Does.COMMAND: "gives the adapter its command {}",
    Does.DEAD_KEY: "the accent {}, with the next key",
}

_REFUSED = {
    Cause.PHANTOM: "nothing: the machine would read one more key",
    Cause.ROLLOVER: "nothing: these are more keys than the machine can tell apart",
    Cause.CONTACT: "nothing: one of its keys is already down",
}


def gift(outcome: Outcome, as_without: str | None) -> Gift:
    """What a press gives; `as_without` names a held key that makes no difference."""
    if not outcome:
        words = _REFUSED.get(outcome.cause, "nothing") if outcome.cause else "nothing"
        return Gift(text=NOTHING, words=(words,), nothing=True)
    said = say(_WORDS[outcome.does], outcome.text)
    if outcome.also:
        said = (*said, *say(", with which the machine also reads {}", join_words(outcome.also)))
    if outcome.waiting and outcome.does is not Does.DEAD_KEY:
        said = (*said, *say(", after which the accent {} waits", outcome.waiting))
    if as_without:
        said = (*said, *say(" (as without {})", (as_without,)))
    return Gift(
        text=glyph(outcome.text),
        words=said,
        named=outcome.does not in (Does.TYPES, Does.TYPES_MORE, Does.DEAD_KEY),
        waits=outcome.does is Does.DEAD_KEY,
    )
