"""Sheet "Setup": the water, the rules of the plan, filter, air, plants and pump."""

from __future__ import annotations

from pailbook import terms
from pailbook.quantities import (
    AirFlow,
    Alkalinity,
    Depth,
    Elevation,
    FeedOxygenRatio,
    FilterArea,
    FishDensity,
    Flow,
    Head,
    MediaVolume,
    NitrificationRate,
    Oxygen,
    PipeDiameter,
    PipeLength,
    PlantShare,
    PumpEfficiency,
    Roughness,
    SpecificSurface,
    Volume,
    WaterTemperature,
    Watts,
)
from pailbook.workbook.form import Field, Form, Formula, Heading, Note, Plan, write_form
from pailbook.workbook.measures import PROTEIN, quantity
from pailbook.workbook.stocking_plan import measures
from pailbook.workbook.stocking_plan.all_rules import RULES
from pailbook.workbook.stocking_plan.places import SHEETS
from pailbook.workbook.texts import first_that_holds

SHEET = SHEETS["setup"]
# m²/m³, the lowest that is published for each.
SURFACES = {"gravel": 150.0, "clay balls": 250.0, "moving bed": 500.0}
_DENSITY, _DENSITY_SMALL = 20.0, 10.0  # kg/m³
_SMALL, _TINY = 1000.0, 200.0  # L
_ELBOW = 30  # diameters of pipe


def _shown(hint: object, metric: float) -> Formula:
    return lambda plan: f"{plan.book.show(quantity(hint), metric):.6g}"


def _density(plan: Plan) -> str:
    small, large = (f"{plan.book.show(quantity(FishDensity), kg):.6g}" for kg in (_DENSITY_SMALL, _DENSITY))
    return plan.blank_unless("volume", f"IF({plan['volume']}<{plan['small_system']},{small},{large})")


def _surface(plan: Plan) -> str:
    kinds = [(f'{plan["media_kind"]}="{kind}"', f"{plan.book.show(quantity(SpecificSurface), value):.6g}")
             for kind, value in SURFACES.items()]
    return first_that_holds(kinds, '""')


def _oxygen(plan: Plan) -> str:
    species = plan.tables[SHEETS["cohorts"]].range("species")
    return f'IF(COUNTIF({species},"rainbow trout")>0,6,5)'


def _filter_area(plan: Plan) -> str:
    unit = {"metric": 1000, "us": 1}[plan.book.units]  # L in a m³, ft³ in a ft³
    return plan.blank_unless("media_volume specific_surface",
                             f"{plan['media_volume']}*{plan['specific_surface']}/{unit}")


def _turnover(plan: Plan) -> str:
    return plan.blank_unless("volume flow", plan.book.call("TURNOVER", plan["volume"], plan["flow"]))


def _friction(plan: Plan) -> str:
    diameters = {"metric": _ELBOW / 1000, "us": _ELBOW / 12}[plan.book.units]  # mm to m, in to ft
    elbows = f'IF({plan["elbows"]}="",0,{plan["elbows"]})'
    length = f"{plan['pipe_length']}+{elbows}*{diameters:.6g}*{plan['pipe_diameter']}"
    return plan.blank_unless("flow pipe_diameter pipe_length", plan.book.call(
        "PIPE_HEAD", plan["flow"], plan["pipe_diameter"], length, plan["roughness"]))


def _power(plan: Plan) -> str:
    call = plan.book.call("PUMP_POWER", plan["flow"], plan["total_head"], plan["pump_efficiency"])
    return plan.blank_unless("flow total_head", f"IF({plan['total_head']}>0,{call},0)")


ITEMS = (
    Heading("The water"),
    Field("system", "System", kind="text", why="Its name, for printouts"),
    Field("volume", "Water volume, measured", quantity(Volume),
          help="All the water: tanks, sumps, beds and pipes",
          why="Measured. A US gallon is 3.785 L, an imperial one 4.546"),
    Field("temperature", f"{terms.WATER_TEMPERATURE}, usual", quantity(WaterTemperature),
          why="On the sheet Weeks you can enter another one for any week"),
    Field("elevation", "Elevation", quantity(Elevation), assumed=lambda _: "0", why="sea level"),
    Field("alkalinity", f"{terms.ALKALINITY_ONCE} now", quantity(Alkalinity),
          why="With it, the plan shows how long it lasts. May stay blank"),
    Field("plan_start", "First day of the plan", kind="date", unit="year-month-day",
          why="The day on which you counted and weighed the fish; week 1 begins on it"),
    Heading("Fish and feed"),
    Field("small_system", "A small system holds less than", quantity(Volume), assumed=_shown(Volume, _SMALL),
          why=terms.COMMON_PRACTICE),
    Field("tiny_system", "A very small one holds less than", quantity(Volume), assumed=_shown(Volume, _TINY),
          why=f"{terms.COMMON_PRACTICE}; feed ratios do not hold there"),
    Field("density_most", f"Highest {terms.STOCKING_DENSITY.lower()}", quantity(FishDensity), assumed=_density,
          why="20 kg/m³ (0.17 lb/US gal), FAO 589; half of that in a small system: " + terms.COMMON_PRACTICE),
    Field("protein", "Protein in the feed", PROTEIN, assumed=lambda _: "32",
          why="the feed for which FAO 589 gives its ratios"),
    Field("conversion", "Feed conversion, unless a cohort has its own", measures.CONVERSION, unit="feed per growth",
          assumed=lambda _: "1.6", format="0.00", why=f"{terms.COMMON_PRACTICE}; calculate yours with FEED_CONVERSION"),
    Field("deaths", "Deaths, unless a cohort has its own", measures.DEATHS, assumed=lambda _: "0.5", format="0.0",
          why=f"{terms.COMMON_PRACTICE}; your farm log has yours"),
    Heading("Plants"),
    Field("plant_share", "Share of the nitrate that plants take up", quantity(PlantShare), unit="0 to 1",
          assumed=lambda _: "0", format="0.00", why="none, which is cautious for alkalinity; often 0.3 to 0.7"),
    Heading("Filter"),
    Field("media_volume", "Filter media, grow beds included", quantity(MediaVolume),
          why="The space they fill, with the gaps between them"),
    Field("media_kind", "Kind of media", kind="choice", choices=(*SURFACES, "other"),
          why="If you choose other, enter its specific surface below"),
    Field("specific_surface", "Specific surface", quantity(SpecificSurface), assumed=_surface, format="0",
          why="the lowest published for that kind"),
    Field("filter_rate", "Total ammonia (TAN) it removes at 25 °C (77 °F)", quantity(NitrificationRate),
          assumed=lambda _: "0.3", format="0.00",
          why="published: 0.2 to 0.6 for a clean, ripe filter, in g for each m² (10.8 ft²) in US books too (Timmons & "
              "Ebeling, from memory)"),
    Field("filter_area", "Surface of the media", quantity(FilterArea), "result", result=_filter_area),
    Heading("Air"),
    Field("air_flow", "Air flow of the pump", quantity(AirFlow),
          why="Measured at the depth of the stones, not taken from the label"),
    Field("stone_depth", "Depth of the stones", quantity(Depth)),
    Field("stone", "Stones", kind="choice", choices=("fine", "coarse"), assumed=lambda _: '"coarse"',
          why="the cautious choice"),
    Field("stone_share", "Efficiency of the stones, measured", measures.STONE_SHARE, unit="0 to 1",
          why="Used instead of the kind of stone"),
    Field("oxygen_keep", "Keep oxygen at", quantity(Oxygen), assumed=_oxygen,
          why="5 mg/L, for trout 6 mg/L: " + terms.COMMON_PRACTICE),
    Field("oxygen_ratio", "Oxygen that fish and filter use", quantity(FeedOxygenRatio), unit="g per g of feed",
          assumed=lambda _: "0.5", format="0.00", why=terms.COMMON_PRACTICE),
    Field("peak", "Peak of oxygen use after feeding", measures.PEAK, unit="times the mean", assumed=lambda _: "1.4",
          format="0.0", why=terms.COMMON_PRACTICE),
    Heading("Water pump"),
    Field("flow", "Flow that comes back, measured", quantity(Flow),
          why="Time how long it takes to fill a vessel of known volume"),
    Field("turnover_least", "Turnover, at least", measures.TURNOVER, assumed=lambda _: "1", format="0.0",
          why=terms.COMMON_PRACTICE),
    Field("lift", "Lift", measures.LIFT, why="From the water in the sump up to the end of the pipe"),
    Field("pipe_diameter", "Inside diameter of the pipe", quantity(PipeDiameter),
          why="Measured; not the size by which it is sold"),
    Field("pipe_length", "Length of the pipe", quantity(PipeLength)),
    Field("elbows", "Elbows in the pipe", measures.ELBOWS, unit="each 30 diameters", why="A tee counts as two"),
    Field("roughness", "Roughness inside", quantity(Roughness), assumed=_shown(Roughness, 0.0015), format="0.00000",
          why="new smooth plastic; a fouled pipe is a hundred times rougher"),
    Field("pump_head", "Head of the pump at that flow", measures.PUMP_HEAD,
          why="From the curve on the pump's label. May stay blank"),
    Field("pump_efficiency", "Efficiency of the pump", quantity(PumpEfficiency), unit="0 to 1",
          assumed=lambda _: "0.3", format="0.00", why="small pumps have 0.1 to 0.4; " + terms.COMMON_PRACTICE),
    Field("turnover_now", "Turnover", kind="result", result=_turnover, unit="per hour", format="0.00"),
    Field("friction_head", "Head lost in the pipe", quantity(Head), "result", result=_friction, format="0.00"),
    Field("total_head", "Lift and pipe together", quantity(Head), "result", format="0.00",
          result=lambda plan: plan.blank_unless("lift friction_head", f"{plan['lift']}+{plan['friction_head']}")),
    Field("pump_watts", "Power of a pump for this", quantity(Watts), "result", result=_power, format="0"),
    Field("pump_energy", "Energy", kind="result", format="0.00", unit="kWh a day",
          result=lambda plan: plan.blank_unless("pump_watts", f"{plan['pump_watts']}*24/1000")),
    Note("A pump on mains electricity near water needs a residual-current device (RCD)."),
    Note("Keep a spare pump and air on a battery: without air, densely stocked fish die within the hour."),
)


def form() -> Form:
    """Where the sheet's cells are."""
    return Form(SHEET, ITEMS, rules=RULES)


def write(plan: Plan) -> None:
    """Writes the sheet."""
    sheet = plan.book.sheet(SHEET, "Fill in the boxes once. Leave a box blank to use the value assumed beside it.",
                            landscape=False)
    write_form(plan, sheet, form())
