"""`pailbook report`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from pailbook.commands import completion
from pailbook.commands.app import command
from pailbook.commands.help import SHARE
from pailbook.commands.options import Log, Overwrite, Pdf, check_output, output


@command(SHARE, 'pailbook report log.xlsx --client "Quillon Court" --since 2026-04-01 -o r.xlsx')
def report(
    log: Log,
    client: Annotated[str, typer.Option(
        metavar="NAME", autocompletion=completion.clients, help="The client whose systems the report covers.")],
    since: Annotated[str, typer.Option(
        metavar="DATE", help="The first day of the report, such as 2026-03-31; often the day of the last visit.")],
    output: Annotated[Path, output("The report, an .xlsx file.")],
    next_visit: Annotated[str | None, typer.Option(
        "--next-visit", metavar="DATE", help="The day of the next visit; the report lists what is due until then. "
                                             "Default: 30 days later.")] = None,
    pdf: Pdf = False,
    overwrite: Overwrite = False,
) -> None:
    """Make a visit report for one client from a farm log.

    It says what was found, what was done and what is due, and holds nothing about any other client.
    """
    from pailbook.terminal import progress
    from pailbook.visit_report.make import make_report

    check_output(output, ".xlsx", log)
    with progress(f"reporting on {client}"):
        made = make_report(log, client, since, output, next_visit=next_visit, pdf=pdf, overwrite=overwrite)
    for found in made.content.found:
        typer.echo(f"{found.name}: {found.verdict}. {found.step}")
    for note in made.notes:
        typer.echo(note)
    for file in made.files:
        typer.echo(f"wrote {file}")
