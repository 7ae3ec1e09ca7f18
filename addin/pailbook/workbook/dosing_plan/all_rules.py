"""All rules of the plan."""

from __future__ import annotations

from pailbook.rules import Rule
from pailbook.workbook.dosing_plan.day_rules import PRODUCTS, READING, calendar_day
from pailbook.workbook.dosing_plan.nutrient_rules import NEXT_STEP, OF_NUTRIENT
from pailbook.workbook.dosing_plan.plan_rules import date_check, ph_dose, right_product, scale

OF_THE_PLAN: tuple[Rule, ...] = (NEXT_STEP, right_product, scale, date_check, ph_dose)
OF_SETUP = (*OF_NUTRIENT.values(), *OF_THE_PLAN, *PRODUCTS.values(), calendar_day)  # that ask fields of Setup
RULES = (*OF_SETUP, READING)
