"""Sheets "Chart" and "Chart data": weight and feed by week, and the limits of water, filter, air and plants."""

from __future__ import annotations

from pailbook import terms
from pailbook.quantities import BiomassOrNone, Feed
from pailbook.workbook import charts, style
from pailbook.workbook.form import Plan
from pailbook.workbook.measures import quantity
from pailbook.workbook.sheets import headings, put, widths
from pailbook.workbook.stocking_plan.places import SHEETS, weeks

SHEET, DATA = SHEETS["chart"], SHEETS["data"]
_FIRST = 6
_WEIGHTS = (f"{terms.TOTAL_WEIGHT} of the fish", f"Highest {terms.STOCKING_DENSITY.lower()}")
_FEEDS = ("Daily feed", "Limit of the filter", "Limit of the air pump", "Limit of the plants")


def write(plan: Plan) -> None:
    """Writes the sheet with the charts."""
    sheet = plan.book.sheet(SHEET, "Week by week. Above a line named act is too much; feed above the limit of the "
                                   "plants builds up in the water.", landscape=False)
    count = plan.tables[SHEETS["weeks"]].rows
    weight, feed = _units(plan)
    empty = '"Nothing to draw yet: fill in Setup and Cohorts."'
    put(sheet, "A3", f'=IF(COUNT({weeks(plan, "fish")})=0,{empty},"")', "strong")
    of_weight = charts.dated(f"{_WEIGHTS[0]}, {weight}", weight, 0, across="Week of")
    of_weight.series.append(charts.readings(DATA, "A", "B", _FIRST, count, "fish at the end of the week"))
    of_weight.series.append(charts.limit_line(DATA, "A", "C", _FIRST, "act: highest stocking density", count))
    of_feed = charts.dated(f"{_FEEDS[0]}, {feed}", feed, 0, across="Week of")
    of_feed.series.append(charts.readings(DATA, "A", "D", _FIRST, count, "daily feed"))
    of_feed.series.append(charts.limit_line(DATA, "A", "E", _FIRST, "act: limit of the filter", count))
    of_feed.series.append(charts.curve(DATA, "A", "F", _FIRST, count, "act: limit of the air pump", dash="sysDot"))
    of_feed.series.append(charts.limit_line(DATA, "A", "G", _FIRST, "watch: limit of the plants", count))
    widths(sheet, *[12] * 8, 2)  # the last, so that the frames are printed whole
    charts.place(sheet, of_weight, 1, 4, 8, 24)
    charts.place(sheet, of_feed, 1, 30, 8, 24)
    sheet.print_area = "A1:I54"


def _units(plan: Plan) -> tuple[str, str]:
    """The units of weight and of feed."""
    weight, feed = (quantity(hint).unit_in(plan.book.units) for hint in (BiomassOrNone, Feed))
    return weight, feed


def write_data(plan: Plan) -> None:
    """Writes the numbers behind the charts."""
    sheet = plan.book.sheet(DATA, "The numbers behind the charts; nothing to fill in. #N/A means no value: the "
                                  "charts leave it out.", landscape=False, tab="A9B7BA")
    t = plan.tables[SHEETS["weeks"]]
    weight_unit, feed_unit = _units(plan)
    texts = (*(f"{text}\n{weight_unit}" for text in _WEIGHTS), *(f"{text}\n{feed_unit}" for text in _FEEDS))
    headings(sheet, _FIRST - 1, ("Week of", *texts), height=44)
    volume, most = plan["volume"], plan["density_most"]
    weight = {"metric": f"{most}*{volume}/1000", "us": f"{most}*{volume}"}[plan.book.units]
    for number in range(t.rows):
        row, source = _FIRST + number, t.first_row + number
        date, fish = (f"{t.sheet}!{t.cell(key, source)}" for key in ("date", "biomass"))
        put(sheet, f"A{row}", f"=IF(COUNT({date},{fish})<2,NA(),{date})", "result", style.DATE_FORMAT,
            align="center")
        put(sheet, f"B{row}", f"=IF(COUNT({fish})=0,NA(),{fish})", "result", "0.0")
        put(sheet, f"C{row}", f"=IF(COUNT({fish},{volume},{most})<3,NA(),{weight})", "result", "0.0")
        for letter, key in zip("DEFG", ("feed", "filter_feed", "air_feed", "plant_feed")):
            cell = f"{t.sheet}!{t.cell(key, source)}"
            put(sheet, f"{letter}{row}", f"=IF(COUNT({fish},{cell})<2,NA(),{cell})", "result", "0.0")
    widths(sheet, *[15] * 7)
    last = _FIRST + t.rows - 1
    charts.grey_errors(sheet, f"A{_FIRST}:G{last}")
    sheet.print_title_rows = f"{_FIRST - 1}:{_FIRST - 1}"
    sheet.print_area = f"A1:G{last}"
