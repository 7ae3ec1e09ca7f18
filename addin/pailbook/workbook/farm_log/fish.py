"""Sheet "Fish": who came, who went, who died, what they weigh; stock on hand, total weight and density follow."""

from __future__ import annotations

from pailbook.workbook.columns import Table, picking
from pailbook.workbook.farm_log import following, latest, limits, systems
from pailbook.workbook.farm_log.entries import ENTRIES, state_of_entries, verdict
from pailbook.workbook.farm_log.fish_columns import COLUMNS as COLUMNS
from pailbook.workbook.farm_log.fish_columns import DIED as DIED
from pailbook.workbook.farm_log.fish_columns import IN as IN
from pailbook.workbook.farm_log.fish_columns import NEW as NEW
from pailbook.workbook.farm_log.fish_columns import OUT as OUT
from pailbook.workbook.farm_log.fish_columns import SMALL_TO_LARGE as SMALL_TO_LARGE
from pailbook.workbook.farm_log.fish_columns import STOCKED as STOCKED
from pailbook.workbook.farm_log.fish_columns import WEIGHED as WEIGHED
from pailbook.workbook.farm_log.fish_rules import fish_row
from pailbook.workbook.farm_log.log import AS_OF, Log
from pailbook.workbook.sheets import Formula, write_table

SHEET = "Fish"
ROWS = 150


def table(rows: int = ROWS, systems_list: str = "") -> Table:
    """Where the sheet's table is; systems are picked from that range."""
    return Table(SHEET, picking(COLUMNS, "system", systems_list), rows)


def write(log: Log) -> None:
    """Writes the sheet."""
    book, t, known = log.book, log[SHEET], log[systems.SHEET]
    sheet = book.sheet(SHEET, "One row per event. Weigh a sample often: the total weight and the stocking density rest "
                              "on the latest 'stocked' or 'weighed' row of the system.")

    def usable(row: int, text: str) -> str:
        return f'IF({t.cell(ENTRIES.key, row)}=1,{text},"")'

    def placed(row: int, text: str) -> str:
        return f'IF(COUNT({t.span(ENTRIES.key, "place", row)})=2,{text},"")'

    def one_of(row: int, words: tuple[str, ...]) -> str:
        event = t.cell("event", row)
        return "OR(" + ",".join(f'{event}="{word}"' for word in words) + ")"

    def change(row: int) -> str:
        count, event = t.cell("count", row), t.cell("event", row)
        return usable(row, f'IF({one_of(row, IN)},{count},IF({event}="{WEIGHED}","",-{count}))')

    def one(row: int) -> str:
        mean, sample, count = (t.cell(key, row) for key in ("mean", "sample", "count"))
        call = book.call("MEAN_MASS", sample, count)
        return usable(row, f'IF(ISNUMBER({mean}),{mean},IF(ISNUMBER({sample}),{call},""))')

    def stock(row: int) -> str:
        total = on_hand(log, t.cell("place", row), f'"<="&{t.cell("date", row)}')
        return placed(row, total)

    def weighing(row: int) -> str:
        # Not whether there is a mean weight: one that cannot be calculated is the latest one still.
        weighed = f"COUNT({t.span('mean', 'sample', row)})*{one_of(row, (STOCKED, WEIGHED))}"
        number = latest.number(t.cell("place", row), t.cell("date", row))
        return placed(row, f'IF({weighed},{number},"")')

    def place(row: int) -> str:
        system = t.cell("system", row)
        return f'IF(ISBLANK({system}),"",{following.place(log, system)})'

    def weighed(row: int, text: str) -> str:
        return f'IF({t.cell("weighing", row)}="","",{text})'

    def limit(key: str) -> Formula:
        """Formula text for a limit of the density in a row that was weighed."""
        return lambda row: weighed(row, limits.for_kind(key, known.at("kind", t.cell("place", row))))

    def state(row: int) -> str:
        return verdict(book, t, fish_row, row, {
            "density_act": t.cell("act", row), "density_watch": t.cell("watch", row),
            "on_hand": t.cell("stock", row), "weight": t.cell("biomass", row), "density": t.cell("density", row),
            "new_fish_days": limits.general("new_fish_days"), "today": AS_OF})

    write_table(
        book, sheet, t,
        {
            "state": state, "stock": stock, "one": one, "change": change, "weighing": weighing,
            "act": limit("density_act"), "watch": limit("density_watch"),
            "biomass": lambda row: weighed(
                row, f'{t.cell("stock", row)}*{t.cell("one", row)}/{SMALL_TO_LARGE[book.units]}'),
            "density": lambda row: density(log, t.cell("biomass", row), t.cell("place", row)),
            ENTRIES.key: lambda row: state_of_entries(book, t, fish_row, row, "date", "sample"),
            "place": place,
        },
        freeze="event", verdicts=("state",),
    )


def on_hand(log: Log, place: str, until: str = "") -> str:
    """Formula text for the number of fish in a system, at the end of the day that the criterion names.

    place : the cell with the system's place on the list of systems.
    """
    t = log[SHEET]
    dates = f",{t.range('date')},{until}" if until else ""
    return f"SUMIFS({t.range('change')},{t.range('place')},{place}{dates})"


def density(log: Log, weight: str, place: str) -> str:
    """Formula text for the density of fish in a system; blank where there are none, or the system has no volume.

    weight, place : the cells with their total weight, and with the system's place on the list of systems.
    """
    volume = log[systems.SHEET].at("in_use", place)
    call = log.book.call("VESSEL_DENSITY", weight, volume)
    return f'IF({weight}="","",IF({weight}<=0,"",IF(ISNUMBER({volume}),{call},"")))'
