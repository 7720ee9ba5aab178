"""What the runtime does for pads, broken on purpose in the C, is noticed."""

import pytest

from tests.agree import pad_edits


def test_a_few_edits_are_noticed() -> None:
    """Every eighth edit of what the runtime does for pads makes a comparison fail."""
    assert list(pad_edits.survivors(pad_edits.EDITS[::8], 12)) == []


@pytest.mark.campaign
def test_all_edits_are_noticed() -> None:
    """Every edit does."""
    assert list(pad_edits.survivors(pad_edits.EDITS, pad_edits.STREAMS)) == []
