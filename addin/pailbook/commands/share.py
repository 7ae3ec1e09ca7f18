"""`pailbook share`."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from pailbook.commands.app import FOUND_SOMETHING, Overwrite, app

if TYPE_CHECKING:
    from pailbook.workbook.share.share import Shared

SHOWN = 20  # lines of a list


@app.command()
def share(
    file: Annotated[Path, typer.Argument(help="A workbook that calls our functions; it is not changed.")],
    output: Annotated[Path, typer.Argument(help="The copy to write, an .xlsx file.")],
    client: Annotated[
        str | None, typer.Option(help="Keep this client's systems and rows alone, and no word of others.")
    ] = None,
    pdf: Annotated[bool, typer.Option("--pdf", help="Print the copy to a PDF beside it too, by LibreOffice.")] = False,
    values: Annotated[
        bool, typer.Option("--values", help="Turn calls into their values instead of plain formulas.")
    ] = False,
    overwrite: Overwrite = False,
) -> None:
    """Make a copy for someone without the functions: plain formulas, proven to give the same values."""
    from pailbook.hosts.calc import driver
    from pailbook.terminal import progress
    from pailbook.workbook.builder import check_target
    from pailbook.workbook.share.share import share as share_workbook

    printed = output.with_suffix(".pdf")
    if pdf:
        driver.needed()
        check_target(printed, overwrite)
    with progress(f"sharing {file.name}") as advance:
        shared = share_workbook(file, output, client=client, freeze=values, overwrite=overwrite, progress=advance)
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
