"""Charts that can be read: titles, axis names with units, dates on the axis, limit lines that differ without colour."""

from __future__ import annotations

from typing import Literal

from openpyxl.chart import Reference, ScatterChart, Series
from openpyxl.chart.axis import ChartLines
from openpyxl.chart.layout import Layout, ManualLayout
from openpyxl.chart.legend import Legend
from openpyxl.chart.marker import Marker
from openpyxl.chart.series import XYSeries
from openpyxl.chart.shapes import GraphicalProperties
from openpyxl.chart.text import RichText, Text
from openpyxl.chart.title import Title
from openpyxl.drawing.line import LineProperties
from openpyxl.drawing.spreadsheet_drawing import AnchorMarker, TwoCellAnchor
from openpyxl.drawing.text import (
    CharacterProperties,
    Paragraph,
    ParagraphProperties,
    RegularTextRun,
    RichTextProperties,
)
from openpyxl.formatting.rule import FormulaRule
from openpyxl.styles import Font
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from pailbook.workbook import style
from pailbook.workbook.columns import quoted

Dash = Literal["solid", "sysDash", "sysDot"]
_DATES = '[<36526]"";d mmm yy'  # nothing before 2000, where a chart without points puts its axis
_EMU = 12700  # drawing units in a point
_WATCH_LINE = "B88700"  # darker than the cells' yellow, which a thin line would not show


def block(number: int, width: int) -> list[str]:
    """The letters of the columns of a block that is `width` columns wide, blocks counted from 0."""
    return [get_column_letter(number * width + place + 1) for place in range(width)]


def dated(
    title: str, unit: str, lowest: float | None = None, highest: float | None = None, *, across: str = "Date",
    across_format: str = _DATES,
) -> ScatterChart:
    """An empty chart with the unit at the left, from the lowest to the highest value if given, and dates below.

    `across` and `across_format` put something else than dates there.
    """
    chart = ScatterChart()
    chart.style = 2
    chart.title = _title(title, 12)
    chart.legend = Legend()
    chart.legend.position = "b"
    chart.display_blanks = "gap"
    for axis, name, number_format in ((chart.x_axis, across, across_format), (chart.y_axis, unit, "General")):
        axis.delete = False
        axis.title = _title(name, 9)
        axis.number_format = number_format
        axis.numFmt.sourceLinked = False
        axis.txPr = RichText(
            bodyPr=RichTextProperties(rot=0),
            p=[Paragraph(pPr=ParagraphProperties(defRPr=_characters(8)), endParaRPr=_characters(8))],
        )
        axis.majorTickMark = "out"
        axis.tickLblPos = "low"
    chart.x_axis.majorGridlines = None
    chart.y_axis.majorGridlines = ChartLines(GraphicalProperties(ln=LineProperties(solidFill="D5DBDD", w=6350)))
    chart.y_axis.scaling.min, chart.y_axis.scaling.max = lowest, highest
    chart.layout = Layout(manualLayout=ManualLayout(
        layoutTarget="inner", xMode="edge", yMode="edge", x=0.11, y=0.13, w=0.83, h=0.6))
    return chart


def place(sheet: Worksheet, chart: ScatterChart, column: int, row: int, columns: int, rows: int) -> None:
    """Puts a chart over these columns and rows, so that it fits however wide a program's letters are."""
    corners = [AnchorMarker(col=column - 1, row=row - 1), AnchorMarker(col=column - 1 + columns, row=row - 1 + rows)]
    chart.anchor = TwoCellAnchor("twoCell", _from=corners[0], to=corners[1])  # type: ignore[assignment]
    sheet.add_chart(chart)


def readings(sheet: str, x: str, y: str, first: int, count: int, label: str) -> XYSeries:
    """The readings: a dark line with a dot at each."""
    series = _series(sheet, x, y, first, count, label)
    series.graphicalProperties = GraphicalProperties(ln=LineProperties(solidFill=style.HEADING, w=2 * _EMU))
    series.marker = Marker("circle", 5, spPr=GraphicalProperties(
        solidFill=style.HEADING, ln=LineProperties(solidFill=style.HEADING)))
    return series


def curve(sheet: str, x: str, y: str, first: int, count: int, label: str, *, dash: Dash = "solid") -> XYSeries:
    """What is calculated: a dark line without dots; `dash` tells several apart without colour."""
    series = _series(sheet, x, y, first, count, label)
    series.marker = Marker("none")
    series.graphicalProperties = GraphicalProperties(
        ln=LineProperties(solidFill=style.HEADING, prstDash=dash, w=2 * _EMU))
    return series


def limit_line(sheet: str, x: str, y: str, first: int, label: str, count: int = 2) -> XYSeries:
    """A limit: a line without dots, dashed for watch and solid for act."""
    watch = label.startswith("watch")
    series = _series(sheet, x, y, first, count, label)
    series.marker = Marker("none")
    series.graphicalProperties = GraphicalProperties(ln=LineProperties(
        solidFill=_WATCH_LINE if watch else style.ACT, prstDash="dash" if watch else "solid", w=int(1.5 * _EMU)))
    return series


def _series(sheet: str, x: str, y: str, first: int, count: int, label: str) -> XYSeries:
    last = first + count - 1
    xs, ys = (Reference(range_string=f"{quoted(sheet)}!${c}${first}:${c}${last}") for c in (x, y))
    series: XYSeries = Series(ys, xs, title=label)
    series.smooth = False
    return series


def grey_errors(sheet: Worksheet, span: str) -> None:
    """Makes cells that hold an error pale, so that they do not shout."""
    first = span.split(":")[0]
    rule = FormulaRule(formula=[f"ISERROR({first})"], font=Font(color="C3CDCF"))  # type: ignore[no-untyped-call]
    sheet.conditional_formatting.add(span, rule)


def _title(text: str, size: int) -> Title:
    run = RegularTextRun(rPr=_characters(size, True), t=text)
    return Title(tx=Text(rich=RichText(p=[Paragraph(pPr=ParagraphProperties(), r=[run])])), overlay=False)


def _characters(size: int, bold: bool = False) -> CharacterProperties:
    return CharacterProperties(sz=size * 100, b=bold, solidFill=style.INK)
