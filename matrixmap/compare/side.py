"""One side of a comparison: the origin and the contents of its files."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from matrixmap.model.layout import Layout
from matrixmap.source.folder import KINDS, SUFFIX
from matrixmap.source.kinds.project import Loaded, Project


@dataclass(frozen=True, slots=True)
class LayoutFile:
    """A layout file outside the folders of a project."""

    id: str
    name: str
    data: bytes


@dataclass(frozen=True, slots=True)
class Side:
    """One side of a comparison: its name as the user gave it, and its project.

    With a `file` it has only that layout, and the project provides machine and host. `before_first` is set for a
    revision without a folder of layouts, so that all layouts of the other side are new.
    """

    name: str
    project: Project
    file: LayoutFile | None = None
    before_first: bool = False

    def own_ids(self) -> tuple[str, ...]:
        """The layouts in the side's own folder."""
        if self.file is not None:
            return (self.file.id,)
        return tuple(entry.id for entry in self.project.entries("layout") if entry.folder == 0)

    def all_ids(self) -> tuple[str, ...]:
        """The layouts of the side, including the shipped ones."""
        return (self.file.id,) if self.file is not None else self.project.ids("layout")

    def taken(self, ids: Iterable[str]) -> set[str]:
        """The files of layouts that are missing in the side's own folder and come from the shipped set."""
        if len(self.project.folders) < 2:
            return set()
        own = {kind: frozenset(self.project.folders[0].ids(kind)) for kind in KINDS}
        loaded = filter(None, map(self.load, ids))
        names = {name for some in loaded for name, _ in some.inputs}
        cells = ((name, *kind_and_id(name)) for name in names)
        return {name for name, kind, id in cells if kind and id not in own[kind]}

    def misnamed(self) -> tuple[str, ...]:
        """Names in the side's own folder that look like project files but are not read."""
        return tuple(name for kind in KINDS for name in self.project.folders[0].misnamed(kind))

    def text(self, name: str) -> bytes | None:
        """The bytes of a file by its name in the inputs of a layout, None if there is none."""
        if self.file is not None and name == self.file.name:
            return self.file.data
        kind, id = kind_and_id(name)
        found = (folder.read(kind, id) for folder in self.project.folders) if kind else ()
        return next((data for data in found if data is not None), None)

    def shown(self, name: str) -> str:
        """A file as findings name it."""
        kind, id = kind_and_id(name)
        for folder in self.project.folders if kind else ():
            if id in folder.ids(kind):
                return folder.name(kind, id)
        return name

    def load(self, id: str) -> Loaded[Layout] | None:
        """A layout, or None if there is none with that id."""
        if self.file is None:
            return self.project.layout(id)
        if id != self.file.id:
            return None
        return self.project.layout_text(id, self.file.name, self.file.data)


def kind_and_id(name: str) -> tuple[str, str]:
    """Kind and id of a file by its name; the kind is empty for a file outside the folders of a project."""
    folder, _, file = name.rpartition("/")
    return next((kind for kind, known in KINDS.items() if known == folder), ""), file.removesuffix(SUFFIX)


def changed_lines(old: bytes, new: bytes) -> tuple[int, ...]:
    """The numbers of the changed lines of a text, from 1 on."""
    from difflib import SequenceMatcher

    before, after = old.splitlines(), new.splitlines()
    found: set[int] = set()
    for kind, _, _, first, last in SequenceMatcher(None, before, after, autojunk=False).get_opcodes():
        if kind == "delete":
            found.add(min(first + 1, max(1, len(after))))
        elif kind != "equal":
            found.update(range(first + 1, last + 1))
    return tuple(sorted(found))
