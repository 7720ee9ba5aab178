"""`hold`: keys by their names, what is told of them in text and as JSON, and exit codes."""

from __future__ import annotations

import json

import pytest

from tests.project import call, matrixmap

DE, GB, BY_PLACE = "quillon8-de-DE-symbolic", "quillon8-en-GB-symbolic", "quillon8-en-US-positional"


def facts(*words: str) -> dict:
    """What JSON says; exit code 0 if all is well and 1 if not."""
    done = call("hold", *words, "--format", "json")
    assert done.stderr == ""
    told = json.loads(done.stdout)
    assert done.returncode == (0 if told["whole"] else 1)
    return told


@pytest.mark.parametrize(
    ("layout", "name", "key", "before"),
    [
        (DE, "KeyY", "KeyY", []),
        (DE, "y", "KeyZ", []),
        (DE, "Ö", "Semicolon", []),
        (DE, "1", "Digit1", []),
        (DE, "Space", "Space", []),
        (DE, "0x4F", "ArrowRight", []),
        (DE, "Shift", "ShiftLeft", []),
        (DE, "AltGr", "AltRight", []),
        (DE, "Shift+KeyA", "KeyA", ["ShiftLeft"]),
        (DE, "ShiftRight+Alt+A", "KeyA", ["ShiftRight", "AltLeft"]),
        (DE, "AltGr+KeyQ", "KeyQ", ["AltRight"]),
        (DE, "+", "BracketRight", []),
        (DE, "Control++", "BracketRight", ["ControlLeft"]),
    ],
)
def test_keys_by_their_names(layout: str, name: str, key: str, before: list[str]) -> None:
    """A key is a W3C code, a number, what is printed on it in that country, or a modifier's word; modifiers before it."""
    assert facts(layout, name)["keys"] == [{"key": key, "before": before}]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ((DE, "KeyÄ"), "there is no key 'KeyÄ'"),
        ((DE, "Keya"), "there is no key 'Keya'; did you mean KeyA?"),
        ((DE, "ArowLeft", "KeyA"), "there is no key 'ArowLeft'; did you mean ArrowLeft?"),
        ((DE, "Shift+"), "there is no key '' in 'Shift+'"),
        ((DE, ""), "there is no key ''"),
        ((DE, "é"), "there is no key 'é'"),
        ((DE, "Shfit+KeyA"), "'Shfit' in 'Shfit+KeyA' is not a modifier; did you mean Shift?"),
        ((DE, "KeyB+KeyA"), "'KeyB' in 'KeyB+KeyA' is not a modifier"),
        (("quillon8-en-US-symbolic", "AltGr+KeyA"), "needs AltGr, which the host en-US does not have"),
        ((DE, "Shift+ShiftLeft"), "'Shift+ShiftLeft' names a key twice"),
        ((DE, "KeyA", "Shift+a"), "'Shift+a' is KeyA, which is already named"),
        ((DE, "0x31", "0x32"), "'0x32' is Backslash, which is already named"),
        ((DE, *"ABCDEFG"), "hold takes at most 6 keys, each with its modifiers, not 7"),
        ((DE, "\x1b[31m"), "\\x1b[31m"),
        (("quillon8-de-DE-symbolc", "A"), "did you mean quillon8-de-DE-symbolic?"),
        ((DE,), "missing argument"),
    ],
)
def test_what_cannot_be_held(words: tuple[str, ...], told: str) -> None:
    """A wrong name is told with the nearest right one, in one line and with exit code 2."""
    done = call("hold", *words)
    assert (done.returncode, done.stdout) == (2, "")
    assert told in done.stderr
    assert "\x1b" not in done.stderr


def test_keys_that_do_not_go_together() -> None:
    """Alt, up and left are three corners on the machine's drawing: the guard opens the older arrow, and a diode in Alt's contact cures."""
    told = facts(GB, "Alt+ArrowUp", "ArrowLeft")
    first, second = told["as_it_is"]
    assert [key["status"] for key in first["keys"]] == ["opened", "closed"]
    assert [key["rule"] for key in first["keys"]] == ["guard", None]
    assert first["example"] == ["ArrowUp", "ArrowLeft"]
    assert [key["status"] for key in second["keys"]] == ["closed", "opened"]
    (bare,) = told["bare"]
    assert (bare["orders"], bare["phantoms"]) == (2, [{"contact": "S6/N0", "key": "c"}])
    assert {"contact": "S6/N0", "key": "c", "types": "☆", "closed": False} in bare["reads"]
    assert [cause["corner"] for cause in told["causes"]] == ["S4/N4"]
    assert told["diodes"] == ["S4/N4"]
    assert [(cure["line"], cure["whole"]) for cure in told["cures"]] == [
        ("guard: off", False),
        ("contacts: switch-with-diode", True),
        ("contacts: follows-select", True),
    ]
    assert told["releases"]["as_it_is"]["back"] == 0
    assert told["releases"]["resume_on"]["example"] == {
        "order": ["ArrowUp", "ArrowLeft"],
        "released": "ArrowLeft",
        "back": ["ArrowUp"],
    }


def test_the_text_says_it_in_words() -> None:
    """Keys as printed, the rule that opens one, what is read on the bare matrix, the cause and the cures, each in its line."""
    done = call("hold", GB, "Alt+ArrowUp", "ArrowLeft")
    text = " ".join(done.stdout.split())
    assert done.returncode == 1
    for piece in (
        "hold Alt ArrowUp, ArrowLeft, in both orders.",
        "in 1 of 2 orders: Alt ArrowUp, ArrowLeft closed: ArrowLeft Alt ArrowUp is opened (the guard: with the "
        "others it would make a phantom)",
        "and also reads, although nothing closes it, c (S6/N0), which types ☆",
        "S4/N0, S4/N4, S6/N4 are three corners, and the fourth is c (S6/N0)",
        "After one key is released, as it is no other key closes again; with resume: on another key closes again in 2 of 4 cases",
        "guard: off: another key is read in both orders",
        "contacts: switch-with-diode or contacts: follows-select: all contacts are closed in every order",
        "guard: off and a diode in S4/N4 alone",
        "measure whether the machine still reads the contact as low",
    ):
        assert piece in text


def test_what_is_well_is_said_to_be() -> None:
    """Keys that go together need no cure, and the exit code is 0."""
    done = call("hold", GB, "KeyA", "Shift")
    assert done.returncode == 0
    assert "Nothing to cure" in done.stdout
    assert "What would cure it" not in done.stdout


def test_what_no_contact_cures_is_said() -> None:
    """Where the machine can tell too few keys apart, nothing that is tried helps, and the text says so."""
    done = call("hold", GB, "KeyA", "KeyS", "KeyD")
    assert "No kind of contact cures the rest" in done.stdout
    assert "voltage" not in done.stdout


@pytest.mark.parametrize(
    "words", [(BY_PLACE, "Shift", "ShiftRight", "Control", "Alt", "ArrowUp", "O"), (DE, *"ABCDEF")]
)
def test_six_keys_fit_eighty_columns_and_little_time(words: tuple[str, ...]) -> None:
    """All 720 orders are told in lines of at most 80 characters, without colours, and --all tells more outcomes."""
    done = matrixmap("hold", *words, "--all", env={"FORCE_COLOR": "1"})
    assert "in all 720 orders" in " ".join(done.stdout.split())
    assert max(map(len, done.stdout.splitlines())) <= 80
    assert "\x1b" not in done.stdout
    counts = sum(group["orders"] for group in facts(*words)["as_it_is"])
    assert counts == 720


def test_a_cut_list_says_so() -> None:
    """Of many outcomes the first are told with a count of the rest, and all with --all."""
    words = ("hold", DE, *"ABCDE")
    short, whole = call(*words).stdout, call(*words, "--all").stdout
    assert "more outcomes (--all shows them)" in short
    assert "--all" not in whole
    assert len(whole) > len(short)
