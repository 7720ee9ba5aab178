"""What a check says of reach and modifiers is what trying every press on the reference model finds, no more and no less."""

from __future__ import annotations

import re
from functools import cache
from itertools import combinations

import pytest
from hypothesis import HealthCheck, Phase, given, settings

from matrixmap.check.engine.strokes import make_strokes
from matrixmap.check.rules.reach import unreached_keys, unreached_texts
from matrixmap.check.run import Checked, check_plan
from matrixmap.hid.usages import ALT_RIGHT, KEYPAD_DIGITS, NUM_LOCK, SHIFT_LEFT, SHIFT_RIGHT
from matrixmap.model.finding import Finding
from matrixmap.model.layout import Join
from matrixmap.model.legend import other_case
from matrixmap.model.plan import Action, Feed, Nothing, Plan, Stroke, Trigger
from matrixmap.model.words import shown, usage_name
from tests.check.cases import case_slugs, load_case, plan_of
from tests.check.circuit import Circuit
from tests.check.desk import EXTRAS, Desk, Hands, Tried
from tests.check.machines import machines_and_layouts
from tests.project import shipped_plan
from tests.shipped import OTHERS

SLOW = settings(
    max_examples=40,
    deadline=None,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)


class Tries:
    """A plan, what its check finds, and every press that was tried on it."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.machine = plan.layout.machine
        self.checked: Checked = check_plan(plan)
        self.hands = Hands(plan)
        self._desk = Desk(plan)
        self.all: list[Tried] = list(self.hands.every_press(self.hands.held_keys()))

    def desk(self) -> Desk:
        """A desk as when the power comes on; the one from before is gone."""
        self._desk.start()
        return self._desk

    def found(self, slug: str) -> list[Finding]:
        return [finding for finding in self.checked.findings if finding.slug == slug]

    def one(self, slug: str) -> Finding | None:
        found = self.found(slug)
        assert len(found) <= 1
        return found[0] if found else None

    def typing(self) -> dict[str, list[frozenset[int]]]:
        """What is typed, with each set of keys that types it."""
        ways: dict[str, list[frozenset[int]]] = {}
        for tried in filter(self.hands.is_usual, self.all):
            for text in self.hands.texts(tried):
                ways.setdefault(text, []).append(tried.usages)
        return ways

    def closing(self) -> frozenset[int]:
        """All contacts that ever close."""
        closed: set[int] = set()
        for usage in self.hands.held_keys():
            closed |= self.desk().press(usage) if usage in self.hands.board else set()
        for tried in filter(self.hands.is_usual, self.all):
            for pressed, modifiers in tried.moments:
                closed |= pressed | modifiers
        return frozenset(closed)


def check_reach(tries: Tries) -> None:
    """Keys and texts that no press gives are those that the findings name."""
    strokes = make_strokes(tries.plan)
    closing, typed = tries.closing(), tries.typing()
    assert unreached_keys(strokes) == [key.name for key in tries.machine.keys if key.contact not in closing]
    offered = {legend.text for key in tries.machine.keys for legend in key.types.values()}
    told = {*unreached_texts(strokes, characters=True), *unreached_texts(strokes, characters=False)}
    assert told == offered - typed.keys()


def check_states(tries: Tries) -> None:
    """The keys that no press closes with one or two modifiers held are those that are listed for that state."""
    reached = {
        (contact, tries.hands.state(modifiers))
        for tried in filter(tries.hands.is_usual, tries.all)
        for pressed, modifiers in tried.moments
        for contact in pressed
        if tried.usage not in tries.hands.latching
    }
    keys = [key for key in tries.machine.keys if key.contact in {contact for contact, _ in reached}]
    told = [finding.text for finding in tries.found("unreachable-state")]
    expected = []
    names = [modifier.name for modifier in tries.machine.modifiers]
    for state in [frozenset(some) for count in (1, 2) for some in combinations(names, count)]:
        missing = [key.name for key in keys if (key.contact, state) not in reached]
        words = tries.machine.state_name(state)
        if missing and len(missing) == len(keys):
            expected.append(f"nobody can hold {words} with any key of the machine")
        elif missing:
            expected.append(f"nobody can press with {words} held: {', '.join(missing)}")
    assert [text.split(";")[0] for text in told] == expected


def check_idle(tries: Tries) -> None:
    """The host keys without any effect, alone or after a dead key or as one, are those that are listed."""
    # A key that is refused each time has its stroke all the same: guard and rollover are left aside.
    hands = Hands(tries.plan, limits=False)
    every = list(hands.every_press(hands.held_keys()))
    alone = {(tried.held, tried.usage): tried.moments for tried in every if not tried.dead and tried.num}
    acting = {tried.usage for tried in every if tried.acted}
    # A dead key acts if it changes what the next key closes.
    acting |= {
        tried.dead.usage for tried in every if tried.dead and not tried.moments <= alone[tried.held, tried.usage]
    }
    acting |= {usage for usage in tries.hands.usages if tries.desk().press(usage)}
    silenced = {binding.trigger.usage for binding in tries.plan.bindings if isinstance(binding.action, Nothing)}
    asked = tries.plan.layout.host.keys.keys() & set(tries.hands.usages)
    idle = [usage for usage in asked if usage not in acting | silenced]
    finding, basic = tries.one("host-key-does-nothing"), tries.one("dead-basic-key")
    dead = set(re.findall(r"\b[A-Z]\w+", basic.text)) if basic else set()
    dead &= {usage_name(usage) for usage in idle}
    named = (
        {word for part in finding.text.split("; ") for word in part.split(": ")[1].split(", ")} if finding else set()
    )
    assert not named & dead
    assert (finding.count if finding else 0) == len(named)
    assert named | dead == {usage_name(usage) for usage in idle}


def check_prints(tries: Tries) -> None:
    """The characters that a key prints and the machine has, but that Shift and AltGr do not make it type."""
    host = tries.plan.layout.host
    texts = {legend.text for key in tries.machine.keys for legend in key.types.values()}
    typed = {(each.usage, each.held): tries.hands.texts(each) for each in tries.all if not each.dead and each.num}
    wrong = set()
    for usage, key in host.keys.items():
        levels = min(1 if usage in KEYPAD_DIGITS else host.levels, len(key.legends))
        for level in range(1, levels + 1) if usage in tries.hands.usages else ():
            legend = key.at(level)
            if legend is None or not legend.is_character or legend.dead or not key.is_printed(level):
                continue
            target = next((text for text in (legend.text, other_case(legend.text)) if text in texts), None)
            trigger = Trigger(usage=usage, level=level)
            if target is not None and trigger in tries.plan.by_trigger:
                wrong |= instead(tries, typed, trigger, legend.text, target)
    finding = tries.one("print-differs")
    told = re.findall(r"prints (.+?), (types|presses) (.+?)(?=; |$)", finding.text) if finding else []
    says = set()
    for one, does, what in told:
        rest, side = re.fullmatch(r"(.+?)((?: with (?:left|right) Shift.*)?)", what).groups()
        says.add(f"prints {one}, {does} {rest if does == 'types' else 'several'}{side.removesuffix(' AltGr')}")
    assert says == wrong
    assert len(told) == (finding.count if finding else 0)


def instead(tries: Tries, typed, trigger: Trigger, legend: str, target: str) -> set[str]:
    """What a press that should type a character does instead, by the side of Shift where that makes a difference."""
    action = tries.plan.by_trigger[trigger]
    several = isinstance(action, Stroke) and len(action.contacts) > 1
    held = levels_keys(trigger)
    found: dict[str | None, list[str]] = {}
    for shift, side in ((SHIFT_LEFT, "left"), (SHIFT_RIGHT, "right")) if SHIFT_LEFT in held else ((0, ""),):
        by_side = tuple(sorted(shift if usage == SHIFT_LEFT else usage for usage in held))
        got = typed.get((trigger.usage, by_side), typed[trigger.usage, tuple(held)])
        does = "presses several" if several else f"types {shown(next(iter(got))) if got else 'nothing'}"
        found.setdefault(None if target in got else does, []).append(side)
    return {
        f"prints {shown(legend)}, {does}" + (f" with {sides[0]} Shift" if len(found) > 1 else "")
        for does, sides in found.items()
        if does
    }


SMALL = {
    "no keypad": lambda name: name.startswith("Numpad"),
    "no function keys": lambda name: name in {f"F{number}" for number in range(1, 25)},
    "no Insert block": lambda name: name in {"Insert", "Delete", "Home", "End", "PageUp", "PageDown"},
    "no IntlBackslash": lambda name: name == "IntlBackslash",
}


def check_small_keyboards(tries: Tries) -> None:
    """What a keyboard without some keys cannot type at all is what is told of it."""
    typing = tries.typing()
    told = {}
    for finding in tries.found("needs-larger-keyboard"):
        if not finding.text.startswith("on a keyboard with "):
            continue
        what, _, rest = finding.text.removeprefix("on a keyboard with ").partition(" nobody can type ")
        told[what] = (finding.count, set(rest.rpartition(" (")[0].split(", ")))
    expected = {}
    for what, lacks in SMALL.items():
        lost = {
            shown(text) for text, ways in typing.items() if all(any(map(lacks, map(usage_name, way))) for way in ways)
        }
        if lost:
            expected[what] = (len(lost), lost)
    assert told == expected


def check_switches(tries: Tries) -> None:
    """The contacts that a controller's switch reads like are those that close at some press and that it pulls by itself."""
    circuit = Circuit(tries.machine, tries.plan.contacts)
    closing = tries.closing()
    names = {key.contact: key.name for key in tries.machine.keys}
    expected = []
    for controller in tries.machine.controllers:
        for switch in controller.switches:
            alike = circuit.read(frozenset(), ((controller.name, switch.function),)) & closing
            if alike:
                expected.append((len(alike), {names[contact] for contact in alike}))
    told = [
        (finding.count, set(finding.text.split(" like ")[1].split(";")[0].split(", ")))
        for finding in tries.found("controller-looks-like-key")
    ]
    assert told == expected


def check_sides(tries: Tries) -> None:
    """A modifier of two keys is merged if host keys by themselves close one of them, split if they close more."""
    merged, split = [], []
    alone = {usage: tries.desk().press(usage) for usage in tries.hands.usages}
    pressing = {tried.usage for tried in tries.all if tried.moments}
    for modifier in tries.machine.modifiers:
        own = {tries.machine.key(name).contact for name in modifier.keys}
        closed = frozenset().union(*(alone[usage] & own for usage in alone if usage not in pressing))
        if len(own) > 1 and closed:
            (merged if len(closed) == 1 else split).append(modifier.name)
    for slug, names in (("modifier-sides-merged", merged), ("modifier-sides-split", split)):
        found = tries.found(slug)
        assert len(found) == len(names)
        assert all(f"sides of {name}" in finding.text for name, finding in zip(names, found, strict=True))


def check_unasked(tries: Tries) -> None:
    """Presses whose host modifiers reach the machine and change what is typed, or may change it, are those that are told."""
    if tries.plan.layout.join is not Join.SYMBOLIC:
        assert tries.found("unasked-modifier") == []
        return
    plan, expected = tries.plan, []
    feeding = {binding.trigger.usage for binding in plan.bindings if isinstance(binding.action, Feed)}
    for binding in plan.bindings:
        trigger = binding.trigger
        plain = plan.by_trigger.get(Trigger(usage=trigger.usage, level=1))
        if trigger.usage not in feeding and (trigger.level == 1 or plain != binding.action):
            expected += unasked(tries, None, trigger, binding.action)
    for (accent, usage, level), stroke in plan.dead_keys.pairs.items():
        if level > 1 and plan.dead_keys.pairs.get((accent, usage, 1)) != stroke:
            dead = next(press for press, other in plan.dead_keys.triggers.items() if other == accent)
            expected += unasked(tries, dead, Trigger(usage=usage, level=level), stroke)
    told = [
        f"{finding.severity.word}: {finding.text.split(' types ')[1].split(',')[0]}"
        for finding in tries.found("unasked-modifier")
    ]
    assert set(told) == set(expected), (told, expected)


def levels_keys(press: Trigger) -> list[int]:
    """The left keys that choose the level of a press."""
    if press.usage in KEYPAD_DIGITS:
        return []
    return [SHIFT_LEFT] * (press.level in (2, 4)) + [ALT_RIGHT] * (press.level in (3, 4))


def unasked(tries: Tries, dead: Trigger | None, trigger: Trigger, stroke: Action) -> list[str]:
    """What is wrong with one press, after a dead key or not, when the hands hold its modifiers by the left keys."""
    if not isinstance(stroke, Stroke) or len(stroke.contacts) != 1 or not stroke.types or not stroke.types.is_character:
        return []
    found = []
    for right in (False, True):
        desk = tries.desk()
        if dead:
            desk.press(*levels_keys(dead), dead.usage)
            desk.release(*levels_keys(dead), dead.usage)
        desk.press(*([NUM_LOCK] if trigger.usage in KEYPAD_DIGITS and trigger.level == 2 else []))
        held = [*(EXTRAS[extra] for extra in trigger.extras), *levels_keys(trigger)]
        desk.press(*(usage + 4 if right and usage + 4 != ALT_RIGHT else usage for usage in held if usage != ALT_RIGHT))
        desk.press(*(usage for usage in held if usage == ALT_RIGHT))
        closed = desk.press(trigger.usage)
        if not set(stroke.contacts) <= closed:
            continue  # refused, which is told elsewhere
        key = tries.hands.keys[stroke.contacts[0]]
        state = tries.hands.state(closed & tries.hands.modifier_of.keys())
        typed = key.types.get(state & key.selectors)
        if not (state == tries.hands.state(stroke.holds) or (state in key.types and typed == stroke.types)):
            found.append(f"{'note' if typed == stroke.types else 'warning'}: {shown(stroke.types.text)}")
    return found


CHECKS = {
    "reach": check_reach,
    "unreachable-state": check_states,
    "host-key-does-nothing": check_idle,
    "print-differs": check_prints,
    "needs-larger-keyboard": check_small_keyboards,
    "controller-looks-like-key": check_switches,
    "modifier-sides": check_sides,
    "unasked-modifier": check_unasked,
}


@SLOW
@given(machines_and_layouts())
def test_random_layouts_do_what_their_checks_say_of_them(texts):
    """Whatever the machine and the layout, each rule of reach and modifiers tells all that trying finds, and no more."""
    machine, layout = texts
    tries = Tries(plan_of(layout, machine))
    for check in CHECKS.values():
        check(tries)


SEVERAL = """machine: several
title: A machine with a controller
source: made for this test
matrix:
  select: [S0, S1, S2]
  sense: [N0, N1, N2]
  grid:
    S0: [shift-left, a, b]
    S1: [shift-right, hat, e]
    S2: [control, d, none]
modifiers: {shift: [shift-left, shift-right], control: [control]}
controllers:
  stick: {Fire: N0}
  pad: {wired: gated, Up: S1/N2}
  wheel: {wired: contact, Left: S1/N1}
types:
  a: {plain: a, shift: A}
  b: {plain: b}
  hat: {plain: '^'}
  d: {plain: d, control: D}
  e: {plain: ê}
scan: {period_us: 20000}
"""
HELD_ONLY_BY_STROKES = "join: positional\nkeys: {KeyA: shift + a, KeyB: b}"
MIXED = "join: positional\nkeys: {F9: shift-left, Shift+F9: e, KeyA: a, ShiftRight: shift-right}"
RIGHT_SHIFT_ONLY = (
    "join: positional\nkeys: {ShiftRight: shift-left, KeyA: a, KeyD: d, ControlRight: control, Control+KeyD: b}"
)
SHIFT_ON_A_FUNCTION_KEY = "join: positional\nkeys: {F9: shift-left, KeyA: a}"
BY_CAPS_LOCK_TOO = "join: positional\nkeys: {ShiftRight: shift-left, F9: shift-left, KeyA: a, Shift+KeyA: b}"
BY_PRINT = "join: symbolic\npass: {Control: control}\nkeys: {F1: a}"


@pytest.mark.parametrize("host", ["few", "composing"])
@pytest.mark.parametrize(
    "lines",
    [HELD_ONLY_BY_STROKES, MIXED, RIGHT_SHIFT_ONLY, SHIFT_ON_A_FUNCTION_KEY, BY_CAPS_LOCK_TOO, BY_PRINT],
)
@pytest.mark.parametrize("name", CHECKS)
def test_odd_layouts_do_what_their_checks_say_of_them(name, lines, host):
    """Modifiers that only strokes hold, keys that are a modifier at one level only, sides apart, and accents by themselves."""
    CHECKS[name](tries_on(f"layout: case\nmachine: several\nhost: {host}\n{lines}\n", SEVERAL))


@pytest.mark.parametrize("slug", [slug for slug in case_slugs() if slug.startswith("unreachable-") or slug in CHECKS])
def test_cases_do_what_their_checks_say_of_them(slug):
    """The same for the small layouts that show these rules, good and bad."""
    case = load_case(slug)
    for layout, machine in ((case.bad, case.bad_machine), (case.good, case.good_machine)):
        for check in CHECKS.values():
            check(tries_on(layout, machine))


@cache
def tries_on(layout: str, machine: str | None) -> Tries:
    """The tries on the text of a layout."""
    return Tries(plan_of(layout, machine))


FULL = [
    "quillon8-en-US-positional",
    "quillon8-en-US-symbolic",
    *(
        pytest.param(id, marks=pytest.mark.campaign)
        for id in ("quillon8-sr-RS-symbolic", "quillon8-el-GR-symbolic", "quillon8-de-DE-symbolic", *OTHERS)
    ),
]


@pytest.mark.parametrize("id", FULL)
def test_shipped_layouts_do_what_their_checks_say_of_them(id):
    """The same for shipped layouts of both joins, those with many dead keys in the long run."""
    tries = Tries(shipped_plan(id))
    for check in CHECKS.values():
        check(tries)
