"""Texts through a keyboard, a runtime and a machine: what is meant, what is read, what is physically possible."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from fractions import Fraction

from matrixmap.circuit.timing import TICK_US
from matrixmap.limits import ALIGNED_CHARACTERS
from matrixmap.model.plan import Plan
from matrixmap.model.press import KeyPress, Way
from matrixmap.press.machine_reads import Typed
from matrixmap.press.rules import REST, Cause, Does, Rules
from matrixmap.press.turns import in_the_end
from matrixmap.press.words import REFUSALS, press_words
from matrixmap.simulate.engine import Engine, Sizes
from matrixmap.simulate.model import Model
from matrixmap.simulate.player import Player
from matrixmap.simulate.scan import KeyRead
from matrixmap.simulate.typing.reports import Link, Sent, boot_report, reports
from matrixmap.simulate.typing.typist import Performance, Style, perform

LONGEST_TICKS = 0x10000
"""More ticks than any single time of a table."""

FUNCTION_CHARACTERS = {"Enter": "\n", "Tab": "\t", "Backspace": "\b", "Escape": "\x1b"}
"""Functions that a text can hold as a character."""


def as_text(legends: Iterable[str | None]) -> str:
    """Consecutive legends as a text: a function without a character is `<Name>`, a key that types nothing is `<>`."""
    return "".join(
        FUNCTION_CHARACTERS.get(legend, legend if len(legend) == 1 else f"<{legend}>") if legend else "<>"
        for legend in legends
    )


def legends_of(reads: Iterable[KeyRead]) -> list[str]:
    """What each read press types in the end; a key that types nothing is given with its shift state.

    A key that begins a sequence, a dead key of the machine and the like are left out if others complete them and they
    type nothing alone.
    """
    typed = in_the_end(reads, lambda read: (read.types, read.waits, read.completes))
    return [read.types.text if read.types else " + ".join([*sorted(read.state), read.key]) for read in typed]


def presses_of(way: Way) -> tuple[KeyPress, ...]:
    """The presses of a way, including those of its locks and latches before and after."""
    locks = tuple(KeyPress(usage=usage, level=1, extras=frozenset()) for press in way for usage in press.on)
    return (*locks, *way, *locks)


def meant_by(plan: Plan, presses: Iterable[KeyPress]) -> list[str]:
    """What consecutive presses should type, each released before the next; an empty text if a press types nothing.

    None for a press that closes no contact: a dead key that waits, a lock, a latch, a command.
    """
    rules = Rules(plan)
    standing = REST
    read: list[Typed | None] = []
    for press in presses:
        outcome = rules.press(rules.hold(press.hold, standing), press.usage)
        typed = rules.types(outcome)
        read += typed
        if outcome.does is Does.STROKE and not typed:
            read.append(None)
        standing = rules.let_all_go(outcome.after)
    found = in_the_end(read, lambda one: (one.legend, one.waits, one.completes) if one else (None, False, 0))
    return [one.legend.text if one and one.legend else "" for one in found]


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """What was typed but not read, and what was read but not typed."""

    lost: tuple[str, ...]
    extra: tuple[str, ...]


def difference(typed: Sequence[str], read: Sequence[str]) -> Difference:
    """What was lost and what is extra. Nothing is extra if the text that was read is the typed one with gaps."""
    lost: list[str] = []
    waiting = iter(typed)
    for legend in read:
        for other in waiting:
            if other == legend:
                break
            lost.append(other)
        else:
            return _blocks(typed, read)
    return Difference(lost=(*lost, *waiting), extra=())


def _blocks(typed: Sequence[str], read: Sequence[str]) -> Difference:
    """The differences, block by block; in long texts everything between the common parts at both ends."""
    first = next((at for at, (one, other) in enumerate(zip(typed, read, strict=False)) if one != other), None)
    first = min(len(typed), len(read)) if first is None else first
    typed, read = typed[first:], read[first:]
    last = 0
    while last < min(len(typed), len(read)) and typed[-1 - last] == read[-1 - last]:
        last += 1
    typed, read = typed[: len(typed) - last], read[: len(read) - last]
    if max(len(typed), len(read)) > ALIGNED_CHARACTERS:
        return Difference(lost=tuple(typed), extra=tuple(read))
    lost: list[str] = []
    extra: list[str] = []
    for tag, low, high, first, last in SequenceMatcher(None, typed, read, autojunk=False).get_opcodes():
        if tag != "equal":
            lost += typed[low:high]
            extra += read[first:last]
    return Difference(lost=tuple(lost), extra=tuple(extra))


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """The mean time that the machine and the reports need per keystroke, and the reasons for an unreadable text."""

    service_us: Fraction
    reports_us: Fraction
    limits: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Typing:
    """A person who types presses in a style, over a link with an interval."""

    plan: Plan
    presses: tuple[KeyPress, ...]
    style: Style
    link: Link
    interval_us: int

    @property
    def performance(self) -> Performance:
        """The moves of the keys."""
        return perform(self.presses, self.style)

    def sent(self) -> Iterator[Sent]:
        """The reports that arrive."""
        return reports(self.performance.moves, self.link, self.interval_us)

    def _refusals(self) -> Iterator[str]:
        """Presses that the runtime never closes, because of its rules."""
        rules = Rules(self.plan)
        refused: dict[Cause, dict[str, None]] = {}
        for press in dict.fromkeys(self.presses):
            cause = rules.press(rules.hold(press.hold), press.usage).refused
            if cause is not None:
                refused.setdefault(cause, {})[press_words(self.plan.layout.host, press)] = None
        for cause, names in refused.items():
            yield f"{', '.join(names)} {'is' if len(names) == 1 else 'are'} {REFUSALS[cause]}"

    def limits(self) -> Limits:
        """Whether the text can be read at this rate, over this link, by this machine.

        A sampled link sees everything if its interval is no longer than any hold, any gap and the time between
        keystrokes. A queued link, and the machine, must on average keep up with the keystrokes. If they do, a row of
        slow keystrokes must also not fill the waiting line in its usual configuration.
        """
        performance = self.performance
        service = mean_service_us(self.plan, self.presses)
        interval, beat = self.interval_us, performance.beat_us
        report_time = Fraction(sum(1 for _ in self.sent()) * interval, max(len(self.presses), 1))
        limits = list(self._refusals())
        if self.link is Link.SAMPLED:
            times = (
                ("a key is held for", performance.hold_us),
                ("a key is let go for", performance.gap_us),
                ("keystrokes come every", beat),
            )
            short = [(what, time) for what, time in times if time is not None and time < interval]
            limits += [f"{what} {_ms(time)}, less than the report interval of {_ms(interval)}" for what, time in short]
        elif beat is not None and report_time > beat:
            limits.append(f"the reports of a keystroke take {_ms(report_time)}, but keystrokes come every {_ms(beat)}")
        if beat is not None and service > beat:
            limits.append(f"the machine needs {_ms(service)} for a keystroke, but they come every {_ms(beat)}")
        if not limits and (dropped := play_typing(Model([self.plan], Sizes()), self).last.overflows):
            what = "keystroke finds" if dropped == 1 else "keystrokes find"
            limits.append(f"slow keystrokes in a row fill the waiting line, and {dropped} {what} no place in it")
        return Limits(service_us=service, reports_us=report_time, limits=tuple(limits))


def play_typing(engine: Engine, typing: Typing) -> Player:
    """Plays all reports, and the time that waiting presses still need."""
    player = Player(engine)
    for sent in typing.sent():
        player.run_until(sent.time_us // TICK_US)
        give_report(player, 0, sent.report)
    finish(player)
    return player


def give_report(player: Player, keyboard: int, report: bytes) -> None:
    """Gives a boot report at this moment."""
    player.give(f"report {report.hex(' ')}", lambda engine: engine.boot_report(keyboard, report))


def finish(player: Player) -> None:
    """Lets time pass until nothing happens any more."""
    while True:
        before = len(player.notes)
        player.run(LONGEST_TICKS)
        if len(player.notes) == before:
            return


def mean_service_us(plan: Plan, presses: Sequence[KeyPress]) -> Fraction:
    """The mean time of a keystroke while the next ones are already waiting, in a model with a long enough line."""
    if not presses:
        return Fraction(0)
    model = Model([plan], Sizes(waiting=len(presses)))
    for press in presses:
        held = press.hold
        model.boot_report(0, boot_report(held))
        model.boot_report(0, boot_report([*held, press.usage]))
    model.boot_report(0, boot_report(()))
    player = Player(model)
    finish(player)
    last = max((moment.time_us for moment in player.moments), default=0)
    return Fraction(last, len(presses))


def _ms(microseconds: int | Fraction) -> str:
    return f"{float(microseconds) / 1000:.4g} ms"
