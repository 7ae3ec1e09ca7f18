"""The plain registers: feed, plants harvested, incidents. Little is calculated in them."""

from __future__ import annotations

from typing import Any

from pailbook.rules import Rungs, fine, is_blank, needs, rule, watch
from pailbook.workbook.columns import Column, Table, picking
from pailbook.workbook.farm_log.entries import ENTRIES, entered, state_of_entries, verdict
from pailbook.workbook.farm_log.log import Log
from pailbook.workbook.measures import DEAD_COUNT, FEED_GIVEN, HARVEST_MASS, PLANT_COUNT, PROTEIN
from pailbook.workbook.sheets import write_table

FEED, HARVEST, INCIDENTS = "Feed", "Plants harvested", "Incidents"
ROWS = {FEED: 400, HARVEST: 150, INCIDENTS: 60}
_DATE = Column("date", "Date", kind="date", width=11)
_SYSTEM = Column("system", "System", kind="choice", width=14)
_NOTE = Column("note", "Note", kind="text", width=34)

COLUMNS = {
    FEED: (
        _DATE, _SYSTEM,
        Column("feed", "Feed given", FEED_GIVEN, width=10, help="That day's feed, by weight"),
        Column("kind", "Kind of feed", kind="text", width=18),
        Column("protein", "Protein", PROTEIN, width=9),
        Column("eaten", "Eaten", kind="choice", width=10, choices=("all", "most", "some", "none"),
               help="Where fish leave feed, test oxygen, ammonia and nitrite."),
        _NOTE,
    ),
    HARVEST: (
        _DATE, _SYSTEM, Column("crop", "Crop", kind="text", width=18),
        Column("plants", "Plants", PLANT_COUNT, width=9), Column("mass", "Weight", HARVEST_MASS, width=9),
        Column("to", "For whom", kind="text", width=20), _NOTE,
    ),
    INCIDENTS: (
        _DATE, Column("time", "Time", kind="time", width=7), _SYSTEM,
        Column("what", "What happened", kind="choice", width=16, choices=(
            "deaths", "sick fish", "low oxygen", "pump or air", "power", "ammonia", "pH", "leak", "temperature",
            "pests", "theft", "other")),
        Column("dead", "Fish lost", DEAD_COUNT, width=8, help="Enter the deaths on the sheet Fish too"),
        Column("story", "What was seen", kind="text", width=34),
        Column("done", "What was done", kind="text", width=34),
        Column("cause", "Cause, as far as known", kind="text", width=24),
        Column("closed", "Closed on", kind="date", width=11, help="The date from which nothing more needs to be done"),
        Column("state", "Verdict", kind="result", width=38),
        ENTRIES,
    ),
}
_NOTES = {
    FEED: "One row per day and system. Weigh the feed. Do not feed while the water is bad or too cold.",
    HARVEST: "One row per harvest. Wash your hands, and wash plants that touched fish water before they are eaten raw.",
    INCIDENTS: "Write down at once and in a few words what went wrong. Patterns show later.",
}


@rule("Incident", asks=entered(COLUMNS[INCIDENTS], ("date", "closed"), needed=("date",)))
def incident(date: Any, closed: Any) -> Rungs:
    """Whether an incident is closed."""
    return needs(date, closed), watch(is_blank(closed), "still open"), fine(says="closed")


def table(name: str, rows: int, systems_list: str = "") -> Table:
    """Where a register's table is; systems are picked from that range."""
    return Table(name, picking(COLUMNS[name], "system", systems_list), rows)


def write(log: Log, name: str) -> None:
    """Writes one of the registers."""
    t = log[name]
    sheet = log.book.sheet(name, _NOTES[name])

    incidents = name == INCIDENTS
    formulas = {
        ENTRIES.key: lambda row: state_of_entries(log.book, t, incident, row, "date", "closed"),
        "state": lambda row: verdict(log.book, t, incident, row),
    }
    write_table(
        log.book, sheet, t, formulas if incidents else None,
        freeze="what" if incidents else log[name].columns[2].key, verdicts=("state",) if incidents else (),
    )
