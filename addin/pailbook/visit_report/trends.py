"""The sheet of readings that the report rests on, and the charts on its page, with dates and limit lines."""

from __future__ import annotations

import math
from dataclasses import dataclass

from openpyxl.chart import ScatterChart
from openpyxl.utils import get_column_letter

from pailbook.rules.words import BEFORE_REASON
from pailbook.visit_report.content import Content
from pailbook.visit_report.findings import Found
from pailbook.visit_report.layout import plain_sheet, say
from pailbook.visit_report.page import Page
from pailbook.visit_report.parameters import PARAMETERS, Parameter
from pailbook.workbook import charts, style
from pailbook.workbook.builder import Book
from pailbook.workbook.farm_log import water_rules
from pailbook.workbook.farm_log.trends import TRENDS, Trend
from pailbook.workbook.sheets import headings, put, widths

SHEET = "Readings"
_FIRST = 5
_VALUES = 3  # the first column of values, right of moment and system
_ROWS = 14  # that a chart takes
_BY_SYSTEMS = {1: 6, 2: 4}  # charts of each system, by how many systems there are
_FEW = 2
_FAR = 0.4  # share of the highest value from which on an axis need not begin at 0
_STAMP = "yyyy-mm-dd hh:mm"


@dataclass(frozen=True)
class _Place:
    """Where a system's readings stand."""

    first: int
    count: int


class Readings:
    """Writes the readings and draws them."""

    def __init__(self, book: Book, content: Content) -> None:
        self.book, self.content = book, content
        self.sheet = plain_sheet(book, SHEET, landscape=True)
        self.places: dict[str, _Place] = {}
        self.row = _FIRST
        self._table()
        self.lines = self.row + 3

    def _table(self) -> None:
        sheet, units = self.sheet, self.book.units
        say(sheet, "A1", "Readings", "title")
        say(sheet, "A2", f"{self.content.client}: all water tests from {self.content.since} to {self.content.until}, "
                         "as the charts show them.", "note")
        labels = ["\n".join(filter(None, (p.once or p.label, p.unit_in(units)))) for p in PARAMETERS]
        last = _VALUES + len(PARAMETERS)
        headings(sheet, _FIRST - 1, ("When", "System", *labels, "Verdict", "Why"), height=48)
        widths(sheet, 17, 16, *[11] * len(PARAMETERS), 9, 46)
        for found in self.content.found:
            self.places[found.name] = _Place(self.row, len(found.tests))
            for _, test in found.tests.iterrows():
                why = BEFORE_REASON.join(test["reasons"])
                put(sheet, f"A{self.row}", test["when"].to_pydatetime(), "text", _STAMP, align="left")
                say(sheet, f"B{self.row}", found.name)
                for column, parameter in enumerate(PARAMETERS, _VALUES):
                    value = test[parameter.key]
                    put(sheet, f"{get_column_letter(column)}{self.row}", None if value != value else float(value),
                        "text", parameter.number_format(units), align="right")
                say(sheet, f"{get_column_letter(last)}{self.row}", water_rules.verdict(why))
                say(sheet, f"{get_column_letter(last + 1)}{self.row}", why, wrap=True)
                self.row += 1
        if self.row == _FIRST:
            say(sheet, f"A{_FIRST}", "There were no tests in this period.")
            self.row += 1
        letter = get_column_letter(last)
        style.verdict_colours(sheet, [f"{letter}{_FIRST}:{letter}{self.row}"])
        sheet.freeze_panes = f"C{_FIRST}"
        sheet.print_title_rows = f"{_FIRST - 1}:{_FIRST - 1}"
        sheet.print_area = f"A1:{get_column_letter(last + 1)}{self.row - 1}"

    def draw(self, page: Page) -> None:
        """Puts the charts on the page, two side by side."""
        most = _BY_SYSTEMS.get(len(self.content.found), _FEW)
        drawn = {found.name: [trend for trend in TRENDS if self._points(found, trend) > 1][:most]
                 for found in self.content.found}
        if any(drawn.values()):
            page.new_page()
        for found in self.content.found:
            if drawn[found.name]:
                page.section(f"Trends: {found.name}")
            for number, trend in enumerate(drawn[found.name]):
                left = number % 2 == 0
                column, wide = (1, 4) if left else (5, 3)
                charts.place(page.sheet, self._chart(found, trend), column, page.row + 1, wide, _ROWS)
                if not left or number == len(drawn[found.name]) - 1:
                    page.row += _ROWS
        if not any(drawn.values()):
            page.section("Trends")
            page.across("A chart needs at least two tests in this period.")
        if self.lines > self.row + 3:
            say(self.sheet, f"A{self.row + 2}", "Limits shown in the charts", "strong")

    def _points(self, found: Found, trend: Trend) -> int:
        return int(found.tests[_parameter(trend).key].notna().sum())

    def _chart(self, found: Found, trend: Trend) -> ScatterChart:
        parameter, place = _parameter(trend), self.places[found.name]
        unit = parameter.unit_in(self.book.units)
        bounds = [(label, bound) for label, key in trend.lines
                  if (bound := self.content.season.limits.number(found.species, key)) is not None]
        values = [*found.tests[parameter.key].dropna(), *(value for _, value in bounds)]
        chart = charts.dated(f"{parameter.label}, {unit}" if unit else parameter.label, unit or parameter.label,
                             *_axis(min(values), max(values)))
        chart.display_blanks = "span"
        chart.visible_cells_only = False  # the readings' sheet is hidden where the page alone is printed
        column = get_column_letter(_VALUES + PARAMETERS.index(parameter))
        chart.series.append(charts.readings(SHEET, "A", column, place.first, place.count, "reading"))
        for label, value in bounds:
            self._line(found, parameter, label, value)
            chart.series.append(charts.limit_line(SHEET, "A", "D", self.lines - 2, label))
        return chart

    def _line(self, found: Found, parameter: Parameter, label: str, value: float) -> None:
        """A limit's line: its value at the first and the last of the system's readings."""
        for when in (found.tests["when"].iloc[0], found.tests["when"].iloc[-1]):
            put(self.sheet, f"A{self.lines}", when.to_pydatetime(), "note", _STAMP, align="left")
            say(self.sheet, f"B{self.lines}", found.name, "note")
            say(self.sheet, f"C{self.lines}", f"{parameter.label}: {label}", "note")
            put(self.sheet, f"D{self.lines}", value, "note", align="right")
            self.lines += 1


def _axis(low: float, high: float) -> tuple[float, float | None]:
    """Where the axis begins and ends: at 0, or close to values that lie far from it."""
    if low < _FAR * high:
        return 0.0, None
    step = 10.0 ** math.floor(math.log10(max(high - low, high / 10)))
    return (math.ceil(low / step) - 1) * step, (math.floor(high / step) + 1) * step  # no line on the edge


def _parameter(trend: Trend) -> Parameter:
    return next(parameter for parameter in PARAMETERS if parameter.key == trend.key)
