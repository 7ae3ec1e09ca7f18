"""Readings into the free rows of a farm log's water tests, in the log's own units and bases."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

import pandas

from pailbook.files import check_free
from pailbook.hosts.cells import as_cell_value
from pailbook.workbook.log.locate import folded
from pailbook.workbook.log.season import Row
from pailbook.workbook.package import WorkbookError, set_cells
from pailbook.workbook.readings.answers import ReadingsError
from pailbook.workbook.readings.fields import MEASURED
from pailbook.workbook.readings.log_rows import FarmLog, moment, read_log
from pailbook.workbook.readings.read import read_readings
from pailbook.workbook.readings.report import ImportReport
from pailbook.workbook.readings.units import in_basis, to_basis

_DIGITS = 7  # significant digits that a cell gets: more than any meter has, and no noise from conversions
_SAME = 1e-6  # relative difference below which two readings are one
_Entry = dict[str, Any]  # a row's values, by the key of an input column


def import_readings(
    csv_path: str | Path, log_path: str | Path, out_path: str | Path, *,
    mapping: Iterable[str] | Mapping[str, str] | None = None, day_first: bool | None = None,
    timezone: str | None = None, system: str | None = None, units: Mapping[str, str] | None = None,
    decimal: str | None = None, overwrite: bool = False,
) -> ImportReport:
    """Enter the readings of a record file in a farm log, which is written under another name.

    Parameters
    ----------
    csv_path, mapping, day_first, timezone, system, units, decimal : see `read_readings`.
    log_path : the farm log; it does not change, unless it is the output too.
    out_path : the log with the readings.
    overwrite : whether an existing output may be replaced.

    Raises
    ------
    NeedsAnswer
        With all questions that the record leaves open.
    ReadingsError
        If the record, the log or an option cannot be used, or the log has too few free rows or lacks a column. Nothing
        is written.
    """
    log_path, out_path = Path(log_path), Path(out_path)
    check_free(out_path, overwrite=overwrite, error=ReadingsError)
    log = read_log(log_path)
    readings = read_readings(csv_path, mapping=mapping, day_first=day_first, timezone=timezone, system=system,
                             units=units, decimal=decimal)
    report = ImportReport(readings.account, log_path, out_path, sheet=log.tests.sheet, systems_sheet=log.systems_sheet)
    entries = _new_entries(readings.frame, log, report)
    if len(entries) > len(log.free):
        raise ReadingsError(f'{log_path} has {len(log.free)} free rows out of {log.prepared} on the sheet '
                            f'"{log.tests.sheet}", but there are {len(entries)} tests to enter; nothing was '
                            "written")
    _check_columns(entries, log)
    cells = {log.tests.cell(key, row): value for row, entry in zip(log.free, entries) for key, value in entry.items()}
    try:
        set_cells(log.season.cells.book, out_path, {log.tests.sheet: cells}, overwrite=overwrite)
    except WorkbookError as reason:
        raise ReadingsError(str(reason)) from None
    report.entered = len(entries)
    report.rows = log.free[: len(entries)]
    report.log_units = _units_in_words(log)
    return report


def _check_columns(entries: Iterable[_Entry], log: FarmLog) -> None:
    """Make sure that there is a column for each value."""
    used = set().union(*entries)
    if missing := [f'"{column.heading}"' for column in log.tests.table.inputs
                   if column.key in used and column.key not in log.tests.letters]:
        raise ReadingsError(f'{log.season.cells.path}: the sheet "{log.tests.sheet}" has no column '
                            f"{' and no column '.join(missing)} in row {log.tests.heading_row}, but there are readings "
                            "for it; nothing was written")


def _new_entries(frame: pandas.DataFrame, log: FarmLog, report: ImportReport) -> list[_Entry]:
    """The readings as the log's cells, without those that it has already, which are listed in the report."""
    entries = []
    for reading in frame.to_dict("records"):
        name = str(reading["system"])
        known = log.systems.get(folded(name), name)
        if folded(name) not in log.systems:
            report.not_registered[name] += 1
        entry: _Entry = {
            "date": reading["date"].date(), "time": reading["time"], "system": known, "tester": reading["tester"],
            "note": reading["note"],
        }
        for key, field in MEASURED.items():
            value = reading[key]
            if value == value:
                value = to_basis(field, value, field.basis, log.bases.get(key, field.basis))
                entry[key] = float(f"{field.quantity.from_metric(value, log.season.units):.{_DIGITS}g}")
        entry = {key: value for key, value in entry.items() if value not in (None, "")}
        day, time = (as_cell_value(entry.get(key)) for key in ("date", "time"))
        there = log.filled.get(moment(known, day, time), [])
        if any(_same(entry, other) for other in there):
            report.already_there.append(int(reading["row"]))
            continue
        if there:
            report.beside_others.append(f'row {reading["row"]}: {known}, {entry["date"]}'
                                        f'{" " + str(entry["time"]) if "time" in entry else ""}')
        entries.append(entry)
    return entries


def _same(entry: _Entry, other: Row) -> bool:
    """Whether the log's row has all the values of the entry; it may have others, typed later."""
    return all(
        isinstance(other[key], float) and abs(value - other[key]) <= _SAME * abs(value)
        for key, value in entry.items() if key in MEASURED
    )


def _units_in_words(log: FarmLog) -> str:
    parts = []
    for key, field in MEASURED.items():
        basis = log.bases.get(key, "")
        unit = field.quantity.unit_in(log.season.units)
        if basis:
            unit = in_basis(basis)
        if unit:
            parts.append(f"{field.label} {unit}")
    return ", ".join(parts)
