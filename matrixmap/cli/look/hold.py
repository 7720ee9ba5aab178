"""`matrixmap hold`: what happens if some keys are held together, in every order, and what would help."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import typer

from matrixmap.cli.main import UsageError, make_app
from matrixmap.cli.session import (
    FormatOption,
    RootOption,
    choose_format,
    one_plan,
    open_project,
    print_json,
    print_overrides,
)
from matrixmap.limits import HELD_KEYS

if TYPE_CHECKING:
    from matrixmap.check.engine.holding import HeldKey
    from matrixmap.hid.usages import Usage
    from matrixmap.model.host import Host

app = make_app()


@app.command(epilog="Example: matrixmap hold quillon8-de-DE-symbolic ArrowUp ArrowRight Space")
def hold(
    layout: str = typer.Argument(..., help="Id of a layout, or its YAML file."),
    keys: list[str] = typer.Argument(
        ..., metavar="KEY", help="Keys of the keyboard: W3C codes (KeyW, Space, Shift+KeyA), or what is printed: W."
    ),
    every: bool = typer.Option(False, "--all", help="Show every outcome and every cause, not only the first."),
    root: Path | None = RootOption,
    format: str = FormatOption,
) -> None:
    """Tell what happens if these keys are held together, pressed in every order: what is opened or refused, and why.

    A key with modifiers, such as Shift+KeyA, is those keys one after the other, and all of them stay down. Exit 1 if in
    some order a key is not closed or something else is read.
    """
    from matrixmap.check.cures import hold as play
    from matrixmap.cli.look.held import facts, print_held

    choose_format(format)
    if len(keys) > HELD_KEYS:
        raise UsageError(f"hold takes at most {HELD_KEYS} keys, each with its modifiers, not {len(keys)}")
    project = open_project(root)
    if format == "text":
        print_overrides(project, [layout])
    plan = one_plan(project, layout)
    held = play(plan, read_keys(plan.layout.host, keys))
    if format == "json":
        print_json(facts(held))
    else:
        print_held(held, every)
    if not held.holding.is_whole:
        raise typer.Exit(1)


def read_keys(host: Host, names: list[str]) -> list[HeldKey]:
    """The keys for some names; UsageError for an unknown name, and for a key that is named twice."""
    from matrixmap.model.words import usage_name
    from matrixmap.press.keyboard import key_usage

    keys: list[HeldKey] = []
    for name in names:
        key = read_key(host, name)
        if key_usage(host, key.usage) in {key_usage(host, other.usage) for other in keys}:
            raise UsageError(f"{name!r} is {usage_name(key.usage)}, which is already named; a key is held once")
        keys.append(key)
    return keys


def read_key(host: Host, name: str) -> HeldKey:
    """A key with its modifiers: `KeyA`, `Shift+KeyA`, `ControlRight+0x4F`, `Space`, or by its print."""
    from matrixmap.check.engine.holding import HeldKey

    *modifiers, last = [name] if len(name) == 1 else name.split("+")
    if last == "" and modifiers and modifiers[-1] == "":
        modifiers, last = modifiers[:-1], "+"
    before = [_modifier(host, modifier.strip(), name) for modifier in modifiers]
    usage = _usage(host, last.strip(), name)
    if len({usage, *before}) <= len(before):
        raise UsageError(f"{name!r} names a key twice")
    return HeldKey(usage=usage, before=tuple(before))


def _words(host: Host) -> dict[str, Usage]:
    """The modifiers as a layout writes them; if there are two sides, the left one."""
    from matrixmap.hid.usages import ALT_LEFT, ALT_RIGHT, CONTROL_LEFT, META_LEFT, SHIFT_LEFT

    words = {"Shift": SHIFT_LEFT, "Control": CONTROL_LEFT, "Alt": ALT_LEFT, "Meta": META_LEFT}
    return {**words, "AltGr": ALT_RIGHT} if host.has_altgr else words


def _modifier(host: Host, word: str, name: str) -> Usage:
    """A key that is held for another key."""
    from matrixmap.hid.usages import MODIFIER_BITS
    from matrixmap.model.words import usage_name
    from matrixmap.source.report import named, nearest

    words = _words(host)
    known = {**words, **{usage_name(usage): usage for usage in MODIFIER_BITS}}
    if word in known:
        return known[word]
    if word == "AltGr":
        raise UsageError(f"{name!r} needs AltGr, which the host {host.id} does not have")
    raise UsageError(f"{word!r} in {name!r} is not a modifier{nearest(word, known)} (modifiers: {named(words)})")


def _usage(host: Host, word: str, name: str) -> Usage:
    """A key by its code, number or print, or a modifier by its word."""
    from matrixmap.hid.usages import USAGES
    from matrixmap.model.words import printed_on
    from matrixmap.press.keyboard import key_usage
    from matrixmap.source.kinds.host import usages_named
    from matrixmap.source.report import nearest

    words = _words(host)
    if word in words:
        return words[word]
    usages = usages_named(word)
    if usages:
        return key_usage(host, usages[0])
    codes = [fact.code for fact in USAGES if fact.code]
    printed = [usage for usage in host.keys if len(word) == 1 and printed_on(host, usage).casefold() == word.casefold()]
    printed = [usage for usage in printed if not _is_keypad(usage)] or printed
    if printed:
        return key_usage(host, printed[0])
    where = f" in {name!r}" if name.strip() != word else ""
    hint = nearest(word, [*codes, *words]) if len(word) > 1 else ""
    raise UsageError(
        f"there is no key {word!r}{where}{hint} (a key is a W3C code such as KeyA, a number such as 0x64, or what is "
        f"printed on it on the host {host.id})"
    )


def _is_keypad(usage: Usage) -> bool:
    from matrixmap.model.words import usage_name

    return usage_name(usage).startswith("Numpad")
