"""What two tables do to a typist, by the compiled C alone: whether something is lost, and whether a witness holds.

Keys go down and up, the C closes contacts, and the machine's file says what the keys type that are newly read. Nothing
here asks the package what a press does.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import combinations, pairwise
from typing import NamedTuple

from matrixmap.compare.items.item import Proof
from matrixmap.hid.usages import ALT_RIGHT, CAPS_LOCK, MODIFIER_BITS, SHIFT_LEFT, SHIFT_RIGHT, Usage
from matrixmap.model.plan import Plan
from matrixmap.press.keyboard import form_usages
from tests.compare.brute import LONG, Player, Taps, library
from tests.runtime.engine import Engine

TOGETHER = tuple(map(Usage, (0x04, 0x05, 0x06, 0x1E)))
"""A, B, C and 1."""

Hold = tuple[Usage, ...]


class Played(NamedTuple):
    """What came of a press: what was typed, the command that was given, and the keys that the machine reads in the end."""

    typed: tuple[str, ...]
    command: int | None
    read: frozenset[str]


def keys_of(plan: Plan) -> list[Usage]:
    """The keys of a keyboard of the host's form that the host or a line of the layout names, without modifiers."""
    named = {*plan.layout.host.keys, *(binding.trigger.usage for binding in plan.bindings)}
    return sorted((named & form_usages(plan.layout.host.form)) - set(MODIFIER_BITS))


def holds_of(plan: Plan) -> list[Hold]:
    """What is held for characters: nothing, either Shift, AltGr."""
    return [(), (SHIFT_LEFT,), (SHIFT_RIGHT,), *([(ALT_RIGHT,)] if plan.layout.host.has_altgr else [])]


_players: dict[str, Player] = {}


def player_of(plan: Plan) -> Player:
    """The player of a plan, kept: most edits of a table begin with the same project. The text of a plan holds all of it."""
    text = repr(plan)
    if text not in _players:
        _players[text] = Player(plan)
    return _players[text]


def losses(old: Plan, new: Plan) -> Iterator[str]:
    """What a typist had with the old table and has no longer with the new one."""
    before, after = player_of(old), player_of(new)
    if _same(before) == _same(after):
        return
    usual = set(keys_of(new)) | set(form_usages(new.layout.host.form))
    for held in holds_of(old):
        for key in keys_of(old):
            yield from _lost(before, after, held, key, (), key in usual)
            yield from _lost(before, after, held, key, (((), CAPS_LOCK),), key in usual)
    for dead in _dead_keys(old):
        for held in holds_of(old):
            for key in keys_of(old):
                # A press that made a pair made one character of the two.
                if len(before.typed(held, key, (dead,))) == 1:
                    yield from _lost(before, after, held, key, (dead,), True)
    yield from _apart(before, after)
    yield from _together(before, after)


def _same(player: Player) -> tuple[object, ...]:
    """All that plays of a player hang on, by number and not by name: the table, what the keys type, and the keyboard."""
    machine, modifiers = player.machine, []
    for modifier in machine.modifiers:
        modifiers.append(sorted(machine.key(name).contact for name in modifier.keys))
    order = {modifier.name: number for number, modifier in enumerate(machine.modifiers)}
    types = [
        (
            key.contact,
            sorted(
                (sorted(order[name] for name in state), legend.text) for state, legend in key.types.items() if legend
            ),
        )
        for key in machine.keys
    ]
    return player.table, player.conduction, modifiers, sorted(types), player.plan.layout.host.form, keys_of(player.plan)


def _lost(before: Player, after: Player, held: Hold, key: Usage, taps: Taps, there: bool) -> Iterator[str]:
    was = before.typed(held, key, taps)
    now = after.typed(held, key, taps) if there else ()
    if set(was) - {"refused"} and was != now:
        yield f"{taps} {held} {key:02X}: {was}, now {now}"


def _dead_keys(plan: Plan) -> Iterator[tuple[Hold, Usage]]:
    for usage, key in plan.layout.host.keys.items():
        for legend, held in zip(key.legends, ((), (SHIFT_LEFT,), (ALT_RIGHT,)), strict=False):
            if legend and legend.dead:
                yield held, usage


def _apart(before: Player, after: Player) -> Iterator[str]:
    for key in TOGETHER:
        both = [
            play(player, Proof(key=key, held=(SHIFT_LEFT,), apart=True, before=(), after=()))
            for player in (before, after)
        ]
        if both[0].typed and before.typed((), key) != both[0].typed != both[1].typed:
            yield f"Shift of another keyboard with {key:02X}"


def _together(before: Player, after: Player) -> Iterator[str]:
    """Keys that were all read, and no other was, and now are not; and keys that came back and do not."""
    alone = [{key: _read(player, (key,)) for key in TOGETHER} for player in (before, after)]
    for size in (2, 3):
        for keys in combinations(TOGETHER, size):
            whole = [
                all(single[key] for key in keys)
                and _read(player, keys) == frozenset().union(*(single[key] for key in keys))
                for player, single in zip((before, after), alone, strict=True)
            ]
            if whole[0] and not whole[1]:
                yield f"{keys} together"
            back = [
                bool(single[keys[0]]) and single[keys[0]] <= _read(player, keys, keys[-1])
                for player, single in zip((before, after), alone, strict=True)
            ]
            if back[0] and not back[1]:
                yield f"{keys} together, the last one let go"


def _read(player: Player, keys: Iterable[Usage], let_go: Usage | None = None) -> frozenset[str]:
    *held, key = keys
    return play(player, Proof(key=key, held=tuple(held), let_go=let_go, before=(), after=())).read


def play(player: Player, proof: Proof) -> Played:
    """What comes of the presses of a witness."""
    cell = (proof.first, proof.held, proof.key, proof.let_go, proof.apart)
    known = _played.setdefault(id(player), {})
    if cell not in known:
        known[cell] = _play(player, proof)
    return known[cell]


_played: dict[int, dict[tuple[object, ...], Played]] = {}


def _play(player: Player, proof: Proof) -> Played:
    engine = Engine(library(), player.table)
    assert engine.sound
    for held, tapped in proof.first:
        for down in (held, (*held, tapped), held, ()):
            engine.usages(down)
            engine.run(LONG)
    for number in range(len(proof.held)):
        engine.usages(proof.held[: number + 1])
        engine.run(LONG)
    engine.command()
    first = engine.contacts
    engine.mark()
    if proof.apart:
        engine.usages((proof.key,), keyboard=1)
    else:
        engine.usages((*proof.held, proof.key))
    engine.run(LONG)
    command = engine.command()
    typed = tuple(_typed(player, first, engine))
    if proof.let_go is not None:
        engine.usages(key for key in (*proof.held, proof.key) if key != proof.let_go)
        engine.run(LONG)
    return Played(typed, command, _names(player, engine.contacts))


def _typed(player: Player, first: frozenset, engine: Engine) -> Iterator[str]:
    for before, after in pairwise((first, *(contacts for _, contacts in engine.story))):
        read = player._read(after)
        state = frozenset(name for contact, name in player.modifier_at.items() if contact in read)
        for contact in sorted(read - player._read(before) - player.modifier_at.keys()):
            key = player.keys.get(contact)
            legend = key.types.get(state & key.selectors) if key else None
            yield legend.text if legend else "?"


def _names(player: Player, contacts: frozenset) -> frozenset[str]:
    return frozenset(player.keys[contact].name if contact in player.keys else "?" for contact in player._read(contacts))
