"""The limits of the input are listed once, as they are, and the schemas say them too."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from matrixmap import limits
from tests.project import ROOT


def test_the_page_lists_every_limit() -> None:
    """The table of docs/limits.md is that of the module, which lists each of its numbers once."""
    assert limits.limits_table() in (ROOT / "docs" / "limits.md").read_text(encoding="utf-8")
    numbers = [name for name, value in vars(limits).items() if name.isupper() and isinstance(value, int)]
    assert sorted(limit.name for limit in limits.LIMITS) == sorted(numbers)


def test_rules_say_the_limits_as_they_are() -> None:
    """Numbers that rules of reading name in words are those of the module."""
    text = (ROOT / "docs" / "rules.md").read_text(encoding="utf-8")
    for words in (
        f"larger than {limits.FILE_BYTES >> 10} KiB",
        f"more than {limits.ENTRIES:,} entries",
        f"at most {limits.TITLE_CHARACTERS} characters, any other text {limits.TEXT_CHARACTERS:,}",
        f"after {limits.BASES} files at most",
        f"at most {limits.CHORDS} lines of a layout",
        f"at most {limits.LAYOUT_LINES} lines under keys:",
        f"together have at most {limits.CONTROLLER_SWITCHES} switches",
        "the first thousand",
    ):
        assert words in text
    assert limits.FINDINGS == 1_000


def _parts(schema: Any) -> Iterator[dict[str, Any]]:
    if isinstance(schema, dict):
        yield schema
        for name, part in schema.items():
            # A pattern that is refused takes nothing in.
            if not (name == "not" and "pattern" in part):
                yield from _parts(part)
    elif isinstance(schema, list):
        for part in schema:
            yield from _parts(part)


def test_schemas_carry_the_limits() -> None:
    """In the schemas every list, open mapping and free text has a most, and none is more than is read."""
    for kind in ("machine", "host", "layout"):
        whole = json.loads((ROOT / "schema" / f"{kind}.json").read_text(encoding="utf-8"))
        assert whole["properties"]["title"]["maxLength"] == limits.TITLE_CHARACTERS
        assert [part["maxLength"] for part in _parts(whole["properties"][kind]) if "pattern" in part] == [
            limits.NAME_CHARACTERS
        ]
        for part in _parts(whole):
            if part.get("type") == "array" and "items" in part:
                assert part["maxItems"] <= limits.ENTRIES
            if isinstance(part.get("additionalProperties"), dict) and part.get("type") == "object":
                assert part["maxProperties"] <= limits.ENTRIES
            if isinstance(part.get("type"), list) or "pattern" in part:
                assert part["maxLength"] <= limits.TEXT_CHARACTERS
