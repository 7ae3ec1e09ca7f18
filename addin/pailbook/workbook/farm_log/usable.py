"""Formula text that finds what cannot be used: a text, an error or a value outside its limits never counts as a number.

A row's verdict names its first entry of that kind, such as "not known: Date is missing", and whatever is calculated
from the row stays blank or says so too.
"""

from __future__ import annotations

from collections.abc import Iterable

from pailbook import terms
from pailbook.quantities import Quantity
from pailbook.workbook.columns import Column, Table
from pailbook.workbook.texts import first_that_holds
from pailbook.workbook.validation import EARLIEST, LATEST

UNKNOWN = Column("unknown", "Entry that cannot be used", kind="result", width=9, hidden=True)
IS_NOT = {"number": "is not a possible number", "date": "is not a valid date", "time": "is not a time of day",
           "choice": "is not on the list", "text": "is an error"}


def not_known(what: str) -> str:
    """What is said of something that is not known."""
    return f"{terms.NOT_KNOWN}: {what}"


def said_of(cell: str) -> str:
    """Formula text for a verdict from the cell that names what cannot be used."""
    return f'"{not_known("")}"&{cell}'


# Formula text for a verdict that rests on a date that is not there.
NO_DATE_TODAY = '"' + not_known("today's date on the sheet Start") + '"'


def outside(quantity: Quantity, units: str, cell: str) -> str:
    """Whether a cell's number, which is one, lies outside the limits of its quantity."""
    low, high = quantity.limits(units)
    assert low is not None, quantity.label
    assert high is not None, quantity.label
    return (f"OR({cell}{'<=' if quantity.above else '<'}{_written(low)},"
            f"{cell}{'>=' if quantity.below else '>'}{_written(high)})")


def wrong(column: Column, units: str, cell: str) -> str:
    """Whether a cell is filled in with something that its column cannot hold."""
    if column.kind == "text":
        return f"ISERROR({cell})"
    if column.kind == "choice":
        known = column.choices_from or "{" + ",".join(f'"{choice}"' for choice in column.choices) + "}"
        return f"IF(ISBLANK({cell}),FALSE,ISERROR(MATCH({cell},{known},0)))"
    return f"IF(ISNUMBER({cell}),{beyond(column, units, cell)},NOT(ISBLANK({cell})))"


def beyond(column: Column, units: str, cell: str) -> str:
    """Whether a cell's number, which is one, is none that its column can hold."""
    if column.kind == "number":
        assert column.quantity is not None, column.key
        return outside(column.quantity, units, cell)
    low, high = (EARLIEST, LATEST + 1) if column.kind == "date" else (0, 1)
    return f"OR({cell}<{low},{cell}>={high})"


def wrong_number(quantity: Quantity, units: str, cell: str) -> str:
    """Whether a cell is filled in with something that is no number of that quantity."""
    return wrong(Column("", "", quantity), units, cell)


def wrong_entries(
    table: Table, row: int, units: str, keys: Iterable[str] = (), needed: Iterable[str] = (), said: str = not_known("")
) -> list[tuple[str, str]]:
    """For each entry of a row whether it cannot be used, and what is then said: rungs of `first_that_holds`.

    Parameters
    ----------
    keys : the columns that are looked at; all inputs but plain texts where none are given.
    needed : those of them that must be filled in.
    said : what stands before the words, such as "Date is missing".
    """
    columns = [table.column(key) for key in keys] or [column for column in table.inputs if column.kind != "text"]
    ladder = []
    for column in columns:
        cell, name = table.cell(column.key, row), column.heading.split("\n")[0]
        is_not = IS_NOT[column.kind]
        if column.choices_from:
            is_not = "is not on the sheet " + column.choices_from.split("!")[0].strip("'")
        ladder.append((wrong(column, units, cell), f'"{said}{name} {is_not}"'))
        if column.key in needed:
            ladder.append((f'{cell}=""', f'"{said}{name} is missing"'))
    return ladder


def first_wrong(table: Table, row: int, units: str, keys: Iterable[str] = (), needed: Iterable[str] = ()) -> str:
    """Formula text for the first entry of a row that cannot be used, in words such as "Date is missing"; else ""."""
    return first_that_holds(wrong_entries(table, row, units, keys, needed, said=""), '""')




def _written(number: float) -> str:
    return f"{number:.10g}"
