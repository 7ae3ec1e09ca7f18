"""Readings against the limits in use, and numbers that no water can have."""

from __future__ import annotations

import datetime
from collections.abc import Iterator

from pailbook.quantities import METRIC
from pailbook.terms import ACT, FINE, WATCH
from pailbook.workbook.check.calculated import number
from pailbook.workbook.check.finding import Finding
from pailbook.workbook.check.log import FarmLog, Test, heading, on
from pailbook.workbook.check.places import Placed, Record
from pailbook.workbook.farm_log import limits, verdict, water_tests
from pailbook.workbook.farm_log.advice import WATCH as SEE_WHY
from pailbook.workbook.readings.dates import EPOCH
from pailbook.workbook.readings.fields import MEASURED
from pailbook.workbook.readings.plausible import standstill, why_not
from pailbook.workbook.readings.units import Unit

OUTSIDE, BEFORE = "outside the limits", "was outside the limits"
IMPOSSIBLE, TEXT, NO_READING = "impossible reading", "text in place of a number", "meter not measuring"
CONTRADICTION = "readings contradict each other"
RULES = (*verdict.DEADLIEST, *verdict.OTHERS)
_UNITS = {limit.key: limit.quantity for limit in limits.BY_SPECIES}


def outside(log: FarmLog) -> Iterator[Finding]:
    """Each system's latest readings outside its limits, then the earlier ones that were outside the limit for act."""
    placed = log.table(water_tests.SHEET)
    if placed is None:
        return
    earlier: list[tuple[float, Finding]] = []
    for system, tests in log.tests.items():
        kind = log.kind_of(system)
        for rule in RULES:
            if rule.key not in placed.letters:
                continue
            bounds = [(word, bound) for word, key in ((ACT, rule.act), (WATCH, rule.watch))
                      if key and (bound := log.limit(key, kind)) is not None]
            factor = log.factors[rule.key] if rule.basis else 1.0
            latest = True
            for test in reversed(tests) if bounds else ():
                value = number(test.record.get(rule.key))
                if value is None:
                    continue
                value *= factor
                found = next(((word, bound) for word, bound in bounds
                              if (value > bound if rule.above else value < bound)), None)
                if found and latest:
                    yield _finding(log, placed, rule, test, system, kind, value, found)
                elif found and found[0] == ACT:
                    earlier.append((-test.when, _finding(log, placed, rule, test, system, kind, value, found, BEFORE)))
                latest = False
    yield from (finding for _, finding in sorted(earlier, key=lambda one: one[0]))


def _finding(
    log: FarmLog, placed: Placed, rule: verdict.Judged, test: Test, system: str, kind: str, value: float,
    found: tuple[str, float], sort: str = OUTSIDE,
) -> Finding:
    word, bound = found
    unit = f" {_UNITS[rule.watch or rule.act].unit_in(log.units)}".rstrip()
    what = (f"{rule.words}: {value:.3g}{unit} in {log.name(system)} on {on(test.when)}; the limit for {word} is "
            f"{bound:.3g}{unit}{'' if kind == limits.OTHER else f' for {kind}'}")
    if sort == BEFORE:
        return Finding(placed.sheet, placed.cell(rule.key, test.row), FINE, sort, what,
                       "A later test no longer shows this. If the reading was wrong, correct it.")
    return Finding(placed.sheet, placed.cell(rule.key, test.row), word, sort, what, next_step(rule, word))


def next_step(rule: verdict.Judged, word: str) -> str:
    """What the log itself advises for a reading outside that limit."""
    return rule.remedy if word == ACT else SEE_WHY


def impossible(log: FarmLog) -> Iterator[Finding]:
    """Texts in place of readings, readings that no water can have, and meters that stayed at 0."""
    placed = log.table(water_tests.SHEET)
    if placed is None:
        return
    latest = {tests[-1].row for tests in log.tests.values()}
    for row, record in placed.records.items():
        for key, field in MEASURED.items():
            value = record.get(key)
            if value is None or key not in placed.letters:
                continue
            word = ACT if row in latest else WATCH
            if isinstance(value, (bool, str)):
                yield Finding(placed.sheet, placed.cell(key, row), word, TEXT,
                              f"{value!r} is not a number, so the {heading(placed.table, key)} was not judged",
                              "Type the number alone. If the kit shows less than its lowest value, type that value.")
                continue
            if not isinstance(value, float):
                continue
            low, high = field.quantity.limits(log.units)
            typed = value * log.factors[key]
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


def _contradictions(log: FarmLog, placed: Placed) -> Iterator[Finding]:
    """Tests whose phosphate alone would make more alkalinity than was read, so that no carbon dioxide fits."""
    for system, tests in log.tests.items() if "co2" in placed.letters else ():
        for test in tests:
            needed = [test.record.get(key) for key in ("ph", "alkalinity", "temperature")]
            if test.record.get("co2") is None and all(number(value) is not None for value in needed) and not any(
                    _beyond(log, key, test.record) for key in MEASURED):
                yield Finding(placed.sheet, placed.cell("co2", test.row), WATCH, CONTRADICTION,
                              f"the alkalinity and the phosphate in {log.name(system)} on {on(test.when)} cannot both "
                              "be right", "Test both again, and check their units and bases.")


def _beyond(log: FarmLog, key: str, record: Record) -> bool:
    """Whether a reading is outside the limits of what it is; impossible ones have a finding of their own."""
    value = number(record.get(key))
    return value is not None and any(MEASURED[key].quantity.outside(value * log.factors[key], log.units))


def _unit_hint(log: FarmLog, key: str, value: float) -> str:
    if key == "temperature" and log.units == METRIC and 40 < value <= 104:
        return f"If the thermometer reads °F, type {(value - 32) / 1.8:.1f}."
    return ""


def _standstill(log: FarmLog, placed: Placed) -> Iterator[Finding]:
    start = datetime.datetime.combine(EPOCH, datetime.time())
    for system, tests in log.tests.items():
        read = [(test, value) for test in tests if (value := number(test.record.get("oxygen"))) is not None]
        times = [start + datetime.timedelta(days=test.when) for test, _ in read]
        for place in standstill(times, [value for _, value in read]):
            yield Finding(placed.sheet, placed.cell("oxygen", read[place][0].row), WATCH, NO_READING,
                          f"the oxygen in {log.name(system)} is 0 in one reading after another",
                          "Look at the fish first. If they are well, the meter was not measuring; clear these.")
