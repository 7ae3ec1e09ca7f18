"""A farm log as the visit report reads it: the log's own reader, with its registers as frames for what is summed up."""

from __future__ import annotations

import copy
from collections.abc import Mapping
from functools import cached_property
from pathlib import Path
from typing import Any

import pandas

from pailbook.nearest import there_are
from pailbook.outcomes import BadInput
from pailbook.terms import international
from pailbook.workbook.farm_log import systems
from pailbook.workbook.log import schema, season
from pailbook.workbook.log.cells import Cells
from pailbook.workbook.log.season import Row, System, text
from pailbook.workbook.package import WorkbookError
from pailbook.workbook.privacy.words import folded as same
from pailbook.workbook.readings import dates

EPOCH = pandas.Timestamp(dates.EPOCH)  # from which sheets count days


class ReportError(BadInput):
    """A report cannot be made; the message says of which file, and why."""


class Season(season.Season):
    """A farm log whose registers are frames by the name of their sheet; numbers are in the log's own units.

    Columns are the input columns by their keys, `row`, and `of`, the folded name of the system. Dates are days, texts
    are stripped, choices in international English; columns of numbers hold what was typed, texts too, which `number`
    turns into missing values.
    """

    def __getitem__(self, sheet: str) -> pandas.DataFrame:
        if sheet not in self._frames:
            self._frames[sheet] = self._frame(sheet)
        return self._frames[sheet]

    @cached_property
    def _frames(self) -> dict[str, pandas.DataFrame]:
        return {}

    def _frame(self, sheet: str) -> pandas.DataFrame:
        columns, rows = schema.table_of(sheet).inputs, self.rows(sheet)
        found: dict[str, Any] = {"row": [row.number for row in rows], "of": [row.of for row in rows]}
        for column in columns:
            values = [row[column.key] for row in rows]
            if column.kind == "date":
                found[column.key] = pandas.to_datetime(pandas.Series(map(day, values), dtype=object))
            elif column.kind in ("text", "choice"):
                texts = map(text, values)
                found[column.key] = [international(one) for one in texts] if column.choices else list(texts)
            else:
                found[column.key] = pandas.Series(values, dtype=object)
        frame: pandas.DataFrame = pandas.DataFrame(found)
        return frame

    def of_rows(self, rows: Mapping[str, list[Row]], farm: str) -> Season:
        """The same log with other rows, by the name of their sheet, and another name of the farm."""
        other = copy.copy(self)
        for derived in ("systems", "_frames"):
            other.__dict__.pop(derived, None)
        other._rows, other.farm = dict(rows), farm
        return other


def read_season(path: Path) -> Season:
    """A farm log's file.

    Raises
    ------
    BadInput
        When it cannot be read, is not a farm log, or a setting that readings depend on is wrong.
    """
    try:
        found = Season(Cells(path))
    except WorkbookError as reason:
        raise ReportError(str(reason)) from None
    found.need(*(table.sheet for table in schema.TABLES))
    _ = found.limits  # LogError where there are none
    return found


def day(value: Any) -> Any:
    """The day of a date's cell, at midnight; NaT for anything else, a text among them, as in the log."""
    found = dates.day_of_cell(value)
    return pandas.NaT if found is None else EPOCH + pandas.Timedelta(days=int(found))


def serial(when: Any) -> float:
    """A day as sheets count them."""
    return float((pandas.Timestamp(when) - EPOCH).days)


def number(column: pandas.Series) -> pandas.Series:
    """The column's numbers; missing where a cell holds a text or nothing."""
    return pandas.to_numeric(column.map(lambda value: value if isinstance(value, float) else None)).astype(float)


def is_client(system: Row, client: str) -> bool:
    """Whether a row of Systems is this client's, however the name's case, blanks and quotes are typed."""
    return same(text(system["client"])) == same(client)


def clients(season: Season) -> list[str]:
    """The names of the clients in the log, in alphabetical order."""
    names = {same(name): name for row in reversed(season.rows(systems.SHEET)) if (name := text(row["client"]))}
    return sorted(names.values(), key=str.casefold)


def systems_of(season: Season, client: str) -> list[System]:
    """The client's systems.

    Raises
    ------
    ReportError
        When there is no such client (the message names those that there are), or another has a system of that name.
    """
    found = [system for system in season.systems.values() if is_client(system.row, client)]
    if not same(client) or not found:
        names = clients(season)
        raise ReportError(f"{season.cells.path} has no client {client!r}; " + (
            there_are(client, names) if names else "fill in the column Client on the sheet Systems"))
    mine = {system.row.of for system in found}
    for row in season.rows(systems.SHEET):
        if row.of in mine and not is_client(row, client):
            raise ReportError(f"{season.cells.path}: the sheet {systems.SHEET} gives the system {text(row['system'])!r}"
                              f" to {client!r} and to somebody else too, so it is not clear whose its rows are; give "
                              "each system a name of its own")
    return found
