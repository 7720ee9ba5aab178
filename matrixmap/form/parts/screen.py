"""The first screen of a report: what to do, and the state of a layout, in at most 80 columns and 23 lines."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from matrixmap.check.counts.worth import find_worth, worth_line
from matrixmap.check.digrams import WHOLE, digrams_at_risk
from matrixmap.check.engine.machine_conflicts import MachineConflicts, machine_conflicts
from matrixmap.check.machine import MachineChecked
from matrixmap.check.run import Checked
from matrixmap.check.verdict import Practice, Verdict
from matrixmap.circuit.timing import TICK_US, timing_of
from matrixmap.form.parts.report import counted, group
from matrixmap.form.parts.wrapping import cut, wrapped
from matrixmap.hid.usages import BOOT_KEYS
from matrixmap.model.finding import Finding, Severity
from matrixmap.model.layout import Contacts
from matrixmap.model.machine import Machine, MoreKeys
from matrixmap.model.plan import Plan
from matrixmap.model.words import shown

WIDTH = 80
LINES = 23
"""A terminal of 24 lines, without one for the prompt."""

TITLE = 12
"""The width in columns of the words that begin a row."""

FEW = 6
"""The most names of a kind in a row."""

MOST_TASKS = 3
"""The most kinds of findings to act on, and the most lines of each, on the first screen."""

MOST_LINES = {
    "To do": 7,
    "Printed": 3,
    "Basic keys": 2,
    "Typing": 5,
    "Holding": 5,
    "Controllers": 2,
    "Machine": 5,
    "Contacts": 3,
    "Times": 3,
}

Row = tuple[str, str]


def first_screen(checked: Checked, width: int = WIDTH) -> list[str]:
    """The lines of the first screen of a layout."""
    return _screen(f"{checked.plan.id}: {shown(checked.plan.layout.title)}", screen_rows(checked), width)


def machine_screen(checked: MachineChecked, width: int = WIDTH) -> list[str]:
    """The lines of the first screen of a machine."""
    return _screen(f"{checked.machine.id}: {shown(checked.machine.title)}", machine_rows(checked), width)


def _screen(title: str, texts: Iterable[Row], width: int) -> list[str]:
    """A title in one line, and rows in as many lines as there is room for."""
    head = cut(wrapped(title, width), 1, width)
    rows = [(title, _lines(title, text, width)) for title, text in texts]
    rows = [(title, cut(lines, MOST_LINES.get(title, 2), width)) for title, lines in rows]
    while len(head) + sum(len(lines) for _, lines in rows) > LINES:
        longest = max(range(len(rows)), key=lambda number: (rows[number][0] != "To do", len(rows[number][1])))
        title, lines = rows[longest]
        rows[longest] = title, cut(lines, len(lines) - 1, width)
    return [*head, *(line for _, lines in rows for line in lines)]


def _lines(title: str, text: str, width: int) -> list[str]:
    """A row with its title before the first line and blanks before the others."""
    indent = " " * TITLE
    lines = [line for part in text.split("\n") for line in wrapped(part, width - TITLE)]
    return [f"{title:{TITLE}}{line}" if not number else indent + line for number, line in enumerate(lines)]


def screen_rows(checked: Checked) -> Iterator[Row]:
    """The rows of the first screen: a title and a text; only each task has a separate line."""
    verdict = checked.verdict
    yield "To do", "\n".join(_tasks(checked.findings)) or "nothing"
    yield "Printed", _printed(verdict)
    yield "Basic keys", _basic(verdict)
    yield "Typing", _typing(checked)
    yield "Holding", _holding(verdict)
    yield "Controllers", _controllers(verdict.known, checked.plan)
    yield "Machine", _machine(checked)
    yield "Accepted", _accepted(checked)
    yield "Notes", _notes(checked.findings)


def machine_rows(checked: MachineChecked) -> Iterator[Row]:
    """The rows of the first screen of a machine."""
    machine, conflicts = checked.machine, checked.conflicts
    yield "To do", "\n".join(_tasks(checked.findings)) or "nothing"
    yield "Keys", _keys(machine)
    if unseen := _unseen(machine):
        yield "Screen", unseen
    yield "Holding", _held_on_machine(conflicts)
    yield "Controllers", _controllers(conflicts)
    yield "Contacts", _other_contacts(conflicts)
    yield "Times", _times(machine)
    yield "Notes", _notes(checked.findings)


def _keys(machine: Machine) -> str:
    places = sum(key.contact < machine.crosspoints for key in machine.keys)
    texts = dict.fromkeys(legend for key in machine.keys for legend in key.types.values())
    characters = sum(legend.is_character for legend in texts)
    direct = f", and {len(machine.direct)} on lines of their own" if machine.direct else ""
    return (
        f"{places} keys at {machine.crosspoints} crosspoints of {len(machine.select)} select and {len(machine.sense)} "
        f"sense lines{direct}; they type {characters} characters and {len(texts) - characters} functions"
    )


def _unseen(machine: Machine) -> str:
    """What the machine's file says does not appear on its screen."""
    told = (("nothing appears for", machine.unseen), ("not always for", machine.seen_at_times))
    return "; ".join(f"{words} {few(list(texts))}" for words, texts in told if texts)


MORE_KEYS = {
    MoreKeys.KEPT: "keeps what it had read",
    MoreKeys.FIRST: "reads the first in the order of its lines",
    MoreKeys.RELEASED: "reads none",
}
"""What the machine does with more keys in a scan than it can tell apart."""


def _held_on_machine(conflicts: MachineConflicts) -> str:
    rollover = conflicts.machine.scan.rollover
    limit = (
        "the machine file states no rollover"
        if rollover is None
        else f"the machine can tell {'1 key' if rollover == 1 else f'{rollover} keys'} apart, besides modifiers"
    )
    if declared := conflicts.machine.scan.more_keys:
        limit += f"; of more keys it {' or '.join(MORE_KEYS[each] for each in declared)}"
    names = ("modifiers alone", "one key with modifiers", "two keys with a modifier", "three keys")
    counts = ", ".join(
        f"{len(sets)} of {name}" for name, sets in zip(names, conflicts.by_keys, strict=True) if len(sets)
    )
    if not conflicts.phantoms:
        return f"{limit}; no keys make a phantom with contacts: {conflicts.how.value}"
    without = f", {len(conflicts.without_key)} that reach a crosspoint without a key" if conflicts.without_key else ""
    return (
        f"{limit}; with contacts: {conflicts.how.value}, sets of three contacts that make a phantom: {counts}{without}"
    )


def _other_contacts(conflicts: MachineConflicts) -> str:
    """What each other way to close contacts would leave."""
    parts = []
    for how in Contacts:
        if how is not conflicts.how:
            other = machine_conflicts(conflicts.machine, how)
            pulls = f", {len(other.pulls)} with controllers" if conflicts.pulls or other.pulls else ""
            parts.append(f"{how.value} would leave {other.phantoms} phantoms of keys{pulls}")
    return "; ".join(parts)


def _times(machine: Machine) -> str:
    scan, timing = machine.scan, timing_of(machine.scan, len(machine.select))
    return (
        f"a scan every {scan.period_us / 1000:g} ms; to be read surely, a key stays closed for "
        f"{timing.close_ticks * TICK_US / 1000:g} ms and open for {timing.open_ticks * TICK_US / 1000:g} ms, and modifiers "
        f"lead it by {timing.lead_ticks * TICK_US / 1000:g} ms"
    )


def _tasks(findings: Iterable[Finding]) -> Iterator[str]:
    """The errors and warnings, one line a kind, the worst first."""
    groups = [each for each in group(findings) if each.severity > Severity.NOTE]
    for each in groups[:MOST_TASKS]:
        first = each.findings[0]
        more = f" (and {each.count - 1} more)" if each.count > 1 else ""
        yield task_words(first) + more
    rest = sum(each.count for each in groups[MOST_TASKS:])
    if rest:
        yield f"and {rest} of other kinds, which --all shows"


def task_words(finding: Finding) -> str:
    """A finding as something to do: how bad, where, which rule, and what."""
    place = f"{finding.place}: " if finding.place else ""
    return shown(f"{finding.severity.word}: {place}{finding.slug}: {finding.text}")


def few(names: list[str]) -> str:
    """The first few names, and how many more there are."""
    told = " ".join(shown(name) for name in names[:FEW])
    return f"{told} and {len(names) - FEW} more" if len(names) > FEW else told


def _printed(verdict: Verdict) -> str:
    printed = verdict.printed
    cells = printed.right + len({(each.press, each.prints) for each in printed.differs})
    text = f"{printed.right} of {cells} printed characters that the machine has are typed as printed"
    if printed.differs:
        first = printed.differs[0]
        more = f", and {len(printed.differs) - 1} more" if len(printed.differs) > 1 else ""
        text += f", not {first.words}{more}"
    if printed.lacking:
        text += f"; it lacks {few(list(printed.lacking))}"
    if verdict.stood_in:
        text += f"; {verdict.stand_in} stands in on {len(verdict.stood_in)} keys"
    for what, names in (
        ("Characters", verdict.characters),
        ("Functions", verdict.functions),
        ("Keys", verdict.keys),
    ):
        text += f". {what} of the machine out of reach: {few(list(names))}" if names else ""
    return f"{text}. With one Shift only: {few(list(verdict.one_shift))}" if verdict.one_shift else text


def _basic(verdict: Verdict) -> str:
    if verdict.dead_basic:
        return f"of {verdict.basic} basic keys these do nothing: {few(list(verdict.dead_basic))}"
    return f"all {verdict.basic} work: letters, digits, Space, Enter, Backspace, Shift, arrows"


def _typing(checked: Checked) -> str:
    verdict = checked.verdict
    rows = [row for row in verdict.overlaps.by_held if row.held in ("", "Shift", "left Shift", "right Shift")]
    counts = ", ".join(f"{row.lying} of {row.pairs}{f' with {row.held}' if row.held else ''}" for row in rows)
    text = f"pairs of keys down at once that make a phantom on the bare matrix: {counts}"
    if any(row.lying for row in rows):
        text += f"{_in_text(checked)}; " + (
            "the guard opens the older key, so the machine reads both, one after the other"
            if verdict.guard
            else "the guard is off, so a key is read that nobody pressed"
        )
    pace = [
        f"{what} every {us / 1000:g} ms"
        for what, us in (("another key", verdict.pace.other_us), ("the same key", verdict.pace.same_us))
        if us is not None
    ]
    return f"{text}. For long, {', '.join(pace)}" if pace else text


def _in_text(checked: Checked) -> str:
    """How many pairs of letters in 1,000 of the host's language these are; empty if there are no counts for it."""
    risk = digrams_at_risk(checked.conflicts.strokes)
    if risk is None:
        return ""
    told = []
    for row in risk.rows:
        worst = f" ({', '.join(' '.join(shown(letter) for letter in pair) for pair, _ in row.worst[:2])})"
        what = f"in capitals with {row.held}" if row.held else "small letters"
        told.append(f"{row.bare * 1000 / WHOLE:.0f} {what}{worst if row.worst else ''}")
    return f"; of 1000 letter pairs of {risk.title} text {', '.join(told)}"


def _holding(verdict: Verdict) -> str:
    limits = [f"a boot report carries {BOOT_KEYS}"]
    if verdict.rollover is not None:
        keys = "1 key" if verdict.rollover == 1 else f"{verdict.rollover} keys"
        limits.insert(0, f"the machine can tell {keys} apart")
    tally = verdict.tally
    if tally.lying_triples or tally.lying_pairs:
        limits.append(("the guard opens the older key of a phantom") if verdict.guard else "the guard is off")
    text = "; ".join(limits)
    if tally.lost_held:
        text += f". With more modifiers held than a press needs, {tally.lost_held} of {tally.held} presses are refused"
    families: dict[str, list[Practice]] = {}
    for practice in verdict.practice:
        families.setdefault(practice.family, []).append(practice)
    kept = [
        f"{family} {sum(all(practice.kept) for practice in members)} of {len(members)}"
        for family, members in families.items()
    ]
    return f"{text}. All stay closed: {'; '.join(kept)}" if kept else text


def _controllers(known: MachineConflicts, plan: Plan | None = None) -> str:
    machine = known.machine
    if not machine.controllers:
        return "the machine has none that share lines with its keys"
    names = ", ".join(controller.name for controller in machine.controllers)
    if not known.pulls:
        return f"{names}: no key is misread while a switch is closed"
    if plan is not None and plan.driven is not None:
        kept = "the guard keeps" if plan.guard and plan.contacts is Contacts.SWITCH else "no guard keeps"
        others = [each.name for each in machine.controllers if not plan.driven.drives(each.name)]
        driven = ", ".join(each.name for each in machine.controllers if plan.driven.drives(each.name))
        unseen = f", such as {', '.join(others)}" if others else ""
        return (
            f"{driven}, closed by the adapter for pads: {kept} keys from carrying their pulls on. It cannot see "
            f"switches that are plugged into the machine{unseen}"
        )
    return (
        f"{names}: {len(known.pulls)} sets of keys and switches are misread; the guard cannot see switches that are "
        "plugged into the machine"
    )


def _machine(checked: Checked) -> str:
    known = checked.verdict.known
    if not known.phantoms:
        return f"{known.machine.id}: no set of its keys makes a phantom with these contacts"
    # The guard opens no modifier.
    alone = f", but for {len(known.by_keys[0])} of modifiers alone" if known.by_keys[0] else ""
    kept = f"the guard keeps them from being read{alone}"
    outcome = kept if checked.verdict.guard else "the guard is off: they are read"
    return (
        f"{known.phantoms} sets of three keys make a phantom, whatever the layout; {outcome} (check --machine "
        f"{known.machine.id} lists them){_worth(checked)}"
    )


def _worth(checked: Checked) -> str:
    """What diodes in the contacts, or contacts that follow their select line, would end."""
    verdict = checked.verdict
    line = worth_line(checked.plan, find_worth(checked.conflicts, verdict.tally, verdict.overlaps))
    return f". {line}" if line else ""


def _accepted(checked: Checked) -> str:
    if not checked.plan.layout.accept:
        return "nothing"
    counts: dict[str, int] = {}
    for finding in checked.accepted:
        counts[finding.slug] = counts.get(finding.slug, 0) + finding.count
    reasons = {line.slug: line.reason for line in checked.plan.layout.accept}
    told = ", ".join(f"{count} {slug} ({shown(reasons[slug])})" for slug, count in counts.items()) or "nothing"
    named = {line.slug for line in checked.plan.layout.accept}
    new = sorted({finding.slug for finding in checked.findings if finding.slug in named})
    return f"new: {', '.join(new)}; accepted: {told}" if new else f"{told}; new: nothing"


def _notes(findings: Iterable[Finding]) -> str:
    notes = [finding for finding in findings if finding.severity is Severity.NOTE]
    if not notes:
        return "none"
    slugs = list(dict.fromkeys(finding.slug for finding in notes))
    return f"{counted(notes)}, which --all shows: {', '.join(slugs)}"
