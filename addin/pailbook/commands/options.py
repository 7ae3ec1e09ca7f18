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
    """BadInput if the file to write is one that must be kept, or its name is that of another kind of file."""
    with contextlib.suppress(OSError):  # names of no file are refused when they are read or written
        for path in kept:
            if output.samefile(path):
                raise BadInput(f"{output} is read here and would be overwritten; give another name after -o")
    if output.suffix.lower() in _KINDS.keys() - {kind}:
        raise BadInput(f"{output}: this command writes {_KINDS[kind]}; give a name that ends in {kind}")


_WORKBOOK, _LOG = "The workbook, an .xlsx file, made by Pailbook or not", "A farm log, an .xlsx file"
_UNCHANGED = "it is not changed"
_UNLESS = f"{_UNCHANGED}, unless you give the same name after -o, with --overwrite"
Workbook = Annotated[Path, typer.Argument(metavar="WORKBOOK", help=f"{_WORKBOOK}; {_UNCHANGED}.")]
Log = Annotated[Path, typer.Argument(metavar="LOG", help=f"{_LOG}; {_UNCHANGED}.")]
# Of commands whose output may be the file itself.
ReplaceableWorkbook = Annotated[Path, typer.Argument(metavar="WORKBOOK", help=f"{_WORKBOOK}; {_UNLESS}.")]
ReplaceableLog = Annotated[Path, typer.Argument(metavar="LOG", help=f"{_LOG}; {_UNLESS}.")]
Record = Annotated[Path, typer.Argument(metavar="RECORD", help="The readings, a .csv file with a row of headings.")]

Overwrite = Annotated[bool, typer.Option("--overwrite", help="Replace files that exist already.")]
Pdf = Annotated[bool, typer.Option("--pdf", help="Also print it as a PDF file beside it; this needs LibreOffice.")]
Units = Annotated[str, typer.Option(
    "--units", metavar="UNITS", autocompletion=completion.units,
    help=f"The units of all numbers in the workbook: {CHOICES}. You cannot change them later.")]
Map = Annotated[list[str] | None, typer.Option(
    "--map", metavar='"HEADING=FIELD"', autocompletion=completion.fields,
    help='What a column holds: its field, and its unit and basis if the heading does not say them, as in '
         '"Temp=temperature:F" or "Kit=phosphate:mg/L:PO4"; "Depth=-" skips the column. You can give this more than '
         f'once. Fields: {CHOICES}.')]
System = Annotated[str | None, typer.Option(
    "--system", metavar="NAME", autocompletion=completion.systems,
    help="The system of the rows that name none, as it is spelt on the sheet Systems of the log.")]
DayFirst = Annotated[bool | None, typer.Option(
    "--day-first/--month-first", help="Whether 03/04/2026 means 3 April or 4 March.")]
Timezone = Annotated[str | None, typer.Option(
    "--timezone", metavar="ZONE", autocompletion=completion.zones,
    help="The time zone of your site, if the times in the file have a zone: America/New_York, or +05:30.")]
Decimal = Annotated[str | None, typer.Option(
    "--decimal", metavar="SIGN", autocompletion=completion.decimal_signs,
    help=f"The decimal sign in the file: {CHOICES}.")]
