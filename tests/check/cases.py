"""The cases of the rules: a folder a slug, with a layout that shows the fault and one that does not."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

import yaml

from matrixmap.check.registry import known_slugs
from matrixmap.join.plan import compile_plan
from matrixmap.model.plan import Plan
from matrixmap.source.folder import shipped_folder
from matrixmap.source.kinds.project import Project
from tests.kept import kept

CASES = Path(__file__).parents[1] / "cases"
REQUIRED = {"bad", "good", "expected"}
OPTIONAL = {"machine", "bad_machine", "good_machine"}
ROW = {"line", "severity", "count"}


@dataclass(frozen=True, slots=True)
class TextFolder:
    """Files by kind and id, held in memory."""

    files: Mapping[tuple[str, str], str]

    def misnamed(self, kind: str) -> Iterable[str]:
        return ()

    def ids(self, kind: str) -> Iterable[str]:
        return sorted(id for other, id in self.files if other == kind)

    def read(self, kind: str, id: str) -> bytes | None:
        text = self.files.get((kind, id))
        return None if text is None else text.encode()

    def name(self, kind: str, id: str) -> str:
        return f"{kind}/{id}.yaml"


@dataclass(frozen=True, slots=True)
class Case:
    """The case of one rule."""

    slug: str
    bad: str
    good: str
    bad_machine: str | None
    good_machine: str | None
    expected: tuple[tuple[int, str, int], ...]


def case_slugs() -> list[str]:
    return sorted(path.name for path in CASES.iterdir() if path.is_dir())


def load_case(slug: str) -> Case:
    """The case of a slug; an assertion fails for unknown or missing fields."""
    files = [path.name for path in (CASES / slug).iterdir()]
    assert files == ["case.yaml"], f"{slug} holds {files}"
    fields = yaml.safe_load((CASES / slug / "case.yaml").read_text())
    assert REQUIRED <= set(fields) <= REQUIRED | OPTIONAL, f"{slug} has the fields {sorted(fields)}"
    assert fields["expected"], f"{slug} expects nothing"
    assert all(set(row) == ROW for row in fields["expected"]), f"{slug}: a row has {sorted(ROW)}"
    shared = fields.get("machine")
    return Case(
        slug=slug,
        bad=fields["bad"],
        good=fields["good"],
        bad_machine=fields.get("bad_machine", shared),
        good_machine=fields.get("good_machine", shared),
        expected=tuple((row["line"], row["severity"], row["count"]) for row in fields["expected"]),
    )


def case_project(layouts: Mapping[str, str], machines: Iterable[str] = ()) -> Project:
    """A project of layout texts and machine texts, with the shared small machines, hosts and the shipped data."""
    common = yaml.safe_load((CASES / "common.yaml").read_text())
    files = {("layout", id): text for id, text in layouts.items()}
    files.update({("machine", id): text for id, text in common["machines"].items()})
    files.update({("host", id): text for id, text in common["hosts"].items()})
    for text in machines:
        name = next(line for line in text.splitlines() if line.startswith("machine: "))
        files["machine", name.removeprefix("machine: ")] = text
    return Project([TextFolder(files), shipped_folder()], known_slugs())


def plan_of(text: str, machine: str | None = None) -> Plan:
    """The plan of the text of a layout called `case`."""
    with kept():
        loaded = case_project({"case": text}, [machine] if machine else []).layout("case")
    assert loaded is not None
    assert loaded.value is not None, [finding.text for finding in loaded.findings]
    return compile_plan(loaded.value)
