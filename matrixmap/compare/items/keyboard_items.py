"""Keys that only one of the host's old and new form has: what they typed is lost or gained with them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from matrixmap.compare.items.item import Item, Part, Proof, Section
from matrixmap.compare.sides.outcomes import Outcomes, Press
from matrixmap.compare.sides.pair import Pair, did
from matrixmap.compare.sides.words import Words, join_words, say
from matrixmap.hid.usages import Usage
from matrixmap.model.press import Way
from matrixmap.model.words import usage_name

FORM = ("host", "form")


def keyboard_items(pair: Pair) -> Iterator[Item]:
    """An item for each key that gives the typist something and that one of the two forms lacks."""
    if pair.played is None or FORM not in pair.changed or "host" in pair.another:
        return
    before, after = pair.played
    usual = [_usual(side) for side in pair.played]
    for usage in sorted(usual[0] - usual[1]):
        given = _given(before, usage)
        if given:
            yield _gone(pair, usage, given)
    for usage in sorted(usual[1] - usual[0]):
        given = _given(after, usage)
        if given:
            words = say(
                "keyboards of form {} have the key {}, which types {}", _form(pair, 1), usage_name(usage), _texts(given)
            )
            gains = tuple(text for text in given if text in pair.new_ways and not _on_usual(pair.old_ways, text))
            yield _item(pair, False, words, gains=gains, short=say("a key {} more", usage_name(usage)))


def _gone(pair: Pair, usage: Usage, given: Mapping[str, Press]) -> Item:
    lost = [text for text in given if not _on_usual(pair.new_ways, text)]
    press = next((given[text] for text in lost), next(iter(given.values())))
    assert pair.played
    outcome = pair.played[0].of(press)
    name = usage_name(usage)
    words = say("keyboards of form {} lack the key {}, which typed {}", _form(pair, 1), name, _texts(given))
    if lost:
        words = (*words, *say("; {} can no longer be typed", join_words(lost)))
    proof = Proof(
        key=usage,
        held=pair.played[0].every.usages_of(press.held),
        before=did(outcome),
        after=("is not on the keyboard",),
    )
    short = say("the key {} is on no keyboard of its form", name)
    return _item(pair, True, words, short=short, proof=proof)


def _item(
    pair: Pair, breaking: bool, words: Words, short: Words, gains: tuple[str, ...] = (), proof: Proof | None = None
) -> Item:
    return Item(
        part=Part.HOST,
        section=Section.CHARACTERS,
        breaking=breaking,
        words=words,
        facts=frozenset({FORM}),
        place=pair.new.layout.host.place,
        short=short,
        gains=gains,
        proof=proof,
    )


def _usual(side: Outcomes) -> set[Usage]:
    """The usages of the keys on keyboards of the host's form."""
    return {usage for key in side.every.keys if key.usual for usage in (key.usage, *key.others)}


def _given(side: Outcomes, usage: Usage) -> dict[str, Press]:
    """What a key gives, with Shift and AltGr at most, each with the press for it."""
    found: dict[str, Press] = {}
    for held, _ in sorted(side.every.class_of.items(), key=lambda cell: (cell[0].bit_count(), cell[0])):
        press = Press(usage, held)
        outcome = side.of(press) if held.bit_count() < 3 else None
        if outcome:
            found.setdefault(outcome.text, press)
    return found


def _form(pair: Pair, side: int) -> str:
    return (pair.old, pair.new)[side].layout.host.form


def _texts(given: Mapping[str, Press]) -> Words:
    return join_words(given)


def _on_usual(ways: Mapping[str, tuple[Way, ...]], text: str) -> bool:
    """Whether some way types a text only with keys on keyboards of the form."""
    return any(all(press.usual for press in way) for way in ways.get(text, ()))
