"""Schemas for editors: made from the same shapes as the reader, and refusing the same."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from matrixmap.source import rules
from matrixmap.source.folder import KINDS, shipped_folder
from matrixmap.source.kinds.project import Project
from matrixmap.source.report import Report
from matrixmap.source.shape.formats import kinds
from matrixmap.source.shape.schema import EXAMPLES, format_page, schema_comment, schema_texts
from matrixmap.source.text.nodes import read_document
from tests.project import ROOT, read_layout
from tests.source.memory import MemoryFolder

SHIPPED = [(kind, path) for kind, folder in KINDS.items() for path in sorted((ROOT / folder).glob("*.yaml"))]
BROKEN = [
    (kind, path) for kind in KINDS for path in sorted((Path(__file__).parent / "broken" / f"{kind}s").glob("*.yaml"))
]

# What a legend may be is not a matter of shape: editors let it pass, and the reader tells.
BEYOND_SHAPE = {rules.BAD_LEGEND.slug, rules.UNPRINTABLE_LEGEND.slug, rules.BAD_PAIR.slug}


# An editor sees the number that these spell, and the reader wants decimal digits.
SPELT_OTHERWISE = {"number-in-hex", "number-with-exponent"}


@pytest.fixture(scope="module")
def validators(outside_module: Callable[[str, str], ModuleType]) -> dict[str, Any]:
    """A validator a kind of file."""
    validator = outside_module("jsonschema", "jsonschema (PyPI)").Draft202012Validator
    schemas = {name.removesuffix(".json"): json.loads(text) for name, text in schema_texts().items()}
    for schema in schemas.values():
        validator.check_schema(schema)
    return {kind: validator(schema) for kind, schema in schemas.items()}


def as_editor(text: str) -> Any:
    """A file as an editor sees it: scalars by the core schema of YAML 1.2.2 (section 10.3.2), keys as text."""
    return _typed(yaml.compose(text, Loader=getattr(yaml, "CBaseLoader", yaml.BaseLoader)))


def _typed(node: yaml.Node) -> Any:
    if isinstance(node, yaml.MappingNode):
        return {key.value: _typed(value) for key, value in node.value}
    if isinstance(node, yaml.SequenceNode):
        return [_typed(item) for item in node.value]
    text = node.value
    if node.style:
        return text
    if text in ("", "~", "null", "Null", "NULL"):
        return None
    if text.lower() in ("true", "false"):
        return text.lower() == "true"
    if re.fullmatch(r"[-+]?[0-9]+", text):
        return int(text)
    if re.fullmatch(r"0x[0-9a-fA-F]+", text):
        return int(text, 16)
    if re.fullmatch(r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?", text):
        return float(text)
    return text


def reader_refuses(kind: str, text: str) -> bool:
    """Whether the nodes or the shape of a text have a finding."""
    report = Report()
    document = read_document(text.encode(), "x.yaml", report)
    if document.root is not None:
        kinds()[kind].read(document.root, report, document.whole)
    return any(finding.slug not in BEYOND_SHAPE for finding in report.findings)


@pytest.mark.parametrize(("kind", "path"), SHIPPED, ids=lambda value: getattr(value, "stem", value))
def test_both_accept_every_shipped_file(kind: str, path: Path, validators: dict[str, Any]) -> None:
    """A shipped file has no finding and fits its schema."""
    text = path.read_text(encoding="utf-8")
    assert not reader_refuses(kind, text)
    assert list(validators[kind].iter_errors(as_editor(text))) == []


def test_both_refuse_none_in_a_list_of_caps(validators: dict[str, Any]) -> None:
    """In the grid `none` stands alone; in a list of caps on one crosspoint it is none."""
    shipped = yaml.safe_load((ROOT / "shared/machines/langet41.yaml").read_text(encoding="utf-8"))
    row = next(iter(shipped["matrix"]["grid"].values()))
    row[0] = ["none"]
    text = json.dumps(shipped, ensure_ascii=False)
    assert reader_refuses("machine", text)
    assert list(validators["machine"].iter_errors(json.loads(text)))


@pytest.mark.parametrize(("kind", "path"), BROKEN, ids=lambda value: getattr(value, "stem", value))
def test_both_refuse_a_broken_shape(kind: str, path: Path, validators: dict[str, Any]) -> None:
    """A file whose shape the reader refuses is refused by the schema; what is found later is the reader's alone."""
    slugs = [line.split(": ")[1] for line in path.with_suffix(".txt").read_text(encoding="utf-8").splitlines()]
    shape = {"wrong-type", "unknown-field", "missing-field", "unknown-choice", "bad-number", "bad-name", "reserved-id"}
    if not path.read_bytes() or not set(slugs) <= shape:
        return
    text = path.read_text(encoding="utf-8")
    accepted = validators[kind].is_valid(as_editor(text))
    assert (reader_refuses(kind, text), accepted) in {(True, path.stem in SPELT_OTHERWISE), (False, True)}


SCALARS = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-3, 30_000),
    st.sampled_from([0.5, 1.25, 19.5, 250.5]),
    st.sampled_from(
        ["", "a", "none", "all", "on", "plain", "shift + a", "S0", "N0", "d1", "KeyA", "Shift+KeyA", "iso-105"]
    ),
    st.sampled_from(["symbolic", "x y", "'", "é", "both", "A-b", "5", "1.5", "true", "dead", "Enter", "base"]),
)
NAMES = st.sampled_from(
    ["machine", "host", "layout", "title", "base", "form", "keys", "dead", "select", "S0", "row", "gap", "x", ""]
)
VALUES = st.recursive(
    SCALARS,
    lambda inner: st.one_of(st.lists(inner, max_size=5), st.dictionaries(NAMES, inner, max_size=3)),
    max_leaves=6,
)


def spots(tree: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """The path of every node of a tree."""
    inner = tree.items() if isinstance(tree, dict) else enumerate(tree) if isinstance(tree, list) else ()
    return [path, *(spot for key, value in inner for spot in spots(value, (*path, key)))]


def mutated(tree: Any, data: st.DataObject) -> Any:
    """A tree with one node replaced, removed, or given company."""
    tree = json.loads(json.dumps(tree))
    path = data.draw(st.sampled_from(spots(tree)))
    if not path:
        return data.draw(VALUES)
    parent = tree
    for step in path[:-1]:
        parent = parent[step]
    match data.draw(st.sampled_from(["replace", "remove", "add", "nudge", "nudge"])):
        case "nudge":
            # Another value of its kind, which is often as good.
            before = parent[path[-1]]
            number = isinstance(before, int | float) and not isinstance(before, bool)
            parent[path[-1]] = (
                data.draw(st.integers(1, 9)) if number else f"{before}x" if isinstance(before, str) else before
            )
        case "replace":
            parent[path[-1]] = data.draw(VALUES)
        case "remove":
            del parent[path[-1]]
        case "add" if isinstance(parent, dict):
            parent[data.draw(NAMES)] = data.draw(VALUES)
        case "add":
            parent.insert(path[-1], data.draw(VALUES))
    return tree


@pytest.mark.parametrize("times", [100, pytest.param(5000, marks=pytest.mark.campaign)])
@pytest.mark.parametrize("kind", sorted(KINDS))
def test_both_accept_or_both_refuse_a_changed_file(kind: str, times: int, validators: dict[str, Any]) -> None:
    """On a file with any one or two changes, reader and schema agree: the same hundred here each time, thousands of others in the campaign."""
    seed = as_editor(EXAMPLES[kind].partition("---")[0])
    seen = {True: 0, False: 0}

    @settings(max_examples=times, deadline=None, derandomize=times <= 100)
    @given(data=st.data())
    def agree(data: st.DataObject) -> None:
        tree = mutated(seed, data)
        if data.draw(st.booleans()) and isinstance(tree, dict):
            tree = mutated(tree, data)
        refused = not validators[kind].is_valid(tree)
        # JSON is YAML, with strings in quotes and numbers without.
        assert reader_refuses(kind, json.dumps(tree, ensure_ascii=False)) == refused, json.dumps(tree)
        seen[refused] += 1

    agree()
    assert min(seen.values()) > times // 14


def test_the_committed_schemas_and_page_are_fresh() -> None:
    """`schema/` and docs/format.md hold what the shapes say."""
    for name, text in schema_texts().items():
        assert (ROOT / "schema" / name).read_text(encoding="utf-8") == text, "run matrixmap schema"
    page = (ROOT / "docs" / "format.md").read_text(encoding="utf-8")
    assert page == format_page(), "run matrixmap schema --page > docs/format.md"


def test_every_field_is_on_the_page() -> None:
    """The reference page names each field of each shape."""
    page = format_page()
    for shape in kinds().values():
        assert all(f"| `{name}` |" in page for name in shape.fields)


def test_the_examples_of_the_page_are_used(tmp_path: Path) -> None:
    """The examples read together without a finding; those of parts stand one below the other."""
    files = {
        ("machine", "corner"): EXAMPLES["machine"],
        ("host", "bench"): EXAMPLES["host"],
        ("layout", "corner-bench"): EXAMPLES["layout"],
        ("adapter", "corner-board"): EXAMPLES["adapter"],
    }
    parts = EXAMPLES["part"].split("---\n")
    files |= {("part", as_editor(text)["part"]): text for text in parts}
    folder = MemoryFolder({key: text.encode() for key, text in files.items()})
    project = Project([folder, shipped_folder()], ())
    assert read_layout(project, "corner-bench").machine.id == "corner"
    assert project.adapter("corner-board").findings == ()
    for kind, shape in kinds().items():
        shown = {field for text in (parts if kind == "part" else [EXAMPLES[kind]]) for field in as_editor(text)}
        assert shown >= set(shape.fields) - {"base", "title", "accept", "netlist"}


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_the_comment_of_a_new_file_leads_to_its_schema(kind: str) -> None:
    """The path in the comment, from the folder of the file, is that of the committed schema."""
    path = schema_comment(kind).removeprefix("# yaml-language-server: $schema=").rstrip("\n")
    assert (ROOT / KINDS[kind] / path).resolve() == ROOT / "schema" / f"{kind}.json"
