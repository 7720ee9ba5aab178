"""The owner's part of the page of a comparison: choose a keyboard, see on its keys what they do now."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from matrixmap.compare.comparison import Comparison
from matrixmap.compare.layouts import LayoutComparison, Status
from matrixmap.compare.sides.words import Words, count_of, rendered
from matrixmap.emit.pictures.svg import element, glyph, markup
from matrixmap.emit.pictures.written import is_sign
from matrixmap.form.owner.marks import legend
from matrixmap.form.owner.picture import Pictures, Shown, changed_keys, shown
from matrixmap.form.owner.rows import Gift, Row, rows_of
from matrixmap.form.owner.sentences import keyboard_title, sentences, slowdown_ms
from matrixmap.form.owner.signs import Signs
from matrixmap.model.plan import Plan


@dataclass(frozen=True, slots=True, kw_only=True)
class Keyboard:
    """A changed layout as its owner knows it: the machine, the title, what changed on its keys and elsewhere."""

    name: str
    machine: str
    title: str
    shown: Shown
    said: tuple[Words, ...]

    @property
    def summary(self) -> str:
        """How much changed, in a few words."""
        keys = changed_keys(self.shown)
        return count_of(keys, "key") if keys else "no single key"


def keyboards(comparison: Comparison) -> tuple[Keyboard, ...]:
    """The keyboards on which typing changes for the owner, by machine and title."""
    found = [
        _keyboard(layout, layout.new)
        for layout in comparison.of_status(Status.CHANGED)
        if layout.new is not None and not layout.gives_the_same
    ]
    some = sorted(found, key=lambda keyboard: (keyboard.machine, keyboard.title, keyboard.name))
    return tuple(keyboard for keyboard in some if keyboard.shown.rows or keyboard.said)


def _keyboard(layout: LayoutComparison, plan: Plan) -> Keyboard:
    return Keyboard(
        name=layout.name,
        machine=plan.layout.machine.title,
        title=keyboard_title(plan),
        shown=shown(plan.layout.host, rows_of(layout)),
        said=tuple(sentences(layout)),
    )


def heading(comparison: Comparison) -> str:
    """The title of the page, with the machine if there is one."""
    machines = sorted(
        {
            plan.layout.machine.title
            for layout in comparison.of_status(Status.CHANGED, Status.ADDED, Status.REMOVED)
            if (plan := layout.new or layout.old)
        }
    )
    what = "what changes at your keyboard"
    return f"{machines[0]}: {what}" if len(machines) == 1 else what.capitalize()


def owner_page(comparison: Comparison, signs: Signs) -> Iterator[str]:
    """The part of the page for owners, as elements; `signs` are then those that occur in them."""
    some = keyboards(comparison)
    pictures = Pictures([keyboard.shown for keyboard in some], signs)
    yield element("h1", markup(heading(comparison)))
    yield element("p", markup(_lead(comparison, some)), class_="lead")
    yield from _speed(comparison, some)
    yield pictures.definitions()
    if len(some) > 1:
        yield element("nav", *_index(some), aria_labelledby="_choose", class_="apart")
    yield from _others(comparison)
    marks = legend(pictures.marks, signs)
    if marks:
        heading_of = element("h2", "What the signs on the keys mean", id="_signs")
        yield element("section", heading_of, marks, class_="legend", aria_labelledby="_signs")
    machines = len({keyboard.machine for keyboard in some})
    for number, keyboard in enumerate(some):
        figure = pictures.figure(number, keyboard.shown, f"Picture: {keyboard.title}")
        yield element(
            "section",
            *_section(keyboard, figure, machines, len(some) > 1, signs),
            id=keyboard.name,
            class_="keyboard",
        )


def _lead(comparison: Comparison, some: Sequence[Keyboard]) -> str:
    if not some:
        return "No key types anything else than before."
    if len(some) == 1:
        which = f"Something changes at one keyboard: {some[0].title}."
    else:
        which = f"Something changes at {len(some)} keyboards. Those that are not listed here stay as they are."
    if comparison.firmware.flash:
        return f"{which} The change comes with the next update of your adapter."
    return which


def _speed(comparison: Comparison, some: Sequence[Keyboard]) -> Iterator[str]:
    """That keyboards without a section are slower or faster."""
    listed = {keyboard.name for keyboard in some}
    found = [
        ms
        for layout in comparison.of_status(Status.CHANGED)
        if layout.name not in listed and (ms := slowdown_ms(layout))
    ]
    if found:
        most = max(found, key=abs)
        words = f"each key takes {'up to ' if len(set(found)) > 1 else ''}{abs(most):g} ms {'longer' if most > 0 else 'less'}"
        where = f"On {count_of(len(found), 'other keyboard' if some else 'keyboard')}"
        yield element("p", markup(f"{where}, {words}, which only fast typing shows."))


def _index(some: Sequence[Keyboard]) -> Iterator[str]:
    yield element("h2", "Choose your keyboard", id="_choose")
    yield element("p", "It is the one that you plug in, by the language and country that it was made for.")
    machines = list(dict.fromkeys(keyboard.machine for keyboard in some))
    for machine in machines:
        own = [keyboard for keyboard in some if keyboard.machine == machine]
        if len(machines) > 1:
            yield element("h3", markup(machine))
        titles = [keyboard.title for keyboard in own]
        yield element("ul", *(_entry(keyboard, titles.count(keyboard.title) > 1) for keyboard in own), class_="choose")


def _entry(keyboard: Keyboard, told_apart: bool) -> str:
    name = f" ({keyboard.name})" if told_apart else ""
    link = element("a", _bdi(f"{keyboard.title}{name}"), href=f"#{keyboard.name}")
    return element("li", link, " ", element("span", keyboard.summary, class_="soft"))


def _others(comparison: Comparison) -> Iterator[str]:
    """Keyboards that were added or removed, and those that cannot be used."""
    mended = [layout.name for layout in comparison.of_status(Status.BROKEN) if not layout.new_faults]
    broken = [layout.name for layout in comparison.of_status(Status.BROKEN) if layout.new_faults]
    for title, names in (
        ("New keyboards", [*_titles(comparison, Status.ADDED)]),
        ("Keyboards that are gone", [*_titles(comparison, Status.REMOVED)]),
        ("Keyboards that can be used again", mended),
        ("Keyboards with a fault in their file, which its maker must correct", broken),
    ):
        if names:
            listing = element("ul", *(element("li", _bdi(name)) for name in names), class_="choose")
            yield element("section", element("h2", title), listing, class_="apart")


def _titles(comparison: Comparison, status: Status) -> Iterator[str]:
    for layout in comparison.of_status(status):
        plan = layout.new or layout.old
        if plan is not None:
            yield f"{plan.layout.machine.title}: {keyboard_title(plan)}"


def _section(keyboard: Keyboard, figure: str, machines: int, back: bool, signs: Signs) -> Iterator[str]:
    if back:
        yield element("p", element("a", "All keyboards", href="#_choose"), class_="back")
    machine = f"{_bdi(keyboard.machine)}: " if machines > 1 else ""
    yield element("h2", machine, _bdi(keyboard.title))
    rows = keyboard.shown.rows
    told = (
        "No single key types anything else."
        if not rows
        else f"{count_of(changed_keys(keyboard.shown), 'key')} changed."
    )
    yield element("p", markup(told))
    if keyboard.said:
        yield element("ul", *(element("li", f"{_words(_capital(words), signs)}.") for words in keyboard.said))
    yield figure
    if rows:
        yield _table(rows, signs)


def _table(rows: Iterable[Row], signs: Signs) -> str:
    heads = (element("th", name, scope="col") for name in ("press", "before", "now"))
    lines = (
        element(
            "tr",
            element("td", _press(row, signs)),
            element("td", _was(row.before, signs)),
            element("td", _words(row.after.words, signs)),
        )
        for row in rows
    )
    table = element("table", element("thead", element("tr", *heads)), element("tbody", *lines))
    return element("div", table, class_="rows")


def _press(row: Row, signs: Signs) -> str:
    first = f"{_kbd(row.accent, signs)}, then " if row.accent else ""
    on = "".join(f"{markup(word)}, " for word in row.on)
    rare = "" if row.usual else " (few keyboards have this key)"
    return f"{first}{on}{' '.join(_kbd(text, signs) for text in (*row.held, row.key))}{rare}"


def _was(gift: Gift, signs: Signs) -> str:
    return rendered(gift.words, lambda text: _named("bdi", text, signs), markup)


def _kbd(text: str, signs: Signs) -> str:
    return element("kbd", _text(text, signs))


def _words(words: Words, signs: Signs) -> str:
    return rendered(words, lambda text: _named("b", text, signs), markup)


def _named(tag: str, text: str, signs: Signs) -> str:
    """A legend in an element of its own; one sign alone needs none, for it is neither bold nor of a direction."""
    return _text(text, signs) if is_sign(text) else element(tag, _text(text, signs))


def _text(text: str, signs: Signs) -> str:
    """A legend in running text: a blank by its name, a combining mark on a circle, signs drawn."""
    return signs.inline("space" if text == " " else glyph(text))


def _bdi(text: str) -> str:
    return element("bdi", markup(text))


def _capital(words: Words) -> Words:
    first = words[0] if words else ""
    return (f"{first[:1].upper()}{first[1:]}", *words[1:]) if isinstance(first, str) else words
