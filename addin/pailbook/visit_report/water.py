"""Water tests calculated with the project's functions on whole columns, and judged by the log's rules and limits."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

import numpy
import pandas

from pailbook import terms
from pailbook.function import CATALOGUE
from pailbook.hosts.frames import checked
from pailbook.rules.words import texted
from pailbook.visit_report.season import Season, doubt_of
from pailbook.visit_report.tables import first_wrong, is_number, is_text, number
from pailbook.workbook.check.calculated import IN_BASIS
from pailbook.workbook.columns import Column
from pailbook.workbook.farm_log import kits, verdict, water_tests
from pailbook.workbook.log.locate import folded
from pailbook.workbook.measures import quantity

READINGS = tuple(column for column in water_tests.INPUTS if column.quantity is not None)
MEASURED = tuple(column.key for column in READINGS)
BASES = {column.key: column.basis for column in water_tests.INPUTS if column.basis}


def water_tests_of(season: Season, known: pandas.DataFrame) -> pandas.DataFrame:
    """The tests of these systems, oldest first: readings, what follows from them, and what is wrong, in words.

    Columns besides the log's own: `when` (date and time), tan_n, no2, no3, po4, nh3, saturation, co2 (names as in the
    log's results), `alkalinity_caco3`, and `reasons`, a list of texts in the log's words and order. A reading that
    cannot be used is missing. Tests without a date are kept, at the beginning.
    """
    tests = season[water_tests.SHEET]
    tests = tests[tests["of"].isin(set(known["system"].map(folded)))].copy()
    typed = tests[list(MEASURED)].copy()
    tests["read"] = typed.notna().any(axis=1)
    beyond = {column.key: _beyond(season, column, number(typed[column.key])) for column in READINGS}
    for key in MEASURED:
        tests[key] = number(typed[key]).mask(beyond[key])
    of = known.set_index(known["system"].map(folded))
    of = of[~of.index.duplicated()]
    tests["height"] = tests["of"].map(of["elevation_used"]).astype(float)
    clock = number(tests["time"]).mask(tests["wrong"].map(lambda wrong: "time" in wrong)).fillna(0.0)
    tests["when"] = tests["date"] + pandas.to_timedelta((clock * 86400).round(), unit="s")
    for result, key in IN_BASIS.items():
        tests[result] = tests[key] * season.factor(BASES[key])
    tests["alkalinity_caco3"] = tests["alkalinity"] * season.factor("basis_alkalinity")
    unusable = {key: is_text(typed[key]) | beyond[key] for key in ("conductivity", "phosphate")}
    salts = {"conductivity": (tests["conductivity"], unusable["conductivity"])}
    tests["nh3"] = _answers("AMMONIA_UNIONIZED", season.units, {
        "tan": tests["tan_n"], "ph": tests["ph"], "temperature": tests["temperature"]}, salts)
    tests["saturation"] = _answers("OXYGEN_PERCENT", season.units, {
        "oxygen": tests["oxygen"], "temperature": tests["temperature"], "elevation": tests["height"]}, {})
    tests["co2"] = _answers("CARBON_DIOXIDE", season.units, {
        "ph": tests["ph"], "alkalinity": tests["alkalinity_caco3"], "temperature": tests["temperature"]}, {
        **salts, "phosphate": (tests["po4"], unusable["phosphate"])})
    rules = _Rules(season)
    tests["reasons"] = pandas.Series([
        rules.reasons(row, typed.loc[index], of.loc[row["of"]]) for index, row in tests.iterrows()
    ], index=tests.index, dtype=object)
    ordered: pandas.DataFrame = tests.sort_values(["when", "row"], na_position="first")
    return ordered


def _beyond(season: Season, column: Column, values: pandas.Series) -> pandas.Series:
    """Where a reading's numbers are ones that no water has."""
    kind, factor = column.quantity, 1.0
    if column.key in verdict.POSSIBLE:
        kind = quantity(verdict.POSSIBLE[column.key])
    elif column.basis:
        factor = season.factor(column.basis)
    assert kind is not None, column.key
    beyond: pandas.Series = pandas.Series(False, values.index)
    for outside in kind.outside(values * factor, season.units):
        beyond |= outside
    return beyond


def _answers(
    name: str, units: str, needed: dict[str, pandas.Series], optional: dict[str, tuple[pandas.Series, pandas.Series]]
) -> pandas.Series:
    """The function's values, missing where an input is missing or cannot be used.

    optional : columns, not used where they are blank; and where each holds what cannot be used.
    """
    function = CATALOGUE[name]
    arguments = {argument.name: argument for argument in function.arguments}
    columns = {**needed, **{key: column.fillna(0.0) for key, (column, _) in optional.items()}}
    fit: pandas.Series = pandas.DataFrame(needed).notna().all(axis=1)
    for _, wrong in optional.values():
        fit &= ~wrong
    for key, column in columns.items():
        for outside in arguments[key].quantity.outside(column, units):
            fit &= ~outside | ((column == 0) & (arguments[key].default_is_zero))
    result: pandas.Series = pandas.Series(numpy.nan, fit.index)
    if fit.any():
        result[fit] = checked(function)(**{key: column[fit] for key, column in columns.items()}, units=units)
    return result


class _Rules:
    """The log's rules with its limits and its kits."""

    def __init__(self, season: Season) -> None:
        self.season = season
        self.kits = kits_in_use(season)

    def reasons(self, row: pandas.Series, typed: pandas.Series, system: pandas.Series) -> list[str]:
        """What is wrong with a test and what is not known of it, in the log's words and order."""
        if not row["read"]:
            return []
        numbers = {key for key in MEASURED if is_number(typed[key])}
        unknown = self._unknown(row, typed, numbers, system)
        found = self._judged(row, verdict.DEADLIEST, system["species"])
        found += [texted(terms.NOT_KNOWN, ", ".join(unknown))] if unknown else []
        usable = {key for key in numbers if row[key] == row[key]}
        wrong = {key for key in MEASURED if pandas.notna(typed[key])} - usable
        if row["tan_n"] == row["tan_n"] and not {"ph", "temperature"} <= usable and not wrong & {"ph", "temperature"}:
            found.append(verdict.AMMONIA_ALONE)
        if row["co2"] != row["co2"] and {"ph", "alkalinity", "temperature"} <= usable and not wrong & {
            "phosphate", "conductivity"
        }:
            found.append(verdict.CONTRADICTION)
        found += self._judged(row, verdict.OTHERS, system["species"])
        for reads in kits.READS:
            if reads.key in usable and reads.key in self.kits:
                found += _of_kit(reads, self.kits[reads.key], typed[reads.key], row["date"])
        return found

    def _unknown(
        self, row: pandas.Series, typed: pandas.Series, numbers: set[str], system: pandas.Series
    ) -> list[str]:
        """What is not known of a test, in the log's words and order."""
        found = []
        for column in READINGS:
            if typed[column.key] is None or typed[column.key] != typed[column.key]:
                continue
            if column.key not in numbers:
                found.append(f"{verdict.mentioned(column)} {verdict.NO_NUMBER}")
            elif row[column.key] != row[column.key]:
                found.append(f"{verdict.mentioned(column)} {verdict.IMPOSSIBLE}")
        if pandas.isna(row["date"]):
            found.append(verdict.NO_DATE)
        if "time" in row["wrong"]:
            found.append(verdict.NO_TIME)
        found += filter(None, (doubt_of(system), self.season.bounds.unknown_of(system["species"])))
        return found

    def _judged(self, row: pandas.Series, rules: tuple[verdict.Judged, ...], species: str) -> list[str]:
        judged = (judge(self.season, rule, value_of(row, rule), species) for rule in rules)
        return [verdict.says(rule.words, word) for rule, word in zip(rules, judged) if word]


def _of_kit(reads: kits.Reads, kit: Mapping[str, Any], value: float, date: Any) -> Iterator[str]:
    """What the log says of a reading because of its kit: at an end of its range, expired, or not known."""
    for end, reached in (("low", value <= kit["low"]), ("high", value >= kit["high"])):
        if reached and reads.at_end(end):
            yield verdict.says(reads.at_end(end), terms.WATCH)
    if pandas.isna(date):
        return
    if kit["unknown"]:
        yield texted(terms.NOT_KNOWN, f"{kit['unknown']} ({kit['kit']})")
    elif kit["expiry"] < date:
        yield verdict.says(f"{kit['kit']} expired {kit['expiry']:%Y-%m-%d}", terms.WATCH)


def value_of(row: pandas.Series, rule: verdict.Judged) -> float:
    """The value of a test that a rule judges."""
    return float(row["alkalinity_caco3" if rule.basis else rule.key])


def judge(season: Season, rule: verdict.Judged, value: float, species: str) -> str:
    """act, watch, or an empty text where a value is not known or within its limits."""
    for word, key in ((terms.ACT, rule.act), (terms.WATCH, rule.watch)):
        bound = season.bounds.of(species, key) if key else None
        if bound is not None and (value > bound.value if rule.above else value < bound.value):
            return word
    return ""


def worst(reasons: list[str]) -> str:
    """The verdict's word from its reasons."""
    if any(reason.endswith(verdict.says("", terms.ACT)) for reason in reasons):
        return terms.ACT
    if any(reason.startswith(f"{terms.NOT_KNOWN}: ") for reason in reasons):
        return terms.NOT_KNOWN
    return terms.WATCH if reasons else terms.FINE


def kits_in_use(season: Season) -> dict[str, dict[str, Any]]:
    """The range, use-by date and name of the kit in use, and its entry that cannot be used, by what it reads."""
    register, found = season[kits.SHEET], {}
    for reads in kits.READS:
        mine = register[(register["reads"].map(folded) == folded(reads.label))
                        & (register["in_use"].map(folded) == kits.IN_USE)]
        if mine.empty:
            continue
        kit = mine.sort_values("row").iloc[-1]
        fits = not reads.basis or not kit["basis"] or kit["basis"] == season.bases[reads.basis]
        numbers = {key: number(mine[key])[kit.name] if fits else numpy.nan for key in ("low", "high", "resolution")}
        found[reads.key] = {**numbers, "expiry": kit["expiry"], "kit": kit["kit"] or f"the kit for {reads.label}",
                            "unknown": first_wrong(kit, [column for column in kits.COLUMNS if column.key != "note"])}
    return found
