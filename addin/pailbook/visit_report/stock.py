"""Fish and feed of a system: on hand, weight, density, deaths and survival over the period, feed of the last days."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

import pandas

from pailbook import terms
from pailbook.function import CATALOGUE
from pailbook.hosts.call import call
from pailbook.outcomes import Outcome
from pailbook.rules.words import texted
from pailbook.visit_report.season import Season, doubt_of
from pailbook.visit_report.tables import first_wrong, number
from pailbook.workbook.farm_log import fish, limits, registers, stock_rules
from pailbook.workbook.log.locate import folded
from pailbook.workbook.measures import FEED_GIVEN

_STOCK_KEYS = ("date", "system", "event", "count", "mean", "sample")  # that the log counts with
WEEK = 7  # days over which losses and feed are counted


@dataclass(frozen=True)
class Survival:
    """How many of the fish that were there or came in the period died, and the survival that follows."""

    dead: float
    total: float
    share: float
    low: float
    high: float


@dataclass(frozen=True)
class Stock:
    """A system's fish and feed in the log's units; None where it is not known."""

    count: float | None
    one: float | None
    weighed: date | None
    biomass: float | None
    density: float | None
    lost: float | None
    lost_share: float | None
    feed: float | None
    feed_share: float | None
    oxygen: float | None
    verdict: str
    survival: Survival | None
    missing: float  # fish that a count in the period did not find


def events(season: Season, system: str) -> pandas.DataFrame:
    """The system's rows of fish, with numbers as numbers and the change of stock that each makes.

    The column "doubt" is True for a row whose entries cannot be used; the number of fish is not known then.
    """
    every = season[fish.SHEET]
    rows: pandas.DataFrame = every[every["of"] == folded(system)].copy()
    for key in ("count", "mean", "sample"):
        rows[key] = number(rows[key])
    wrong = [first_wrong(row, fish.COLUMNS, _STOCK_KEYS, ("date", "system", "event", "count"))
             for _, row in every[every["of"] == folded(system)].iterrows()]
    rows["doubt"] = [bool(words) for words in wrong]
    rows["what"] = rows["event"].map(folded)
    sign = rows["what"].map({**dict.fromkeys(fish.IN, 1.0), **dict.fromkeys(fish.OUT, -1.0)})
    rows["change"] = (rows["count"] * sign).fillna(0.0).mask(rows["doubt"], 0.0)
    return rows


def stock_of(season: Season, system: pandas.Series, since: date, until: date) -> Stock:
    """A system's fish at the end of the period, and their survival in it."""
    rows = events(season, system["system"])
    doubtful = bool(rows["doubt"].any())
    count = None if rows.empty or doubtful else float(rows["change"].sum())
    one, weighed = _one(season, rows)
    per_unit = fish.SMALL_TO_LARGE[season.units]
    biomass = count * one / per_unit if count is not None and one is not None else None
    volume = system["volume_used"]
    density = _called("VESSEL_DENSITY", biomass, volume, season.units) if biomass and volume == volume else None
    lost = lost_share = None
    if count is not None:
        lost = float(rows.loc[(rows["what"] == fish.DIED) & _within(rows, until, WEEK), "count"].sum())
        lost_share = 100 * lost / (lost + count) if lost + count > 0 else None
    feed, feed_doubt = _feed(season, system["system"], until)
    return Stock(
        count, one, weighed, biomass, density, lost, lost_share, feed,
        100 * feed / (biomass * per_unit) if feed is not None and biomass else None,
        _called("OXYGEN_FROM_FEED", feed, 0.5, season.units) if feed is not None else None,
        "" if rows.empty else texted(terms.NOT_KNOWN, "an entry on the sheet Fish") if doubtful else _verdict(
            season, system, count, one, density, lost_share, feed_doubt),
        None if doubtful else _survival(rows, since, until),
        float(rows.loc[(rows["what"] == "found fewer") & _between(rows, since, until), "count"].sum()),
    )


def _one(season: Season, rows: pandas.DataFrame) -> tuple[float | None, date | None]:
    """The mean weight from the latest row that gives one, and its date."""
    usable = rows["what"].isin((fish.STOCKED, fish.WEIGHED)) & rows["date"].notna() & ~rows["doubt"]
    rows = rows[usable].sort_values(["date", "row"])
    for _, row in rows.iloc[::-1].iterrows():
        mass = row["mean"] if row["mean"] == row["mean"] else _called(
            "MEAN_MASS", row["sample"], row["count"], season.units)
        if mass is not None:
            return float(mass), row["date"].date()
    return None, None


def _called(function: str, *values: Any) -> float | None:
    """The function's answer, None where an input is missing or it has none."""
    if any(value is None or value != value for value in values):
        return None
    try:
        return float(call(CATALOGUE[function], list(values)))
    except Outcome:
        return None


def _within(rows: pandas.DataFrame, until: date, days: int) -> Any:
    last = pandas.Timestamp(until)
    return (rows["date"] > last - pandas.Timedelta(days=days)) & (rows["date"] <= last)


def _between(rows: pandas.DataFrame, since: date, until: date) -> Any:
    return (rows["date"] >= pandas.Timestamp(since)) & (rows["date"] <= pandas.Timestamp(until))


def _feed(season: Season, system: str, until: date) -> tuple[float | None, bool]:
    """Mean daily feed over the last week, where a day without a row counts as no feed; and whether it is not known."""
    rows = season[registers.FEED]
    rows = rows[(rows["of"] == folded(system)) & _within(rows, until, WEEK)]
    amounts = number(rows["feed"])
    least, most = FEED_GIVEN.limits(season.units)
    doubt = not bool(((amounts >= least) & (amounts <= most)).all())
    return (None if rows.empty or doubt else float(amounts.sum()) / WEEK), doubt


def _survival(rows: pandas.DataFrame, since: date, until: date) -> Survival | None:
    """None where no fish were there, or more died than there were."""
    before = float(rows.loc[rows["date"] < pandas.Timestamp(since), "change"].sum())
    period = rows[_between(rows, since, until)]
    total = before + float(period.loc[period["what"].isin(fish.IN), "count"].sum())
    dead = float(period.loc[period["what"] == fish.DIED, "count"].sum())
    if total < 1 or dead > total or total % 1 or dead % 1:
        return None
    low, high = (_called(name, dead, total) for name in ("SURVIVAL_LOW", "SURVIVAL_HIGH"))
    assert low is not None
    assert high is not None
    return Survival(dead, total, (total - dead) / total, low, high)


def _verdict(
    season: Season, system: pandas.Series, count: float | None, one: float | None, density: float | None,
    lost: float | None, feed_doubt: bool,
) -> str:
    """The log's verdict on fish whose number is known."""
    bounds, species = season.bounds, system["species"]

    def over(value: float | None, bound: float | None) -> bool:
        return value is not None and bound is not None and value > bound

    def dense(key: str) -> bool:
        bound = bounds.of(species, key)
        return over(density, bound.value if bound else None)

    doubt = doubt_of(system)
    ladder = (
        (count is not None and count < 0, stock_rules.MORE_WENT),
        (over(lost, bounds.general("deaths_act")), stock_rules.MANY_DEATHS),
        (dense("density_act"), stock_rules.OVERSTOCKED),
        *((bounds.is_unknown(key), limits.said_unknown(key)) for key in ("deaths_act", "deaths_watch")),
        *((bounds.is_unknown(key, species), limits.said_unknown(key))
          for key in ("density_act", "density_watch")),
        (bool(doubt), texted(terms.NOT_KNOWN, doubt)),
        (feed_doubt, texted(terms.NOT_KNOWN, "an amount on the sheet Feed, in the last 7 days")),
        (over(lost, bounds.general("deaths_watch")), stock_rules.SOME_DEATHS),
        (dense("density_watch"), stock_rules.DENSE),
        (one is None, stock_rules.NOT_WEIGHED),
        (count == 0, terms.FINE),
        (density is None, stock_rules.NO_VOLUME),
    )
    return next((words for holds, words in ladder if holds), terms.FINE)
