"""The arguments and options that several commands share; each is described here and nowhere else."""

from __future__ import annotations

import contextlib
from pathlib import Path
from typing import Annotated, Any

import typer

from pailbook.commands import completion
from pailbook.commands.help import CHOICES
from pailbook.outcomes import BadInput

_KINDS = {".xlsx": "an .xlsx file", ".csv": "a .csv file"}


def output(text: str) -> Any:
    """The option for the file that a command writes."""
    return typer.Option("-o", "--output", metavar="FILE", help=text)


def check_output(output: Path, kind: str, *kept: Path) -> None:
    """BadInput where the file to write is one that is to be kept, or its name says that it is of another kind."""
    with contextlib.suppress(OSError):  # of names that are no file's, which are told when they are read or written
        for path in kept:
            if output.samefile(path):
                raise BadInput(f"{output} would be written over itself; give another name after -o")
    if output.suffix.lower() in _KINDS.keys() - {kind}:
        raise BadInput(f"{output}: what is written here is {_KINDS[kind]}; give a name that ends so")


Workbook = Annotated[Path, typer.Argument(
    metavar="WORKBOOK", help="An .xlsx file, a workbook of ours or any other; it is only read.")]
Log = Annotated[Path, typer.Argument(metavar="LOG", help="A farm log, an .xlsx file; it is only read.")]
Record = Annotated[Path, typer.Argument(metavar="RECORD", help="Readings with a row of headings, a .csv file.")]

Overwrite = Annotated[bool, typer.Option("--overwrite", help="Replace the file to write if it is there.")]
Pdf = Annotated[bool, typer.Option("--pdf", help="Print it to a PDF beside it too; needs LibreOffice.")]
Units = Annotated[str, typer.Option(
    "--units", metavar="UNITS", autocompletion=completion.units,
    help=f"The units for all numbers, for the life of the workbook: {CHOICES}.")]
Map = Annotated[list[str] | None, typer.Option(
    "--map", metavar='"HEADING=FIELD"', autocompletion=completion.fields,
    help='What a column is: a field, with its unit and basis where they are in doubt, as in "Temp=temperature:F" or '
         f'"Kit=phosphate:mg/L:PO4"; "Depth=-" leaves it out. May be given more than once. Fields: {CHOICES}.')]
System = Annotated[str | None, typer.Option(
    "--system", metavar="NAME", autocompletion=completion.systems,
    help="The system of rows that name none, as the log's sheet Systems has it.")]
DayFirst = Annotated[bool | None, typer.Option(
    "--day-first/--month-first", help="Whether 03/04/2026 is the 3rd of April or the 4th of March.")]
Timezone = Annotated[str | None, typer.Option(
    "--timezone", metavar="ZONE", autocompletion=completion.zones,
    help="The site's time zone, for times that carry a zone: America/New_York, or +05:30.")]
Decimal = Annotated[str | None, typer.Option(
    "--decimal", metavar="SIGN", autocompletion=completion.decimal_signs,
    help=f"The decimal sign in the record: {CHOICES}.")]
