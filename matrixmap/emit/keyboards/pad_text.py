"""What can a pad send, and what does it drive on a machine? In plain words and as JSON."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from matrixmap.emit.keyboards.keyboard_text import runs_of
from matrixmap.emit.keyboards.pad_c import PAD_DESCRIPTOR_BYTES, no_pad_table, pad_table
from matrixmap.hid.descriptor import Descriptor
from matrixmap.hid.pads.sources import AXES, BUTTONS, DPAD, HAT, OTHER_AXES, STICK, Source, source_name
from matrixmap.hid.pads.steps import Axis, Choices, Hat, Pad, Switches, WideSwitches
from matrixmap.join.pads import DrivenController, driven_controllers
from matrixmap.model.layout import Pads, StrokeName
from matrixmap.model.machine import Machine

BY_HAND = (
    "A descriptor numbers the buttons, but does not say where they are. Press them one after the other and record "
    "that: the recording is then listed in this order. It shows, for example, which button is under the thumb, and "
    "which end of a stick its cable points to."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class PadFacts:
    """A pad by its descriptor: what it can send, and the size of its table for the firmware (None: no table).

    `seen` are the sources that were on in a recording of it, in the order of their first use.
    """

    descriptor: Descriptor
    pad: Pad
    sources: frozenset[Source]
    table_bytes: int | None
    no_table: str | None
    seen: tuple[Source, ...] = ()


def pad_facts(descriptor: Descriptor, pad: Pad) -> PadFacts:
    """The facts that result from a pad's steps."""
    reason = no_pad_table(descriptor, pad)
    return PadFacts(
        descriptor=descriptor,
        pad=pad,
        sources=frozenset(_sources(pad)),
        table_bytes=None if reason else len(pad_table(descriptor, pad).to_bytes()),
        no_table=reason,
    )


def _sources(pad: Pad) -> Iterator[Source]:
    for _, step in pad.steps:
        match step:
            case Switches() | WideSwitches():
                yield from (Source(step.source + index) for index in range(1 if step.same else step.count))
            case Choices():
                yield from (Source(run.source + index) for run in step.named for index in range(run.count))
            case Hat():
                yield from (Source(HAT + index) for index in range(4))
            case Axis(axis=0):
                yield from (Source(STICK + 2), Source(STICK + 3))
            case Axis(axis=1):
                yield from (Source(STICK), Source(STICK + 1))
            case Axis():
                first = OTHER_AXES + 2 * (step.axis - 2)
                yield from (Source(first), Source(first + 1))


def pad_lines(facts: PadFacts) -> Iterator[str]:
    """What a pad can send, one line per fact."""
    pad = facts.pad
    ids = [f"{report.id}" for report in pad.reports if report.id]
    where = f" in report{'s' if len(ids) > 1 else ''} {', '.join(ids)}" if ids else ""
    yield f"A {pad.title}, by the collection at byte {pad.collection}{where}."
    steps = [step for _, step in pad.steps]
    buttons = [source for source in sorted(facts.sources) if source < BUTTONS]
    yield f"Buttons: {_runs(buttons) or 'none'}."
    dpad = sum(DPAD <= source < HAT for source in facts.sources)
    hats = [step for step in steps if isinstance(step, Hat)]
    told = [f"a hat of {hat.values} directions, {hat.low} to {hat.low + hat.values - 1}" for hat in hats]
    told += [f"a D-pad of {dpad} buttons"] if dpad else []
    yield f"Directions: {', '.join(told) or 'no hat and no D-pad'}."
    axes = sorted((step for step in steps if isinstance(step, Axis)), key=lambda step: step.axis)
    named = ", ".join(f"{AXES[step.axis]} ({step.size} bits, {step.low} to {step.high})" for step in axes)
    yield f"Axes: {named or 'none'}."
    if facts.table_bytes is None:
        yield f"The firmware's decoder cannot read it: {facts.no_table}."
    else:
        fits = f"it fits in {PAD_DESCRIPTOR_BYTES} bytes of RAM" if facts.table_bytes <= PAD_DESCRIPTOR_BYTES else ""
        yield f"Its table for the firmware's decoder has {facts.table_bytes} bytes{'; ' + fits if fits else ''}."
    for note in pad.notes:
        yield f"  not read: {note}"
    if facts.seen:
        yield f"The recording has, in this order: {', '.join(map(source_name, facts.seen))}."


def drive_lines(facts: PadFacts, pads: Pads, machine: Machine) -> Iterator[str]:
    """What the pad drives in a layout: for each controller of the order, what closes which switch, and the rest."""
    driven = driven_controllers(pads, machine)
    for place, one in enumerate(driven):
        yield f"As pad {place + 1} it drives {one.controller.name}:"
        width = max((len(each.switch.function) for each in one.switches), default=0)
        for each in one.switches:
            have = [source_name(source) for source in each.sources if source in facts.sources]
            lack = [source_name(source) for source in each.sources if source not in facts.sources]
            words = ", ".join(have) or "nothing"
            missing = f"; this pad has no {', '.join(lack)}" if lack and not have else ""
            yield f"  {each.switch.function:{width}}  {words}{missing}"
    for button in pads.buttons:
        there = "" if button.source in facts.sources else "; this pad has none"
        yield f"{source_name(button.source)}: {button.words}{there}"
    used = {source for one in driven for each in one.switches for source in each.sources}
    used |= {button.source for button in pads.buttons}
    idle = [source for source in sorted(facts.sources - used) if source < BUTTONS]
    if idle:
        yield f"The layout has nothing for {_runs(idle)}."


def undriven(facts: PadFacts, pads: Pads, machine: Machine) -> tuple[str, ...]:
    """The switches of the order's controllers that nothing on this pad closes, as `tiller Whistle`."""
    return tuple(
        f"{one.controller.name} {each.switch.function}"
        for one in driven_controllers(pads, machine)
        for each in one.switches
        if not facts.sources & set(each.sources)
    )


def pad_document(facts: PadFacts, pads: Pads | None, machine: Machine | None) -> dict[str, object]:
    """All of it, for programs."""
    document: dict[str, object] = {
        "kind": facts.pad.title,
        "collection_byte": facts.pad.collection,
        "reports": [{"id": report.id, "bytes": report.bytes} for report in facts.pad.reports],
        "sources": [source_name(source) for source in sorted(facts.sources)],
        "axes": [
            {"axis": AXES[step.axis], "bits": step.size, "low": step.low, "high": step.high, "null_state": step.null}
            for _, step in facts.pad.steps
            if isinstance(step, Axis)
        ],
        "table_bytes": facts.table_bytes,
        "seen": [source_name(source) for source in facts.seen],
        "not_read": [{"byte": note.offset, "text": note.text} for note in facts.pad.notes],
    }
    if pads is not None and machine is not None:
        document["drives"] = [_driven(facts, one) for one in driven_controllers(pads, machine)]
        document["buttons"] = [
            {
                "source": source_name(button.source),
                "does": button.does.text if isinstance(button.does, StrokeName) else {"command": button.does},
                "there": button.source in facts.sources,
            }
            for button in pads.buttons
        ]
    return document


def _driven(facts: PadFacts, one: DrivenController) -> dict[str, object]:
    return {
        "controller": one.controller.name,
        "switches": {
            each.switch.function: [source_name(source) for source in each.sources if source in facts.sources]
            for each in one.switches
        },
    }


def _runs(sources: Iterable[Source]) -> str:
    """Buttons as ranges: `1 to 8, 10`."""
    runs = runs_of(sources)
    return ", ".join(f"{first + 1} to {last + 1}" if last > first else f"{first + 1}" for first, last in runs)
