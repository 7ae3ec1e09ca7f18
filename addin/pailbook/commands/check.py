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
    everything: Annotated[bool, typer.Option("--all", help="Show all findings, not only ten of each kind.")] = False,
    as_json: Annotated[bool, typer.Option("--json", help="For scripts: print a list in JSON instead of text.")] = False,
) -> None:
    """Show what is wrong or doubtful in a workbook.

    The most serious findings come first, each with its sheet, its cell and what to do. The exit code is 1 if one of
    them says act, not known or watch.
    """
    from pailbook.terminal import progress, show_findings
    from pailbook.workbook.check.finding import CALM, SHOWN
    from pailbook.workbook.check.run import check as look_over

    with progress(f"checking {workbook.name}") as advance:
        found = look_over(workbook, most=None if everything else SHOWN, progress=advance)
    if as_json:
        typer.echo(json.dumps([asdict(finding) for finding in found], indent=2, ensure_ascii=False))
    else:
        show_findings(found)
    if any(finding.verdict not in CALM for finding in found):
        raise typer.Exit(FOUND_SOMETHING)
