"""The texts in other languages: whole, with the same places to fill, and found by the tags of a reader."""

from __future__ import annotations

import re
from collections.abc import Mapping
from importlib.resources import files

import pytest

from matrixmap.emit.texts import language
from matrixmap.emit.texts.language import FALLBACK, LANGUAGES, key_text, language_file, language_for, texts_of

OTHERS = tuple(tag for tag in LANGUAGES if tag != FALLBACK)


def places(text: str) -> set[str]:
    """The names in braces."""
    return set(re.findall(r"\{([a-z]+)\}", text))


def test_every_file_is_a_language() -> None:
    """The listed languages are the files; six of them are written from left to right, and one from right to left."""
    folder = files("matrixmap") / "emit" / "texts" / "languages"
    assert tuple(sorted(path.name.removesuffix(".json") for path in folder.iterdir())) == LANGUAGES
    assert {"en", "de", "fr", "es", "uk", "ja"} <= {
        tag for tag in LANGUAGES if not texts_of("sheet", tag).right_to_left
    }
    assert any(texts_of("sheet", tag).right_to_left for tag in LANGUAGES)


@pytest.mark.parametrize("tag", OTHERS)
def test_every_language_is_whole(tag: str) -> None:
    """A language has the sections and keys of English, with the same places to fill, and no text is empty."""
    own, english = language_file(tag), language_file(FALLBACK)
    assert set(own) == set(english)
    for section, words in english.items():
        assert set(own[section]) == set(words), section
        for key, text in words.items():
            assert own[section][key].strip(), (section, key)
            assert places(own[section][key]) == places(text), (section, key)
            assert "{" not in re.sub(r"\{[a-z]+\}", "", text), (section, key)


@pytest.mark.parametrize("tag", OTHERS)
def test_every_language_has_words_of_its_own(tag: str) -> None:
    """Few texts are those of English: only such as are the same word."""
    own, english = language_file(tag), language_file(FALLBACK)
    for section, words in english.items():
        same = [key for key, text in words.items() if own[section][key] == text]
        assert len(same) <= len(words) // 10 + 1, (section, same)


@pytest.mark.parametrize(
    ("wanted", "found"),
    [
        (["de-AT", "fr"], "de"),
        (["DE"], "de"),
        (["uk_UA"], "uk"),
        (["xx", "ja-JP"], "ja"),
        (["sr-Latn-RS", "nb-NO"], "en"),
        ([], "en"),
    ],
)
def test_a_reader_gets_the_first_language_that_is_there(wanted: list[str], found: str) -> None:
    """A tag is shortened until a file has it; what nobody wrote is English."""
    assert language_for(wanted) == found


def test_what_a_language_lacks_is_english(monkeypatch: pytest.MonkeyPatch) -> None:
    """A file without a text, or without a whole section, falls back text by text."""
    short = {"language": {"name": "X", "direction": "rtl"}, "keys": {"or": "X"}}
    english = language_file(FALLBACK)

    def read(tag: str) -> Mapping[str, Mapping[str, str]]:
        return english if tag == FALLBACK else short

    monkeypatch.setattr(language, "language_file", read)
    assert texts_of("keys", "de").say("or") == "X"
    assert texts_of("keys", "de").say("then") == "then"
    assert texts_of("sheet", "de").say("modifier", modifier="Bo") == "is Bo on the machine"
    assert texts_of("sheet", "de").direction == "rtl"


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("num 7", "Block 7"),
        ("num Enter", "Block Enter"),
        ("⇧# · num 7", "⇧# · Block 7"),
        ("keypad 7", "7 im Ziffernblock"),
        ("right Shift", "Shift rechts"),
        ("Num Lock", "Num Lock"),
    ],
)
def test_names_of_keys_are_told_in_the_language(name: str, told: str) -> None:
    """Sides and the keypad, long and short, are words of the language; the locks keep their printed names."""
    assert key_text(texts_of("keys", "de"), name) == told
    assert key_text(texts_of("keys"), name) == name
