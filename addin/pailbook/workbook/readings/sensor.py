"""How a sensor's long record is laid out, taken from its first rows, so that the others can be read in pieces."""

from __future__ import annotations

import warnings
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import IO

import pandas

from pailbook.workbook.readings.answers import Mapped, NeedsAnswer, Question, ReadingsError, decimal_sign, open_columns
from pailbook.workbook.readings.columns import UNUSED, meaning_of, recognise
from pailbook.workbook.readings.dates import DMY, MDY, ORDERS, read_stamp
from pailbook.workbook.readings.fields import MEASURED
from pailbook.workbook.readings.moments import site_zone
from pailbook.workbook.readings.table import comma_hint, read_beginning
from pailbook.workbook.readings.values import MISSING

MEAN, LOWEST, HIGHEST = "mean", "lowest", "highest"
FIGURES = (MEAN, LOWEST, HIGHEST)
# Fish have to live through the day's lowest oxygen, and ammonia is most toxic at the highest pH. Common practice, no
# source.
_USUAL = {"oxygen": LOWEST, "ph": HIGHEST}


@dataclass(frozen=True)
class Layout:
    """A record's file and what its columns are."""

    path: Path
    encoding: str
    delimiter: str
    decimal: str
    headings: tuple[str, ...]
    skip: int  # lines above the rows
    date: str
    time: str  # "" if the date's column has it, or there is none
    system_column: str
    system: str  # of rows that name none
    fields: Mapping[str, str]  # by heading of a measured column
    variable: str  # of a record with one row per value; "" in any other
    value: str
    unit: str
    mapping: tuple[Mapped, ...]
    figures: Mapping[str, str]
    order: str
    timezone: str

    @property
    def used(self) -> list[str]:
        """The columns that are read."""
        named = (self.date, self.time, self.system_column, self.variable, self.value, self.unit)
        return [heading for heading in self.headings if heading in named or heading in self.fields]

    def read(
        self, rows: int, source: Path | IO[bytes] | None = None, beginning: bool = True
    ) -> Iterator[pandas.DataFrame]:
        """The rows in pieces of that many; of the file, or of a block of it, which may be its beginning or not."""
        texts = [heading for heading in self.used if heading not in self.fields and heading != self.value]
        try:
            with pandas.read_csv(
                source or self.path, chunksize=rows, sep=self.delimiter, decimal=self.decimal, encoding=self.encoding,
                encoding_errors="replace", header=None, names=list(self.headings), index_col=False, low_memory=False,
                skiprows=self.skip if beginning else 0, na_values=sorted(MISSING), skipinitialspace=True,
                dtype=dict.fromkeys(texts, "string"),
            ) as pieces:
                while (piece := _next(pieces)) is not None:
                    yield piece[self.used]
        except pandas.errors.EmptyDataError:
            return
        except pandas.errors.ParserWarning:
            raise ReadingsError(f"{self.path} has a row with more cells than there are headings"
                                f"{comma_hint(self.delimiter)}; nothing was written") from None
        except (pandas.errors.ParserError, UnicodeError) as reason:
            raise ReadingsError(f"{self.path} cannot be read to its end ({reason}); nothing was written") from None

    def field_of(self, name: str, unit: str = "") -> str:
        """The measured field of a column or variable, or ""."""
        mapped = next((one for one in self.mapping if one.heading == name), None)
        field = meaning_of(name, unit, mapped).field
        return field.key if field else ""

    def figure_of(self, field: str) -> str:
        """Which figure of the day stands for a field."""
        return self.figures.get(field, _USUAL.get(field, MEAN))


def _next(pieces: Iterator[pandas.DataFrame]) -> pandas.DataFrame | None:
    with warnings.catch_warnings():
        warnings.simplefilter("error", pandas.errors.ParserWarning)  # which says that cells are left out
        return next(pieces, None)


def layout_of(
    path: Path, *, mapping: Sequence[Mapped] = (), system: str | None = None, figures: Mapping[str, str] | None = None,
    day_first: bool | None = None, timezone: str | None = None, decimal: str = ".",
) -> Layout:
    """The layout of a record; parameters as for `daily.daily`.

    Raises
    ------
    NeedsAnswer
        With all questions that the first rows leave open.
    ReadingsError
        If the file or an option cannot be used.
    """
    decimal = decimal_sign(decimal)
    if timezone is not None:
        site_zone(timezone)
    for field, figure in (figures or {}).items():
        if field not in MEASURED or figure not in FIGURES:
            raise ReadingsError(f'the figure "{field}={figure}" is not understood; expected one of the fields '
                                f"{', '.join(MEASURED)}, and {', '.join(FIGURES)}")
        if (field, figure) == ("ph", MEAN):
            raise ReadingsError('the figure "ph=mean" is refused: pH is a logarithm and water buffers it, so its mean '
                                f"is not a pH that the water had; expected {LOWEST} or {HIGHEST}")
    names = {mapped.heading for mapped in mapping}
    top = read_beginning(path, lambda text: bool(text) and (text in names or recognise(text).role != UNUSED))
    by_heading = {mapped.heading: mapped for mapped in mapping}
    if missing := [name for name in by_heading if name not in top.headings]:
        raise ReadingsError(f'the mapping names "{missing[0]}", but there is no such column; the columns are: '
                            + ", ".join(f'"{heading}"' for heading in top.headings))
    meanings = {heading: meaning_of(heading, "", by_heading.get(heading)) for heading in top.headings}
    place = {role: next((h for h, meaning in meanings.items() if meaning.role == role), "")
             for role in ("date", "time", "datetime", "system", "variable", "value", "unit")}
    date = place["datetime"] or place["date"] or place["time"]
    long = bool(place["variable"] and place["value"])
    fields = {} if long else {heading: m.field.key for heading, m in meanings.items() if m.field is not None}
    questions = open_columns(path, top.headings, measured=long or bool(fields), dated=bool(date),
                             placed=bool(place["system"] or system))
    texts = [cells[top.headings.index(date)] for cells in top.rows] if date else []
    order = _order(texts, day_first, questions)
    zoned = any(read_stamp(text).zone for text in texts)
    if zoned and not timezone:
        questions.append(Question("time zone", f'the times carry a time zone ("{texts[0]}"), but a day begins at '
                                  "midnight of the site", (("--timezone AREA/CITY", "the site's zone"),)))
    if questions:
        raise NeedsAnswer(str(path), questions)
    return Layout(
        path, top.encoding, top.delimiter, decimal, tuple(top.headings), top.above, date,
        place["time"] if place["time"] != date else "", place["system"], system or "", fields,
        place["variable"] if long else "", place["value"] if long else "", place["unit"] if long else "",
        tuple(mapping), dict(figures or {}), order, timezone if zoned and timezone else "")


def _order(texts: Sequence[str], day_first: bool | None, questions: list[Question]) -> str:
    """The order of day and month; later rows must keep to it."""
    dated = [stamp.dates for stamp in map(read_stamp, texts) if stamp.dates]
    possible = [order for order in ORDERS if all(order in dates for dates in dated)]
    if day_first is not None:
        return DMY if day_first else MDY
    if {DMY, MDY} <= set(possible) and any(dates[DMY] != dates[MDY] for dates in dated):
        questions.append(Question("order of the dates", f'"{texts[0]}" can be read in two ways', (
            ("--day-first", "reads the day first"), ("--month-first", "reads the month first"))))
    return possible[0] if possible else DMY


def figures_of(texts: Sequence[str]) -> dict[str, str]:
    """Texts FIELD=FIGURE as a dictionary."""
    found = {}
    for text in texts:
        name, equals, figure = (part.strip() for part in text.partition("="))
        if not equals:
            raise ReadingsError(f'the figure "{text}" is not understood; expected FIELD=FIGURE, such as "oxygen=mean"')
        found[name] = figure
    return found
