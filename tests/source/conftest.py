"""A small project in memory: the demo's machine, two of its hosts, and the file under test."""

from collections.abc import Callable

import pytest

from matrixmap.source.folder import KINDS
from matrixmap.source.kinds.project import Loaded, Project
from matrixmap.source.rules import READING_RULES
from tests.project import ROOT
from tests.source.memory import MemoryFolder

SLUGS = (*(rule.slug for rule in READING_RULES), "one-shift-only")
SHIPPED = {
    "machine": ("quillon8",),
    "host": ("base", "en-GB", "en-US"),
    "part": (
        *("resistor", "resistor-array-8", "capacitor", "jumper", "plug-1x3", "socket-2x11", "ribbon-2x11"),
        *("atmega328p", "switch-array-8x8", "mosfet-n", "usb-power"),
    ),
}


def shipped_files() -> dict[tuple[str, str], bytes]:
    """The files that every file under test may lean on."""
    return {(kind, id): (ROOT / KINDS[kind] / f"{id}.yaml").read_bytes() for kind, ids in SHIPPED.items() for id in ids}


def load(project: Project, kind: str, id: str) -> Loaded:
    """What reading one file gives."""
    readers = {
        "machine": project.machine,
        "host": project.host,
        "layout": project.layout,
        "part": project.part,
        "adapter": project.adapter,
    }
    loaded = readers[kind](id)
    assert loaded is not None
    return loaded


@pytest.fixture(scope="session")
def read_bytes() -> Callable[..., Loaded]:
    """Reads bytes as the file of a kind and id; further files of that kind may stand beside it."""
    shipped = shipped_files()

    def read(kind: str, id: str, data: bytes, **beside: bytes) -> Loaded:
        others = {(kind, other): text for other, text in beside.items()}
        return load(Project([MemoryFolder({**shipped, **others, (kind, id): data})], SLUGS), kind, id)

    return read


@pytest.fixture(scope="session")
def read_text(read_bytes: Callable[..., Loaded]) -> Callable[..., Loaded]:
    """Reads a text as the file of a kind and id."""

    def read(kind: str, id: str, text: str, **beside: str) -> Loaded:
        return read_bytes(kind, id, text.encode(), **{name: other.encode() for name, other in beside.items()})

    return read


@pytest.fixture(scope="session")
def project_of() -> Callable[..., Project]:
    """A project of the shipped files and some layouts."""
    shipped = shipped_files()

    def make(**layouts: str) -> Project:
        files = {("layout", id): text.encode() for id, text in layouts.items()}
        return Project([MemoryFolder({**shipped, **files})], SLUGS)

    return make


@pytest.fixture(scope="session")
def read_bytes_of() -> Callable[..., Loaded]:
    """Reads one of several files, which stand before the shipped ones."""
    shipped = shipped_files()

    def read(wanted: tuple[str, str], files: dict[tuple[str, str], bytes]) -> Loaded:
        return load(Project([MemoryFolder({**shipped, **files})], SLUGS), *wanted)

    return read
