"""What was found: each system's latest readings and limits, its verdict and next step, as the log gives them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

import pandas

from pailbook import terms
from pailbook.visit_report.parameters import PARAMETERS, RULES, Parameter, judged_as
from pailbook.visit_report.season import Season, serial
from pailbook.visit_report.sentences import of_system
from pailbook.visit_report.stock import Fish, fish_of
from pailbook.visit_report.water import english, judged, reasons_of
from pailbook.workbook.farm_log import verdict, water_rules
from pailbook.workbook.farm_log.system_state_rules import STEPS
from pailbook.workbook.log.season import System, text
from pailbook.workbook.log.state import state_of
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
    fish: Fish


@dataclass(frozen=True)
class _Bound:
    """A limit in use: on which side of it a value is watch or act, and where it comes from."""

    word: str
    side: str
    value: float
    source: str


def found_in(season: Season, system: System, tests: pandas.DataFrame, since: date, until: date) -> Found:
    """What the log says of a system up to the end of the period."""
    mine = tests[(tests["of"] == system.row.of) & tests["read"] & tests["when"].notna()]
    state = state_of(season, system, list(tests["test"]), serial(until))
    reasons = english(season, state.reasons)
    period = mine[mine["when"] >= pandas.Timestamp(since)]
    return Found(
        system.name, terms.international(text(system.species)), system.volume, state.judged.outcome,
        STEPS[state.judged.urgency], reasons,
        of_system(season, system, None if mine.empty else mine.iloc[-1], reasons, until),
        period.assign(reasons=[reasons_of(season, test) for test in period["test"]]),
        [reading for parameter in PARAMETERS
         if (reading := _reading(season, parameter, mine, system.species, since)) is not None],
        _noted(period), state.days, state.ammonia_days, fish_of(season, system, since, until),
    )


def _reading(
    season: Season, parameter: Parameter, tests: pandas.DataFrame, species: Any, since: date
) -> Reading | None:
    known = tests[tests[parameter.key].notna()]
    if known.empty:
        return None
    latest, period = known.iloc[-1], known.loc[known["when"] >= pandas.Timestamp(since), parameter.key]
    rules = [rule for rule in RULES if judged_as(rule) == parameter]
    reasons = reasons_of(season, latest["test"])
    found = [(rule, judged(rule, reasons)) for rule in rules]
    wrong = next(((rule, word) for word in (terms.ACT, terms.WATCH) for rule, one in found if one == word), None)
    bounds = _bounds(season, rules, species)
    unknown = any(season.limits.is_unknown(species, key) for rule in rules for key in (rule.watch, rule.act) if key)
    otherwise = terms.NOT_KNOWN if unknown else terms.FINE if bounds else ""
    return Reading(
        parameter, float(latest[parameter.key]), latest["when"], latest["time"] is not None,
        latest["when"] < pandas.Timestamp(since), _known(period.min()), _known(period.max()), _in_words(bounds),
        f"{wrong[1]}: {wrong[0].words}" if wrong else otherwise,
        {source: _in_words([bound for bound in bounds if bound.source == source])
         for source in dict.fromkeys(bound.source for bound in bounds)},
    )


def _noted(tests: pandas.DataFrame) -> list[str]:
    """Of each parameter the readings that were noted but not entered, because they show no number, in a sentence."""
    sentences = []
    for key, column in water_rules.VALUES.items():
        found = [(note, row["date"]) for _, row in tests[tests[key].isna()].iterrows()
                 for note in noted_as(column.heading, row["note"])]
        if found:
            notes = " or ".join(f'"{note}"' for note in dict.fromkeys(note for note, _ in found))
            days = [f"{day:%Y-%m-%d}" for _, day in found]
            when = f"on {days[0]}" if len(days) == 1 else f"in {len(days)} tests from {days[0]} to {days[-1]}"
            sentences.append(f"The log notes that {verdict.mentioned(column)} was read as {notes} {when}. This is not "
                             "an exact number, so it does not stand in the table.")
    return sentences


def _bounds(season: Season, rules: list[verdict.Judged], species: Any) -> list[_Bound]:
    """The limits in use."""
    limits = season.limits
    return [_Bound(word, "above" if rule.above else "below", value, limits.source(species, key))
            for rule in rules for word, key in ((terms.WATCH, rule.watch), (terms.ACT, rule.act))
            if key and (value := limits.number(species, key)) is not None]


def _in_words(bounds: list[_Bound]) -> str:
    """The limits as "watch below 5, act below 3"."""
    parts = []
    for word in (terms.WATCH, terms.ACT):
        sides = [f"{bound.side} {bound.value:.4g}" for bound in bounds if bound.word == word]
        if sides:
            parts.append(f"{word} {' or '.join(sides)}")
    return ", ".join(parts) or "no limit set"


def _known(value: float) -> float | None:
    return float(value) if value == value else None
