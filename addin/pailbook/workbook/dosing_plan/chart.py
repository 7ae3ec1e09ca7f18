"""Sheets "Chart" and "Chart data": phosphate read and expected, how sure that is, and the target range."""

from __future__ import annotations

from pailbook import terms
from pailbook.workbook import charts, style
from pailbook.workbook.dosing_plan import fit
from pailbook.workbook.dosing_plan.nutrients import PHOSPHATE
from pailbook.workbook.dosing_plan.places import SHEETS, cell
from pailbook.workbook.form import Plan
from pailbook.workbook.sheets import headings, put, widths

SHEET, DATA = SHEETS["chart"], SHEETS["data"]
_FIRST = 6


def write(plan: Plan) -> None:
    """Writes the sheet with the chart."""
    shown = (f"The latest {fit.ROWS} readings of phosphate, and what to expect if you follow the calendar. The dotted "
             "lines show how far off the forecast may be.")
    nothing = f"Nothing to draw yet: fill in {SHEETS['targets']}, and enter phosphate on {SHEETS['readings']}."
    sheet = plan.book.sheet(SHEET)
    sheet["A2"].value = f'=IF({cell(PHOSPHATE, "latest")}="","{nothing}","{shown}")'
    points = 2 * plan.tables[SHEETS["calendar"]].rows
    chart = charts.dated(f"{PHOSPHATE.label}, {PHOSPHATE.unit}", PHOSPHATE.unit, 0)
    chart.series.append(charts.readings(DATA, "A", "B", _FIRST, fit.ROWS, "readings"))
    chart.series.append(charts.curve(DATA, "D", "E", _FIRST, points, "expected", dash="sysDash"))
    chart.series.append(charts.curve(DATA, "D", "F", _FIRST, points, "may be as low as", dash="sysDot"))
    chart.series.append(charts.curve(DATA, "D", "G", _FIRST, points, "may be as high as", dash="sysDot"))
    chart.series.append(charts.limit_line(DATA, "I", "J", _FIRST, terms.LOWER_END.lower()))
    chart.series.append(charts.limit_line(DATA, "I", "K", _FIRST, terms.UPPER_END.lower()))
    chart.series.append(charts.limit_line(DATA, "I", "L", _FIRST, "watch: dose at or below"))
    widths(sheet, *[12] * 10, 2)  # the last, so that the frame is printed whole
    charts.place(sheet, chart, 1, 4, 10, 30)
    sheet.print_area = "A1:K34"


def write_data(plan: Plan) -> None:
    """Writes the numbers behind the chart."""
    sheet = plan.book.sheet(DATA, "The numbers behind the chart; nothing to fill in. #N/A means no value: the "
                                  "chart leaves it out.", tab="A9B7BA")
    calendar = plan.tables[SHEETS["calendar"]]
    put(sheet, f"A{_FIRST - 2}", f"{PHOSPHATE.label}, {PHOSPHATE.unit}", "strong")
    headings(sheet, _FIRST - 1, ("Read on", "Reading"), height=30)
    headings(sheet, _FIRST - 1, ("Date", "Expected", "May be as low as", "May be as high as"), first=4)
    headings(sheet, _FIRST - 1, ("Date", terms.LOWER_END, terms.UPPER_END, "Dose at or below"), first=9)
    dates, values = (fit.place(PHOSPHATE, key) for key in ("date", "reading"))
    for number in range(fit.ROWS):
        row = _FIRST + number
        source = [f"'{fit.SHEET}'!${letter}${first + number}" for letter, first in (dates, values)]
        put(sheet, f"A{row}", f"=IF(COUNT({source[0]},{source[1]})<2,NA(),{source[0]})", "result", style.DATE_FORMAT)
        put(sheet, f"B{row}", f"=IF(COUNT({source[0]},{source[1]})<2,NA(),{source[1]})", "result", "0.0")
    resolution, factor, error = (cell(PHOSPHATE, key) for key in ("resolution", "factor", "uptake_error"))
    for day in range(calendar.rows):
        source_row = calendar.first_row + day
        for half, key in enumerate(("before", "after")):
            row = _FIRST + 2 * day + half
            date, level = (f"{SHEETS['calendar']}!{calendar.cell(k, source_row)}" for k in ("date", key))
            put(sheet, f"D{row}", f"=IF(ISNUMBER({level}),{date},NA())", "result", style.DATE_FORMAT)
            put(sheet, f"E{row}", f"=IF(ISNUMBER({level}),{level},NA())", "result", "0.0")
            margin = f"({resolution}*{factor}/2+SUM({error})*{day})"
            known = f"COUNT({level},{resolution},{factor},{error})=4"
            put(sheet, f"F{row}", f"=IF({known},MAX(0,{level}-{margin}),NA())", "result", "0.0")
            put(sheet, f"G{row}", f"=IF({known},{level}+{margin},NA())", "result", "0.0")
    first_date = f"MIN({fit.column(PHOSPHATE, 'date')},{calendar.range('date')})"
    for row, date in ((_FIRST, first_date), (_FIRST + 1, f"MAX({calendar.range('date')})")):
        known = f"COUNT({calendar.range('date')})>0"
        put(sheet, f"I{row}", f"=IF({known},{date},NA())", "result", style.DATE_FORMAT)
        for letter, key in (("J", "low"), ("K", "high"), ("L", "action")):
            value = cell(PHOSPHATE, key)
            put(sheet, f"{letter}{row}", f"=IF(AND({known},ISNUMBER({value})),{value},NA())", "result", "0.0")
    widths(sheet, 12, 10, 2, 12, 10, 12, 12, 2, 12, 14, 14, 10)
    last = _FIRST + 2 * calendar.rows - 1
    charts.grey_errors(sheet, f"A{_FIRST}:L{last}")
    sheet.print_area = f"A1:L{last}"
