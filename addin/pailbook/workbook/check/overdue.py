"""What becomes due with time: tests that are overdue, and alkalinity that will soon run out."""

from __future__ import annotations

from collections.abc import Iterator

from pailbook.rules import judge
from pailbook.terms import ACT, NOT_KNOWN, UNIONISED_AMMONIA, WATCH
from pailbook.workbook.check.finding import Finding
from pailbook.workbook.check.log import FarmLog, on
from pailbook.workbook.farm_log import systems, water_tests
from pailbook.workbook.farm_log.trend_rules import alkalinity_trend
from pailbook.workbook.readings.fields import within_sentence

TESTS, AMMONIA, NO_DATE, ALKALINITY = "test overdue", "ammonia not tested", "date not set", "alkalinity running out"


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
            yield Finding(known.sheet, known.cell("system", system.row.number), WATCH, TESTS,
                          f"{system.name} was never tested", "Test its water today.")
            continue
        days = int(log.as_of) - int(tests[-1].when)
        if watch is not None and days > watch:
            yield Finding(placed.sheet, placed.cell("date", tests[-1].row),
                          ACT if act is not None and days > act else WATCH, TESTS,
                          f"the latest test of {system.name} is {days} days old", "Test today.")
        latest = next((test for test in reversed(tests) if test.found("nh3") is not None), None)
        if act is not None and (latest is None or int(log.as_of) - int(latest.when) > act) and days <= act:
            since = f"since {on(latest.when)}" if latest else "yet"
            row = (latest or tests[-1]).row
            yield Finding(placed.sheet, placed.cell("tan" if "tan" in placed.letters else "date", row), WATCH, AMMONIA,
                          f"the {within_sentence(UNIONISED_AMMONIA)} in {system.name} could not be calculated {since}",
                          "Test ammonia together with pH and temperature.")


def alkalinity(log: FarmLog) -> Iterator[Finding]:
    """Systems whose alkalinity is falling and will soon reach its limit for act."""
    placed = log.table(water_tests.SHEET)
    for name in log.tests if placed else ():
        trend, kind = log.trends.of(name, "alkalinity"), log.kind_of(name)
        if trend is None or placed is None:
            continue
        judged = judge(alkalinity_trend, {
            "now": trend.now, "readings": float(trend.readings), "fall": trend.fall, "error": trend.error,
            "least": log.season.limits.of(kind, "alkalinity_act")}, log.units)
        least = log.limit("alkalinity_act", kind)
        if judged.outcome in (ACT, WATCH) and trend.fall is not None and least is not None:
            left = int((trend.now - least) / trend.fall)
            later = f". What went in on {on(trend.later)} is not in this" if trend.later is not None else ""
            yield Finding(
                placed.sheet, placed.cell("alkalinity", trend.latest.row.number), judged.outcome, ALKALINITY,
                f"the alkalinity in {log.name(name)} falls by {trend.fall:.2g} mg/L a day: it was {trend.now:.3g} mg/L "
                f"as CaCO3 on {on(trend.when)} and reaches the limit of {least:.3g} mg/L in about {left} "
                f"{'day' if left == 1 else 'days'}{later}", judged.remedy)
