"""`pailbook check`."""

from __future__ import annotations

import json
from dataclasses import asdict
from pathlib import Path
from typing import Annotated

import typer

from pailbook.commands.app import FOUND_SOMETHING, app


@app.command()
def check(
    file: Annotated[Path, typer.Argument(help="A workbook, ours or any other; it is only read.")],
    as_json: Annotated[bool, typer.Option("--json", help="A list for scripts, in place of text.")] = False,
    everything: Annotated[bool, typer.Option("--all", help="All findings, not only the first ten of a kind.")] = False,
) -> None:
    """Say what is wrong or doubtful in a workbook, by sheet and cell, most serious first, with the remedy.

    Ends with 1 when something says act or watch, with 0 when nothing does.
    """
    from pailbook.terminal import progress, show_findings
    from pailbook.workbook.check.finding import NOTE, TOLD
    from pailbook.workbook.check.run import check as look_over

    with progress(f"checking {file.name}") as advance:
        found = look_over(file, most=None if everything else TOLD, progress=advance)
    if as_json:
        typer.echo(json.dumps([asdict(finding) for finding in found], indent=2, ensure_ascii=False))
    else:
        show_findings(found)
    if any(finding.seriousness != NOTE for finding in found):
        raise typer.Exit(FOUND_SOMETHING)
