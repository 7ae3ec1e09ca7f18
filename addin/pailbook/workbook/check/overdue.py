"""What becomes due with time: tests that are overdue, and alkalinity that will soon run out."""

from __future__ import annotations

from collections.abc import Iterator

from pailbook.function import CATALOGUE
from pailbook.hosts.call import call
from pailbook.outcomes import Outcome
from pailbook.terms import ACT, NOT_KNOWN, UNIONISED_AMMONIA, WATCH
from pailbook.workbook.check.calculated import number
from pailbook.workbook.check.finding import Finding
from pailbook.workbook.check.log import FarmLog, Test, on
from pailbook.workbook.farm_log import systems, water_tests
from pailbook.workbook.readings.fields import within_sentence

TESTS, AMMONIA, NO_DATE, ALKALINITY = "test overdue", "ammonia not tested", "date not set", "alkalinity running out"
FEWEST, LONGEST = 3, 60  # readings that a trend needs, and days that it may go back; common practice, no source
BLUR = 0.5  # largest error of a trend, as a share of it; common practice, no source
SOON, VERY_SOON = 14.0, 3.0  # days to the least alkalinity: watch, act; common practice, no source


def overdue(log: FarmLog) -> Iterator[Finding]:
    """Systems whose latest test is too old, or whose ammonia has not been tested for too long."""
    placed, known = log.table(water_tests.SHEET), log.table(systems.SHEET)
    if placed is None or known is None:
        return
    if log.as_of is None:
        if log.tests:
            sheet, address = log.subject.names.get("as_of", ("", ""))
            yield Finding(sheet, address, NOT_KNOWN, NO_DATE,
                          "today's date is blank, so it is not known what is overdue", "Type today's date here.")
        return
    watch, act = log.limit("days_watch"), log.limit("days_act")
    for name, system in log.systems.items():
        tests = log.tests.get(name, [])
        if not tests:
            yield Finding(known.sheet, known.cell("system", system.row), WATCH, TESTS,
                          f"{system.name} was never tested", "Test its water today.")
            continue
        days = int(log.as_of) - int(tests[-1].when)
        if watch is not None and days > watch:
            yield Finding(placed.sheet, placed.cell("date", tests[-1].row),
                          ACT if act is not None and days > act else WATCH, TESTS,
                          f"the latest test of {system.name} is {days} days old", "Test today.")
        latest = next((test for test in reversed(tests) if test.record.get("nh3") is not None), None)
        if act is not None and (latest is None or int(log.as_of) - int(latest.when) > act) and days <= act:
            since = f"since {on(latest.when)}" if latest else "yet"
            row = (latest or tests[-1]).row
            yield Finding(placed.sheet, placed.cell("tan", row), WATCH, AMMONIA,
                          f"the {within_sentence(UNIONISED_AMMONIA)} in {system.name} could not be calculated {since}",
                          "Test ammonia together with pH and temperature.")


def alkalinity(log: FarmLog) -> Iterator[Finding]:
    """Systems whose alkalinity is falling and will soon reach its limit for act."""
    placed = log.table(water_tests.SHEET)
    for name, tests in log.tests.items() if placed else ():
        least = log.limit("alkalinity_act", log.kind_of(name))
        trend = _trend(log, name, tests)
        if least is None or least <= 0 or placed is None or trend is None:
            continue
        latest, now, fall = trend
        left = (now - least) / fall
        if now > least and left <= SOON:
            shown = max(0, int(left))
            yield Finding(
                placed.sheet, placed.cell("alkalinity", latest.row), ACT if left <= VERY_SOON else WATCH, ALKALINITY,
                f"the alkalinity in {log.name(name)} falls by {fall:.2g} mg/L a day: it was {now:.3g} mg/L as CaCO3 on "
                f"{on(latest.when)} and reaches the limit of {least:.3g} mg/L in about {shown} "
                f"{'day' if shown == 1 else 'days'}",
                "Raise the alkalinity in small doses before pH falls, and test again a day later.")


def _trend(log: FarmLog, system: str, tests: list[Test]) -> tuple[Test, float, float] | None:
    """The latest test with an alkalinity, that in mg/L as CaCO3, and how much it falls a day.

    From the readings since the last dose or water change; None if they are too few or too uneven.
    """
    factor = log.factors["alkalinity"]
    series = [(test, value * factor) for test in tests if (value := number(test.record.get("alkalinity"))) is not None]
    if not series:
        return None
    last = series[-1][0]
    since = max([last.when - LONGEST, *(int(day) + 1 for day, what in log.changes.get(system, ())
                                        if day <= last.when and what in ("water", "raise ph", "lower ph",
                                                                         "alkalinity"))])
    kept = [(test.when, value) for test, value in series if test.when >= since]
    if len(kept) < FEWEST:
        return None
    _, kit = log.kits.get("alkalinity", (0, {}))
    resolution = (number(kit.get("resolution")) or 0.0) * factor
    days, values = [when for when, _ in kept], [value for _, value in kept]
    try:
        fall = float(call(CATALOGUE["UPTAKE_RATE"], [days, values]))
        error = float(call(CATALOGUE["UPTAKE_ERROR"], [days, values, None, None, None, resolution]))
    except Outcome:
        return None
    return (last, values[-1], fall) if fall > 0 and error < BLUR * fall else None
