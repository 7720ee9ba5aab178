"""Plans of a layout, a machine and a host that stand in the test."""

from collections.abc import Callable

import pytest

from matrixmap.check.registry import known_slugs
from matrixmap.join.plan import compile_plan
from matrixmap.model.plan import Plan
from matrixmap.source.folder import shipped_folder
from matrixmap.source.kinds.project import Project
from tests.project import read_layout
from tests.source.memory import MemoryFolder


@pytest.fixture(scope="session")
def compile_text() -> Callable[..., Plan]:
    """The plan of a layout called bench; machine and host, if given, are called so as well, all else is shipped."""

    def compiled(layout: str, **others: str) -> Plan:
        files = {(kind, "bench"): text.encode() for kind, text in {"layout": layout, **others}.items()}
        return compile_plan(read_layout(Project([MemoryFolder(files), shipped_folder()], known_slugs()), "bench"))

    return compiled
