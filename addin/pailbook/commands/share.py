"""`pailbook share`."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from pailbook.commands import completion
from pailbook.commands.app import FOUND_SOMETHING, command
from pailbook.commands.help import SHARE
from pailbook.commands.options import Overwrite, Pdf, Workbook, output

if TYPE_CHECKING:
    from pailbook.workbook.share.share import Shared

SHOWN = 20  # lines of a list


@command(SHARE, "pailbook share log.xlsx -o copy.xlsx",
         'pailbook share log.xlsx -o copy.xlsx --client "Quillon Court" --pdf')
def share(
    workbook: Workbook,
    output: Annotated[Path, output("The copy, an .xlsx file.")],
    client: Annotated[str | None, typer.Option(
        metavar="NAME", autocompletion=completion.clients,
        help="Keep this client's systems and rows alone, and no word of others. Left out: keep all.")] = None,
    values: Annotated[bool, typer.Option(
        "--values", help="Put values in place of function calls, not plain formulas.")] = False,
    pdf: Pdf = False,
    overwrite: Overwrite = False,
) -> None:
    """Make a copy that works without the functions.

    Calls of our functions become plain formulas, which stay live. The copy is computed and compared with the original;
    where a cell differs no copy is written, and the exit code is 1.
    """
    from pailbook.hosts.calc import driver
    from pailbook.terminal import progress
    from pailbook.workbook.builder import check_target
    from pailbook.workbook.share.share import share as share_workbook

    printed = output.with_suffix(".pdf")
    if pdf:
        driver.needed()
        check_target(printed, overwrite)
    with progress(f"copying {workbook.name}") as advance:
        shared = share_workbook(workbook, output, client=client, freeze=values, overwrite=overwrite, progress=advance)
    _tell(shared, values)
    if shared.differences:
        typer.echo(f"no copy was written: {len(shared.differences)} cells would show another value in it:", err=True)
        _list(shared.differences, err=True)
        raise typer.Exit(FOUND_SOMETHING)
    typer.echo(f"wrote {output}")
    if pdf:
        driver.convert(output, printed)
        typer.echo(f"wrote {printed}")


def _tell(shared: Shared, on_purpose: bool) -> None:
    """The closing report."""
    done, found = shared.done, shared.done.found
    for line in shared.removed:
        typer.echo(line)
    for line in done.told:
        typer.echo(line)
    replaced = found.replaced + done.elsewhere.replaced
    steps = f", {done.steps} intermediate values on the sheet Workings" if done.steps else ""
    typer.echo(f"{replaced} calls replaced by plain formulas, in {found.cells} cells{steps}")
    typer.echo(f"{found.frozen_calls} calls turned into values{' on purpose' if on_purpose else ''}")
    if not on_purpose:
        _list([f"{cell.sheet}!{cell.cells}: {cell.reason}" for cell in found.frozen])
    _list(done.elsewhere.dropped)
    typer.echo(f"{shared.checked} formulas compared with the original: equal within 1e-9"
               if not shared.differences else f"{shared.checked} formulas are equal to the original's")
    if shared.changing:
        typer.echo(f"{shared.changing} formulas were not compared: they give another value each time")
    if shared.unchecked:
        typer.echo(f"{shared.unknown} formulas were not compared and keep the values that the file has, since some "
                   "cannot be computed here:")
        _list(dict.fromkeys(f"{problem.sheet}!{problem.cell}: {problem.reason}" for problem in shared.unchecked))


def _list(lines: Iterable[object], err: bool = False) -> None:
    shown = [str(line) for line in lines]
    for line in shown[:SHOWN]:
        typer.echo(f"  {line}", err=err)
    if len(shown) > SHOWN:
        typer.echo(f"  and {len(shown) - SHOWN} more", err=err)
