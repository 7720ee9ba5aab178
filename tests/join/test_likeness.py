"""Proposals by likeness: letters, digits, functions and Shift go with their like on any machine, and what is left dead is told."""

from __future__ import annotations

from functools import cache

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from matrixmap.check.engine.plan_conflicts import find_conflicts
from matrixmap.check.rules.basic import dead_basic_keys
from matrixmap.hid.usages import Usage, by_code, code_or_number
from matrixmap.join import positional
from matrixmap.join.left_dead import dead_keys
from matrixmap.join.likeness import host_caps, machine_caps
from matrixmap.join.plan import compile_plan
from matrixmap.join.positional import propose_pairs
from matrixmap.model.basic import basic_keys
from matrixmap.model.host import Host
from matrixmap.model.machine import PLAIN, Machine
from matrixmap.source.folder import shipped_folder
from matrixmap.source.kinds.project import Project
from matrixmap.source.write.positional_file import positional_text
from tests.project import open_folders, read_layout
from tests.source.memory import MemoryFolder

LETTERS = "abcdefghijklmnopqrstuvwxyz"
FUNCTIONS = ("Enter", "Backspace", "ArrowUp", "ArrowLeft", "ArrowDown", "ArrowRight", "Tab", "Escape")
SIGN_CODES = {
    **{letter: f"Key{letter.upper()}" for letter in LETTERS},
    **{str(digit): f"Digit{digit}" for digit in range(10)},
}
CODES = {**SIGN_CODES, **{function: function for function in FUNCTIONS}, " ": "Space"}
"""What a key types plain, and the one key of an American host, keypad aside, that is like it."""

Row = tuple[float, float, list[str]]


def machine_text(rows: list[Row], types: dict[str, dict[str, str]], modifiers: dict[str, list[str]]) -> str:
    """A machine of sixteen sense lines with keys in rows of one pitch; a blank name is a gap."""
    names = [name for _, _, keys in rows for name in keys if name]
    lines = [names[start : start + 16] for start in range(0, len(names), 16)]
    grid = [f"    S{number}: [{', '.join([*line, *['none'] * (16 - len(line))])}]" for number, line in enumerate(lines)]
    typed = [
        f"  {name}: {{{', '.join(f'{state}: {quoted(text)}' for state, text in states.items())}}}"
        for name, states in types.items()
    ]
    placed = [
        f"  - {{row: {top}, from: {left}, keys: [{', '.join(name or '{gap: 1}' for name in keys)}]}}"
        for top, left, keys in rows
    ]
    return "\n".join(
        [
            *("machine: x", "title: X", "source: made for this test", "matrix:"),
            f"  select: [{', '.join(f'S{number}' for number in range(len(lines)))}]",
            f"  sense: [{', '.join(f'N{number}' for number in range(16))}]",
            *("  grid:", *grid),
            *(
                "modifiers:" if modifiers else "modifiers: {}",
                *(f"  {name}: [{', '.join(keys)}]" for name, keys in modifiers.items()),
            ),
            *("types:" if typed else "types: {}", *typed),
            "scan: {period_us: 20000}",
            *("place:", *placed, ""),
        ]
    )


def quoted(text: str) -> str:
    return "'" + text.replace("'", "''") + "'"


def read_machine(text: str) -> Machine:
    """The machine x of a text, which must read without a finding."""
    loaded = Project([MemoryFolder({("machine", "x"): text.encode()}), shipped_folder()], ()).machine("x")
    assert loaded is not None
    assert loaded.value is not None, [found.text for found in loaded.findings]
    return loaded.value


@cache
def host_of(id: str) -> Host:
    host = open_folders().host(id)
    assert host is not None
    assert host.value is not None
    return host.value


def codes_of(machine: Machine, host: str = "en-US") -> dict[str, str]:
    """W3C code -> the machine's key, as proposed."""
    return {code_or_number(pair.usage): pair.key for pair in propose_pairs(machine, host_of(host))}


def with_signs(rows: list[Row], **more: dict[str, str]) -> dict[str, dict[str, str]]:
    """What keys named after a letter, or a digit with a letter before it, type; the others as given."""
    types = {}
    for _, _, keys in rows:
        for name in keys:
            sign = name[-1:]
            if len(name) <= 2 and sign.isalnum():
                types[name] = {"plain": sign}
    return types | more


TOP, HOME, LOW = [*"qwertyuiop"], [*"asdfghjkl"], [*"zxcvbnm"]
ROW_OF_DIGITS = [f"d{digit}" for digit in (1, 2, 3, 4, 5, 6, 7, 8, 9, 0)]
BOARD: list[Row] = [(1, 1.5, TOP), (2, 1.75, HOME), (3, 2.25, LOW)]


@pytest.mark.parametrize("host", ["en-US", "de-DE", "fr-FR", "el-GR", "he-IL"])
def test_digits_in_front_do_not_push_letters_away(host: str) -> None:
    """A row of digits below the letters goes with the host's digits, and each letter stays where it is on the host."""
    rows: list[Row] = [*BOARD, (4, 1, ROW_OF_DIGITS)]
    found = codes_of(read_machine(machine_text(rows, with_signs(rows), {})), host)
    assert found == {CODES[key[-1]]: key for _, _, keys in rows for key in keys}


def test_capitals_go_with_the_letters() -> None:
    """A machine whose keys type capitals has them on the keys of their letters, wherever these lie."""
    rows: list[Row] = [(1, 1.5, [*"poiuytrewq"]), (2, 1.75, HOME)]
    types = {key: {"plain": key.upper()} for _, _, keys in rows for key in keys}
    found = codes_of(read_machine(machine_text(rows, types, {})))
    assert found == {CODES[key]: key for _, _, keys in rows for key in keys}


@pytest.mark.parametrize("host", ["ru-RU", "el-GR"])
def test_letters_that_a_host_does_not_print_go_by_its_codes(host: str) -> None:
    """Digits go by the print, and letters of another script by the codes, though they lie far from there."""
    rows: list[Row] = [(0, 1, ROW_OF_DIGITS), (1, 1.5, TOP[::-1])]
    found = codes_of(read_machine(machine_text(rows, with_signs(rows), {})), host)
    assert found == {CODES[key[-1]]: key for _, _, keys in rows for key in keys}


def test_letters_follow_the_print_where_that_lies_nearer() -> None:
    """On a French host a machine with French rows goes by print, one with American rows by place."""
    french: list[Row] = [(1, 1.5, [*"azertyuiop"]), (2, 1.75, [*"qsdfghjklm"]), (3, 2.25, [*"wxcvbn"])]
    by_print = codes_of(read_machine(machine_text(french, with_signs(french), {})), "fr-FR")
    assert (by_print["KeyQ"], by_print["KeyA"], by_print["Semicolon"]) == ("a", "q", "m")
    by_place = codes_of(read_machine(machine_text(BOARD, with_signs(BOARD), {})), "fr-FR")
    assert (by_place["KeyQ"], by_place["KeyA"], by_place["KeyM"]) == ("q", "a", "m")


@pytest.mark.parametrize("left", [0.0, 22.0])
@pytest.mark.parametrize("order", [("789", "456", "123"), ("123", "456", "789")])
def test_a_keypad_goes_with_the_keypad(left: float, order: tuple[str, str, str]) -> None:
    """On whatever side it lies and in whatever order its digits are: its Enter and its marks too, and the main Enter stays."""
    marks = ("add", "take", "feed")
    pad: list[Row] = [
        (top, left, [*(f"p{digit}" for digit in digits), mark])
        for top, (digits, mark) in enumerate(zip(order, marks, strict=True))
    ]
    main: list[Row] = [(0, 6, ROW_OF_DIGITS), *((top, start + 5, keys) for top, start, keys in BOARD)]
    rows = [*pad, *main, (3, left, ["p0", "point"]), (2, 17, ["enter"])]
    types = with_signs(
        rows,
        add={"plain": "+"},
        take={"plain": "-"},
        feed={"plain": "Enter"},
        point={"plain": "."},
        enter={"plain": "Enter"},
    )
    found = codes_of(read_machine(machine_text(rows, types, {})))
    assert {code: key for code, key in found.items() if code.startswith("Numpad")} == {
        **{f"Numpad{digit}": f"p{digit}" for digit in range(10)},
        "NumpadAdd": "add",
        "NumpadSubtract": "take",
        "NumpadEnter": "feed",
        "NumpadDecimal": "point",
    }
    assert found["Enter"] == "enter"
    assert {code: key for code, key in found.items() if code in CODES.values() and key != "enter"} == {
        CODES[key[-1]]: key for _, _, keys in main for key in keys
    }


def test_of_two_rows_of_digits_the_upper_one_is_the_main_one() -> None:
    """Where each digit lies in as long a row as its twin, the lower row is the keypad, though it lies further left."""
    rows: list[Row] = [(0, 8, ["d1", "d2", "d3"]), (3, 1, ["p1", "p2", "p3"])]
    found = codes_of(read_machine(machine_text(rows, with_signs(rows), {})))
    assert {code: key for code, key in found.items() if code.startswith("Numpad")} == {
        f"Numpad{digit}": f"p{digit}" for digit in (1, 2, 3)
    }


def test_the_only_enter_is_enter_though_it_lies_on_the_keypad() -> None:
    """A keypad's key that alone types a function gets the host's main key of it."""
    rows: list[Row] = [(0, 1, ROW_OF_DIGITS), *BOARD, (1, 14, ["p7", "p8", "p9"]), (2, 14, ["p4", "p5", "p6", "feed"])]
    found = codes_of(read_machine(machine_text(rows, with_signs(rows, feed={"plain": "Enter"}), {})))
    assert found["Enter"] == "feed"
    assert "NumpadEnter" not in found


def test_marks_beside_a_keypad_belong_to_the_main_part() -> None:
    """Where no gap parts the keypad from the marks at the end of a row, the marks do not count as the keypad's."""
    rows: list[Row] = [
        (0, 1, [*ROW_OF_DIGITS, "minus", "p7", "p8", "p9"]),
        (1, 1.5, [*TOP, "at", "p4", "p5", "p6"]),
        (2, 1.75, HOME),
    ]
    found = codes_of(read_machine(machine_text(rows, with_signs(rows, minus={"plain": "-"}, at={"plain": "@"}), {})))
    assert {key for code, key in found.items() if code.startswith("Numpad")} == {"p4", "p5", "p6", "p7", "p8", "p9"}
    assert {"minus", "at"} <= set(found.values())


def test_keys_under_the_keypad_are_paired_with_it() -> None:
    """Function keys that lie where the host's keypad is get its keys, though they are no keypad by their digits."""
    rows: list[Row] = [*BOARD, (1, 18.5, ["store", "call", "run"])]
    types = with_signs(rows, store={"plain": "Store"}, call={"plain": "Call"}, run={"plain": "Run"})
    found = codes_of(read_machine(machine_text(rows, types, {})))
    assert [found[f"Numpad{digit}"] for digit in (7, 8, 9)] == ["store", "call", "run"]


@pytest.mark.parametrize("name", ["shift", "upper"])
def test_one_shift_key_gets_both_shifts(name: str) -> None:
    """So does the modifier that makes capitals, whatever its name; of two keys each gets its own."""
    rows: list[Row] = [*BOARD, (3, 0, ["left"]), (4, 0, ["other"])]
    types = {key: {"plain": key, name: key.upper()} for _, _, keys in BOARD for key in keys}
    one = codes_of(read_machine(machine_text(rows, types, {name: ["left"], "extra": ["other"]})))
    assert (one["ShiftLeft"], one["ShiftRight"]) == ("left", "left")
    assert "other" in one.values()
    two = codes_of(read_machine(machine_text([*rows, (3, 13, ["right"])], types, {name: ["left", "right"]})))
    assert (two["ShiftLeft"], two["ShiftRight"]) == ("left", "right")


def test_nothing_unlike_is_put_on_a_basic_function() -> None:
    """Space, Enter, Backspace and arrows stay dead rather than do something else; Escape and Tab may."""
    rows: list[Row] = [*BOARD, (1, 12, ["break"]), (3, 9.5, ["blank"])]
    types = with_signs(rows, blank={"plain": " "}, **{"break": {"plain": "Break"}})
    found = codes_of(read_machine(machine_text(rows, types, {})))
    assert found["Space"] == "blank"
    assert not {"Enter", "Backspace", "ArrowUp", "ArrowLeft", "ArrowDown", "ArrowRight"} & found.keys()


MARKS = "!#$%&()*+,-./:;<=>?@[]^_"


@st.composite
def any_machine(draw: st.DrawFn) -> str:
    """Any keys in any order in rows with gaps: letters, digits once or twice, marks, functions, a space, modifiers."""
    signs = draw(st.sets(st.sampled_from([*SIGN_CODES]), max_size=36))
    twice = draw(st.sampled_from(["", "", "0123456789", "123456789", "12345"]))
    others = draw(st.sets(st.sampled_from([*FUNCTIONS, " ", "Break", "U1", "U2", *MARKS]), max_size=20))
    typed = [*sorted(signs), *twice, *sorted(others)]
    types = {f"k{number}": {"plain": text} for number, text in enumerate(typed)}
    modifiers = {}
    for name in draw(st.sets(st.sampled_from(["shift", "control", "graph"]))):
        keys = [f"{name}{number}" for number in range(draw(st.integers(1, 2)))]
        modifiers[name] = keys
        for states in types.values():
            if draw(st.integers(0, 5)) == 0:
                states[name] = draw(st.sampled_from([*LETTERS, *FUNCTIONS, "U9"]))
    names = draw(st.permutations([*types, *(key for keys in modifiers.values() for key in keys)]))
    if not names:
        names, types = ["k0"], {"k0": {"plain": "U1"}}
    rows: list[Row] = []
    while names:
        width = draw(st.integers(1, 15))
        keys, names = list(names[:width]), names[width:]
        if draw(st.booleans()):
            keys.insert(draw(st.integers(0, len(keys))), "")
        rows.append((len(rows), draw(st.integers(0, 8)) / 4, keys))
    return machine_text(rows, types, modifiers)


RANDOM = settings(
    max_examples=120, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large]
)


@RANDOM
@given(any_machine(), st.sampled_from(["en-US", "de-DE", "fr-FR", "pt-BR", "ja-JP"]))
def test_no_host_key_twice_and_no_key_twice_but_shift(text: str, host: str) -> None:
    """A usage has one line; a key of the machine has one, but for the only Shift."""
    machine = read_machine(text)
    pairs = propose_pairs(machine, host_of(host))
    assert len({pair.usage for pair in pairs}) == len(pairs)
    keys = [pair.key for pair in pairs if machine.modifier_of(pair.key) != machine.host_shift]
    assert len(set(keys)) == len(keys)


@RANDOM
@given(any_machine())
def test_like_goes_with_like_on_any_machine(text: str) -> None:
    """What a key of the machine types plain is on the host's key of it, and that key does nothing else, ever."""
    machine = read_machine(text)
    plain: dict[str, set[str]] = {}
    for key in machine.keys:
        if PLAIN in key.types:
            plain.setdefault(key.types[PLAIN].text, set()).add(key.name)
    found = codes_of(machine)
    for typed, code in CODES.items():
        if typed in plain:
            assert found[code] in plain[typed], (typed, code)
        elif typed not in SIGN_CODES and typed not in ("Tab", "Escape"):
            assert code not in found, (typed, code)
    shifts = {key for modifier in machine.modifiers if modifier.name == "shift" for key in modifier.keys}
    if shifts:
        assert {found["ShiftLeft"], found["ShiftRight"]} == shifts


@RANDOM
@given(any_machine(), st.sampled_from(["en-US", "de-DE"]))
def test_no_two_of_the_others_lie_better_the_other_way_round(text: str, host: str) -> None:
    """Two keys that are paired by place, both characters or both modifiers, never gain by exchange."""
    machine = read_machine(text)
    pairs = [pair for pair in propose_pairs(machine, host_of(host)) if not pair.alike]
    far = distances(machine, host_of(host))
    for one in pairs:
        for two in pairs:
            if kind_of(machine, one.key) == kind_of(machine, two.key):
                swapped = far(one.key, two.usage) + far(two.key, one.usage)
                assert one.distance + two.distance <= swapped + 0.002


def kind_of(machine: Machine, name: str) -> str:
    legend = machine.key(name).types.get(PLAIN)
    return "modifier" if machine.modifier_of(name) else "character" if legend and legend.is_character else "function"


def distances(machine: Machine, host: Host):
    """The distances by which pairs are made."""
    return positional._distances(machine_caps(machine), host_caps(host))


@settings(RANDOM, max_examples=40)
@given(any_machine(), st.sampled_from(["en-US", "de-DE", "fr-FR"]))
def test_what_is_dead_is_told_once_and_the_check_finds_the_same(text: str, host_id: str) -> None:
    """The comment of the new layout has each basic key without a line, and `dead-basic-key` is about these, no more, no fewer.

    With the comment's lines made lines, the finding is gone.
    """
    machine, host = read_machine(text), host_of(host_id)
    pairs = propose_pairs(machine, host)
    dead = dead_keys(machine, host, pairs)
    written = positional_text("x", machine, host, pairs, dead)
    if not pairs:
        return
    told = [line[4:] for line in written.splitlines() if line.startswith("#   ")]
    lines = {line.split(":")[0]: line for line in told if ": " in line}
    names = ", ".join(line.rstrip(",") for line in told if ": " not in line)
    lines |= {name: f"{name}: none" for name in names.split(", ") if name}
    assert sorted(lines) == sorted(code_or_number(each.usage) for each in dead)
    assert found_dead(text, written) == tuple(each.usage for each in dead)
    assert found_dead(text, written + "".join(f"  {line}\n" for line in lines.values())) == ()


def found_dead(machine: str, layout: str) -> tuple[Usage, ...]:
    files = {("machine", "x"): machine.encode(), ("layout", "x"): layout.encode()}
    project = Project([MemoryFolder(files), shipped_folder()], ())
    return dead_basic_keys(find_conflicts(compile_plan(read_layout(project, "x"))))


def test_reasons_name_what_would_do() -> None:
    """A dead key is told with the stroke that types its legend, or with what the machine lacks."""
    rows: list[Row] = [(1, 1.5, ["w", "e", "shift"])]
    types = with_signs(rows, e={"plain": "e", "shift": "Backspace"})
    machine = read_machine(machine_text(rows, types, {"shift": ["shift"]}))
    pairs = propose_pairs(machine, host_of("en-US"))
    told = positional_text("x", machine, host_of("en-US"), pairs, dead_keys(machine, host_of("en-US"), pairs))
    assert "#   Backspace: shift + e  # no key of the machine types Backspace by itself\n" in told
    assert "says that it is meant:\n#   KeyA, KeyB, KeyC, KeyD, KeyF, KeyG, " in told
    assert "Shift" not in "".join(line for line in told.splitlines() if line.startswith("#   "))


def test_only_the_others_count_as_moved() -> None:
    """Letters are paired wherever they lie: the sum of distances that a proposal tells has none of theirs."""
    machine = read_machine(machine_text(rows := [(1, 1.5, TOP), (2, 4, HOME)], with_signs(rows), {}))
    pairs = propose_pairs(machine, host_of("en-US"))
    assert all(pair.alike for pair in pairs)
    assert max(pair.distance for pair in pairs) > 1
    assert ", here\n# 0.0 key pitches. " in positional_text("x", machine, host_of("en-US"), pairs, ())


def test_basic_keys_of_a_country() -> None:
    """26 letters, ten digits and nine others on every host; the French M is not where the American one is."""
    for id in ("en-US", "de-DE", "fr-FR", "pt-BR", "ru-RU"):
        codes = {code_or_number(usage) for usage in basic_keys(host_of(id))}
        assert {"Space", "Enter", "Backspace", "ShiftLeft", "ShiftRight", "ArrowUp", "Digit1", "KeyA"} <= codes
        assert len(codes) - len({"KeyM", "Semicolon"} & codes) == 44
    assert by_code("Semicolon")[0] in basic_keys(host_of("fr-FR"))
