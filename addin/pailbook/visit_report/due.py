"""What is due before the next visit: tests, upkeep, kits, limits that will be reached, new fish, open incidents."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

import pandas

from pailbook.terms import FINE, international
from pailbook.visit_report.done import capital
from pailbook.visit_report.parameters import RULES, judged_as
from pailbook.visit_report.season import Season, day
from pailbook.workbook.check import tasks
from pailbook.workbook.farm_log import fish
from pailbook.workbook.farm_log.advice import NEVER
from pailbook.workbook.farm_log.trend_rules import BLUR
from pailbook.workbook.log import registers
from pailbook.workbook.log.kits_in_use import kits_in_use
from pailbook.workbook.log.locate import folded
from pailbook.workbook.log.registers import JudgedRow
from pailbook.workbook.log.season import System, text
from pailbook.workbook.log.trend import Trends

_STEADY = ("alkalinity", "ph", "po4", "no3")  # what changes by so much a day
_FARTHEST = 365  # days over which a trend is believed
_SHOWN = 0.01  # the error of a trend, as a share of it, from which on it is shown


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
    found = [*_upkeep(season), *_kits(season, until), *_open(season, until)]
    trends = Trends(season, tests["test"])
    for system in known:
        mine = tests[(tests["of"] == system.row.of) & tests["when"].notna()]
        found += [*_testing(season, system, mine, until), *_levels(season, system, trends, until),
                  *_new_fish(season, system, until)]
    return sorted((due for due in found if due.day <= next_visit), key=lambda due: (due.day, due.system, due.text))


def _testing(season: Season, system: System, tests: pandas.DataFrame, until: date) -> Iterator[Due]:
    """The next test of the water, and the next one that shows the toxic part of its ammonia."""
    name = system.name
    if tests.empty:
        yield Due(until, name, NEVER)
        return
    for key, limit, words in (("when", "days_watch", "Test the water."),
                              ("nh3", "days_act", "Test ammonia together with pH and temperature.")):
        days, known = season.limits.number(None, limit), tests[tests[key].notna()]
        if known.empty:
            yield Due(until, name, f"{words} This has not been done yet.")
        elif days is not None:
            latest = known["when"].max().date()
            yield Due(latest + timedelta(days=int(days)), name, f"{words} The last time was {latest}.")


def _upkeep(season: Season) -> Iterator[Due]:
    """Regular upkeep of the client's systems and of what serves all; a later row replaces older ones."""
    latest: dict[tuple[str, ...], JudgedRow] = {}
    for one in sorted(registers.kept_up(season), key=lambda one: (one.row.number_of("date") or 0.0, one.row.number)):
        if one.values["due"] is not None and not one.values["again"]:
            latest[one.row.of, folded(one.row["item"]), folded(one.row["which"])] = one
    for one in latest.values():
        done, due = day(one.row["date"]), day(one.values["due"])
        if done == done and due == due:
            item, which, system = (text(one.row[key]) for key in ("item", "which", "system"))
            yield Due(due.date(), system or "all systems",
                      f"{capital(tasks.to_do(international(item), which))}. The last time was {done.date()}.")


def _kits(season: Season, until: date) -> Iterator[Due]:
    """Kits in use, by their use-by dates."""
    for kit in kits_in_use(season).values():
        if kit.expiry is not None:
            last = day(kit.expiry).date()
            words = (f"{kit.name} expired on {last}; a new kit is needed." if last < until
                     else f"Replace by this date: {kit.name}.")
            yield Due(last, "test kits", words, late="watch: ")


def _open(season: Season, until: date) -> Iterator[Due]:
    """Incidents that are not closed."""
    for one in registers.incidents(season):
        when = day(one.row["date"])
        if when <= pandas.Timestamp(until) and one.judged.outcome != FINE:
            what, system = (text(one.row[key]) for key in ("what", "system"))
            of = f" ({international(what)})" if what else ""
            yield Due(until, system, f"The incident of {when.date()}{of} is still open: settle it and close it.")


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


def _levels(season: Season, system: System, trends: Trends, until: date) -> Iterator[Due]:
    """Limits that a steady trend will reach, by the day on which it will."""
    for rule in RULES:
        if rule.key not in _STEADY:
            continue
        limit, trend = season.limits.number(system.species, rule.watch), trends.of(system.row.of, rule.key)
        if limit is None or trend is None or trend.later is not None or trend.fall is None or trend.error is None:
            continue
        rate = -trend.fall if rule.above else trend.fall
        gap = limit - trend.now if rule.above else trend.now - limit
        if 0 < gap < _FARTHEST * rate and trend.error < BLUR * rate:
            when = day(trend.when).date() + timedelta(days=int(gap / rate))
            if when >= until:
                parameter, moves = judged_as(rule), "rises" if rule.above else "falls"
                unit = f" {parameter.unit_in(season.units)}" if parameter.unit_in(season.units) else ""
                interval = f" (95 % interval ± {trend.error:.1g})" if trend.error > _SHOWN * rate else ""
                words = (f"{parameter.label} {moves} by {rate:.2g}{unit} a day{interval}. It will be at its limit of "
                         f"{limit:.4g} at about this date.")
                yield Due(when, system.name, words)
