"""The pictures of the documentation show the project as it is."""

from __future__ import annotations

from tests import make_pictures


def test_pictures_are_fresh() -> None:
    """Every picture in docs/img is what its command makes now; after a change run python -m tests.make_pictures."""
    assert make_pictures.stale() == []


def test_hash_of_a_picture_is_read_back() -> None:
    """The hash put into a PNG is found again, and another one is told apart."""
    shipped = make_pictures.PAGE.read_bytes()
    other = make_pictures.with_hash(shipped[:8] + shipped[-12:], "0" * 64)
    assert make_pictures.carried_hash(other) == "0" * 64
    assert make_pictures.carried_hash(shipped) == make_pictures.page_hash() != "0" * 64
