"""`matrixmap completion`: completes commands, options and ids in a shell, and lists the words that it asks for."""

from __future__ import annotations

import typer

from matrixmap.cli.main import COMMANDS, UsageError, make_app

app = make_app()

BASH = """\
# Completion of matrixmap for bash: eval "$(matrixmap completion bash)"
_matrixmap() {
    local current="${COMP_WORDS[COMP_CWORD]}" before="${COMP_WORDS[COMP_CWORD-1]}"
    COMPREPLY=()
    if [ "$COMP_CWORD" -eq 1 ]; then
        COMPREPLY=($(compgen -W "COMMANDS" -- "$current"))
    else
        COMPREPLY=($(compgen -W "$(matrixmap completion words -- "${COMP_WORDS[1]}" "$before" "$current" 2>/dev/null)" -- "$current"))
    fi
}
complete -o default -F _matrixmap matrixmap
"""

ZSH = """\
#compdef matrixmap
# Completion of matrixmap for zsh: eval "$(matrixmap completion zsh)"
_matrixmap() {
    if (( CURRENT == 2 )); then
        compadd -- COMMANDS
    else
        compadd -- ${(f)"$(matrixmap completion words -- "${words[2]}" "${words[CURRENT-1]}" "${words[CURRENT]}" 2>/dev/null)"}
        _files
    fi
}
compdef _matrixmap matrixmap
"""

FISH = """\
# Completion of matrixmap for fish: matrixmap completion fish | source
function __matrixmap_words
    set -l words (commandline -opc)
    matrixmap completion words -- $words[2] $words[-1] (commandline -ct) 2>/dev/null
end
complete -c matrixmap -n "test (count (commandline -opc)) -eq 1" -f -a "COMMANDS"
complete -c matrixmap -n "test (count (commandline -opc)) -gt 1" -a "(__matrixmap_words)"
"""

SHELLS = {"bash": BASH, "zsh": ZSH, "fish": FISH}

WORDS = "words"
"""The request of the scripts: the words that may follow some others."""

KIND_AFTER = {
    "--machine": "machine",
    "--host": "host",
    "--adapter": "adapter",
    "--layout": "layout",
    "adapter": "adapter",
    "kit": "adapter",
    "diagnose": "adapter",
}
"""Option or command -> the kind of file with ids that may follow it directly; other commands with ids take layouts."""

WITHOUT_IDS = frozenset({"usages", "rules", "schema", "list", "new", "tidy", "keyboard", "completion"})


@app.command(epilog="Example: matrixmap completion bash >> ~/.bashrc")
def completion(
    shell: str = typer.Argument(..., help="bash, zsh or fish."),
    after: list[str] = typer.Argument(
        None, metavar="[WORD]...", help="For `words`: the command, the word before, and the word so far."
    ),
) -> None:
    """Print a script by which a shell completes commands, options and the ids of layouts, machines, hosts and adapters."""
    if shell == WORDS:
        command, before, current = [*(after or []), "", "", ""][:3]
        for word in words_after(command, before, current):
            typer.echo(word)
        return
    if shell not in SHELLS or after:
        from matrixmap.source.report import nearest

        raise UsageError(f"there is no completion for {shell!r}{nearest(shell, SHELLS)} (shells: {', '.join(SHELLS)})")
    typer.echo(SHELLS[shell].replace("COMMANDS", " ".join(COMMANDS)), nl=False)


def words_after(command: str, before: str, current: str) -> list[str]:
    """The words that may come next: options of a command, or ids of the kind that it or the previous option takes."""
    if current.startswith("-"):
        return options_of(command)
    if command == "explain":
        from matrixmap.check.registry import known_slugs

        return sorted(known_slugs())
    kind = KIND_AFTER.get(before) or (None if command in WITHOUT_IDS else "layout")
    return ids_of(kind) if kind else []


def ids_of(kind: str) -> list[str]:
    """The ids of a kind, here and among the shipped ones: file names only; no file is opened."""
    from pathlib import Path

    from matrixmap.source.folder import DiskFolder, shipped_folder

    return sorted({*DiskFolder(Path(), shown="").ids(kind), *shipped_folder().ids(kind)})


def options_of(command: str) -> list[str]:
    """The options of a command."""
    from importlib import import_module

    import typer.main

    if command not in COMMANDS:
        return []
    module = import_module(f"matrixmap.cli.{COMMANDS[command].room}.{command}")
    params = typer.main.get_command(module.app).params
    return sorted({*(option for param in params for option in param.opts if option.startswith("--")), "--help"})
