"""Sheet "Readings": what the kits showed, what was dosed after it, and what follows for each nutrient."""

from __future__ import annotations

from pailbook import terms
from pailbook.quantities import PH, HardnessValue
from pailbook.workbook import style
from pailbook.workbook.clean_columns import Clean
from pailbook.workbook.columns import Column, Table
from pailbook.workbook.dosing_plan import products, targets
from pailbook.workbook.dosing_plan.day_rules import BOXES, READING, of_box
from pailbook.workbook.dosing_plan.nutrients import CALCIUM, NUTRIENTS, PHOSPHATE, POTASSIUM, Nutrient
from pailbook.workbook.dosing_plan.places import clean_cell, dose_unit
from pailbook.workbook.form import Plan
from pailbook.workbook.measures import CHANGE_SHARE, DOSE_AMOUNT, NUTRIENT_READING, quantity
from pailbook.workbook.sheets import Formula, write_table

SHEET = "Readings"
ROWS = 100
_ALKALINITY = "alkalinity_unit"
CLEAN = Clean((READING,), ("date", *(key for n in NUTRIENTS for key in (n.key, f"{n.key}_dose")), "changed", "ph",
                           "alkalinity"))


def _basis(nutrient: Nutrient) -> str:
    return f"basis_{nutrient.key}"


def _unit(nutrient: Nutrient) -> str:
    return f"unit_{nutrient.key}"


def _columns() -> tuple[Column, ...]:
    typed = [
        Column("date", "Date", kind="date", width=11),
        *(column for nutrient in NUTRIENTS for column in (
            Column(nutrient.key, nutrient.label, NUTRIENT_READING, width=11, basis=_basis(nutrient),
                   help=f"Before the day's dose, as the kit shows it. Choose the basis on {targets.SHEET}"),
            Column(f"{nutrient.key}_dose", f"{nutrient.label} product given", DOSE_AMOUNT, width=10,
                   basis=_unit(nutrient),
                   help="What you added after this reading, of the product in use; for a blend both together"),
        )),
        Column("changed", "Water changed", CHANGE_SHARE, width=9, help="After this reading, as a share of the system"),
        Column("ph", "pH", quantity(PH), width=7, help="Before the day's dose"),
        Column("alkalinity", terms.ALKALINITY_ONCE, quantity(HardnessValue), width=11, basis=_ALKALINITY,
               help="Before the day's dose, in the unit of the kit, which you choose on Setup"),
        Column("note", "Note", kind="text", width=20),
        Column("state", "Verdict", kind="result", width=46),
    ]
    hidden = [
        Column("when", "Time stamp", kind="result", hidden=True),
        Column("ph_at", "pH read at", kind="result", hidden=True),
        Column("alkalinity_at", "Alkalinity read at", kind="result", hidden=True),
        *(Column(f"{nutrient.key}_{what}", f"{nutrient.label}: {label}", kind="result", hidden=True)
          for nutrient in NUTRIENTS for what, label in (
              ("level", "level"), ("fit", "for the uptake"), ("added", "added by the dose"),
              ("brought", "added by the doses of all products"), ("at", "read at"),
              ("row", "row for the uptake"), ("top", "kit topped out at"))),
        Column("filled", "Cells filled in", kind="result", hidden=True),
        *CLEAN.columns,
    ]
    return (*typed, *hidden)


_COLUMNS = _columns()


def table(rows: int = ROWS) -> Table:
    """Where the sheet's table is."""
    return Table(SHEET, _COLUMNS, rows)


def alkalinity_unit(plan: Plan) -> str:
    """Formula text for the unit of the alkalinity kit, in words."""
    unit = plan["alkalinity_unit"]
    return f'IF({unit}="CaCO3","mg/L as CaCO3",IF({unit}="meq","meq/L",{unit}))'


def write(plan: Plan) -> None:
    """Writes the sheet."""
    book, t = plan.book, plan.tables[SHEET]
    sheet = book.sheet(SHEET, "One row for each day with a test, a dose or a water change. Leave blank what you did "
                              "not do. Test before the day's dose.")

    def when(row: int) -> str:
        # A tiny share of the row number makes each stamp differ, so that it also finds its row.
        date = t.cell(CLEAN.key("date"), row)
        return f"IF(ISNUMBER({date}),INT({date})+ROW()*1E-9,0)"

    def at(key: str) -> Formula:
        return lambda row: f"IF(ISNUMBER({t.cell(CLEAN.key(key), row)}),{t.cell('when', row)},0)"

    boxes = {of_box(n.key, box): clean_cell(n, box) for n in NUTRIENTS for box in BOXES}

    def state(row: int) -> str:
        cells = {**boxes, **CLEAN.cells(t, row), "filled": t.cell("filled", row)}
        return plan.asking(READING, **cells).text(READING, unasked="")

    formulas: dict[str, Formula] = {
        "state": state, "filled": lambda row: f"COUNTA({t.span('date', 'alkalinity', row)})",
        "when": when, "ph_at": at("ph"), "alkalinity_at": at("alkalinity"),
        **CLEAN.formulas(t, book.units),
    }
    for nutrient in NUTRIENTS:
        formulas.update(_of_nutrient(plan, t, nutrient))
    bases = {_basis(n): (targets.cell(n, "words"), targets.cell(n, "limit_factor")) for n in NUTRIENTS}
    bases |= {_unit(n): (dose_unit(n), "") for n in NUTRIENTS}
    bases[_ALKALINITY] = (alkalinity_unit(plan), "")
    write_table(book, sheet, t, formulas, freeze="phosphate", bases=bases, verdicts=("state",), heading_height=58)
    for column in ("when", "ph_at", "alkalinity_at"):
        sheet.column_dimensions[t.letter(column)].number_format = style.DATE_FORMAT


def _of_nutrient(plan: Plan, t: Table, nutrient: Nutrient) -> dict[str, Formula]:
    key = nutrient.key
    factor, low, high, per = (clean_cell(nutrient, k) for k in ("known_factor", "kit_low", "kit_high", "known_per"))

    def typed(name: str, row: int) -> str:
        return t.cell(CLEAN.key(name), row)

    def topped(row: int) -> str:
        return f"IF(COUNT({typed(key, row)},{high})<2,FALSE,{typed(key, row)}>={high})"

    def level(row: int) -> str:
        reading = typed(key, row)
        return f'IF(OR(COUNT({reading},{factor})<2,{topped(row)}),"",{reading}*{factor})'

    def fit(row: int) -> str:
        reading, found = typed(key, row), t.cell(f"{key}_level", row)
        bottomed = f"IF(COUNT({reading},{low})<2,FALSE,{reading}<={low})"
        return f'IF(OR({found}="",{bottomed}),"",{found})'

    def added(row: int) -> str:
        dose = typed(f"{key}_dose", row)
        return f"IF(COUNT({dose},{per})<2,0,{dose}/{per})"

    def brought(row: int) -> str:
        own, phosphate = t.cell(f"{key}_added", row), t.cell(f"{PHOSPHATE.key}_added", row)
        if nutrient is POTASSIUM:
            return f"{own}+{products.potassium_with(phosphate, plan['product_charge'])}"
        return f"{own}+{products.calcium_with(phosphate)}" if nutrient is CALCIUM else own

    def at(row: int) -> str:
        return f'IF({t.cell(f"{key}_level", row)}="",0,{t.cell("when", row)})'

    def counts(row: int) -> str:
        return (f'IF(OR({t.cell(f"{key}_fit", row)}<>"",{t.cell(f"{key}_brought", row)}>0,'
                f'SUM({typed("changed", row)})>0),{t.cell("when", row)},0)')

    def top(row: int) -> str:
        return f"IF({topped(row)},{t.cell('when', row)},0)"

    return {f"{key}_level": level, f"{key}_fit": fit, f"{key}_added": added, f"{key}_brought": brought,
            f"{key}_at": at, f"{key}_row": counts, f"{key}_top": top}
