"""Sheet "Calendar": the next weeks, one row per day: the phosphate expected, what to dose, what that does.

A refill begins on the first day on which phosphate is expected at or below the action level. It goes on, one dose per
day, up to the upper end of the target. No day's dose breaks the rules of Setup.
"""

from __future__ import annotations

from openpyxl.formatting.rule import FormulaRule
from openpyxl.styles import Font

from pailbook import terms
from pailbook.quantities import PH, Alkalinity
from pailbook.rules import Sheet
from pailbook.terms import FINE
from pailbook.workbook import style
from pailbook.workbook.clean_columns import Clean
from pailbook.workbook.columns import Column, Table
from pailbook.workbook.dosing_plan import products, steps
from pailbook.workbook.dosing_plan.day_rules import calendar_day
from pailbook.workbook.dosing_plan.nutrients import BLEND, DI, MONO, PHOSPHATE
from pailbook.workbook.dosing_plan.places import SHEETS, cell, clean_fact, dose_unit
from pailbook.workbook.form import Plan
from pailbook.workbook.measures import quantity
from pailbook.workbook.sheets import Formula, write_table
from pailbook.workbook.texts import first_that_holds, with_numbers

SHEET = SHEETS["calendar"]
DAYS = 28
CLEAN = Clean((calendar_day,), ("date", "given", "once", "settled", "ph_before", "planned", "pure_base", "refill"),
              {"ph_before": "ph"})
_FULL = 0.05  # mg/L: nearer to the upper end a refill is done
COLUMNS = (
    Column("date", "Date", kind="result", width=11, format=style.DATE_FORMAT),
    Column("test", "Test", kind="result", width=6),
    Column("before", "Phosphate expected\nmg/L as PO4", kind="result", width=12, format="0.0"),
    Column("what", "What to do", kind="result", width=38),
    Column("dose", "Dose", kind="result", width=9, format="0.0", basis="unit"),
    Column("second", "Dipotassium phosphate", kind="result", width=13, format="0.0", basis="second_unit"),
    Column("base", "Base\ng", kind="result", width=8, format="0.0"),
    Column("ph", "pH before", quantity(PH), "result", 8),
    Column("once", "pH after, at once", quantity(PH), "result", 9),
    Column("settled", "pH after, settled", quantity(PH), "result", 9),
    Column("after", "Phosphate after\nmg/L as PO4", kind="result", width=12, format="0.0"),
    Column("alkalinity", f"{terms.ALKALINITY_ONCE} after", quantity(Alkalinity), "result", 14, format="0.0"),
    Column("potassium_sum", "Potassium added so far\nmg/L as K", kind="result", width=12, format="0.0"),
    Column("potassium", "Potassium after\nmg/L as K", kind="result", width=11, format="0.0"),
    Column("sodium_sum", "Sodium added so far\nmg/L as Na", kind="result", width=11, format="0.0"),
    Column("sodium", "Sodium after\nmg/L as Na", kind="result", width=11, format="0.0"),
    *(Column(key, label, kind="result", hidden=True) for key, label in (
        ("day", "Day"), ("given", "Given already"), ("refill", "Refilling"), ("campaign", "Refill number"),
        ("allowed", "Rise allowed"), ("planned", "Rise planned"), ("rise", "Rise"), ("charge", "Equivalents per mol"),
        ("alkalinity_before", "Alkalinity before"), ("potassium_day", "Potassium that day"),
        ("calcium_day", "Calcium that day"), ("pure_base", "g of base, pure"), ("word", "Word of the verdict"),
        *steps.COLUMNS)),
    *CLEAN.columns,
)


def table(days: int = DAYS) -> Table:
    """Where the sheet's table is."""
    return Table(SHEET, COLUMNS, days)


def write(plan: Plan) -> None:
    """Writes the sheet."""
    book, t = plan.book, plan.tables[SHEET]
    sheet = book.sheet(SHEET, "Starts at the latest phosphate reading; each new one on Readings updates all of it. "
                              "Test before you dose; if the reading is not the one expected, enter it first.")
    bases = {"unit": (dose_unit(PHOSPHATE), ""), "second_unit": (products.of(plan, DI, "unit"), "")}
    write_table(book, sheet, t, _formulas(plan, t), freeze="test", bases=bases, verdicts=("what",), heading_height=58)
    sheet.auto_filter.ref = None
    dosing = FormulaRule(  # type: ignore[no-untyped-call]
        formula=[f'LEFT({t.cell("what", t.first_row)},5)="dose "'], font=Font(bold=True))
    sheet.conditional_formatting.add(f"{t.letter('what')}{t.first_row}:{t.letter('base')}{t.last_row}", dosing)


def _formulas(plan: Plan, t: Table) -> dict[str, Formula]:
    c, first, n = t.cell, t.first_row, PHOSPHATE
    uptake, action, high, product, per = (cell(n, k) for k in ("uptake", "action", "high", "product", "dose_per"))
    readings = plan.tables[SHEETS["readings"]]
    blend = f'{product}="{BLEND}"'

    def carried(key: str, start: str) -> Formula:
        """The start on the first day, afterwards what another column says of the day before."""
        return lambda row: start if row == first else with_numbers((c(key, row - 1),), c(key, row - 1))

    def given(row: int) -> str:
        when, date = readings.range("when"), c("date", row)
        total = f'SUMIFS({readings.range("phosphate_added")},{when},">="&{date},{when},"<"&({date}+1))'
        return f'IF({date}="",0,{total})'

    def before(row: int) -> str:
        if row == first:
            return f'IF({cell(n, "topped")},"",{cell(n, "latest")})'
        return with_numbers((c("after", row - 1), uptake), f"MAX(0,{c('after', row - 1)}-{uptake})")

    def refill(row: int) -> str:
        due = f"{c('before', row)}<={action}"
        if row > first:
            due = f"OR({due},AND({c('refill', row - 1)}=1,{c('after', row - 1)}<{high}-{_FULL}))"
        return with_numbers((c("before", row), action, high, per), f"IF({due},1,0)", "0")

    def campaign(row: int) -> str:
        if row == first:
            return c("refill", row)
        filled = f"IF(COUNT({c('after', row - 1)},{high})=2,{c('after', row - 1)}>={high}-{_FULL},FALSE)"
        begins = f"AND({c('refill', row)}=1,OR({c('refill', row - 1)}=0,{filled}))"
        return f"{c('campaign', row - 1)}+IF({begins},1,0)"

    def allowed(row: int) -> str:
        water = (c("ph", row), c("alkalinity_before", row), c("before", row))
        text = products.allowed(plan, product, blend, c("charge", row), water)
        known = with_numbers((*water, plan["temperature"], c("charge", row)), f"MAX(0,{text})")
        return f'IF({c("refill", row)}=1,{known},"")'

    def planned(row: int) -> str:
        wanted = f"MAX(0,{high}-{c('before', row)})"
        return f"IF(OR({c('refill', row)}=0,{c('given', row)}>0,COUNT({c('allowed', row)})=0),0," \
               f"MIN({wanted},SUM({c('allowed', row)})))"

    def charge(row: int) -> str:
        share = products.blend_share(plan, c("ph", row))
        return (f"IF({blend},{with_numbers((c('ph', row), plan['temperature']), share)},"
                f"{plan['product_charge']})")

    def dose(row: int) -> str:
        own = f"IF({blend},(1-SUM({c('charge', row)}))*SUM({products.of(plan, MONO, 'per')}),{per})"
        return f'IF({c("planned", row)}>0,{c("planned", row)}*{own},"")'

    def second(row: int) -> str:
        own = f"SUM({c('charge', row)})*SUM({products.of(plan, DI, 'per')})"
        return f'IF(AND({c("planned", row)}>0,{blend}),{c("planned", row)}*{own},"")'

    def pure_base(row: int) -> str:
        """g of pure base: what is wanted, within the rule."""
        hold, alkalinity, ph = plan["alkalinity_hold"], c("alkalinity_before", row), c("ph", row)
        safe = plan.book.call(
            "PH_DOSE", plan["base"], plan["volume"], ph, f"MIN({ph}+{plan['ph_rule']},{plan['ph_highest']})",
            alkalinity, plan["temperature"], c("before", row), "100", '"safe"', plan["conductivity"], "0",
            plan["calcium"], plan["magnesium"])
        wanted = f"({hold}-{alkalinity})/{plan['base_alkalinity']}"
        cells = (hold, alkalinity, ph, plan["temperature"], plan["base_alkalinity"], c("before", row),
                 plan.clean("ph_rule"), plan.clean("ph_highest"))
        text = with_numbers(cells, f"IF({hold}>{alkalinity},IFERROR(MAX(0,MIN({wanted},{safe})),0),0)", "0")
        return f"IF({c('rise', row)}>0,0,{text})"

    def base(row: int) -> str:
        return f'IF({c("pure_base", row)}>0,{c("pure_base", row)}*100/{plan["base_strength"]},"")'

    def alkalinity(row: int) -> str:
        cells = (c("alkalinity_1", row), c("rise", row))
        return with_numbers(cells, f"{cells[0]}-{cells[1]}*{steps.CACO3_PER_PO4:.12g}")

    others = plan.tables[SHEETS["others"]]

    def potassium_day(row: int) -> str:
        of_phosphate = products.potassium_with(c("rise", row), c("charge", row))
        of_base = f"{c('pure_base', row)}*SUM({plan['base_potassium']})"
        return f'IF({c("date", row)}="",0,{of_base}+{of_phosphate})'

    def sodium_sum(row: int) -> str:
        of_base = f"{c('pure_base', row)}*SUM({plan['base_sodium']})"
        earlier = "0" if row == first else f"SUM({c('sodium_sum', row - 1)})"
        return f'IF({c("date", row)}="","",{earlier}+{of_base})'

    def potassium_sum(row: int) -> str:
        earlier = "0" if row == first else f"SUM({c('potassium_sum', row - 1)})"
        return f'IF({c("date", row)}="","",{earlier}+{c("potassium_day", row)})'

    def potassium(row: int) -> str:
        at = f"MATCH({c('date', row)},{others.range('date')},0)"
        return f'IFERROR({others.at("potassium_after", at)},"")'

    def test(row: int) -> str:
        turn = f"{c('day', row)}/{plan['days_between']}"
        return f'IF(OR({c("date", row)}="",{c("day", row)}=0),"",IF({turn}=INT({turn}),"test",""))'

    return {
        "date": lambda row: (cell(n, "latest_date") if row == first
                             else f'IF({c("date", row - 1)}="","",{c("date", row - 1)}+1)'),
        "test": test, "before": before, "what": lambda row: _what(plan, t, row),
        "word": lambda row: _asking(plan, t, row).word(calendar_day), **CLEAN.formulas(t, plan.book.units),
        "dose": dose, "second": second, "base": base,
        "ph": carried("settled", plan["ph"]),
        "after": lambda row: with_numbers((c("before", row),), f"{c('before', row)}+{c('rise', row)}"),
        "alkalinity": alkalinity, "potassium_sum": potassium_sum, "potassium": potassium, "sodium_sum": sodium_sum,
        "pure_base": pure_base,
        "sodium": lambda row: with_numbers((plan["sodium_start"], c("sodium_sum", row)),
                                           f"{plan['sodium_start']}+{c('sodium_sum', row)}"),
        "day": lambda row: str(row - first), "given": given, "refill": refill, "campaign": campaign,
        "allowed": allowed, "planned": planned,
        "rise": lambda row: f"IF({c('given', row)}>0,{c('given', row)},{c('planned', row)})",
        "charge": charge,
        "alkalinity_before": carried("alkalinity", plan["alkalinity"]),
        "potassium_day": potassium_day,
        "calcium_day": lambda row: products.calcium_with(c("rise", row)),
        **steps.formulas(
            plan, t, rise=lambda row: c("rise", row), phosphate=lambda row: c("before", row),
            charge=lambda row: c("charge", row), ph=lambda row: c("ph", row),
            alkalinity=lambda row: c("alkalinity_before", row), base=lambda row: c("pure_base", row)),
    }


def _what(plan: Plan, t: Table, row: int) -> str:
    """The verdict of a day on which something is not as it should be; otherwise what to do, or that it is done."""
    c, product = t.cell, cell(PHOSPHATE, "product")
    to_do = first_that_holds((
        (f"{c('given', row)}>0", '"given"'),
        (f'AND({c("planned", row)}>0,{product}="{BLEND}")', '"dose both potassium phosphates"'),
        (f"{c('planned', row)}>0", f'"dose "&{product}'),
    ), f'"dose "&{plan["base"]}')
    return f'IF({c("word", row)}="{FINE}",{to_do},{_asking(plan, t, row).text(calendar_day, unasked="")})'


def _asking(plan: Plan, t: Table, row: int) -> Sheet:
    return plan.asking(calendar_day, tests=clean_fact("tests"), **CLEAN.cells(t, row))
