"""A season of the scenario's systems, typed into a farm log in its own units: water, fish, feed and upkeep.

The slips that a log has to find (a wrong side of a tank, a kit in another basis, a test without a date) are in it on
purpose, each with a line that says so.
"""

from __future__ import annotations

import math
from datetime import date, time, timedelta
from typing import Any

from pailbook.demo import scenario
from pailbook.quantities import US
from pailbook.workbook.farm_log.build import farm_log
from pailbook.workbook.farm_log.log import Log
from pailbook.workbook.farm_log.water_moves import HAUL

FIRST_DAY, AS_OF = date(2026, 3, 2), date(2026, 5, 12)
NORTH, SOUTH, CLIENT, WALL = (system.name for system in scenario.SYSTEMS.values())
OWN_TESTER, CLIENTS_TESTER = "Ines", "Marek"


def _facts(system: scenario.System, *left_out: str) -> dict[str, Any]:
    """What Systems asks of a system, as the scenario has it."""
    facts = {"system": system.name, "client": system.client, "species": system.species, "volume": system.volume,
             "source": system.source}
    return {key: value for key, value in facts.items() if value and key not in left_out}


SYSTEMS: list[dict[str, Any]] = [
    _facts(scenario.NORTH_RAFT) | {"found": "salt and conductivity", "area": 21.0},
    _facts(scenario.SOUTH_BEDS) | {"found": "guessed", "area": 12.0},  # so that the log asks for a measured one
    # A depth of 76 cm, typed wrong, so that the volumes differ by over 10 %.
    _facts(scenario.SCHOOL_TANK) | {"found": "tape measure", "shape": "round", "length": 200.0, "width": 200.0,
                                    "depth": 56.0, "elevation": 1500.0, "area": 9.0},
    _facts(scenario.COURT_WALL, "volume") | {"found": "counted vessels"},  # before its volume was measured
]
KITS: list[dict[str, Any]] = [
    # A resolution twice the scenario's, too coarse for a change of 0.2.
    {"kit": "pH drops", "reads": "pH", "resolution": 0.4, "low": 6.4, "high": 8.2, "expiry": date(2027, 1, 31)},
    {"kit": "ammonia drops", "reads": "ammonia", "basis": "N", "resolution": 0.2, "low": 0.2, "high": 4.0,
     "expiry": date(2026, 5, 30)},
    # In P where the log is kept in PO4, which the log must see.
    {"kit": "phosphate powder sachets", "reads": "phosphate", "basis": "P", "resolution": 0.5, "low": 0.5, "high": 25.0,
     "expiry": date(2026, 12, 31)},
    {"kit": "alkalinity drops", "reads": "alkalinity", "basis": "CaCO3", "resolution": 5.0, "low": 5.0, "high": 300.0,
     "expiry": date(2026, 4, 30)},
    {"kit": "oxygen meter", "reads": "dissolved oxygen", "resolution": 0.1, "low": 0.0, "high": 20.0},
]
FISH: list[dict[str, Any]] = [
    {"date": date(2026, 3, 2), "system": NORTH, "event": "stocked", "count": 120, "sample": 12.0, "cause": "own hatch"},
    {"date": date(2026, 3, 2), "system": SOUTH, "event": "stocked", "count": 60, "mean": 350.0},
    {"date": date(2026, 3, 9), "system": CLIENT, "event": "stocked", "count": 200, "mean": 260.0},
    {"date": date(2026, 4, 13), "system": NORTH, "event": "weighed", "count": 20, "sample": 3.6},
    {"date": date(2026, 5, 8), "system": CLIENT, "event": "died", "count": 11, "cause": "low oxygen at night"},
    {"date": date(2026, 5, 9), "system": NORTH, "event": "harvested", "count": 15, "mean": 210.0},
    {"date": date(2026, 5, 6), "system": SOUTH, "event": "moved in", "count": 6, "mean": 300.0, "cause": "from a pond"},
    {"date": date(2026, 5, 10), "system": SOUTH, "event": "weighed", "count": 10, "sample": 4.1},
]
OTHERS: dict[str, list[dict[str, Any]]] = {
    "Feed": [
        {"date": AS_OF - timedelta(days=day), "system": system, "feed": grams, "kind": "sinking 3 mm", "protein": 42.0,
         "eaten": "all" if day else "some"}
        for day in range(7) for system, grams in ((NORTH, 240.0), (SOUTH, 300.0))
    ],
    "Doses": [
        {"date": date(2026, 4, 2), "system": NORTH, "aim": "raise pH", "product": "potassium bicarbonate, pure",
         "amount": 95.0, "unit": "g", "before": 7.2, "after": 7.4},
        {"date": date(2026, 4, 20), "system": SOUTH, "aim": "lower pH", "product": "phosphoric acid 10 %",
         "amount": 400.0, "unit": "mL", "before": 7.9, "after": 7.4},
        {"date": date(2026, 5, 2), "system": CLIENT, "aim": "medicine", "product": "by the vet", "amount": 10.0,
         "unit": "g"},
    ],
    "Water added and changed": [
        {"date": date(2026, 4, 1), "system": NORTH, "how": "topped up", "volume": 200.0, "source": "well",
         "chlorine": "has none"},
        {"date": date(2026, 4, 22), "system": CLIENT, "how": "changed", "volume": 400.0,
         "source": "tap water with chloramine", "chlorine": "no"},
        {"date": date(2026, 5, 8), "system": SOUTH, "how": "changed", "volume": 700.0, "source": "rain",
         "chlorine": "has none"},
        {"date": date(2026, 5, 9), "system": CLIENT, "how": "topped up", "volume": 15.0, "source": HAUL,
         "chlorine": "has none"},
    ],
    "Plants harvested": [
        {"date": date(2026, 4, 18), "system": NORTH, "crop": "lettuce", "plants": 48, "mass": 9.6, "to": "market"},
        {"date": date(2026, 5, 4), "system": CLIENT, "crop": "basil", "mass": 1.2, "to": "school kitchen"},
    ],
    "Upkeep": [
        {"date": date(2026, 4, 1), "item": "pH meter calibrated", "every": 30},
        {"date": date(2026, 4, 28), "item": "pH meter calibrated", "every": 30},
        {"date": date(2026, 3, 10), "system": CLIENT, "item": "backup air tried", "every": 30},
        {"date": date(2026, 4, 17), "system": NORTH, "item": "pump cleaned", "which": "main pump", "every": 28},
    ],
    "Incidents": [
        {"date": date(2026, 5, 8), "time": time(5, 40), "system": CLIENT, "what": "low oxygen", "dead": 11,
         "story": "fish at the surface, air pump off", "done": "spare pump, half the feed", "cause": "tripped breaker"},
        {"date": date(2026, 4, 3), "system": SOUTH, "what": "leak", "story": "drip at the sump", "done": "new seal",
         "closed": date(2026, 4, 4)},
    ],
}


def water_tests() -> list[dict[str, Any]]:
    """Readings, metric; the last dated one of each system is what the overview shows."""
    rows: list[dict[str, Any]] = []
    for week in range(10):
        day, wave = FIRST_DAY + timedelta(days=7 * week), math.sin(week / 1.7)
        rows.append({
            "date": day, "time": time(8, 15), "system": NORTH, "temperature": round(19 + 1.5 * wave, 1),
            "ph": round(7.8 - 0.06 * week, 2), "oxygen": round(7.4 + 0.4 * wave, 1), "tan": 0.2 + 0.05 * week,
            "nitrite": 0.2, "nitrate": 60.0 + 9 * week, "phosphate": round(12 + 4 * wave, 1),
            "alkalinity": 120.0 - 6 * week, "conductivity": 570.0 + 10 * week, "tester": OWN_TESTER})
        rows.append({
            "date": day + timedelta(days=1), "time": time(17, 30), "system": SOUTH, "temperature": round(22 + wave, 1),
            "ph": 7.6 - 0.2 * (week % 3), "oxygen": round(7.2 + 0.5 * wave, 1), "tan": 0.5 + 0.2 * (week % 4),
            "nitrite": 0.6 + 0.1 * week, "nitrate": 80.0 + 4 * week, "tester": OWN_TESTER})
    rows += [
        {"date": date(2026, 4, 20), "time": time(7, 0), "system": CLIENT, "temperature": 14.0, "ph": 7.6, "oxygen": 6.1,
         "tan": 0.8, "alkalinity": 107.0, "phosphate": 12.0, "tester": CLIENTS_TESTER},
        {"date": date(2026, 5, 8), "time": time(6, 0), "system": CLIENT, "temperature": 16.5, "ph": 7.9, "oxygen": 2.6,
         "tan": 1.6, "nitrite": 0.4, "alkalinity": 100.0, "note": "air pump was off", "tester": CLIENTS_TESTER},
        # Kits at the ends of their ranges.
        {"date": date(2026, 3, 30), "system": NORTH, "temperature": 19.0, "ph": 6.4, "tan": 4.0, "phosphate": 25.0,
         "note": "kits at the end of their ranges"},
        # All that can be wrong at once, beyond the limits of every species.
        {"date": date(2026, 3, 31), "system": NORTH, "temperature": 24.0, "ph": 8.6, "oxygen": 2.4, "tan": 2.0,
         "nitrite": 30.0, "alkalinity": 120.0, "phosphate": 16.0},
        {"date": date(2026, 4, 1), "system": NORTH, "tan": 1.0},  # without pH and temperature
        {"date": date(2026, 4, 1), "system": "Unknown", "temperature": 20.0, "ph": 7.2},  # a system that is not there
        {"system": NORTH, "temperature": 11.0, "ph": 7.2},  # without a date
    ]
    return rows


def fill(log: Log) -> Log:
    """Types the season into the log's cells, each number in the log's units."""
    sheets = {"Systems": SYSTEMS, "Kits": [kit | {"in_use": "yes"} for kit in KITS], "Water tests": water_tests(),
              "Fish": FISH, **OTHERS}
    for name, rows in sheets.items():
        table, sheet = log[name], log.book.workbook[name]
        for number, row in enumerate(rows, table.first_row):
            for key, value in row.items():
                quantity = table.column(key).quantity
                if quantity is not None and not isinstance(value, str):
                    value = log.book.show(quantity, value)
                    if quantity.converts and log.book.units == US:
                        value = float(f"{value:.3g}")  # as people type it
                sheet[f"{table.letter(key)}{number}"].value = value
    start, trends = log.book.workbook["Start"], log.book.workbook["Trends"]
    start[_address(log, "as_of")].value = AS_OF
    trends[_address(log, "trend_system")].value = NORTH
    log.book.workbook["Settings"]["B5"].value = scenario.FARM
    return log


def filled(units: str, plain: bool, rows: int = 500) -> Log:
    """A filled log."""
    return fill(farm_log(units, plain, rows))


def _address(log: Log, name: str) -> str:
    return log.book.named(name).split("!")[1].replace("$", "")
