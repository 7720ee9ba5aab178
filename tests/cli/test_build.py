"""`matrixmap build`: what it writes, when it is fresh, and that it writes all or nothing."""

from __future__ import annotations

import hashlib
import json
import resource
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path

import pytest

from tests.project import ROOT, RUN, call, matrixmap, write_project

ID = "quillon8-en-GB-symbolic"
OTHER = "quillon8-de-DE-symbolic"


def contents(folder: Path) -> Mapping[str, bytes]:
    """Every file below a folder with its bytes."""
    return {str(path.relative_to(folder)): path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file()}


@pytest.fixture(scope="module")
def two_built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder that one run of `build` wrote, with two layouts."""
    out = tmp_path_factory.mktemp("build") / "out"
    done = call("build", ID, OTHER, "--out", out)
    assert done.returncode == 0, done.stderr
    return out


def test_a_layout_makes_four_files(two_built: Path) -> None:
    """Each layout gives a header, a source, a JSON and a key list; once there are runtime, index, CMake and manifest."""
    names = set(contents(two_built))
    layouts = {f"{id}.{suffix}" for id in (ID, OTHER) for suffix in ("c", "h", "json", "md")}
    assert layouts < names
    assert {"mm_runtime.c", "mm_runtime.h", "mm_config.h", "mm_layouts.c", "mm_layouts.h"} < names - layouts
    assert {"CMakeLists.txt", "mm_manifest.json"} < names - layouts


@pytest.mark.parametrize(
    "env",
    [
        {"PYTHONHASHSEED": "1"},
        {"PYTHONHASHSEED": "4711", "TZ": "Asia/Tokyo"},
        {"LC_ALL": "C", "LANG": "C", "PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0"},
        {"LC_ALL": "de_DE.ISO-8859-1", "HOME": "/nowhere", "USER": "someone"},
    ],
)
def test_builds_are_the_same_bytes(two_built: Path, tmp_path: Path, env: dict[str, str]) -> None:
    """Another hash seed, folder, locale, user or time zone: every byte of every file is the same."""
    done = matrixmap("build", ID, OTHER, "--out", tmp_path / "out", cwd=tmp_path, env=env)
    assert done.returncode == 0, done.stderr
    assert contents(tmp_path / "out") == contents(two_built)


SHOWN = (
    "langet41-en-US-symbolic",
    "quillon8-de-DE-symbolic",
    "quillon8-en-US-positional",
    "ricasso12-fo-fo-FO-symbolic",
)
"""The layouts whose files are committed: of each machine one, dead keys, both joins, strokes in turn, diodes and a lock."""


def test_what_is_committed_is_what_a_build_writes(built: Path) -> None:
    """A build of all shipped layouts elsewhere, with another hash seed and locale: the same files, the rest by their hashes."""
    if not (ROOT / ".git").exists():
        pytest.skip("this is no checkout")
    written = contents(built)
    names = subprocess.run(
        ["git", "ls-files", "generated"], cwd=ROOT, capture_output=True, text=True, check=True
    ).stdout.split()
    committed = {name.removeprefix("generated/"): (ROOT / name).read_bytes() for name in names}
    layouts = {f"{id}.{suffix}" for id in SHOWN for suffix in ("c", "h", "json", "md")}
    assert set(committed) == {*layouts, "mm_layouts.c", "mm_layouts.h", "CMakeLists.txt", "mm_manifest.json"}
    assert committed == {name: written[name] for name in committed}
    hashes = json.loads(committed["mm_manifest.json"])["files"]
    told = {name: hashlib.sha256(data).hexdigest() for name, data in written.items() if name != "mm_manifest.json"}
    assert told == hashes


def test_the_summary_has_a_line_a_layout(tmp_path: Path) -> None:
    """`build` tells of each layout its triggers, strokes, characters, and bytes against the floor."""
    done = call("build", ID, OTHER, "--out", tmp_path / "out")
    lines = done.stdout.splitlines()
    assert lines[0].split() == ["layout", "triggers", "strokes", "characters", "header", "table", "floor", "ratio"]
    assert [line.split()[0] for line in lines[1:-2]] == [ID, OTHER]
    assert lines[-2].startswith("floor: ")
    assert lines[-1] == f"{len(contents(tmp_path / 'out'))} files written to {tmp_path / 'out'}"
    assert call("build", ID, "--quiet", "--out", tmp_path / "out").stdout == ""


def test_one_layout_alone(tmp_path: Path) -> None:
    """A named layout is built by itself, and its files are those of the whole build."""
    call("build", ID, "--out", tmp_path / "out")
    names = {name for name in contents(tmp_path / "out") if not name.startswith(("mm_", "CMake"))}
    assert names == {f"{ID}.{suffix}" for suffix in ("c", "h", "json", "md")}


def test_a_layout_named_twice_is_built_once(tmp_path: Path) -> None:
    """The same layout twice in one call is one table."""
    done = call("build", ID, ID, "--out", tmp_path / "out")
    assert done.returncode == 0, done.stderr
    assert (tmp_path / "out" / "mm_layouts.h").read_text().count("#define MM_LAYOUTS 1u") == 1


class TestCheck:
    """`build --check` writes nothing: 0 for fresh, 1 for stale."""

    @pytest.fixture
    def out(self, two_built: Path, tmp_path: Path) -> Path:
        """A copy of a built folder."""
        for name, data in contents(two_built).items():
            (tmp_path / "out").mkdir(exist_ok=True)
            (tmp_path / "out" / name).write_bytes(data)
        return tmp_path / "out"

    def check(self, out: Path) -> subprocess.CompletedProcess[str]:
        """A run that must not change the folder."""
        before = contents(out.parent)
        done = call("build", ID, OTHER, "--check", "--out", out)
        assert contents(out.parent) == before
        return done

    def test_fresh(self, out: Path) -> None:
        """What a build wrote is fresh."""
        done = self.check(out)
        assert (done.returncode, done.stderr) == (0, "")

    def test_files_of_others_do_not_count(self, out: Path) -> None:
        """A file that no build wrote may stand there."""
        (out / "main.c").write_text("int main(void) { return 0; }\n")
        assert self.check(out).returncode == 0

    @pytest.mark.parametrize("name", [f"{ID}.c", f"{ID}.json", "mm_runtime.c", "mm_layouts.h", "mm_manifest.json"])
    def test_a_changed_file_is_stale(self, out: Path, name: str) -> None:
        """One byte more in any file is told by its name."""
        (out / name).write_bytes((out / name).read_bytes() + b"\n")
        done = self.check(out)
        assert done.returncode == 1
        assert f"{out / name}: is stale" in done.stderr

    def test_a_missing_file_is_stale(self, out: Path) -> None:
        """So is a missing one."""
        (out / f"{ID}.h").unlink()
        done = self.check(out)
        assert done.returncode == 1
        assert f"{out / f'{ID}.h'}: is missing" in done.stderr

    def test_a_file_of_a_layout_that_is_gone_is_stale(self, out: Path) -> None:
        """A file that an earlier build wrote and this one would not is told."""
        before = contents(out)
        done = call("build", ID, "--check", "--out", out)
        assert done.returncode == 1
        assert f"{OTHER}.c: no layout makes this file any more" in done.stderr
        assert contents(out) == before

    @pytest.mark.parametrize("text", ["", "{", "[]", '{"files": 3}', '{"files": {"../x": ""}}', "\x00\xff"])
    def test_a_damaged_manifest_is_stale(self, out: Path, text: str) -> None:
        """A manifest of any content is at worst stale."""
        (out / "mm_manifest.json").write_bytes(text.encode("latin-1"))
        done = self.check(out)
        assert done.returncode == 1
        assert "Traceback" not in done.stderr

    def test_an_empty_folder_and_none_are_stale(self, tmp_path: Path) -> None:
        """Where nothing was built, everything is missing, and no folder appears."""
        assert self.check(tmp_path / "nowhere").returncode == 1
        assert not (tmp_path / "nowhere").exists()


class TestCannotWrite:
    """Where not all files can be written, none is: exit code 2 and the folder as it was."""

    def test_a_file_stands_where_the_folder_should(self, tmp_path: Path) -> None:
        """The folder's name is taken by a file."""
        (tmp_path / "out").write_text("mine")
        done = call("build", ID, "--out", tmp_path / "out")
        assert done.returncode == 2
        assert f"cannot write to {tmp_path / 'out'}: it is a file" in done.stderr
        assert contents(tmp_path) == {"out": b"mine"}

    def test_a_folder_stands_where_a_file_should(self, tmp_path: Path) -> None:
        """A file's name is taken by a folder: nothing else is written either."""
        (tmp_path / "out" / "mm_runtime.c").mkdir(parents=True)
        (tmp_path / "out" / f"{ID}.c").write_text("old")
        done = call("build", ID, "--out", tmp_path / "out")
        assert done.returncode == 2
        assert "it is a folder" in done.stderr
        assert contents(tmp_path / "out") == {f"{ID}.c": b"old"}

    @pytest.mark.parametrize("limit", [0, 100, 4096, 20_000])
    def test_the_disk_fills_up(self, tmp_path: Path, limit: int) -> None:
        """A file cannot be written to its end: the old ones stand, and no temporary one is left."""
        (tmp_path / "out").mkdir()
        (tmp_path / "out" / "main.c").write_text("old")
        words = [sys.executable, "-B", "-c", RUN, "build", ID, "--out", str(tmp_path / "out")]
        done = subprocess.run(
            words,
            cwd=ROOT,
            env={"PYTHONPATH": str(ROOT), "PATH": "/usr/bin:/bin"},
            capture_output=True,
            text=True,
            check=False,
            preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit)),
        )
        assert done.returncode == 2, done.stderr
        assert "File too large" in done.stderr
        assert contents(tmp_path) == {"out/main.c": b"old"}

    def test_a_broken_layout_writes_nothing(self, tmp_path: Path) -> None:
        """One layout of several cannot be read: its findings, exit code 2, no folder."""
        write_project(
            tmp_path, {"layouts/broken.yaml": "layout: broken\nmachine: quillon9\nhost: en-GB\njoin: symbolic\n"}
        )
        done = call("build", ID, "broken", cwd=tmp_path)
        assert done.returncode == 2
        assert done.stderr.startswith("layouts/broken.yaml:2:10: unknown-machine: ")
        assert "did you mean quillon8?" in done.stderr
        assert contents(tmp_path).keys() == {"layouts/broken.yaml"}

    @pytest.mark.parametrize("kind", ["layout", "machine"])
    def test_ids_that_differ_in_case_only(self, kind: str, tmp_path: Path) -> None:
        """Two layouts, or the headers of two machines, that would be one file on many disks are refused with both places."""
        machine = (ROOT / "shared" / "machines" / "quillon8.yaml").read_text(encoding="utf-8")
        other = "Board" if kind == "layout" else "bench"
        files = {
            "layouts/board.yaml": "layout: board\nmachine: quillon8\nhost: en-GB\njoin: symbolic\n",
            f"layouts/{other}.yaml": f"layout: {other}\nmachine: {'Quillon8' if kind == 'machine' else 'quillon8'}\n"
            "host: en-GB\njoin: symbolic\n",
            "shared/machines/quillon8.yaml": machine,
            "shared/machines/Quillon8.yaml": machine.replace("machine: quillon8", "machine: Quillon8"),
        }
        if len(list((write_project(tmp_path, files) / "shared/machines").iterdir())) < 2:
            pytest.skip("this disk does not tell letter cases apart")
        done = call("build", cwd=tmp_path)
        first, second, places = {
            "layout": ("Board", "board", ("layouts/Board.yaml:1:9", "layouts/board.yaml:1:9")),
            "machine": (
                "Quillon8",
                "quillon8",
                ("shared/machines/Quillon8.yaml:3:10", "shared/machines/quillon8.yaml:3:10"),
            ),
        }[kind]
        assert done.returncode == 2
        assert [line for line in done.stderr.splitlines() if not line.startswith("note: ")] == [
            f"{places[1]}: ids-differ-in-case: {second} differs from the {kind} {first} ({places[0]}) only in case, "
            "so both would share one file; rename one, or build them into different folders",
            "1 finding; nothing was used",
        ]
        assert contents(tmp_path).keys() == files.keys()

    @pytest.mark.parametrize(
        "words",
        [
            ("build", ID),
            ("page", ID, "--out", "try.html"),
            ("type", ID, "a", "--engine", "c"),
            ("trace", ID, "a.txt", "--engine", "c"),
        ],
    )
    def test_a_layout_too_large_for_a_table(self, words: tuple[str, ...], tmp_path: Path) -> None:
        """A machine too slow for a table's times is refused with its layout's name by all that need the table."""
        machine = (ROOT / "shared" / "machines" / "quillon8.yaml").read_text(encoding="utf-8")
        slow = machine.replace("period_us: 14000", "period_us: 1000000").replace("samples_down: 2", "samples_down: 16")
        files = {"shared/machines/quillon8.yaml": slow, "a.txt": "down KeyA\n"}
        done = call(*words, cwd=write_project(tmp_path, files))
        assert (done.returncode, done.stdout) == (2, "")
        assert f"{ID} cannot be built: " in done.stderr
        assert "your machine quillon8 is used in place of the shipped one" in done.stderr
        assert contents(tmp_path).keys() == files.keys()

    @pytest.mark.parametrize("engine", ["model", "c"])
    @pytest.mark.parametrize("played", ["down KeyA\n", "E: 0.0 8 00 00 04 00 00 00 00 00\n"])
    def test_more_sequences_than_a_table_has(self, played: str, engine: str, tmp_path: Path) -> None:
        """The reference model plays by the table too: a script and a recording are refused where there can be none."""
        names = [f"k{number}" for number in range(32)]
        lines = [f"S{number // 8}: [{', '.join(names[number : number + 8])}]" for number in range(0, 32, 8)]
        sense = ", ".join(f"N{number}" for number in range(8))
        machine = (
            "machine: m\ntitle: M\nsource: made for this test\n"
            f"matrix: {{select: [S0, S1, S2, S3], sense: [{sense}], grid: {{{', '.join(lines)}}}}}\n"
            f"types: {{{', '.join(f'{name}: {{plain: none}}' for name in names)}}}\n"
            f"sequences: {{{', '.join(f'{chr(0x61 + number)}: [k{number}, k31]' for number in range(26))},"
            " '1': [k26, k31], '2': [k27, k31], '3': [k28, k31]}\n"
            "scan: {period_us: 20000}\n"
        )
        layout = "layout: x\nmachine: m\nhost: en-US\njoin: symbolic\n"
        files = {"shared/machines/m.yaml": machine, "layouts/x.yaml": layout, "a.txt": played}
        done = call("trace", "x", "a.txt", "--engine", engine, cwd=write_project(tmp_path, files))
        assert (done.returncode, done.stdout) == (2, ""), done.stderr
        assert "x cannot be built: 30 dead keys and first strokes of sequences" in done.stderr
