"""What is typed in a register's row, as the row's rule asks for it, and the hidden cell that stands for all of it.

    @rule("Incident", asks=entered(COLUMNS, ("date", "closed"), needed=("date",)))
    def incident(date, closed): ...

The hidden cell `ENTRIES` holds 1 where the row's entries can be used, else "? " and what is wrong with the first that
cannot; nothing in a blank row.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Annotated, Any

from pailbook.quantity import Quantity
from pailbook.rules import ANY_TEXT, Entries, Rule, Sheet, Wrong, skips
from pailbook.rules.declaration import Blank
from pailbook.rules.expression import UNKNOWN
from pailbook.rules.row_entries import first_fault
from pailbook.workbook.builder import Book
from pailbook.workbook.columns import Column, Table
from pailbook.workbook.farm_log.questions import DATE, FLAG, TIME

ENTRIES = Column("entries", "Whether its entries can be used", kind="result", width=9, hidden=True)
# What is said of an entry that cannot be used, by the kind of its column.
IS_NOT = {"number": "is not a possible number", "date": "is not a valid date", "time": "is not a time of day",
          "choice": "is not on the list", "text": "is an error"}
_NOT_ON_SYSTEMS = "is not on the sheet Systems"
_needed = Blank(UNKNOWN)


def entered(columns: Iterable[Column], keys: Iterable[str], needed: Iterable[str] = ()) -> dict[str, Any]:
    """The hints of what a rule asks of a row's typed cells, by the keys of their columns.

    Parameters
    ----------
    columns : those of the register.
    keys : the columns that are asked, in the order in which they are looked at.
    needed : those of them that must be filled in; the others may be left blank.
    """
    of = {column.key: column for column in columns}
    return {key: _asked(of[key], _needed if key in needed else skips) for key in keys}


def _asked(column: Column, blank: Blank) -> Any:
    label = column.heading.split("\n")[0]
    if column.kind == "text":
        return Annotated[str, ANY_TEXT, label, blank]
    if column.key == "system":  # a reader gives its place on the list; a sheet looks for its name there
        return Annotated[float, FLAG, label, Wrong(_NOT_ON_SYSTEMS), blank]
    if column.kind == "choice":
        return Annotated[str, Quantity(column.key, choices=column.choices), label, Wrong(IS_NOT["choice"]), blank]
    quantity = {"date": DATE, "time": TIME}.get(column.kind, column.quantity)
    return Annotated[float, quantity, label, Wrong(IS_NOT[column.kind]), blank]


def _typed(table: Table, rule: Rule) -> list[Any]:
    """The questions of a rule that a row's typed cells answer."""
    inputs = {column.key for column in table.inputs}
    return [one for one in rule.questions if one.name in inputs]


def state_of_entries(book: Book, table: Table, rule: Rule, row: int, first: str, last: str) -> str:
    """Formula text of the cell `ENTRIES`; a row is blank where nothing stands from the first to the last column."""
    asked = _typed(table, rule)
    where = {one.name: table.cell(one.name, row) for one in asked}
    lists = {one.name: table.column(one.name).choices_from for one in asked if table.column(one.name).choices_from}
    return f'IF(COUNTA({table.span(first, last, row)})=0,"",{first_fault(asked, where, book.units, lists)})'


def asking(
    book: Book, table: Table, rule: Rule, row: int, where: Mapping[str, str] | None = None,
    trusted: frozenset[str] = frozenset(),
) -> Sheet:
    """The formulas of a rule in a row; `where` are the cells of what is not typed there, `trusted` as for `Sheet`."""
    asked = _typed(table, rule)
    cells = {one.name: table.cell(one.name, row) for one in asked} | dict(where or {})
    entries = Entries(table.cell(ENTRIES.key, row), frozenset(one.name for one in asked))
    return Sheet(cells, book.units, calls=not book.plain, entries=entries, trusted=trusted)


def verdict(
    book: Book, table: Table, rule: Rule, row: int, where: Mapping[str, str] | None = None,
    trusted: frozenset[str] = frozenset(),
) -> str:
    """Formula text for what the rule says of a row; blank in a blank row, and where the rule is not asked."""
    said = asking(book, table, rule, row, where, trusted).text(rule, unasked="")
    return f'IF({table.cell(ENTRIES.key, row)}="","",{said})'
