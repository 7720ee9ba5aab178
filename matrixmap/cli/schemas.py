"""The schemas of a project: made from what it has, written where its files lead to."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from matrixmap.model.finding import Finding
    from matrixmap.model.host import Host
    from matrixmap.source.project import Project
    from matrixmap.source.project_schema import Names


def names_of(project: Project) -> tuple[Names, tuple[Finding, ...]]:
    """What a project has, and the findings on those of its machines and hosts that cannot be read, whose names are missing."""
    from matrixmap.check.registry import CHECK_RULES, known_slugs
    from matrixmap.source.project_schema import Names

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
    """The functions that keys of hosts have, by name: W3C key values."""
    texts = {legend.text for host in hosts for key in host.keys.values() for legend in key.legends if legend}
    return sorted(text for text in texts if len(text) > 1)


def schemas_beside(root: Path) -> Mapping[Path, str]:
    """The schemas that go with new files below a root: those of the project as it is by now.

    General schemas that stand there stay, for the folder may be where these are kept.
    """
    from matrixmap.cli.files import read_text
    from matrixmap.cli.session import open_project
    from matrixmap.source.project_schema import is_general, project_schema_texts
    from matrixmap.source.schema import SCHEMA_FOLDER

    texts = {
        root / SCHEMA_FOLDER / name: text
        for name, text in project_schema_texts(names_of(open_project(root))[0]).items()
    }
    return {path: text for path, text in texts.items() if (there := read_text(path)) is None or not is_general(there)}
