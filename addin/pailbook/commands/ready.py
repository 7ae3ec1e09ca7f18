"""`pailbook ready`."""

from __future__ import annotations

from typing import Annotated

import typer

from pailbook.commands.app import FOUND_SOMETHING, app


@app.command()
def ready(
    what: Annotated[
        list[str] | None, typer.Argument(help="What has to work here: python, calc, excel. Left out: look at all.")
    ] = None,
) -> None:
    """Say what works on this computer and what to do about the rest.

    The exit code is 1 when something does not work that is installed or was asked for by name.
    """
    from pailbook.readiness import CHECKS

    if unknown := [name for name in what or () if name not in CHECKS]:
        raise typer.BadParameter(f"{unknown[0]} is not one of {', '.join(CHECKS)}")
    asked = what or list(CHECKS)
    findings = [finding for name in asked for finding in CHECKS[name](bool(what))]
    for finding in findings:
        step = f"; next: {finding.next_step}" if finding.next_step else ""
        typer.echo(f"{'ok ' if finding.fine else 'NOT'}  {finding.what}: {finding.state}{step}")
    if not all(finding.fine for finding in findings):
        raise typer.Exit(FOUND_SOMETHING)
