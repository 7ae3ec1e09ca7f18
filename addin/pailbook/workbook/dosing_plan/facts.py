"""The numbers of the whole plan that rules ask, in hidden columns of the sheet Nutrients, with their clean cells."""

from __future__ import annotations

from collections.abc import Callable

from openpyxl.worksheet.worksheet import Worksheet

from pailbook.functions.dosing import PH_CHEMICALS
from pailbook.rules import Rule, Sheet, clean, same_question
from pailbook.terms import ACT
from pailbook.workbook.dosing_plan import products
from pailbook.workbook.dosing_plan.all_rules import OF_THE_PLAN
from pailbook.workbook.dosing_plan.nutrients import BLEND, DI, MONO, NUTRIENTS, PHOSPHATE, Nutrient
from pailbook.workbook.dosing_plan.places import (
    AS_OF,
    FACT_KEYS,
    FACTS,
    SCALE_INDEX,
    SHEETS,
    cell,
    clean_cell,
    clean_fact,
    fact_row,
)
from pailbook.workbook.form import Plan
from pailbook.workbook.sheets import put
from pailbook.workbook.texts import blank_or

_CALENDAR = SHEETS["calendar"]


def _of_calendar(plan: Plan, key: str) -> str:
    return plan.tables[_CALENDAR].range(key)


def _next_second(plan: Plan) -> str:
    row = cell(PHOSPHATE, "next_row")
    return f'IF({row}="","",{blank_or(plan.tables[_CALENDAR].at("second", row))})'


def _days_of_dosing(plan: Plan) -> str:
    """Of the next refill in the calendar; without one, of a refill from the lower end to the upper."""
    row = cell(PHOSPHATE, "next_row")
    return f'IF({row}="",{products.in_use(plan, "days")},{doses_needed(plan)})'


def doses_needed(plan: Plan) -> str:
    """Formula text for the number of days that the next refill takes."""
    campaign = plan.tables[_CALENDAR].at("campaign", cell(PHOSPHATE, "next_row"))
    return f"SUMPRODUCT(({_of_calendar(plan, 'campaign')}={campaign})*({_of_calendar(plan, 'planned')}>0))"


def _acid_strength(plan: Plan) -> str:
    acid = ",".join(f'{plan["ph_chemical"]}="{c.name}"' for c in PH_CHEMICALS if c.density)
    return f'IF(OR({acid}),IF({plan["ph_strength"]}="","",{plan["ph_strength"]}),100)'


def _latest_date(_: Plan) -> str:
    dates = ",".join(cell(n, "latest_date") for n in NUTRIENTS)
    return f'IF(COUNT({dates})=0,"",MAX({dates}))'


def _tests(plan: Plan) -> str:
    """How many pH and alkalinity there are on Readings; no number where one of them is not in order."""
    readings = plan.tables[SHEETS["readings"]]
    columns = [readings.range(f"clean_{key}") for key in ("ph", "alkalinity")]
    faults = "+".join(f'SUMPRODUCT((LEFT({column},1)="?")*1)' for column in columns)
    return f'IF({faults}>0,"?",COUNT({",".join(columns)}))'


_FACTS: dict[str, Callable[[Plan], str]] = {
    "tests": _tests,
    "refill": lambda plan: f"SUM({_of_calendar(plan, 'refill')})",
    "at_limit": lambda plan: f'COUNTIF({_of_calendar(plan, "word")},"{ACT}")',
    "today": lambda _: blank_or(AS_OF), "date_today": lambda _: blank_or(AS_OF), "latest_date": _latest_date,
    "dose_unit": lambda _: cell(PHOSPHATE, "dose_unit"), "next_second": _next_second,
    "days_of_dosing": _days_of_dosing,
    "mono": lambda plan: products.of(plan, BLEND, "refill"), "di": lambda plan: products.of(plan, BLEND, "second"),
    "mono_unit": lambda plan: products.of(plan, MONO, "unit"), "di_unit": lambda plan: products.of(plan, DI, "unit"),
    "scale_index": lambda _: SCALE_INDEX,
    "calcium_there": lambda plan: f'IF(SUM({plan["calcium"]})=0,"",{plan["calcium"]})',
    "ph_asked": lambda plan: f"COUNTA({plan['ph_target']},{plan['ph_chemical']})",
    "acid_strength": _acid_strength,
}
assert tuple(_FACTS) == FACT_KEYS
_QUESTIONS = same_question(one for rule in OF_THE_PLAN for one in rule.questions)


def asking(plan: Plan, rule: Rule, n: Nutrient = PHOSPHATE, **here: str) -> Sheet:
    """The formulas of a rule that asks the boxes of a nutrient; `here` are the clean cells of its own row."""
    known = {**{key: clean_fact(key) for key in _FACTS}, **here}
    forms = {key for form in plan.forms.values() for key in form.questions}
    boxes = {one.name: clean_cell(n, one.name) for one in rule.questions if one.name not in {*known, *forms}}
    return plan.asking(rule, **boxes, **known)


def write(plan: Plan, sheet: Worksheet) -> None:
    """Writes the facts: what they are, the numbers, their clean cells."""
    for key, text in _FACTS.items():
        row, asked = fact_row(key), _QUESTIONS[key]
        label, number, hidden = (f"{letter}{row}" for letter in FACTS)
        put(sheet, label, asked.label, "note")
        put(sheet, number, f"={text(plan)}", "result")
        put(sheet, hidden, f"={clean(asked, f'${FACTS[1]}${row}', plan.book.units)}", "result")
    for letter in FACTS:
        sheet.column_dimensions[letter].hidden = True
