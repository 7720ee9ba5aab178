"""A file within its limits is read with little work, and one beyond them is told what it exceeds."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from matrixmap import limits
from matrixmap.source import report as reports
from matrixmap.source.folder import DiskFolder, read_file
from matrixmap.source.kinds.project import Loaded
from tests.work import growth

Read = Callable[..., Loaded]

LAYOUT = "layout: x\nmachine: quillon8\nhost: en-GB\njoin: symbolic\n"
KEYS = 3_000
LINEAR = 6.0
"""Growth of work over four times the size that is linear, with a margin; quadratic work grows 16 times."""


def slugs(loaded: Loaded) -> set[str]:
    """The kinds of findings."""
    return {finding.slug for finding in loaded.findings}


def test_a_file_too_large_is_refused(read_bytes: Read) -> None:
    """A file of one byte more than the limit is not read at all; one of the limit is."""
    for kind in ("host", "machine", "layout"):
        assert slugs(read_bytes(kind, "x", b"# " + b"x" * (limits.FILE_BYTES - 1))) == {"file-too-large"}
        assert "file-too-large" not in slugs(read_bytes(kind, "x", b"# " + b"x" * (limits.FILE_BYTES - 2)))


def test_of_a_large_file_no_more_is_read(tmp_path: Path) -> None:
    """Of a file without end no more is taken into memory than shows that it is too large."""
    path = tmp_path / "layouts" / "x.yaml"
    path.parent.mkdir()
    with path.open("wb") as file:
        file.truncate(1 << 40)
    assert len(read_file(path)) == limits.FILE_BYTES + 1
    assert len(DiskFolder(tmp_path).read("layout", "x") or b"") == limits.FILE_BYTES + 1


def test_what_is_no_file_is_not_opened(tmp_path: Path) -> None:
    """A pipe, which would wait for somebody to write, a device, which has no end, and a folder are refused by their kind."""
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    for path in (pipe, Path(os.devnull), tmp_path):
        with pytest.raises(OSError, match="it is"):
            read_file(path)


def test_of_many_findings_the_first_are_listed(read_text: Read) -> None:
    """A file that is wrong in every line gives so many findings, in order, and at their end how many more there are."""
    lines = "".join(f"  Key{number}x: a\n" for number in range(KEYS))
    findings = read_text("layout", "x", f"{LAYOUT}keys:\n{lines}").findings
    assert len(findings) == limits.FINDINGS + 1
    assert [finding.place.line for finding in findings if finding.place] == list(range(6, 7 + limits.FINDINGS))
    assert findings[-1].slug == "too-many-findings"
    assert findings[-1].text.startswith(f"{KEYS - limits.FINDINGS} more findings are not listed")


def test_findings_of_a_base_count_with_those_of_the_file(read_text: Read) -> None:
    """What a base and the file that takes it over have too many of is told in one sum."""
    lines = "".join(f"  Key{number}x: a\n" for number in range(1500))
    base = f"layout: above\nmachine: quillon8\njoin: symbolic\nkeys:\n{lines.replace('Key', 'Bey')}"
    findings = read_text("layout", "x", f"layout: x\nhost: en-GB\nbase: above\nkeys:\n{lines}", above=base).findings
    assert [finding.slug for finding in findings].count("too-many-findings") == 1
    assert len(findings) == limits.FINDINGS + 1
    assert findings[-1].count == 3000 - limits.FINDINGS


@pytest.mark.parametrize("section", ["keys", "accept", "commands", "types", "pass", "locks"])
def test_a_near_name_is_looked_for_a_few_times_only(
    read_text: Read, section: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """However many names are wrong, looking for the nearest right ones is done for the first of them."""
    asked = []
    monkeypatch.setattr(reports, "nearest", lambda name, known: asked.append(name) or "")
    lines = "".join(f"  Lkey{number}x: zz{number}\n" for number in range(KEYS))
    read_text("layout", "x", f"{LAYOUT}{section}:\n{lines}")
    assert len(asked) <= limits.SUGGESTIONS


def unknown_fields(count: int) -> str:
    """A layout with fields that there are none of."""
    return LAYOUT + "".join(f"field{number}: a\n" for number in range(count))


def one_wrong_key(count: int) -> str:
    """A layout whose lines all name one wrong key, beside different modifiers."""
    return f"{LAYOUT}keys:\n" + "".join(f"  Kex+{number}: a\n" for number in range(count))


def one_wrong_legend(count: int) -> str:
    """A layout whose commands are all out of range."""
    return f"{LAYOUT}commands:\n" + "".join(f"  Kex{number}: 999\n" for number in range(count))


def one_wrong_name(count: int) -> str:
    """A layout that names one wrong key in every line."""
    return f"{LAYOUT}locks:\n" + "".join(f"  CapsLock{number}: Wrong Name\n" for number in range(count))


def accepted(count: int) -> str:
    """A layout that accepts findings that there are none of."""
    return f"{LAYOUT}accept:\n" + "".join(f"  slug-{number}: a reason\n" for number in range(count))


@pytest.mark.parametrize("text", [unknown_fields, one_wrong_key, one_wrong_legend, one_wrong_name, accepted])
def test_reading_grows_with_the_file(
    read_text: Read, text: Callable[[int], str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Four times the lines are about four times the work, also where every line is wrong."""
    monkeypatch.setattr(reports, "nearest", lambda name, known: "")  # the work of which is bounded by the test above
    written = {count: text(count) for count in (2_000, 500)}
    assert growth(lambda count: lambda: read_text("layout", "x", written[count]), 2_000) < LINEAR


def test_a_list_has_a_most(read_text: Read) -> None:
    """A mapping or list of too many entries is refused with its place, whatever it is for."""
    many = limits.ENTRIES + 1
    for text in (
        "keys:\n" + "".join(f"  K{number}: a\n" for number in range(many)),
        f"keys: [{', '.join('a' * many)}]",
    ):
        findings = read_text("layout", "x", LAYOUT + text).findings
        assert [(finding.slug, finding.place and finding.place.line) for finding in findings] in (
            [("wrong-length", 6)],
            [("wrong-length", 5)],
        )
        assert str(many) in findings[0].text


def test_a_text_has_a_most(read_text: Read) -> None:
    """A title, a name and any other text that is too long is told by its place and not repeated in the message."""
    long = "x" * (limits.TEXT_CHARACTERS + 1)
    for line, most in (
        (f"title: {'x' * (limits.TITLE_CHARACTERS + 1)}", limits.TITLE_CHARACTERS),
        (f"base: {'x' * (limits.NAME_CHARACTERS + 1)}", limits.NAME_CHARACTERS),
        (f"title: {long}", limits.TEXT_CHARACTERS),
        (f"keys: {{F1: {long}}}", limits.TEXT_CHARACTERS),
        (f"? {long}\n: a", limits.TEXT_CHARACTERS),
    ):
        (finding,) = read_text("layout", "x", f"{LAYOUT}{line}\n").findings
        assert finding.slug == "text-too-long"
        assert finding.text.endswith(str(most))
        assert len(finding.text) < 100
        assert finding.place
        assert finding.place.line == 5
    title = "x" * limits.TITLE_CHARACTERS
    assert not read_text("layout", "x", f"{LAYOUT}title: {title}\n").findings


def test_a_chain_of_bases_has_an_end(read_bytes_of: Callable[..., Loaded]) -> None:
    """More files that take each other over than the limit are a finding, for layouts and for hosts; the limit is not."""
    for count, ends in ((limits.BASES + 1, True), (limits.BASES + 2, False), (1500, False)):
        files = {("layout", f"b{n}"): f"layout: b{n}\nbase: b{n - 1}\n".encode() for n in range(2, count)}
        files["layout", "b1"] = b"layout: b1\nmachine: quillon8\njoin: symbolic\n"
        files["layout", "x"] = f"layout: x\nhost: en-GB\nbase: b{count - 1}\n".encode()
        files |= {
            ("host", f"h{n}"): f"host: h{n}\ntitle: t\nsource: s\nbase: h{n - 1}\n".encode() for n in range(2, count)
        }
        files["host", "h1"] = b"host: h1\ntitle: t\nsource: s\nbase: base\n"
        files["host", "x"] = f"host: x\ntitle: t\nsource: s\nform: iso-105\nbase: h{count - 2}\n".encode()
        for kind in ("layout", "host"):
            loaded = read_bytes_of((kind, "x"), files)
            assert slugs(loaded) == (set() if ends else {"base-loop"}), (kind, count)
            assert ends or any(str(limits.BASES) in finding.text for finding in loaded.findings)


def test_repairs_end_with_their_cost(read_text: Read, monkeypatch: pytest.MonkeyPatch) -> None:
    """A large file with many slips is read again a few times only, for each repair costs a reading."""
    import yaml

    compose, read = yaml.compose, []
    monkeypatch.setattr(yaml, "compose", lambda text, Loader: read.append(len(text)) or compose(text, Loader=Loader))  # noqa: N803
    lines = "".join(f"  K{number}: a\n {number}:b\n" for number in range(10_000))
    assert read_text("layout", "x", f"{LAYOUT}keys:\n{lines}"[: limits.FILE_BYTES]).findings
    assert sum(read) <= limits.REPAIRED_BYTES + 4 * limits.FILE_BYTES
