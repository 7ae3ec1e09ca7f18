"""Defined names: each workbook's own begin with a prefix of its own, so that they collide with nobody's."""

from __future__ import annotations

PREFIXES = {
    "Farm log": "log_", "Move plan": "move_", "Dosing plan": "dosing_", "Stocking and feed plan": "stocking_",
    "Function guide": "guide_",
}


def key_of(name: str) -> str:
    """What a defined name stands for: the name without its workbook's prefix; any other name as it is."""
    prefix = next((prefix for prefix in PREFIXES.values() if name.casefold().startswith(prefix)), "")
    return name[len(prefix):]
