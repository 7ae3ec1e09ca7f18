"""The water tests of a log's file, with what is calculated from them and what the log's rules ask of each."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

from pailbook.function import CATALOGUE
from pailbook.hosts.call import call
from pailbook.outcomes import Outcome
from pailbook.rules.faults import NotInOrder, fault
from pailbook.workbook.farm_log import kit_columns, limits, water_rules
from pailbook.workbook.farm_log.questions import DATE, TIME
from pailbook.workbook.farm_log.verdict import NO_NUMBER, SHEET, mentioned
from pailbook.workbook.farm_log.water_columns import IN_BASIS
from pailbook.workbook.log.kits_in_use import kits_in_use
from pailbook.workbook.log.season import Row, Season

# What is calculated from a test: the function, what it needs, and what it uses where it is there.
_CALCULATED = {
    "nh3": ("AMMONIA_UNIONIZED", ("tan_n", "ph", "temperature"), ("conductivity",)),
    "saturation": ("OXYGEN_PERCENT", ("oxygen", "temperature"), ("none", "elevation")),
    "co2": ("CARBON_DIOXIDE", ("ph", "alkalinity", "temperature"), ("po4", "conductivity")),
}
_OF_ROW = {one.name: one for one in water_rules.entries.questions}


@dataclass(frozen=True)
class Test:
    """A test of the water.

    values : what the log's rules ask of it, by the names of their questions, in the log's own basis.
    """

    row: Row
    values: dict[str, Any]

    @property
    def of(self) -> str:
        """The folded name of its system."""
        return self.row.of

    @cached_property
    def when(self) -> float | None:
        """Day and time, as days from 1900; None where its date is none."""
        date, time = self.values["date"], self.values["time"]
        if not isinstance(date, float) or any(DATE.outside(date)):
            return None
        return date + (time if isinstance(time, float) and not any(TIME.outside(time)) else 0.0)

    @property
    def is_read(self) -> bool:
        """Whether anything was read in it."""
        return any(self.values[name] is not None for name in water_rules.VALUES)

    def verdict(self, units: str) -> str:
        """The word that follows from the reasons: act, not known, watch or fine."""
        return water_rules.verdict(water_rules.why(self.values, units))

    def number(self, name: str) -> float | None:
        """A reading or a calculated value, in the log's own basis; None where it is blank or cannot be used."""
        value = self.values[name]
        return value if isinstance(value, float) and name not in self.wrong else None

    @cached_property
    def unanswered(self) -> frozenset[str]:
        """What could not be calculated although all that it needs can be used."""
        return frozenset(name for name, (_, needed, _) in _CALCULATED.items()
                         if self.values[name] is None and all(self.number(one) is not None for one in needed))

    @cached_property
    def wrong(self) -> frozenset[str]:
        """The readings that cannot be used."""
        return frozenset(self.values["wrong"])


def water_tests(season: Season) -> list[Test]:
    """All tests of the log, in the order of its rows."""
    of_kits = _of_kits(season)
    return [Test(row, _values(season, row) | of_kits) for row in season.rows(SHEET)]


def _of_kits(season: Season) -> dict[str, Any]:
    """What the rules ask of the kits, the same for all tests."""
    found: dict[str, Any] = {}
    known = kits_in_use(season)
    for reads in kit_columns.READS:
        name, kit = IN_BASIS.get(reads.key, reads.key), known.get(reads.key)
        found[f"{name}_kit"] = NotInOrder(kit.complaint) if kit and kit.complaint else 1.0
        found[f"{name}_low"], found[f"{name}_high"] = (kit.low, kit.high) if kit else (None, None)
        found[f"{name}_good"] = kit.expiry if kit else None
        found[f"{name}_name"] = kit.name if kit else None
    return found


def _values(season: Season, row: Row) -> dict[str, Any]:
    system = season.systems.get(row.of)
    found: dict[str, Any] = {}
    for name, column in water_rules.VALUES.items():
        value, factor = row[column.key], season.factors.get(column.key, 1.0)
        if isinstance(value, float):
            value = NotInOrder(f"{mentioned(column)} {NO_NUMBER}") if factor is None else value * factor
        found[name] = value
    found |= {
        "date": row["date"], "time": row["time"],
        "system": float(system.place) if system else row["system"],
        "species": system.species if system else None,
        "elevation": system.elevation if system else season.elevation,
        **{limit.key: season.limits.of(system.species if system else None, limit.key) for limit in limits.OF_WATER},
    }
    wrong = {name for name in water_rules.VALUES if fault(_OF_ROW[name], found[name], season.units)}
    usable = {name: None if name in wrong else value for name, value in found.items()}
    for name, (function, needed, others) in _CALCULATED.items():
        given = [usable[one] for one in needed]
        beside = [0.0 if one == "none" else usable[one] for one in others]
        unusable = any(one in wrong for one in others)
        found[name] = None if None in given or unusable else _called(function, [*given, *beside], season.units)
    return found | {"wrong": sorted(wrong)}


def _called(name: str, given: list[Any], units: str) -> float | None:
    function = CATALOGUE[name]
    blanks = [None] * (len(function.arguments) - len(given))
    try:
        return float(call(function, [*given, *blanks, units] if function.has_units else given))
    except Outcome:
        return None
