"""Readings of one system that differ from those around them: by a unit or basis, or by more than water changes."""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Iterator
from dataclasses import dataclass
from statistics import median

from pailbook.terms import ACT, WATCH
from pailbook.workbook.check.finding import Finding
from pailbook.workbook.check.log import Dated, FarmLog, heading, on
from pailbook.workbook.check.suspects import NEAR, suspect
from pailbook.workbook.farm_log import water_tests
from pailbook.workbook.log.locate import Located
from pailbook.workbook.log.trend import MOVED_BY, TOPPED_UP
from pailbook.workbook.readings.fields import MEASURED

UNIT, JUMP = "unit or basis", "sudden jump"
AROUND, FEWEST = 5, 3  # readings that show what is usual in a system, and the fewest that do
MANY = 10.0  # times more or less, as no water changes between two readings; common practice, no source
LIKE = 2.0  # times more or less at which a reading's unit is doubted; common practice, no source


@dataclass(frozen=True)
class Pace:
    """By how much a reading can differ from the one before, metric and in the log's basis: at once, and more each day.

    share : of the reading before, if that is more than `once`.
    """

    once: float
    day: float
    share: float = 0.0


# Common practice, no source: at least twice as much as kits scatter and as a stocked system changes in a day. Oxygen is
# left out: it can fall from saturation to nothing within an hour, and that is true too often to be called a slip.
PACES = {
    "temperature": Pace(4, 2),
    "ph": Pace(0.6, 0.2),
    "tan": Pace(1.5, 0.5, 0.5),
    "nitrite": Pace(1.5, 0.7, 0.5),
    "nitrate": Pace(30, 10, 0.35),
    "phosphate": Pace(6, 1.5, 0.35),
    "alkalinity": Pace(40, 10, 0.35),
    "hardness": Pace(60, 10, 0.35),
    "conductivity": Pace(200, 50, 0.3),
}


def jumps(log: FarmLog) -> Iterator[Finding]:
    """Readings typed in another unit or basis, then those that changed more than water does."""
    placed = log.table(water_tests.SHEET)
    if placed is None:
        return
    found = [finding for system, tests in log.tests.items() for key in MEASURED if key in placed.letters
             for finding in _of_series(log, placed, system, key, tests)]
    found.sort(key=lambda finding: finding.kind != UNIT)
    yield from found


def _of_series(log: FarmLog, placed: Located, system: str, key: str, tests: list[Dated]) -> Iterator[Finding]:
    series = [(test, value) for test in tests if (value := test.typed(key)) is not None]
    first = [value for _, value in series[:AROUND + 1]]
    before: deque[float] = deque(maxlen=AROUND)
    last: tuple[Dated, float] | None = None
    for place, (test, value) in enumerate(series):
        around = before if len(before) >= FEWEST else first[:place] + first[place + 1:]
        usual = median(around) if len(around) >= FEWEST else None
        moved = last is not None and _too_far(log, key, system, last, (test, value))
        # Only readings that jump or are a multiple of the others are examined, which keeps a long log quick.
        if usual is not None and (moved or not (usual <= LIKE * value and value <= LIKE * usual)):
            other = suspect(log, key, value, usual, _share(test))
            if other and (moved or _clear(key, other.times, last, value)) and not _explained(
                    log, key, system, last, test):
                yield _unit(log, placed, system, key, test, value, usual, other.typed_in, other.instead,
                            latest=place == len(series) - 1)
                continue
        if moved and last is not None:
            yield _jump(log, placed, system, key, last, (test, value))
            following = series[place + 1] if place + 1 < len(series) else None
            # A single reading that is off is left out of what the next is compared with.
            if following and not _too_far(log, key, system, last, following):
                continue
        before.append(value)
        last = test, value


def _clear(key: str, times: float, last: tuple[Dated, float] | None, value: float) -> bool:
    """Whether a multiple comes from another unit although it is not a jump.

    Ammonia and nitrite may fall or rise threefold within days when a filter grows or fails; a nutrient does not, from
    one reading to the next.
    """
    if key == "temperature" or not 1 / MANY < times < MANY:
        return True
    if key in ("tan", "nitrite"):
        return False
    return last is None or (last[1] > 0 and abs(math.log(value / last[1] / times)) < 2 * NEAR)


def _too_far(log: FarmLog, key: str, system: str, last: tuple[Dated, float], now: tuple[Dated, float]) -> bool:
    pace = PACES.get(key)
    quantity, factor = MEASURED[key].quantity, log.factors[key]
    if pace is None or factor is None:
        return False
    was, is_now = (quantity.to_metric(value * factor, log.units) for _, value in (last, now))
    days = now[0].when - last[0].when
    far = abs(is_now - was) > max(pace.once, pace.share * abs(was)) + pace.day * days
    return bool(far) and not _explained(log, key, system, last, now[0])


def _explained(log: FarmLog, key: str, system: str, last: tuple[Dated, float] | None, test: Dated) -> bool:
    """Whether a dose or a water change since the reading before explains any difference."""
    if last is None or key not in PACES:
        return False
    return any(int(last[0].when) <= day <= test.when and what in (*MOVED_BY[key], TOPPED_UP)
               for day, what in log.trends.went_in.get(system, ()))


def _share(test: Dated) -> float | None:
    unionised, total = test.found("nh3"), test.found("tan_n")
    return unionised / total if unionised and total else None


def _unit(
    log: FarmLog, placed: Located, system: str, key: str, test: Dated, value: float, usual: float, typed_in: str,
    instead: float, latest: bool,
) -> Finding:
    what, unit = heading(placed.table, key), log.unit(key)
    return Finding(
        placed.sheet, placed.cell(key, test.row), ACT if latest else WATCH, UNIT,
        f"the {what} in {log.name(system)} on {on(test.when)} is {value:.4g}{unit}, but usually about {usual:.4g}; the "
        f"number may be {typed_in}",
        f"Look at the kit's label. If it reads {typed_in}, type {instead:.3g}; otherwise test again.")


def _jump(
    log: FarmLog, placed: Located, system: str, key: str, last: tuple[Dated, float], now: tuple[Dated, float]
) -> Finding:
    days = now[0].when - last[0].when
    apart = f"{days:.0f} days" if days >= 1.5 else "1 day" if days >= 0.75 else f"{days * 24:.0f} hours"
    return Finding(
        placed.sheet, placed.cell(key, now[0].row), WATCH, JUMP,
        f"the {heading(placed.table, key)} in {log.name(system)} went from {last[1]:.4g} to {now[1]:.4g}"
        f"{log.unit(key)} in {apart}, and no dose or water change in the log explains it",
        "Test again. If the reading was wrong, correct it. If it is right, find the cause and enter what was added.")
