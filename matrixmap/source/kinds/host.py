"""Host files: nodes become a Host, with what it inherits from its base."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass, replace
from types import MappingProxyType

from matrixmap.hid.usages import KEYPAD_DIGITS, MODIFIER_BITS, STATUS_USAGES, USAGES, Usage, by_code, by_number
from matrixmap.model.host import CAPS_LOCK_OF, CapsLock, Host, HostKey, at_every_level
from matrixmap.model.legend import Legend, other_case
from matrixmap.model.place import Place
from matrixmap.source import rules
from matrixmap.source.kinds.printed import LOWER, UPPER, Levels, PrintedLine, existing_levels, printed_levels
from matrixmap.source.report import Report
from matrixmap.source.shape.formats import HOST
from matrixmap.source.shape.shapes import Record
from matrixmap.source.text.nodes import Document, Text


@dataclass(frozen=True, slots=True, kw_only=True)
class HostDraft:
    """A host file as read, before its base is joined in: legends by usage.

    `lines` are those of its section `printed`, or None. `printed` is their result, once the base is known.
    """

    id: str
    title: str
    source: str
    base: Text | None
    form: str | None
    legends: dict[Usage, tuple[str, tuple[Legend | None, ...], Place]]
    caps: dict[Usage, CapsLock]
    composes: dict[str, dict[str, str]]
    lines: tuple[PrintedLine, ...] | None
    printed: dict[Usage, Levels]
    place: Place


def read_host(document: Document, report: Report) -> HostDraft | None:
    """The draft that a document gives, or None after a finding."""
    before = len(report.findings)
    record = HOST.read(document.root, report, document.to_the_end) if document.root else None
    if record is None:
        return None
    legends: dict[Usage, tuple[str, tuple[Legend | None, ...], Place]] = {}
    for key, items, place in record.get("legends") or ():
        usages = read_host_key(key, report)
        level_legends = tuple(item[0] if item else None for item in items)
        for usage in usages:
            if usage in MODIFIER_BITS:
                fault = f"{key.text} is a modifier: it chooses what other keys type, and has no legend of its own"
                report.add(rules.BAD_LEGEND, key.place, fault)
            if usage in KEYPAD_DIGITS and any(level_legends[2:]):
                fault = (
                    f"{key.text} types one legend with Num Lock on and another with it off, and AltGr has no effect "
                    "on it"
                )
                report.add(rules.BAD_LEGEND, key.place, f"{fault}; remove the third and the fourth")
            if usage in legends:
                first, _, where = legends[usage]
                fault = f"{key.text} is the same key as {first} in line {where.line}; a key has one line"
                report.add(rules.KEY_TWICE, place, fault)
            legends[usage] = (key.text, level_legends, place)
    caps: dict[Usage, CapsLock] = {}
    for key, choice, _ in record.get("caps") or ():
        for usage in read_host_key(key, report):
            caps[usage] = CapsLock(choice.text)
    composes = {accent.text: pairs for accent, pairs, _ in record.get("composes") or ()}
    section: Record | None = record.get("printed")
    lines = _printed_lines(section, report) if section is not None else None
    if len(report.findings) > before or not document.whole:
        return None
    form = record.get("form")
    return HostDraft(
        id=record["host"].text,
        title=record["title"].text,
        source=record["source"].text,
        base=record.get("base"),
        form=form.text if form else None,
        legends=legends,
        caps=caps,
        composes=composes,
        lines=lines,
        printed={},
        place=record["host"].place,
    )


def _printed_lines(section: Record, report: Report) -> tuple[PrintedLine, ...]:
    """The lines of the section `printed`. A key occurs at most once under `altgr` and once under `not`."""
    lines: list[PrintedLine] = []
    for field, levels in (("altgr", UPPER), ("not", LOWER)):
        first: dict[Usage, Text] = {}
        for key, items, place in section.get(field) or ():
            usages = read_host_key(key, report)
            twice = next((first[usage] for usage in usages if usage in first), None)
            if twice is not None:
                fault = f"{key.text} is the same key as {twice.text} in line {twice.place.line}; a key has one line"
                report.add(rules.KEY_TWICE, place, fault)
            first.update(dict.fromkeys(usages, key))
            legends = tuple(item[0] if item else None for item in items)
            lines.append(PrintedLine(name=key.text, usages=usages, legends=legends, levels=levels, place=place))
    return tuple(lines)


def read_host_key(text: Text, report: Report) -> tuple[Usage, ...]:
    """The usages that a W3C code or a number names; none after a finding."""
    usages = usages_named(text.text)
    for usage in usages:
        if usage in STATUS_USAGES or usage == 0:
            report.add(rules.UNKNOWN_USAGE, text.place, f"{text.text} is a state of the keyboard, not a key")
            return ()
    if not usages:
        fault = (
            f"{text.text!r} is neither a W3C code nor a usage number from 0x04 to 0xE7{_nearest_key(text.text, report)}"
        )
        report.add_once(rules.UNKNOWN_USAGE, text.place, fault)
    return usages


def _nearest_key(name: str, report: Report) -> str:
    """The key that a wrong name may mean: `Digit2` for `Key2`, `0x64` for `100`, else the nearest code."""
    if re.fullmatch(r"[0-9]{1,3}", name) and by_number(int(name)):
        return f"; did you mean 0x{int(name):02X}?"
    digit = re.fullmatch(r"(?:[Kk]ey_?)?([0-9])", name)
    if digit:
        return f"; did you mean Digit{digit[1]}?"
    if re.fullmatch(r"[A-Za-z]", name):
        return f"; did you mean Key{name.upper()}?"
    if len(name) == 1:
        return (
            "; the name of a key comes from its place, such as KeyA or Semicolon, not from its legend (see matrixmap "
            "usages)"
        )
    if "," in name or " and " in name:
        return "; a line is for one key, so write a line for each"
    return report.nearest(name, [fact.code for fact in USAGES if fact.code])


def usages_named(text: str) -> tuple[Usage, ...]:
    """The usages of a W3C code or of a number such as 0x64; none if no such usage exists."""
    if re.fullmatch(r"0[xX][0-9A-Fa-f]{1,2}", text):
        fact = by_number(int(text, 16))
        return (fact.usage,) if fact else ()
    return by_code(text)


def join_base(draft: HostDraft, base: HostDraft | None, report: Report) -> HostDraft:
    """The draft with the legends of its base where it has none of its own, and with what is printed on all keys."""
    taken = base.legends if base else {}
    printed = printed_levels(draft.lines, draft.legends, taken, base.printed if base else {}, report)
    if base is None:
        return replace(draft, printed=printed)
    return HostDraft(
        id=draft.id,
        title=draft.title,
        source=draft.source,
        base=None,
        form=draft.form,
        legends={**base.legends, **draft.legends},
        caps={**base.caps, **draft.caps},
        composes={
            accent: {**base.composes.get(accent, {}), **draft.composes.get(accent, {})}
            for accent in (*base.composes, *draft.composes)
        },
        lines=draft.lines,
        printed=printed,
        place=draft.place,
    )


def check_accents(draft: HostDraft, report: Report) -> None:
    """Adds a finding for each dead key with a letter or digit as its accent if no file says what it composes."""
    for name, legends, place in dict.fromkeys(draft.legends.values()):
        for legend in legends:
            if legend and legend.dead and legend.text not in draft.composes and _is_letter_or_number(legend.text):
                fault = (
                    f"{name}: {legend.text!r} is not an accent, and composes has no pairs for it; write a dead key "
                    "with "
                )
                report.add(rules.BAD_LEGEND, place, f"{fault}its spacing accent: {{dead: '´'}}")


def _is_letter_or_number(char: str) -> bool:
    """Whether people take a character for a letter or number. Spacing accents can be modifier letters (Lm)."""
    category = unicodedata.category(char)
    return category[0] in "LN" and category != "Lm"


def finish_host(draft: HostDraft, form: str) -> Host:
    """The finished host: its keys in order of usage, and what its own dead keys compose."""
    # The two entries of a keypad key are Num Lock on and off, not levels for AltGr to choose.
    levels = [len(legends) for usage, (_, legends, _) in draft.legends.items() if usage not in KEYPAD_DIGITS]
    has_altgr = any(count > 2 for count in levels)
    keys: dict[Usage, HostKey] = {}
    for usage, (name, legends, place) in sorted(draft.legends.items()):
        caps = draft.caps.get(usage) or caps_from_case(legends, has_altgr)
        printed = draft.printed.get(usage, existing_levels(legends))
        keys[usage] = HostKey(usage=usage, name=name, legends=legends, caps=caps, printed=printed, place=place)
    accents = {legend.text for key in keys.values() for legend in key.legends if legend and legend.dead}
    composes = {accent: MappingProxyType(draft.composes.get(accent, {})) for accent in sorted(accents)}
    return Host(
        id=draft.id,
        title=draft.title,
        source=draft.source,
        form=form,
        keys=MappingProxyType(keys),
        has_altgr=has_altgr,
        composes=MappingProxyType(composes),
        place=draft.place,
    )


def caps_from_case(legends: tuple[Legend | None, ...], has_altgr: bool) -> CapsLock:
    """What Caps Lock swaps by default: each pair of levels with one letter in two cases."""
    typed = at_every_level(legends)
    shift, altgr = _is_case_pair(typed[:2]), has_altgr and _is_case_pair(typed[2:])
    return CAPS_LOCK_OF[shift, altgr]


def _is_case_pair(pair: tuple[Legend | None, ...]) -> bool:
    if pair[0] is None or pair[1] is None or pair[0].dead or pair[1].dead:
        return False
    return pair[0].text != pair[1].text and other_case(pair[0].text) == pair[1].text
