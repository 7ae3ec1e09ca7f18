"""All rules of the plan: those of the lines of Balance, of its rows, and of the plan as a whole."""

from __future__ import annotations

from pailbook.rules import Rule
from pailbook.workbook.stocking_plan import fish_rules, row_rules, water_rules

# By the line's key, the gravest first.
LINES: dict[str, Rule] = {
    "air": fish_rules.air, "filter": fish_rules.filter_media, "density": fish_rules.density,
    "small": water_rules.small, "alkalinity_use": water_rules.alkalinity_use, "pump": water_rules.pump,
    "turnover": water_rules.turnover, "plants": fish_rules.plants,
}
RULES = (*LINES.values(), row_rules.planned, row_rules.cohort, row_rules.area, row_rules.week,
         row_rules.freshness)
