"""Sheet "Start": what the plan is for, what to fill in first, the key results, safety notes."""

from __future__ import annotations

from pailbook import terms
from pailbook.quantities import PH, Alkalinity
from pailbook.workbook import front, style
from pailbook.workbook.dosing_plan import advice, facts, products, readings, setup, targets
from pailbook.workbook.dosing_plan.nutrients import DI, PHOSPHATE
from pailbook.workbook.dosing_plan.places import SHEETS, cell
from pailbook.workbook.dosing_plan.plan_rules import date_check, right_product, scale
from pailbook.workbook.form import Plan
from pailbook.workbook.front import SHEET, Result
from pailbook.workbook.measures import quantity
from pailbook.workbook.sheets import put, widths
from pailbook.workbook.texts import blank_or

_FOR = (
    "Keeps phosphate, and if you like potassium, calcium, magnesium and iron, within a target range that you set.",
    "From your readings it calculates how fast the plants take up each nutrient, when to dose next, and how much.",
    "No day's dose changes pH by more than fish and roots can bear, neither at once nor hours later.",
)
_FIRST_STEPS = (
    (setup.SHEET, "the measured water volume, temperature, pH and alkalinity"),
    (targets.SHEET, "for phosphate: the kit's basis and resolution, your target range, the product"),
    (products.SHEET, "the strength on the product's label; compare the products"),
    (readings.SHEET, "one row for each test, with what you dosed after it"),
    (SHEETS["calendar"], "what to do on which day"),
)
_CAUTIONS = (
    front.ACIDS_AND_BASES,
    "Add a dose slowly where the water moves most, away from fish and roots. Test pH after it and again the next day. "
    "Stop if a reading is not what the plan expects.",
    "At high pH, phosphate and calcium precipitate as scale: never dose lime or a hydroxide near phosphate.",
    front.MAINS_POWER,
    "Ammonium salts are not offered, because they bring ammonia. Iron salts and acids are poisonous: keep them in "
    "their own bottles, locked away from children.",
    "Discharge of water with nutrients is regulated: ask your local authority. If the product's label says to dose "
    "less, follow the label.",
    "This plan is not professional advice. A dose is only as accurate as the measured volume and the kits.",
)


def key_results(plan: Plan) -> tuple[Result, ...]:
    """The key results, in the order in which they are shown."""
    n = PHOSPHATE
    calendar = plan.tables[SHEETS["calendar"]]
    row = cell(n, "next_row")

    def at_dose(key: str) -> str:
        return f'IF({row}="","",{blank_or(calendar.at(key, row))})'

    def end(key: str) -> str:
        """A column's value on the last day of the next refill."""
        of_refill = f"({calendar.range('campaign')}={calendar.at('campaign', row)})*({calendar.range('planned')}>0)"
        last = f"SUMPRODUCT(MAX({of_refill}*ROW({calendar.range('planned')})))-{calendar.heading_row}"
        return f'IF({row}="","",{blank_or(calendar.at(key, last))})'

    return (
        Result("next_step", "Do this first", advice.next_step(plan)),
        Result("next_dose_date", "Next phosphate dose on", cell(n, "next_date"), format=style.DATE_FORMAT),
        Result("next_dose", "Dose on that day", cell(n, "next_dose"), unit="=" + advice.dose_unit(), format="0.0"),
        Result("next_dose_second", "Dipotassium phosphate with it (blend)", at_dose("second"),
               unit=f'=IF({plan.book.name("next_dose_second")}="","",{products.of(plan, DI, "unit")})', format="0.0"),
        Result("doses_needed", f"Days of dosing to the {terms.UPPER_END.lower()}",
               f'IF({row}="","",{facts.doses_needed(plan)})',
               unit="days"),
        Result("ph_before", "pH before that dose", at_dose("ph"), quantity(PH)),
        Result("ph_after_at_once", "pH after that dose, at once", at_dose("once"), quantity(PH)),
        Result("ph_after_settled", "pH after that dose, hours later", at_dose("settled"), quantity(PH)),
        Result("ph_after_refill", f"pH at the {terms.UPPER_END.lower()}", end("settled"), quantity(PH)),
        Result("alkalinity_after_refill", f"{terms.ALKALINITY_ONCE} at the upper end", end("alkalinity"),
               quantity(Alkalinity)),
        Result("phosphate_now", "Latest phosphate reading", cell(n, "latest"), unit=n.unit, format="0.0"),
        Result("uptake", "Uptake of phosphate", cell(n, "uptake"), unit=f"{n.unit} a day", format="0.00"),
        Result("uptake_error", "95 % interval of the uptake: plus or minus", cell(n, "uptake_error"),
               unit=f"{n.unit} a day", format="0.00"),
        Result("action_level", "Dose when phosphate is at or below", cell(n, "action"), unit=n.unit, format="0.0"),
        Result("days_to_low", "Days until phosphate falls to the lower end", cell(n, "days_to_low"),
               unit="days from the latest reading", format="0.0"),
        Result("split_advice", "Is this the right product?", advice.of_rule(plan, right_product)),
        Result("scale_index", f"Scale index at the {terms.UPPER_END.lower()}", advice.scale_index(plan), format="0.0"),
        Result("scale_verdict", "What that index means", advice.of_rule(plan, scale)),
        Result("others_due", "Other nutrients", advice.others(plan)),
        Result("rows_to_put_right", "Rows of readings to correct", advice.rows_to_put_right(plan)),
        Result("date_check", "Is the date above right?", advice.of_rule(plan, date_check)),
    )


WIDE = {"next_step": 2, "split_advice": 3, "scale_verdict": 1, "others_due": 4, "date_check": 1}


def write(plan: Plan) -> None:
    """Writes the sheet."""
    sheet = plan.book.sheet(SHEET, "", landscape=False)
    sheet["A1"].value = "Dosing plan"
    put(sheet, "A2", f"={blank_or(plan['system'])}", "note")
    widths(sheet, 5, 53, 20, 18, 48)
    row = front.purpose(sheet, 4, _FOR)
    row = front.first_steps(plan.book, sheet, row + 2, _FIRST_STEPS)
    first = row + 3
    row = front.results(plan.book, sheet, row + 2, key_results(plan), wide=WIDE)
    style.verdict_colours(sheet, [f"C{first}:C{row}"])
    row = front.functions_answer(plan.book, sheet, row + 2)
    row = front.cautions(sheet, row + 2, _CAUTIONS)
    sheet.print_area = f"A1:E{row}"
