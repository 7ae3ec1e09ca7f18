"""Sheet "Fish": who came, who went, who died, what they weigh; stock on hand, biomass and density follow."""

from __future__ import annotations

from pailbook.quantities import Biomass, FishCount, FishDensity, FishMass
from pailbook.workbook.columns import Column, Table, picking
from pailbook.workbook.farm_log import limits, systems
from pailbook.workbook.farm_log.log import AS_OF, Log, first_that_holds
from pailbook.workbook.measures import SAMPLE_WEIGHT, quantity
from pailbook.workbook.sheets import write_table

SHEET = "Fish"
ROWS = 150
IN = ("stocked", "moved in", "found more")
OUT = ("died", "moved out", "harvested", "found fewer")
DIED, WEIGHED, STOCKED = "died", "weighed", "stocked"
NEW = ("stocked", "moved in")
SMALL_TO_LARGE = {"metric": 1000, "us": 16}  # fish mass in g or oz to biomass in kg or lb

COLUMNS = (
    Column("date", "Date", kind="date", width=11),
    Column("system", "System", kind="choice", width=14),
    Column("event", "What happened", kind="choice", width=13, choices=(*IN, *OUT, WEIGHED),
           help="weighed: a sample on the scale, put back. found more, found fewer: a count that corrects the stock."),
    Column("count", "Number of fish", quantity(FishCount), width=9,
           help="How many came, went, died or were on the scale"),
    Column("mean", "One fish weighs", quantity(FishMass), width=10, help="Mean weight, or give the batch weight"),
    Column("sample", "Batch weighs", SAMPLE_WEIGHT, width=10),
    Column("cause", "Cause, from or to", kind="text", width=22),
    Column("note", "Note", kind="text", width=24),
    Column("state", "Verdict", kind="result", width=30),
    Column("stock", "Fish on hand that evening", quantity(FishCount), "result", 11),
    Column("biomass", "Weight of all fish", quantity(Biomass), "result", 11),
    Column("density", "Stocking density", quantity(FishDensity), "result", 10),
    Column("one", "One fish weighs", quantity(FishMass), "result", 10),
    Column("change", "Change of stock", kind="result", width=9, format='+0;-0;0'),
    Column("when", "Row stamp", kind="result", width=9, hidden=True),
)


def table(rows: int = ROWS, systems_list: str = "") -> Table:
    """Where the sheet's table is; systems are picked from that range."""
    return Table(SHEET, picking(COLUMNS, "system", systems_list), rows)


def write(log: Log) -> None:
    """Writes the sheet."""
    book, t = log.book, log[SHEET]
    sheet = book.sheet(SHEET, "One row an event. Weigh a sample often: the weight of all fish and the density rest on "
                              "the latest 'stocked' or 'weighed' row of the system.")

    def one_of(row: int, words: tuple[str, ...]) -> str:
        event = t.cell("event", row)
        return "OR(" + ",".join(f'{event}="{word}"' for word in words) + ")"

    def change(row: int) -> str:
        count = t.cell("count", row)
        return f'IF(ISNUMBER({count}),IF({one_of(row, IN)},{count},IF({one_of(row, OUT)},-{count},"")),"")'

    def one(row: int) -> str:
        mean, batch, count = (t.cell(key, row) for key in ("mean", "sample", "count"))
        call = book.call("MEAN_MASS", batch, count)
        return f'IF(ISNUMBER({mean}),{mean},IF(COUNT({batch},{count})<2,"",{call}))'

    def stock(row: int) -> str:
        total = on_hand(log, t.cell("system", row), f'"<="&{t.cell("date", row)}')
        return f'IF(OR({t.cell("system", row)}="",NOT(ISNUMBER({t.cell("date", row)}))),"",{total})'

    def biomass(row: int) -> str:
        fish, mass = t.cell("stock", row), t.cell("one", row)
        return (f'IF(AND({one_of(row, (STOCKED, WEIGHED))},COUNT({fish},{mass})=2),'
                f'{fish}*{mass}/{SMALL_TO_LARGE[book.units]},"")')

    def density(row: int) -> str:
        mass, volume = t.cell("biomass", row), systems.of_system(log, "in_use", t.cell("system", row))
        call = book.call("VESSEL_DENSITY", mass, volume)
        return f'IF(ISNUMBER({mass}),IF(AND({mass}>0,ISNUMBER({volume})),{call},""),"")'

    def state(row: int) -> str:
        date, system, event, fish = (t.cell(key, row) for key in ("date", "system", "event", "stock"))
        kind = systems.of_system(log, "kind", system, str(len(limits.KINDS)))
        new = limits.general("new_fish_days")
        dense = t.cell("density", row)

        def over(limit: str) -> str:
            return f"IF(ISNUMBER({dense}),{dense}>{limits.for_kind(limit, kind)},FALSE)"

        return first_that_holds((
            (f'{event}=""', '""'),
            (f'OR({system}="",NOT(ISNUMBER({date})))', '"watch: give date and system"'),
            (f"NOT(ISNUMBER({t.cell('count', row)}))", '"watch: give the number of fish"'),
            (f"{fish}<0", '"act: more fish went than ever came; check the counts"'),
            (over("density_act"), '"act: overstocked"'),
            (over("density_watch"), '"watch: densely stocked"'),
            (f'AND({one_of(row, NEW)},{AS_OF}<>"",{AS_OF}>={date},{AS_OF}-{date}<{new})',
             f'"watch: new fish, day "&(INT({AS_OF}-{date})+1)&" of "&{new}'),
        ), '"fine"')

    write_table(
        book, sheet, t,
        {"state": state, "stock": stock, "biomass": biomass, "density": density, "one": one, "change": change,
         "when": lambda row: f'IF(AND(ISNUMBER({t.cell("date", row)}),{one_of(row, (STOCKED, WEIGHED))},'
                             f"ISNUMBER({t.cell('one', row)})),{t.cell('date', row)}+ROW()*1E-9,0)"},
        freeze="event", verdicts=("state",),
    )


def on_hand(log: Log, system: str, until: str = "") -> str:
    """Formula text for the number of fish in a system, at the end of the day that the criterion names."""
    t = log[SHEET]
    dates = f",{t.range('date')},{until}" if until else ""
    return f"SUMIFS({t.range('change')},{t.range('system')},{system}{dates})"
