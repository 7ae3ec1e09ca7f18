"""From the parts of a record to clean rows: each value judged, each row dated, repeated rows left out."""

from __future__ import annotations

import datetime

import pandas

from pailbook.workbook.readings.fields import MEASURED, Field
from pailbook.workbook.readings.moments import Moments
from pailbook.workbook.readings.noted import as_noted
from pailbook.workbook.readings.plausible import standstill, why_not
from pailbook.workbook.readings.records import Arrangement
from pailbook.workbook.readings.report import Account, NotEntered
from pailbook.workbook.readings.resolve import ByMeasure, Resolution, use_for
from pailbook.workbook.readings.units import known_units, to_kept
from pailbook.workbook.readings.values import Reading

COLUMNS = ("row", "date", "time", "system", *MEASURED, "tester", "note")
_DIGITS = 10  # significant digits kept, so that conversions leave no float noise
_NOTHING = "has no reading that can be entered in the log"


def clean_frame(
    arranged: Arrangement, values: ByMeasure, resolution: Resolution, moments: Moments, system: str, account: Account
) -> pandas.DataFrame:
    """The accepted readings by date and time; everything else is listed in the account with its reason."""
    rows = []
    for place, record in enumerate(arranged.records):
        date, where = moments.dates[place], record.places["system"] or system
        problem, written = moments.problems[place], record.places["date"]
        if date is None or not where:
            found = f'the date "{written}"' if problem and written else ""
            account.rows_not_entered.append(NotEntered(record.row, "", found, problem or "names no system"))
            continue
        row: dict[str, object] = {"row": record.row, "date": date, "time": moments.times[place], "system": where,
                                  "tester": record.places["tester"]}
        of_values = _measured(place, arranged, values, resolution, account, row)
        if not any(key in row for key in MEASURED):
            account.rows_not_entered.append(NotEntered(record.row, "", "", _NOTHING))
            continue
        if time_problem := moments.time_problems[place]:
            account.values_not_entered.append(
                NotEntered(record.row, arranged.columns["time"], f'"{record.places["time"]}"', time_problem))
        apart = [f"{role} {record.places[role]}" for role in arranged.telling if record.places[role]]
        row["note"] = "; ".join(dict.fromkeys(filter(None, [record.places["note"], *apart, *of_values])))
        rows.append(row)
    frame = pandas.DataFrame(rows, columns=list(COLUMNS)).astype(
        {"row": "int64", **dict.fromkeys(MEASURED, "float64"),
         **dict.fromkeys(("time", "system", "tester", "note"), "object")})
    frame["date"] = pandas.to_datetime(frame["date"])
    clock = _clock(frame)
    frame = frame.iloc[sorted(range(len(frame)), key=clock.__getitem__)].reset_index(drop=True)
    return _without_duplicates(_without_standstill(frame, account), account)


def _measured(
    place: int, arranged: Arrangement, values: ByMeasure, resolution: Resolution, account: Account,
    row: dict[str, object],
) -> list[str]:
    """Enters a record's values in the row; gives what the log's note has to say about them."""
    notes = []
    for position, found in arranged.records[place].found.items():
        use, reading = resolution.uses.get(position), values.get(position, {}).get(place)
        if use is None or reading is None:
            continue
        field, name, exact = use.field, arranged.measures[position].name, use_for(use, reading)
        reason, noted = reading.problem, reading.noteworthy
        if exact is None:
            units = known_units(field)
            expected = f"one of: {units}" if units else "the number alone"
            reason = reason or f"has no known unit of {field.name} after the number; expected {expected}"
        elif reading.number is not None:
            kept = float(f"{to_kept(field, reading.number, exact.unit, exact.basis):.{_DIGITS}g}")
            reason = why_not(field, kept, reading.number, exact.unit)
            noted = bool(reading.sign) and not reason
            if reading.sign in ("<", ">") and not reason and reading.sign not in field.bounds:
                beyond = "above" if reading.sign == ">" else "below"
                reason = f"means anything {beyond} {reading.number:g}, so it stands only in the note of the test"
            if not reason:
                row[field.key] = kept
        if noted:
            notes.append(as_noted(field.label, found.text))
        if reason:
            beside = f' (the record notes: "{found.note}")' if found.note else ""
            account.values_not_entered.append(NotEntered(found.row, name, f'"{found.text}"', reason + beside))
            continue
        if found.note:
            notes.append(f"{field.label}: {found.note}")
        if reading.sign in ("<", ">"):
            account.bounds.append(NotEntered(found.row, name, f'"{found.text}"', _at_the_end(field, reading)))
    return notes


def _at_the_end(field: Field, reading: Reading) -> str:
    """What a reading outside the range of its kit means where the end of the range was entered."""
    if reading.sign == ">":
        return "means that the true value may be higher; test again, diluted or with a kit of a wider range"
    if field.is_poison:
        return f"means that the true value may be lower, so {reading.number:g} is on the safe side"
    return "means that the true value may be lower; test again with a kit of a wider range"


def _clock(frame: pandas.DataFrame) -> list[datetime.datetime]:
    return [datetime.datetime.combine(date.date(), time or datetime.time())
            for date, time in zip(frame["date"], frame["time"])]


def _without_standstill(frame: pandas.DataFrame, account: Account) -> pandas.DataFrame:
    """The rows without the oxygen readings of a meter that stays at 0."""
    label = MEASURED["oxygen"].label
    name = " and ".join(use.column for use in account.columns if use.field == label)
    for _, group in frame.groupby("system"):
        read = group[group["oxygen"].notna()]
        for place in standstill(_clock(read), list(read["oxygen"])):
            account.values_not_entered.append(NotEntered(
                int(read["row"].iloc[place]), name, '"0"', "is repeated for an hour or more, so the meter was probably "
                "not measuring; if the water really had no oxygen, act at once and enter the reading by hand"))
            frame.loc[read.index[place], "oxygen"] = float("nan")
    bare = frame[list(MEASURED)].isna().all(axis=1)
    account.rows_not_entered += [NotEntered(int(row), "", "", _NOTHING) for row in frame.loc[bare, "row"]]
    clean: pandas.DataFrame = frame[~bare].reset_index(drop=True)
    return clean


def _without_duplicates(frame: pandas.DataFrame, account: Account) -> pandas.DataFrame:
    """The rows without those that repeat an earlier one; rows of one moment that differ stay, and are listed."""
    seen: dict[tuple[object, ...], int] = {}
    moments: dict[tuple[object, ...], list[int]] = {}
    keep = []
    for entry in frame.to_dict("records"):
        moment = (str(entry["system"]).casefold(), entry["date"], entry["time"])
        content = tuple(None if entry[key] != entry[key] else entry[key] for key in (*MEASURED, "tester", "note"))
        row = int(entry["row"])
        first = seen.setdefault((*moment, *content), row)
        keep.append(first == row)
        if first == row:
            moments.setdefault(moment, []).append(row)
        else:
            account.duplicates.append((row, first))
    account.conflicts += ["rows " + ", ".join(map(str, rows)) for rows in moments.values() if len(rows) > 1]
    once: pandas.DataFrame = frame[pandas.Series(keep, dtype=bool)].reset_index(drop=True)
    return once
