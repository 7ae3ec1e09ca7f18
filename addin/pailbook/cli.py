"""The command line; what each command does stands in `commands`.

Exit codes: 0 done, 1 done but something needs attention, 2 wrong use or bad input, 130 interrupted.
"""

from __future__ import annotations

import contextlib
import sys
import warnings
from collections.abc import Iterator
from typing import TextIO

import typer

# Each enters its commands, in the order in which the help lists them.
# isort: off
from pailbook.commands import demo, ready  # noqa: F401
from pailbook.commands import workbooks, readings, check, share, report  # noqa: F401
from pailbook.commands import catalogue, install, install_calc, install_excel, install_completion  # noqa: F401
# isort: on
from pailbook.commands.app import COMPLETE, INTERRUPTED, WRONG_USE, app
from pailbook.commands.help import WrongUse
from pailbook.commands.wrong_use import message_of
from pailbook.files import OpenElsewhere
from pailbook.outcomes import BadInput


def main() -> None:
    """Run the command line; bad input becomes one message on standard error and exit code 2."""
    try:
        with _warnings_shown():
            code = app(prog_name="pailbook", complete_var=COMPLETE, standalone_mode=False)
        if code == INTERRUPTED:
            raise KeyboardInterrupt
    except WrongUse as problem:
        _end(message_of(problem))
    except (BadInput, OSError) as problem:
        _end(_explain(problem))
    except (KeyboardInterrupt, typer.Abort):
        _end("interrupted; no half-written file was left behind", INTERRUPTED)
    sys.exit(code)


@contextlib.contextmanager
def _warnings_shown() -> Iterator[None]:
    """While the block runs, a warning that a file is open elsewhere becomes a line on standard error, once."""
    known: set[str] = set()

    def show(
        message: Warning | str, category: type[Warning], filename: str, lineno: int, file: TextIO | None = None,
        line: str | None = None,
    ) -> None:
        if not issubclass(category, OpenElsewhere):
            usual(message, category, filename, lineno, file, line)
        elif str(message) not in known:
            known.add(str(message))
            typer.echo(f"pailbook: {message}", err=True)

    with warnings.catch_warnings():
        warnings.simplefilter("always", OpenElsewhere)
        usual, warnings.showwarning = warnings.showwarning, show
        yield


def _end(message: str, code: int = WRONG_USE) -> None:
    typer.echo(f"pailbook: {message}", err=True)
    sys.exit(code)


def _explain(problem: Exception) -> str:
    if isinstance(problem, OSError) and problem.strerror and problem.filename:
        return f"{problem.filename}: {problem.strerror}"
    return str(problem)
