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
        help="Keep only this client's systems and rows, nothing about anybody else. Default: keep everything.")] = None,
    values: Annotated[bool, typer.Option(
        "--values", help="Turn function calls into fixed values instead of plain formulas.")] = False,
    pdf: Pdf = False,
    overwrite: Overwrite = False,
) -> None:
    """Make a copy that works without the functions.

    Function calls become plain formulas, which still calculate. The copy is calculated and compared with the original;
    if a cell differs, no copy is written and the exit code is 1.
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
    _report(shared, values)
    if shared.differences:
        cells = _count(len(shared.differences), "cell")
        typer.echo(f"no copy was written: {cells} would show a different value in it:", err=True)
        _list(shared.differences, err=True)
        raise typer.Exit(FOUND_SOMETHING)
    typer.echo(f"wrote {output}")
    if pdf:
        driver.convert(output, printed)
        typer.echo(f"wrote {printed}")


def _report(shared: Shared, on_purpose: bool) -> None:
    """What was done, in words."""
    done, found = shared.done, shared.done.found
    for line in shared.removed:
        typer.echo(line)
    for line in done.notes:
        typer.echo(line)
    replaced = found.replaced + done.elsewhere.replaced
    steps = f", with {done.steps} intermediate values on the sheet Workings" if done.steps else ""
    typer.echo(f"{_count(replaced, 'function call')} in {_count(found.cells, 'cell')} became plain formulas{steps}")
    typer.echo(f"{_count(found.frozen_calls, 'function call')} became fixed values{', as asked' if on_purpose else ''}")
    if not on_purpose:
        _list([f"{cell.sheet}!{cell.cells}: {cell.reason}" for cell in found.frozen])
    _list(done.elsewhere.dropped)
    typer.echo(f"{_count(shared.checked, 'formula')} compared with the original: equal within 1e-9"
               if not shared.differences else f"{_count(shared.checked, 'formula')} equal to the original's")
    if shared.changing:
        typer.echo(f"{_count(shared.changing, 'formula')} not compared, because each calculation gives another value")
    if shared.unchecked:
        typer.echo(f"{_count(shared.unknown, 'formula')} not compared; their cells keep the values that the file has, "
                   "because these formulas cannot be calculated here:")
        _list(dict.fromkeys(f"{problem.sheet}!{problem.cell}: {problem.reason}" for problem in shared.unchecked))


def _count(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"


def _list(lines: Iterable[object], err: bool = False) -> None:
    shown = [str(line) for line in lines]
    for line in shown[:SHOWN]:
        typer.echo(f"  {line}", err=err)
    if len(shown) > SHOWN:
        typer.echo(f"  and {len(shown) - SHOWN} more", err=err)
