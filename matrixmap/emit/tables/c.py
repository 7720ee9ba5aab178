"""A plan as C: one header and one source file of constant bytes, one line per trigger."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator

from matrixmap.emit.tables.id16 import id16_text
from matrixmap.emit.tables.licence import licence_lines
from matrixmap.emit.tables.names import comment, identifier, identifiers, legend_comment, title_comment
from matrixmap.emit.tables.pads import pads_declaration, pads_lines, pads_version
from matrixmap.emit.tables.runtime import runtime_names
from matrixmap.hid.pads.sources import source_name
from matrixmap.join.dead import Ending
from matrixmap.join.pads import stroke_usages
from matrixmap.model.layout import HostModifier
from matrixmap.model.machine import Contact, Machine
from matrixmap.model.plan import Demand, Plan, Stroke
from matrixmap.model.words import action_name, key_name, trigger_name, usage_name
from matrixmap.press.every import Done
from matrixmap.press.levels import Levels
from matrixmap.press.table.cells import ACCENT_ALONE, ACCENT_GOES_ON
from matrixmap.press.table.format import (
    ALL_LEVELS,
    CHECKSUM_BYTES,
    FLAG_GUARD,
    FLAG_WHOLE,
    HEADER_BYTES,
    MOST_DEAD_KEYS,
    MOST_PAIRS,
    MOST_SWITCHES,
    NO_ROLLOVER,
    NUMBER,
    SEQUENCE,
    TABLE_VERSION,
    Entry,
    Group,
    Kind,
    Table,
    contact_bytes,
)
from matrixmap.press.table.make import AFTER, EXTRA_BITS

LEVEL_NAMES = ("plain", "Shift", "AltGr", "Shift+AltGr")
ENDINGS = {
    AFTER[Ending.KEEPS]: ("MM_KEEPS", "keeps a pending dead key"),
    AFTER[Ending.TAKES_BACK]: ("MM_TAKES_BACK", "takes back a pending dead key"),
    AFTER[Ending.DROPS]: ("MM_DROPS", "drops a pending dead key"),
}


def table_symbol(layout_id: str) -> str:
    """The C name of a layout's table: `mm_` and its id.

    An underscore is added if the runtime or a command already has that name; neither an id nor such a name ends with
    one. The same applies if the name begins like a map of pads.
    """
    symbol = identifier(layout_id, "mm_")
    used = runtime_names()
    taken = any(f"{symbol}{end}".lower() in used for end in ("", "_size", "_h", "_built", "_id16"))
    return f"{symbol}_" if taken or f"{symbol}_".lower().startswith(("mm_command_", "mm_pad_map_")) else symbol


def header_text(plan: Plan, table: Table, plan_hash: str, made_by: str) -> str:
    """The header of a layout: declaration and size of its table, and its 16-bit id."""
    symbol = table_symbol(plan.id)
    size = len(table.to_bytes())
    guard = f"{symbol.upper()}_H"
    return "\n".join(
        [
            *_opening(plan, plan_hash, made_by),
            f"#ifndef {guard}",
            f"#define {guard}",
            "",
            '#include "mm_runtime.h"',
            "",
            f"#if MM_TABLE_VERSION != {TABLE_VERSION}",
            '#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"',
            "#endif",
            *pads_version(plan),
            "",
            "#ifdef __cplusplus",
            'extern "C" {',
            "#endif",
            "",
            f"#define {symbol.upper()}_SIZE {size}u",
            f"extern const uint8_t {symbol}[{symbol.upper()}_SIZE];",
            f"#define {symbol.upper()}_ID16 {id16_text(plan.id)}u",
            *pads_declaration(plan),
            "",
            "#ifdef __cplusplus",
            "}",
            "#endif",
            "",
            "#endif",
            "",
        ]
    )


def machine_header_name(machine: Machine) -> str:
    """The header with the contacts of a machine; no file of the runtime begins like this."""
    return f"mm_at_{machine.id}.h"


def contact_names(machine: Machine) -> dict[Contact, str]:
    """The C name of each key's crosspoint or direct line."""
    names = identifiers((key.name.upper() for key in machine.keys), "AT_")
    return {key.contact: names[key.name.upper()] for key in machine.keys}


def machine_header_text(machine: Machine, made_by: str) -> str:
    """The header of a machine: the contacts of its keys, for all its layouts."""
    guard = identifier(machine.id.upper(), "MM_AT_") + "_H"
    names = contact_names(machine)
    width = max((len(name) for name in names.values()), default=0)
    lines = [
        *licence_lines(),
        f"/* The keys of {comment(machine.title)}. Made by {made_by} from the machine {comment(machine.id)}. */",
        f"#ifndef {guard}",
        f"#define {guard}",
        "",
    ]
    if names:
        lines += ["/* High digit: select line; low digit: sense line. A direct line has its number. */", "enum {"]
        for contact, name in names.items():
            value, where = contact_bytes(machine, contact)[1], comment(machine.contact_name(contact))
            lines.append(f"    {name:{width}} = 0x{value:02X}, /* {where} */")
        lines += ["};", ""]
    return "\n".join([*lines, "#endif", ""])


def source_text(levels: Levels, plan_hash: str, made_by: str) -> str:
    """The source of a layout: its table. The format is described in mm_runtime.h."""
    return "\n".join(
        [*_opening(levels.every.plan, plan_hash, made_by), *_Source(levels).lines(), *pads_lines(levels.every.plan), ""]
    )


def _opening(plan: Plan, plan_hash: str, made_by: str) -> list[str]:
    layout = plan.layout
    return [
        *licence_lines(),
        "/*",
        f" * {comment(layout.id)}: {title_comment(layout.title)}",
        f" * Made by {made_by} from the layout of this name. Do not edit: change the layout and build again.",
        f" * SHA-256 of the plan: {plan_hash}",
        " */",
    ]


class _Source:
    """The parts of one table as lines of C."""

    def __init__(self, levels: Levels) -> None:
        self.levels = levels
        self.plan = levels.every.plan
        self.machine = self.plan.layout.machine
        self.table = levels.every.rules.table
        pads = self.plan.layout.pads
        self.buttons = {usage: source for source, usage in stroke_usages(pads)} if pads else {}
        self.names = contact_names(self.machine)
        words = [self._demand_words(*demand) for demand in self.table.demands]
        self.demands = list(identifiers((text.upper().replace(", ", "_") for text in words), "ASK_").values())
        chords = [" ".join(self._chord_keys(chord)).upper() for chord in self.table.chords]
        self.chords = list(identifiers(chords, "CHORD_").values())
        dead = [unicodedata.name(accent, f"U+{ord(accent):04X}") for accent in self.table.accents]
        self.dead = list(identifiers([*dead, "OTHER"], "DEAD_").values())
        begins = [self._sequence_words(stroke) for stroke in self.table.sequences]
        numbers = [f"{number}_{words}".upper().replace(" + ", "_") for number, words in enumerate(begins, 1)]
        self.sequences = list(identifiers(numbers, "SEQUENCE_").values())

    def lines(self) -> Iterator[str]:
        symbol = table_symbol(self.plan.id)
        yield f'#include "{self.plan.id}.h"'
        yield f'#include "{machine_header_name(self.machine)}"'
        yield ""
        yield "/* Demands: what a stroke asks of the modifiers, in the order of the table below. */"
        yield "enum {"
        yield from (f"    {name}," for name in self.demands)
        yield "};"
        yield ""
        if self.chords:
            yield "/* Chords: strokes of several keys, or of modifiers alone, in the order of the table below. */"
            yield "enum {"
            yield from (f"    {name}," for name in self.chords)
            yield "};"
            yield ""
        if any(isinstance(entry.does, str) for group in self.table.groups for entry in group.entries):
            yield "/* Dead keys. All that compose nothing on this machine share one number. */"
            yield "enum {"
            yield f"    {self.dead[0]} = 1,"
            yield from (f"    {name}," for name in self.dead[1:])
            yield "};"
            yield ""
        if self.sequences:
            yield "/* Sequences: several strokes in a row, named by the first one. */"
            yield "enum {"
            yield f"    {self.sequences[0]} = {self.table.first_sequence},"
            yield from (f"    {name}," for name in self.sequences[1:])
            yield "};"
            yield ""
        yield f"const uint8_t {symbol}[{symbol.upper()}_SIZE] MM_TABLE = {{"
        yield from self._header()
        yield from self._modifier_keys()
        yield from self._demands()
        yield from self._caps()
        yield from self._chords()
        for group in self.table.groups:
            yield from self._group(group)
        yield from self._controllers()
        yield ""
        checksum = ", ".join(f"0x{byte:02X}" for byte in self.table.to_bytes()[-CHECKSUM_BYTES:])
        yield f"    {checksum}, /* checksum of all bytes before it */"
        yield "};"

    def _sequence_words(self, stroke: Stroke) -> str:
        """The first stroke of a sequence: its keys, and the modifier keys that it holds."""
        held = [key_name(self.machine, contact) for contact in stroke.holds]
        return " + ".join([*held, *(key_name(self.machine, contact) for contact in stroke.contacts)])

    def _number(self, number: int) -> str:
        """The C name of the number of a dead key or sequence."""
        first = self.table.first_sequence
        return self.sequences[number - first] if number >= first else self.dead[number - 1]

    def _chord_keys(self, chord: tuple[Contact, ...]) -> list[str]:
        return [key_name(self.machine, contact) for contact in chord] or ["none"]

    def _at(self, contact: Contact) -> str:
        """The C name of a crosspoint or direct line."""
        return self.names.get(contact) or f"0x{contact_bytes(self.machine, contact)[1]:02X}"

    def _header(self) -> Iterator[str]:
        header, table, plan = self.table.header, self.table, self.plan
        timing = plan.timing
        yield f"    MM_TABLE_VERSION, {header[1]}, {header[2]}, {header[3]}, /* version; select, sense and direct lines */"
        yield (
            f"    {header[4]}, {header[5]}, {header[6]}, {header[7]}, {header[8]}, "
            "/* numbers of modifier keys, demands, Caps Lock ranges, chords, groups */"
        )
        limit = "no limit" if header[10] == NO_ROLLOVER else "that of the machine"
        yield f"    0x{table.flags:02X}, {header[10]}, /* flags: {self._flag_words()}; rollover: {limit} */"
        times = ", ".join(str(byte) for byte in header[11:HEADER_BYTES])
        yield (
            f"    {times}, /* close time {timing.close_ticks}, open time {timing.open_ticks}, "
            f"lead time {timing.lead_ticks}, in units of 0.1 ms */"
        )
        if timing.driver_us:
            yield f"    /* These times include {timing.driver_us:g} microseconds for the board's driver. */"

    def _flag_words(self) -> str:
        plan = self.plan
        words = [
            "right Alt is AltGr" if plan.layout.host.has_altgr else "right Alt is Alt",
            f"phantom guard {'on' if self.table.flags & FLAG_GUARD else 'off'}",
            *(["keyboards apart"] if plan.layout.apart else []),
            *(["keys come back"] if plan.layout.resumes else []),
            *(["runtime keeps Caps Lock"] if plan.caps_lock else []),
            *(["runtime keeps Num Lock"] if plan.num_lock else []),
            *(["with sequences"] if self.sequences else []),
            *(["machine compares whole scans"] if self.table.flags & FLAG_WHOLE else []),
        ]
        return ", ".join(words)

    def _modifier_keys(self) -> Iterator[str]:
        for bit, contact in enumerate(self.table.modifier_keys):
            kind = self._contact_kind(contact)
            name = comment(key_name(self.machine, contact))
            yield f"    {kind}, {self._at(contact)}, /* modifier key {bit}: {name} */"

    def _contact_kind(self, contact: Contact) -> int:
        return int(Kind.DIRECT if contact >= self.machine.crosspoints else Kind.CROSSPOINT)

    def _demands(self) -> Iterator[str]:
        for number, (rule, hold) in enumerate(self.table.demands):
            yield f"    0x{rule:02X}, 0x{hold:02X}, /* {self.demands[number]} */"

    def _demand_words(self, rule: int, hold: int) -> str:
        keys = self.table.modifier_keys
        held = [key_name(self.machine, contact) for bit, contact in enumerate(keys) if hold >> bit & 1]
        ruled = {key_name(self.machine, contact) for bit, contact in enumerate(keys) if rule >> bit & 1}
        lifted = [
            modifier.name
            for modifier in self.machine.modifiers
            if ruled >= set(modifier.keys) and not set(held) & set(modifier.keys)
        ]
        words = [f"hold {comment(name)}" for name in held] + [f"lift {comment(name)}" for name in lifted]
        return ", ".join(words) or "nothing"

    def _caps(self) -> Iterator[str]:
        for caps in self.table.caps:
            pairs = " and ".join(
                words for bit, words in ((1, "plain with Shift"), (2, "AltGr with Shift+AltGr")) if caps.pairs & bit
            )
            first, last = (usage_name(usage) for usage in (caps.first, caps.last))
            yield f"    0x{caps.first:02X}, 0x{caps.last:02X}, {caps.pairs}, /* Caps Lock swaps {pairs}: {first} to {last} */"

    def _chords(self) -> Iterator[str]:
        for number, chord in enumerate(self.table.chords):
            parts = [f"{self._contact_kind(contact)}, {self._at(contact)}" for contact in chord]
            parts += ["0xFF, 0xFF"] * (4 - len(chord))
            yield f"    {', '.join(parts)}, /* {self.chords[number]} */"

    def _controllers(self) -> Iterator[str]:
        """The controllers that pads drive; nothing if there are none."""
        if not self.table.controllers:
            return
        low, high = self.table.poll & 0xFF, self.table.poll >> 8
        yield ""
        yield f"    {len(self.table.controllers)}, {low}, {high}, /* number of controllers; poll time {self.table.poll}, in units of 0.1 ms */"
        for controls, known in zip(self.table.controllers, self.machine.controllers, strict=True):
            data = controls.to_bytes()
            pairs = ", ".join(f"0x{byte:02X}" for byte in data[:MOST_PAIRS])
            yield f"    {pairs}, /* {comment(controls.name)}: pairs of opposite switches, as masks */"
            for number in range(MOST_SWITCHES):
                kind, value, keys = data[MOST_PAIRS + 3 * number :][:3]
                name = comment(known.switches[number].function) if number < len(controls.switches) else "none"
                yield f"    0x{kind:02X}, 0x{value:02X}, 0x{keys:02X}, /* {name} */"

    def _group(self, group: Group) -> Iterator[str]:
        yield ""
        yield f"    /* {self._group_words(group)} */"
        yield f"    0x{group.when:02X}, {self.demands[group.demand]}, {self._kind(group)}, {len(group.entries)},"
        for entry in group.entries:
            yield f"    0x{entry.usage:02X}, {self._entry_value(group, entry)}, /* {self._entry_words(group, entry)} */"

    def _kind(self, group: Group) -> str:
        """The byte of the kind, including what its entries do after a dead key."""
        if group.after in ENDINGS:
            return f"{ENDINGS[group.after][0]} | {int(group.kind)}"
        pair = f"MM_PAIR_OF({self._number(group.after)}) | " if group.after else ""
        return f"{pair}{int(group.kind)}"

    def _group_words(self, group: Group) -> str:
        levels = [name for level, name in enumerate(LEVEL_NAMES) if group.when >> level & 1]
        when = "any level" if group.when & ALL_LEVELS == ALL_LEVELS else " or ".join(levels)
        extras = [extra.value for extra in HostModifier if group.when & EXTRA_BITS[extra]]
        kinds = {
            Kind.CROSSPOINT: "keys",
            Kind.DIRECT: "direct lines",
            Kind.CHORD: "chords",
            Kind.MODIFIER: "modifiers, as masks of modifier keys",
            Kind.LATCH: "latches, as masks of modifier keys",
            Kind.COMMAND: "commands",
            Kind.NOTHING: "silenced",
            Kind.DEAD_KEY: "dead keys",
        }
        where = " with ".join([when, *([" and ".join(extras)] if extras else [])])
        if 1 <= group.after <= MOST_DEAD_KEYS:
            where = f"{self._after_words(group.after)}, {where}"
        if group.after in ENDINGS:
            where = f"{where}, {ENDINGS[group.after][1]}"
        if group.kind not in (Kind.CROSSPOINT, Kind.DIRECT, Kind.CHORD):
            sequences = group.kind is Kind.DEAD_KEY and any(isinstance(entry.does, Stroke) for entry in group.entries)
            return f"{where}: {'dead keys and sequences' if sequences else kinds[group.kind]}"
        asked = self._demand_words(*self.table.demands[group.demand])
        return f"{where}: {kinds[group.kind]}; {asked if asked != 'nothing' else 'modifiers pass'}"

    def _after_words(self, number: int) -> str:
        first = self.table.first_sequence
        if number >= first:
            return f"in the sequence after {comment(self._sequence_words(self.table.sequences[number - first]))}"
        return f"after the dead key {comment(legend_comment(self.table.accents[number - 1]))}"

    def _entry_value(self, group: Group, entry: Entry) -> str:
        if isinstance(entry.does, Stroke) and group.kind in (Kind.CROSSPOINT, Kind.DIRECT):
            return self._at(entry.does.contacts[0])
        if group.kind is Kind.CHORD:
            return self.chords[entry.value]
        if group.kind is Kind.DEAD_KEY:
            number = entry.value & NUMBER
            return f"MM_SEQUENCE | {self._number(number)}" if entry.value & SEQUENCE else self._number(number)
        return f"0x{entry.value:02X}" if group.kind in (Kind.MODIFIER, Kind.LATCH) else str(entry.value)

    def _entry_words(self, group: Group, entry: Entry) -> str:
        every = group.when & ALL_LEVELS == ALL_LEVELS
        name = usage_name(entry.usage) if every else trigger_name(entry.triggers[0])
        action = entry.does
        if entry.usage in self.buttons and not isinstance(action, str):
            return f"{source_name(self.buttons[entry.usage])}: {comment(action_name(self.machine, action))}"
        if isinstance(action, str):
            return comment(name)
        if entry.usage in (ACCENT_ALONE, ACCENT_GOES_ON):
            name = self._stand_in_words(group, entry)
        told = f"{comment(name)}: {comment(action_name(self.machine, action))}"
        if not isinstance(action, Stroke) or action.types is None:
            return told
        if group.after >= self.table.first_sequence and group.after <= MOST_DEAD_KEYS:
            return told  # what a part of a sequence types depends on the strokes before it
        if self._depends_on_modifiers(action):
            return f"{comment(name)} presses {legend_comment(action.types.text)}"
        done = self._done(group, entry)
        texts = {each.text for each in done if each}
        text = texts.pop() if len(texts) == 1 else None
        if text is not None:
            return f"{comment(name)} types {legend_comment(text)}"
        return f"{told}, {'refused' if all(each and each.refused for each in done) else 'depends on the side'}"

    def _stand_in_words(self, group: Group, entry: Entry) -> str:
        """The words for a usage that is not a key."""
        if group.after < self.table.first_sequence:
            return "the accent alone"
        return "the first stroke" if entry.usage == ACCENT_ALONE else "then, for the accent alone"

    def _depends_on_modifiers(self, stroke: Stroke) -> bool:
        """Whether a stroke passes modifiers that affect what its key types."""
        key = self.machine.key(key_name(self.machine, stroke.contacts[0]))
        passes = not {Demand.LIFT, Demand.HOLD}.intersection(stroke.demands)
        return passes and bool(key.selectors)

    def _done(self, group: Group, entry: Entry) -> list[Done | None]:
        """What an entry does, for each choice of sides."""
        if entry.usage == ACCENT_ALONE:
            return [self.levels.accent_alone(self.table.accents[group.after - 1])]
        accent = group.after if 1 <= group.after <= MOST_DEAD_KEYS else 0
        return [answer.done for answer in self.levels.answers(entry.triggers[0], accent)]
