"""The table of letter pairs is what its source says, and has the languages that it can have."""

from __future__ import annotations

from importlib import metadata

import pytest

from matrixmap.check.digrams import WHOLE, digrams_of
from tests import make_digrams, tools
from tests.project import open_folders

WITHOUT = {"bs", "fo", "is", "ja", "ko", "mt", "sr"}
"""Languages of shipped hosts that the source does not have, or of which it does not tell the letters apart."""


def test_the_table_is_made_of_its_source() -> None:
    """Made anew of the package of the version that the file names, it is the same, byte for byte."""
    try:
        metadata.distribution(make_digrams.PACKAGE)
    except metadata.PackageNotFoundError:
        tools.missing(f"the Python package {make_digrams.PACKAGE}")
    assert make_digrams.table() == make_digrams.TABLE.read_text(encoding="utf-8")
    assert make_digrams.main(["--check"]) == 0


def test_each_language_of_a_host_is_there_or_known_to_lack() -> None:
    """The hosts' languages are those of the table, and those without data have none."""
    languages = {id.partition("-")[0] for id in open_folders().ids("host")} - {"base"}
    assert languages == {*make_digrams.LANGUAGES, *WITHOUT}
    assert not any(digrams_of(language) for language in (*WITHOUT, "", "d", "xx", "de]"))


@pytest.mark.parametrize("language", make_digrams.LANGUAGES)
def test_weights_are_parts_of_all_pairs(language: str) -> None:
    """Each pair is two letters in lower case or a blank, the weights are those of the head, and little is left out."""
    digrams = digrams_of(language)
    head = make_digrams.TABLE.read_text(encoding="utf-8").partition(f"[{language}] ")[2].partition("\n")[0]
    assert sum(digrams.values()) == int(head.split(" ")[1])
    assert WHOLE * 0.97 < sum(digrams.values()) <= WHOLE
    assert list(digrams.values()) == sorted(digrams.values(), reverse=True)
    assert all(len(pair) == 2 and pair != "__" and pair == pair.lower() for pair in digrams)
    # What goes into a letter goes out of it, but for what is rare: pairs are counted along words.
    for letter in {letter for pair in digrams for letter in pair}:
        ends = [sum(weight for pair, weight in digrams.items() if pair[place] == letter) for place in (0, 1)]
        assert abs(ends[0] - ends[1]) <= max(30, sum(ends) / 10), letter
