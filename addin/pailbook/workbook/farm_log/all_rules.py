"""All rules of the farm log."""

from __future__ import annotations

from pailbook.workbook.farm_log import kit_rules, registers, system_state_rules, systems, upkeep, water_moves, water_rules

RULES = (*water_rules.RULES, registers.incident, water_moves.dose, water_moves.water_in, upkeep.kept_up,
         kit_rules.kit, systems.volume_check, *system_state_rules.RULES)
