"""`show`, `howto` and `usages`: what reaches what, how to type a text, and which usage is which."""

from __future__ import annotations

import fcntl
import json
import os
import pty
import re
import struct
import subprocess
import sys
import termios
from pathlib import Path

import pytest

from matrixmap.model.plan import Feed, Latch, Stroke, Trigger
from matrixmap.model.words import usage_name
from matrixmap.press.keyboard import key_usage
from tests.nasty import LEGENDS, quoted
from tests.project import ROOT, RUN, call, sample_ids, shipped_plan, write_project

US, GB, DE, FR = (f"quillon8-{host}-symbolic" for host in ("en-US", "en-GB", "de-DE", "fr-FR"))


@pytest.mark.parametrize("id", sample_ids())
def test_show_has_every_key_and_what_reaches_it(id: str) -> None:
    """The JSON of `show` has a cell for each crosspoint and direct line, with the host keys that close it in the plan."""
    shown = json.loads(call("show", id, "--format", "json").stdout)
    plan = shipped_plan(id)
    machine = plan.layout.machine
    assert (shown["select"], shown["sense"]) == (list(machine.select), list(machine.sense))
    cells = [cell for row in shown["matrix"] for cell in row] + shown["direct"]
    assert [cell["contact"] for cell in cells] == list(range(machine.crosspoints + len(machine.direct)))
    assert {cell["key"] for cell in cells} - {None} == {key.name for key in machine.keys}
    reached: dict[int, set[int]] = {}
    for binding in plan.bindings:
        action = binding.action
        contacts = action.contacts if isinstance(action, Stroke) else ()
        contacts = (action.contact,) if isinstance(action, Feed | Latch) else contacts
        for contact in contacts:
            reached.setdefault(contact, set()).add(binding.trigger.usage)
    for cell in cells:
        assert set(cell["reached_by"]) == {usage_name(usage) for usage in reached.get(cell["contact"], set())}, cell


@pytest.mark.parametrize("id", sample_ids())
def test_show_tells_what_each_key_types(id: str) -> None:
    """For each stroke that types something plainly, `show` names what it types at that level."""
    shown = json.loads(call("show", id, "--format", "json").stdout)
    plan = shipped_plan(id)
    rows = {row["usage"]: {entry["level"]: entry["types"] for entry in row["types"]} for row in shown["host_keys"]}
    titles = {1: "plain", 2: "Shift", 3: "AltGr", 4: "Shift+AltGr"}
    checked = 0
    for binding in plan.bindings:
        action, trigger = binding.action, binding.trigger
        if isinstance(action, Stroke) and action.types and not trigger.extras and trigger.level in titles:
            entries = rows[key_usage(plan.layout.host, trigger.usage)]
            if plan.layout.join.value == "symbolic" and not any("Num Lock" in title for title in entries):
                assert entries[titles[trigger.level]] == action.types.text
                checked += 1
    assert checked > 100 or plan.layout.join.value == "positional"


def test_show_for_people() -> None:
    """The text has the grid with the machine's keys, the direct line, a line a host key, and the keys that do nothing."""
    done = call("show", GB)
    assert (done.returncode, done.stderr) == (0, "")
    text = done.stdout
    assert re.search(r"^\|S6 \| c +\| shift-right +\| b2 +\| d6 +\|", text, re.MULTILINE)
    assert re.search(
        r"^\| +\| KeyC +\| \(strokes of KeyR, KeyT\) +\| F2 +\| KeyK +\|", text, re.MULTILINE
    )  # AltGr+KeyK prints &
    assert "direct line HAIL: hail, reached by Pause" in text
    assert re.search(r'^Digit2 +plain: 2 +Alt: ⚁ +Shift: "$', text, re.MULTILINE)
    assert re.search(r"^ShiftRight +is shift \(shift-left\)$", text, re.MULTILINE)
    assert re.search(r"^These keys do nothing: .*\bF10\b", text, re.MULTILINE)


def test_show_on_a_terminal_obeys_no_markup(tmp_path: Path) -> None:
    """On a terminal too a title in markup is printed as it is, and NO_COLOR takes every colour away."""
    layout = "layout: board\nmachine: quillon8\nhost: en-GB\njoin: symbolic\ntitle: '[red]museum[/red]'\n"
    write_project(tmp_path, {"layouts/board.yaml": layout})
    for env in ({}, {"NO_COLOR": "1"}):
        text = on_a_terminal(tmp_path, env, "show", "board")
        assert "[red]museum[/red]" in text
        if env:
            assert not re.search(r"\x1b\[[0-9;]*3[0-7]", text)


def on_a_terminal(cwd: Path, env: dict[str, str], *words: str) -> str:
    """What a command prints on a terminal of 200 columns."""
    main, side = pty.openpty()
    fcntl.ioctl(side, termios.TIOCSWINSZ, struct.pack("HHHH", 50, 200, 0, 0))
    with subprocess.Popen(
        [sys.executable, "-c", RUN, *words],
        cwd=cwd,
        env={**os.environ, "PYTHONPATH": str(ROOT), "TERM": "xterm-256color", **env},
        stdout=side,
        stdin=subprocess.DEVNULL,
    ) as process:
        os.close(side)
        data = b""
        while True:
            try:
                more = os.read(main, 65536)
            except OSError:  # how Linux tells that the other side is closed
                break
            if not more:
                break
            data += more
        process.wait(timeout=60)
    os.close(main)
    return data.decode("utf-8")


HOW = [
    # layout, what to type, what to press
    (US, "'", "'"),
    (US, "@", "Shift 2"),
    (US, "&", "Shift 7"),
    (US, "£", "Alt L"),
    (US, "A", "Shift A"),
    (US, "\n", "Enter"),
    (US, " ", "Space"),
    (US, "⚀", "Alt 1"),
    (GB, "£", "Shift 3"),
    (GB, "@", "Shift '"),
    (DE, "@", "AltGr Q"),
    (DE, "z", "Z"),
    (DE, "[", "AltGr 8"),
    (DE, "\\", "AltGr ß"),
    (FR, "1", "Shift 1"),
    (FR, "&", "1"),
    (FR, "a", "A"),
]


@pytest.mark.parametrize(("id", "text", "press"), HOW)
def test_howto_names_the_keys_as_printed(id: str, text: str, press: str) -> None:
    """`howto` says which keys to press, by the print on the caps of that country."""
    step = json.loads(call("howto", id, text, "--format", "json").stdout)["steps"][0]
    if press == "1":  # a French cap shows both; the plain level types the character
        assert step["triggers"] == ["Digit1"]
    else:
        assert step["press"] == press
    assert step["fault"] is None


def test_howto_says_what_cannot_be_typed_and_why() -> None:
    """A character that the machine lacks and one that the layout does not reach are told apart; exit code 1."""
    done = call("howto", DE, "a{ü°", "--function", "B10")
    assert done.returncode == 1
    lines = done.stdout.splitlines()
    assert [line.split()[0] for line in lines] == ["a", "{", "ü", "°", "B10"]
    assert lines[1].endswith("cannot be typed: Quillon 8 has no such character")
    assert lines[2].endswith("cannot be typed: Quillon 8 has no such character")
    assert "cannot" not in lines[3]
    assert lines[4].endswith("cannot be typed: Quillon 8 has no such function")
    unreached = call("howto", "quillon8-en-US-positional", "⚀ß")
    assert unreached.returncode == 1


def test_howto_of_functions() -> None:
    """Functions are named with --function; all that can be typed is exit code 0."""
    done = call("howto", GB, "-f", "B5", "-f", "Hail", "-f", "ArrowUp")
    assert (done.returncode, done.stderr) == (0, "")
    assert [line.split()[:2] for line in done.stdout.splitlines()] == [
        ["B5", "F5"],
        ["Hail", "Pause"],
        ["ArrowUp", "ArrowUp"],
    ]


def test_howto_takes_a_combining_accent_as_the_letter(tmp_path: Path) -> None:
    """A letter and a combining accent are the one character that they make (NFC)."""
    files = {
        "shared/machines/one.yaml": "machine: one\ntitle: t\nsource: s\nmatrix: {select: [A], sense: [B], grid: {A: [key]}}\n"
        "types: {key: {plain: é}}\nscan: {period_us: 20000}\n",
        "layouts/one.yaml": "layout: one\nmachine: one\nhost: fr-FR\njoin: symbolic\n",
    }
    done = call("howto", "one", "e\u0301", cwd=write_project(tmp_path, files))
    assert done.returncode == 0
    assert done.stdout.split()[0] == "é"


@pytest.mark.parametrize("id", [US, GB, DE, FR])
def test_what_howto_says_is_in_the_plan(id: str) -> None:
    """For every character that the machine types, the trigger that `howto` names does it in the plan, or none does."""
    plan = shipped_plan(id)
    texts = {legend.text for key in plan.layout.machine.keys for legend in key.types.values() if legend.is_character}
    steps = json.loads(call("howto", id, "".join(sorted(texts)), "--format", "json").stdout)["steps"]
    from matrixmap.model.words import trigger_name

    typed = {
        ((trigger_name(binding.trigger),), binding.action.types.text)
        for binding in plan.bindings
        if isinstance(binding.action, Stroke) and binding.action.types
    }
    for (accent, usage, level), stroke in plan.dead_keys.pairs.items():
        for dead in (press for press, other in plan.dead_keys.triggers.items() if other == accent):
            names = trigger_name(dead), trigger_name(Trigger(usage=usage, level=level))
            typed.add((names, stroke.types.text))
    for step in steps:
        assert step["fault"] or (tuple(step["triggers"]), step["types"]) in typed
        assert bool(step["fault"]) == (step["types"] not in {text for _, text in typed})


@pytest.mark.parametrize("legend", LEGENDS)
def test_a_legend_survives_show_and_howto(tmp_path: Path, legend: str) -> None:
    """Any legend comes out of `show` and `howto` as it went into the files, as text and as JSON."""
    files = {
        "shared/machines/one.yaml": "machine: one\ntitle: t\nsource: s\nmatrix: {select: [A], sense: [B], grid: {A: [key]}}\n"
        f"types: {{key: {{plain: {quoted(legend)}}}}}\nscan: {{period_us: 20000}}\n",
        "shared/hosts/one.yaml": f"host: one\ntitle: t\nsource: s\nform: iso-105\nlegends: {{KeyA: [{quoted(legend)}]}}\n",
        "layouts/one.yaml": "layout: one\nmachine: one\nhost: one\njoin: symbolic\n",
    }
    write_project(tmp_path, files)
    word = "space" if legend == " " else legend
    assert re.search(rf"^KeyA +{re.escape(word)}$", call("show", "one", cwd=tmp_path).stdout, re.MULTILINE)
    shown = json.loads(call("show", "one", "--format", "json", cwd=tmp_path).stdout)
    assert [row["types"] for row in shown["host_keys"] if row["name"] == "KeyA"] == [
        [{"level": "plain", "types": legend}, {"level": "Shift", "types": legend}]
    ]
    # Two hyphens before it, so that a text that begins with one is not taken for an option.
    told = call("howto", "one", "--format", "json", "--", legend, cwd=tmp_path)
    assert told.returncode == 0, told.stderr
    assert json.loads(told.stdout)["steps"][0]["types"] == legend
    assert call("howto", "one", "--", legend, cwd=tmp_path).stdout.split("  ")[0].strip() == word


@pytest.mark.parametrize(
    ("pattern", "usages"),
    [
        ("KeyA", [0x04]),
        ("0x64", [0x64]),
        ("100", [0x64]),
        ("Backslash", [0x31, 0x32]),
        ("keypad 7", [0x5F]),
        ("intlyen", [0x89]),
    ],
)
def test_usages_are_found(pattern: str, usages: list[int]) -> None:
    """A usage is found by its number in either form, its W3C code in any case, or a part of its name."""
    found = json.loads(call("usages", pattern, "--format", "json").stdout)["usages"]
    assert [row["usage"] for row in found][: len(usages)] == usages
    assert {"page", "usage", "name", "code", "note"} == set(found[0])
    assert f"0x{usages[0]:02X}" in call("usages", pattern).stdout


def test_all_usages_are_listed() -> None:
    """Without a pattern every defined usage has a line."""
    from matrixmap.hid.usages import USAGES

    lines = call("usages").stdout.splitlines()
    assert [int(line[:4], 16) for line in lines] == [fact.usage for fact in USAGES]
