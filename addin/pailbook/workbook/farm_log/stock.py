"""Sheet "Stock and feed": each system's fish, their weight and density, and its feed."""

from __future__ import annotations

from pailbook import terms
from pailbook.quantities import Biomass, FishCount, FishDensity, FishMass, OxygenMass
from pailbook.rules import Entries, Sheet
from pailbook.workbook.columns import Column, Table
from pailbook.workbook.farm_log import fish, following, latest, limits, registers, systems
from pailbook.workbook.farm_log.entries import ENTRIES
from pailbook.workbook.farm_log.log import AS_OF, Log, first_that_holds
from pailbook.workbook.farm_log.stock_rules import fish_of_system
from pailbook.workbook.measures import CHANGE_SHARE, FEED_GIVEN, quantity
from pailbook.workbook.sheets import Formula, put, write_table
from pailbook.workbook.validation import EARLIEST

SHEET = "Stock and feed"
COLUMNS = (
    Column("system", "System", kind="result", width=15),
    Column("species", "Species", kind="result", width=15),
    Column("verdict", "Verdict", kind="result", width=40),
    Column("stock", "Fish on hand", quantity(FishCount), "result", 10),
    Column("one", terms.MEAN_WEIGHT, quantity(FishMass), "result", 10),
    Column("weighed", "Weighed on", kind="result", width=11, format="yyyy-mm-dd"),
    Column("biomass", terms.TOTAL_WEIGHT, quantity(Biomass), "result", 11),
    Column("density", terms.STOCKING_DENSITY, quantity(FishDensity), "result", 10),
    Column("lost", "Fish lost in 7 days", quantity(FishCount), "result", 9),
    Column("lost_share", "Fish lost in 7 days, share", CHANGE_SHARE, "result", 10, format="0.0"),
    Column("feed", "Daily feed, mean of 7 days", FEED_GIVEN, "result", 11, format="0.0"),
    Column("feed_share", f"{terms.FEEDING_RATE}\n% of body weight a day", kind="result", width=13, format="0.0"),
    Column("oxygen", "Oxygen that the daily feed needs", quantity(OxygenMass), "result", 12, format="0"),
    Column("position", "Row weighed", kind="result", width=8, hidden=True),
    Column("place", "Place on the list of systems", kind="result", width=8, hidden=True),
    Column("stamp", "Number of the latest weighing", kind="result", width=8, hidden=True),
    Column("act", "Density: act above", kind="result", width=8, hidden=True),
    Column("watch", "Density: watch above", kind="result", width=8, hidden=True),
)


def table(rows: int) -> Table:
    """Where the table of fish and feed is; a row for each prepared system."""
    return Table(SHEET, COLUMNS, rows)


def write(log: Log) -> None:
    """Writes the sheet of fish and feed."""
    book, t, f, feed, known = (
        log.book, log[SHEET], log[fish.SHEET], log[registers.FEED], log[systems.SHEET])
    sheet = book.sheet(SHEET, "Each system's fish, from the sheet Fish, and its feed over the 7 days up to the date on "
                              "Start, from the sheet Feed. There is nothing to fill in here.")
    named = following.named(log, t)
    week = f'{{dates}},">"&({AS_OF}-7),{{dates}},"<="&{AS_OF}'
    small_to_large = fish.SMALL_TO_LARGE[book.units]

    def placed(row: int, text: str) -> str:
        return f'IF({t.cell("place", row)}="","",{text})'

    def stock(row: int) -> str:
        place = t.cell("place", row)
        rows = f'COUNTIF({f.range("place")},{place})'
        usable = f'COUNTIFS({f.range("place")},{place},{f.range(ENTRIES.key)},1)'
        return placed(row, first_that_holds((
            (f"{rows}=0", '""'), (f"{usable}<{rows}", f'"{terms.NOT_KNOWN}"'),
        ), fish.on_hand(log, place)))

    def position(row: int) -> str:
        stamp = t.cell("stamp", row)
        return f'IF({stamp}="","",MATCH({stamp},{f.range("weighing")},0))'

    def weighed(key: str, row: int) -> str:
        return f'IF({t.cell("position", row)}="","",{f.at(key, t.cell("position", row))})'

    def biomass(row: int) -> str:
        cells = f"{t.cell('stock', row)},{t.cell('one', row)}"
        return f'IF(COUNT({cells})<2,"",{cells.replace(",", "*")}/{small_to_large})'

    def lost(row: int) -> str:
        total = (f'SUMIFS({f.range("count")},{f.range("place")},{t.cell("place", row)},{f.range("event")},'
                 f'"{fish.DIED}",{week.format(dates=f.range("date"))})')
        return f'IF(OR(NOT(ISNUMBER({t.cell("stock", row)})),{AS_OF}=""),"",{total})'

    def lost_share(row: int) -> str:
        dead, left = t.cell("lost", row), t.cell("stock", row)
        return f'IF(COUNT({dead},{left})<2,"",IF({dead}+{left}>0,100*{dead}/({dead}+{left}),""))'

    low, high = FEED_GIVEN.limits(book.units)
    assert low is not None
    assert high is not None
    possible = f'{feed.range("feed")},">={low:.10g}",{feed.range("feed")},"<={high:.10g}"'

    def fed(row: int) -> str:
        of_system = f"{feed.range('system')},{t.cell('system', row)}"
        criteria = f"{of_system},{week.format(dates=feed.range('date'))}"
        amounts = f'{of_system},{feed.range("feed")},">0"'
        dated = f'{amounts},{feed.range("date")},">={EARLIEST}"'  # one without its day may be of this week
        return named(row, first_that_holds((
            (f'{AS_OF}=""', '""'), (f"COUNTIFS({dated})<COUNTIFS({amounts})", f'"{terms.NOT_KNOWN}"'),
            (f"COUNTIFS({criteria})=0", '""'),
            (f"COUNTIFS({criteria},{possible})<COUNTIFS({criteria})", f'"{terms.NOT_KNOWN}"'),
        ), f'SUMIFS({feed.range("feed")},{criteria})/7'))

    def feed_share(row: int) -> str:
        given, weight = t.cell("feed", row), t.cell("biomass", row)
        return (f'IF(COUNT({given},{weight})<2,"",'
                f'IF({weight}>0,100*{given}/({weight}*{small_to_large}),""))')

    def limit(key: str) -> Formula:
        return lambda row: placed(row, limits.for_kind(key, known.at("kind", t.cell("place", row))))

    def verdict(row: int) -> str:
        asked = Entries(known.at("usable", t.cell("place", row)), frozenset({"species", "elevation"}))
        cells = {"on_hand": t.cell("stock", row), "today": AS_OF}
        cells |= {key: t.cell(key, row) for key in ("one", "density", "lost_share", "feed")}
        cells |= {"density_act": t.cell("act", row), "density_watch": t.cell("watch", row)}
        cells |= {key: limits.general(key) for key in ("deaths_act", "deaths_watch")}
        return Sheet(cells, book.units, calls=not book.plain, entries=asked).text(fish_of_system, unasked="")

    write_table(
        book, sheet, t,
        {
            "system": lambda row: following.shown(log, row, t, "system"),
            "species": lambda row: following.shown(log, row, t, "species"),
            "verdict": verdict, "stock": stock, "one": lambda row: weighed("one", row),
            "weighed": lambda row: weighed("date", row), "biomass": biomass,
            "density": lambda row: fish.density(log, t.cell("biomass", row), t.cell("place", row)), "lost": lost,
            "lost_share": lost_share, "feed": fed, "feed_share": feed_share, "position": position,
            "place": lambda row: named(row, following.place(log, t.cell("system", row))),
            "stamp": lambda row: placed(row, latest.largest(f.range("weighing"), t.cell("place", row))),
            "act": limit("density_act"), "watch": limit("density_watch"),
            "oxygen": lambda row: f'IF(ISNUMBER({t.cell("feed", row)}),'
                                  f'{book.call("OXYGEN_FROM_FEED", t.cell("feed", row), "0.5")},"")',
        },
        freeze="species", verdicts=("verdict",), heading_height=58,
    )
    put(sheet, f"A{t.last_row + 2}", "Oxygen that the daily feed needs: half its weight, for the fish and the filter.",
        "note")
    sheet.print_area = f"A1:{t.letter('oxygen')}{t.last_row + 2}"
