"""Sheet "Fish": who came, who went, who died, what they weigh; stock on hand, total weight and density follow."""

from __future__ import annotations

from pailbook import terms
from pailbook.quantities import Biomass, FishCount, FishDensity, FishMass
from pailbook.workbook.columns import Column, Table, picking
from pailbook.workbook.farm_log import latest, limits, systems
from pailbook.workbook.farm_log.log import AS_OF, Log, first_that_holds
from pailbook.workbook.farm_log.usable import NO_DATE_TODAY, UNKNOWN, first_wrong, said_of
from pailbook.workbook.measures import SAMPLE_WEIGHT, quantity
from pailbook.workbook.sheets import write_table

SHEET = "Fish"
ROWS = 150
IN = ("stocked", "moved in", "found more")
OUT = ("died", "moved out", "harvested", "found fewer")
DIED, WEIGHED, STOCKED = "died", "weighed", "stocked"
NEW = ("stocked", "moved in")
SMALL_TO_LARGE = {"metric": 1000, "us": 16}  # weight of fish in g or oz to total weight in kg or lb

COLUMNS = (
    Column("date", "Date", kind="date", width=11),
    Column("system", "System", kind="choice", width=14),
    Column("event", "What happened", kind="choice", width=13, choices=(*IN, *OUT, WEIGHED),
           help="weighed: a sample on the scale, put back. found more, found fewer: a count that corrects the stock."),
    Column("count", "Number of fish", quantity(FishCount), width=9,
           help="How many came, went, died or were on the scale"),
    Column("mean", terms.MEAN_WEIGHT, quantity(FishMass), width=10,
           help="Weight of one fish; or leave it blank and enter the weight of the sample"),
    Column("sample", terms.SAMPLE_WEIGHT, SAMPLE_WEIGHT, width=11),
    Column("cause", "Cause, from or to", kind="text", width=22),
    Column("note", "Note", kind="text", width=24),
    Column("state", "Verdict", kind="result", width=34),
    Column("stock", "Fish on hand that evening", quantity(FishCount), "result", 11),
    Column("biomass", terms.TOTAL_WEIGHT, quantity(Biomass), "result", 11),
    Column("density", terms.STOCKING_DENSITY, quantity(FishDensity), "result", 10),
    Column("one", "Mean weight in use", quantity(FishMass), "result", 10),
    Column("change", "Change of stock", kind="result", width=9, format='+0;-0;0'),
    Column("when", "Row stamp", kind="result", width=9, hidden=True),
    UNKNOWN,
    Column("doubt", "1 where the stock is not known", kind="result", width=9, hidden=True),
    Column("kind", "Column of limits", kind="result", width=9, hidden=True),
)


def table(rows: int = ROWS, systems_list: str = "") -> Table:
    """Where the sheet's table is; systems are picked from that range."""
    return Table(SHEET, picking(COLUMNS, "system", systems_list), rows)


def write(log: Log) -> None:
    """Writes the sheet."""
    book, t = log.book, log[SHEET]
    sheet = book.sheet(SHEET, "One row per event. Weigh a sample often: the total weight and the stocking density rest "
                              "on the latest 'stocked' or 'weighed' row of the system.")

    def known(row: int, text: str) -> str:
        return f'IF({t.cell("unknown", row)}<>"","",{text})'

    def one_of(row: int, words: tuple[str, ...]) -> str:
        event = t.cell("event", row)
        return "OR(" + ",".join(f'{event}="{word}"' for word in words) + ")"

    def change(row: int) -> str:
        count = t.cell("count", row)
        signed = f'IF({one_of(row, IN)},{count},IF({one_of(row, OUT)},-{count},""))'
        return known(row, f'IF(ISNUMBER({count}),{signed},"")')

    def one(row: int) -> str:
        mean, sample, count = (t.cell(key, row) for key in ("mean", "sample", "count"))
        call = book.call("MEAN_MASS", sample, count)
        return known(row, f'IF(ISNUMBER({mean}),{mean},IF(COUNT({sample},{count})<2,"",{call}))')

    def stock(row: int) -> str:
        total = on_hand(log, t.cell("system", row), f'"<="&{t.cell("date", row)}')
        return known(row, f'IF(OR({t.cell("system", row)}="",NOT(ISNUMBER({t.cell("date", row)}))),"",{total})')

    def biomass(row: int) -> str:
        fish, weight = t.cell("stock", row), t.cell("one", row)
        total = f"{fish}*{weight}/{SMALL_TO_LARGE[book.units]}"
        return known(row, f'IF(AND({one_of(row, (STOCKED, WEIGHED))},COUNT({fish},{weight})=2),{total},"")')

    def density(row: int) -> str:
        weight, volume = t.cell("biomass", row), systems.of_system(log, "in_use", t.cell("system", row))
        call = book.call("VESSEL_DENSITY", weight, volume)
        return f'IF(ISNUMBER({weight}),IF(AND({weight}>0,ISNUMBER({volume})),{call},""),"")'

    def kind(row: int) -> str:
        system = t.cell("system", row)
        return f'IF(ISBLANK({system}),"",{systems.of_system(log, "kind", system, str(len(limits.KINDS)))})'

    def state(row: int) -> str:
        date, event, fish, dense, unknown = (
            t.cell(key, row) for key in ("date", "event", "stock", "density", "unknown"))
        of_kind = t.cell("kind", row)
        new = limits.general("new_fish_days")
        age = f"{AS_OF}-{date}"

        def dense_over(key: str) -> tuple[str, str]:
            bound = limits.for_kind(key, of_kind)
            return f'IF(ISNUMBER({dense}),{bound}="{terms.NOT_KNOWN}",FALSE)', limits.said_unknown(key)

        def over(limit: str) -> str:
            return limits.over(dense, limits.for_kind(limit, of_kind))

        return first_that_holds((
            (f'{unknown}<>""', said_of(unknown)),
            (f'{event}=""', '""'),
            (f"{fish}<0", '"act: more fish went than ever came; check the counts"'),
            (over("density_act"), '"act: overstocked"'),
            dense_over("density_act"), dense_over("density_watch"),
            (over("density_watch"), '"watch: densely stocked"'),
            (f'AND({one_of(row, NEW)},{AS_OF}="")', NO_DATE_TODAY),
            (f'AND({one_of(row, NEW)},{new}="{terms.NOT_KNOWN}")', limits.said_unknown("new_fish_days")),
            (f"IF(AND({one_of(row, NEW)},ISNUMBER({new})),AND({AS_OF}>={date},{age}<{new}),FALSE)",
             f'"watch: new fish, day "&(INT({age})+1)&" of "&{new}'),
        ), '"fine"')

    def unknown(row: int) -> str:
        found = first_wrong(t, row, book.units, ("date", "system", "event", "count", "mean", "sample"),
                            needed=("date", "system", "event", "count"))
        return f'IF(COUNTA({t.span("date", "sample", row)})=0,"",{found})'

    def when(row: int) -> str:
        place = f"MATCH({t.cell('system', row)},{log[systems.SHEET].range('system')},0)"
        weighed = f"AND({one_of(row, (STOCKED, WEIGHED))},ISNUMBER({t.cell('one', row)}))"
        return known(row, f'IF({weighed},IFERROR({latest.number(place, t.cell("date", row))},""),"")')

    write_table(
        book, sheet, t,
        {"state": state, "stock": stock, "biomass": biomass, "density": density, "one": one, "change": change,
         "when": when, "unknown": unknown, "doubt": lambda row: f'IF({t.cell("unknown", row)}="","",1)',
         "kind": kind},
        freeze="event", verdicts=("state",),
    )


def on_hand(log: Log, system: str, until: str = "") -> str:
    """Formula text for the number of fish in a system, at the end of the day that the criterion names."""
    t = log[SHEET]
    dates = f",{t.range('date')},{until}" if until else ""
    return f"SUMIFS({t.range('change')},{t.range('system')},{system}{dates})"
