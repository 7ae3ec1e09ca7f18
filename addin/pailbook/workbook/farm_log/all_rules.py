"""All rules of the farm log."""

from __future__ import annotations

from pailbook.workbook.farm_log import (
    fish_rules,
    kit_rules,
    registers,
    stock_rules,
    system_state_rules,
    systems,
    trend_rules,
    upkeep,
    water_moves,
    water_rules,
)

RULES = (*water_rules.RULES, fish_rules.fish_row, stock_rules.fish_of_system, registers.incident, water_moves.dose,
         water_moves.water_in, upkeep.kept_up, kit_rules.kit, systems.volume_check, *system_state_rules.RULES,
         *trend_rules.RULES)
