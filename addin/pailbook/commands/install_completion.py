"""`pailbook install completion`."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Annotated

import typer
from typer.completion import Shells, get_completion_script  # type: ignore[attr-defined]
from typer.completion import install as put_in  # type: ignore[attr-defined]

from pailbook.commands.app import COMPLETE, command
from pailbook.commands.help import CHOICES, COMMANDS
from pailbook.commands.install import install
from pailbook.nearest import there_are
from pailbook.outcomes import BadInput

_BY_HAND = (Shells.powershell, Shells.pwsh)  # where the library would loosen what scripts may run


def _shells() -> list[str]:
    return [shell.value for shell in Shells.__members__.values()]


@command(COMMANDS, "pailbook install completion", "pailbook install completion powershell --show >> $PROFILE",
         of=install)
def completion(
    shell: Annotated[str | None, typer.Argument(
        metavar="SHELL", autocompletion=_shells, help=f"{CHOICES}. Default: the shell that you use now.")] = None,
    show: Annotated[bool, typer.Option("--show", help="Only show the script that the shell needs.")] = False,
) -> None:
    """Let the Tab key complete commands, options and names.

    The names are those of workbooks, functions, units and time zones, and of the clients and systems in your log.
    """
    shell = shell or Path(os.environ.get("SHELL", "")).stem
    if not shell:
        raise BadInput(f"which shell is it for? Give one of {', '.join(_shells())}")
    if shell not in _shells():
        raise BadInput(f"completion does not work in the shell {shell!r}; {there_are(shell, _shells())}")
    if show:
        typer.echo(get_completion_script(prog_name="pailbook", complete_var=COMPLETE, shell=shell))
        return
    if shell in _BY_HAND:
        raise BadInput(f"in {shell} you install completion yourself: "
                       f"pailbook install completion {shell} --show >> $PROFILE")
    _, path = put_in(shell=shell, prog_name="pailbook", complete_var=COMPLETE)
    if shell == "zsh":  # it only defines the function when it loads the file, so that the first Tab would be lost
        path.write_text(f'{path.read_text()}\n_pailbook_completion "$@"\n')
    typer.echo(f"completion is installed for {shell}: {path}")
    typer.echo("next: open a new terminal, type pailbook and a blank, and press Tab")
