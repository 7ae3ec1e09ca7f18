"""A farm log's tables as pandas frames, found by their headings: sheets may be renamed, rows added and sorted."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from functools import cached_property
from pathlib import Path
from typing import Any

import pandas

from pailbook.hosts.areas import address_of, place_at, unquoted
from pailbook.hosts.cells import ErrorValue, FormulaCell
from pailbook.outcomes import BadInput
from pailbook.terms import international
from pailbook.workbook.columns import Column, Table
from pailbook.workbook.farm_log.entries import IS_NOT
from pailbook.workbook.log.locate import folded
from pailbook.workbook.names import key_of
from pailbook.workbook.package import Workbook, WorkbookError
from pailbook.workbook.readings import dates
from pailbook.workbook.readings.dates import day_of_cell
from pailbook.workbook.recalc import load_model
from pailbook.workbook.splice import Place

EPOCH = pandas.Timestamp(dates.EPOCH)  # from which sheets count days
_DEEPEST = 40  # rows in which a table's headings are looked for
_ENOUGH = 0.6  # share of the headings that must be there


class ReportError(BadInput):
    """A report cannot be made; the message says of which file, and why."""


class Sheets:
    """What the sheets of a workbook's file hold: values, and texts of headings that are formulas."""

    def __init__(self, path: Path) -> None:
        """Reads the file; ReportError where it cannot be read."""
        self.path = path
        try:
            self.book = Workbook(path)
            contents, stored = self.book.contents(), self.book.stored_values()
        except WorkbookError as reason:
            raise ReportError(str(reason)) from None
        self.values: dict[str, dict[Place, Any]] = {title: {} for title in contents}
        self.headings: dict[str, dict[int, dict[str, list[int]]]] = {title: {} for title in contents}
        for (title, address), value in stored.items():
            self.values.setdefault(title, {})[place_at(address)] = value
        self._formulas: set[tuple[str, Place]] = set()
        for title, cells in contents.items():
            rows = self.headings[title]
            for address, content in cells.items():
                row, column = place = place_at(address)
                if isinstance(content, FormulaCell):
                    self._formulas.add((title, place))
                if row <= _DEEPEST and (text := _heading(content, self.values[title].get(place))):
                    rows.setdefault(row, {}).setdefault(text, []).append(column)

    def named(self, name: str) -> Any:
        """The value of the cell that a defined name of the workbook stands for; None if there is no such name."""
        text = next((one.text for one in self.book.names if key_of(one.name) == name and one.sheet is None), "")
        sheet, _, address = text.rpartition("!")
        try:
            return self._value(unquoted(sheet), place_at(address.replace("$", "")))
        except ValueError:
            return None

    def frame(self, table: Table, units: str) -> pandas.DataFrame:
        """The rows of a table that are filled in: its input columns by their keys, dates as days, with their row.

        Columns of numbers hold what was typed, texts too; `number` turns those into missing values. The column "wrong"
        says of each entry that cannot be used what it is not, by the key of its column.
        """
        title, row, columns = self._find(table)
        typed = (place for sheet, place in self._formulas if sheet == title)
        last = max((place[0] for place in (*self.values[title], *typed)), default=row)
        records = []
        for number in range(row + 1, last + 1):
            value = self._value if number <= table.last_row else self._stored  # further down there may be other tables
            record = {key: _clean(value(title, (number, column))) for key, column in columns.items()}
            if any(value is not None for value in record.values()):
                wrong = {column.key: IS_NOT[column.kind] for column in table.inputs
                         if self._is_wrong(column, record.get(column.key), units)}
                blank = dict.fromkeys((column.key for column in table.inputs), None)
                records.append({**blank, **record, "row": number, "wrong": wrong})
        keys = [*(column.key for column in table.inputs), "row", "wrong"]
        frame: pandas.DataFrame = pandas.DataFrame(records, columns=keys, dtype=object)
        for column in table.inputs:
            if column.kind == "date":
                frame[column.key] = self._days(frame[column.key])
            elif column.kind in ("text", "choice"):
                frame[column.key] = frame[column.key].map(_text)
                if column.choices:  # which a US log spells its own way
                    frame[column.key] = frame[column.key].map(international)
        if "system" in frame:
            frame["of"] = frame["system"].map(folded)
        return frame

    def _is_wrong(self, column: Column, value: Any, units: str) -> bool:
        """Whether an entry is something that its column cannot hold, as the log finds it."""
        if value is None:
            return False
        if isinstance(value, ErrorValue):
            return True
        if column.kind == "choice":
            choices = [folded(choice) for choice in column.choices]
            return bool(choices) and folded(international(_text(value))) not in choices
        if column.kind == "date":
            return self.day(value) is None
        if column.kind == "time":
            return not (is_number(value) and 0 <= value < 1)
        if column.quantity is not None:
            kind = column.quantity
            return not is_number(value) or any(kind.outside(value, units)) or bool(kind.whole and value % 1)
        return False

    def _value(self, title: str, place: Place) -> Any:
        """What an input cell holds; if a formula was typed into it, its calculated value: the file's may be old."""
        if (title, place) in self._formulas:
            return self._computed.get((title, address_of(place)))
        return self._stored(title, place)

    def _stored(self, title: str, place: Place) -> Any:
        return self.values.get(title, {}).get(place)

    @cached_property
    def _computed(self) -> Mapping[tuple[str, str], Any]:
        return load_model(self.book).calculate().values

    def _find(self, table: Table) -> tuple[str, int, dict[str, int]]:
        """The sheet, heading row and columns of the table: the best match, and its own sheet where two are alike."""
        wanted: dict[str, list[str]] = {}
        for column in table.inputs:
            wanted.setdefault(_folded(column.heading), []).append(column.key)
        best: tuple[tuple[int, bool], str, int] = (0, False), "", 0
        for title, rows in self.headings.items():
            for row, found in rows.items():
                score = sum(heading in found for heading in wanted), title == table.sheet
                if score > best[0]:
                    best = score, title, row
        (matching, _), title, row = best
        if matching < _ENOUGH * len(wanted):
            names = ", ".join(f'"{column.heading}"' for column in table.inputs)
            raise ReportError(f'{self.path}: no sheet has the headings of the sheet "{table.sheet}" ({names}): either '
                              "this is not a farm log, or that sheet was deleted")
        found = self.headings[title][row]
        columns = {key: column for heading, keys in wanted.items() for key, column in zip(keys, found.get(heading, ()))}
        for column in table.inputs:
            if column.key in ("date", "system") and column.key not in columns:
                raise ReportError(f'{self.path}: the sheet "{title}" has no column "{column.heading}" in row {row}, '
                                  "so it is not clear what its rows belong to")
        return title, row, columns

    def _days(self, column: pandas.Series) -> pandas.Series:
        """Dates, at midnight; NaT for anything else."""
        return pandas.to_datetime(column.map(lambda value: self.day(value)), errors="coerce")

    def day(self, value: Any) -> date | None:
        """A cell's date; None for anything else, a text among them, as in the log."""
        number = day_of_cell(value, self.book.from_1904)
        return None if number is None else (EPOCH + pandas.Timedelta(days=int(number))).date()


def first_wrong(
    row: pandas.Series, columns: Iterable[Column], keys: Sequence[str] = (), needed: Sequence[str] = ()
) -> str:
    """The first entry of a frame's row that cannot be used, in the log's words; blank where there is none.

    keys : the columns that are looked at, all of them where none are given.
    needed : those that must be filled in.
    """
    for column in columns:
        if not column.is_input or (keys and column.key not in keys):
            continue
        name, value = column.heading.split("\n")[0], row[column.key]
        if column.key in row["wrong"]:
            return f"{name} {row['wrong'][column.key]}"
        if column.key in needed and (value is None or value == "" or value != value):
            return f"{name} is missing"
    return ""


def number(column: pandas.Series) -> pandas.Series:
    """The column's numbers; missing where a cell holds a text or nothing."""
    return pandas.to_numeric(column.map(lambda value: value if is_number(value) else None)).astype(float)


def is_text(column: pandas.Series) -> pandas.Series:
    """Where the column holds something other than a number."""
    return column.map(lambda value: value is not None and value == value and not is_number(value)).astype(bool)


def is_number(value: Any) -> bool:
    """Whether a cell's value is a number; TRUE and FALSE are none."""
    return isinstance(value, (int, float)) and not isinstance(value, bool) and value == value


def _heading(content: Any, stored: Any) -> str:
    """A heading without its unit; for a formula that was never calculated, the text that it begins with."""
    if isinstance(content, FormulaCell) and not isinstance(stored, str):
        found = re.match(r'"((?:[^"]|"")*)"', content.text.removeprefix("="))
        stored = found[1].replace('""', '"') if found else None
    return _folded(stored) if isinstance(stored, str) else ""


def _folded(text: str) -> str:
    return folded(international(text.split("\n")[0]))


def _clean(value: Any) -> Any:
    return None if isinstance(value, str) and not value.strip() else value


def _text(value: Any) -> str:
    """A text, in which a number counts as what is shown."""
    return "" if value is None or value != value else f"{value:.15g}" if is_number(value) else str(value).strip()
