"""Fish of a system: the log's stock of them, and how many of them survived the period."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from pailbook import terms
from pailbook.function import CATALOGUE
from pailbook.hosts.call import call
from pailbook.visit_report.season import Season, day, serial
from pailbook.workbook.farm_log import fish_columns
from pailbook.workbook.farm_log.fish import SHEET
from pailbook.workbook.log import fish as of_log
from pailbook.workbook.log.locate import folded
from pailbook.workbook.log.season import Row, System

MISSING = "found fewer"  # at a count


@dataclass(frozen=True)
class Survival:
    """How many of the fish that were there or came in the period died, and the survival that follows."""

    dead: float
    total: float
    share: float
    low: float
    high: float


@dataclass(frozen=True)
class Fish:
    """A system's fish at the end of the period, and what became of them in it.

    missing : fish that a count in the period did not find.
    """

    stock: of_log.Stock
    survival: Survival | None
    missing: float

    @property
    def verdict(self) -> str:
        """What the log says of them; empty where it has no entries about fish."""
        judged = self.stock.judged
        return "" if judged.outcome == terms.NOT_ASKED else judged.text

    @property
    def weighed(self) -> date | None:
        """The day of the latest weighing."""
        return None if self.stock.weighed is None else day(self.stock.weighed).date()


def fish_of(season: Season, system: System, since: date, until: date) -> Fish:
    """A system's fish at the end of the period, and their survival in it."""
    rows = [row for row in season.rows(SHEET) if row.of == system.row.of]
    usable = of_log.usable_rows(season, system.row.of)
    first, last = serial(since), serial(until) + 1
    missing = sum(row.number_of("count") or 0.0 for row in rows if folded(row["event"]) == MISSING
                  and first <= (row.number_of("date") or 0.0) < last)
    return Fish(of_log.stock_of(season, system, serial(until)),
                _survival(usable, first, last) if len(usable) == len(rows) else None, missing)


def _survival(rows: list[Row], first: float, last: float) -> Survival | None:
    """None where no fish were there, or more died than there were."""
    period = [row for row in rows if first <= row["date"] < last]

    def counted(counts: Callable[[str], bool]) -> float:
        return float(sum(row["count"] for row in period if counts(folded(row["event"]))))

    total = sum(of_log.change(row) for row in rows if row["date"] < first) + counted(fish_columns.IN.__contains__)
    dead = counted(fish_columns.DIED.__eq__)
    if total < 1 or dead > total or total % 1 or dead % 1:
        return None
    low, high = (float(call(CATALOGUE[name], [dead, total])) for name in ("SURVIVAL_LOW", "SURVIVAL_HIGH"))
    return Survival(dead, total, (total - dead) / total, low, high)
