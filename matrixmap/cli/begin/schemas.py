"""The schemas of a project: made from its names, and written to the place that its files give."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from matrixmap.model.finding import Finding
    from matrixmap.model.host import Host
    from matrixmap.source.kinds.project import Project
    from matrixmap.source.shape.project_schema import Names


def names_of(project: Project) -> tuple[Names, tuple[Finding, ...]]:
    """The names of a project, and the findings on unreadable machines and hosts, which have no names here."""
    from matrixmap.check.registry import CHECK_RULES, known_slugs
    from matrixmap.source.shape.project_schema import Names

    machines, hosts, bases = {}, {}, {}
    findings: list[Finding] = []
    read: list[Host] = []
    for id in project.ids("machine"):
        machine = project.machine(id)
        if machine and machine.value:
            machines[id] = machine.value
        findings += machine.findings if machine else []
    for id in project.ids("host"):
        draft = project.host_draft(id)
        findings += draft.findings if draft else []
        bases[id] = draft.value.title if draft and draft.value else ""
        host = project.host(id) if not project.is_base(id) else None
        if host and host.value:
            hosts[id] = host.value.title
            read.append(host.value)
    names = Names(
        machines=machines,
        layouts={entry.id: project.machine_of_layout(entry.id) for entry in project.files("layout")},
        hosts=hosts,
        bases=bases,
        functions=_functions(read),
        rules=CHECK_RULES,
        slugs=known_slugs(),
    )
    return names, tuple(dict.fromkeys(findings))


def _functions(hosts: list[Host]) -> list[str]:
    """The functions on keys of hosts, by name: W3C key values."""
    texts = {legend.text for host in hosts for key in host.keys.values() for legend in key.legends if legend}
    return sorted(text for text in texts if len(text) > 1)


@dataclass(frozen=True, slots=True)
class _NewFiles:
    """Files of a project that are about to be written, as a folder in front of the project."""

    root: Path
    texts: Mapping[Path, str]

    def ids(self, kind: str) -> Iterable[str]:
        from matrixmap.source.folder import KINDS

        return sorted(path.stem for path in self.texts if path.parent == self.root / KINDS[kind])

    def misnamed(self, kind: str) -> Iterable[str]:
        return ()

    def read(self, kind: str, id: str) -> bytes | None:
        text = self.texts.get(Path(self.name(kind, id)))
        return None if text is None else text.encode("utf-8")

    def beside(self, kind: str, file: str) -> bytes | None:
        return None

    def name(self, kind: str, id: str) -> str:
        from matrixmap.source.folder import KINDS, SUFFIX

        return str(self.root / KINDS[kind] / f"{id}{SUFFIX}")


def schemas_beside(root: Path, new: Mapping[Path, str]) -> Mapping[Path, str]:
    """The schemas for new files below a root: those of the project including these files.

    General schemas in that folder stay, because it may be the place where they are kept.
    """
    from matrixmap.check.registry import known_slugs
    from matrixmap.cli.files import read_text
    from matrixmap.cli.session import open_project
    from matrixmap.source.kinds.project import Project
    from matrixmap.source.shape.project_schema import is_general, project_schema_texts
    from matrixmap.source.shape.schema import SCHEMA_FOLDER

    there = open_project(root).folders if root.is_dir() else open_project(None).folders[-1:]
    names, _ = names_of(Project([_NewFiles(root, new), *there], known_slugs()))
    texts = {root / SCHEMA_FOLDER / name: text for name, text in project_schema_texts(names).items()}
    return {path: text for path, text in texts.items() if (old := read_text(path)) is None or not is_general(old)}
