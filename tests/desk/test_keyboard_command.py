"""`matrixmap keyboard` and `matrixmap trace` on the files that customers send."""

from __future__ import annotations

import json
import random
import re
import shlex
import subprocess
import sys
from hashlib import sha256
from pathlib import Path

import pytest

from matrixmap.emit.keyboards.keyboard_c import report_table
from matrixmap.hid.descriptor import parse_descriptor
from matrixmap.hid.recording import BOOT_DESCRIPTOR
from tests import tools
from tests.desk import compiled, generate, make_keyboards
from tests.project import ROOT, call

VISITORS = sorted(make_keyboards.VISITORS)
LAYOUT = "quillon8-en-GB-symbolic"

FORMS = {
    "binary": BOOT_DESCRIPTOR,
    "hexadecimal": BOOT_DESCRIPTOR.hex(" ").encode(),
    "hexadecimal without blanks": BOOT_DESCRIPTOR.hex().upper().encode() + b"\r\n",
    "lines with remarks": b"# a board\n" + b"\n".join(b"%02x  # byte" % byte for byte in BOOT_DESCRIPTOR),
    "an array in C": b'/* {0x99} */ char *name = "{0x98}";\nconst uint8_t d[] PROGMEM = {\n'
    + b",\n".join(b"0x%02XU /* %d */" % (byte, byte) for byte in BOOT_DESCRIPTOR)
    + b", // end\n};\nint other[] = {1, 2};\n",
    "decimal and binary in C": b"{ 0x05, "
    + b", ".join(b"%d" % byte for byte in BOOT_DESCRIPTOR[1:-1])
    + b", 0b11000000 }",
    "a recording": b"R: 64 " + BOOT_DESCRIPTOR.hex(" ").encode() + b"\nE: 0.1 8 00 00 04 00 00 00 00 00\n",
}


@pytest.mark.parametrize("form", FORMS)
def test_forms_of_a_descriptor(form: str, tmp_path: Path) -> None:
    """However a descriptor is handed on, it is the same keyboard."""
    file = tmp_path / "board"
    file.write_bytes(FORMS[form])
    done = call("keyboard", str(file), "--format", "json")
    assert (done.returncode, done.stderr) == (0, "")
    (board,) = json.loads(done.stdout)["keyboards"]
    assert board["descriptor"] == BOOT_DESCRIPTOR.hex()
    assert board["boot"] == {"readable": True, "reasons": [], "keys_elsewhere": []}


REFUSED = {
    "empty": (b"", "byte 0: the descriptor is empty"),
    "truncated": (BOOT_DESCRIPTOR[:40], "byte 40: 1 collection is not closed"),
    "cut in an item": (b"\x05\x01\x26\xff", "byte 2: the descriptor ends inside the item 0x26 (Logical Maximum)"),
    "junk": (b"05 01 zz\n", ":1: 'zz' is not pairs of hexadecimal digits"),
    "junk in C": (b"{ 0x05,\n 0x01, sizeof(x) }", ":2: 'sizeof' is not a byte such as 0x05"),
    "too large for a byte": (b"{ 0x05, 0x101 }", ":1: '0x101' is not a byte such as 0x05"),
    "octal": (b"{ 0x05, 011 }", ":1: '011' is not a byte such as 0x05"),
    "UTF-16": ("05 01".encode("utf-16"), ":1: this is text in UTF-16"),
    "terminal codes": (b"05 \x7f\xc3", "'\\x7f\\xc3' is not pairs of hexadecimal digits"),
    "a recording with junk": (b"1.0: 00 00 00 00 00 00 00 00\nhello\n", ":2: 'hello' is not a report: pairs of hexadecimal digits are expected"),
    "a recording running backwards": (b"2.0: 00 00 00 00 00 00 00 00\n1.0: 00 00 00 00 00 00 00 00\n", ":2: time runs backwards"),
    "a recording with an unknown id": (b"R: 12 05 07 85 02 75 08 95 01 81 01 05 07\nE: 1.0 1 09\n", ":2: the descriptor has no input report 9"),
    "a recording cut in the middle": (b"E: 1.0 8 00 00 04 00", ":1: the line has 4 of 8 bytes: it is cut short"),
    "a recording of nothing": (b"I: 3 1 2\n", "there is no report and no descriptor in it"),
}  # fmt: skip


@pytest.mark.parametrize("name", REFUSED)
def test_refused_files(name: str, tmp_path: Path) -> None:
    """Bad input ends with exit code 2 and one line that names file and place; nothing is written and nothing printed."""
    data, text = REFUSED[name]
    file = tmp_path / "board.txt"
    file.write_bytes(data)
    done = call("keyboard", str(file), "--emit", "c", "--out", str(tmp_path / "out"))
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith(f"matrixmap: {file}")
    assert text in done.stderr
    assert len(done.stderr.splitlines()) == 1
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize(
    "words",
    [["nothing-here"], ["."], ["f", "--emit", "rust"], ["f", "--format", "xml"], ["f", "--keys", "--interval", "0"]],
)
def test_bad_calls(words: list[str], tmp_path: Path) -> None:
    """Calls that cannot be carried out say why, with exit code 2."""
    (tmp_path / "f").write_bytes(BOOT_DESCRIPTOR)
    done = call("keyboard", *words, cwd=tmp_path)
    assert done.returncode == 2
    assert done.stderr.startswith("matrixmap: ")
    assert "Traceback" not in done.stderr


def test_lenient_reads_what_can_be_read(tmp_path: Path) -> None:
    """With --lenient the part before a descriptor's fault and the good lines of a recording count, and the faults are told."""
    cut = tmp_path / "cut.bin"
    cut.write_bytes(BOOT_DESCRIPTOR + b"\x26\xff")
    assert "with --lenient, everything before it is read" in call("keyboard", str(cut)).stderr
    done = call("keyboard", str(cut), "--lenient", "--format", "json")
    assert done.returncode == 0
    assert json.loads(done.stdout)["keyboards"][0]["boot"]["readable"]
    assert done.stderr.startswith(f"note: {cut}: byte 64: the descriptor ends inside")
    noisy = tmp_path / "noisy.rec"
    noisy.write_text("1.0: 00 00 04 00 00 00 00 00\n" + "junk\n" * 12 + "2.0: 00 00\n3.0: 00 00 00 00 00 00 00 00\n")
    done = call("keyboard", str(noisy), "--lenient", "--keys", "--format", "json")
    assert done.returncode == 0
    assert [json.loads(line)["keys"] for line in done.stdout.splitlines()] == [[4], []]
    assert done.stderr.splitlines()[-1] == f"note: {noisy}: 3 more faults"


def test_what_a_layout_cannot_type(tmp_path: Path) -> None:
    """On a keyboard without F-keys and digits the layout's characters on them are named with the key that is missing."""
    inside = (
        generate.MODIFIERS
        + generate.page(7)
        + generate.usages(4, 0x1D)
        + generate.shape(1, 26)
        + generate.main_item("input", 2)
    )
    inside += generate.usages(0x28, 0x38) + generate.shape(1, 17) + generate.main_item("input", 2)
    file = tmp_path / "small.bin"
    file.write_bytes(generate.page(1) + generate.usage(6) + generate.collection(1, inside))
    done = call("keyboard", str(file), "--layout", LAYOUT, "--format", "json")
    assert done.returncode == 1
    missing = {row["types"]: row["lacks"] for row in json.loads(done.stdout)["keyboards"][0]["cannot_type"]}
    assert missing["B1"] == [0x3A]
    # £ is printed on the key of 3, and a line types it on that of L.
    assert missing["⚂"] == missing["3"] == [0x20]
    assert "£" not in missing
    assert "a" not in missing
    assert "[" not in missing
    done = call("keyboard", str(file), "--layout", LAYOUT)
    assert re.search(r"^  Digit3: .*3.*⚂", done.stdout, flags=re.MULTILINE)


@pytest.mark.parametrize("name", VISITORS)
def test_written_tables(name: str, tmp_path: Path) -> None:
    """--emit c writes header and source; compiled, they hold the table of that keyboard."""
    done = call("keyboard", str(make_keyboards.FOLDER / f"{name}.rec"), "--emit", "c", "--out", str(tmp_path / "c"))
    assert done.returncode == 0
    symbol = f"mm_keyboard_{name.replace('-', '_')}"
    assert sorted(path.name for path in (tmp_path / "c").iterdir()) == [f"{symbol}.c", f"{symbol}.h"]
    descriptor = make_keyboards.VISITORS[name].descriptor
    for path in (tmp_path / "c").iterdir():
        text = path.read_text(encoding="utf-8")
        assert (
            f" from its report descriptor, {len(descriptor)} bytes,\n * SHA-256 {sha256(descriptor).hexdigest()}\n"
            in text
        )
    out = tmp_path / "table.o"
    tools.run(
        tools.tool("gcc"), *tools.STRICT, f"-I{compiled.RUNTIME}", "-c", "-o", out, tmp_path / "c" / f"{symbol}.c"
    )
    section = tmp_path / "table.bin"
    tools.run(tools.tool("objcopy"), "-O", "binary", "--only-section=.rodata", out, section)
    assert section.read_bytes() == report_table(parse_descriptor(descriptor).descriptor).to_bytes()


def typed(name: str, *words: str) -> dict[str, object]:
    """What `trace` says about a visitor's session."""
    done = call("trace", LAYOUT, str(make_keyboards.FOLDER / f"{name}.rec"), "--format", "json", *words)
    assert done.stderr == ""
    found = json.loads(done.stdout)
    assert done.returncode == (1 if found["lost"] or found["extra"] else 0)
    return found


@pytest.mark.parametrize("engine", ["model", "c"])
@pytest.mark.parametrize("name", VISITORS)
def test_a_session_is_typed(name: str, engine: str) -> None:
    """Every visitor's session is read by the machine as it was typed, through the model and through C."""
    if engine == "c":
        tools.tool("cc")
    found = typed(name, "--engine", engine)
    assert str(found["read"]).startswith(make_keyboards.TEXT)
    # A sleeve that falls on eight keys within a tenth of a second is more than the waiting line may hold.
    lost = found["lost"]
    assert isinstance(lost, list)
    assert len(lost) == found["overflows"] <= 2
    assert (found["extra"], found["closed"]) == ([], [])
    # The key beside Enter of an ISO board came as 0x32, the one beside the left Shift as 0x64.
    assert str(found["read"]).endswith("\x1b#\\")


def test_strokes_opened_for_newer_ones() -> None:
    """A recording tells which strokes were opened while their keys were held, and why."""
    found = typed("six-key")
    reasons = found["opened_for_newer"]
    assert isinstance(reasons, dict)
    assert set(reasons) == {"modifiers", "rollover"}
    assert found["phantoms_avoided"] == 0
    opened = found["opened"]
    assert isinstance(opened, list)
    assert len(opened) == sum(reasons.values())


def test_a_stroke_opened_for_a_phantom(tmp_path: Path) -> None:
    """Left Shift, J and P are three corners: J is opened, which counts as a phantom avoided, and W is not read."""
    file = tmp_path / "phantom.txt"
    reports = ("100ms 02", "200ms 02 00 0d", "300ms 02 00 0d 13", "500ms 00")
    file.write_text("\n".join(f"{report}{' 00' * (9 - len(report.split()))}" for report in reports))
    found = json.loads(call("trace", LAYOUT, str(file), "--format", "json").stdout)
    assert (found["read"], found["extra"]) == ("JP", [])
    assert (found["phantoms_avoided"], found["opened_for_newer"]) == (1, {"phantom": 1})
    (opened,) = found["opened"]
    assert (opened["host_key"], opened["key"], opened["reason"]) == ("KeyJ", "j", "phantom")
    assert opened["time_ms"] >= 300


def test_a_stroke_opened_for_modifiers_that_change(tmp_path: Path) -> None:
    """Shift let go while T holds it opens Enter, which does not: what is pressed long after has no part in it."""
    file = tmp_path / "modifiers.txt"
    reports = (
        "100ms 00 00 28",
        "150ms 02 00 28",
        "200ms 02 00 28 17",
        "220ms 00 00 28 17",
        "900ms 00 00 28 17 0b",
        "1000ms 00",
    )
    file.write_text("\n".join(f"{report}{' 00' * (9 - len(report.split()))}" for report in reports))
    found = json.loads(call("trace", LAYOUT, str(file), "--format", "json").stdout)
    assert [each["reason"] for each in found["opened"] if each["host_key"] == "Enter"] == ["modifiers"]


def test_a_burst_overflows(tmp_path: Path) -> None:
    """Faster presses than the waiting line holds are counted, told as lost, and leave nothing closed."""
    lines = [f"{number}ms 00 00 {4 + number % 20:02x} 00 00 00 00 00" for number in range(1, 40)]
    file = tmp_path / "burst.txt"
    file.write_text("\n".join([*lines, "3000ms 00 00 00 00 00 00 00 00"]))
    done = call("trace", LAYOUT, str(file), "--format", "json")
    found = json.loads(done.stdout)
    assert done.returncode == 1
    assert found["overflows"] == len(found["lost"]) > 10
    assert found["closed"] == []
    assert f"waiting line was full: {found['overflows']}" in call("trace", LAYOUT, str(file)).stdout


def test_the_chart() -> None:
    """--timeline shows keys, contacts and what was read, a line a moment, and the same as rows in JSON."""
    done = call("trace", LAYOUT, str(make_keyboards.FOLDER / "six-key.rec"), "--timeline")
    lines = [[cell.strip() for cell in line.split("|")] for line in done.stdout.splitlines() if "|" in line]
    assert lines[0] == ["ms", "keyboard", "contacts", "machine"]
    assert (
        "".join(line[3][-1] for line in lines[1:] if len(line) > 3 and line[3].startswith(("g: ", "o: ")))[:3] == "Goo"
    )
    rows = typed("six-key", "--timeline")["timeline"]
    assert isinstance(rows, list)
    assert [row["types"] for row in rows if row["kind"] == "read"][:4] == ["G", "o", "o", "d"]


def test_a_stretch_does_not_matter(tmp_path: Path) -> None:
    """Sessions one after the other are read as each alone, with and without a pause between them."""
    visitor = make_keyboards.VISITORS["bitmap"]
    lines, base = [f"R: {len(visitor.descriptor)} {visitor.descriptor.hex(' ')}"], 0
    for number, pause in enumerate((10_000, 5_000_000, 400_000)):
        for time, data, _, _ in make_keyboards.session(visitor, number):
            stamp = base + time
            lines.append(f"E: {stamp // 1_000_000}.{stamp % 1_000_000:06d} {len(data)} {data.hex(' ')}")
        base = stamp + pause
    file = tmp_path / "three.rec"
    file.write_text("\n".join(lines))
    found = json.loads(call("trace", LAYOUT, str(file), "--format", "json").stdout)
    assert str(found["read"]).count(make_keyboards.TEXT) == 3
    assert (found["lost"], found["extra"]) == ([], [])


def test_a_latch_lasts_over_stretches(tmp_path: Path) -> None:
    """Caps Lock pressed long before still counts."""
    down, up = "00 00 {} 00 00 00 00 00", "00 00 00 00 00 00 00 00"
    file = tmp_path / "caps.txt"
    file.write_text(
        "\n".join(
            f"{second}.{half}: {line}"
            for second, key in ((1, "39"), (5, "04"), (9, "39"), (13, "04"))
            for half, line in ((0, down.format(key)), (5, up))
        )
    )
    found = json.loads(call("trace", LAYOUT, str(file), "--format", "json").stdout)
    assert (found["typed"], found["read"]) == ("Aa", "Aa")


def test_trace_refuses_what_keyboard_refuses(tmp_path: Path) -> None:
    """A faulty line stops a replay with its place; a fifth keyboard has no place in the runtime."""
    file = tmp_path / "bad.rec"
    file.write_text("E: 1.0 8 00 00 04 00 00 00 00 00\nE: 2.0 8 00 0\n")
    done = call("trace", LAYOUT, str(file))
    assert done.returncode == 2
    assert f"{file}:2: the line ends inside a byte" in done.stderr
    assert call("trace", LAYOUT, str(file), "--lenient").stdout.startswith("typed: a\nread:  a\n")
    file.write_text("D: 4\nE: 1.0 8 00 00 04 00 00 00 00 00\n")
    assert f"{file}:2: the runtime knows keyboards 0 to 3, not 4" in call("trace", LAYOUT, str(file)).stderr


def test_any_file_ends_well(tmp_path: Path) -> None:
    """Random bytes and damaged recordings end with an exit code, never with a traceback."""
    rng = random.Random(3)
    good = (make_keyboards.FOLDER / "two-collections.rec").read_bytes()
    for number in range(12):
        data = bytearray(good[: rng.randrange(len(good))] if number % 2 else rng.randbytes(300))
        for _ in range(5):
            data[rng.randrange(len(data))] = rng.randrange(256)
        file = tmp_path / f"{number}"
        file.write_bytes(data)
        for words in (
            ["keyboard", str(file)],
            ["keyboard", str(file), "--lenient"],
            ["trace", LAYOUT, str(file), "--lenient"],
        ):
            done = call(*words)
            assert done.returncode in (0, 1, 2), words
            assert "Traceback" not in done.stderr, done.stderr


PAGE = (ROOT / "docs" / "odd-keyboards.md").read_text(encoding="utf-8")


def blocks(kind: str) -> list[str]:
    """The blocks of a kind on the page about odd keyboards."""
    return re.findall(rf"^```{kind}\n(.*?)^```", PAGE, flags=re.MULTILINE | re.DOTALL)


@pytest.fixture
def desk(tmp_path: Path) -> Path:
    """A folder with a customer's recording, after the commands of the page ran in it."""
    (tmp_path / "customer.rec").write_bytes((make_keyboards.FOLDER / "six-key.rec").read_bytes())
    for block in blocks("sh"):
        words = shlex.split(block)
        assert words.pop(0) == "matrixmap"
        done = call(*words, cwd=tmp_path)
        assert done.returncode == 0, done.stderr
    return tmp_path


def test_the_page_holds_what_it_says(desk: Path) -> None:
    """The commands on the page run, its recording is one, its C compiles, and the tables are as small as it says."""
    for number, block in enumerate(blocks("c")):
        source = desk / f"piece{number}.c"
        source.write_text(block, encoding="utf-8")
        tools.run(
            tools.tool("gcc"),
            *tools.STRICT,
            "-Wno-missing-prototypes",
            f"-I{compiled.RUNTIME}",
            f"-I{desk / 'tables'}",
            "-c",
            "-o",
            desk / "piece.o",
            source,
        )
    (text,) = blocks("text")
    (desk / "page.rec").write_text(text, encoding="utf-8")
    done = call("keyboard", str(desk / "page.rec"), "--keys", "--format", "json")
    assert [json.loads(line)["keys"] for line in done.stdout.splitlines()] == [[0xE1], [0x0A, 0xE1]]
    sizes = [
        len(report_table(parse_descriptor(visitor.descriptor).descriptor).to_bytes())
        for visitor in make_keyboards.VISITORS.values()
    ]
    assert max(sizes) < 64


def test_reports_are_no_descriptor_and_a_descriptor_no_reports(tmp_path: Path) -> None:
    """A file given to the wrong command, or without the option it needs, is refused with what to do."""
    reports, descriptor = tmp_path / "reports.txt", tmp_path / "descriptor.txt"
    reports.write_text("00 00 04 00 00 00 00 00\n00 00 00 00 00 00 00 00\n")
    descriptor.write_text(BOOT_DESCRIPTOR.hex(" "))
    done = call("keyboard", str(reports))
    assert (done.returncode, done.stdout) == (2, "")
    assert "declares no report" in done.stderr
    assert "if these are reports, use --keys" in done.stderr
    assert call("keyboard", str(reports), "--keys").stdout.endswith("KeyA\n     0.010000  none\n")
    done = call("trace", LAYOUT, str(descriptor))
    assert (done.returncode, done.stdout) == (2, "")
    assert "is a report descriptor; use matrixmap keyboard, or a recording, which also has the reports" in done.stderr


def test_junk_does_not_change_what_a_file_is(tmp_path: Path) -> None:
    """A control character in a recording is a fault of its line; the file stays a recording."""
    file = tmp_path / "junk.rec"
    file.write_bytes(b"E: 1.0 8 00 00 04 00 00 00 00 00\nE: 2.0 8 00 \x1b[31m\x01 00\n")
    for words in (("keyboard", str(file)), ("trace", LAYOUT, str(file))):
        done = call(*words)
        assert done.returncode == 2
        assert (
            f"{file}:2: '00 \\x1b[31m\\x01 00' is not a report: pairs of hexadecimal digits are expected" in done.stderr
        )
    assert call("trace", LAYOUT, str(file), "--lenient").stdout.startswith("typed: a\nread:  a\n")


@pytest.mark.parametrize("name", ["-", "/dev/stdin"])
def test_a_pipe_is_read_from_its_start(name: str) -> None:
    """A recording or a script that cannot be read twice is read once, whole."""
    session = (make_keyboards.FOLDER / "six-key.rec").read_text(encoding="utf-8")
    for words, given, wanted in (
        (("keyboard", name), session, "The recording has 174 reports"),
        (("trace", LAYOUT, name), session, "typed: Good morning"),
        (("trace", LAYOUT, name), "down KeyA\nwait 50 ms\nup KeyA\n", "typed: a\nread:  a\n"),
    ):
        done = piped(*words, text=given)
        assert done.returncode == 0, done.stderr
        assert wanted in done.stdout


def piped(*words: str, text: str) -> subprocess.CompletedProcess[str]:
    """The program in a process of its own with a text piped into it."""
    code = "import sys; sys.argv[0] = 'matrixmap'; from matrixmap.cli.main import run; run()"
    command = [sys.executable, "-c", code, *words]
    return subprocess.run(command, input=text, capture_output=True, text=True, check=False, cwd=ROOT)


def test_times_of_day_and_long_rests(tmp_path: Path) -> None:
    """A recording may begin at any time and rest for years: the runtime at rest is not called for each turn of its clock."""
    down, up = "00 00 04 00 00 00 00 00", "00 00 00 00 00 00 00 00"
    file = tmp_path / "late.txt"
    file.write_text(f"1700000000.1: {down}\n1700000000.2: {up}\n2700000000.1: {down}\n2700000000.2: {up}\n")
    found = json.loads(call("trace", LAYOUT, str(file), "--timeline", "--format", "json").stdout)
    assert (found["typed"], found["read"]) == ("aa", "aa")
    times = [row["time_ms"] for row in found["timeline"] if row["kind"] == "closed"]
    assert times == [1700000000100.0, 2700000000100.0]
    assert "4 reports of it in 1000000000.100000 s" in call("keyboard", str(file)).stdout


def test_every_press_not_played_is_told(tmp_path: Path) -> None:
    """Each overflow is listed with its time and what was held; together they are what was counted."""
    lines = [f"{number}ms 00 00 {4 + number % 20:02x} 00 00 00 00 00" for number in range(1, 40)]
    file = tmp_path / "burst.txt"
    file.write_text("\n".join([*lines, "3000ms 00 00 00 00 00 00 00 00"]))
    found = json.loads(call("trace", LAYOUT, str(file), "--format", "json").stdout)
    listed = found["not_played"]
    assert sum(row["count"] for row in listed) == found["overflows"] > 10
    assert {row["reason"] for row in listed} == {"overflow"}
    assert all(row["held"].startswith("Key") and 1 <= row["time_ms"] < 40 for row in listed)
    text = call("trace", LAYOUT, str(file)).stdout
    assert text.count("not played: the waiting line was full") == len(listed)


def test_a_report_id_without_a_report(tmp_path: Path) -> None:
    """A report id that no field follows is named with its offset."""
    data = (
        generate.page(1)
        + generate.usage(6)
        + generate.collection(1, generate.report_id(1) + generate.MODIFIERS + generate.report_id(2))
    )
    file = tmp_path / "id.bin"
    file.write_bytes(data)
    done = call("keyboard", str(file))
    assert f"  byte {len(data) - 3}: report id 2 has no field: there is no such report" in done.stdout


def long_recording(path: Path, sessions: int, pause_us: int) -> None:
    """Sessions of the six-key keyboard one after the other."""
    visitor = make_keyboards.VISITORS["six-key"]
    made = [list(make_keyboards.session(visitor, seed)) for seed in range(4)]
    base = 0
    with path.open("w", encoding="ascii") as file:
        file.write(f"R: {len(visitor.descriptor)} {visitor.descriptor.hex(' ')}\n")
        for number in range(sessions):
            for time, data, _, _ in made[number % 4]:
                stamp = base + time
                file.write(f"E: {stamp // 1_000_000}.{stamp % 1_000_000:06d} {len(data)} {data.hex(' ')}\n")
            base = stamp + pause_us


def test_a_stretch_is_bounded(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Without a pause a long stretch ends where nothing is closed, and is read the same; one that never ends is refused."""
    from matrixmap.simulate import recorded

    file = tmp_path / "long.rec"
    long_recording(file, 6, 60_000)
    whole = call("trace", LAYOUT, str(file)).stdout
    monkeypatch.setattr(recorded, "LONG_STRETCH", 40)
    assert call("trace", LAYOUT, str(file)).stdout == whole
    assert whole.count("read:") == 1
    monkeypatch.setattr(recorded, "LONG_STRETCH", 10_000)
    monkeypatch.setattr(recorded, "MOST_NOTES", 20)
    file.write_text("\n".join(f"{4 * number}ms 00 00 {4 + number % 20:02x} 00 00 00 00 00" for number in range(99)))
    done = call("trace", LAYOUT, str(file))
    assert (done.returncode, done.stdout) == (2, "")
    told = "during 20 changes there is no moment without a closed contact: this is not typing, and cannot be played"
    assert re.search(rf"{file}:\d+: {told}", done.stderr)
