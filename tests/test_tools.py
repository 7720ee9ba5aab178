"""Missing tools: named where they are skipped, a failure in CI, installed once where a run may."""

from __future__ import annotations

import pytest

from tests import tools


def test_a_missing_tool_is_a_named_skip(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without CI the test is skipped, and the reason names the tool."""
    monkeypatch.delenv("CI", raising=False)
    with pytest.raises(pytest.skip.Exception, match="no-such-compiler is missing"):
        tools.tool("no-such-compiler")
    with pytest.raises(pytest.skip.Exception, match="a package"):
        tools.module("no_such_module", "a package")


@pytest.mark.parametrize("value", ["true", "1", "yes"])
def test_a_missing_tool_fails_in_ci(monkeypatch: pytest.MonkeyPatch, value: str) -> None:
    """Where CI is set to anything, the test fails."""
    monkeypatch.setenv("CI", value)
    with pytest.raises(pytest.fail.Exception, match="no-such-compiler is missing"):
        tools.tool("no-such-compiler")


def test_the_list_of_packages() -> None:
    """A package a line, comments aside; each is a name that Debian allows, and none stands twice."""
    assert tools.listed_packages("# all\ngcc\n\navr-libc   # AVR\n") == ["gcc", "avr-libc"]
    packages = tools.listed_packages(tools.PACKAGES.read_text(encoding="utf-8"))
    assert {"gcc", "clang", "gcc-avr", "simavr", "valgrind"} <= set(packages)
    assert len(packages) == len(set(packages))
    assert all(name.replace("-", "").replace("+", "").replace(".", "").isalnum() for name in packages)


def test_nothing_is_installed_without_the_rights(monkeypatch: pytest.MonkeyPatch) -> None:
    """Who is not root gets no package installed, whatever is missing."""
    monkeypatch.setattr(tools.os, "geteuid", lambda: 1000)
    monkeypatch.setattr(tools, "missing_packages", lambda packages: packages)
    assert tools.install_missing() is None


def test_one_call_installs_all_that_is_missing(monkeypatch: pytest.MonkeyPatch) -> None:
    """As root one update and one install name every missing package."""
    calls: list[list[str]] = []

    def record(command: list[str], **_: object) -> object:
        calls.append(command)
        return tools.subprocess.CompletedProcess(command, 0, "", "")

    monkeypatch.setattr(tools.os, "geteuid", lambda: 0)
    monkeypatch.setattr(tools.shutil, "which", lambda name: f"/usr/bin/{name}")
    monkeypatch.setattr(tools, "missing_packages", lambda packages: packages[:3])
    monkeypatch.setattr(tools.subprocess, "run", record)
    told = tools.install_missing()
    assert len(calls) == 2
    assert calls[0][-1] == "update"
    assert calls[1][-3:] == tools.listed_packages(tools.PACKAGES.read_text(encoding="utf-8"))[:3]
    assert told == f"installed {' '.join(calls[1][-3:])}"
