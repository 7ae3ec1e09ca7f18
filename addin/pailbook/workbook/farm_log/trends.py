"""Sheets "Trends" and "Chart data": one system's readings over time, with the limits as lines."""

from __future__ import annotations

from dataclasses import dataclass

from openpyxl.chart import ScatterChart
from openpyxl.utils import column_index_from_string
from openpyxl.worksheet.formula import ArrayFormula

from pailbook import terms
from pailbook.workbook import charts, style
from pailbook.workbook.columns import Column
from pailbook.workbook.farm_log import limits, systems, water_tests
from pailbook.workbook.farm_log.log import Log
from pailbook.workbook.farm_log.water_columns import CLEANED, clean_key
from pailbook.workbook.sheets import column_input, headings, put, widths

SHEET, DATA = "Trends", "Chart data"
POINTS = 30  # the latest readings that a chart shows
_SHORTEST = 30  # days that a limit's line is long at least
_PICKED = f"{SHEET}!$C$4"
_KIND, _PLACE = (f"'{DATA}'!$C${row}" for row in (4, 5))
_FIRST = 8
_HEIGHT = 17  # rows that a chart takes
_BLOCK, _ACROSS = 7, 4  # columns that a chart's numbers take, and how many charts' numbers stand side by side


@dataclass(frozen=True)
class Trend:
    """A chart: the reading of water tests that it shows, and its limit lines, each as (label, limit)."""

    key: str
    title: str
    unit: str
    lines: tuple[tuple[str, str], ...]
    axis: tuple[float | None, float | None] = (None, None)


TRENDS = (
    Trend("oxygen", terms.DISSOLVED_OXYGEN, "mg/L", (("watch", "oxygen_watch"), ("act", "oxygen_act"))),
    Trend("nh3", terms.UNIONISED_AMMONIA, "mg/L", (("watch", "nh3_watch"), ("act", "nh3_act"))),
    Trend("ph", "pH", "pH", (("watch low", "ph_watch_low"), ("watch high", "ph_watch_high")),
          axis=(4, 11)),
    Trend("temperature", terms.WATER_TEMPERATURE, "", (
        ("watch low", "temperature_watch_low"), ("watch high", "temperature_watch_high"))),
    Trend("no2", terms.NITRITE, "mg/L as NO2", (("watch", "nitrite_watch"), ("act", "nitrite_act"))),
    Trend("alkalinity", terms.ALKALINITY_ONCE, "mg/L as CaCO3", (
        ("watch", "alkalinity_watch"), ("act", "alkalinity_act"))),
    Trend("no3", terms.NITRATE, "mg/L as NO3", (("watch high", "nitrate_high"),)),
    Trend("po4", terms.PHOSPHATE, "mg/L as PO4", (("watch low", "phosphate_low"), ("watch high", "phosphate_high"))),
)


def write(log: Log) -> None:
    """Writes the sheet with the charts."""
    book = log.book
    sheet = book.sheet(SHEET, f"Pick a system to see its latest {POINTS} readings of each kind. Where a chart has no "
                              "points, there are no readings.", landscape=False)
    widths(sheet, *[13] * 5, 2, *[13] * 5)
    put(sheet, "A4", "System to show", "strong")
    column_input(book, sheet, "C4", Column(
        "system", "System to show", kind="choice", choices_from=log[systems.SHEET].range("system")))
    put(sheet, "D4", f'=IF({_PLACE}<>"","",IF(ISBLANK({_PICKED}),"pick a system in the box on the left",'
                     '"this system is not on the sheet Systems"))', "note", align="left")
    for number, trend in enumerate(TRENDS):
        right, down = number % 2, number // 2
        charts.place(sheet, _chart(log, number, trend), 1 + 6 * right, 6 + (_HEIGHT + 1) * down, 5, _HEIGHT)
    sheet.print_area = f"A1:K{6 + (_HEIGHT + 1) * (len(TRENDS) // 2)}"
    book.define("trend_system", SHEET, "C4")


def write_data(log: Log) -> None:
    """Writes the numbers behind the charts."""
    book, tests = log.book, log[water_tests.SHEET]
    sheet = book.sheet(DATA, "The numbers behind the charts on Trends; there is nothing to fill in. #N/A means that "
                             "there is no such reading or limit, and a chart leaves it out.", tab="A9B7BA")
    put(sheet, "A4", "Column of limits", "strong")
    put(sheet, "C4", f"={systems.of_system(log, 'kind', _PICKED, str(len(limits.KINDS)))}", "result")
    put(sheet, "A5", "Place of the system", "strong")
    place = f"MATCH({_PICKED},{log[systems.SHEET].range('system')},0)"
    put(sheet, "C5", f'=IFERROR(IF({_PICKED}="","",{place}),"")', "result")
    for number, trend in enumerate(TRENDS):
        letters, first = _place(number)
        date, value, count, line = letters[:4]
        put(sheet, f"{date}{first - 2}", _title(log, trend), "strong")
        headings(sheet, first - 1, ("Date", "Reading", "Count", "Line", *(label for label, _ in trend.lines)),
                 column_index_from_string(date))
        key = clean_key(trend.key) if trend.key in CLEANED else trend.key
        mine = f"({tests.range('place')}={_PLACE})*ISNUMBER({tests.range(key)})"
        put(sheet, f"{count}{first}", f'=IF({_PLACE}="","",SUMPRODUCT({mine}*({tests.range("when")}>0)))', "result")
        for point in range(POINTS):
            row = first + point
            stamp = f"LARGE({mine}*{tests.range('when')},{point + 1})"
            if point:  # where the readings end, the oldest one is repeated, which a line does not show
                stamp = f"IF({point + 1}>SUM(${count}${first}),{date}{row - 1},{stamp})"
            else:
                stamp = f"IF(SUM(${count}${first})=0,NA(),{stamp})"
            put(sheet, f"{date}{row}", ArrayFormula(f"{date}{row}", f"={stamp}"), "result", style.DATE_FORMAT)
            found = tests.at(key, f"MATCH({date}{row},{tests.range('when')},0)")
            put(sheet, f"{value}{row}", f"={found}", "result", "0.000")
        # The limits' lines are some days long also where there is one reading: else the axis would span centuries.
        earliest = f"MIN({date}{first + POINTS - 1},{date}{first}-{_SHORTEST})"
        for row, end in ((first, f"{date}{first}"), (first + 1, earliest)):
            put(sheet, f"{line}{row}", f"={end}", "result", style.DATE_FORMAT)
            for letter, (_, key) in zip(letters[4:], trend.lines):
                cell = limits.for_kind(key, _KIND)
                known = f"AND(SUM(${count}${first})>0,ISNUMBER({cell}))"
                put(sheet, f"{letter}{row}", f"=IF({known},{cell},NA())", "result", "0.00")
        for letter, width in zip(letters, (12, 9, 7, 12, 10, 10, 2)):
            sheet.column_dimensions[letter].width = width
    letters, first = _place(len(TRENDS) - 1)
    span = f"A1:{letters[-1]}{first + POINTS}"
    charts.grey_errors(sheet, span)
    sheet.print_area = span


def _place(number: int) -> tuple[list[str], int]:
    """The columns and the first row of a chart's numbers."""
    return charts.block(number % _ACROSS, _BLOCK), _FIRST + (POINTS + 3) * (number // _ACROSS)


def _unit(log: Log, trend: Trend) -> str:
    return trend.unit or log[water_tests.SHEET].column("temperature").unit(log.book.units)


def _title(log: Log, trend: Trend) -> str:
    unit = _unit(log, trend)
    return trend.title if unit == trend.title else f"{trend.title}, {unit}"


def _chart(log: Log, number: int, trend: Trend) -> ScatterChart:
    letters, first = _place(number)
    chart = charts.dated(_title(log, trend), _unit(log, trend), *trend.axis)
    chart.series.append(charts.readings(DATA, letters[0], letters[1], first, POINTS, "reading"))
    for column, (label, _) in zip(letters[4:], trend.lines):
        chart.series.append(charts.limit_line(DATA, letters[3], column, first, label))
    return chart
