"""Proposals for positional layouts: places against places."""

from __future__ import annotations

from dataclasses import replace
from math import hypot

import pytest

from matrixmap.hid.geometry import form
from matrixmap.hid.usages import MODIFIER_BITS, by_code
from matrixmap.join import positional
from matrixmap.join.positional import PlacedPair, propose_pairs
from matrixmap.model.machine import Machine
from tests.project import open_folders, shipped_plan

HOSTS = ("en-US", "de-DE", "ja-JP", "pt-BR", "ko-KR", "fr-FR", "he-IL")


@pytest.fixture(scope="module")
def machine() -> Machine:
    """The demo's machine."""
    return open_folders().machine("quillon8").value


def pairs_of(machine: Machine, host: str) -> tuple[PlacedPair, ...]:
    """The proposal for a shipped host."""
    return propose_pairs(machine, open_folders().host(host).value)


def by_hand(machine: Machine, host: str) -> dict[tuple[str, int], float]:
    """Distance of every key of the machine to every key of the host, letters over letters; a second writing."""
    spots = {}
    for row in machine.rows:
        left = row.left
        for name, width in row.keys:
            spots[name] = (left + width / 2, row.row + 0.5)
            left += width
    caps = {cap.usage: cap for cap in form(open_folders().host(host).value.form).caps}
    middles = {usage: (cap.left + cap.width / 2, cap.top + cap.height / 2) for usage, cap in caps.items()}
    # On the demo's machine, the keys a to z lie to each other as KeyA to KeyZ do.
    move = [middles[by_code("KeyG")[0]][axis] - spots["g"][axis] for axis in (0, 1)]
    return {
        (name, usage): hypot(x + move[0] - middle[0], y + move[1] - middle[1])
        for name, (x, y) in spots.items()
        if name
        for usage, middle in middles.items()
    }


@pytest.mark.parametrize("host", HOSTS)
def test_every_pair_has_its_own_keys_and_their_distance(host: str, machine: Machine) -> None:
    """No key is paired twice, and nearly all keys of the demo are paired."""
    pairs = pairs_of(machine, host)
    assert len({pair.key for pair in pairs}) == len({pair.usage for pair in pairs}) == len(pairs)
    assert {pair.key for pair in pairs} <= {key.name for key in machine.keys}
    assert len(machine.keys) - len(pairs) <= 1
    far = by_hand(machine, host)
    assert all(pair.distance == pytest.approx(far[pair.key, pair.usage]) for pair in pairs)


@pytest.mark.parametrize("host", HOSTS)
def test_letters_and_digits_lie_under_themselves(host: str, machine: Machine) -> None:
    """On the demo, whose rows are shifted as those of a modern keyboard, they are exact."""
    pairs = {pair.key: pair for pair in pairs_of(machine, host)}
    for char in "abcdefghijklmnopqrstuvwxyz":
        assert (pairs[char].usage, pairs[char].distance) == (by_code(f"Key{char.upper()}")[0], 0)
    for char in "1234567890":
        assert (pairs[f"d{char}"].usage, pairs[f"d{char}"].distance) == (by_code(f"Digit{char}")[0], 0)


@pytest.mark.parametrize("host", HOSTS)
def test_functions_and_modifiers_find_their_like(host: str, machine: Machine) -> None:
    """Enter is Enter and Shift is Shift, wherever they lie."""
    pairs = {pair.key: pair.usage for pair in pairs_of(machine, host)}
    alike = {"return": "Enter", "escape": "Escape", "tab": "Tab", "erase": "Backspace", "space": "Space"}
    alike |= {"up": "ArrowUp", "down": "ArrowDown", "left": "ArrowLeft", "right": "ArrowRight"}
    alike |= {"shift-left": "ShiftLeft", "shift-right": "ShiftRight"}
    assert {key: pairs[key] for key in alike} == {key: by_code(code)[0] for key, code in alike.items()}
    assert {pairs["helm"], pairs["blazon"]} <= MODIFIER_BITS.keys()


def test_a_modifier_named_as_one_of_the_host_finds_it(machine: Machine) -> None:
    """Called control, the key of Helm is paired with Control, though Meta lies nearer."""
    names = {"helm": "control"}
    named = [replace(each, name=names.get(each.name, each.name)) for each in machine.modifiers]
    pairs = {pair.key: pair.usage for pair in pairs_of(machine, "de-DE")}
    assert pairs["helm"] == by_code("MetaLeft")[0]
    pairs = {pair.key: pair.usage for pair in pairs_of(replace(machine, modifiers=tuple(named)), "de-DE")}
    assert pairs["helm"] == by_code("ControlLeft")[0]


FUNCTIONS = {"b1", "b2", "b3", "hail"}


@pytest.mark.parametrize(("host", "others"), [("en-US", set()), ("de-DE", {"bracket-left"})])
def test_the_proposal_is_nearly_the_shipped_layout(host: str, others: set[str], machine: Machine) -> None:
    """A person has chosen otherwise on a few keys only: the function keys from F1 on, Helm, Blazon, and a bracket beside Space."""
    shipped = {
        usage: line.stroke.text
        for line in shipped_plan(f"quillon8-{host}-positional").layout.keys
        for usage in line.trigger.usages
    }
    differ = {pair.key for pair in pairs_of(machine, host) if shipped.get(pair.usage) != pair.key}
    assert differ == FUNCTIONS | {"helm", "blazon"} | others


def test_swapping_two_pairs_is_never_nearer(machine: Machine) -> None:
    """No two keys of a kind can exchange their host keys, and no free host key of the kind is nearer."""
    far = by_hand(machine, "de-DE")
    letters = [pair for pair in pairs_of(machine, "de-DE") if len(pair.key) == 1 or pair.key.startswith("d")]
    for one in letters:
        for two in letters:
            swapped = far[one.key, two.usage] + far[two.key, one.usage]
            assert one.distance + two.distance <= swapped + 1e-9


def test_a_machine_without_places_has_no_proposal(machine: Machine) -> None:
    """Where the file does not say how keys lie, nothing is guessed."""
    assert propose_pairs(replace(machine, rows=()), open_folders().host("en-US").value) == ()


def test_kinds_outweigh_all_distances(machine: Machine) -> None:
    """What an unlike pair counts is more than any sum of distances."""
    longest = max(by_hand(machine, "en-US").values()) * len(machine.keys) * positional.UNITS_PER_PITCH
    assert longest < positional.UNLIKE


def test_a_key_far_from_all_of_its_kind_gets_none(machine: Machine) -> None:
    """The American keyboard has one key fewer at the right; a key of the demo is left for a person to decide."""
    paired = {pair.key for pair in pairs_of(machine, "en-US")}
    assert {key.name for key in machine.keys} - paired == {"bracket-right"}
