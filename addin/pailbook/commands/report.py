"""`pailbook report`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from pailbook.commands.app import Overwrite, app


@app.command()
def report(
    log: Annotated[Path, typer.Argument(help="The farm log; it is only read.")],
    client: Annotated[str, typer.Option(help="The client whose systems the report is of.")],
    since: Annotated[str, typer.Option(help="First day of the report, such as 2026-03-31; often the last visit.")],
    output: Annotated[Path, typer.Option("-o", "--output", help="The .xlsx file that is written.")],
    next_visit: Annotated[
        str | None, typer.Option("--next", help="Day of the next visit; else 30 days on.", show_default=False)
    ] = None,
    pdf: Annotated[bool, typer.Option("--pdf", help="A PDF beside it, printed by LibreOffice.")] = False,
    overwrite: Overwrite = False,
) -> None:
    """Make a client's visit report from a farm log: what was found, what was done, what is due; nobody else's rows."""
    from pailbook.visit_report.make import make_report

    made = make_report(log, client, since, output, next_visit=next_visit, pdf=pdf, overwrite=overwrite)
    for found in made.content.found:
        typer.echo(f"{found.name}: {found.verdict}. {found.step}")
    for note in made.notes:
        typer.echo(note)
    for file in made.files:
        typer.echo(f"wrote {file}")
