"""16-bit ids: firmware that stored one finds its layout again, whatever layouts come or go."""

from __future__ import annotations

import re
from collections.abc import Sequence
from math import prod
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from matrixmap.emit.tables.c import table_symbol
from matrixmap.emit.tables.id16 import id16, id16_text, sharing
from matrixmap.emit.tables.index import built_macro
from matrixmap.source.rules import SAME_16_BIT_ID
from tests import tools
from tests.bench.features import FLAGS
from tests.emit.compiled import write_build
from tests.project import ROOT, call, open_folders, shipped_ids, shipped_plan, write_project

STORED = Path(__file__).with_name("id16.txt")
SAME = ("quillon8-en-IE-symbolic", "quillon8-en-IE-text")
"""Two ids with one 16-bit id, found by trying plausible names; the first one ships."""
IDS = ("quillon8-de-DE-symbolic", "quillon8-en-GB-symbolic", "quillon8-en-US-positional")
ALL_ZERO, ALL_ONES = "quillon8-de-DE-62065", "quillon8-de-DE-13348"
"""Ids whose CRC is 0x0000 and 0xFFFF, found by counting."""


def stored() -> list[tuple[str, int]]:
    """Each layout that shipped at any time, and its 16-bit id as it was then."""
    rows = [line.split() for line in STORED.read_text(encoding="ascii").splitlines() if not line.startswith("#")]
    return [(id, int(number, 16)) for number, id in rows]


def divided(text: str) -> int:
    """The CRC by its definition, a bit after the other: the remainder by x^16 + x^12 + x^5 + 1, begun with all ones."""
    rest = 0xFFFF
    for byte in text.encode("ascii"):
        for bit in range(7, -1, -1):
            carry = rest >> 15 ^ byte >> bit & 1
            rest = (rest << 1 & 0xFFFF) ^ (0x1021 if carry else 0)
    return rest


def test_a_16_bit_id_never_changes() -> None:
    """Each layout that ever shipped has the 16-bit id that firmware in the field may have stored."""
    assert [(id, hex(id16(id))) for id, _ in stored()] == [(id, hex(number)) for id, number in stored()]


def test_each_layout_that_ships_is_written_down() -> None:
    """A new layout gets a line in id16.txt; the line of one that is gone stays, so that no other takes its 16-bit id."""
    shipped = {*shipped_ids(), *open_folders(ROOT / "examples" / "ferrule").ids("layout")}
    missing = [f"{id16_text(id)} {id}" for id in sorted(shipped - dict(stored()).keys())]
    assert not missing, f"add to {STORED.name}: {missing}"


def test_no_two_layouts_that_ever_shipped_share_one() -> None:
    """All that ships can be built together, and no layout has the 16-bit id of one that is gone."""
    assert len({number for _, number in stored()}) == len({id for id, _ in stored()}) == len(stored())
    assert not sharing(id for id, _ in stored())


@given(st.from_regex(r"[A-Za-z0-9]+(-[A-Za-z0-9]+)*", fullmatch=True))
def test_it_is_the_crc_of_the_id(id: str) -> None:
    """It is the remainder of the division, but for the two that empty and erased memory hold."""
    assert id16(id) == {0x0000: 0x0001, 0xFFFF: 0xFFFE}.get(divided(id), divided(id))


def test_memory_without_a_choice_is_no_layout() -> None:
    """A CRC of all zeros or all ones gives way to the number beside it; none of the two is left."""
    assert (divided(ALL_ZERO), divided(ALL_ONES)) == (0x0000, 0xFFFF)
    assert (id16_text(ALL_ZERO), id16_text(ALL_ONES)) == ("0x0001", "0xFFFE")


def test_the_text_has_four_digits() -> None:
    """As it stands in C and on the screen: small ones have zeros in front, so that they are found by searching."""
    assert id16_text(SAME[0]) == "0x00BD"
    assert id16_text("123456789") == "0x29B1"  # from memory: the check value that catalogues of CRCs give for this one


def test_those_that_share_are_told_with_the_first() -> None:
    """Each id after the first one with its 16-bit id is told with that; one that comes twice does not share with itself."""
    assert sharing([IDS[0], SAME[1], IDS[1], SAME[0]]) == {SAME[0]: SAME[1]}
    assert sharing([*IDS, *IDS, SAME[0]]) == {}


def test_the_examples_of_the_rule_are_true() -> None:
    """The bad example names two ids that share the 16-bit id told there; the good one names two that do not."""
    bad, good = SAME_16_BIT_ID.bad, SAME_16_BIT_ID.good
    assert bad == f"layout: {SAME[1]}   (beside {SAME[0]}; both have {id16_text(SAME[0])})"
    assert good == f"layout: quillon8-en-IE-terminal   (beside {SAME[0]})"
    assert sharing(SAME) == {SAME[1]: SAME[0]}
    assert not sharing(["quillon8-en-IE-terminal", SAME[0]])


@pytest.mark.parametrize("words", [(), ("--check",)])
def test_two_layouts_with_one_number_are_refused(words: Sequence[str], tmp_path: Path) -> None:
    """Both names and places and the way out are told, the exit code is 2, and the folder stays as it is."""
    project(tmp_path, SAME)
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "mine.txt").write_text("mine")
    done = call("build", *words, "--out", "out", cwd=tmp_path)
    assert (done.returncode, done.stdout) == (2, "")
    assert [line for line in done.stderr.splitlines() if not line.startswith("note: ")] == [
        f"layouts/{SAME[1]}.yaml:1:9: same-16-bit-id: {SAME[1]} and {SAME[0]} (layouts/{SAME[0]}.yaml:1:9) have the same "
        "16-bit id, 0x00BD, so firmware that stored it could find either; rename the one that no firmware has stored "
        "yet, or build them into different folders",
        "1 finding; nothing was used",
    ]
    assert [path.name for path in (tmp_path / "out").iterdir()] == ["mine.txt"]


def test_the_way_out(tmp_path: Path) -> None:
    """Into folders of their own both are built, and together once one is renamed."""
    project(tmp_path, SAME)
    for id in SAME:
        assert call("build", id, "--out", id, cwd=tmp_path).returncode == 0
    (tmp_path / "layouts" / f"{SAME[1]}.yaml").unlink()
    project(tmp_path, ["quillon8-en-IE-terminal"])
    assert call("build", "--out", "both", cwd=tmp_path).returncode == 0


def project(folder: Path, ids: Sequence[str]) -> None:
    """A project with these layouts."""
    text = "layout: {}\nmachine: quillon8\nhost: en-IE\njoin: symbolic\n"
    write_project(folder, {f"layouts/{id}.yaml": text.format(id) for id in ids})


MAIN = """\
#include <stdio.h>
#include <stdlib.h>
#include "mm_layouts.h"

int main(int count, char **words)
{
    int at;

    for (at = 1; at < count; at++) {
        uint8_t number = mm_find_layout((uint16_t)strtoul(words[at], NULL, 16));
        mm_layout layout;
        if (number == MM_NO_LAYOUT) {
            printf("none\\n");
        } else {
            mm_get_layout(mm_layouts, number, &layout);
            printf("%d %s\\n", number, layout.id);
        }
    }
    return 0;
}
"""


def finder(folder: Path, compiler: str, ids: Sequence[str], chosen: Sequence[str] = ()) -> Path:
    """A firmware of these layouts, or of the chosen ones of them, that says which it finds by the numbers it is given."""
    built = write_build(folder, map(shipped_plan, ids))
    main = folder.with_suffix(".c")
    main.write_text(MAIN, encoding="ascii")
    words = ["-DMM_LAYOUTS_CHOSEN", *(f"-D{built_macro(id)}=1" for id in chosen)] if chosen else []
    program = folder.with_suffix(".out")
    sources = [main, *(built / name for name in ("mm_layouts.c", "mm_index.c", *(f"{id}.c" for id in chosen or ids)))]
    tools.run(tools.tool(compiler), *tools.STRICT, *words, f"-I{built}", *sources, "-o", program)
    return program


def found(program: Path, numbers: Sequence[int]) -> list[str]:
    """What the firmware finds."""
    return tools.run(program, *(f"{number:x}" for number in numbers)).stdout.splitlines()


@pytest.mark.parametrize("compiler", ["gcc", "clang"])
def test_firmware_finds_its_layout_again(tmp_path: Path, compiler: str) -> None:
    """By the 16-bit id it finds the same layout after others came before it; what it has not it does not find."""
    numbers = [*map(id16, IDS), 0x0000, 0xFFFF, id16(IDS[1]) ^ 0x0100, id16(IDS[1]) ^ 0x0001]
    old = finder(tmp_path / "old", compiler, IDS[1:])
    assert found(old, numbers) == ["none", f"0 {IDS[1]}", f"1 {IDS[2]}", *["none"] * 4]
    new = finder(tmp_path / "new", compiler, IDS)
    assert found(new, numbers) == [f"0 {IDS[0]}", f"1 {IDS[1]}", f"2 {IDS[2]}", *["none"] * 4]
    some = finder(tmp_path / "some", compiler, IDS, (IDS[0], IDS[2]))
    assert found(some, numbers) == [f"0 {IDS[0]}", "none", f"1 {IDS[2]}", *["none"] * 4]


@pytest.mark.parametrize("layouts", [0, 1, 255, 256, 300, 65535])
def test_of_a_long_index_the_first_255_are_found(tmp_path: Path, layouts: int) -> None:
    """A number has 8 bits and one of them is MM_NO_LAYOUT, so what stands behind is not found; the search ends."""
    source = tmp_path / "main.c"
    source.write_text(
        '#include <stdio.h>\n#include "mm_index.h"\nstatic mm_layout index[256];\nint main(void)\n{\n    unsigned n;\n'
        "    for (n = 0; n < 256u; n++) {\n        index[n].id16 = (uint16_t)(0x1000u + n);\n    }\n"
        "    for (n = 0; n < 257u; n++) {\n"
        f'        printf("%d ", mm_find_in_index(index, {layouts}u, (uint16_t)(0x1000u + n)));\n    }}\n    return 0;\n}}\n'
    )
    runtime = ROOT / "matrixmap" / "runtime"
    program = tmp_path / "program"
    tools.run(tools.tool("gcc"), *tools.STRICT, f"-I{runtime}", source, runtime / "mm_index.c", "-o", program)
    reached = min(layouts, 255)
    assert tools.run(program).stdout.split() == [str(n) if n < reached else "255" for n in range(257)]


def test_each_header_has_the_16_bit_id(built: Path) -> None:
    """The macro of each layout has the number that is written down, and the manifest names it for other programs."""
    import json

    manifest = json.loads((built / "mm_manifest.json").read_text(encoding="utf-8"))["layouts"]
    written = dict(stored())
    for id in shipped_ids():
        macro = f"#define {table_symbol(id).upper()}_ID16 0x{written[id]:04X}u\n"
        assert macro in (built / f"{id}.h").read_text(encoding="ascii")
        assert manifest[id]["id16"] == f"0x{written[id]:04X}"


def test_what_the_page_says(tmp_path: Path) -> None:
    """Its figures: a layout by its 16-bit id, builds in which two share one, bytes of an entry and of the search."""
    page = (ROOT / "docs" / "firmware.md").read_text(encoding="utf-8")
    looked_up = {number: id for id, number in stored()}
    told = re.search(r"`matrixmap list \| grep 0x(\w{4})` shows that it is `([\w-]+)`", page)
    assert told
    assert looked_up[int(told[1], 16)] == told[2]
    layouts, one_in = map(int, _words(r"builds with (\d+) layouts about one in (\d+) has such a pair", page))
    numbers = 0x10000 - 2
    assert round(1 / (1 - prod(1 - before / numbers for before in range(layouts)))) == one_in
    assert "2 bytes a layout on an AVR and none on a Cortex-M0+" in page
    flash = _words(r"`mm_find_layout` takes (\d+) and (\d+) bytes", page)
    for prefix, entry, search in zip(FLAGS, (10, 16), map(int, flash), strict=True):
        made = compiled_index(tmp_path, prefix)
        assert made[".bss.one_entry"] == entry
        # Another version of a compiler makes a little more or less of it.
        assert made[".text.mm_find_in_index"] == pytest.approx(search, rel=0.1)


def _words(pattern: str, text: str) -> tuple[str, ...]:
    found = re.search(pattern, text)
    assert found, pattern
    return found.groups()


def compiled_index(folder: Path, prefix: str) -> dict[str, int]:
    """Section -> bytes of mm_index.c and of an entry, on a processor."""
    source = folder / "entry.c"
    source.write_text('#include "mm_index.h"\nmm_layout one_entry;\n', encoding="ascii")
    runtime = ROOT / "matrixmap" / "runtime"
    flags = ("-std=c99", "-Os", "-ffunction-sections", "-fdata-sections", "-fno-common", *FLAGS[prefix])
    sections = {}
    for path in (runtime / "mm_index.c", source):
        tools.run(tools.tool(f"{prefix}-gcc"), *flags, f"-I{runtime}", "-c", path, "-o", folder / "one.o")
        lines = tools.run(tools.tool(f"{prefix}-size"), "-A", folder / "one.o").stdout.splitlines()
        sections |= {words[0]: int(words[1]) for words in map(str.split, lines[2:]) if len(words) == 3}
    return sections
