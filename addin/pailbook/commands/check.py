"""`pailbook check`."""

from __future__ import annotations

import json
from dataclasses import asdict
from typing import Annotated

import typer

from pailbook.commands.app import FOUND_SOMETHING, command
from pailbook.commands.help import CHECK
from pailbook.commands.options import Workbook


@command(CHECK, "pailbook check log.xlsx", "pailbook check log.xlsx --all --json > findings.json")
def check(
    workbook: Workbook,
    everything: Annotated[bool, typer.Option("--all", help="All findings, not the first ten of a kind alone.")] = False,
    as_json: Annotated[bool, typer.Option("--json", help="For scripts: a list in JSON in place of text.")] = False,
) -> None:
    """Say what is wrong or doubtful in a workbook.

    The most serious comes first, each finding with its sheet, its cell and what to do. The exit code is 1 when one of
    them says act or watch.
    """
    from pailbook.terminal import progress, show_findings
    from pailbook.workbook.check.finding import NOTE, TOLD
    from pailbook.workbook.check.run import check as look_over

    with progress(f"checking {workbook.name}") as advance:
        found = look_over(workbook, most=None if everything else TOLD, progress=advance)
    if as_json:
        typer.echo(json.dumps([asdict(finding) for finding in found], indent=2, ensure_ascii=False))
    else:
        show_findings(found)
    if any(finding.seriousness != NOTE for finding in found):
        raise typer.Exit(FOUND_SOMETHING)
