"""`pailbook install`: puts the functions into a spreadsheet program; each program's command has a module of its own."""

from __future__ import annotations

import typer

from pailbook.commands.app import app

install = typer.Typer(name="install", help="Put the functions into a spreadsheet program, or take them out.",
                      no_args_is_help=True)
app.add_typer(install)
