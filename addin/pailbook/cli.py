"""The command line; what each command does stands in `commands`.

Exit codes: 0 fine, 1 the check found something, 2 wrong use or bad input.
"""

from __future__ import annotations

import sys

import typer

from pailbook.commands import catalogue, demo, install, readings, workbooks  # noqa: F401  each enters its commands
from pailbook.commands.app import WRONG_USE, app
from pailbook.outcomes import BadInput


def main() -> None:
    """Run the command line; bad input becomes one message on standard error and exit code 2."""
    try:
        app()
    except (BadInput, OSError) as problem:
        typer.echo(f"pailbook: {_explain(problem)}", err=True)
        sys.exit(WRONG_USE)


def _explain(problem: Exception) -> str:
    if isinstance(problem, OSError) and problem.strerror and problem.filename:
        return f"{problem.filename}: {problem.strerror.lower()}"
    return str(problem)
