"""The command `matrixmap`: finds the module of a command and runs it."""

from __future__ import annotations

import gc
import os
import sys
from typing import TYPE_CHECKING, Any, NamedTuple, NoReturn

from matrixmap.cli.streams import make_streams_safe

if TYPE_CHECKING:
    import typer


class Command(NamedTuple):
    """A command: the room of `cli/` with its module, and its line in the help."""

    room: str
    line: str


COMMANDS = {
    "build": Command("make", "Write the C tables, the runtime and the key lists of layouts."),
    "check": Command("judge", "Report what can go wrong with layouts."),
    "compare": Command("judge", "Say what a change means to the person who types."),
    "show": Command("look", "Print a machine's matrix and a host's keys, and which keys reach what."),
    "draw": Command("make", "Draw the keyboards and the matrix, with what each key types."),
    "stickers": Command("make", "Make stickers for the keys, at true scale."),
    "sheet": Command("make", "Make a sheet for the desk: how to type the special characters."),
    "page": Command("make", "Make a web page on which to try layouts."),
    "howto": Command("look", "Say which keys to press to type a text."),
    "hold": Command("look", "Say what happens if some keys are held together, and what cures it."),
    "type": Command("play", "Type a text on a simulated keyboard and print what the machine reads."),
    "trace": Command("play", "Play a script of keyboard events and print what the machine reads."),
    "new": Command(
        "begin", "Begin a file: a host, a machine, a layout or an adapter; read a country's keyboard from the system."
    ),
    "tidy": Command("begin", "Put files in order: quotes, fields, keys and lines."),
    "schema": Command("begin", "Write the JSON Schemas of the files, for editors."),
    "list": Command("look", "List machines, hosts, layouts, parts and adapters."),
    "adapter": Command("look", "Trace an adapter's wiring: what closes each contact, and what is wrong."),
    "margins": Command(
        "look", "Compute whether a board's contacts are surely read, in time, and whether its supply holds."
    ),
    "kit": Command("make", "Make the sheet of a kit: order of parts, measurements, and the keys that show a fault."),
    "diagnose": Command("make", "Find a fault of a board with a few keystrokes: it asks for one press at a time."),
    "keyboard": Command("make", "Describe a keyboard from its report descriptor or a recording; write its table in C."),
    "pad": Command("make", "Describe a joystick or game pad: what it can send, and what it drives."),
    "usages": Command("look", "Look up HID usages by number, name or W3C code."),
    "rules": Command("look", "List the rules of reading and checking."),
    "explain": Command("look", "Explain a rule, with a bad and a good example."),
    "completion": Command("look", "Print a script that completes commands and ids in bash, zsh or fish."),
}
"""Commands by name, which is also the name of the module. A module is loaded when it is called."""

HELP = """Join a home computer's key matrix, a modern keyboard and a layout into C tables.

Start with: matrixmap list"""


OUR_FAULT = 70
"""The exit code of a fault of this program: EX_SOFTWARE of sysexits.h (4.3BSD)."""

INTERRUPTED = 130
"""The exit code of an interrupt, as in shells: 128 plus the number of SIGINT (common practice). 1 means findings."""

QUIET_ALLOCATIONS = 100_000
"""Allocations between two searches for reference cycles."""


class UsageError(Exception):
    """The call cannot be carried out as written; the text says why. Exit code 2."""


def make_app() -> typer.Typer:
    """An application without completion, rich help or rich tracebacks: all of these cost start-up time."""
    import typer

    return typer.Typer(rich_markup_mode=None, add_completion=False, pretty_exceptions_enable=False)


def help_text() -> str:
    """The output of `matrixmap` and `matrixmap --help`, in 80 columns. It needs neither a command nor Typer."""
    from textwrap import wrap

    options = {"--version": "Print the version and exit.", "--help": "Show this message and exit."}
    lines = ["Usage: matrixmap [OPTIONS] COMMAND [ARGS]...", ""]
    for part in HELP.split("\n"):
        lines += wrap(part, 78, initial_indent="  ", subsequent_indent="  ") or [""]
    for title, rows in (("Options", options), ("Commands", {name: row.line for name, row in COMMANDS.items()})):
        width = max(map(len, rows)) + 4
        lines += ["", f"{title}:"]
        for name, text in rows.items():
            lines += wrap(text, 78, initial_indent=f"  {name}".ljust(width), subsequent_indent=" " * width)
    return "\n".join([*lines, ""])


def _print_version(wanted: bool) -> None:
    if wanted:
        import typer

        from matrixmap import __version__

        typer.echo(f"matrixmap {__version__}")
        raise typer.Exit


def make_program() -> typer.Typer:
    """The commands as one, with the options in front of them. Typer loads more slowly than a small command runs."""
    from importlib import import_module

    import typer
    import typer.core
    import typer.main

    from matrixmap.cli.values import read_plainly, with_plain_values

    class Group(typer.core.TyperGroup):
        """Commands by name, each loaded on demand."""

        def get_params(self, ctx: Any) -> list[Any]:
            return read_plainly(super().get_params(ctx))

        def list_commands(self, ctx: Any) -> list[str]:
            return list(COMMANDS)

        def get_command(self, ctx: Any, cmd_name: str) -> Any:
            if cmd_name not in COMMANDS:
                return None
            module = import_module(f"matrixmap.cli.{COMMANDS[cmd_name].room}.{cmd_name}")
            command = with_plain_values(typer.main.get_command(module.app))
            command.name = cmd_name
            return command

        def format_help(self, ctx: Any, formatter: Any) -> None:
            formatter.write(help_text())

        def resolve_command(self, ctx: Any, args: list[str]) -> Any:
            if args and args[0] not in COMMANDS and not args[0].startswith("-"):
                from matrixmap.source.report import nearest

                raise UsageError(f"there is no command {args[0]!r}{nearest(args[0], COMMANDS)} (see matrixmap --help)")
            return super().resolve_command(ctx, args)

    program = make_app()

    @program.callback(cls=Group)
    def options(
        version: bool = typer.Option(
            False, "--version", is_eager=True, callback=_print_version, help="Print the version and exit."
        ),
    ) -> None:
        """Options that stand before the command."""

    return program


class _FaultsOfOurs:
    """Reports an unexpected exception, which is a fault of this program, and exits with a code of its own."""

    def __enter__(self) -> None:
        pass

    def __exit__(self, kind: type[BaseException] | None, fault: BaseException | None, trace: object) -> None:
        if not isinstance(fault, Exception):
            return
        import shlex
        import traceback

        from matrixmap import __version__
        from matrixmap.model.words import shown

        command = shown(shlex.join(["matrixmap", *sys.argv[1:]]))
        print(
            f"matrixmap: this is a fault of matrixmap {__version__}, not of your files: `{command}` ended in "
            f"{type(fault).__name__}; please report this line and the lines below it",
            file=sys.stderr,
        )
        print("".join(traceback.format_exception(fault)), end="", file=sys.stderr)
        sys.exit(OUR_FAULT)


def run() -> NoReturn:
    """Run the command line and exit: 0 clean, 1 findings, 2 unusable input or arguments, 70 a fault of this program, 130 an interrupt."""
    # A command makes thousands of lasting values, none of them in a cycle: searching for cycles took a fifth of a
    # check.
    gc.set_threshold(QUIET_ALLOCATIONS)
    make_streams_safe()
    with _FaultsOfOurs():
        code = _run()
    sys.exit(code)


def _run() -> int | str | None:
    try:
        code = _run_app()
        sys.stdout.flush()
    except UsageError as error:
        code = _complain(str(error))
    except BrokenPipeError:
        # The reader of our output has enough.
        _leave_stdout()
        code = 0
    except OSError as error:
        name = f" {os.fsdecode(error.filename)}" if isinstance(error.filename, str | bytes) else ""
        code = _complain(f"cannot read or write{name}: {error.strerror or error}")
        try:
            sys.stdout.flush()
        except OSError:
            _leave_stdout()
    return code


def _leave_stdout() -> None:
    """Discards what is still to be written there: Python would complain again while closing it."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _run_app() -> int | str | None:
    words = sys.argv[1:]
    if words in ([], ["--help"]):
        # A call without a command cannot be carried out; the full help is the best answer.
        (sys.stdout if words else sys.stderr).write(help_text())
        return 0 if words else 2
    try:
        code = make_program()(prog_name="matrixmap", standalone_mode=False)
    except SystemExit as end:
        # For a closed pipe, the command-line library exits with 1, which would mean findings.
        if isinstance(end.__context__, BrokenPipeError):
            raise end.__context__ from None
        return end.code
    except _library_faults() as fault:
        # The library reports a bad call in its own form; here, all reports look alike.
        raise UsageError(_in_our_words(fault)) from fault
    except _aborted() as end:
        raise SystemExit(INTERRUPTED) from end
    return code if isinstance(code, int) else 0


def _library_faults() -> type[Exception]:
    """What the command-line library raises for a bad call: the base class, which it does not export."""
    from typer import BadParameter

    return next(kind for kind in BadParameter.__mro__ if kind.__name__ == "ClickException")


def _aborted() -> type[Exception]:
    """What the library raises for an interrupt."""
    from typer import Abort

    return Abort


def _in_our_words(fault: Any) -> str:
    """A fault of the call found by the command-line library, in one sentence, with the command for more help."""
    text = fault.format_message().rstrip(".")
    text = (text[:1].lower() + text[1:]).replace("\n", " ")
    command = getattr(getattr(fault, "ctx", None), "command_path", "matrixmap")
    return f"{text} (see {command} --help)"


def _complain(text: str) -> int:
    from matrixmap.model.words import shown

    print(f"matrixmap: {shown(text)}", file=sys.stderr)
    return 2
