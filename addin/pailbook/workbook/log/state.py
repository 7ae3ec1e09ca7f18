"""The state of each system of a log's file, and what to do next, by the log's rules as on the sheet Overview."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from pailbook.rules import Judged, judge
from pailbook.rules.faults import fault, read
from pailbook.rules.reasons import reason
from pailbook.rules.words import BEFORE_REASON
from pailbook.workbook.farm_log import system_state_rules, water_rules
from pailbook.workbook.farm_log.questions import DATE
from pailbook.workbook.log.season import Season, System
from pailbook.workbook.log.water import Test


@dataclass(frozen=True)
class State:
    """The state of a system.

    latest : the latest test with a date; None where there is none.
    days, ammonia_days : since that test, and since un-ionised ammonia was known; None where that is not known.
    reasons : as under Why.
    """

    system: System
    latest: Test | None
    days: int | None
    ammonia_days: int | None
    judged: Judged
    reasons: list[str]

    @property
    def why(self) -> str:
        """The reasons, in one text."""
        return BEFORE_REASON.join(self.reasons)


def state_of(season: Season, system: System, tests: list[Test], until: Any = None) -> State:
    """The state of a system on a day, the log's own date where none is given.

    Parameters
    ----------
    tests : all tests of the log; those of other systems, and those after the day, do not count.
    """
    today = season.as_of if until is None else until
    mine = [test for test in tests if test.of == system.row.of and test.is_read]
    dated = sorted(((test.when, test.row.number, test) for test in mine if test.when is not None
                    and (until is None or test.when < until + 1)), key=lambda one: one[:2])
    latest = dated[-1][2] if dated else None
    with_ammonia = [test for _, _, test in dated if isinstance(test.values["nh3"], float)]
    is_day = isinstance(today, float) and not any(DATE.outside(today))

    def since(test: Test | None) -> int | None:
        return max(0, int(today) - math.floor(test.when)) if is_day and test and test.when is not None else None

    days, ammonia_days = since(latest), since(with_ammonia[-1] if with_ammonia else None)
    values: dict[str, Any] = {
        "urgent": _urgent(latest, season.units) if latest else None, "name": float(system.place),
        "dated": 1.0 if all(test.when is not None for test in mine) else None,
        "test": latest.verdict(season.units) if latest else None, "today": today,
        **{key: season.limits.of(None, key) for key in ("days_watch", "days_act")},
        "days": days, "ammonia_days": ammonia_days,
    }
    known = (*system_state_rules.ALWAYS, *(system_state_rules.WHERE_TESTED if latest else ()))
    reasons = [said.removeprefix(BEFORE_REASON) for one in known if (said := reason(one, values, season.units))]
    if latest:
        reasons += water_rules.reasons(latest.values, season.units)
    judged = judge(system_state_rules.system_state, values, season.units)
    return State(system, latest, days, ammonia_days, judged, reasons)


def _urgent(test: Test, units: str) -> float:
    """The urgency of the most urgent reading; one that cannot be used, or whose limit cannot be, has none."""
    found = []
    for rule in system_state_rules.OF_WATER:
        usable = {one.name: None if fault(one, read(one, test.values[one.name], units), units)
                  else test.values[one.name] for one in rule.questions}
        found.append(judge(rule, usable, units).urgency)
    return float(min(found))
