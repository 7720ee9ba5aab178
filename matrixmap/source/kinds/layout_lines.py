"""The lines of a layout file, read against the machine and host that it joins."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from matrixmap.hid.usages import (
    ALT_RIGHT,
    CAPS_LOCK,
    KEYPAD_DIGITS,
    MODIFIER_BITS,
    NUM_LOCK,
    SCROLL_LOCK,
    USAGES,
    Usage,
)
from matrixmap.model.host import Host
from matrixmap.model.layout import (
    Acceptance,
    CommandLine,
    CommandName,
    HostModifier,
    Join,
    KeyLine,
    LockLine,
    ManyLine,
    PassLine,
    StrokeName,
    TriggerName,
    TypeLine,
)
from matrixmap.model.machine import Machine
from matrixmap.model.place import Place
from matrixmap.source import rules
from matrixmap.source.kinds.host import read_host_key, usages_named
from matrixmap.source.report import Report, named
from matrixmap.source.shape.shapes import Record
from matrixmap.source.text.nodes import Text

MOST_KEYS_IN_A_STROKE = 4
LEVEL_MODIFIERS = {"Shift": 1, "AltGr": 2}
EXTRA_MODIFIERS = {modifier.value: modifier for modifier in HostModifier}
MANY = "*"
"""In a line for many keys, this is written in place of the key."""
KNOWN_MODIFIERS = {*LEVEL_MODIFIERS, *EXTRA_MODIFIERS}
LOCK_USAGES = (CAPS_LOCK, NUM_LOCK, SCROLL_LOCK)


@dataclass(frozen=True, slots=True, kw_only=True)
class Lines:
    """The lines of one layout file."""

    types: tuple[TypeLine, ...]
    keys: tuple[KeyLine, ...]
    many: tuple[ManyLine, ...]
    passes: tuple[PassLine, ...]
    locks: tuple[LockLine, ...]
    commands: tuple[CommandLine, ...]
    command_names: tuple[CommandName, ...]
    accept: tuple[Acceptance, ...]


class LineReader:
    """Reads the sections of one layout against its machine and host, if these are known."""

    def __init__(self, machine: Machine | None, host: Host | None, join: Join | None, report: Report) -> None:
        self.machine = machine
        self.host = host
        self.join = join
        self.report = report
        self.key_names = [key.name for key in machine.keys] if machine else []
        self.modifier_names = [modifier.name for modifier in machine.modifiers] if machine else []

    def lines(self, record: Record, known_slugs: Iterable[str]) -> Lines:
        """All lines of one file; a finding where two lines have the same trigger."""
        lines = Lines(
            types=self.type_lines(record),
            keys=self.key_lines(record),
            many=self.many_lines(record),
            passes=self.pass_lines(record),
            locks=self.lock_lines(record),
            commands=self.command_lines(record),
            command_names=self.command_names(record),
            accept=self.acceptances(record, known_slugs),
        )
        self.one_line_a_trigger(
            [
                *(line.trigger for line in lines.keys),
                *(line.trigger for line in lines.many),
                *(line.trigger for line in lines.commands),
            ]
        )
        return lines

    def type_lines(self, record: Record) -> tuple[TypeLine, ...]:
        lines = []
        for legend, text, place in record.get("types") or ():
            stroke = self.stroke(text)
            if self.for_symbolic("types", place) and stroke and self.machine:
                if not self._types(self.machine, stroke, legend.text):
                    self.report.add(
                        rules.TYPES_SOMETHING_ELSE,
                        text.place,
                        f"{stroke.text} does not type {legend.text} on the machine{self._who_types(self.machine, legend.text)}",
                    )
                lines.append(TypeLine(legend=legend, stroke=stroke, place=place))
        return tuple(lines)

    def _types(self, machine: Machine, stroke: StrokeName, legend: str) -> bool:
        acts = None if stroke.keys else machine.acts(stroke.modifiers)
        if acts is not None:
            key, state = acts
            return legend in [each.text for each in key.meanings(state)]
        if len(stroke.keys) != 1:
            return False
        meant = machine.key(stroke.keys[0]).meanings(stroke.modifiers)
        return legend in [each.text for each in meant]

    def _who_types(self, machine: Machine, legend: str) -> str:
        strokes = [
            " + ".join([*([machine.state_name(state)] if state else []), key.name])
            for key in machine.keys
            for state in key.types
            if legend in [each.text for each in key.meanings(state)]
        ]
        return f"; {named(strokes)} does" if strokes else "; no key does"

    def for_symbolic(self, section: str, place: Place) -> bool:
        """Whether a section is allowed here; a finding if not. In a positional layout it would have no effect."""
        if self.join is not Join.POSITIONAL:
            return True
        self.report.add(
            rules.NOT_FOR_THIS_JOIN,
            place,
            f"{section} controls a symbolic join; in a positional layout write the pair under keys",
        )
        return False

    def key_lines(self, record: Record) -> tuple[KeyLine, ...]:
        lines = []
        for trigger_text, stroke_text, _ in record.get("keys") or ():
            if is_many(trigger_text):
                continue
            trigger, stroke = self._trigger(trigger_text), self.stroke(stroke_text)
            if trigger and stroke and self._feeds_plainly(trigger, stroke):
                lines.append(KeyLine(trigger=trigger, stroke=stroke))
        return tuple(lines)

    def many_lines(self, record: Record) -> tuple[ManyLine, ...]:
        lines = []
        for trigger_text, stroke_text, _ in record.get("keys") or ():
            if is_many(trigger_text):
                trigger, stroke = self._trigger(trigger_text), self._many_stroke(stroke_text)
                if trigger and stroke:
                    lines.append(ManyLine(trigger=trigger, stroke=stroke))
        return tuple(lines)

    def _many_stroke(self, text: Text) -> StrokeName | None:
        """The modifiers that a line for many keys holds. Some key of the machine must type something with them."""
        *modifiers, last = (part.strip() for part in text.text.split("+"))
        if last != MANY or not modifiers:
            fault = f"a line for many keys holds modifiers of the machine and ends in {MANY}, such as shift + {MANY}"
            self.report.add(rules.BAD_STROKE, text.place, f"{fault}; {text.text!r} does not")
            return None
        if self.machine is None:
            return None
        for name in modifiers:
            if name not in self.modifier_names:
                fault = f"the machine has no modifier {name!r}{self.report.nearest(name, self.modifier_names)}"
                self.report.add(rules.UNKNOWN_MODIFIER, text.place, fault)
                return None
        state = frozenset(modifiers)
        if len(state) < len(modifiers):
            self.report.add(rules.BAD_STROKE, text.place, f"{text.text!r} names something twice")
            return None
        if not any(state in key.types for key in self.machine.keys):
            fault = (
                f"no key of the machine types anything with {self.machine.state_name(state)}, so this line has no "
                "effect"
            )
            self.report.add(rules.BAD_STROKE, text.place, fault)
            return None
        return StrokeName(text=text.text, modifiers=state, keys=(), place=text.place)

    def _feeds_plainly(self, trigger: TriggerName, stroke: StrokeName) -> bool:
        """Whether the trigger fits the stroke: a stroke that is just a modifier's key needs one without modifiers."""
        alone = self.machine is not None and len(stroke.keys) == 1 and not stroke.modifiers
        feeds = alone and self.machine is not None and self.machine.modifier_of(stroke.keys[0])
        if feeds and not trigger.every_level:
            fault = f"{stroke.text} is a modifier of the machine; its host key feeds it, whatever else is held"
            self.report.add(rules.BAD_TRIGGER, trigger.place, f"{fault}; write the trigger without modifiers")
            return False
        return True

    def pass_lines(self, record: Record) -> tuple[PassLine, ...]:
        lines = []
        for key, modifier, place in record.get("pass") or ():
            if not self.for_symbolic("pass", place):
                continue
            usages = self._modifier_usages(key)
            if self.machine and modifier.text not in self.modifier_names:
                fault = f"the machine has no modifier {modifier.text!r}{self.report.nearest(modifier.text, self.modifier_names)}"
                self.report.add(rules.UNKNOWN_MODIFIER, modifier.place, fault)
            elif usages:
                lines.append(PassLine(text=key.text, usages=usages, modifier=modifier.text, place=place))
        return tuple(lines)

    def _modifier_usages(self, key: Text) -> tuple[Usage, ...]:
        """The usages of `ControlLeft`, or of `Control`, which means both sides. An Alt that is AltGr is left out."""
        sides = {fact.code: fact.usage for fact in USAGES if fact.code and fact.usage in MODIFIER_BITS}
        if key.text in sides or key.text in ("Control", "Shift", "Alt", "Meta"):
            names = [key.text] if key.text in sides else [f"{key.text}Left", f"{key.text}Right"]
            usages = tuple(sides[name] for name in names)
            if self.host and self.host.has_altgr:
                usages = tuple(usage for usage in usages if usage != ALT_RIGHT)
            if not usages:
                fault = "AltRight is AltGr on this host and chooses levels; it cannot feed a modifier"
                self.report.add(rules.BAD_TRIGGER, key.place, fault)
            return usages
        return read_host_key(key, self.report)

    def lock_lines(self, record: Record) -> tuple[LockLine, ...]:
        lines = []
        known = (*self.key_names, *self.machine.latching, *self.machine.parallel) if self.machine else ()
        for lock, key, place in record.get("locks") or ():
            usages = read_host_key(lock, self.report)
            if usages and usages[0] not in LOCK_USAGES:
                fault = f"{lock.text} is not a lock; locks are CapsLock, NumLock and ScrollLock"
                self.report.add(rules.BAD_TRIGGER, lock.place, fault)
            elif self.machine and key.text not in known:
                fault = f"the machine has no key {key.text!r}{self.report.nearest(key.text, known)}"
                self.report.add(rules.UNKNOWN_KEY, key.place, fault)
            elif usages:
                lines.append(LockLine(text=lock.text, usage=usages[0], key=key.text, place=place))
        return tuple(lines)

    def command_lines(self, record: Record) -> tuple[CommandLine, ...]:
        lines = []
        for text, number, _ in record.get("commands") or ():
            if is_many(text):
                fault = f"{text.text!r} means many keys, but a command has one trigger"
                self.report.add(rules.BAD_TRIGGER, text.place, fault)
                continue
            trigger = self._trigger(text)
            if trigger:
                lines.append(CommandLine(trigger=trigger, number=int(number)))
        return tuple(lines)

    def command_names(self, record: Record) -> tuple[CommandName, ...]:
        return tuple(
            CommandName(number=int(number.text), name=name.text, place=name.place)
            for number, name, _ in record.get("command_names") or ()
        )

    def acceptances(self, record: Record, known_slugs: Iterable[str]) -> tuple[Acceptance, ...]:
        known = tuple(known_slugs)
        lines = []
        for slug, accepted, place in record.get("accept") or ():
            if accepted is None:
                continue
            if slug.text not in known:
                fault = f"there is no finding {slug.text!r}{self.report.nearest(slug.text, known)}"
                self.report.add(rules.UNKNOWN_RULE, slug.place, fault)
            if isinstance(accepted, Text):
                lines.append(Acceptance(slug=slug.text, reason=accepted.text, place=place))
            elif "reason" in accepted:
                witness = accepted.get("witness")
                witnesses = () if witness is None else (witness,) if isinstance(witness, Text) else witness
                count = accepted.get("count")
                lines.append(
                    Acceptance(
                        slug=slug.text,
                        reason=accepted["reason"].text,
                        place=place,
                        count=None if count is None else int(count),
                        witnesses=tuple(each.text for each in witnesses if each is not None),
                    )
                )
        return tuple(lines)

    def one_line_a_trigger(self, triggers: list[TriggerName]) -> None:
        """A finding for each line with a trigger that a line above already names."""
        seen: dict[tuple[Usage | None, int, frozenset[HostModifier]], TriggerName] = {}
        for trigger in triggers:
            for usage in trigger.usages or (None,):
                cell = (usage, trigger.level, trigger.extras)
                if cell in seen:
                    first = seen[cell]
                    one = f"usage 0x{usage:02X} under the name" if usage is not None else "the same as"
                    same = "it" if first.text == trigger.text else f"{one} {first.text}"
                    fault = f"{trigger.text} already has a line: line {first.place.line} names {same}"
                    self.report.add(rules.TRIGGER_TWICE, trigger.place, fault)
                    break
                seen[cell] = trigger

    def _trigger(self, text: Text) -> TriggerName | None:
        *modifiers, key = (part.strip() for part in text.text.split("+"))
        parts = [part for part in re.split(r"[\s+&/-]+", text.text) if part]
        if len(parts) > len(modifiers) + 1 and usages_named(parts[-1]) and set(parts[:-1]) <= KNOWN_MODIFIERS:
            fault = f"{text.text!r} is not a trigger; join modifiers and key by +: write {'+'.join(parts)}"
            self.report.add(rules.BAD_TRIGGER, text.place, fault)
            return None
        level, extras = 1, set()
        for modifier in modifiers:
            if modifier in LEVEL_MODIFIERS and modifiers.count(modifier) == 1:
                level += LEVEL_MODIFIERS[modifier]
            elif modifier in EXTRA_MODIFIERS and modifiers.count(modifier) == 1:
                extras.add(EXTRA_MODIFIERS[modifier])
            else:
                known = (*LEVEL_MODIFIERS, *EXTRA_MODIFIERS)
                fault = (
                    "is there twice"
                    if modifier in known
                    else f"is not a host modifier{self.report.nearest(modifier, known)}"
                )
                self.report.add(
                    rules.BAD_TRIGGER, text.place, f"{modifier!r} in {text.text!r} {fault} (modifiers: {named(known)})"
                )
                return None
        if self.host and level > self.host.levels:
            fault = f"{text.text} needs AltGr, but the host {self.host.id} has no legends at levels 3 and 4"
            self.report.add(rules.BAD_TRIGGER, text.place, fault)
            return None
        many = is_many(text)
        if many and not modifiers:
            fault = f"{MANY} means many keys, so such a trigger needs a modifier of the host, such as Alt+{MANY}"
            self.report.add(rules.BAD_TRIGGER, text.place, fault)
            return None
        usages = () if many else read_host_key(Text(key, text.place, text.quoted), self.report)
        if not usages and not many:
            return None
        if level > 2 and any(usage in KEYPAD_DIGITS for usage in usages):
            fault = f"{text.text} never happens: on {key} Num Lock chooses between two levels, and AltGr has no effect"
            self.report.add(
                rules.BAD_TRIGGER, text.place, f"{fault}; write {key}, or another modifier such as Alt+{key}"
            )
            return None
        return TriggerName(
            text=text.text,
            usages=usages,
            level=level,
            extras=frozenset(extras),
            every_level=not modifiers,
            place=text.place,
        )

    def stroke(self, text: Text) -> StrokeName | None:
        """A stroke as written; None after a finding, or without a machine."""
        if text.text == "none" and not text.quoted:
            return StrokeName(text="none", modifiers=frozenset(), keys=(), place=text.place)
        if self.machine is None:
            return None
        modifiers: list[str] = []
        keys: list[str] = []
        for name in (part.strip() for part in text.text.split("+")):
            # A modifier and its only key may share a name: in front of a key it is the modifier, alone it is the key.
            if name in self.modifier_names and name != text.text.strip():
                modifiers.append(name)
            elif self.machine is not None and name in (*self.key_names, *self.machine.parallel):
                held, pressed = self.machine.pressed(name)
                modifiers += held
                keys += pressed
            else:
                self._no_such_name(name, text)
                return None
        if len(keys) > MOST_KEYS_IN_A_STROKE:
            self.report.add(
                rules.TOO_MANY, text.place, f"a stroke has at most {MOST_KEYS_IN_A_STROKE} keys besides modifiers"
            )
            return None
        if len({*modifiers, *keys}) < len(modifiers) + len(keys):
            self.report.add(rules.BAD_STROKE, text.place, f"{text.text!r} names something twice")
            return None
        return StrokeName(text=text.text, modifiers=frozenset(modifiers), keys=tuple(keys), place=text.place)

    def _no_such_name(self, name: str, text: Text) -> None:
        """The finding for a part of a stroke that is neither a key nor a modifier."""
        known = (*self.key_names, *self.modifier_names, *(self.machine.parallel if self.machine else ()))
        parts = name.split()
        hyphened = next(
            (m for m in self.modifier_names if name.startswith(f"{m}-") and name[len(m) + 1 :] in known), None
        )
        joined = [part for part in re.split(r"\s*(?:[&/,;+]|\s-\s|\band\b|\s)\s*", text.text.strip()) if part]
        if name == MANY:
            fault = f"{MANY} in a stroke is only possible in a line for many keys, such as Alt+{MANY}: shift + {MANY}"
            self.report.add(rules.BAD_STROKE, text.place, f"{fault}; name a key in {text.text!r}")
        elif len(joined) > 1 and len(parts) > 1 and all(part in known for part in joined) and "  " not in name:
            sign = re.sub(r"[\w\s+-]|\band\b", "", text.text) or next(
                (w for w in ("and", "-") if f" {w} " in text.text), ""
            )
            cause = f"joins names with {sign[0] if sign not in ('and', '-') else sign}, but" if sign else "lacks a +:"
            fault = f"{text.text!r} {cause} a stroke joins its names with +; write {' + '.join(joined)}"
            self.report.add(rules.BAD_STROKE, text.place, fault)
        elif hyphened and name == text.text.strip():
            stroke = f"{hyphened} + {name[len(hyphened) + 1 :]}"
            fault = f"the machine has no key {name!r}; a stroke joins its names with +: write {stroke} if you mean that"
            self.report.add(rules.UNKNOWN_KEY, text.place, fault)
        elif not name:
            self.report.add(rules.BAD_STROKE, text.place, f"a name is missing beside a + in {text.text!r}")
        elif name in self.modifier_names and self.machine:
            keys = next(modifier.keys for modifier in self.machine.modifiers if modifier.name == name)
            fault = (
                f"{name} is a modifier, and a stroke needs a key; for the modifier alone, name its key: {named(keys)}"
            )
            self.report.add(rules.BAD_STROKE, text.place, fault)
        else:
            fault = f"the machine has no key or modifier {name!r}{self.report.nearest(name, known)}"
            self.report.add(rules.UNKNOWN_KEY, text.place, fault)


def is_many(trigger: Text) -> bool:
    """Whether a trigger belongs to a line for many keys."""
    return trigger.text.rpartition("+")[2].strip() == MANY
