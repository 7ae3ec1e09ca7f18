"""`pailbook ready`."""

from __future__ import annotations

from typing import Annotated

import typer

from pailbook.commands import completion
from pailbook.commands.app import FOUND_SOMETHING, command
from pailbook.commands.help import BEGIN, CHOICES
from pailbook.hosts.look import STATES
from pailbook.nearest import there_are
from pailbook.outcomes import BadInput
from pailbook.terms import ACT

_WIDTH = max(map(len, STATES))
_STATES = "\n".join([
    "Each line begins with a verdict:", *(f"{word:{_WIDTH}}  {text}" for word, text in STATES.items())])


@command(BEGIN, "pailbook ready", "pailbook ready calc", notes=_STATES)
def ready(
    parts: Annotated[list[str] | None, typer.Argument(
        metavar="PART", autocompletion=completion.parts,
        help=f"What has to work: {CHOICES}. Default: all of them.")] = None,
) -> None:
    """Show what works on this computer, and what to do about the rest.

    The exit code is 1 when a line says act.
    """
    from pailbook.readiness import CHECKS, looks
    from pailbook.terminal import progress

    if unknown := [name for name in parts or () if name not in CHECKS]:
        raise BadInput(f"there is no part {unknown[0]!r} to check; {there_are(unknown[0], CHECKS)}")
    with progress("checking this computer"):
        findings = [finding for name in parts or CHECKS for finding in looks(name, bool(parts))]
    for finding in findings:
        typer.echo(f"{finding.state:{_WIDTH}}  {finding.what}: {finding.found}")
        if finding.remedy:
            typer.echo(f"{'':{_WIDTH}}  next: {finding.remedy}")
    if any(finding.state == ACT for finding in findings):
        raise typer.Exit(FOUND_SOMETHING)
