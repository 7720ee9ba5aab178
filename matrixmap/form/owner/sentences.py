"""Sentences for the owner: what pictures of single keys do not show."""

from __future__ import annotations

from collections.abc import Iterator

from matrixmap.circuit.timing import TICK_US
from matrixmap.compare.items.item import Audience, Item, Part, Section
from matrixmap.compare.items.keyboard_items import FORM
from matrixmap.compare.layouts import LayoutComparison
from matrixmap.compare.sides.words import Words, join_words, listed, plain, say
from matrixmap.emit.pictures.faces import form_of
from matrixmap.form.owner.rows import key_text
from matrixmap.hid.usages import Usage
from matrixmap.model.layout import Join
from matrixmap.model.plan import Plan

TOLD = (Section.DEAD_KEYS, Section.LOCKS, Section.TOGETHER, Section.KEYS)
"""What a typist notices apart from single keys; a file's accents show in what the keys type."""

MOST = 60
"""The most characters and functions that a sentence names; if there are more, only their number is given."""

_PLAINER = (
    ("no press closes ", "no key presses "),
    ("now can be pressed: ", "keys of the machine that can be pressed now: "),
    ("a crosspoint without a key", "a key that it does not have"),
    ("the dead key ", "the accent "),
    ("it would make a phantom", "the machine would read one more key"),
    ("a contact of it is closed already", "one of its keys is down already"),
    ("worked the latch ", "set and freed "),
    ("works the latch ", "sets and frees "),
)
"""Words of reviewers, and the owner's words for them."""


def keyboard_title(plan: Plan) -> str:
    """What an owner calls a keyboard: language and country, and how its keys are meant if not by their print."""
    layout = plan.layout
    if layout.title != f"{layout.machine.title}, {layout.host.title}, {layout.join.value}":
        return layout.title
    return f"{layout.host.title}{', by the place of the keys' if layout.join is Join.POSITIONAL else ''}"


def sentences(layout: LayoutComparison) -> Iterator[Words]:
    """The sentences about a changed keyboard apart from the changes of its keys, without final stops."""
    if layout.code is not None and layout.code.fault is not None:
        yield ("this keyboard cannot be used with the new files; their maker must correct them",)
    if layout.lost:
        yield say("can no longer be typed: {}", listed(layout.lost, MOST))
    if layout.gained:
        yield say("can be typed now, and could not before: {}", listed(layout.gained, MOST))
    yield from _other_keyboard(layout)
    caps = []
    for item in layout.items:
        if FORM in item.facts and item.proof is not None:
            yield say(
                "keyboards of this shape lack the key {}, which {}", _key(layout, item.proof.key), item.proof.before
            )
        elif item.part is Part.HOST and item.section is Section.LOCKS:
            caps += [Usage(number) for fact in item.facts if isinstance(number := fact[1], int)]
        elif _is_told(item) and not (item.section is Section.KEYS and _keys_follow(layout, item)):
            yield plainer(item.words)
    if caps:
        keys = dict.fromkeys(_key(layout, usage) for usage in sorted(caps))
        yield say("Caps Lock does something else on {}", join_words(keys))
    slower = slowdown_ms(layout)
    if slower:
        yield (f"each key takes {abs(slower):g} ms {'longer' if slower > 0 else 'less'}, which only fast typing shows",)


def _is_told(item: Item) -> bool:
    if item.audience is not Audience.TYPIST or item.part is not Part.LAYOUT or item.section not in TOLD:
        return False
    return not (isinstance(item.same, tuple) and item.same[0] in ("press", "pairs"))


def _keys_follow(layout: LayoutComparison, item: Item) -> bool:
    """Whether added or removed keys of the machine are no news: their texts were too, or others do the same."""
    return bool(layout.lost if item.breaking else layout.gained) or plain(item.words).endswith("other keys do the same")


def _other_keyboard(layout: LayoutComparison) -> Iterator[Words]:
    if layout.old is None or layout.new is None:
        return
    hosts = layout.old.layout.host, layout.new.layout.host
    if hosts[0].id != hosts[1].id:
        yield say("this is now made for another keyboard: {}, before {}", hosts[1].title, hosts[0].title)
    elif hosts[0].form != hosts[1].form:
        forms = [board.title if (board := form_of(host)) else host.form for host in hosts]
        yield say("the keyboard now counts as one with another shape: {}, before {}", forms[1], forms[0])


def _key(layout: LayoutComparison, usage: Usage) -> str:
    plan = layout.new or layout.old
    assert plan is not None
    return key_text(plan.layout.host, usage, layout.old.layout.host if layout.old else None)


def plainer(words: Words) -> Words:
    """A reviewer's words in an owner's words; quoted names stay as they are."""
    return tuple(_plainer(piece) if isinstance(piece, str) else piece for piece in words)


def _plainer(text: str) -> str:
    for old, new in _PLAINER:
        text = text.replace(old, new)
    return text


def slowdown_ms(layout: LayoutComparison) -> float:
    """How much longer a key takes now, in milliseconds; 0 if one side lacks the layout."""
    if layout.old is None or layout.new is None:
        return 0.0
    ticks = layout.new.timing.close_ticks - layout.old.timing.close_ticks
    return round(ticks * TICK_US / 1000, 1)
