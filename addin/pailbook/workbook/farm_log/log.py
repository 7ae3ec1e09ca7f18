"""The farm log in the making: the workbook and the tables that its sheets refer to."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from pailbook.workbook.builder import Book
from pailbook.workbook.columns import Table
from pailbook.workbook.names import PREFIXES
from pailbook.workbook.texts import blank_or as blank_or
from pailbook.workbook.texts import first_that_holds as first_that_holds

AS_OF, ELEVATION = (f"{PREFIXES['Farm log']}{key}" for key in ("as_of", "elevation"))


@dataclass(frozen=True)
class Log:
    """The workbook and its tables. A table's place is known before it is written."""

    book: Book
    tables: Mapping[str, Table]  # by the name of their sheet

    def __getitem__(self, sheet: str) -> Table:
        return self.tables[sheet]
