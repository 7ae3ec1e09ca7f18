"""An invented season, typed into a farm log in its own units: three systems, their water, fish, feed and upkeep."""

from __future__ import annotations

import math
from datetime import date, time, timedelta
from typing import Any

from pailbook.workbook.farm_log.build import farm_log
from pailbook.workbook.farm_log.log import Log

FIRST_DAY, AS_OF = date(2026, 3, 2), date(2026, 5, 12)
POND, RAFT, CLIENT = "Pond house", "Raft bay", "Heron's barn"

SYSTEMS: list[dict[str, Any]] = [
    {"system": POND, "species": "tilapia", "volume": 3800.0, "found": "flow meter",
     "shape": "round", "length": 240.0, "width": 240.0, "depth": 85.0, "area": 24.0, "source": "rain"},
    {"system": RAFT, "species": "koi", "volume": 5200.0, "found": "guessed", "area": 40.0,
     "source": "tap water with chloramine"},
    {"system": CLIENT, "client": "Heron Lane", "species": "rainbow trout", "volume": 2000.0, "found": "tape measure",
     "shape": "rectangular", "length": 200.0, "width": 100.0, "depth": 85.0, "elevation": 1500.0, "source": "well"},
    {"system": "Nursery", "species": "other", "found": "counted buckets", "source": "rain"},
]
KITS: list[dict[str, Any]] = [
    {"kit": "wide range drops", "reads": "pH", "resolution": 0.4, "low": 6.0, "high": 8.8, "expiry": date(2027, 1, 31)},
    {"kit": "drops, two bottles", "reads": "ammonia", "basis": "N", "resolution": 0.25, "low": 0.0, "high": 8.0,
     "expiry": date(2026, 5, 30)},
    {"kit": "powder pillows", "reads": "phosphate", "basis": "P", "resolution": 1.0, "low": 0.0, "high": 50.0,
     "expiry": date(2026, 12, 31)},
    {"kit": "titration drops", "reads": "alkalinity", "basis": "CaCO3", "resolution": 17.8, "low": 17.8, "high": 400.0,
     "expiry": date(2026, 4, 30)},
    {"kit": "optical meter", "reads": "dissolved oxygen", "resolution": 0.1, "low": 0.0, "high": 20.0},
]
FISH: list[dict[str, Any]] = [
    {"date": date(2026, 3, 2), "system": POND, "event": "stocked", "count": 120, "sample": 12.0, "cause": "own nursery"},
    {"date": date(2026, 3, 2), "system": RAFT, "event": "stocked", "count": 60, "mean": 350.0},
    {"date": date(2026, 3, 9), "system": CLIENT, "event": "stocked", "count": 180, "mean": 260.0},
    {"date": date(2026, 4, 13), "system": POND, "event": "weighed", "count": 20, "sample": 3.6},
    {"date": date(2026, 5, 8), "system": CLIENT, "event": "died", "count": 11, "cause": "low oxygen at night"},
    {"date": date(2026, 5, 9), "system": POND, "event": "harvested", "count": 15, "mean": 210.0},
    {"date": date(2026, 5, 6), "system": RAFT, "event": "moved in", "count": 6, "mean": 300.0, "cause": "from a pond"},
    {"date": date(2026, 5, 10), "system": RAFT, "event": "weighed", "count": 10, "sample": 4.1},
]
OTHERS: dict[str, list[dict[str, Any]]] = {
    "Feed": [
        {"date": AS_OF - timedelta(days=day), "system": system, "feed": grams, "kind": "grower, 3 mm", "protein": 32.0,
         "eaten": "all" if day else "some"}
        for day in range(7) for system, grams in ((POND, 240.0), (RAFT, 300.0))
    ],
    "Doses": [
        {"date": date(2026, 4, 2), "system": POND, "aim": "raise pH", "product": "potassium bicarbonate, pure",
         "amount": 95.0, "unit": "g", "before": 6.2, "after": 6.4},
        {"date": date(2026, 4, 20), "system": RAFT, "aim": "lower pH", "product": "phosphoric acid 10 %",
         "amount": 400.0, "unit": "mL", "before": 7.4, "after": 6.9},
        {"date": date(2026, 5, 2), "system": CLIENT, "aim": "medicine", "product": "by the vet", "amount": 10.0,
         "unit": "g"},
    ],
    "Water added and changed": [
        {"date": date(2026, 4, 1), "system": POND, "how": "topped up", "volume": 200.0, "source": "rain",
         "chlorine": "has none"},
        {"date": date(2026, 4, 22), "system": RAFT, "how": "changed", "volume": 1000.0,
         "source": "tap water with chloramine", "chlorine": "no"},
        {"date": date(2026, 5, 8), "system": CLIENT, "how": "changed", "volume": 900.0, "source": "well",
         "chlorine": "has none"},
        {"date": date(2026, 5, 9), "system": CLIENT, "how": "topped up", "volume": 15.0, "source": "haul water",
         "chlorine": "has none"},
    ],
    "Plants harvested": [
        {"date": date(2026, 4, 18), "system": RAFT, "crop": "lettuce", "plants": 48, "mass": 9.6, "to": "market"},
        {"date": date(2026, 5, 4), "system": POND, "crop": "basil", "mass": 1.2, "to": "kitchen"},
    ],
    "Upkeep": [
        {"date": date(2026, 4, 1), "item": "pH meter calibrated", "every": 30},
        {"date": date(2026, 4, 28), "item": "pH meter calibrated", "every": 30},
        {"date": date(2026, 3, 10), "system": CLIENT, "item": "backup air tried", "every": 30},
        {"date": date(2026, 4, 17), "system": POND, "item": "pump cleaned", "which": "main pump", "every": 28},
    ],
    "Incidents": [
        {"date": date(2026, 5, 8), "time": time(5, 40), "system": CLIENT, "what": "low oxygen", "dead": 11,
         "story": "fish at the surface, air pump off", "done": "spare pump, half the feed", "cause": "tripped breaker"},
        {"date": date(2026, 4, 3), "system": RAFT, "what": "leak", "story": "drip at the sump", "done": "new seal",
         "closed": date(2026, 4, 4)},
    ],
}


def water_tests() -> list[dict[str, Any]]:
    """Readings, metric; the last one of each system is what the overview shows."""
    rows: list[dict[str, Any]] = []
    for week in range(10):
        day, wave = FIRST_DAY + timedelta(days=7 * week), math.sin(week / 1.7)
        rows.append({
            "date": day, "time": time(8, 15), "system": POND, "temperature": round(25 + 1.5 * wave, 1),
            "ph": round(6.8 - 0.06 * week, 2), "oxygen": round(6.4 + 0.4 * wave, 1), "tan": 0.25 + 0.05 * week,
            "nitrite": 0.2, "nitrate": 60.0 + 9 * week, "phosphate": round(32 + 6 * wave, 1),
            "alkalinity": 70.0 - 6 * week, "conductivity": 900.0 + 10 * week, "tester": "Ada"})
        rows.append({
            "date": day + timedelta(days=1), "time": time(17, 30), "system": RAFT, "temperature": round(22 + wave, 1),
            "ph": 7.4 - 0.2 * (week % 3), "oxygen": round(7.2 + 0.5 * wave, 1), "tan": 0.5 + 0.2 * (week % 4),
            "nitrite": 0.6 + 0.1 * week, "nitrate": 80.0 + 4 * week, "tester": "Ben"})
    rows += [
        {"date": date(2026, 4, 20), "time": time(7, 0), "system": CLIENT, "temperature": 14.0, "ph": 7.6, "oxygen": 6.1,
         "tan": 0.8, "alkalinity": 107.0, "phosphate": 12.0},
        {"date": date(2026, 5, 8), "time": time(6, 0), "system": CLIENT, "temperature": 16.5, "ph": 8.0, "oxygen": 4.2,
         "tan": 1.6, "nitrite": 0.4, "alkalinity": 17.8, "note": "air pump was off"},
        {"date": date(2026, 3, 30), "system": POND, "temperature": 25.0, "ph": 6.0, "tan": 8.0, "phosphate": 50.0,
         "note": "kits at the end of their ranges"},
        {"date": date(2026, 3, 31), "system": POND, "temperature": 25.0, "ph": 8.6, "oxygen": 2.4, "tan": 2.0,
         "nitrite": 30.0, "alkalinity": 120.0, "phosphate": 35.0},
        {"date": date(2026, 4, 1), "system": POND, "tan": 1.0},
        {"date": date(2026, 4, 1), "system": "Unknown", "temperature": 20.0, "ph": 7.0},
        {"system": POND, "temperature": 11.0, "ph": 7.0},
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
                sheet[f"{table.letter(key)}{number}"].value = value
    start, trends = log.book.workbook["Start"], log.book.workbook["Trends"]
    start[_address(log, "as_of")].value = AS_OF
    trends[_address(log, "trend_system")].value = POND
    log.book.workbook["Settings"]["B5"].value = "Greenlea farm"
    return log


def filled(units: str, plain: bool, rows: int = 500) -> Log:
    """A filled log."""
    return fill(farm_log(units, plain, rows))


def _address(log: Log, name: str) -> str:
    return log.book.named(name).split("!")[1].replace("$", "")
