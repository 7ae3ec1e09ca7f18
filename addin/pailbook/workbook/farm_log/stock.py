"""Sheet "Stock and feed": each system's fish, their weight and density, and its feed."""

from __future__ import annotations

from pailbook import terms
from pailbook.quantities import Biomass, FishCount, FishDensity, FishMass, OxygenMass
from pailbook.workbook.columns import Column, Table
from pailbook.workbook.farm_log import fish, following, latest, limits, registers, systems
from pailbook.workbook.farm_log.log import AS_OF, Log, first_that_holds
from pailbook.workbook.farm_log.usable import NO_DATE_TODAY, not_known
from pailbook.workbook.measures import CHANGE_SHARE, FEED_GIVEN, quantity
from pailbook.workbook.sheets import put, write_table

SHEET = "Stock and feed"
MANY_DEATHS = "act: many deaths; stop feeding, test the water, call for help"
OVERSTOCKED = "act: overstocked; move or harvest some fish"
SOME_DEATHS, DENSE = "watch: deaths; find the cause", "watch: densely stocked; keep the air on"
NOT_WEIGHED = "watch: weigh a sample"
NO_VOLUME = not_known("the stocking density, as the system has no volume")
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
    Column("doubts", "Rows of Fish that are not known", kind="result", width=8, hidden=True),
)
_FEED_ROWS = not_known("an amount on the sheet Feed, in the last 7 days")
_FISH_ROWS = not_known("an entry on the sheet Fish")


def table(rows: int) -> Table:
    """Where the table of fish and feed is; a row for each prepared system."""
    return Table(SHEET, COLUMNS, rows)


def write(log: Log) -> None:
    """Writes the sheet of fish and feed."""
    book, t, f, feed = log.book, log[SHEET], log[fish.SHEET], log[registers.FEED]
    sheet = book.sheet(SHEET, "Each system's fish, from the sheet Fish, and its feed over the 7 days up to the date on "
                              "Start, from the sheet Feed. There is nothing to fill in here.")
    named = following.named(log, t)
    week = f'{{dates}},">"&({AS_OF}-7),{{dates}},"<="&{AS_OF}'

    def system(row: int) -> str:
        return t.cell("system", row)

    def stock(row: int) -> str:
        return named(row, first_that_holds((
            (f'COUNTIF({f.range("system")},{system(row)})=0', '""'),
            (f'{t.cell("doubts", row)}>0', f'"{terms.NOT_KNOWN}"'),
        ), fish.on_hand(log, system(row))))

    def position(row: int) -> str:
        stamp = t.cell("stamp", row)
        return f'IF({stamp}="","",MATCH({stamp},{f.range("when")},0))'

    def weighed(key: str, row: int) -> str:
        return f'IF({t.cell("position", row)}="","",{f.at(key, t.cell("position", row))})'

    def biomass(row: int) -> str:
        cells = f"{t.cell('stock', row)},{t.cell('one', row)}"
        return f'IF(COUNT({cells})<2,"",{cells.replace(",", "*")}/{fish.SMALL_TO_LARGE[book.units]})'

    def density(row: int) -> str:
        weight, volume = t.cell("biomass", row), systems.of_system(log, "in_use", system(row))
        call = book.call("VESSEL_DENSITY", weight, volume)
        return f'IF(ISNUMBER({weight}),IF(AND({weight}>0,ISNUMBER({volume})),{call},""),"")'

    def lost(row: int) -> str:
        total = (f'SUMIFS({f.range("count")},{f.range("system")},{system(row)},{f.range("event")},"{fish.DIED}",'
                 f'{week.format(dates=f.range("date"))})')
        return f'IF(OR(NOT(ISNUMBER({t.cell("stock", row)})),{AS_OF}=""),"",{total})'

    def lost_share(row: int) -> str:
        dead, left = t.cell("lost", row), t.cell("stock", row)
        return f'IF(COUNT({dead},{left})<2,"",IF({dead}+{left}>0,100*{dead}/({dead}+{left}),""))'

    def fed(row: int) -> str:
        criteria = f"{feed.range('system')},{system(row)},{week.format(dates=feed.range('date'))}"
        return named(row, first_that_holds((
            (f'{AS_OF}=""', '""'), (f"COUNTIFS({criteria})=0", '""'),
            (f'COUNTIFS({criteria},{feed.range("feed")},">=0")<COUNTIFS({criteria})', f'"{terms.NOT_KNOWN}"'),
        ), f'SUMIFS({feed.range("feed")},{criteria})/7'))

    def feed_share(row: int) -> str:
        given, weight = t.cell("feed", row), t.cell("biomass", row)
        return (f'IF(COUNT({given},{weight})<2,"",'
                f'IF({weight}>0,100*{given}/({weight}*{fish.SMALL_TO_LARGE[book.units]}),""))')

    def verdict(row: int) -> str:
        kind = systems.of_system(log, "kind", system(row), str(len(limits.KINDS)))
        density_of, doubt = t.cell("density", row), systems.of_system(log, "usable", system(row))

        def over(key: str, limit: str) -> str:
            return limits.over(t.cell(key, row), limit)

        of_kind = {key: limits.for_kind(key, kind) for key in ("density_act", "density_watch")}
        general = {key: limits.general(key) for key in ("deaths_act", "deaths_watch")}
        return named(row, first_that_holds((
            (f'{t.cell("stock", row)}=""', '""'),
            (f'{t.cell("stock", row)}="{terms.NOT_KNOWN}"', f'"{_FISH_ROWS}"'),
            (over("lost_share", general["deaths_act"]), f'"{MANY_DEATHS}"'),
            (over("density", of_kind["density_act"]), f'"{OVERSTOCKED}"'),
            (f'{AS_OF}=""', NO_DATE_TODAY),
            *((f'{cell}="{terms.NOT_KNOWN}"', limits.said_unknown(key)) for key, cell in (general | of_kind).items()),
            (f'ISTEXT({doubt})', f'"{not_known("")}"&MID({doubt},3,255)'),
            (f'{t.cell("feed", row)}="{terms.NOT_KNOWN}"', f'"{_FEED_ROWS}"'),
            (over("lost_share", general["deaths_watch"]), f'"{SOME_DEATHS}"'),
            (over("density", of_kind["density_watch"]), f'"{DENSE}"'),
            (f'{t.cell("one", row)}=""', f'"{NOT_WEIGHED}"'),
            (f'{t.cell("stock", row)}=0', f'"{terms.FINE}"'),
            (f"NOT(ISNUMBER({density_of}))", f'"{NO_VOLUME}"'),
        ), f'"{terms.FINE}"'))

    write_table(
        book, sheet, t,
        {
            "system": lambda row: following.shown(log, row, t, "system"),
            "species": lambda row: following.shown(log, row, t, "species"),
            "verdict": verdict, "stock": stock, "one": lambda row: weighed("one", row),
            "weighed": lambda row: weighed("date", row), "biomass": biomass, "density": density, "lost": lost,
            "lost_share": lost_share, "feed": fed, "feed_share": feed_share, "position": position,
            "place": lambda row: named(row, following.place(log, system(row))),
            "stamp": lambda row: f'IF({t.cell("place", row)}="","",'
                                 f'{latest.largest(f.range("when"), t.cell("place", row))})',
            "doubts": lambda row: named(row, f'COUNTIFS({f.range("system")},{system(row)},{f.range("doubt")},1)'),
            "oxygen": lambda row: f'IF(ISNUMBER({t.cell("feed", row)}),'
                                  f'{book.call("OXYGEN_FROM_FEED", t.cell("feed", row), "0.5")},"")',
        },
        freeze="species", verdicts=("verdict",), heading_height=58,
    )
    put(sheet, f"A{t.last_row + 2}", "Oxygen that the daily feed needs: half its weight, for the fish and the filter.",
        "note")
    sheet.print_area = f"A1:{t.letter('oxygen')}{t.last_row + 2}"
