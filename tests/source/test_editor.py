"""Help in an editor: schemas with a project's own names, in a JSON Schema validator and in a YAML language server."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from matrixmap.check.registry import CHECK_RULES
from matrixmap.cli.begin.schemas import names_of
from matrixmap.hid.usages import USAGES
from matrixmap.model.place import Place
from matrixmap.source.folder import KINDS, shipped_folder
from matrixmap.source.kinds.host import read_host_key
from matrixmap.source.kinds.layout_lines import LineReader
from matrixmap.source.kinds.project import Project
from matrixmap.source.report import Report
from matrixmap.source.shape.project_schema import project_schema_texts
from matrixmap.source.text.nodes import Text
from tests import tools
from tests.project import ROOT, call, write_project
from tests.source.language_server import LanguageServer
from tests.source.memory import MemoryFolder
from tests.source.test_schema import as_editor

MACHINE = """\
# yaml-language-server: $schema=../../schema/machine.json
machine: lantern
title: Lantern
source: invented for this test
matrix:
  select: [R0, R1]
  sense: [C0, C1, C2]
  grid:
    R0: [d1, a, lift]
    R1: [return, space, none]
direct: {halt: HALT}
modifiers: {shift: [lift]}
types:
  d1: {plain: 1, shift: '!'}
  a: {plain: a, shift: A}
  space: {plain: ' '}
  return: {plain: Enter, shift: Flare}
  halt: {plain: Halt}
scan: {period_us: 20000}
place:
  - {row: 0, from: 0, keys: [d1, a, {key: return, width: 2}]}
  - {row: 1, from: 0, keys: [lift, space]}
connector: {pins: [R0, R1, C0, C1, C2, HALT]}
"""
LAYOUT = """\
# yaml-language-server: $schema=../schema/layout.json
layout: desk
machine: lantern
host: en-US
join: symbolic
keys:
  F1: halt
  Shift+F2: shift + return
  Control+Alt+F3: none
types: {Flare: shift + return}
pass: {Control: shift}
locks: {CapsLock: lift}
commands: {Meta+F12: 3}
accept: {unreachable-key: it is a test}
"""
HOST = """\
# yaml-language-server: $schema=../../schema/host.json
host: desk
title: A keyboard for this test
source: invented for this test
base: base
form: iso-105
legends:
  KeyA: [a, A]
  F1: Flare
"""
FILES = {"shared/machines/lantern.yaml": MACHINE, "layouts/desk.yaml": LAYOUT, "shared/hosts/desk.yaml": HOST}
KIND_OF = {MACHINE: "machine", LAYOUT: "layout", HOST: "host"}

# The file, what stands there, what is typed instead, the line from 1, part of the message of the language server.
MISTAKES = [
    (LAYOUT, "  F1: halt", "  Digt1: halt", 7, "a trigger is a W3C code or a usage number"),
    (LAYOUT, "  F1: halt", "  Shft+F1: halt", 7, "a trigger is a W3C code or a usage number"),
    (LAYOUT, "  F1: halt", "  Shift+Shift+F1: halt", 7, "a trigger is a W3C code or a usage number"),
    (LAYOUT, "  F1: halt", "  F1: hlat", 7, "a stroke is a key of Lantern"),
    (LAYOUT, "shift + return\n  Con", "shft + return\n  Con", 8, "a stroke is a key of Lantern"),
    (LAYOUT, "machine: lantern", "machine: latern", 3, "there is no machine of this name"),
    (LAYOUT, "host: en-US", "host: en-UK", 4, "there is no host of this name"),
    (LAYOUT, "symbolic", "symbollic", 5, '"symbolic", "positional"'),
    (LAYOUT, "{Flare:", "{Flair:", 10, "Lantern does not type this"),
    (LAYOUT, "Control: shift", "Control: shfit", 11, "Lantern has no such modifier"),
    (LAYOUT, "CapsLock:", "CapLock:", 12, "a lock is CapsLock"),
    (LAYOUT, "unreachable-key", "unreachable-keys", 14, "no finding has this slug"),
    (LAYOUT, "commands:", "command:", 13, "command is not allowed"),
    (MACHINE, "[d1, a, lift]", "[d1, a]", 9, "too few items"),
    (MACHINE, "[d1, a, lift]", "[d1, a, lift, d2]", 9, "too many items"),
    (MACHINE, "    R1:", "    R2:", 10, "a row of the grid is for a select line"),
    (MACHINE, "  d1: {", "  d11: {", 14, "Lantern has no key of this name"),
    (MACHINE, "{plain: a, shift", "{plain: a, shfit", 15, "a shift state is plain, or modifiers of Lantern"),
    (MACHINE, "{shift: [lift]}", "{shift: [lit]}", 12, "Lantern has no key of this name"),
    (MACHINE, "[lift, space]", "[lift, spce]", 22, "Lantern has no key of this name"),
    (MACHINE, "C2, HALT", "C3, HALT", 23, "a pin is a line of Lantern"),
    (MACHINE, "connector:", "conector:", 23, "conector is not allowed"),
    (HOST, "base: base", "base: bsae", 5, "there is no host of this name"),
    (HOST, "  KeyA:", "  KeyAA:", 8, "a key of the host is a W3C code"),
]

# The file, a line of it, what is typed of it, and what is offered there among others, and what is not.
OFFERS = [
    (LAYOUT, "  F1: halt", "  ", {"KeyQ", "Shift+Digit2", "AltGr+KeyE", "Control+Alt+Delete"}, {"shift"}),
    (LAYOUT, "  F1: halt", "  F1: ", {"none", "d1", "halt", "shift + return"}, {"q", "shift + halt"}),
    (LAYOUT, "machine: lantern", "machine: ", {"lantern", "quillon8"}, {"desk"}),
    (LAYOUT, "host: en-US", "host: ", {"en-US", "de-DE", "desk"}, {"base", "lantern"}),
    (LAYOUT, "join: symbolic", "join: ", {"symbolic", "positional"}, set()),
    (LAYOUT, "types: {Flare: shift + return}", "types:\n  ", {"Flare", "Enter", "Halt", "A", "!"}, {"Q", "Escape"}),
    (
        LAYOUT,
        "accept: {unreachable-key: it is a test}",
        "accept:\n  ",
        {rule.slug for rule in CHECK_RULES},
        {"yaml-syntax"},
    ),
    (LAYOUT, "locks: {CapsLock: lift}", "locks:\n  ", {"CapsLock", "NumLock", "ScrollLock"}, {"KeyA"}),
    (LAYOUT, "pass: {Control: shift}", "pass:\n  Alt: ", {"shift"}, {"lift"}),
    (MACHINE, "  halt: {plain: Halt}", "  halt: {plain: Halt}\n  ", {"lift"}, {"KeyA", "R0"}),
    (MACHINE, "  halt: {plain: Halt}", "  halt:\n    plain: ", {"Enter", "ArrowUp", "Flare"}, {"KeyA"}),
    (HOST, "  F1: Flare", "  F1: ", {"Enter", "Flare", "Halt"}, {"lift"}),
    (HOST, "  F1: Flare", "  ", {"KeyB", "IntlBackslash", "F1"}, {"Shift+KeyB"}),
]


@pytest.fixture(scope="module")
def project(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A project with its schemas."""
    root = write_project(tmp_path_factory.mktemp("editor"), FILES)
    done = call("schema", "--project", cwd=root)
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout == "wrote machine.json, host.json, layout.json, part.json, adapter.json to schema\n"
    return root


@pytest.fixture(scope="module")
def validators(project: Path, outside_module: Callable[[str, str], ModuleType]) -> dict[str, Any]:
    """A validator a kind of file."""
    validator = outside_module("jsonschema", "jsonschema (PyPI)").Draft202012Validator
    made = {}
    for kind in KINDS:
        schema = json.loads((project / "schema" / f"{kind}.json").read_text(encoding="utf-8"))
        validator.check_schema(schema)
        made[kind] = validator(schema)
    return made


@pytest.fixture(scope="module")
def server(project: Path) -> Iterator[LanguageServer]:
    """A language server at work in the project."""
    with LanguageServer(project) as running:
        yield running


def where(project: Path, text: str, number: object) -> Path:
    """A file of the kind of a text, in its folder, that is not on disk."""
    return project / KINDS[KIND_OF[text]] / f"typed-{number}.yaml"


def test_a_language_server_flags_mistakes_and_nothing_else(project: Path, server: LanguageServer) -> None:
    """Each of the listed mistakes is flagged once, on its line, by its message; the files without them are not."""
    assert len(MISTAKES) >= 20
    for name, text in FILES.items():
        assert server.open(project / name, text) == []
    for number, (text, there, typed, line, message) in enumerate(MISTAKES):
        assert text.count(there) == 1, there
        found = server.open(where(project, text, number), text.replace(there, typed))
        told = [(each["range"]["start"]["line"] + 1, each["message"]) for each in found]
        assert len(told) == 1, (typed, told)
        assert told[0][0] == line, (typed, told)
        assert message in told[0][1], (typed, told)


def test_a_language_server_completes_the_names_of_the_project(project: Path, server: LanguageServer) -> None:
    """Keys, hosts, triggers, functions, slugs and the like are offered where they belong, and others are not."""
    for number, (text, there, typed, offered, others) in enumerate(OFFERS):
        assert text.count(f"\n{there}\n") == 1, there
        before, after = text.split(f"\n{there}\n")
        path = where(project, text, f"offer-{number}")
        server.open(path, f"{before}\n{typed}\n{after}")
        lines = f"{before}\n{typed}".split("\n")
        found = server.complete(path, len(lines) - 1, len(lines[-1]))
        assert offered <= found, (there, typed, offered - found)
        assert not others & found, (there, typed, others & found)


def test_a_language_server_tells_what_a_key_types(project: Path, server: LanguageServer) -> None:
    """Pointing at a key under types shows what it types, and at a slug what the finding is."""
    path = where(project, MACHINE, "hover")
    server.open(path, MACHINE)
    assert "plain: 1, shift: " in server.hover(path, 13, 3)
    path = where(project, LAYOUT, "hover")
    server.open(path, LAYOUT)
    assert "No host key works a certain key of the machine." in server.hover(path, 13, 12)


def test_a_validator_refuses_the_same_mistakes(validators: dict[str, Any]) -> None:
    """What the language server flags, a JSON Schema validator refuses, and it accepts the files without mistakes."""
    for text, kind in KIND_OF.items():
        assert list(validators[kind].iter_errors(as_editor(text))) == []
    for text, there, typed, _, _ in MISTAKES:
        assert not validators[KIND_OF[text]].is_valid(as_editor(text.replace(there, typed))), typed


def test_every_shipped_file_fits(validators: dict[str, Any]) -> None:
    """The schemas of a project accept all that ships, which it can use."""
    for kind, folder in KINDS.items():
        for path in sorted((ROOT / folder).glob("*.yaml")):
            assert list(validators[kind].iter_errors(as_editor(path.read_text(encoding="utf-8")))) == [], path.name


@cache
def definition(name: str) -> Any:
    """A validator of one definition of the layouts' schema in a project with the lantern."""
    project = Project([MemoryFolder({("machine", "lantern"): MACHINE.encode()}), shipped_folder()], ())
    schema = json.loads(project_schema_texts(names_of(project)[0])["layout.json"])
    return tools.module("jsonschema", "jsonschema (PyPI)").Draft202012Validator(schema["$defs"][name])


PARTS = st.sampled_from(["Shift", "AltGr", "Control", "Alt", "Meta", "shift", "Ctrl", ""])
KEYS = st.sampled_from(
    [*(fact.code for fact in USAGES if fact.code), "0x64", "0X04", "0xZZ", "64", "Key1", "keya", "", "Shift"]
)


@settings(max_examples=400, deadline=None)
@given(st.lists(PARTS, max_size=3), KEYS, st.sampled_from(["+", " + ", "+ "]))
def test_reader_and_schema_agree_on_triggers(parts: list[str], key: str, plus: str) -> None:
    """A trigger that the reader takes, for some host, fits the schema; one that it does not take does not."""
    text = plus.join([*parts, key])
    report = Report()
    trigger = LineReader(None, None, None, report)._trigger(Text(text, Place(file="case", line=1, column=1)))
    assert (trigger is not None) == definition("triggers").is_valid({text: "none"}), text


@settings(max_examples=200, deadline=None)
@given(
    st.lists(st.sampled_from(["shift", "lift", "a", "d1", "none", "q", ""]), min_size=1, max_size=3),
    st.sampled_from(["+", " + "]),
)
def test_a_stroke_that_the_reader_takes_fits(parts: list[str], plus: str) -> None:
    """A stroke of known names that ends in a key fits; one with an unknown name, or without a key at its end, does not."""
    known = all(part in ("shift", "lift", "a", "d1") for part in parts) and parts[-1] != "shift"
    assert definition("lantern-stroke").is_valid(plus.join(parts)) == (known or parts == ["none"])


def parts_of(schema: Any) -> Iterator[dict[str, Any]]:
    """All mappings within a schema."""
    if isinstance(schema, dict):
        yield schema
    for part in schema.values() if isinstance(schema, dict) else schema if isinstance(schema, list) else ():
        yield from parts_of(part)


def test_each_name_that_is_offered_fits(project: Path) -> None:
    """A name that an editor offers is one that the schema takes, and what is told of it is never an empty text."""
    offered = 0
    for kind in KINDS:
        for part in parts_of(json.loads((project / "schema" / f"{kind}.json").read_text(encoding="utf-8"))):
            assert part.get("description") != ""
            names = part.get("propertyNames")
            if isinstance(names, dict) and "pattern" in names:
                offered += len(part.get("properties", ()))
                assert [name for name in part.get("properties", ()) if not re.search(names["pattern"], name)] == []
    assert offered > 500


def test_names_of_hosts_are_read_as_the_reader_reads_them() -> None:
    """Every W3C code that is completed is a key of the host to the reader."""
    for fact in USAGES:
        if fact.code:
            assert read_host_key(Text(fact.code, Place(file="case", line=1, column=1)), Report()), fact.code


def test_check_tells_stale_schemas(tmp_path: Path) -> None:
    """Fresh after writing; a key renamed, a host added or a general schema in place of one's own is told, with exit code 1."""
    root = write_project(tmp_path, FILES)
    assert call("schema", "--project", "--check", "--root", root).returncode == 1
    assert not (root / "schema").exists()
    assert call("schema", "--project", "--root", root).returncode == 0
    done = call("schema", "--project", "--check", "--root", root)
    assert (done.returncode, done.stdout) == (0, f"5 schemas in {root}/schema are fresh\n")
    write_project(root, {"shared/machines/lantern.yaml": MACHINE.replace("halt", "stop")})
    done = call("schema", "--project", "--check", "--root", root)
    assert (done.returncode, done.stderr) == (
        1,
        f"{root}/schema/machine.json: is stale\n{root}/schema/layout.json: is stale\n",
    )
    call("schema", "--out", root / "schema")
    assert call("schema", "--project", "--check", "--root", root).stderr.count("is stale") == 5


def test_files_that_cannot_be_read_are_told(tmp_path: Path) -> None:
    """A machine with a finding gives exit code 2 with its place, and nothing is written."""
    root = write_project(tmp_path, FILES | {"shared/machines/lantern.yaml": MACHINE.replace("a, lift", "lift")})
    done = call("schema", "--project", cwd=root)
    assert (done.returncode, done.stdout) == (2, "")
    assert "shared/machines/lantern.yaml:9:5: wrong-length: " in done.stderr
    assert not (root / "schema").exists()


@pytest.mark.parametrize("words", [("--page", "--project"), ("--page", "--check"), ("--root", ".")])
def test_options_that_contradict_are_refused(words: tuple[str, ...], tmp_path: Path) -> None:
    """Exit code 2 and a sentence; nothing is written."""
    done = call("schema", *words, cwd=tmp_path)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith("matrixmap: --")
    assert list(tmp_path.iterdir()) == []


def test_new_files_lead_to_schemas_that_know_them(tmp_path: Path) -> None:
    """The first line of a new machine, host and layout leads to a schema with the names that are there by then."""
    assert call("new", "machine", "lantern", "--select", "2", "--sense", "3", cwd=tmp_path).returncode == 0
    assert call("new", "layout", "desk", "--machine", "lantern", "--host", "en-US", cwd=tmp_path).returncode == 0
    for name in ("shared/machines/lantern.yaml", "layouts/desk.yaml"):
        path = tmp_path / name
        first = path.read_text(encoding="utf-8").splitlines()[0]
        schema = (path.parent / first.removeprefix("# yaml-language-server: $schema=")).resolve()
        assert "of this project" in json.loads(schema.read_text(encoding="utf-8"))["title"]
        assert "s1-n2" in schema.read_text(encoding="utf-8")
    assert call("schema", "--project", "--check", cwd=tmp_path).returncode == 0


def test_new_leaves_general_schemas_alone(tmp_path: Path) -> None:
    """Where the general schemas are kept, as in this project's own folder, a new file does not replace them."""
    assert call("schema", cwd=tmp_path).returncode == 0
    before = {path.name: path.read_bytes() for path in (tmp_path / "schema").iterdir()}
    assert call("new", "machine", "lantern", cwd=tmp_path).returncode == 0
    assert {path.name: path.read_bytes() for path in (tmp_path / "schema").iterdir()} == before
