"""A record file, wide or long, read as clean rows; whatever it leaves open is asked all at once."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

import pandas

from pailbook.workbook.readings.answers import (
    NeedsAnswer,
    Question,
    decimal_sign,
    mapping_texts,
    open_columns,
)
from pailbook.workbook.readings.arrange import arrange
from pailbook.workbook.readings.columns import UNUSED, recognise
from pailbook.workbook.readings.dates import read_stamp
from pailbook.workbook.readings.frame import clean_frame
from pailbook.workbook.readings.moments import settle
from pailbook.workbook.readings.records import Arrangement
from pailbook.workbook.readings.report import Account, ColumnUse, NotEntered
from pailbook.workbook.readings.resolve import ByMeasure, Resolution, resolve
from pailbook.workbook.readings.table import Table, read_table, too_long
from pailbook.workbook.readings.values import COMMA, POINT, decimal_signs, read_value


@dataclass(frozen=True)
class Readings:
    """Clean readings, and the account of how they came about.

    `frame` has the columns row (of the file), date (datetime64), time (datetime.time or None), system, the measured
    fields (float, NaN where there is none), tester and note, sorted by date and time. Units are °C, mg/L, µS/cm;
    bases are TAN as N, nitrite as NO2, nitrate as NO3, phosphate as PO4, alkalinity and hardness as CaCO3.
    """

    frame: pandas.DataFrame
    account: Account


def read_readings(
    csv_path: str | Path, *, mapping: Iterable[str] | Mapping[str, str] | None = None, day_first: bool | None = None,
    timezone: str | None = None, system: str | None = None, units: Mapping[str, str] | None = None,
    decimal: str | None = None,
) -> Readings:
    """The readings of a record file.

    Parameters
    ----------
    csv_path : delimited text (comma, semicolon, tab or bar) or an .xlsx workbook, with one row per test or one row per
        value.
    mapping : texts "HEADING=FIELD" or "HEADING=FIELD:UNIT", see `answers`, or a dictionary of the same.
    day_first : True for day/month/year, False for month/day/year, None if the record settles it.
    timezone : the site's zone; times in other zones are converted into it.
    system : the system of rows that name none.
    units : unit or basis by field, such as {"temperature": "F"}; it overrides the headings.
    decimal : "point" or "comma", if the record does not settle it.

    Raises
    ------
    NeedsAnswer
        With all questions that the record leaves open.
    ReadingsError
        If the file or an option cannot be used.
    """
    path = Path(csv_path)
    decimal = None if decimal is None else decimal_sign(decimal)
    mapped = mapping_texts(mapping)
    names = {one.heading.casefold() for one in mapped}
    table = read_table(path, lambda text: bool(text) and (
        text.casefold() in names or recognise(text).role != UNUSED))
    arranged = arrange(table, mapped)
    questions = [*arranged.questions, *open_columns(
        path, table.headings, measured=bool(arranged.measures), dated="date" in arranged.columns,
        placed=bool(system) or "system" in arranged.columns)]
    values = _values(arranged, decimal or _decimal(table, arranged, questions))
    resolution = resolve(arranged.measures, arranged.records, values, units or {})
    records, has_time = arranged.records, "time" in arranged.columns
    moments = settle(
        [read_stamp(record.places["date"], record.places["time"] if has_time else None) for record in records],
        [record.places["date"] for record in records], [record.row for record in records],
        [record.places["zone"] or arranged.zone for record in records], day_first=day_first, timezone=timezone,
    )
    questions += resolution.questions + moments.questions
    if questions:
        raise NeedsAnswer(str(path), questions)
    account = _account(path, table, arranged, resolution)
    account.remarks = table.remarks + arranged.remarks + moments.remarks + resolution.remarks
    if system and "system" in arranged.columns:
        unnamed = sum(not record.places["system"] for record in records)
        account.remarks.append(
            f"every reading names its system, so {system} is not used" if not unnamed else
            f"1 reading names no system and is entered for {system}" if unnamed == 1 else
            f"{unnamed} readings name no system and are entered for {system}")
    return Readings(clean_frame(arranged, values, resolution, moments, system or "", account), account)


def _decimal(table: Table, arranged: Arrangement, questions: list[Question]) -> str:
    """The decimal sign that the record proves; asked only if some number depends on it."""
    texts = [found.text for record in arranged.records for found in record.found.values()]
    proven, ambiguous = decimal_signs(texts)
    if len(proven) == 1:
        return proven.pop()
    with_comma = [text for text in ambiguous if COMMA in text]
    if not ambiguous or (not proven and not with_comma):
        return POINT
    if not proven and table.delimiter == ";" and len(with_comma) == len(ambiguous):
        return COMMA  # cells are separated by semicolons because the comma is the decimal sign
    text = (with_comma or ambiguous)[0]
    by_point, by_comma = (f"{read_value(text, sign).number:g}" for sign in (POINT, COMMA))
    why = "the record uses both decimal points and decimal commas" if proven else "no other number settles it"
    questions.append(Question("decimal sign", f'"{text}" can be {by_point} or {by_comma}, and {why}', (
        ("--decimal point", by_point), ("--decimal comma", by_comma))))
    return POINT


def _values(arranged: Arrangement, decimal: str) -> ByMeasure:
    values: ByMeasure = {}
    for place, record in enumerate(arranged.records):
        for position, found in record.found.items():
            reading = read_value(found.text, decimal)
            if not reading.blank:
                values.setdefault(position, {})[place] = reading
    return values


def _account(path: Path, table: Table, arranged: Arrangement, resolution: Resolution) -> Account:
    account = Account(path, len(arranged.rows) + len(arranged.repeated) + len(table.overlong), len(arranged.records),
                      arranged.long)
    account.columns = [ColumnUse(column, role, "", "") for role, column in arranged.columns.items()]
    account.columns += [
        ColumnUse(arranged.measures[i].name, use.field.label, use.unit_text, use.known_by)
        for i, use in sorted(resolution.uses.items())
    ]
    account.columns_not_used = arranged.unused + resolution.unused
    account.duplicates = list(arranged.repeated)
    account.rows_not_entered = [
        NotEntered(number, "", "", too_long(len(cells), len(table.headings), table.delimiter))
        for number, cells in table.overlong
    ]
    return account
