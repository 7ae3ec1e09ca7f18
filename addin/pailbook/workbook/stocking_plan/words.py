"""Numbers in words: rounded to what their size deserves, with their unit."""

from __future__ import annotations

from pailbook.quantities import LITRES_PER_US_GALLON
from pailbook.workbook.form import Plan
from pailbook.workbook.measures import quantity
from pailbook.workbook.stocking_plan.places import weeks


def amount(plan: Plan, text: str, hint: object) -> str:
    """Formula text for a value in words: rounded to what its size in that unit system deserves, with its unit."""
    one = quantity(hint)
    digits = {"kg": 1, "lb": 1, "oz": 1}
    unit = one.unit_in(plan.book.units)
    return f'ROUND({text},{digits.get(unit, 0)})&" {unit}"'


def nitrate(plan: Plan) -> str:
    """Formula text for how much the nitrate made each day would add to the water; no verdict follows from it."""
    litres = {"metric": "", "us": f"*{LITRES_PER_US_GALLON}"}[plan.book.units]
    column = weeks(plan, "nitrate")
    return (f'IF(OR(COUNT({column})=0,COUNT({plan["volume"]})=0),"",'
            f'"up to "&ROUND(MAX({column})*1000/({plan["volume"]}{litres}),1)&" mg/L a day; plants and water changes '
            f'remove it")')
