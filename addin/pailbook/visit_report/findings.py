"""What was found: each system's latest readings and limits, its verdict and next step, as the log gives them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

import pandas

from pailbook import terms
from pailbook.rules import judge as judge_by
from pailbook.rules.words import NO_URGENCY
from pailbook.visit_report.bounds import Bound
from pailbook.visit_report.parameters import PARAMETERS, RULES, Parameter, judged_as
from pailbook.visit_report.season import Season
from pailbook.visit_report.sentences import of_system
from pailbook.visit_report.stock import Stock, stock_of
from pailbook.visit_report.water import READINGS, judge, value_of, worst
from pailbook.workbook.farm_log import verdict
from pailbook.workbook.farm_log.system_state_rules import ALWAYS, STEPS, URGENT, WHERE_TESTED, system_state
from pailbook.workbook.log.locate import folded
from pailbook.workbook.readings.noted import noted_as


@dataclass(frozen=True)
class Reading:
    """A parameter's latest value, its range in the period, and how it compares with the limits."""

    parameter: Parameter
    value: float
    when: Any
    timed: bool  # whether the hour was recorded
    early: bool  # read before the period
    lowest: float | None
    highest: float | None
    limits: str
    verdict: str  # empty where there is no limit
    sources: dict[str, str]  # the limits in words, by their source


@dataclass(frozen=True)
class Found:
    """What was found in a system."""

    name: str
    species: str
    volume: float | None
    verdict: str
    step: str
    reasons: list[str]  # as the log gives them
    sentences: list[str]  # the same for a client
    tests: pandas.DataFrame  # dated ones in the period, oldest first
    readings: list[Reading]
    noted: list[str]  # readings of the period that stand only in the notes of its tests
    days: int | None  # since the latest test
    ammonia_days: int | None
    stock: Stock


def found_in(
    season: Season, system: pandas.Series, tests: pandas.DataFrame, since: date, until: date
) -> Found:
    """What the log says of a system up to the end of the period."""
    mine = tests[(tests["of"] == folded(system["system"])) & tests["read"] & tests["when"].notna()]
    latest = mine.iloc[-1] if not mine.empty else None
    undated = (tests["of"] == folded(system["system"])) & tests["read"] & tests["when"].isna()
    of_test = [] if latest is None else latest["reasons"]
    days = _days(mine, until)
    ammonia_days = _days(mine[mine["nh3"].notna()], until)
    asked = {
        "name": 1.0, "dated": None if undated.any() else 1.0, "test": None if latest is None else worst(of_test),
        "urgent": None if latest is None else min(
            (rung.urgency for rung in URGENT if verdict.says(rung.says, terms.ACT) in of_test), default=NO_URGENCY),
        "today": until, "days": days, "ammonia_days": ammonia_days,
        **{key: terms.NOT_KNOWN if season.bounds.is_unknown(key) else season.bounds.general(key)
           for key in ("days_watch", "days_act")},
    }
    judged = judge_by(system_state, asked)
    unknown = [judge_by(rule, asked) for rule in (*ALWAYS, *(() if latest is None else WHERE_TESTED))]
    reasons = [*(one.text for one in unknown if one.outcome == terms.NOT_KNOWN), *of_test]
    period = mine[mine["when"] >= pandas.Timestamp(since)]
    return Found(
        system["system"], system["species"], _known(system["volume_used"]), judged.outcome, STEPS[judged.urgency],
        reasons, of_system(season, system, latest, reasons, until), period,
        [reading for parameter in PARAMETERS
         if (reading := _reading(season, parameter, mine, system["species"], since)) is not None],
        _noted(period), days, ammonia_days, stock_of(season, system, since, until),
    )


def _days(tests: pandas.DataFrame, until: date) -> int | None:
    return None if tests.empty else max(0, (pandas.Timestamp(until) - tests["date"].max()).days)


def _reading(
    season: Season, parameter: Parameter, tests: pandas.DataFrame, species: str, since: date
) -> Reading | None:
    known = tests[tests[parameter.key].notna()]
    if known.empty:
        return None
    latest, period = known.iloc[-1], known.loc[known["when"] >= pandas.Timestamp(since), parameter.key]
    rules = [rule for rule in RULES if judged_as(rule) == parameter]
    judged = [(rule, judge(season, rule, value_of(latest, rule), species)) for rule in rules]
    wrong = next(((rule, word) for word in (terms.ACT, terms.WATCH) for rule, one in judged if one == word), None)
    bounds = _bounds(season, rules, species)
    unknown = any(season.bounds.is_unknown(key, species) for rule in rules for key in (rule.watch, rule.act) if key)
    otherwise = terms.NOT_KNOWN if unknown else terms.FINE if bounds else ""
    return Reading(
        parameter, float(latest[parameter.key]), latest["when"], not pandas.isna(latest["time"]),
        latest["when"] < pandas.Timestamp(since), _known(period.min()), _known(period.max()), _in_words(bounds),
        f"{wrong[1]}: {wrong[0].words}" if wrong else otherwise,
        {source: _in_words([bound for bound in bounds if bound[2].source == source])
         for source in dict.fromkeys(bound.source for _, _, bound, _ in bounds)},
    )


def _noted(tests: pandas.DataFrame) -> list[str]:
    """Of each parameter the readings that were noted but not entered, because they show no number, in a sentence."""
    sentences = []
    for column in READINGS:
        found = [(note, row["date"]) for _, row in tests[tests[column.key].isna()].iterrows()
                 for note in noted_as(column.heading, row["note"])]
        if found:
            notes = " or ".join(f'"{note}"' for note in dict.fromkeys(note for note, _ in found))
            days = [f"{day:%Y-%m-%d}" for _, day in found]
            when = f"on {days[0]}" if len(days) == 1 else f"in {len(days)} tests from {days[0]} to {days[-1]}"
            sentences.append(f"The log notes that {verdict.mentioned(column)} was read as {notes} {when}. This is not "
                             "an exact number, so it does not stand in the table.")
    return sentences


def _bounds(
    season: Season, rules: list[verdict.Judged], species: str
) -> list[tuple[str, str, Bound, str]]:
    """The limits in force as (watch or act, key, limit, below or above)."""
    found = []
    for rule in rules:
        for word, key in ((terms.WATCH, rule.watch), (terms.ACT, rule.act)):
            bound = season.bounds.of(species, key) if key else None
            if bound is not None:
                found.append((word, key, bound, "above" if rule.above else "below"))
    return found


def _in_words(bounds: list[tuple[str, str, Bound, str]]) -> str:
    """The limits as "watch below 5, act below 3"."""
    parts = []
    for word in (terms.WATCH, terms.ACT):
        sides = [f"{side} {_number(bound.value)}" for one, _, bound, side in bounds if one == word]
        if sides:
            parts.append(f"{word} {' or '.join(sides)}")
    return ", ".join(parts) or "no limit set"


def _number(value: float) -> str:
    return f"{value:.4g}"


def _known(value: Any) -> float | None:
    return None if value is None or value != value else float(value)
