"""Sheet "Overview": each system at a glance: its latest test, the verdict, what to do next, its fish and feed."""

from __future__ import annotations

from collections.abc import Callable

from pailbook.quantities import (
    PH,
    Biomass,
    FishCount,
    FishDensity,
    FishMass,
    Oxygen,
    OxygenMass,
    Percent,
    UnionizedAmmonia,
    WaterTemperature,
)
from pailbook.workbook.columns import Column, Table
from pailbook.workbook.farm_log import fish, limits, registers, settings, systems, water_tests
from pailbook.workbook.farm_log.advice import CALM, step, urgency
from pailbook.workbook.farm_log.log import AS_OF, Log, blank_or, first_that_holds
from pailbook.workbook.measures import CHANGE_SHARE, FEED_GIVEN, quantity
from pailbook.workbook.sheets import put, write_table

SHEET, STOCK = "Overview", "Stock and feed"
MANY_DEATHS, OVERSTOCKED = "act: many deaths; stop feed, test, call for help", "act: overstocked; thin out or harvest"
SOME_DEATHS, DENSE = "watch: deaths; find the cause", "watch: densely stocked; keep air running"
NOT_WEIGHED = "watch: weigh a sample"
_LATEST = {  # columns of water tests shown for the latest test
    "temperature": Column("temperature", "Water temperature", quantity(WaterTemperature), "result", 11),
    "ph": Column("ph", "pH", quantity(PH), "result", 7),
    "oxygen": Column("oxygen", "Oxygen (DO)", quantity(Oxygen), "result", 8),
    "saturation": Column("saturation", "Oxygen saturation", quantity(Percent), "result", 11),
    "nh3": Column("nh3", "NH3-N", quantity(UnionizedAmmonia), "result", 8),
    "tan_n": Column("tan_n", "TAN-N\nmg/L", kind="result", width=8, format="0.00"),
    "no2": Column("no2", "Nitrite\nmg/L as NO2", kind="result", width=9, format="0.00"),
    "no3": Column("no3", "Nitrate\nmg/L as NO3", kind="result", width=9, format="0"),
    "po4": Column("po4", "Phosphate\nmg/L as PO4", kind="result", width=10, format="0.0"),
    "alkalinity": Column("alkalinity", "Alkalinity\nmg/L as CaCO3", kind="result", width=10, format="0"),
}
COLUMNS = (
    Column("system", "System", kind="result", width=15),
    Column("client", "Client", kind="result", width=19),
    Column("verdict", "Verdict", kind="result", width=9),
    Column("next", "What to do next", kind="result", width=42),
    Column("why", "Why", kind="result", width=34),
    Column("date", "Latest test", kind="result", width=11, format="yyyy-mm-dd"),
    Column("days", "Days since a test", kind="result", width=9, format="0"),
    Column("ammonia_days", "Days since NH3 was known", kind="result", width=10, format="0"),
    *_LATEST.values(),
    Column("position", "Row of the latest test", kind="result", width=8, hidden=True),
    Column("urgency", "Order of urgency", kind="result", width=8, hidden=True),
)
STOCK_COLUMNS = (
    Column("system", "System", kind="result", width=15),
    Column("species", "Species", kind="result", width=15),
    Column("verdict", "Verdict", kind="result", width=40),
    Column("stock", "Fish on hand", quantity(FishCount), "result", 10),
    Column("one", "One fish weighs", quantity(FishMass), "result", 10),
    Column("weighed", "Weighed on", kind="result", width=11, format="yyyy-mm-dd"),
    Column("biomass", "Weight of all fish", quantity(Biomass), "result", 11),
    Column("density", "Stocking density", quantity(FishDensity), "result", 10),
    Column("lost", "Lost in 7 days", quantity(FishCount), "result", 9),
    Column("lost_share", "Lost in 7 days, share", CHANGE_SHARE, "result", 10, format="0.0"),
    Column("feed", "Feed a day, over 7 days", FEED_GIVEN, "result", 11, format="0.0"),
    Column("feed_share", "Feed a day, share of fish weight", kind="result", width=12, format='0.0"%"'),
    Column("oxygen", "Oxygen that the feed needs a day", quantity(OxygenMass), "result", 12, format="0"),
    Column("position", "Row weighed", kind="result", width=8, hidden=True),
)


def table(rows: int) -> Table:
    """Where the table of the latest tests is; a row for each prepared system."""
    return Table(SHEET, COLUMNS, rows)


def stock_table(rows: int) -> Table:
    """Where the table of fish and feed is; a row for each prepared system."""
    return Table(STOCK, STOCK_COLUMNS, rows)


def write(log: Log) -> None:
    """Writes the sheet of the latest tests."""
    t, tests = log[SHEET], log[water_tests.SHEET]
    sheet = log.book.sheet(SHEET, "The latest test of each system on the sheet Systems; nothing to fill in here. Days "
                                  "count to the date on Start; an old test makes the verdict worse.")
    named = _named(log, t)

    def latest(key: str) -> Callable[[int], str]:
        found = tests.at(key, "{position}")
        factor = f"*{settings.factor('basis_alkalinity')}" if key == "alkalinity" else ""

        def text(row: int) -> str:
            cell = found.format(position=t.cell("position", row))
            shown = f'IF(ISNUMBER({cell}),{cell}{factor},"")' if factor else blank_or(cell)
            return f'IF({t.cell("position", row)}="","",{shown})'
        return text

    def last(row: int, known: str = "") -> str:
        mine = f"({tests.range('system')}={t.cell('system', row)})"
        return f"SUMPRODUCT(MAX({mine}{known}*{tests.range('when')}))"

    def ammonia_days(row: int) -> str:
        stamp = last(row, f"*ISNUMBER({tests.range('nh3')})")
        return (f'IF(OR({t.cell("position", row)}="",{AS_OF}=""),"",IF({stamp}=0,"never",'
                f"MAX(0,INT({AS_OF})-INT({stamp}))))")

    def verdict(row: int) -> str:
        word, days = blank_or(tests.at("verdict", t.cell("position", row))), t.cell("days", row)
        act = f'IF(ISNUMBER({days}),{days}>{limits.general("days_act")},FALSE)'
        return named(row, f'IF({t.cell("position", row)}="","watch",IF(OR({word}="act",{act}),"act",'
                          f'IF(OR({word}="watch",{t.cell("urgency", row)}<{CALM}),"watch","fine")))')

    def position(row: int) -> str:
        return named(row, f'IF({last(row)}=0,"",MATCH({last(row)},{tests.range("when")},0))')

    formulas = {key: latest(key) for key in (*_LATEST, "why", "date")}
    write_table(
        log.book, sheet, t,
        {
            **formulas, "verdict": verdict, "position": position, "ammonia_days": ammonia_days,
            "system": lambda row: _system(log, row, t, "system"), "client": lambda row: _system(log, row, t, "client"),
            "days": lambda row: f'IF(OR({t.cell("date", row)}="",{AS_OF}=""),"",MAX(0,INT({AS_OF})-{t.cell("date", row)}))',
            "urgency": lambda row: named(row, urgency(*(
                t.cell(key, row) for key in ("position", "why", "days", "ammonia_days")))),
            "next": lambda row: named(row, step(t.cell("urgency", row))),
        },
        freeze="client", verdicts=("verdict",), heading_height=58,
    )


def write_stock(log: Log) -> None:
    """Writes the sheet of fish and feed."""
    book, t, f, feed = log.book, log[STOCK], log[fish.SHEET], log[registers.FEED]
    sheet = book.sheet(STOCK, "Each system's fish, from the sheet Fish, and its feed over the 7 days up to the date on "
                              "Start, from the sheet Feed; nothing to fill in here.")
    named = _named(log, t)
    week = f'{{dates}},">"&({AS_OF}-7),{{dates}},"<="&{AS_OF}'

    def system(row: int) -> str:
        return t.cell("system", row)

    def stock(row: int) -> str:
        return named(row, f'IF(COUNTIF({f.range("system")},{system(row)})=0,"",{fish.on_hand(log, system(row))})')

    def position(row: int) -> str:
        stamp = f"SUMPRODUCT(MAX(({f.range('system')}={system(row)})*{f.range('when')}))"
        return named(row, f'IF({stamp}=0,"",MATCH({stamp},{f.range("when")},0))')

    def weighed(key: str, row: int) -> str:
        return f'IF({t.cell("position", row)}="","",{f.at(key, t.cell("position", row))})'

    def biomass(row: int) -> str:
        cells = f"{t.cell('stock', row)},{t.cell('one', row)}"
        return f'IF(COUNT({cells})<2,"",{cells.replace(",", "*")}/{fish.SMALL_TO_LARGE[book.units]})'

    def density(row: int) -> str:
        mass, volume = t.cell("biomass", row), systems.of_system(log, "in_use", system(row))
        return (f'IF(ISNUMBER({mass}),IF(AND({mass}>0,ISNUMBER({volume})),{book.call("VESSEL_DENSITY", mass, volume)},""),"")')

    def lost(row: int) -> str:
        total = (f'SUMIFS({f.range("count")},{f.range("system")},{system(row)},{f.range("event")},"{fish.DIED}",'
                 f'{week.format(dates=f.range("date"))})')
        return f'IF(OR({t.cell("stock", row)}="",{AS_OF}=""),"",{total})'

    def lost_share(row: int) -> str:
        dead, left = t.cell("lost", row), t.cell("stock", row)
        return f'IF(COUNT({dead},{left})<2,"",IF({dead}+{left}>0,100*{dead}/({dead}+{left}),""))'

    def fed(row: int) -> str:
        criteria = f"{feed.range('system')},{system(row)},{week.format(dates=feed.range('date'))}"
        return named(row, f'IF({AS_OF}="","",IF(COUNTIFS({criteria})=0,"",SUMIFS({feed.range("feed")},{criteria})/7))')

    def feed_share(row: int) -> str:
        given, mass = t.cell("feed", row), t.cell("biomass", row)
        return (f'IF(COUNT({given},{mass})<2,"",'
                f'IF({mass}>0,100*{given}/({mass}*{fish.SMALL_TO_LARGE[book.units]}),""))')

    def verdict(row: int) -> str:
        kind = systems.of_system(log, "kind", system(row), str(len(limits.KINDS)))

        def over(key: str, limit: str) -> str:
            return f"IF(ISNUMBER({t.cell(key, row)}),{t.cell(key, row)}>{limit},FALSE)"
        return named(row, first_that_holds((
            (f'{t.cell("stock", row)}=""', '""'),
            (over("lost_share", limits.general("deaths_act")), f'"{MANY_DEATHS}"'),
            (over("density", limits.for_kind("density_act", kind)), f'"{OVERSTOCKED}"'),
            (over("lost_share", limits.general("deaths_watch")), f'"{SOME_DEATHS}"'),
            (over("density", limits.for_kind("density_watch", kind)), f'"{DENSE}"'),
            (f'{t.cell("one", row)}=""', f'"{NOT_WEIGHED}"'),
        ), '"fine"'))

    write_table(
        book, sheet, t,
        {
            "system": lambda row: _system(log, row, t, "system"),
            "species": lambda row: _system(log, row, t, "species"),
            "verdict": verdict, "stock": stock, "one": lambda row: weighed("one", row),
            "weighed": lambda row: weighed("date", row), "biomass": biomass, "density": density, "lost": lost,
            "lost_share": lost_share, "feed": fed, "feed_share": feed_share, "position": position,
            "oxygen": lambda row: f'IF(ISNUMBER({t.cell("feed", row)}),'
                                  f'{book.call("OXYGEN_FROM_FEED", t.cell("feed", row), "0.5")},"")',
        },
        freeze="species", verdicts=("verdict",), heading_height=58,
    )
    put(sheet, f"A{t.last_row + 2}", "Oxygen that the feed needs: half its weight, for fish and filter.", "note")
    sheet.print_area = f"A1:{t.letter('oxygen')}{t.last_row + 2}"


def _system(log: Log, row: int, table: Table, key: str) -> str:
    """The system's own column, in the same order as on Systems."""
    source = log[systems.SHEET]
    return blank_or(f"{source.sheet}!${source.letter(key)}${source.first_row + row - table.first_row}")


def _named(log: Log, table: Table) -> Callable[[int, str], str]:
    return lambda row, text: f'IF({table.cell("system", row)}="","",{text})'
