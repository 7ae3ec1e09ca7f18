"""How fast a reading of a system rises or falls, since something was last added that explains a change."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

from pailbook.function import CATALOGUE
from pailbook.hosts.call import call
from pailbook.outcomes import Outcome
from pailbook.workbook.farm_log import water_moves
from pailbook.workbook.farm_log.questions import DATE
from pailbook.workbook.farm_log.trend_rules import FEWEST
from pailbook.workbook.farm_log.water_columns import IN_BASIS
from pailbook.workbook.log.kits_in_use import KitInUse, kits_in_use
from pailbook.workbook.log.locate import folded
from pailbook.workbook.log.season import Season
from pailbook.workbook.log.water import Test

LONGEST = 60  # days that a trend may go back; common practice, no source
CHANGED, TOPPED_UP = "water", "topped up"
_ACIDS_AND_BASES = ("raise ph", "lower ph", "alkalinity")
# What moves a reading at once, by the key of its column: water that is changed, and doses for these purposes. Water
# that is topped up does not: it replaces what evaporates, so it is part of what goes on from day to day.
MOVED_BY: dict[str, tuple[str, ...]] = {
    "temperature": (CHANGED,), "tan": (CHANGED,), "nitrite": (CHANGED,), "nitrate": (CHANGED,),
    "ph": (CHANGED, *_ACIDS_AND_BASES), "alkalinity": (CHANGED, *_ACIDS_AND_BASES),
    "phosphate": (CHANGED, "phosphate"), "hardness": (CHANGED, "calcium", "magnesium"),
    "conductivity": (CHANGED, "salt", "raise ph", "alkalinity", "phosphate", "potassium", "calcium", "magnesium",
                     "other"),
}
_KEYS = {name: key for key, name in IN_BASIS.items()}
_ALIKE = 9  # decimals to which two readings are the same


@dataclass(frozen=True)
class Trend:
    """The trend of a reading, in the log's own units and basis.

    latest, when, now : the latest test in which it was read, its moment (days from 1900) and the reading.
    readings : how many the trend rests on.
    fall, error : a day, negative where it rises; and how far that may be wrong either way (95 %). None where the
        readings are too few.
    later : the day on which something went in after the latest reading, which the trend knows nothing of.
    """

    latest: Test
    when: float
    now: float
    readings: int
    fall: float | None
    error: float | None
    later: float | None


class Trends:
    """The trends of a log's readings."""

    def __init__(self, season: Season, tests: Iterable[Test]) -> None:
        self.season = season
        self._tests: dict[str, list[tuple[float, int, Test]]] = defaultdict(list)
        for test in tests:
            if test.when is not None:
                self._tests[test.of].append((test.when, test.row.number, test))
        for own in self._tests.values():
            own.sort(key=lambda one: one[:2])

    @cached_property
    def went_in(self) -> dict[str, list[tuple[float, str]]]:
        """By system, the days on which a dose went in, with its folded purpose, or water (CHANGED, TOPPED_UP)."""
        found: dict[str, list[tuple[float, str]]] = defaultdict(list)
        for sheet in (water_moves.DOSES, water_moves.CHANGES):
            for row in self.season.rows(sheet):
                day = row.number_of("date")
                if day is None or any(DATE.outside(day)):
                    continue
                if sheet == water_moves.DOSES:
                    what = folded(row["aim"])
                else:
                    what = TOPPED_UP if folded(row["how"]) == TOPPED_UP else CHANGED
                found[row.of].append((day, what))
        for days in found.values():
            days.sort()
        return found

    @cached_property
    def _kits(self) -> dict[str, KitInUse]:
        return kits_in_use(self.season)

    def of(self, system: str, name: str, until: float | None = None) -> Trend | None:
        """The trend of a reading of a system; None where it was never read.

        It rests on the readings since the day after something moved the reading at once, of the last `LONGEST` days.

        Parameters
        ----------
        system : its folded name.
        name : of the reading in a test's values, such as "alkalinity", "ph", "po4" or "no3".
        until : the last day that counts; all where none is given.
        """
        series = [(when, value, test) for when, _, test in self._tests.get(system, ())
                  if (until is None or when < until + 1) and (value := test.number(name)) is not None]
        if not series:
            return None
        when, now, latest = series[-1]
        key = _KEYS.get(name, name)
        moved = [day for day, what in self.went_in.get(system, ())
                 if what in MOVED_BY.get(key, (CHANGED,)) and (until is None or day < until + 1)]
        since = max([when - LONGEST, *(int(day) + 1 for day in moved if day <= when)])
        later = next((day for day in moved if day > when), None)
        days = [at for at, _, _ in series if at >= since]
        values = [value for at, value, _ in series if at >= since]
        fall, error = self._slope(days, values, key) if len(days) >= FEWEST else (None, None)
        return Trend(latest, when, now, len(days), fall, error, later)

    def _slope(self, days: list[float], values: list[float], key: str) -> tuple[float, float] | tuple[None, None]:
        """The fall a day and its error; None, None where the readings are of one moment."""
        kit = self._kits.get(key)
        known = kit.resolution if kit else None
        try:
            return (float(call(CATALOGUE["UPTAKE_RATE"], [days, values])),
                    float(call(CATALOGUE["UPTAKE_ERROR"], [
                        days, values, None, None, None, _finest(values) if known is None else known])))
        except Outcome:
            return None, None


def _finest(values: list[float]) -> float:
    """The smallest difference between two readings. Where the kit's resolution is not known, it is no coarser."""
    steps = sorted({round(value, _ALIKE) for value in values})
    return min((high - low for low, high in pairwise(steps)), default=0.0)
