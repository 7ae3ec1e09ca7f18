"""The farm log in the making: the workbook and the tables that its sheets refer to."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from pailbook.workbook.builder import Book
from pailbook.workbook.columns import Table
from pailbook.workbook.texts import blank_or as blank_or
from pailbook.workbook.texts import first_that_holds as first_that_holds

# As in use on the sheet Settings: the date is "" where none was typed, the elevation "not known" where it is no number.
AS_OF, ELEVATION = "Settings!$D$8", "Settings!$D$7"


@dataclass(frozen=True)
class Log:
    """The workbook and its tables. A table's place is known before it is written."""

    book: Book
    tables: Mapping[str, Table]  # by the name of their sheet

    def __getitem__(self, sheet: str) -> Table:
        return self.tables[sheet]
