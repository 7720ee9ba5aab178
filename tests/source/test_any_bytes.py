"""Any bytes at all are findings or a value, never an exception."""

from collections.abc import Callable

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from matrixmap.source.folder import KINDS
from matrixmap.source.kinds.project import Loaded
from tests.project import ROOT
from tests.shipped import seeds_up_to

SEEDS = {
    "machine": (ROOT / KINDS["machine"] / "quillon8.yaml").read_text(encoding="utf-8"),
    "host": (ROOT / KINDS["host"] / "en-GB.yaml").read_text(encoding="utf-8"),
    "layout": (ROOT / KINDS["layout"] / "quillon8-en-GB-symbolic.yaml").read_text(encoding="utf-8"),
    "part": (ROOT / KINDS["part"] / "switch-array-8x8.yaml").read_text(encoding="utf-8"),
    "adapter": (ROOT / KINDS["adapter"] / "ferrule.yaml").read_text(encoding="utf-8"),
}
MARKS = [*"[]{}:,#&*!|>'\"%@`-?~\t\n\r \\", "\n  ", "\n- ", ": ", "none", "[]", "{}", "''", "\u2028", "\x85", "\ufeff"]
MARKS += [
    "é",
    "e\u0301",
    "\u200f",
    "\ue000",
    "\U0001f469\u200d\U0001f4bb",
    "\x00",
    "\x1b",
    "1e9",
    "-1",
    "0x10",
    "plain",
    "+",
]
MARKS += [
    "shift",
    "S0",
    "d1",
    "KeyA",
    "Shift+",
    "AltGr+",
    "0x64",
    "dead",
    "base",
    "&x ",
    "*x",
    "<<",
    "--- ",
    "...",
    "!!str ",
]

quick = settings(deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
kinds = st.sampled_from(sorted(KINDS))


def is_told(loaded: Loaded) -> bool:
    """Whether a reading gave a value or findings, each with a place in a file and a text of one line."""
    places = all(finding.place and finding.place.line > 0 and finding.place.column > 0 for finding in loaded.findings)
    texts = all(finding.text and finding.slug and "\n" not in finding.text for finding in loaded.findings)
    return places and texts and (loaded.value is None) == bool(loaded.findings)


@quick
@given(kind=kinds, data=st.binary(max_size=200))
def test_any_bytes_are_findings(kind: str, data: bytes, read_bytes: Callable[..., Loaded]) -> None:
    """Bytes out of nowhere give findings."""
    assert is_told(read_bytes(kind, "any", data))


@quick
@given(
    kind=kinds,
    marks=st.lists(st.sampled_from([*MARKS, "\n", " ", "a", "host", "machine", "layout", "legends"]), max_size=60),
)
def test_any_marks_are_findings(kind: str, marks: list[str], read_bytes: Callable[..., Loaded]) -> None:
    """Marks of YAML and words of the files in any order give findings."""
    assert is_told(read_bytes(kind, "any", "".join(marks).encode("utf-8", "surrogatepass")))


@pytest.mark.parametrize("kind", sorted(KINDS))
@pytest.mark.parametrize("text", ["?", "? ", "?\n", "?\n? ", "{?}", ":", "{}", "? a", "[?]"])
def test_a_name_that_is_nothing_is_a_finding(kind: str, text: str, read_bytes: Callable[..., Loaded]) -> None:
    """YAML takes a name or a value that is nothing for null; no file has a use for it."""
    assert is_told(read_bytes(kind, "any", text.encode()))


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_a_byte_order_mark_is_no_part_of_a_file(kind: str, read_bytes: Callable[..., Loaded]) -> None:
    """Editors that begin a file with U+FEFF (Unicode 15, section 23.8) leave it as good as it was."""
    texts = {**SEEDS, "layout": "layout: x\nmachine: quillon8\nhost: en-GB\njoin: symbolic\n"}
    ids = {"machine": "quillon8", "host": "en-GB", "layout": "x", "part": "switch-array-8x8", "adapter": "ferrule"}
    id = ids[kind]
    loaded = read_bytes(kind, id, b"\xef\xbb\xbf" + texts[kind].encode())
    assert loaded.value is not None
    assert not loaded.findings


@settings(quick, max_examples=150)
@given(
    kind=kinds,
    edits=st.lists(
        st.tuples(st.floats(0, 1), st.integers(0, 30), st.one_of(st.sampled_from(MARKS), st.text(max_size=3)))
    ),
)
def test_a_damaged_file_is_a_value_or_findings(
    kind: str, edits: list[tuple[float, int, str]], read_bytes: Callable[..., Loaded]
) -> None:
    """A shipped file with pieces replaced by marks is still read, or says what is wrong."""
    text = SEEDS[kind]
    for at, length, put in edits[:6]:
        start = int(at * len(text))
        text = text[:start] + put + text[start + length :]
    assert is_told(read_bytes(kind, "any", text.encode("utf-8", "surrogatepass")))


@pytest.mark.parametrize("kind", sorted(KINDS))
@pytest.mark.parametrize("step", seeds_up_to(3, 8))
def test_a_file_cut_short_is_a_value_or_findings(kind: str, step: int, read_bytes: Callable[..., Loaded]) -> None:
    """A file that ends anywhere is a value or findings; in all, every eighth length is tried."""
    data = SEEDS[kind].encode()
    for length in range(step * 9, len(data), 72):
        assert is_told(read_bytes(kind, "any", data[:length]))


def test_nesting_of_any_depth_is_a_finding(read_bytes: Callable[..., Loaded]) -> None:
    """Brackets, dashes and question marks without end are refused, however many."""
    for depth in (20, 900, 5000, 100_000):
        for mark in ("[", "{a: ", "- ", "? ", "[? ", "[{a: "):
            loaded = read_bytes("host", "any", b"legends: " + mark.encode() * depth)
            assert loaded.findings
            assert loaded.value is None


def test_a_bomb_of_anchors_is_a_finding(read_bytes: Callable[..., Loaded]) -> None:
    """Lists of aliases of lists are refused at the first anchor, without being followed."""
    rows = [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 9)}]" for n in range(1, 30)]
    loaded = read_bytes("host", "any", "\n".join(["a0: &a0 [x]", *rows]).encode())
    assert "alias" in {finding.slug for finding in loaded.findings}
