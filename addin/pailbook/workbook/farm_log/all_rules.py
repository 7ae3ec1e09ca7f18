"""All rules of the farm log."""

from __future__ import annotations

from pailbook.workbook.farm_log import registers, water_rules

RULES = (*water_rules.RULES, registers.incident)
