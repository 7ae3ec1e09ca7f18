"""Sheets with a row for each system of the sheet Systems, in the same order."""

from __future__ import annotations

from collections.abc import Callable

from pailbook import terms
from pailbook.workbook.columns import Table
from pailbook.workbook.farm_log import systems
from pailbook.workbook.farm_log.log import Log, blank_or


def shown(log: Log, row: int, table: Table, key: str) -> str:
    """The system's own column, in the same order as on Systems."""
    source = log[systems.SHEET]
    cell = f"{source.sheet}!${source.letter(key)}${source.first_row + row - table.first_row}"
    return f'IF(ISERROR({cell}),"{terms.NOT_KNOWN}",{blank_or(cell)})'


def place(log: Log, system: str) -> str:
    """Formula text for a system's place on the list of systems; "" where its name is none."""
    return f'IFERROR(MATCH({system},{log[systems.SHEET].range("system")},0),"")'


def named(log: Log, table: Table) -> Callable[[int, str], str]:
    """Formula text that is blank in a row without a system: from the row and the text in it."""
    return lambda row, text: f'IF({table.cell("system", row)}="","",{text})'
