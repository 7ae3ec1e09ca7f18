"""Sheet "Weeks": all cohorts together, one row per week, and whether water, filter, air and plants carry them."""

from __future__ import annotations

from pailbook import terms
from pailbook.quantities import KG_PER_POUND, BiomassOrNone, Feed, FishDensity, MediaVolume, PlantArea, WaterTemperature
from pailbook.workbook import style
from pailbook.workbook.clean_columns import Clean
from pailbook.workbook.columns import Column, Table
from pailbook.workbook.form import Plan
from pailbook.workbook.measures import quantity
from pailbook.workbook.sheets import Formula, write_table
from pailbook.workbook.stocking_plan import areas, facts, growth, measures, row_rules
from pailbook.workbook.stocking_plan.places import SHEETS
from pailbook.workbook.texts import with_numbers

SHEET = SHEETS["weeks"]
CLEAN = Clean((row_rules.week,), ("own_temperature", "fish", "density", "media", "air", "feed", "biomass"))
_SHORT = ("density", "media", "air", "area")  # what may be too small, each with a hidden flag
COLUMNS = (
    Column("own_temperature", "Temperature, if not as usual", quantity(WaterTemperature), width=12,
           help="The mean expected for that week, if it is not the usual one of Setup. It stays in its row, even if "
                "the first day of the plan changes"),
    Column("number", "Week", kind="result", width=6, format="0"),
    Column("date", "Week of", kind="result", width=11, format=style.DATE_FORMAT),
    Column("temperature", "Temperature used", quantity(WaterTemperature), "result", 12),
    Column("fish", "Fish", kind="result", width=7, format="0"),
    Column("biomass", "Total weight at the end", quantity(BiomassOrNone), "result", 9, format="0.0"),
    Column("density", terms.STOCKING_DENSITY, quantity(FishDensity), "result", 8),
    Column("feed", "Daily feed", quantity(Feed), "result", 8),
    Column("percent", f"{terms.FEEDING_RATE}\n% of body weight a day", kind="result", width=10, format="0.0"),
    Column("tan", "Total ammonia made\ng as N a day", kind="result", width=10, format="0.0"),
    Column("media", "Filter media needed", quantity(MediaVolume), "result", 9),
    Column("air", "Air needed\nL/min", kind="result", width=8, format="0.0"),
    Column("area", "Plants needed", quantity(PlantArea), "result", 8),
    Column("alkalinity", f"{terms.ALKALINITY_ONCE} used\ng as CaCO3 a day", kind="result", width=10, format="0.0"),
    Column("nitrate", "Nitrate made\ng as NO3 a day", kind="result", width=9, format="0.0"),
    Column("taken", "Fish taken out", kind="result", width=8, format="0;-0;"),
    Column("taken_weight", "Weight taken out", measures.TOTAL, "result", 8, format="0.0;-0.0;"),
    Column("state", "Verdict", kind="result", width=46),
    *(Column(key, label, kind="result", hidden=True) for key, label in (
        ("use", "Oxygen used, mg/h"), ("per_air", "Oxygen from 1 L/min, mg/h"), ("dead", "Deaths"),
        ("filter_feed", "Feed that the filter can take"), ("air_feed", "Feed that the air can take"),
        ("plant_feed", "Feed that the plants can use"),
        *((f"{key}_short", f"{key} short") for key in _SHORT), ("harvest", "Harvests so far"))),
    *CLEAN.columns,
)


def table(weeks: int) -> Table:
    """Where the sheet's table is."""
    return Table(SHEET, COLUMNS, weeks)


def write(plan: Plan) -> None:
    """Writes the sheet."""
    t = plan.tables[SHEET]
    sheet = plan.book.sheet(SHEET, "One row per week, at its fullest. Enter a water temperature only for weeks in "
                                   "which it is not the usual one.")
    write_table(plan.book, sheet, t, _formulas(plan, t), freeze="temperature", verdicts=("state",), heading_height=72)
    sheet.auto_filter.ref = None


def _formulas(plan: Plan, t: Table) -> dict[str, Formula]:
    book, c, first = plan.book, t.cell, t.first_row
    protein = f"{plan['protein']}/100"
    grams = {"metric": 1000, "us": 16}[book.units]  # g in a kg, oz in a lb
    kilograms = {"metric": 1, "us": KG_PER_POUND}[book.units]
    plant_feed, plant_area = areas.total(plan, "feed"), areas.total(plan, "area")

    def needing(keys: str, text: Formula, *others: str) -> Formula:
        """A formula that is blank until the row's cells of those keys, and the others, are numbers."""
        return lambda row: with_numbers([*(c(key, row) for key in keys.split()), *others], text(row))

    def temperature(row: int) -> str:
        own = c(CLEAN.key("own_temperature"), row)
        return f'IF(COUNT({own})=1,{own},IF({plan["temperature"]}="","",{plan["temperature"]}))'

    def fish(row: int) -> str:
        complete = plan.tables[SHEETS["cohorts"]].range("ok")
        return f'IF(OR({c("date", row)}="",SUM({complete})=0),"",{growth.sum_of(plan, row, "fish")})'

    def summed(key: str) -> Formula:
        return lambda row: f'IF({c("fish", row)}="","",{growth.sum_of(plan, row, key)})'

    def density(row: int) -> str:
        return f"IF({c('biomass', row)}>0,{book.call('VESSEL_DENSITY', c('biomass', row), plan['volume'])},0)"

    def use(row: int) -> str:
        biomass = c("biomass", row)
        fed = book.call("OXYGEN_FROM_FEED", c("feed", row), plan["oxygen_ratio"])
        hottest = f"{book.show(quantity(WaterTemperature), 35):.6g}"  # where the data on oxygen use end
        mean = f"{biomass}*{grams}/({c('fish', row)}-{c('taken', row)})"
        resting = book.call("OXYGEN_CONSUMPTION", mean, f"MIN({c('temperature', row)},{hottest})", "1", '"any fish"')
        return f"MAX({fed}*1000/24*{plan['peak']},IF({biomass}>0,{biomass}*{kilograms}*{resting},0))"

    def per_air(row: int) -> str:
        stone = f"IF(COUNT({plan['stone_share']})=1,{plan['stone_share']},{plan['stone']})"
        return book.call("AIR_TRANSFER", "1", plan["stone_depth"], c("temperature", row), plan["oxygen_keep"],
                         plan["elevation"], stone)

    def media_for(load: str, row: int) -> str:
        surface = book.call("BIOFILTER_AREA", load, c("temperature", row), plan["filter_rate"])
        return book.call("MEDIA_VOLUME", surface, plan["specific_surface"])

    def filter_feed(row: int) -> str:
        return f"{plan['media_volume']}/{media_for(book.call('AMMONIA_FROM_FEED', '1', protein), row)}"

    def air_feed(row: int) -> str:
        one = book.call("OXYGEN_FROM_FEED", "1", plan["oxygen_ratio"])
        return f"MAX(0,{plan['air_flow']}*{c('per_air', row)})/({one}*1000/24*{plan['peak']})"

    def of_plants(row: int) -> str:
        return f'IF(OR({c("feed", row)}="",{plant_feed}=0),"",{c("feed", row)}*{plant_area}/{plant_feed})'

    def short(key: str, have: str) -> Formula:
        return lambda row: f"IF(COUNT({c(key, row)},{have})<2,0,IF({c(key, row)}>{have},1,0))"

    def air_short(row: int) -> str:
        """Too little air too where none can keep that much oxygen in the water."""
        use, each = c("use", row), c("per_air", row)
        return f'IF(COUNT({use},{each})<2,0,IF({each}<=0,1,{short("air", plan["air_flow"])(row)}))'

    def harvest(row: int) -> str:
        earlier = "0" if row == first else c("harvest", row - 1)
        return f"{earlier}+IF(COUNT({c('taken', row)})=1,IF({c('taken', row)}>0,1,0),0)"

    def of_tan(function: str, *more: str) -> Formula:
        return needing("tan", lambda row: book.call(function, c("tan", row), *more))

    def state(row: int) -> str:
        flags = {f"{key}_short": c(f"{key}_short", row) for key in _SHORT}
        return facts.asking(plan, row_rules.week, **flags, **CLEAN.cells(t, row)).text(row_rules.week, unasked="")

    return {
        "number": lambda row: f'IF({c("date", row)}="","",{row - first + 1})',
        "date": lambda row: f'IF({plan["plan_start"]}="","",INT({plan["plan_start"]})+{7 * (row - first)})',
        "temperature": temperature, "fish": fish, "biomass": summed("biomass"),
        "density": needing("biomass", density, plan["volume"]), "feed": summed("feed"),
        "percent": needing("feed biomass", lambda row: (
            f"IF({c('biomass', row)}>0,{c('feed', row)}/({c('biomass', row)}*{grams})*100,0)")),
        "tan": needing("feed", lambda row: book.call("AMMONIA_FROM_FEED", c("feed", row), protein)),
        "media": needing("tan temperature", lambda row: media_for(c("tan", row), row), plan["specific_surface"]),
        "air": needing("use per_air", lambda row: (
            f'IF({c("per_air", row)}>0,{c("use", row)}/{c("per_air", row)},"")')),
        "area": of_plants, "alkalinity": of_tan("NITRIFICATION_ALKALINITY", plan["plant_share"]),
        "nitrate": of_tan("NITRATE_MADE"), "taken": summed("taken"), "taken_weight": summed("taken_weight"),
        "state": state, **CLEAN.formulas(t, book.units),
        "use": needing("biomass feed temperature", use), "per_air": needing("temperature", per_air,
                                                                           plan["stone_depth"]),
        "dead": summed("dead"),
        "filter_feed": needing("temperature", filter_feed, plan["media_volume"], plan["specific_surface"]),
        "air_feed": needing("per_air", air_feed, plan["air_flow"]),
        "plant_feed": lambda row: f'IF({plant_feed}=0,"",{plant_feed})',
        "density_short": short("density", plan["density_most"]), "media_short": short("media", plan["media_volume"]),
        "air_short": air_short, "area_short": short("area", plant_area), "harvest": harvest,
    }
