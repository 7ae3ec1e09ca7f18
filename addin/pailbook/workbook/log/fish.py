"""The fish of a log's file: each row, and each system's stock, feed and losses, judged by the log's rules."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from pailbook.function import CATALOGUE
from pailbook.hosts.call import call
from pailbook.hosts.cells import ErrorValue
from pailbook.outcomes import Outcome
from pailbook.rules import Judged, judge
from pailbook.workbook.farm_log import fish_columns, registers
from pailbook.workbook.farm_log.fish import SHEET
from pailbook.workbook.farm_log.fish_rules import fish_row
from pailbook.workbook.farm_log.questions import DATE
from pailbook.workbook.farm_log.stock_rules import fish_of_system
from pailbook.workbook.log.locate import folded
from pailbook.workbook.log.registers import JudgedRow, is_usable, typed
from pailbook.workbook.log.season import Row, Season, System
from pailbook.workbook.measures import FEED_GIVEN
from pailbook.workbook.validation import EARLIEST

WEEK = 7  # days over which losses and feed are counted
_NO_ANSWER = ErrorValue("#VALUE!")


@dataclass(frozen=True)
class Stock:
    """A system's fish and feed in the log's units; None where it is not known or there is none.

    one, weighed : mean weight of a fish at the latest weighing, and its day.
    feed : per day, mean of the last week; feed_share in % of the weight of the fish.
    oxygen : that the daily feed needs.
    """

    count: float | None
    one: float | None
    weighed: float | None
    biomass: float | None
    density: float | None
    lost: float | None
    lost_share: float | None
    feed: float | None
    feed_share: float | None
    oxygen: float | None
    judged: Judged


def usable_rows(season: Season, of: str) -> list[Row]:
    """The rows of a system, by its folded name, all of whose entries can be used."""
    return [row for row in season.rows(SHEET) if row.of == of and is_usable(season, row, fish_row)]


def change(row: Row) -> float:
    """By how many fish a usable row changes the stock."""
    event, count = folded(row["event"]), float(row["count"])
    return count if event in fish_columns.IN else -count if event in fish_columns.OUT else 0.0


def mean_weight(season: Season, row: Row) -> Any:
    """The weight of one fish in a usable row; None where none is given, an error where it cannot be calculated."""
    if row["mean"] is not None:
        return row["mean"]
    return None if row["sample"] is None else _called("MEAN_MASS", row["sample"], row["count"], season.units)


def weighs(row: Row) -> bool:
    """Whether a usable row says what the fish on hand weigh."""
    given = row["mean"] is not None or row["sample"] is not None
    return given and folded(row["event"]) in (fish_columns.STOCKED, fish_columns.WEIGHED)


def fish_rows(season: Season) -> list[JudgedRow]:
    """The rows of fish."""
    found = []
    for row in season.rows(SHEET):
        values = typed(season, row, fish_row)
        if all(value is None for value in values.values()):
            continue
        system, weight, on_hand = season.systems.get(row.of), None, None
        if is_usable(season, row, fish_row):
            until = [one for one in usable_rows(season, row.of) if one["date"] <= row["date"]]
            on_hand = sum(map(change, until))
            weight = _weight(season, on_hand, mean_weight(season, row)) if weighs(row) else None
        species = system.species if system else None
        values |= {
            "on_hand": on_hand, "weight": weight, "density": _density(season, system, weight),
            **{key: season.limits.of(species, key) for key in ("density_act", "density_watch")},
            "today": season.as_of, "new_fish_days": season.limits.of(None, "new_fish_days"),
        }
        found.append(JudgedRow(row, values, judge(fish_row, values, season.units)))
    return found


def stock_of(season: Season, system: System, until: Any = None) -> Stock:
    """A system's fish and feed up to a day, the log's own date where none is given."""
    until = season.as_of if until is None else until
    today = until if isinstance(until, float) and not any(DATE.outside(until)) else None
    rows = [row for row in season.rows(SHEET) if row.of == system.row.of]
    usable = usable_rows(season, system.row.of)
    count = float(sum(map(change, usable))) if rows and len(usable) == len(rows) else None
    latest = max((row for row in usable if weighs(row)), key=lambda row: (row["date"], row.number), default=None)
    one = mean_weight(season, latest) if latest else None
    biomass = _weight(season, count, one) if count is not None and isinstance(one, float) else None
    density = _density(season, system, biomass)
    lost = lost_share = None
    if count is not None and today is not None:
        lost = float(sum(row["count"] for row in usable
                         if folded(row["event"]) == fish_columns.DIED and today - WEEK < row["date"] <= today))
        lost_share = 100 * lost / (lost + count) if lost + count > 0 else None
    feed = _feed(season, system, today)
    small_to_large = fish_columns.SMALL_TO_LARGE[season.units]
    values = {
        "on_hand": count if not rows or count is not None else _NO_ANSWER, "one": one, "density": density,
        "lost_share": lost_share, "feed": feed, "species": system.species, "elevation": system.elevation,
        "today": until, **{key: season.limits.of(system.species, key) for key in (
            "density_act", "density_watch", "deaths_act", "deaths_watch")},
    }
    fed = feed if isinstance(feed, float) else None
    return Stock(
        count, one if isinstance(one, float) else None, latest["date"] if latest else None, biomass, density, lost,
        lost_share, fed, 100 * fed / (biomass * small_to_large) if fed is not None and biomass else None,
        None if fed is None else _number("OXYGEN_FROM_FEED", fed, 0.5, season.units),
        judge(fish_of_system, values, season.units))


def _weight(season: Season, count: float, one: Any) -> Any:
    return count * one / fish_columns.SMALL_TO_LARGE[season.units] if isinstance(one, float) else _NO_ANSWER


def _density(season: Season, system: System | None, weight: Any) -> float | None:
    if not isinstance(weight, float) or weight <= 0 or system is None or system.volume is None:
        return None
    return _number("VESSEL_DENSITY", weight, system.volume, season.units)


def _feed(season: Season, system: System, today: float | None) -> Any:
    """The mean of a week; None where nothing was fed or today is not known.

    An error where an amount is none, or has no day: it may be of this week.
    """
    if today is None:
        return None
    rows = [row for row in season.rows(registers.FEED) if row.of == system.row.of]
    if any((row.number_of("feed") or 0) > 0 and (row.number_of("date") or 0) < EARLIEST for row in rows):
        return _NO_ANSWER
    given = [row["feed"] for row in rows if isinstance(row["date"], float) and today - WEEK < row["date"] <= today]
    if any(not isinstance(one, float) or any(FEED_GIVEN.outside(one, season.units)) for one in given):
        return _NO_ANSWER
    return math.fsum(given) / WEEK if given else None


def _called(name: str, *given: Any) -> Any:
    try:
        return float(call(CATALOGUE[name], list(given)))
    except Outcome as reason:
        return ErrorValue(reason.code)


def _number(name: str, *given: Any) -> float | None:
    found = _called(name, *given)
    return found if isinstance(found, float) else None
