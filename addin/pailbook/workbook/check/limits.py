"""Readings against the limits in use, and numbers that no water can have."""

from __future__ import annotations

import datetime
from collections.abc import Iterator

from pailbook.quantities import METRIC
from pailbook.terms import ACT, FINE, NOT_KNOWN, WATCH
from pailbook.workbook.check.finding import Finding
from pailbook.workbook.check.log import Dated, FarmLog, heading, on
from pailbook.workbook.farm_log import limits, verdict, water_rules, water_tests
from pailbook.workbook.farm_log.advice import WATCH as SEE_WHY
from pailbook.workbook.log.locate import Located
from pailbook.workbook.readings.dates import EPOCH
from pailbook.workbook.readings.fields import MEASURED
from pailbook.workbook.readings.plausible import standstill, why_not
from pailbook.workbook.readings.units import Unit

OUTSIDE, BEFORE = "outside the limits", "was outside the limits"
IMPOSSIBLE, TEXT, NO_READING = "impossible reading", "text in place of a number", "meter not measuring"
CONTRADICTION, NO_VERDICT = "readings contradict each other", "no verdict"
_OF_WATER = {rule.name: rule for rule in (*water_rules.DEADLY, *water_rules.OTHER)}
RULES = tuple((one, _OF_WATER[one.words.replace(" ", "_")]) for one in (*verdict.DEADLIEST, *verdict.OTHERS))
_UNITS = {limit.key: limit.quantity for limit in limits.BY_SPECIES}


def outside(log: FarmLog) -> Iterator[Finding]:
    """Each system's latest readings outside its limits, then the earlier ones that were outside the limit for act."""
    placed = log.table(water_tests.SHEET)
    if placed is None:
        return
    earlier: list[tuple[float, Finding]] = []
    for system, tests in log.tests.items():
        kind = log.kind_of(system)
        for one, rule in RULES:
            if one.key not in placed.letters:
                continue
            latest = True
            for test in reversed(tests):
                value = test.found(one.key)
                if value is None:  # one that cannot be used has a finding of its own
                    continue
                judged = log.judge(rule, test.test)
                if latest and judged.outcome == NOT_KNOWN:
                    yield _not_judged(log, placed, one, test, system, judged.says)
                elif latest and judged.outcome in (ACT, WATCH):
                    yield _finding(log, placed, one, test, system, kind, value, judged.outcome)
                elif judged.outcome == ACT:
                    earlier.append((-test.when, _finding(log, placed, one, test, system, kind, value, ACT, BEFORE)))
                latest = False
    yield from (finding for _, finding in sorted(earlier, key=lambda one: one[0]))


def _finding(
    log: FarmLog, placed: Located, rule: verdict.Judged, test: Dated, system: str, kind: str, value: float,
    word: str, sort: str = OUTSIDE,
) -> Finding:
    bound = log.limit(rule.act if word == ACT else rule.watch, kind)
    unit = f" {_UNITS[rule.watch or rule.act].unit_in(log.units)}".rstrip()
    what = (f"{rule.words}: {value:.3g}{unit} in {log.name(system)} on {on(test.when)}; the limit for {word} is "
            f"{bound:.3g}{unit}{'' if kind == limits.OTHER else f' for {kind}'}")
    if sort == BEFORE:
        return Finding(placed.sheet, placed.cell(rule.key, test.row), FINE, sort, what,
                       "A later test no longer shows this. If the reading was wrong, correct it.")
    return Finding(placed.sheet, placed.cell(rule.key, test.row), word, sort, what, next_step(rule, word))


def _not_judged(
    log: FarmLog, placed: Located, rule: verdict.Judged, test: Dated, system: str, says: str
) -> Finding:
    return Finding(placed.sheet, placed.cell(rule.key, test.row), NOT_KNOWN, NO_VERDICT,
                   f"{log.name(system)} on {on(test.when)} was not judged for {rule.words}, because this is not known: "
                   f"{says}", "Fill in or correct what is named here.")


def next_step(rule: verdict.Judged, word: str) -> str:
    """What the log itself advises for a reading outside that limit."""
    return rule.remedy if word == ACT else SEE_WHY


def impossible(log: FarmLog) -> Iterator[Finding]:
    """Texts in place of readings, readings that no water can have, and meters that stayed at 0."""
    placed = log.table(water_tests.SHEET)
    if placed is None:
        return
    latest = {tests[-1].row for tests in log.tests.values()}
    for filled in log.season.rows(water_tests.SHEET):
        row = filled.number
        for key, field in MEASURED.items():
            value, factor = filled[key], log.factors[key]
            if value is None or key not in placed.letters:
                continue
            word = ACT if row in latest else WATCH
            if isinstance(value, (bool, str)):
                yield Finding(placed.sheet, placed.cell(key, row), word, TEXT,
                              f"{value!r} is not a number, so the {heading(placed.table, key)} was not judged",
                              "Type the number alone. If the kit shows less than its lowest value, type that value.")
                continue
            if not isinstance(value, float) or factor is None:
                continue
            low, high = field.quantity.limits(log.units)
            typed = value * factor
            if (low is None or low < typed) and (high is None or typed < high) and (key != "conductivity" or typed):
                continue
            unit = Unit(field.quantity.unit_in(log.units), system=log.units)
            kept = field.quantity.to_metric(typed, log.units)
            if reason := why_not(field, kept, value, unit):
                yield Finding(placed.sheet, placed.cell(key, row), word, IMPOSSIBLE,
                              f"the {heading(placed.table, key)} of {value:.6g}{log.unit(key)} {reason}",
                              _unit_hint(log, key, value) or "Calibrate the meter, test again and correct the number.")
    yield from _contradictions(log, placed)
    yield from _standstill(log, placed)


def _contradictions(log: FarmLog, placed: Located) -> Iterator[Finding]:
    """Tests whose phosphate alone would make more alkalinity than was read, so that no carbon dioxide fits."""
    for system, tests in log.tests.items() if "co2" in placed.letters else ():
        for test in tests:
            if log.judge(water_rules.contradiction, test.test).outcome == WATCH:
                yield Finding(placed.sheet, placed.cell("co2", test.row), WATCH, CONTRADICTION,
                              f"the alkalinity and the phosphate in {log.name(system)} on {on(test.when)} cannot both "
                              "be right", "Test both again, and check their units and bases.")


def _unit_hint(log: FarmLog, key: str, value: float) -> str:
    if key == "temperature" and log.units == METRIC and 40 < value <= 104:
        return f"If the thermometer reads °F, type {(value - 32) / 1.8:.1f}."
    return ""


def _standstill(log: FarmLog, placed: Located) -> Iterator[Finding]:
    start = datetime.datetime.combine(EPOCH, datetime.time())
    for system, tests in log.tests.items():
        read = [(test, value) for test in tests if (value := test.typed("oxygen")) is not None]
        times = [start + datetime.timedelta(days=test.when) for test, _ in read]
        for place in standstill(times, [value for _, value in read]):
            yield Finding(placed.sheet, placed.cell("oxygen", read[place][0].row), WATCH, NO_READING,
                          f"the oxygen in {log.name(system)} is 0 in one reading after another",
                          "Look at the fish first. If they are well, the meter was not measuring; clear these.")
