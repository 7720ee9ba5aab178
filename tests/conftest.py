"""What every test may use: the tools of the machine, and the C that a build writes."""

from __future__ import annotations

import gc
import os
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path
from types import ModuleType

import pytest

from matrixmap.cli.main import QUIET_ALLOCATIONS
from tests import tools
from tests.browser import Browser
from tests.once import Once
from tests.project import matrixmap


def pytest_addoption(parser: pytest.Parser) -> None:
    """`--no-install`: leave the machine as it is."""
    parser.addoption("--no-install", action="store_true", help="install no missing tool, even as root")


def pytest_configure(config: pytest.Config) -> None:
    """Missing tools are installed once, before any worker of a parallel run starts."""
    gc.set_threshold(QUIET_ALLOCATIONS)
    worker = hasattr(config, "workerinput")
    if worker or config.option.collectonly or config.option.no_install or config.option.help:
        return
    told = tools.install_missing()
    if told:
        print(told)


def skipped(config: pytest.Config) -> Counter[str]:
    """Reason -> how many tests of the run were skipped for it; a worker of a parallel run knows of none."""
    reporter = config.pluginmanager.get_plugin("terminalreporter")
    reports = reporter.stats.get("skipped", []) if reporter else []
    return Counter(report.longrepr[2].removeprefix("Skipped: ") for report in reports)


@pytest.hookimpl(tryfirst=True)
def pytest_sessionfinish(session: pytest.Session) -> None:
    """Where CI is set, a run that skipped a test has failed, whatever the test made of the missing tool."""
    if os.environ.get("CI") and skipped(session.config) and session.exitstatus == pytest.ExitCode.OK:
        session.exitstatus = pytest.ExitCode.TESTS_FAILED


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter, config: pytest.Config) -> None:
    """Each reason to skip tests is named at the end, with their number."""
    reasons = skipped(config)
    if reasons:
        terminalreporter.section("skipped, and CI asks for every check" if os.environ.get("CI") else "skipped")
    for reason, count in sorted(reasons.items()):
        terminalreporter.line(f"{count} {'test' if count == 1 else 'tests'}: {reason}")


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """One browser for all tests of a worker."""
    with Browser() as started:
        yield started


@pytest.fixture(scope="session")
def missing_tool() -> Callable[[str], None]:
    """Ends the test with the name of what is missing."""
    return tools.missing


@pytest.fixture(scope="session")
def outside_module() -> Callable[[str, str], ModuleType]:
    """Imports a module of an outside tool; its package is named where it cannot be imported."""
    return tools.module


@pytest.fixture(scope="session")
def once(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Once:
    """Makes a folder once for all workers of a run."""
    return Once(request.config, tmp_path_factory)


@pytest.fixture(scope="session")
def built(once: Once) -> Path:
    """A folder with all that a build of the shipped layouts writes, from a folder of its own, with another hash seed and locale.

    It is one build for all tests of a run: they read it and write nothing to it.
    """

    def build(folder: Path) -> None:
        env = {"PYTHONHASHSEED": "99", "LC_ALL": "C", "TZ": "America/Lima"}
        done = matrixmap("build", "--quiet", "--out", folder / "out", cwd=folder, env=env)
        assert done.returncode == 0, done.stderr
        assert done.stdout == ""

    return once.folder("build", build) / "out"
