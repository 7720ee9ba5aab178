"""Finds CBMC, or unpacks it from the Debian that has it: the one of the tests is older."""

from __future__ import annotations

import os
import platform
import re
import shutil
import subprocess
from collections.abc import Mapping, Sequence
from pathlib import Path

from tests import tools

FOLDER = Path(__file__).parents[2] / ".cbmc"
SUITE = "trixie"  # Debian 13, whose CBMC is 6.6.0
PACKAGES = ("cbmc", "minisat", "zlib1g", "libc6", "libstdc++6", "libgcc-s1")
LISTS = (Path("/etc/apt/sources.list.d/debian.sources"), Path("/etc/apt/sources.list"))


class NotHereError(Exception):
    """CBMC cannot be had: the text says what is missing."""


def command() -> list[str]:
    """The words that start CBMC. NotHereError if this machine has none and can fetch none."""
    if found := shutil.which("cbmc"):
        return [found]
    program = FOLDER / "root" / "usr" / "bin" / "cbmc"
    if platform.machine() != "x86_64" or not tools.fetched(program, FOLDER, _unpack):
        raise NotHereError("cbmc")
    loader = FOLDER / "root" / "usr" / "lib64" / "ld-linux-x86-64.so.2"
    libraries = [str(FOLDER / "root" / "usr" / "lib" / "x86_64-linux-gnu"), str(FOLDER / "root" / "usr" / "lib")]
    return [str(loader), "--library-path", ":".join(libraries), str(program)]


def source_of(text: str) -> str | None:
    """The first source of packages in a list of apt, in either of its forms, with the suite that has CBMC."""
    for stanza in re.split(r"\n\s*\n", text):
        lines = [line for line in stanza.splitlines() if line and not line.startswith("#")]
        if any(line.startswith("URIs:") for line in lines):
            return "\n".join(f"Suites: {SUITE}" if line.startswith("Suites:") else line for line in lines) + "\n"
    for line in text.splitlines():
        if parts := re.fullmatch(r"deb\s+(?:\[([^]]*)\]\s+)?(\S+)\s+\S+\s+(.+)", line.strip()):
            signed = re.search(r"signed-by=(\S+)", parts[1] or "")
            keys = f"Signed-By: {signed[1]}\n" if signed else ""
            return f"Types: deb\nURIs: {parts[2]}\nSuites: {SUITE}\nComponents: {parts[3]}\n{keys}"
    return None


def _unpack() -> None:
    """Downloads the packages by an apt with a state of its own, so that nothing is installed."""
    texts = [path.read_text(encoding="utf-8") for path in LISTS if path.is_file()]
    source = next((found for text in texts if (found := source_of(text)) is not None), None)
    if source is None or shutil.which("apt-get") is None:
        raise NotHereError("cbmc")
    for name in ("parts", "state/lists/partial", "cache/archives/partial", "packages"):
        (FOLDER / name).mkdir(parents=True, exist_ok=True)
    (FOLDER / "parts" / "next.sources").write_text(source, encoding="utf-8")
    (FOLDER / "status").write_text("", encoding="utf-8")
    settings = {
        "Dir::Etc::SourceList": "/dev/null",
        "Dir::Etc::SourceParts": FOLDER / "parts",
        "Dir::State": FOLDER / "state",
        "Dir::State::status": FOLDER / "status",
        "Dir::Cache": FOLDER / "cache",
        "APT::Sandbox::User": "root",
    }
    config = FOLDER / "apt.conf"
    config.write_text("".join(f'{name} "{value}";\n' for name, value in settings.items()), encoding="utf-8")
    environment = {**os.environ, "APT_CONFIG": str(config)}
    _apt(["apt-get", "-qq", "update"], environment)
    _apt(["apt-get", "-qq", "download", *PACKAGES], environment)
    for package in sorted((FOLDER / "packages").glob("*.deb")):
        tools.run("dpkg-deb", "-x", package, FOLDER / "root.part")
    (FOLDER / "root.part").rename(FOLDER / "root")


def _apt(words: Sequence[str], environment: Mapping[str, str]) -> None:
    packages = FOLDER / "packages"
    done = subprocess.run(words, cwd=packages, env=environment, capture_output=True, text=True, check=False)
    if done.returncode != 0:
        raise NotHereError(f"cbmc of Debian {SUITE} ({done.stderr.strip()[-300:]})")
