"""The invented farm, described once: people, systems, fish, water and moves.

All invented data of the demo, the tests, the examples in the docs and the pictures comes from here. The facts of the
systems, the kits and the move are in the .csv files beside this module.
"""

from __future__ import annotations

import csv
import datetime
from collections.abc import Mapping
from dataclasses import dataclass
from importlib import resources
from typing import Any

FARM, SCHOOL, COURTYARD = "Ossling Farm", "Varrowby School", "Quillon Court"
CLIENTS = (SCHOOL, COURTYARD)
SPECIES = ("yellow perch", "jade perch", "channel catfish")

# The range of the water in the scenario's systems: pH, and in mg/L alkalinity as CaCO3 and phosphate as PO4.
PH, ALKALINITY, PHOSPHATE = (7.1, 7.9), (55.0, 140.0), (3.0, 18.0)
PHOSPHATE_TARGET_MOST = 20.0
VESSELS_L, VESSELS_US_GAL = (30.0, 60.0, 90.0), (8.0, 25.0)
BAG_L, OXYGEN_TANK_L = 30.0, 900.0


@dataclass(frozen=True)
class System:
    """One system of the farm or of a client: its volume in L, and where its water comes from."""

    name: str
    client: str
    species: str
    volume: float
    source: str


def _rows(name: str) -> list[dict[str, str]]:
    return list(csv.DictReader(resources.files(__package__).joinpath(name).read_text(encoding="utf-8").splitlines()))


def typed(text: str) -> Any:
    """The number, date, time or text that a field of the files holds."""
    for read in (float, datetime.date.fromisoformat, datetime.time.fromisoformat):
        try:
            return read(text)
        except ValueError:
            continue
    return text


SYSTEMS: Mapping[str, System] = {
    row["system"]: System(row["system"], row["client"], row["species"], float(row["volume"]), row["source"])
    for row in _rows("systems.csv")
}
NORTH_RAFT, SOUTH_BEDS, SCHOOL_TANK, COURT_WALL = SYSTEMS.values()

# The move from one client's system to the other's, in metric units, by the keys of the move plan.
MOVE: Mapping[str, Any] = {row["what"]: typed(row["value"]) for row in _rows("move-plan.csv")}
MORNINGS = tuple(float(row["reading"]) for row in _rows("move-mornings.csv"))  # pH after the first two doses

# Nine yellow perch in one vessel, for 40 minutes with air: the base case of the tests of moves, in metric units.
BASE_MOVE: Mapping[str, Any] = {
    "species": "yellow perch", "from_ph": 7.6, "to_ph": 7.5, "from_temperature": 19.0, "to_temperature": 19.0,
    "fish_count": 9.0, "fish_weight": 0.99, "vessel_count": 1.0, "vessel_volume": 60.0, "road_minutes": 40.0,
    "air_flow": 2.0, "to_volume": NORTH_RAFT.volume, "resident_weight": 12.0, "to_tan": 0.0, "to_nitrite": 0.0,
    "feed_now": 165.0, "filter_area": 220.0,
}
