"""`matrixmap tidy`: what it changes, and what it leaves."""

from __future__ import annotations

import json
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest
import yaml

from matrixmap.source.folder import KINDS
from matrixmap.source.kinds.kind import kind_of
from matrixmap.source.write.host_file import scalar
from matrixmap.source.write.scaffold import machine_text
from matrixmap.source.write.tidy import readable, tidy
from tests.project import HANDBOOK, ROOT, call
from tests.tools import node_file

SHIPPED = sorted(path for folder in KINDS.values() for path in (ROOT / folder).glob("*.yaml"))
OTHERS = sorted(path for folder in KINDS.values() for path in (HANDBOOK / folder).glob("*.yaml"))

UNTIDY = """\
# A layout of mine.
machine: corner
layout: mine
odd_field: [kept]
# Which keyboard.
host: bench   # at hand
join: symbolic
keys:
  F2: shift + d2
  F1: halt  # stops
  # About F3 alone.
  F3: a

  KeyB:b
  KeyA: a
types: {@: shift + a, '!': shift + d1}
"""

TIDY = """\
# A layout of mine.
layout: mine
machine: corner
# Which keyboard.
host: bench   # at hand
join: symbolic
types: {'@': shift + a, '!': shift + d1}
keys:
  F1: halt  # stops
  F2: shift + d2
  # About F3 alone.
  F3: a

  KeyA: a
  KeyB: b
odd_field: [kept]
"""


def test_quotes_blanks_and_order_are_put_right_and_comments_stay(tmp_path: Path) -> None:
    """Marks get quotes, fields and lines their order; a comment keeps its line, and an unknown field its text."""
    path = tmp_path / "mine.yaml"
    path.write_text(UNTIDY, encoding="utf-8")
    done = call("tidy", path)
    assert path.read_text(encoding="utf-8") == TIDY
    told = done.stdout.replace(str(path), "mine.yaml")
    assert "mine.yaml:16: '@' in quotes\n" in told
    assert "mine.yaml:14: there is no blank after the colon of KeyB\n" in told
    assert "the fields in order: layout, machine, host, join, types, keys, odd_field\n" in told
    assert "lines of keys in order: F1, F2\n" in told
    assert "unknown-field: a layout has no field 'odd_field'" in done.stderr
    assert call("tidy", path).stdout == "0 of 1 files put in order, 1 left unchanged\n"


def test_check_writes_nothing_and_fails_where_something_would_change(tmp_path: Path) -> None:
    """With --check the exit code is 1 for a file that would change and 0 for one in order, and no byte is written."""
    path = tmp_path / "mine.yaml"
    path.write_text(UNTIDY, encoding="utf-8")
    assert call("tidy", path, "--check").returncode == 1
    assert path.read_text(encoding="utf-8") == UNTIDY
    path.write_text(TIDY.replace("odd_field: [kept]\n", ""), encoding="utf-8")
    done = call("tidy", path, "--check")
    assert (done.returncode, done.stdout, done.stderr) == (0, "1 of 1 files are in order\n", "")


@pytest.mark.parametrize(
    "text",
    [
        "layout: x\nkeys: {F1: [a, b\nhost: c\n",
        "layout: x\n  host: y\n",
        "layout: x\n\thost: y\n",
        "layout: x\nkeys: 'a\n",
        "layout: x\n? [a]\n: b\n",
        "layout: x\n? ? a\n",
        "layout: x\nkeys: {{a: b}: c}\n",
    ],
)
def test_a_file_that_cannot_be_understood_is_left(text: str, tmp_path: Path) -> None:
    """Where it is not sure what was meant, the faults are told, the exit code is 2 and nothing is written."""
    good, bad = tmp_path / "good.yaml", tmp_path / "bad.yaml"
    good.write_text(UNTIDY, encoding="utf-8")
    bad.write_text(text, encoding="utf-8")
    done = call("tidy", good, bad)
    assert done.returncode == 2
    assert "cannot be understood; nothing was written" in done.stderr
    assert (good.read_text(encoding="utf-8"), bad.read_text(encoding="utf-8")) == (UNTIDY, text)


@pytest.mark.parametrize("path", ["no.yaml", "text.yaml", "latin.yaml"])
def test_what_is_no_file_of_ours_is_refused(path: str, tmp_path: Path) -> None:
    """A file that is not there, that is none of the three kinds, or that is not UTF-8 is a usage error of one line."""
    (tmp_path / "text.yaml").write_text("title: a story\n", encoding="utf-8")
    (tmp_path / "latin.yaml").write_bytes(b"layout: \xa3\n")
    done = call("tidy", tmp_path / path)
    assert done.returncode == 2
    assert done.stderr.startswith("matrixmap: ")
    assert done.stderr.count("\n") == 1


def test_what_one_reader_of_yaml_takes_is_put_in_order_by_the_same() -> None:
    """Readers of YAML differ in what they take for a text within brackets: a file is read by one of them throughout."""
    text = "machine: corner\nlayout: mine\nkeys: {F1: a? }\n"
    done = tidy(text, "layout")
    assert not done.faults
    assert done.text.splitlines()[:2] == ["layout: mine", "machine: corner"]


def test_line_ends_are_kept(tmp_path: Path) -> None:
    """A file with the line ends of another system keeps them."""
    path = tmp_path / "mine.yaml"
    path.write_bytes(UNTIDY.replace("\n", "\r\n").encode())
    call("tidy", path)
    assert path.read_bytes() == TIDY.replace("\n", "\r\n").encode()


@pytest.mark.parametrize("path", [*SHIPPED, *OTHERS], ids=lambda path: f"{path.parent.name}/{path.stem}")
def test_a_file_in_order_says_the_same_and_stays_in_order(path: Path) -> None:
    """Tidying twice changes nothing more, and what a reader gets of the text is what it was."""
    text = path.read_text(encoding="utf-8")
    kind = kind_of(text.encode())
    assert kind is not None
    once = tidy(text, kind)
    assert once.faults == ()
    assert tidy(once.text, kind).changes == ()
    assert yaml.load(once.text, yaml.BaseLoader) == yaml.load(text, yaml.BaseLoader)
    assert sorted(comments(once.text)) == sorted(comments(text))


def comments(text: str) -> list[str]:
    """The comments that have a line of their own."""
    return [line.strip() for line in text.splitlines() if line.strip().startswith("#")]


def strict_texts() -> dict[str, str]:
    """The shipped files, a new machine, and what tidy makes of texts that strict readers refuse."""
    texts = {str(path.relative_to(ROOT)): path.read_text(encoding="utf-8") for path in SHIPPED}
    texts["new machine"] = machine_text("mine", ["S0", "S1", "S2", "S3"], ["N0", "N1", "N2", "N3"])
    texts["tidied"] = tidy(
        "machine: x\ntypes:\n  a: {plain: =, shift: <<, graph: [}\n  b: {plain: 2001-99-99}\n", "machine"
    ).text
    texts["scalars"] = "".join(f"- {scalar(chr(point))}\n" for point in range(0x20, 0x17F) if chr(point).isprintable())
    return texts


@pytest.mark.parametrize("name", strict_texts())
def test_pyyaml_loads_it_strictly(name: str) -> None:
    """PyYAML's safe loader, which makes typed values by YAML 1.1, has no complaint."""
    assert yaml.safe_load(strict_texts()[name]) is not None


def test_another_reader_of_yaml_1_1_loads_all(tmp_path: Path) -> None:
    """The package yaml of npm, an implementation of its own, in its strict mode for YAML 1.1, has no error or warning."""
    module = node_file("yaml", "2.9.1", "package.json").parent
    (tmp_path / "texts.json").write_text(json.dumps(strict_texts()), encoding="utf-8")
    script = (
        f"const yaml = require({str(module)!r}); const texts = require({str(tmp_path / 'texts.json')!r});"
        "for (const [name, text] of Object.entries(texts)) {"
        " const read = yaml.parseDocument(text, {version: '1.1', strict: true, uniqueKeys: true});"
        " for (const fault of [...read.errors, ...read.warnings]) console.log(name + ': ' + fault.message); read.toJS(); }"
        " console.log(Object.keys(texts).length);"
    )
    done = subprocess.run(["node", "-e", script], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout) == (0, f"{len(strict_texts())}\n"), done.stderr


@pytest.mark.parametrize("text", ["=", "<<", "2001-99-99"])
def test_what_strict_readers_refuse_is_known(text: str) -> None:
    """PyYAML's safe loader refuses these bare texts as values or names, and so does `readable`."""
    with pytest.raises((yaml.YAMLError, ValueError)):
        yaml.safe_load(f"{{{text}: 1}}" if text == "<<" else f"a: {text}")
    assert not readable(text)


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: f"{path.parent.name}/{path.stem}")
def test_no_line_of_a_good_file_is_taken_for_a_slip(path: Path, slips_of: Callable[[str], list[str]]) -> None:
    """The scan for what a person meant finds nothing in files that YAML reads."""
    assert slips_of(path.read_text(encoding="utf-8")) == []


@pytest.fixture
def slips_of() -> Callable[[str], list[str]]:
    """The slips that a repair would find in a text, whether YAML reads it or not."""
    from matrixmap.source.text.repair import Lines, _Repair

    def find(text: str) -> list[str]:
        repair = _Repair(Lines(text), yaml.BaseLoader)
        repair._scan_all()
        return [fault.text for fault in repair.faults]

    return find


@pytest.mark.parametrize("options", [["--check"], []])
def test_a_control_character_is_told(tmp_path: Path, options: list[str]) -> None:
    """A file with a character that YAML forbids is told with its place and left as it is."""
    path = tmp_path / "x.yaml"
    path.write_text("layout: x\ntitle: a\x1b[31mb\nmachine: quillon8\nhost: en-GB\njoin: symbolic\n", encoding="utf-8")
    before = path.read_bytes()
    done = call("tidy", *options, path)
    assert done.returncode == 2
    assert f"{path.as_posix()}:2:9: control-character: " in done.stderr
    assert path.read_bytes() == before
