"""Sheet "Other nutrients": potassium, calcium, magnesium and iron over the next weeks, and the doses that hold them."""

from __future__ import annotations

from pailbook.workbook import style
from pailbook.workbook.columns import Column, Table
from pailbook.workbook.dosing_plan.nutrients import NUTRIENTS, OTHERS, Nutrient
from pailbook.workbook.dosing_plan.places import SHEETS, cell, dose_unit
from pailbook.workbook.form import Plan
from pailbook.workbook.sheets import Formula, write_table
from pailbook.workbook.texts import with_numbers

SHEET = SHEETS["others"]
_BROUGHT = {"potassium": "potassium_day", "calcium": "calcium_day"}  # by phosphate products and bases
_EACH = (("before", "expected"), ("dose", "dose"), ("after", "after"))
COLUMNS = (
    Column("date", "Date", kind="result", width=11, format=style.DATE_FORMAT),
    *(Column(f"{n.key}_{key}", f"{n.label} {words}" + ("" if key == "dose" else f"\n{n.unit}"), kind="result", width=12,
             format=n.format if key != "dose" else "0.0", basis=n.key if key == "dose" else "")
      for n in OTHERS for key, words in _EACH),
    *(Column(f"{n.key}_given", f"{n.label} given", kind="result", hidden=True) for n in OTHERS),
)


def table(days: int) -> Table:
    """Where the sheet's table is."""
    return Table(SHEET, COLUMNS, days)


def write(plan: Plan) -> None:
    """Writes the sheet."""
    book, t = plan.book, plan.tables[SHEET]
    sheet = book.sheet(SHEET, "Starts at the latest reading of any nutrient. What phosphate products and bases bring "
                              "with them is counted. These products do not change pH; for bases see pH dose.")

    def date(row: int) -> str:
        if row > t.first_row:
            return f'IF({t.cell("date", row - 1)}="","",{t.cell("date", row - 1)}+1)'
        dates = ",".join(cell(n, "latest_date") for n in NUTRIENTS)
        return f'IF(COUNT({dates})=0,"",MAX({dates}))'

    formulas: dict[str, Formula] = {"date": date}
    for nutrient in OTHERS:
        formulas.update(_of(plan, t, nutrient))
    bases = {n.key: (dose_unit(n), "") for n in OTHERS}
    write_table(book, sheet, t, formulas, freeze=f"{OTHERS[0].key}_before", bases=bases, heading_height=44)
    sheet.auto_filter.ref = None


def _of(plan: Plan, t: Table, n: Nutrient) -> dict[str, Formula]:
    c, first = t.cell, t.first_row
    latest, latest_date, uptake, action, high, per = (
        cell(n, key) for key in ("latest", "latest_date", "uptake", "action", "high", "dose_per"))
    readings, calendar = plan.tables[SHEETS["readings"]], plan.tables[SHEETS["calendar"]]

    def between(what: str, start: str, end: str) -> str:
        when = readings.range("when")
        return f'SUMIFS({readings.range(f"{n.key}_{what}")},{when},">="&{start},{when},"<"&{end})'

    def given(row: int) -> str:
        day = c("date", row)
        return f'IF({day}="",0,{between("added", day, f"({day}+1)")})'

    def before(row: int) -> str:
        day = c("date", row)
        if row > first:
            yesterday = c(f"{n.key}_after", row - 1)
            return with_numbers((yesterday, uptake), f"MAX(0,{yesterday}-{uptake})")
        brought = between("brought", latest_date, day)
        moved = f"MAX(0,{latest}-SUM({uptake})*({day}-{latest_date})+{brought})"
        unknown = f'OR({cell(n, "topped")},AND({day}>{latest_date},{uptake}=""))'
        return with_numbers((day, latest), f'IF({unknown},"",{moved})')

    def beside(row: int) -> str:
        """What the day's phosphate or base brings of it."""
        if n.key not in _BROUGHT:
            return "0"
        return f"SUMIFS({calendar.range(_BROUGHT[n.key])},{calendar.range('date')},{c('date', row)})"

    def dose(row: int) -> str:
        now, done = c(f"{n.key}_before", row), c(f"{n.key}_given", row)
        wanted = f"{high}-{now}-{beside(row)}"
        due = f"AND({done}=0,{now}<=MIN({action},{high}),{wanted}>0)"
        return with_numbers((now, action, high, per), f'IF({due},({wanted})*{per},"")')

    def after(row: int) -> str:
        now, amount = c(f"{n.key}_before", row), c(f"{n.key}_dose", row)
        dosed = f"IF(ISNUMBER({amount}),SUM({amount})/SUM({per}),0)"
        return with_numbers((now,), f"{now}+{c(f'{n.key}_given', row)}+{dosed}+{beside(row)}")

    return {f"{n.key}_before": before, f"{n.key}_dose": dose, f"{n.key}_after": after, f"{n.key}_given": given}
