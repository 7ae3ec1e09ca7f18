"""Readings against the limits in force, and numbers that no water gives."""

from __future__ import annotations

import datetime
from collections.abc import Iterator

from pailbook.quantities import METRIC
from pailbook.workbook.check.finding import ACT, NOTE, WATCH, Finding
from pailbook.workbook.check.log import FarmLog, Test, heading, on
from pailbook.workbook.check.places import Placed
from pailbook.workbook.check.worked import number
from pailbook.workbook.farm_log import limits, verdict, water_tests
from pailbook.workbook.farm_log.advice import BY_REASON
from pailbook.workbook.farm_log.advice import WATCH as SEE_WHY
from pailbook.workbook.readings.dates import EPOCH
from pailbook.workbook.readings.fields import MEASURED
from pailbook.workbook.readings.plausible import standstill, why_not
from pailbook.workbook.readings.units import Unit

OUTSIDE, BEFORE = "outside limits", "was outside limits"
IMPOSSIBLE, TEXT, NO_READING = "impossible reading", "text in place of a number", "meter not measuring"
RULES = (*verdict.DEADLIEST, *verdict.OTHERS)
_STEPS = dict(BY_REASON)
_UNITS = {limit.key: limit.quantity for limit in limits.BY_SPECIES}


def outside(log: FarmLog) -> Iterator[Finding]:
    """Each system's latest readings that are outside its limits, then the earlier ones that were beyond "act"."""
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
    unit = _UNITS[rule.watch or rule.act].unit_in(log.units)
    what = (f"{rule.words}: {value:.3g}{f' {unit}' if unit else ''} in {log.name(system)} on {on(test.when)}; "
            f"{word} {'above' if rule.above else 'below'} {bound:.3g}{'' if kind == limits.OTHER else f' for {kind}'}")
    remedy = _STEPS.get(f"{rule.words}: act", SEE_WHY) if word == ACT else SEE_WHY
    if sort == BEFORE:
        return Finding(placed.sheet, placed.cell(rule.key, test.row), NOTE, sort, what,
                       "It has passed, or was tested since. If it was misread, put it right.")
    return Finding(placed.sheet, placed.cell(rule.key, test.row), word, sort, what, remedy)


def impossible(log: FarmLog) -> Iterator[Finding]:
    """Texts in place of readings, readings that no water gives, and meters that stood at 0."""
    placed = log.table(water_tests.SHEET)
    if placed is None:
        return
    latest = {tests[-1].row for tests in log.tests.values()}
    for row, record in placed.records.items():
        for key, field in MEASURED.items():
            value = record.get(key)
            if value is None or key not in placed.letters:
                continue
            seriousness = ACT if row in latest else WATCH
            if isinstance(value, (bool, str)):
                yield Finding(placed.sheet, placed.cell(key, row), seriousness, TEXT,
                              f'{value!r} stands where the number of {heading(placed.table, key)} belongs; it is not '
                              "judged", "Type the number alone. Below what a kit shows, type its lowest value.")
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
                yield Finding(placed.sheet, placed.cell(key, row), seriousness, IMPOSSIBLE,
                              f"{heading(placed.table, key)} {value:.6g}{log.unit(key)} {reason}",
                              _unit_hint(log, key, value) or "Read again, calibrate the meter, put the number right.")
    yield from _standstill(log, placed)


def _unit_hint(log: FarmLog, key: str, value: float) -> str:
    if key == "temperature" and log.units == METRIC and 40 < value <= 104:
        return f"If it was read in °F, type {(value - 32) / 1.8:.1f}."
    return ""


def _standstill(log: FarmLog, placed: Placed) -> Iterator[Finding]:
    start = datetime.datetime.combine(EPOCH, datetime.time())
    for system, tests in log.tests.items():
        read = [(test, value) for test in tests if (value := number(test.record.get("oxygen"))) is not None]
        times = [start + datetime.timedelta(days=test.when) for test, _ in read]
        for place in standstill(times, [value for _, value in read]):
            yield Finding(placed.sheet, placed.cell("oxygen", read[place][0].row), WATCH, NO_READING,
                          f"oxygen stands at 0, reading after reading, in {log.name(system)}",
                          "Look at the fish first. If they are well, the meter was not measuring: clear these.")
