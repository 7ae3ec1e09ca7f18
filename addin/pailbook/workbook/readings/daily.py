"""A sensor's record, however long, reduced to one row for each day and system, which `pailbook import` reads.

The record is read in pieces, so that it never has to fit into memory; of each piece a few sums are kept, and these are
put together. Headings stay as they are, so that units and bases are asked where they always are: when it is imported.
Oxygen is the day's lowest reading, because fish have to live through it. pH is the day's highest, at which ammonia is
most toxic, and never a mean, because pH is a logarithm and water buffers it. All others are the mean of the day. The
note gives the lowest and highest reading of each.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pandas

from pailbook.files import check_free, replacing
from pailbook.workbook.readings.answers import ReadingsError, mapping_texts
from pailbook.workbook.readings.dates import read_stamp
from pailbook.workbook.readings.moments import site_zone
from pailbook.workbook.readings.sensor import HIGHEST, LOWEST, Layout, layout_of
from pailbook.workbook.readings.table import marked

ROWS_AT_ONCE = 500_000
_KEYS = ["day", "system", "what"]
# No water has a reading beyond these in any unit: it is a placeholder, or the probe is not measuring. Common practice,
# no source.
_SENSIBLE = {"temperature": (-5.0, 110.0), "ph": (0.0, 14.0), "oxygen": (0.0, 500.0)}
_ANY = (0.0, 1e6)

Pieces = Callable[[Layout], Iterable[pandas.DataFrame]]


@dataclass
class DailyReport:
    """What became of a record."""

    source: Path
    target: Path
    values: int = 0
    used: int = 0
    daily_rows: int = 0
    aside: dict[str, int] = field(default_factory=dict)  # by column: how many values are not readings
    unplaced: int = 0  # values of rows without a date or system

    def __str__(self) -> str:
        lines = [f"{self.source}: {self.values:,} values read, {self.used:,} used",
                 f"{self.target}: {self.daily_rows} rows, one for each day and system"]
        lines += [f"  {name}: {_values(count)} not used (not a number, or outside what water can have)"
                  for name, count in self.aside.items()]
        if self.unplaced:
            lines.append(f"  {_values(self.unplaced)} not used, in rows without a readable date or without a system")
        return "\n".join(lines)


def _values(count: int) -> str:
    return f"{count:,} value{'' if count == 1 else 's'}"


def daily(
    source: str | Path, target: str | Path, *, mapping: Iterable[str] | Mapping[str, str] | None = None,
    system: str | None = None, figures: Mapping[str, str] | None = None, day_first: bool | None = None,
    timezone: str | None = None, decimal: str = ".", overwrite: bool = False, pieces: Pieces | None = None,
    progress: Callable[[int], None] | None = None,
) -> DailyReport:
    """Reduce a sensor's record to one row for each day and system.

    Parameters
    ----------
    source : delimited text with one row per moment and one column per sensor, or with one row per value (timestamp,
        variable, value).
    target : the .csv file to write.
    mapping : texts "HEADING=FIELD", see `answers`.
    system : the system of rows that name none.
    figures : "mean", "lowest" or "highest" by field, such as {"oxygen": "mean"}; pH has no mean.
    day_first : True for day/month/year, False for month/day/year; needed if the first rows leave it open.
    timezone : the site's zone, such as "Europe/Madrid"; needed if the times carry zones.
    decimal : "point" or "comma", or the sign itself.
    overwrite : whether an existing file may be replaced.
    pieces : gives the partial sums of the record; if left out, `in_pieces`.
    progress : called with the number of values read so far.

    Raises
    ------
    ReadingsError
        If the file or an option cannot be used. Nothing is written then.
    """
    source, target = Path(source), Path(target)
    check_free(target, overwrite=overwrite, error=ReadingsError)
    layout = layout_of(source, mapping=mapping_texts(mapping), system=system, figures=figures, day_first=day_first,
                       timezone=timezone, decimal=decimal)
    sums: list[pandas.DataFrame] = []
    seen = 0
    for partial in (pieces or in_pieces)(layout):
        sums.append(partial)
        seen += int(partial["given"].sum())
        if len(sums) >= 20:
            sums = [combined(sums)]
        if progress:
            progress(seen)
    total = combined(sums) if sums else pandas.DataFrame()
    if total.empty or not total.loc[(total["day"] != "") & (total["system"] != ""), "count"].sum():
        raise ReadingsError(f"{source} has no reading with a readable date; nothing was written")
    return _written(layout, total, target, overwrite)


def in_pieces(layout: Layout) -> Iterator[pandas.DataFrame]:
    """The partial sums of the record, piece by piece."""
    days = Days(layout)
    for piece in layout.read(ROWS_AT_ONCE):
        yield partial_sums(piece, layout, days)


class Days:
    """The days of rows; each text of a date is read once."""

    def __init__(self, layout: Layout) -> None:
        self.layout = layout
        self._known: dict[str, str] = {}

    def of(self, texts: pandas.Series[Any]) -> pandas.Series[Any]:
        """The day of each text as YYYY-MM-DD, missing where there is none."""
        if self.layout.timezone:
            moments = pandas.to_datetime(texts, format="ISO8601", utc=True, errors="coerce")
            return moments.dt.tz_convert(site_zone(self.layout.timezone)).dt.strftime("%Y-%m-%d")
        # A clock behind the date makes nearly every text another one.
        days = texts.str.split(r"(?<=\d)[T ]+(?=\d{1,2}[:.h])", n=1, regex=True).str[0]
        for text in days.dropna().unique():
            if text not in self._known:
                found = read_stamp(str(text)).dates.get(self.layout.order)
                self._known[text] = found.isoformat() if found else ""
        return days.map(self._known).astype("string").replace("", None)


def partial_sums(piece: pandas.DataFrame, layout: Layout, days: Days) -> pandas.DataFrame:
    """Of rows of the record: by day, system and column, the values given, how many are readings, and their figures."""
    where = piece[layout.system_column].str.strip() if layout.system_column else None
    places = pandas.DataFrame({
        "day": days.of(piece[layout.date]).fillna(""),
        "system": layout.system if where is None else where.fillna(layout.system),
    })
    values: list[tuple[Any, pandas.Series[Any]]]
    if layout.variable:
        unit = (" (" + piece[layout.unit].str.strip() + ")").fillna("") if layout.unit else ""
        values = [(piece[layout.variable].str.strip() + unit, piece[layout.value])]
    else:
        values = [(heading, piece[heading]) for heading in layout.fields]
    parts = []
    for what, written in values:
        if layout.decimal != "." and not pandas.api.types.is_numeric_dtype(written):
            written = written.astype("string").str.replace(layout.decimal, ".", regex=False)
        number = _numbers(written)
        names = what if isinstance(what, str) else what.fillna("")
        table = places.assign(what=names, given=written.notna(), number=number)
        low, high = _limits(layout, names)
        table["number"] = number.where((number >= low) & (number <= high))
        grouped = table.groupby(_KEYS, sort=False, observed=True)
        figures = grouped["number"].agg(count="count", sum="sum", lowest="min", highest="max")
        parts.append(figures.assign(given=grouped["given"].sum()))
    sums: pandas.DataFrame = pandas.concat(parts).reset_index()
    return sums


def _numbers(written: pandas.Series[Any]) -> Any:
    try:
        return pandas.to_numeric(written, errors="coerce").astype(float)
    except OverflowError:  # a row of hundreds of digits, which is no reading
        short = written.where(written.astype("string").str.len() < 300)
        return pandas.to_numeric(short, errors="coerce").astype(float)


def _limits(layout: Layout, what: Any) -> tuple[Any, Any]:
    if isinstance(what, str):
        return _SENSIBLE.get(layout.fields[what], _ANY)
    by_name = {name: _SENSIBLE.get(layout.field_of(name), _ANY) for name in what.unique()}
    low, high = (what.map({name: limits[place] for name, limits in by_name.items()}) for place in (0, 1))
    return low, high


def combined(sums: list[pandas.DataFrame]) -> pandas.DataFrame:
    """Partial sums put together."""
    grouped = pandas.concat(sums).groupby(_KEYS, sort=False)
    together: pandas.DataFrame = grouped.agg(
        {"count": "sum", "sum": "sum", "lowest": "min", "highest": "max", "given": "sum"}).reset_index()
    return together


def _written(layout: Layout, total: pandas.DataFrame, target: Path, overwrite: bool) -> DailyReport:
    report = DailyReport(layout.path, target, values=int(total["given"].sum()))
    placed = (total["day"] != "") & (total["system"] != "")
    report.unplaced = int(total.loc[~placed, "given"].sum())
    total = total[placed]
    aside = (total["given"] - total["count"]).groupby(total["what"]).sum()
    report.aside = {str(name): int(count) for name, count in aside.items() if count}
    report.used = int(total["count"].sum())
    names = list(layout.fields) or sorted(total["what"].unique())
    lines = []
    for (day, system), group in total[total["count"] > 0].groupby(["day", "system"]):
        figures = {row.what: row for row in group.itertuples()}
        spans = [f"{name} {row.lowest:.6g} to {row.highest:.6g}" for name, row in figures.items()]
        most = max(row.count for row in figures.values())
        note = f"from {most} sensor reading{'' if most == 1 else 's'}: {'; '.join(spans)}"
        lines.append([day, marked(system), *(_figure(layout, figures.get(name), name) for name in names), note])
    report.daily_rows = len(lines)
    with replacing(target, overwrite=overwrite, error=ReadingsError) as file:
        text = io.TextIOWrapper(file, encoding="utf-8", newline="")
        csv.writer(text).writerows([["date", "system", *map(marked, names), "note"], *lines])
        text.detach()
    return report


def _figure(layout: Layout, row: Any, name: str) -> str:
    if row is None:
        return ""
    figure = layout.figure_of(layout.fields.get(name) or layout.field_of(name))
    value = {LOWEST: row.lowest, HIGHEST: row.highest}.get(figure, row.sum / row.count)
    return f"{value:.10g}"
