"""From the parts of a record to clean rows: each value judged, each row dated, repetitions told apart."""

from __future__ import annotations

import datetime

import pandas

from pailbook.workbook.readings.fields import MEASURED
from pailbook.workbook.readings.moments import Moments
from pailbook.workbook.readings.plausible import standstill, why_not
from pailbook.workbook.readings.records import Arrangement
from pailbook.workbook.readings.report import Account, SetAside
from pailbook.workbook.readings.resolve import ByMeasure, Resolution, told_apart
from pailbook.workbook.readings.units import known_units, to_kept

COLUMNS = ("row", "date", "time", "system", *MEASURED, "tester", "note")
_DIGITS = 10  # significant digits kept, so that conversions leave no float noise
_NOTHING = "has no reading that a log could hold"


def clean_frame(
    arranged: Arrangement, values: ByMeasure, resolution: Resolution, moments: Moments, system: str, account: Account
) -> pandas.DataFrame:
    """The accepted readings by date and time; all else goes into the account with its reason."""
    rows = []
    for place, record in enumerate(arranged.records):
        date, where = moments.dates[place], record.places["system"] or system
        problem, written = moments.problems[place], record.places["date"]
        if date is None or not where:
            found = f'the date "{written}"' if problem and written else ""
            account.rows_set_aside.append(SetAside(record.row, "", found, problem or "names no system"))
            continue
        row: dict[str, object] = {"row": record.row, "date": date, "time": moments.times[place], "system": where,
                                  "tester": record.places["tester"]}
        told = _measured(place, arranged, values, resolution, account, row)
        if not any(key in row for key in MEASURED):
            account.rows_set_aside.append(SetAside(record.row, "", "", _NOTHING))
            continue
        if time_problem := moments.time_problems[place]:
            account.values_set_aside.append(
                SetAside(record.row, arranged.columns["time"], f'"{record.places["time"]}"', time_problem))
        apart = [f"{role} {record.places[role]}" for role in arranged.telling if record.places[role]]
        row["note"] = "; ".join(dict.fromkeys(filter(None, [record.places["note"], *apart, *told])))
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
    """Puts a record's values into the row; gives what the log's note has to say of them."""
    notes = []
    for position, found in arranged.records[place].found.items():
        use, reading = resolution.uses.get(position), values.get(position, {}).get(place)
        if use is None or reading is None:
            continue
        field, name, exact = use.field, arranged.measures[position].name, told_apart(use, reading)
        reason, telling = reading.problem, reading.told
        if exact is None:
            expected = known_units(field) or "the number alone"
            reason = reason or f"has what is no unit of {field.label} behind the number; expected {expected}"
        elif reading.number is not None:
            kept = float(f"{to_kept(field, reading.number, exact.unit, exact.basis):.{_DIGITS}g}")
            reason = why_not(field, kept, reading.number, exact.unit)
            telling = bool(reading.sign) and not reason
            if reading.sign in ("<", ">") and not reason and reading.sign not in field.bounds:
                reason = "is a bound, and no number to calculate with; the log's note tells it"
            if not reason:
                row[field.key] = kept
        if telling:
            notes.append(f"{field.label} {found.text} as read")
        if reason:
            beside = f' (noted there: "{found.note}")' if found.note else ""
            account.values_set_aside.append(SetAside(found.row, name, f'"{found.text}"', reason + beside))
            continue
        if found.note:
            notes.append(f"{field.label}: {found.note}")
        if reading.sign in ("<", ">"):
            what = "less" if reading.sign == "<" else "more; test again, diluted or with a kit of a wider range"
            account.bounds.append(SetAside(found.row, name, f'"{found.text}"', f"the water holds {what}"))
    return notes


def _clock(frame: pandas.DataFrame) -> list[datetime.datetime]:
    return [datetime.datetime.combine(date.date(), time or datetime.time())
            for date, time in zip(frame["date"], frame["time"])]


def _without_standstill(frame: pandas.DataFrame, account: Account) -> pandas.DataFrame:
    """The rows without the oxygen readings of a meter that stands at 0."""
    label = MEASURED["oxygen"].label
    name = " and ".join(use.column for use in account.columns if use.field == label)
    for _, group in frame.groupby("system"):
        read = group[group["oxygen"].notna()]
        for place in standstill(_clock(read), list(read["oxygen"])):
            account.values_set_aside.append(SetAside(
                int(read["row"].iloc[place]), name, '"0"', "goes on reading after reading for an hour or more: the "
                "meter was not measuring. If the water truly held no oxygen, act at once, and enter it by hand"))
            frame.loc[read.index[place], "oxygen"] = float("nan")
    bare = frame[list(MEASURED)].isna().all(axis=1)
    account.rows_set_aside += [SetAside(int(row), "", "", _NOTHING) for row in frame.loc[bare, "row"]]
    clean: pandas.DataFrame = frame[~bare].reset_index(drop=True)
    return clean


def _without_duplicates(frame: pandas.DataFrame, account: Account) -> pandas.DataFrame:
    """The rows without those that say the same as an earlier one; differing ones of one moment stay, and are told."""
    said: dict[tuple[object, ...], int] = {}
    moments: dict[tuple[object, ...], list[int]] = {}
    keep = []
    for entry in frame.to_dict("records"):
        moment = (str(entry["system"]).casefold(), entry["date"], entry["time"])
        saying = tuple(None if entry[key] != entry[key] else entry[key] for key in (*MEASURED, "tester", "note"))
        row = int(entry["row"])
        first = said.setdefault((*moment, *saying), row)
        keep.append(first == row)
        if first == row:
            moments.setdefault(moment, []).append(row)
        else:
            account.duplicates.append((row, first))
    account.conflicts += ["rows " + ", ".join(map(str, rows)) for rows in moments.values() if len(rows) > 1]
    once: pandas.DataFrame = frame[pandas.Series(keep, dtype=bool)].reset_index(drop=True)
    return once
