"""Small projects that a test writes out: one machine, host and layout, each called bench, and the shipped hosts."""

from __future__ import annotations

from matrixmap.check.registry import known_slugs
from matrixmap.check.run import find_in_plan
from matrixmap.join.plan import compile_plan
from matrixmap.model.finding import Finding
from matrixmap.model.machine import Machine
from matrixmap.model.plan import Plan
from matrixmap.source.folder import shipped_folder
from matrixmap.source.kinds.project import Loaded, Project
from tests.source.memory import MemoryFolder


def project_of(**files: str) -> Project:
    """A project of one file of each kind given."""
    texts = {(kind, "bench"): text.encode() for kind, text in files.items()}
    return Project([MemoryFolder(texts), shipped_folder()], known_slugs())


def loaded_of(kind: str, **files: str) -> Loaded:
    """What reading the file of a kind gives."""
    project = project_of(**files)
    loaded = {"machine": project.machine, "host": project.host, "layout": project.layout}[kind]("bench")
    assert loaded is not None
    return loaded


def told(kind: str, **files: str) -> list[str]:
    """The findings of the file of a kind, as the command prints them."""
    return [f"{found.place}: {found.slug}: {found.text}" for found in loaded_of(kind, **files).findings]


def machine_of(text: str) -> Machine:
    """The machine of a text without a finding."""
    loaded = loaded_of("machine", machine=text)
    assert isinstance(loaded.value, Machine), loaded.findings
    return loaded.value


def plan_of(**files: str) -> Plan:
    """The plan of a layout without a finding of reading."""
    loaded = loaded_of("layout", **files)
    assert loaded.value is not None, loaded.findings
    return compile_plan(loaded.value)


def found_by(slug: str, plan: Plan) -> list[Finding]:
    """The findings of one rule on a plan."""
    return [finding for finding in find_in_plan(plan).findings if finding.slug == slug]
