"""The content of a visit report, before it is put on a sheet."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path

from pailbook.visit_report import done
from pailbook.visit_report.done import Line
from pailbook.visit_report.due import Due, all_due
from pailbook.visit_report.findings import Found, found_in
from pailbook.visit_report.privacy import for_client, readable
from pailbook.visit_report.season import ReportError, Season, day, read_season, systems_of
from pailbook.visit_report.water import frame_of
from pailbook.workbook.farm_log import systems, water_moves
from pailbook.workbook.log import schema
from pailbook.workbook.log.water import water_tests

NEXT = 30  # days to the next visit, if its date is not given
_DATE = re.compile(r"\d{4}-\d{1,2}-\d{1,2}")


@dataclass(frozen=True)
class Content:
    """Everything that a visit report says."""

    client: str
    season: Season  # of this client alone
    since: date
    until: date
    next_visit: date
    found: list[Found]
    done: list[Line]
    wrong: list[Line]  # deaths and incidents
    due: list[Due]
    dosed: bool
    medicine: bool
    undated: int  # rows of water tests without a proper date
    changed: int  # texts from which other names were taken out

    @property
    def empty(self) -> bool:
        """Whether the log has nothing of the period."""
        return not self.done and not self.wrong and all(found.tests.empty for found in self.found)


def read_content(path: Path, client: str, since: str, next_visit: str | None = None) -> Content:
    """What the log says about a client's systems since a day.

    Raises
    ------
    ReportError
        When the file is not a farm log, it has no such client, or a date cannot be read.
    """
    first = _date("--since", since)
    season = read_season(path)
    known = systems_of(season, client)
    name = known[-1].client
    season, changed = for_client(season, name)
    known = systems_of(season, name)
    tests = frame_of(water_tests(season))
    last = max(_days(season), default=first)
    until = max(first, last)
    coming = _date("--next-visit", next_visit) if next_visit else until + timedelta(days=NEXT)
    if coming < until:
        raise ReportError(f"--next-visit is {coming}; expected {until}, the last day of the report, or a later day")
    names = {system.row.of for system in known}
    doses = done.period(season[water_moves.DOSES], names, first, until)
    span = (names, first, until)
    return Content(
        readable(name), season, first, until, coming,
        [found_in(season, system, tests, first, until) for system in known],
        sorted([*done.doses(season, *span), *done.water(season, names, known, first, until), *done.feed(season, *span),
                *done.plants(season, *span), *done.kept_up(season, *span)], key=lambda line: line.when[-10:]),
        sorted([*done.incidents(season, *span), *done.deaths(season, *span)], key=lambda line: line.when),
        all_due(season, known, tests, until, coming),
        not doses.empty, bool((doses["aim"] == water_moves.MEDICINE).any()),
        int((tests["read"] & tests["when"].isna()).sum()), changed,
    )


def _days(season: Season) -> list[date]:
    """Today's date in the log, and the latest day in each register; those that are known."""
    frames = [season[table.sheet] for table in schema.TABLES if table.sheet != systems.SHEET]
    latest = [day(season.as_of), *(frame["date"].max() for frame in frames if "date" in frame)]
    return [one.date() for one in latest if one == one]


def _date(what: str, text: str) -> date:
    try:
        if _DATE.fullmatch(text.strip()):
            return date(*map(int, text.strip().split("-")))
    except ValueError:
        pass
    raise ReportError(f"{what} is {text!r}; expected a date as year-month-day, such as 2026-03-31")
