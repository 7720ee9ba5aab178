"""The short verdict: what cannot be reached, and how much of what is pressed together is read wrongly."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from matrixmap.check.counts.overlaps import Overlaps, count_overlaps
from matrixmap.check.counts.tally import Tally, subsets, tally
from matrixmap.check.engine.closers import fed_bits, held_and_lifted, together
from matrixmap.check.engine.conflict_words import contacts_of
from matrixmap.check.engine.machine_conflicts import MachineConflicts, machine_conflicts
from matrixmap.check.engine.plan_conflicts import PlanConflicts
from matrixmap.check.engine.printed import Printed
from matrixmap.check.engine.strokes import Item, PlanStrokes
from matrixmap.check.rules.basic import dead_basic_keys
from matrixmap.check.rules.reach import one_shift_only, unreached_keys, unreached_texts
from matrixmap.hid.usages import Usage, by_code
from matrixmap.model.basic import basic_keys
from matrixmap.model.plan import Plan, Stroke, Trigger
from matrixmap.model.witness import Witness
from matrixmap.model.words import cap_name
from matrixmap.simulate.pace import Pace, pace_of

DIAGONALS = (
    ("ArrowUp", "ArrowLeft"),
    ("ArrowUp", "ArrowRight"),
    ("ArrowDown", "ArrowLeft"),
    ("ArrowDown", "ArrowRight"),
)
ARROWS = ("ArrowUp", "ArrowDown", "ArrowLeft", "ArrowRight")
WASD = (("KeyW", "KeyA", "KeyS"), ("KeyW", "KeyA", "KeyD"), ("KeyW", "KeyS", "KeyD"), ("KeyA", "KeyS", "KeyD"))


@dataclass(frozen=True, slots=True, kw_only=True)
class Practice:
    """A combination that matters in practice.

    `family` is the kind of combination, `press` says what to do. `reads` is what the bare matrix reads in addition,
    None if it reads correctly. `kept` says which of the presses the runtime, with the layout's guard setting, leaves
    closed, the oldest first.
    """

    family: str
    press: str
    reads: str | None
    kept: tuple[bool, ...]
    refused: tuple[bool, ...]
    witness: Witness


@dataclass(frozen=True, slots=True, kw_only=True)
class HeldTogether:
    """Two or more modifiers that the typist holds: how many strokes that pass them make a phantom with them."""

    press: str
    strokes: int
    lying: int
    lies_alone: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class StoodIn:
    """A host key on which a second host stands in: its print, and what it types instead, level by level."""

    key: str
    types: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """The verdict on a plan.

    `stand_in` is the id of the second host, None without one, and `stood_in` are the keys on which it stands in.
    `keys`, `characters` and `functions` of the machine cannot be reached. `one_side` are texts with an easiest way that
    works with only one side of a modifier, each with that way. `one_shift` are texts that one of two equal Shift keys
    does not type. `tally` counts on the bare matrix. With the guard on, no pair and no triple that makes a phantom is
    left closed whole, and no more keys than `rollover`. `pace` is how fast a row of keystrokes may come. `printed` says
    what happens to each printed character. `basic` is the number of the host's basic keys, of which `dead_basic` do
    nothing. `known` are the conflicts of the machine under any layout.
    """

    keys: tuple[str, ...]
    characters: tuple[str, ...]
    functions: tuple[str, ...]
    tally: Tally
    overlaps: Overlaps
    guard: bool
    rollover: int | None
    one_side: tuple[tuple[str, str], ...]
    one_shift: tuple[str, ...]
    modifiers: tuple[HeldTogether, ...]
    practice: tuple[Practice, ...]
    stand_in: str | None
    stood_in: tuple[StoodIn, ...]
    pace: Pace
    printed: Printed
    basic: int
    dead_basic: tuple[str, ...]
    known: MachineConflicts


def make_verdict(conflicts: PlanConflicts, known: MachineConflicts | None = None) -> Verdict:
    """The verdict on a plan; the conflicts of its machine are worked out unless given."""
    strokes, plan = conflicts.strokes, conflicts.plan
    dead = dead_basic_keys(conflicts)
    return Verdict(
        keys=tuple(unreached_keys(strokes)),
        characters=tuple(unreached_texts(strokes, characters=True)),
        functions=tuple(unreached_texts(strokes, characters=False)),
        tally=tally(strokes),
        overlaps=count_overlaps(strokes),
        guard=conflicts.plan.guard,
        rollover=conflicts.plan.layout.machine.scan.rollover,
        one_side=conflicts.one_side,
        one_shift=tuple(text for texts in one_shift_only(conflicts).values() for text, _ in texts),
        modifiers=tuple(_held_together(conflicts)),
        practice=tuple(_practice(conflicts)),
        stand_in=conflicts.plan.layout.stand_in.id if conflicts.plan.layout.stand_in else None,
        stood_in=stood_in(conflicts.plan),
        pace=pace_of(plan),
        printed=conflicts.printed,
        basic=len(basic_keys(plan.layout.host)),
        dead_basic=tuple(cap_name(plan.layout.host, usage) for usage in dead),
        known=known or machine_conflicts(plan.layout.machine, plan.contacts),
    )


def stood_in(plan: Plan) -> tuple[StoodIn, ...]:
    """The keys on which the second host of a layout stands in, in the order of their usages."""
    texts: dict[Usage, list[str]] = {}
    for stand_in in sorted(plan.stand_ins, key=lambda stand_in: stand_in.trigger.sort_key()):
        texts.setdefault(stand_in.trigger.usage, []).append(stand_in.legend.text)
    # One W3C code stands for two usages with the same print, which are one key.
    keys = {(cap_name(plan.layout.host, usage), tuple(dict.fromkeys(typed))): None for usage, typed in texts.items()}
    return tuple(StoodIn(key=key, types=types) for key, types in keys)


def _held_together(conflicts: PlanConflicts) -> Iterator[HeldTogether]:
    strokes, wording = conflicts.strokes, conflicts.wording
    for bits in subsets(fed_bits(strokes)):
        if bits.bit_count() < 2:
            continue
        held = wording.witness((), bits)
        passing = [item for item in strokes.items if not bits & (item.hold | item.lift)]
        bare = strokes.bare
        closed = bare.compiled.mask_of(bits)
        lying = sum(bool(bare.phantoms(item.mask | closed | bare.compiled.mask_of(item.hold))) for item in passing)
        yield HeldTogether(
            press=wording.press(held), strokes=len(passing), lying=lying, lies_alone=bool(bare.phantoms(closed))
        )


def _practice(conflicts: PlanConflicts) -> Iterator[Practice]:
    """Arrows with Space or a modifier, and three of W, A, S and D, as far as the layout gives them strokes."""
    strokes = conflicts.strokes
    bits = [1 << number for number in range(len(strokes.modifier_keys)) if fed_bits(strokes) >> number & 1]
    wanted: list[tuple[str, tuple[str, ...], int]] = [
        ("two arrows and Space", (*pair, "Space"), 0) for pair in DIAGONALS
    ]
    wanted += [("two arrows with a modifier held", pair, bit) for bit in bits for pair in DIAGONALS]
    wanted += [("an arrow and Space with a modifier held", (arrow, "Space"), bit) for bit in bits for arrow in ARROWS]
    wanted += [("three of W, A, S and D", codes, 0) for codes in WASD]
    for family, codes, fed in wanted:
        items = [item for code in codes if (item := _item(strokes, code))]
        if len(items) == len(codes):
            yield _outcome(conflicts, family, tuple(items), fed)


def _item(strokes: PlanStrokes, code: str) -> Item | None:
    usage = by_code(code)[0]
    stroke = strokes.plan.by_trigger.get(Trigger(usage=usage, level=1))
    if not isinstance(stroke, Stroke):
        return None
    return next(item for item in strokes.items if item.usage == usage and item.stroke == stroke)


def _outcome(conflicts: PlanConflicts, family: str, items: tuple[Item, ...], fed: int) -> Practice:
    wording, strokes = conflicts.wording, conflicts.strokes
    hold, lift = held_and_lifted(items)
    passed = fed & ~(hold | lift)
    if together(items) and wording.made(items, passed):
        witness = wording.witness(items, passed)
        extra = contacts_of(strokes.bare.phantoms(sum(1 << contact for contact in witness.closed)))
        witness = witness._replace(phantoms=extra)
    else:
        witness = wording.what_is_left(items, passed)
    extra = witness.phantoms
    played = wording.hands.play(witness.held, witness.presses, witness.first)
    usages = [item.usage for item in items]
    refused, closed = played.refused(usages), {stroke.usage for stroke in played.standing.strokes}
    return Practice(
        family=family,
        press=wording.press(witness),
        reads=wording.reads(extra, witness.closed) if extra else None,
        kept=tuple(usage in closed for usage in usages),
        refused=tuple(usage in refused for usage in usages),
        witness=witness,
    )
