"""Water tests calculated with the project's functions on whole columns, and judged by the log's rules and limits."""

from __future__ import annotations

from typing import Any

import numpy
import pandas

from pailbook.function import CATALOGUE
from pailbook.hosts.frames import checked
from pailbook.quantities import PH, Oxygen, WaterTemperature
from pailbook.visit_report.season import Season
from pailbook.visit_report.tables import is_text, number
from pailbook.workbook.check.calculated import IN_BASIS
from pailbook.workbook.farm_log import kits, verdict, water_tests
from pailbook.workbook.measures import quantity
from pailbook.workbook.readings.log_rows import folded

MEASURED = tuple(column.key for column in water_tests.INPUTS if column.quantity is not None)
BASES = {column.key: column.basis for column in water_tests.INPUTS if column.basis}
_POSSIBLE = {"temperature": WaterTemperature, "ph": PH, "oxygen": Oxygen}


def water_tests_of(season: Season, known: pandas.DataFrame) -> pandas.DataFrame:
    """The tests of these systems, oldest first: readings, what follows from them, and what is wrong, in words.

    Columns besides the log's own: `when` (date and time), tan_n, no2, no3, po4, nh3, saturation, co2 (names as in the
    log's results), `alkalinity_caco3`, and `reasons`, a list of texts such as "oxygen low: act" in the log's order.
    Tests without a date are kept, at the beginning.
    """
    tests = season[water_tests.SHEET]
    tests = tests[tests["of"].isin(set(known["system"].map(folded)))].copy()
    typed = {key: tests[key] for key in MEASURED}
    for key in MEASURED:
        tests[key] = number(typed[key])
    of = known.set_index(known["system"].map(folded))
    of = of[~of.index.duplicated()]
    height = tests["of"].map(of["elevation_used"]).astype(float)
    clock = number(tests["time"]).fillna(0.0).clip(0, 1)
    tests["when"] = tests["date"] + pandas.to_timedelta((clock * 86400).round(), unit="s")
    for result, key in IN_BASIS.items():
        tests[result] = tests[key] * season.factor(BASES[key])
    tests["alkalinity_caco3"] = tests["alkalinity"] * season.factor("basis_alkalinity")
    salts = {"conductivity": (tests["conductivity"], is_text(typed["conductivity"]))}
    tests["nh3"], nh3_wrong = _answers("AMMONIA_UNIONIZED", season.units, {
        "tan": tests["tan_n"], "ph": tests["ph"], "temperature": tests["temperature"]}, salts)
    tests["saturation"], saturation_wrong = _answers("OXYGEN_PERCENT", season.units, {
        "oxygen": tests["oxygen"], "temperature": tests["temperature"]}, {
        "elevation": (height, pandas.Series(False, tests.index))})
    tests["co2"], co2_wrong = _answers("CARBON_DIOXIDE", season.units, {
        "ph": tests["ph"], "alkalinity": tests["alkalinity_caco3"], "temperature": tests["temperature"]}, {
        **salts, "phosphate": (tests["po4"], pandas.Series(False, tests.index))})
    filled = pandas.DataFrame({key: typed[key].notna() for key in MEASURED})
    tests["read"] = filled.any(axis=1)
    wrong = pandas.DataFrame({"text": pandas.DataFrame({key: is_text(typed[key]) for key in MEASURED}).any(axis=1)})
    wrong["impossible"] = nh3_wrong | saturation_wrong
    for key, hint in _POSSIBLE.items():
        low, high = quantity(hint).limits(season.units)
        wrong["impossible"] |= (tests[key] < low) | (tests[key] > high) | is_text(typed[key])
    wrong["contradict"] = co2_wrong & ~wrong["impossible"]
    rules = _Rules(season)
    tests["reasons"] = pandas.Series([
        rules.reasons(row, filled.loc[index], wrong.loc[index], of.at[row["of"], "species"])
        for index, row in tests.iterrows()
    ], index=tests.index, dtype=object)
    ordered: pandas.DataFrame = tests.sort_values(["when", "row"], na_position="first")
    return ordered


def _answers(
    name: str, units: str, needed: dict[str, pandas.Series], optional: dict[str, tuple[pandas.Series, pandas.Series]]
) -> tuple[pandas.Series, pandas.Series]:
    """The function's values, missing where an input is missing; and where all inputs are there but it has no answer.

    optional : columns, not used where they are blank; and where each holds a text instead of a number.
    """
    function = CATALOGUE[name]
    arguments = {argument.name: argument for argument in function.arguments}
    columns = {**needed, **{key: column.fillna(0.0) for key, (column, _) in optional.items()}}
    given = pandas.DataFrame(needed).notna().all(axis=1)
    wrong = pandas.Series(False, given.index)
    for _, text in optional.values():
        wrong |= given & text
    for key, column in columns.items():
        for outside in arguments[key].quantity.outside(column, units):
            wrong |= given & outside & ~((column == 0) & (arguments[key].default_is_zero))
    fit = given & ~wrong
    result = pandas.Series(numpy.nan, given.index)
    if fit.any():
        result[fit] = checked(function)(**{key: column[fit] for key, column in columns.items()}, units=units)
    return result, wrong | (fit & result.isna())


class _Rules:
    """The log's rules with its limits and its kits."""

    def __init__(self, season: Season) -> None:
        self.season = season
        self.kits = kits_in_use(season)

    def reasons(self, row: pandas.Series, filled: pandas.Series, wrong: pandas.Series, species: str) -> list[str]:
        """What is wrong with a test, the gravest first, in the log's words."""
        if not row["read"]:
            return []
        found = [verdict.TEXT] if wrong["text"] else []
        if wrong["impossible"]:
            found.append(verdict.IMPOSSIBLE)
        elif wrong["contradict"]:
            found.append(verdict.CONTRADICTION)
        found += self._judged(row, verdict.DEADLIEST, species)
        if filled["tan"] and (pandas.isna(row["ph"]) or pandas.isna(row["temperature"])):
            found.append(verdict.AMMONIA_ALONE)
        found += self._judged(row, verdict.OTHERS, species)
        for key, end, words in verdict.KIT_ENDS:
            bound = self.kits.get(key, {}).get(end)
            if bound is not None and (row[key] <= bound if end == "low" else row[key] >= bound):
                found.append(f"{words}: watch")
        if any(filled[reads.key] and reads.key in self.kits and self.kits[reads.key]["expiry"] < row["date"]
               for reads in kits.READS):
            found.append(verdict.KIT_OLD)
        if pandas.isna(row["date"]):
            found.append(verdict.NO_DATE)
        return found

    def _judged(self, row: pandas.Series, rules: tuple[verdict.Judged, ...], species: str) -> list[str]:
        judged = (judge(self.season, rule, value_of(row, rule), species) for rule in rules)
        return [f"{rule.words}: {word}" for rule, word in zip(rules, judged) if word]


def value_of(row: pandas.Series, rule: verdict.Judged) -> float:
    """The value of a test that a rule judges."""
    return float(row["alkalinity_caco3" if rule.basis else rule.key])


def judge(season: Season, rule: verdict.Judged, value: float, species: str) -> str:
    """act, watch, or an empty text where a value is not known or within its limits."""
    for word, key in (("act", rule.act), ("watch", rule.watch)):
        bound = season.bounds.of(species, key) if key else None
        if bound is not None and (value > bound.value if rule.above else value < bound.value):
            return word
    return ""


def worst(reasons: list[str]) -> str:
    """The verdict's word from its reasons."""
    return "act" if any(reason.endswith(": act") for reason in reasons) else "watch" if reasons else "fine"


def kits_in_use(season: Season) -> dict[str, dict[str, Any]]:
    """The range, use-by date and name of the kit in use, by what it reads."""
    register, found = season[kits.SHEET], {}
    for reads in kits.READS:
        mine = register[(register["reads"].map(folded) == folded(reads.label))
                        & (register["in_use"].map(folded) == kits.IN_USE)]
        if mine.empty:
            continue
        kit = mine.sort_values("row").iloc[-1]
        fits = not reads.basis or not kit["basis"] or kit["basis"] == season.bases[reads.basis]
        low, high, step = (number(mine[key])[kit.name] if fits else numpy.nan for key in ("low", "high", "resolution"))
        found[reads.key] = {"low": low, "high": high, "resolution": step, "expiry": kit["expiry"], "kit": kit["kit"]}
    return found
