"""The command line; what each command does stands in `commands`.

Exit codes: 0 fine, 1 the check found something, 2 wrong use or bad input.
"""

from __future__ import annotations

import sys

import typer

from pailbook.commands import (  # noqa: F401  each enters its commands
    catalogue,
    check,
    daily,
    demo,
    install,
    install_calc,
    install_excel,
    readings,
    ready,
    report,
    share,
    workbooks,
)
from pailbook.commands.app import WRONG_USE, app
from pailbook.outcomes import BadInput

_INTERRUPTED = 130  # what the library makes of an interrupt, without a word


def main() -> None:
    """Run the command line; bad input becomes one message on standard error and exit code 2."""
    try:
        app()
    except (BadInput, OSError) as problem:
        typer.echo(f"pailbook: {_explain(problem)}", err=True)
        sys.exit(WRONG_USE)
    except (KeyboardInterrupt, SystemExit) as end:
        if isinstance(end, SystemExit) and end.code != _INTERRUPTED:
            raise
        typer.echo("pailbook: interrupted; no file was left half written", err=True)
        sys.exit(WRONG_USE)


def _explain(problem: Exception) -> str:
    if isinstance(problem, OSError) and problem.strerror and problem.filename:
        return f"{problem.filename}: {problem.strerror.lower()}"
    return str(problem)
