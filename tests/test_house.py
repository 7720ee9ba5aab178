"""The house: which folder may import which, and what no module of the project does."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PACKAGE = ROOT / "matrixmap"

ORDER = (
    "hid",
    "hid.pads",
    "model.values",
    "model",
    "model.boards",
    "source",
    "source.text",
    "source.shape",
    "source.pads",
    "source.kinds",
    "source.propose",
    "source.write",
    "circuit",
    "board",
    "board.rules",
    "margins",
    "join",
    "press.table",
    "press",
    "simulate.typing",
    "simulate",
    "check.engine",
    "check.counts",
    "check.rules",
    "check",
    "kit.trials",
    "kit",
    "emit.tables",
    "emit.keyboards",
    "emit.texts",
    "emit.pictures",
    "emit.page",
    "emit.boards",
    "compare.sides",
    "compare.items",
    "compare",
    "form.parts",
    "form.margins",
    "form.owner",
    "form",
    "cli",
    "cli.look",
    "cli.judge",
    "cli.play",
    "cli.make",
    "cli.begin",
)
"""The rooms, each of which imports only from itself and from those before it.

`compare` stands behind `emit`, since a change of a layout is a change of its C; `form` behind both, since the page of a
comparison draws layouts.
"""
MOST_MODULES = 15
"""Modules in one room; `__init__.py` counts too."""
HEAVY = {"yaml", "rich", "typer", "pydantic", "xkbcommon"}

# Joined at run time, so that this file does not name them.
FORBIDDEN_TEXT = [
    "".join(parts)
    for parts in (
        ("/wo", "rk/"),
        ("/tmp", "/w/"),
        ("/home", "/"),
        ("design", ".md"),
        ("rulings", ".md"),
        ("style", ".md"),
        ("oracles", ".md"),
        ("pypi", ".org"),
        ("registry", ".npmjs"),
        ("deb", ".debian.org"),
    )
]


@cache
def modules() -> tuple[Path, ...]:
    """Every Python file of the package."""
    return tuple(sorted(PACKAGE.rglob("*.py")))


@cache
def tree(path: Path) -> ast.Module:
    """A file as its syntax tree."""
    return ast.parse(path.read_text(encoding="utf-8"))


def name_of(path: Path) -> str:
    """A file by its place in the repository."""
    return path.relative_to(ROOT).as_posix()


def imports(path: Path, everywhere: bool = True) -> Iterator[str]:
    """The modules that a file imports, inside functions too or only while it is loaded (not for type checking alone)."""
    nodes = ast.walk(tree(path)) if everywhere else iter(tree(path).body)
    for node in nodes:
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{name_of(path)} imports by a relative name"
            folder = ROOT / (node.module or "").replace(".", "/")
            for alias in node.names:
                is_module = (folder / f"{alias.name}.py").is_file()
                yield f"{node.module}.{alias.name}" if is_module else node.module or ""


def room_of(path: Path) -> str:
    """The room of the house that a module is in, with dots; an empty text for the package itself."""
    return ".".join(path.relative_to(PACKAGE).parent.parts)


def imported_rooms(path: Path) -> Iterator[tuple[str, str]]:
    """What a module imports of the package, with the room that it is in."""
    for module in imports(path):
        first, _, rest = module.partition(".")
        if first == "matrixmap":
            name = rest.replace(".", "/")
            yield module, rest if (PACKAGE / name).is_dir() else rest.rpartition(".")[0]


def test_every_room_has_its_place() -> None:
    """The rooms of the package are those of the order, or hold some of them; the C runtime and data beside them."""
    rooms = {room_of(path) for path in modules()} - {""}
    holders = {room.partition(".")[0] for room in ORDER}
    assert rooms == {*ORDER, *holders}
    others = {path.name for path in PACKAGE.iterdir() if path.is_dir() and path.name != "__pycache__"} - holders
    assert others <= {"runtime", "data"}


@pytest.mark.parametrize("path", modules(), ids=name_of)
def test_imports_run_one_way(path: Path) -> None:
    """A room imports only from itself and from those before it in the order."""
    room = room_of(path)
    allowed = {"", *(ORDER[: ORDER.index(room) + 1] if room in ORDER else ())}
    for module, other in imported_rooms(path):
        assert other in allowed, f"{name_of(path)} imports {module}"


@pytest.mark.parametrize("room", ORDER)
def test_no_room_has_a_circle(room: str) -> None:
    """No modules of a room import each other in a circle, not even for type checking."""
    folder = PACKAGE / room.replace(".", "/")
    left = {
        path.stem: {module.rpartition(".")[2] for module, other in imported_rooms(path) if other == room}
        for path in folder.glob("*.py")
    }
    while free := [name for name, wanted in left.items() if not wanted & set(left)]:
        for name in free:
            del left[name]
    assert not left


@pytest.mark.parametrize("room", ORDER)
def test_a_room_is_seen_at_a_glance(room: str) -> None:
    """No room has more modules than a person remembers."""
    assert len(list((PACKAGE / room.replace(".", "/")).glob("*.py"))) <= MOST_MODULES


@pytest.mark.parametrize("path", modules(), ids=name_of)
def test_heavy_modules_load_inside_functions(path: Path) -> None:
    """Only commands load the command-line library at the top; nothing loads yaml or rich before it is needed."""
    loaded = {module.split(".")[0] for module in imports(path, everywhere=False)}
    allowed = {"typer"} if room_of(path).startswith("cli") else set()
    assert not loaded & (HEAVY - allowed)


def test_only_the_command_line_knows_its_library() -> None:
    """Typer is imported in cli/ alone."""
    users = {
        room_of(path).partition(".")[0]
        for path in modules()
        if any(module.startswith("typer") for module in imports(path))
    }
    assert users == {"cli"}


def test_the_runtime_holds_only_c() -> None:
    """matrixmap/runtime/ has C files and headers and nothing else."""
    assert {path.suffix for path in (PACKAGE / "runtime").iterdir()} == {".c", ".h"}


def test_no_drawer_for_the_rest() -> None:
    """No module or folder is called utils, helpers, common or misc."""
    for path in [*modules(), *(ROOT / "tests").rglob("*.py")]:
        assert not {"utils", "util", "helpers", "helper", "common", "misc"} & {*path.parts, path.stem}, name_of(path)


@pytest.mark.parametrize("path", modules(), ids=name_of)
def test_public_things_have_docstrings(path: Path) -> None:
    """Every module, public class and public function of the package says in a docstring what it is."""
    assert ast.get_docstring(tree(path)), f"{name_of(path)} has no docstring"
    for node in tree(path).body:
        if isinstance(node, ast.FunctionDef | ast.ClassDef) and not node.name.startswith("_"):
            assert ast.get_docstring(node), f"{name_of(path)}: {node.name} has no docstring"


@pytest.mark.parametrize("path", modules(), ids=name_of)
def test_no_fault_is_caught_blindly(path: Path) -> None:
    """No `except` takes every exception."""
    for node in ast.walk(tree(path)):
        if isinstance(node, ast.ExceptHandler):
            caught = ast.unparse(node.type) if node.type else ""
            names = set(re.findall(r"\w+", caught))
            assert names, f"{name_of(path)}:{node.lineno} catches everything"
            assert not names & {"Exception", "BaseException"}, f"{name_of(path)}:{node.lineno}"


def test_finished_values_are_frozen() -> None:
    """Every dataclass of model/ is frozen and slotted: what a later step reads cannot change."""
    for path in modules():
        for node in ast.walk(tree(path)) if room_of(path) == "model" else ():
            if isinstance(node, ast.ClassDef):
                for text in map(ast.unparse, node.decorator_list):
                    if text.startswith("dataclass"):
                        assert "frozen=True" in text, f"{name_of(path)}: {node.name}"
                        assert "slots=True" in text, f"{name_of(path)}: {node.name}"


@pytest.mark.parametrize("path", modules(), ids=name_of)
def test_modules_stay_readable(path: Path) -> None:
    """Around 400 lines a module and 40 a function; a quarter more at most."""
    lines = path.read_text(encoding="utf-8").count("\n")
    assert lines <= 500, f"{name_of(path)} has {lines} lines"
    for node in ast.walk(tree(path)):
        if isinstance(node, ast.FunctionDef):
            length = (node.end_lineno or 0) - node.body[0].lineno + 1
            assert length <= 50, f"{name_of(path)}: {node.name} has {length} lines"


def test_every_test_states_its_rule() -> None:
    """A docstring a test."""
    silent = [
        f"{name_of(path)}: {node.name}"
        for path in sorted((ROOT / "tests").rglob("test_*.py"))
        for node in ast.walk(tree(path))
        if isinstance(node, ast.FunctionDef) and node.name.startswith("test_") and not ast.get_docstring(node)
    ]
    assert not silent


def tracked() -> list[Path]:
    """The files that are in the repository."""
    told = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=False)
    if told.returncode != 0:
        pytest.skip("this is no checkout")
    return [ROOT / name for name in told.stdout.split("\0") if name and (ROOT / name).is_file()]


def test_no_place_of_one_machine_is_named() -> None:
    """No file names a path of somebody's machine, a package server, or a paper that is not in the repository."""
    found = []
    for path in tracked():
        data = path.read_bytes()
        text = data.decode("utf-8", "replace")
        found += [f"{name_of(path)}: {word}" for word in FORBIDDEN_TEXT if word in text]
    assert not found


def test_files_are_utf_8_with_line_feeds() -> None:
    """Every text of the repository is UTF-8 and ends its lines with a line feed, the last one too."""
    for path in tracked():
        if path.suffix in {".py", ".yaml", ".toml", ".md", ".c", ".h", ".json", ".txt"} and "broken" not in path.parts:
            data = path.read_bytes()
            data.decode("utf-8")
            assert b"\r" not in data, name_of(path)
            assert not data or data.endswith(b"\n"), name_of(path)


def test_loading_the_package_is_light() -> None:
    """All modules that are no commands load without yaml, rich, typer or pydantic."""
    names = [
        name_of(path).removesuffix(".py").removesuffix("/__init__").replace("/", ".")
        for path in modules()
        if not room_of(path).startswith("cli")
    ]
    code = f"import sys, importlib\nfor name in {names!r}: importlib.import_module(name)\nprint(sorted({HEAVY!r} & set(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def map_rows() -> list[tuple[str, str, str]]:
    """The rows of the map in DEVELOPERS.md: question, file, what stands there."""
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    return re.findall(r"^\| (.+\?) \| `(.+)` \| `(.+)` \|$", text, re.MULTILINE)


@pytest.mark.parametrize(("question", "file", "name"), map_rows(), ids=[row[0] for row in map_rows()])
def test_the_map_leads_somewhere(question: str, file: str, name: str) -> None:
    """Each answer of the map names a file that is there, and a function, class, value or heading in it."""
    path = ROOT / file
    assert path.is_file(), question
    text = path.read_text(encoding="utf-8")
    if path.suffix != ".py":
        assert name in text, question
        return
    named = {
        found
        for node in ast.walk(tree(path))
        for found in (
            *([node.name] if isinstance(node, ast.FunctionDef | ast.ClassDef) else []),
            *([node.target.id] if isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name) else []),
            *([each.id for each in node.targets if isinstance(each, ast.Name)] if isinstance(node, ast.Assign) else []),
        )
    }
    assert name in named, question


def test_the_map_answers_ten_questions() -> None:
    """At least ten, each once."""
    questions = [question for question, _, _ in map_rows()]
    assert len(questions) == len(set(questions)) >= 10


def test_paths_in_the_page_for_contributors_are_there() -> None:
    """Each file or folder that DEVELOPERS.md names is there, as written or below the package."""
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    for name in set(re.findall(r"`((?:[a-z_]+/)+(?:[a-z_]+\.[a-z]+)?)`", text)) - {".cbmc"}:
        assert (ROOT / name).exists() or (PACKAGE / name).exists(), name
