"""The writing commands that write whole folders, take several processes, or have LibreOffice work for them."""

from __future__ import annotations

import pytest

from command_line import READ_WORKBOOK, WRITE, new_name

# {new} is the folder or file that is written, as in `command_line.WRITE`.
FOLDERS: dict[str, list[str]] = {
    "install excel": ["install", "excel", "--build", "{new}"],
    "demo": ["demo", "{new}"],
}
BY_OFFICE: dict[str, list[str]] = {
    "recalc in LibreOffice": [*WRITE["recalc"], "--engine", "calc"],
    "share with a PDF": [*WRITE["share"], "--pdf"],
    "report with a PDF": [*WRITE["report"], "--pdf"],
}
READ_BY_OFFICE: dict[str, list[str]] = {
    "recalc in LibreOffice": [*READ_WORKBOOK["recalc"], "--engine", "calc"],
    "share with a PDF": [*READ_WORKBOOK["share"], "--pdf"],
    "share for a client with a PDF": [*READ_WORKBOOK["share for a client"], "--pdf"],
    "report with a PDF": [*READ_WORKBOOK["report"], "--pdf"],
}
BY_PROCESSES: dict[str, list[str]] = {"daily by two processes": [*WRITE["daily"], "--workers", "2"]}
ALL_THAT_WRITE = {**WRITE, **FOLDERS, **BY_PROCESSES, **BY_OFFICE}
each_that_writes = pytest.mark.parametrize("command", [
    pytest.param(command, marks=pytest.mark.libreoffice if command in BY_OFFICE else ()) for command in ALL_THAT_WRITE
])


def name_for(command: str) -> str:
    """A name for the file or folder that the command writes."""
    return new_name("daily" if command in BY_PROCESSES else command)
