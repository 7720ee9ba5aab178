"""What the README shows is what the program does."""

import re
import subprocess
from pathlib import Path

from tests.project import call

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
STRICT = ["-std=c99", "-Wall", "-Wextra", "-Wpedantic", "-Wconversion", "-Wshadow", "-Wundef", "-Werror"]


def blocks(language: str) -> list[str]:
    """The fenced blocks of a language, in order."""
    return re.findall(rf"^```{language}\n(.*?)^```", README, flags=re.MULTILINE | re.DOTALL)


def run(*arguments: str, cwd: Path = ROOT, expect: int = 0) -> str:
    """Runs the command line of this environment."""
    done = call(*arguments, cwd=cwd)
    assert done.returncode == expect, done.stdout + done.stderr
    return done.stdout


def test_the_firmware_snippet_compiles(built: Path, tmp_path: Path) -> None:
    """The lines of C in the README compile without a warning against a build of the shipped layouts."""
    (snippet,) = blocks("c")
    source = tmp_path / "snippet.c"
    uses = "void start(void); void on_report(const uint8_t *, uint8_t); void every_millisecond(uint16_t);\n"
    source.write_text("#include <stdint.h>\n" + uses + snippet, encoding="utf-8")
    subprocess.run(["gcc", *STRICT, "-I", str(built), "-c", str(source), "-o", str(tmp_path / "s.o")], check=True)


def test_the_first_layout_builds(tmp_path: Path) -> None:
    """The first layout of the README reads without a finding and builds."""
    (layout,) = blocks("yaml")
    (tmp_path / "layouts").mkdir()
    (tmp_path / "layouts" / "my-board.yaml").write_text(layout, encoding="utf-8")
    assert "my-board" in run("build", "my-board", "--out", "out", cwd=tmp_path)
    assert (tmp_path / "out" / "my-board.c").is_file()
    run("show", "my-board", cwd=tmp_path)
    run("check", "my-board", "--fail-on", "error", cwd=tmp_path)


def test_every_command_shown_exists() -> None:
    """Each command that the README shows answers to --help."""
    for name in sorted(set(re.findall(r"^\S*matrixmap (\w+)", "\n".join(blocks("sh")), flags=re.MULTILINE))):
        run(name, "--help")


def test_ci_runs_the_test_command() -> None:
    """CI runs exactly the test command that the README gives."""
    assert "tests/run" in blocks("sh")[1]
    assert (ROOT / ".ci" / "run").read_text(encoding="utf-8").splitlines()[-1] == "exec tests/run"


def test_the_first_paragraph_states_the_job() -> None:
    """The README opens, under its title, with one paragraph that names both ends and the result."""
    first = README.split("\n\n")[1]
    assert not first.startswith("#")
    assert all(word in first for word in ("key matrix", "keyboard", "layout", "C tables", "microcontroller"))
