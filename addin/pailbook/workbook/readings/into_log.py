"""Readings into the free rows of a farm log's water tests, in the log's own units and bases."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path

import pandas

from pailbook.files import check_free
from pailbook.workbook.farm_log import water_tests
from pailbook.workbook.package import WorkbookError, set_cells
from pailbook.workbook.readings.answers import ReadingsError
from pailbook.workbook.readings.fields import MEASURED
from pailbook.workbook.readings.log_rows import Entry, FarmLog, folded, read_log
from pailbook.workbook.readings.read import read_readings
from pailbook.workbook.readings.report import ImportReport
from pailbook.workbook.readings.units import in_basis, to_basis

_DIGITS = 7  # significant digits that a cell gets: more than any meter has, and no noise from conversions
_SAME = 1e-6  # relative difference below which two readings are one


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
        If the record, the log or an option cannot be used, or the log has too few free rows. Nothing is written.
    """
    log_path, out_path = Path(log_path), Path(out_path)
    check_free(out_path, overwrite=overwrite, error=ReadingsError)
    log = read_log(log_path)
    readings = read_readings(csv_path, mapping=mapping, day_first=day_first, timezone=timezone, system=system,
                             units=units, decimal=decimal)
    report = ImportReport(readings.account, log_path, out_path)
    entries = _new_entries(readings.frame, log, report)
    if len(entries) > len(log.free):
        raise ReadingsError(f'{log_path} has {len(log.free)} free rows out of {log.prepared} on the sheet '
                            f'"{water_tests.SHEET}", but there are {len(entries)} tests to enter; nothing was '
                            "written")
    cells = {f"{log.table.letter(key)}{row}": value for row, entry in zip(log.free, entries)
             for key, value in entry.items() if value not in (None, "")}
    try:
        set_cells(log.book, out_path, {water_tests.SHEET: cells}, overwrite=overwrite)
    except WorkbookError as reason:
        raise ReadingsError(str(reason)) from None
    report.entered = len(entries)
    report.rows = log.free[: len(entries)]
    report.log_units = _units_in_words(log)
    return report


def _new_entries(frame: pandas.DataFrame, log: FarmLog, report: ImportReport) -> list[Entry]:
    """The readings as the log's cells, without those that it has already, which are listed in the report."""
    entries = []
    for reading in frame.to_dict("records"):
        name = str(reading["system"])
        if folded(name) not in log.systems:
            report.not_registered[name] += 1
        entry: Entry = {
            "date": reading["date"].date(), "time": reading["time"], "system": log.systems.get(folded(name), name),
            "tester": reading["tester"], "note": reading["note"],
        }
        for key, field in MEASURED.items():
            value = reading[key]
            if value == value:
                value = to_basis(field, value, field.basis, log.bases.get(key, field.basis))
                entry[key] = float(f"{field.quantity.from_metric(value, log.units):.{_DIGITS}g}")
        there = log.filled.get(log.moment(entry), [])
        if any(_same(entry, other) for other in there):
            report.already_there.append(int(reading["row"]))
            continue
        if there:
            report.beside_others.append(f'row {reading["row"]}: {entry["system"]}, {entry["date"]}'
                                        f'{" " + str(entry["time"]) if entry["time"] else ""}')
        entries.append(entry)
    return entries


def _same(entry: Entry, other: Entry) -> bool:
    """Whether the log's row has all the values of the entry; it may have others, typed later."""
    return all(
        isinstance(other.get(key), (int, float)) and abs(value - other[key]) <= _SAME * abs(value)
        for key, value in entry.items() if key in MEASURED
    )


def _units_in_words(log: FarmLog) -> str:
    parts = []
    for key, field in MEASURED.items():
        basis = log.bases.get(key, "")
        unit = field.quantity.unit_in(log.units)
        if basis:
            unit = in_basis(basis)
        if unit:
            parts.append(f"{field.label} {unit}")
    return ", ".join(parts)
