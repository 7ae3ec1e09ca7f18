"""The command that all others belong to, how a command is entered, and the exit codes."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, Any, TypeVar

import typer
from typer.completion import completion_init  # type: ignore[attr-defined]

from pailbook import __version__
from pailbook.commands.help import Command, Group

FOUND_SOMETHING, WRONG_USE, INTERRUPTED = 1, 2, 130  # 0 is fine; shells expect the last of an interrupt
COMPLETE = "_PAILBOOK_COMPLETE"  # the variable by which a shell asks for completions

_CODES = f"""\
Exit codes, of all commands:
0    done
{FOUND_SOMETHING}    done, but something needs attention, which the output names
{WRONG_USE}    not done: wrong use or bad input
{INTERRUPTED}  interrupted (Ctrl-C); no half-written file was left behind

Help on one command:
pailbook COMMAND --help"""

completion_init()  # makes the library know the shells; the options that it would add are `install completion` here
_AS_OURS: dict[str, Any] = {"context_settings": {"help_option_names": ["-h", "--help"]}, "rich_markup_mode": None}
app = typer.Typer(
    name="pailbook", help="Workbooks and worksheet functions for people who grow fish and plants together.",
    epilog=_CODES, cls=Group, add_completion=False, pretty_exceptions_enable=False, **_AS_OURS,
)
Function = TypeVar("Function", bound=Callable[..., None])


def command(
    section: str, *examples: str, notes: str = "", name: str | None = None, of: typer.Typer = app
) -> Callable[[Function], Function]:
    """Enters a function as a command, in a section of the list of commands, with examples and notes for its help."""
    lines = "\n".join(["Examples:" if len(examples) > 1 else "Example:", *examples])
    return of.command(name, cls=Command, rich_help_panel=section, epilog=f"{lines}\n\n{notes}".rstrip())


def group(section: str, name: str, text: str) -> typer.Typer:
    """Enters a command that has commands of its own."""
    made = typer.Typer(name=name, help=text, cls=Group, **_AS_OURS)
    app.add_typer(made, rich_help_panel=section)
    return made


def _version(show: bool) -> None:
    if show:
        typer.echo(f"pailbook {__version__}")
        raise typer.Exit


@app.callback()
def _main(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Show the version.")
    ] = False,
) -> None:
    pass
