"""What is due before the next visit: tests, upkeep, kits, limits that will be reached, new fish, open incidents."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

import pandas

from pailbook.function import CATALOGUE
from pailbook.hosts.call import call
from pailbook.outcomes import Outcome
from pailbook.visit_report.done import capital
from pailbook.visit_report.parameters import RULES, judged_as
from pailbook.visit_report.season import EPOCH, Season, day, number
from pailbook.workbook.check import tasks
from pailbook.workbook.farm_log import fish, registers, upkeep, verdict, water_moves
from pailbook.workbook.farm_log.advice import NEVER
from pailbook.workbook.farm_log.water_columns import IN_BASIS
from pailbook.workbook.log.kits_in_use import kits_in_use
from pailbook.workbook.log.locate import folded
from pailbook.workbook.log.season import System

_FEWEST, _LONGEST = 3, 60  # readings that a trend needs, and days that it may go back
_FARTHEST = 365  # days over which a trend is believed
_BLUR, _SHOWN = 0.5, 0.01  # largest error of a trend as a share of it, and the share from which on it is shown


@dataclass(frozen=True)
class Due:
    """Something to do: by when, where, what, and what its text begins with once that day has passed."""

    day: date
    system: str
    text: str
    late: str = "act: overdue. "


def all_due(
    season: Season, known: list[System], tests: pandas.DataFrame, until: date, next_visit: date
) -> list[Due]:
    """What is due up to the next visit, the earliest first."""
    found = [*_upkeep(season, known), *_kits(season, until), *_open(season, until)]
    for system in known:
        mine = tests[(tests["of"] == system.row.of) & tests["when"].notna()]
        found += [*_testing(season, system, mine, until), *_levels(season, system, mine, until),
                  *_new_fish(season, system, until)]
    return sorted((due for due in found if due.day <= next_visit), key=lambda due: (due.day, due.system, due.text))


def _testing(season: Season, system: System, tests: pandas.DataFrame, until: date) -> Iterator[Due]:
    """The next test of the water, and the next one that shows the toxic part of its ammonia."""
    name = system.name
    if tests.empty:
        yield Due(until, name, NEVER)
        return
    for key, limit, text in (("when", "days_watch", "Test the water."),
                             ("nh3", "days_act", "Test ammonia together with pH and temperature.")):
        days, known = season.limits.number(None, limit), tests[tests[key].notna()]
        if known.empty:
            yield Due(until, name, f"{text} This has not been done yet.")
        elif days is not None:
            latest = known["when"].max().date()
            yield Due(latest + timedelta(days=int(days)), name, f"{text} The last time was {latest}.")


def _upkeep(season: Season, known: list[System]) -> Iterator[Due]:
    """Regular upkeep of these systems and of what serves all; a later row replaces older ones."""
    rows = season[upkeep.SHEET]
    rows = rows[rows["of"].isin({*(system.row.of for system in known), ""}) & rows["date"].notna()].copy()
    rows["every"] = number(rows["every"])
    for (_, item, which), group in rows.sort_values(["date", "row"]).groupby(["of", "item", "which"], sort=False):
        last = group.iloc[-1]
        if last["every"] == last["every"]:
            again = (last["date"] + pandas.Timedelta(days=last["every"])).date()
            yield Due(again, last["system"] or "all systems",
                      f"{capital(tasks.to_do(item, which))}. The last time was {last['date'].date()}.")


def _kits(season: Season, until: date) -> Iterator[Due]:
    """Kits in use, by their use-by dates."""
    for kit in kits_in_use(season).values():
        if kit.expiry is not None:
            last = day(kit.expiry).date()
            text = (f"{kit.name} expired on {last}; a new kit is needed." if last < until
                    else f"Replace by this date: {kit.name}.")
            yield Due(last, "test kits", text, late="watch: ")


def _open(season: Season, until: date) -> Iterator[Due]:
    """Incidents that are not closed."""
    rows = season[registers.INCIDENTS]
    still = rows["date"].notna() & rows["closed"].isna() & (rows["date"] <= pandas.Timestamp(until))
    for _, row in rows[still].iterrows():
        what = f" ({row['what']})" if row["what"] else ""
        text = f"The incident of {row['date'].date()}{what} is still open: settle it and close it."
        yield Due(until, row["system"], text)


def _new_fish(season: Season, system: System, until: date) -> Iterator[Due]:
    """How long fish that came lately must be watched."""
    days = season.limits.number(None, "new_fish_days")
    came = [when for row in season.rows(fish.SHEET) if row.of == system.row.of and folded(row["event"]) in fish.NEW
            and (when := day(row["date"])) <= pandas.Timestamp(until)]
    if days is not None and came:
        latest = max(came).date()
        last = latest + timedelta(days=int(days))
        if last > until:
            yield Due(last, system.name, f"New fish came on {latest}: watch them every day until this date.")


def _levels(season: Season, system: System, tests: pandas.DataFrame, until: date) -> Iterator[Due]:
    """Limits that a steady trend will reach, by the day on which it will."""
    for rule in RULES:
        if rule.key not in ("alkalinity", "ph", "po4", "no3"):
            continue
        limit = season.limits.number(system.species, rule.watch)
        trend = None if limit is None else _trend(season, system, tests, rule)
        if limit is None or trend is None:
            continue
        now, last, fall, error = trend
        rate = -fall if rule.above else fall
        gap = limit - now if rule.above else now - limit
        if 0 < gap < _FARTHEST * rate and error < _BLUR * rate:
            when = last + timedelta(days=int(gap / rate))
            if when >= until:
                parameter, moves = judged_as(rule), "rises" if rule.above else "falls"
                unit = f" {parameter.unit_in(season.units)}" if parameter.unit_in(season.units) else ""
                interval = f" (95 % interval ± {error:.1g})" if error > _SHOWN * rate else ""
                text = (f"{parameter.label} {moves} by {rate:.2g}{unit} a day{interval}. It will be at its limit of "
                        f"{limit:.4g} at about this date.")
                yield Due(when, system.name, text)


def _trend(
    season: Season, system: System, tests: pandas.DataFrame, rule: verdict.Judged
) -> tuple[float, date, float, float] | None:
    """The latest value, its day, the fall a day since the last dose or water change, and the error of that fall."""
    kept = tests[tests[rule.key].notna()]
    if kept.empty:
        return None
    start = max(kept["when"].max() - pandas.Timedelta(days=_LONGEST), _last_change(season, system))
    kept = kept[kept["when"] >= start]
    if len(kept) < _FEWEST:
        return None
    days = [float(day) for day in (kept["when"] - EPOCH) / pandas.Timedelta(days=1)]
    series: list[Any] = [days, list(map(float, kept[rule.key]))]
    resolution = _resolution(season, rule)
    try:
        fall = call(CATALOGUE["UPTAKE_RATE"], series)
        error = call(CATALOGUE["UPTAKE_ERROR"], [*series, None, None, None, resolution])
    except Outcome:
        return None
    return series[1][-1], kept["when"].iloc[-1].date(), float(fall), float(error)


def _resolution(season: Season, rule: verdict.Judged) -> float:
    """The kit's resolution in the basis of the limit; 0 where it is not known."""
    known = {IN_BASIS.get(key, key): kit.resolution for key, kit in kits_in_use(season).items()}
    return known.get(rule.key) or 0.0


def _last_change(season: Season, system: System) -> pandas.Timestamp:
    """The day after the last dose or water change; before it a trend says nothing about the system itself."""
    latest: pandas.Timestamp = EPOCH
    for sheet in (water_moves.DOSES, water_moves.CHANGES):
        rows = season[sheet]
        rows = rows[(rows["of"] == system.row.of) & rows["date"].notna()]
        if sheet == water_moves.CHANGES:
            rows = rows[rows["how"] != "topped up"]
        if not rows.empty:
            latest = max(latest, pandas.Timestamp(rows["date"].max()) + pandas.Timedelta(days=1))
    return latest
