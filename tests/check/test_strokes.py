"""What a check says of strokes held together is what the reference model of the runtime does with each pair of them."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import combinations
from types import MappingProxyType

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from matrixmap.check.engine.strokes import make_strokes
from matrixmap.check.run import check_plan
from matrixmap.hid.usages import BOOT_KEYS, KEYPAD_DIGITS, MODIFIER_BITS, Usage
from matrixmap.model.plan import Binding, DeadKeys, Feed, Latch, Plan, Stroke, Trigger
from matrixmap.model.words import key_name
from matrixmap.simulate.engine import CLOCK_TICKS, NEVER
from matrixmap.simulate.model import Model
from tests.check.cases import plan_of
from tests.check.circuit import Circuit
from tests.check.desk import Desk, every_set, without_limits
from tests.check.machines import machines_and_layouts
from tests.project import shipped_plan

SLOW = settings(
    max_examples=40,
    deadline=None,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
PROBES = [Usage(number) for number in range(0x04, 0xDE) if number not in KEYPAD_DIGITS and not 0xA5 <= number <= 0xAF]


class Probe:
    """The strokes of a plan, each on a host key of its own that needs no modifier, and keys that feed what the plan feeds.

    So what is seen comes of the strokes alone and not of what hands do to make them.
    """

    def __init__(self, plan: Plan, limits: bool = False) -> None:
        self.items = make_strokes(plan).items
        strokes = list(dict.fromkeys(item.stroke for item in self.items))
        fed = {each.action.contact: each.action for each in plan.bindings if isinstance(each.action, Feed | Latch)}
        self.feeders: list[Usage] = []
        actions: dict[Usage, Stroke | Feed | Latch] = {}
        for usage, (_, action) in zip(sorted(MODIFIER_BITS), sorted(fed.items()), strict=False):
            actions[usage] = action
            self.feeders.append(usage)
        self.latching = {usage for usage in self.feeders if isinstance(actions[usage], Latch)}
        self.usage = dict(zip(strokes, PROBES, strict=False))
        actions |= {usage: stroke for stroke, usage in self.usage.items()}
        bindings = [
            Binding(trigger=Trigger(usage=usage, level=level), action=action, place=None)
            for usage, action in actions.items()
            for level in (1, 2, 3, 4)
        ]
        extras = {press: each.action for each in bindings for press in [each.trigger]}
        empty: DeadKeys = replace(
            plan.dead_keys, triggers=MappingProxyType({}), accents=MappingProxyType({}), pairs=MappingProxyType({})
        )
        probe = replace(
            plan,
            caps_lock=False,
            num_lock=False,
            bindings=tuple(bindings),
            by_trigger=MappingProxyType(extras),
            dead_keys=empty,
        )
        played = probe if limits else without_limits(probe)
        self.desk, self.model, self.time = Desk(played), Model([played]), 0

    def closed(self, strokes: list[Stroke], held: tuple[int, ...]) -> frozenset[int]:
        """What is closed after strokes were pressed one after the other while feeding keys are held."""
        self.desk.start()
        for usage in held:
            self.desk.press(usage)
            if usage in self.latching:
                self.desk.release(usage)
        return self.desk.press(*(self.usage[stroke] for stroke in strokes))

    def kept(self, strokes: list[Stroke], held: tuple[int, ...]) -> int:
        """How many of some strokes are left closed, by the model: of strokes of modifiers alone it cannot be seen."""
        self.model.start(0)
        down: set[int] = set()
        for usage in (*held, *(self.usage[stroke] for stroke in strokes)):
            self._give({*down, usage})
            down |= {usage} - self.latching
            self._give(down)
        return len(self.model.closed_strokes)

    def _give(self, down: set[int]) -> None:
        self.model.usages(0, sum(1 << each for each in down).to_bytes(32, "little"))
        wait = self.model.advance(self.time)
        while wait != NEVER:
            self.time = (self.time + wait) % CLOCK_TICKS
            wait = self.model.advance(self.time)


def numbered(plan: Plan) -> list[frozenset[int]]:
    """The contacts of each modifier's keys."""
    machine = plan.layout.machine
    return [frozenset(machine.key(name).contact for name in modifier.keys) for modifier in machine.modifiers]


def never_together(plan: Plan) -> dict[str, set[frozenset[tuple[int, Stroke]]]]:
    """For each modifier the pairs of strokes of different host keys that never find it alike, whatever is held.

    And under `any` those that the model never leaves closed both, though they press no contact both.
    """
    probe = Probe(plan)
    names = [modifier.name for modifier in plan.layout.machine.modifiers]
    found: dict[str, set[frozenset[tuple[int, Stroke]]]] = {name: set() for name in [*names, "any"]}
    held_sets = list(every_set(probe.feeders))
    alone = {stroke: [probe.closed([stroke], held) for held in held_sets] for stroke in probe.usage}
    apart: dict[frozenset[Stroke], list[str]] = {}
    for one, other in combinations(alone, 2):
        pair = frozenset((one, other))
        apart[pair] = [
            name
            for name, own in zip(names, numbered(plan), strict=True)
            if not any(
                a & own - set(one.contacts) == b & own - set(other.contacts)
                for a, b in zip(alone[one], alone[other], strict=True)
            )
        ]
        left = any(probe.kept([one, other], held) == 2 for held in held_sets)
        if not left and not set(one.contacts) & set(other.contacts):
            apart[pair].append("any")
    for one, other in combinations(probe.items, 2):
        if one.usage != other.usage and one.stroke != other.stroke:
            for name in apart[frozenset((one.stroke, other.stroke))]:
                found[name].add(frozenset([(one.usage, one.stroke), (other.usage, other.stroke)]))
    return found


def check_contradictions(plan: Plan) -> None:
    """Each modifier is told with as many pairs as never find it alike, and these are all that are never left together."""
    expected = never_together(plan)
    told: dict[str, int] = {}
    for finding in check_plan(plan).findings:
        if finding.slug == "strokes-contradict":
            name = finding.text.split(": of one of each")[0]
            modifier = next(each for each in expected if f" hold {each} by " in name or f" hold {each}, " in name)
            told[modifier] = told.get(modifier, 0) + finding.count
    assert told == {name: len(pairs) for name, pairs in expected.items() if pairs and name != "any"}
    sharing = {pair for name, pairs in expected.items() if name != "any" for pair in pairs if shares(pair)}
    assert expected["any"] | sharing == set().union(*(pairs for name, pairs in expected.items() if name != "any"))


def shares(pair: frozenset[tuple[int, Stroke]]) -> bool:
    (_, one), (_, other) = pair
    return bool(set(one.contacts) & set(other.contacts))


@SLOW
@given(machines_and_layouts())
def test_the_pairs_told_to_contradict_are_those_that_are_never_left_closed_together(texts):
    """Whatever the machine and the layout, all pairs are told that no held modifiers let be closed together."""
    plan = plan_of(*reversed(texts))
    check_contradictions(plan)


@pytest.mark.parametrize(
    "id", ["quillon8-de-DE-positional", pytest.param("quillon8-en-US-symbolic", marks=pytest.mark.campaign)]
)
def test_the_pairs_of_a_shipped_layout_told_to_contradict_are_those_of_trying_each(id):
    """The same for shipped layouts, each pair of their strokes tried with all modifiers."""
    check_contradictions(shipped_plan(id))


NOBODY_HOLDS = """layout: case
machine: quillon8
host: few
join: positional
keys: {KeyA: shift + a, KeyB: b, KeyD: blazon + d, F9: shift-left}
"""


def test_a_stroke_that_holds_what_nobody_can_hold_contradicts_those_that_let_it_pass():
    """Blazon is held by one stroke and by no host key: each other stroke opens that one, and is opened by it."""
    plan = plan_of(NOBODY_HOLDS)
    check_contradictions(plan)
    told = [each for each in check_plan(plan).findings if each.slug == "strokes-contradict"]
    assert [(each.text.split(" hold ")[0], each.count) for each in told] == [("D", 2)]


def check_shared(plan: Plan) -> None:
    """The contacts that are told to be pressed by several host keys are those; a second press opens it and closes it again."""
    probe = Probe(plan)
    keys: dict[int, set[int]] = {}
    for item in probe.items:
        for contact in probe.closed([item.stroke], ()) - set(item.stroke.holds):
            keys.setdefault(contact, set()).add(item.usage)
    shared = {key_name(plan.layout.machine, contact) for contact, usages in keys.items() if len(usages) > 1}
    found = [each for each in check_plan(plan).findings if each.slug == "strokes-share-contact"]
    told = re.findall(r"(?:\(|; )([a-z0-9-]+): ", found[0].text) if found else []
    assert sorted(told) == sorted(shared)
    assert sum(each.count for each in found) == len(shared)


@SLOW
@given(machines_and_layouts())
def test_the_keys_told_to_be_pressed_by_several_host_keys_are_all_that_are(texts):
    """Whatever the machine and the layout, each key of the machine that two host keys press is named."""
    machine, layout = texts
    check_shared(plan_of(layout, machine))


@pytest.mark.parametrize("id", ["quillon8-de-DE-symbolic", "quillon8-en-US-positional"])
def test_the_shared_keys_of_a_shipped_layout_are_all_that_are(id):
    """The same for shipped layouts."""
    check_shared(shipped_plan(id))


def test_a_second_press_of_one_key_is_seen_as_two():
    """Pressed while another host key holds the same key of the machine, it opens for a moment and closes again."""
    desk = Desk(plan_of("layout: case\nmachine: quillon8\nhost: few\njoin: positional\nkeys: {KeyA: a, F9: a}\n"))
    closed = desk.press(0x04)
    assert desk.press(0x42) == closed
    assert frozenset() in desk.moments


LOCKS = """layout: case
machine: small
host: few
join: positional
locks: {CapsLock: %s}
keys: {KeyB: b}
"""


@pytest.mark.parametrize(("key", "kept"), [("a", False), ("c", False), ("hail", False), ("shift-latch", True)])
def test_a_lock_is_told_not_to_be_mirrored_where_nothing_stays_closed(key, kept):
    """Pressed and let go, a lock key leaves a latch closed, which the adapter knows, or nothing, and that is told."""
    plan = plan_of(LOCKS % key)
    desk = Desk(plan)
    assert desk.press(0x39)
    assert bool(desk.release(0x39)) is kept
    told = [each for each in check_plan(plan).findings if each.slug == "lock-not-mirrored"]
    assert [each.text.split()[0] for each in told] == ([] if kept else ["CapsLock"])


@st.composite
def ten_keys(draw: st.DrawFn) -> tuple[str, str]:
    """A machine of 4x5 with ten keys anywhere, one of them a modifier or none, and a host key for each."""
    spots = draw(st.lists(st.integers(0, 19), min_size=10, max_size=10, unique=True))
    names = [f"k{number}" if number in spots else "none" for number in range(20)]
    modifier = draw(st.sampled_from([None, f"k{spots[0]}"]))
    rollover = draw(st.sampled_from(["", "", ", rollover: 6", ", rollover: 7"]))
    machine = [
        "machine: ten\ntitle: A machine with ten keys\nsource: made for this test\nmatrix:\n  select: [S0, S1, S2, S3]",
        "  sense: [N0, N1, N2, N3, N4]\n  grid:",
        *(f"    S{row}: [{', '.join(names[5 * row : 5 * row + 5])}]" for row in range(4)),
        *([f"modifiers: {{shift: {modifier}}}"] if modifier else []),
        f"types: {{k{spots[1]}: {{plain: a}}}}\nscan: {{period_us: 20000{rollover}}}\n",
    ]
    lines = ", ".join(f"0x{0x3A + number:02X}: k{spot}" for number, spot in enumerate(spots))
    contacts = draw(st.sampled_from(["switch", "switch", "switch-with-diode"]))
    layout = f"layout: case\nmachine: ten\nhost: few\njoin: positional\ncontacts: {contacts}\nkeys: {{{lines}}}\n"
    return "\n".join(machine), layout


@SLOW
@given(ten_keys())
def test_seven_keys_are_told_if_and_only_if_some_seven_are_read_rightly(texts):
    """Tried with all sets of seven keys on the plain circuit; those told are all closed by the runtime, guard and all."""
    plan = plan_of(texts[1], texts[0])
    machine = plan.layout.machine
    circuit = Circuit(machine, plan.contacts)
    contacts = [key.contact for key in machine.keys]
    lies = {three for three in combinations(contacts, 3) if circuit.extra(frozenset(three))}
    rollover = machine.scan.rollover
    modifier = {machine.key(name).contact for each in machine.modifiers for name in each.keys}
    possible = any(
        (rollover is None or len(set(seven) - modifier) <= rollover)
        and not any(t in lies for t in combinations(seven, 3))
        for seven in combinations(contacts, BOOT_KEYS + 1)
    )
    found = [each for each in check_plan(plan).findings if each.slug == "beyond-six-keys"]
    assert len(found) == possible
    for finding in found:
        presses = [way[0].usage for way in finding.witness.presses]
        assert len({*finding.witness.held, *presses}) == BOOT_KEYS + 1
        assert Desk(plan).press(*finding.witness.held, *presses) == set(finding.witness.closed)
