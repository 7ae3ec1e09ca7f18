"""Sheet "Vessels": the fish in each, and the vessels needed by density, oxygen, ammonia and CO2."""

from __future__ import annotations

from pailbook.quantities import (
    AirFlow,
    Biomass,
    Consumption,
    Excretion,
    FishCount,
    FishDensity,
    FishLength,
    MinutesLeft,
    TotalAmmonia,
    Volume,
    WaterTemperature,
)
from pailbook.terms import HAULING_DENSITY, TOTAL_AMMONIA
from pailbook.workbook.form import Field, Form, Heading, Item, Note, Plan, write_form
from pailbook.workbook.measures import quantity
from pailbook.workbook.move_plan import entries, judged, measures, per_vessel, road_table
from pailbook.workbook.move_plan.trip import AIRED

SHEET = "Vessels"
NEEDED = ("fish_count", "fish_weight", "vessel_count", "vessel_volume", "road_minutes", "from_ph", "from_temperature",
          "start_oxygen")
_FISH = quantity(FishCount)
_PLANNED, _MOST = "at the planned density", "at the highest density"


def _ready(plan: Plan) -> str:
    """The trip is calculated only from sound entries, so that no wrong one becomes a number."""
    answered = f"COUNT({','.join(plan[key] for key in NEEDED)})={len(NEEDED)}"
    return f'IF(AND({answered},{entries.sound(plan)}),"yes","not yet")'


ITEMS: tuple[Item, ...] = (
    Heading("The fullest vessel"),
    Field("water_each", "Water in it", quantity(Volume), result=lambda plan: plan.blank_unless(
        "vessel_volume", f'{plan["vessel_volume"]}*{plan["fill"]}'), why="its volume, as full as entered on Trip"),
    Field("fish_each", "Fish in it", _FISH, unit="fish", result=per_vessel.fish_in_fullest,
          why="the number of fish divided by the vessels, rounded up"),
    Field("weight_each", "Weight of fish in it", quantity(Biomass), result=per_vessel.weight_in_fullest),
    Field("hauling_density_each", f"{HAULING_DENSITY} in it", quantity(FishDensity),
          result=lambda plan: plan.blank_unless(
              "weight_each water_each", plan.book.call("VESSEL_DENSITY", plan["weight_each"], plan["water_each"]))),
    Field("vessel_weight", "Weight of the vessel, full", measures.HEAVY, format="0", result=per_vessel.full_weight,
          why="water and fish, without the vessel itself; two people and straps"),
    Heading("Time, air and rates"),
    Field("trip_minutes", "Minutes in the vessel, expected", quantity(MinutesLeft), format="0", result=lambda plan:
          plan.blank_unless("road_minutes",
                            f'{plan["loading_minutes"]}+{plan["road_minutes"]}+{plan["unloading_minutes"]}'),
          why="loading, road and unloading"),
    Field("worst_minutes", "Minutes in the vessel, worst case", quantity(MinutesLeft), format="0", result=lambda plan:
          plan.blank_unless("trip_minutes", f'{plan["trip_minutes"]}+{plan["delay_minutes"]}'),
          why="with the delay to allow for"),
    Field("air_used", "Air flow in use", unit="L/min", format="0.0", result=lambda plan:
          f'IF({plan["carried"]}="{AIRED}",{plan["air_flow"]},0)', why="none without an air stone and in sealed bags"),
    Field("stone_used", "Air stone in use", result=lambda plan:
          f'IF(ISNUMBER({plan["stone_share"]}),{plan["stone_share"]},{plan["stone"]})', format="0.0000",
          why="its measured efficiency, otherwise its kind"),
    Field("road_ready", "Can the trip be calculated?", result=_ready,
          why="it needs questions 1 to 7 on Start, and no wrong entry"),
    Field("warmest", "Warmest water on the trip", quantity(WaterTemperature), result=per_vessel.warmest),
    Field("activity_mean", "Breathing over the trip", unit="times resting", format="0.00",
          result=per_vessel.mean_activity),
    Field("oxygen_use", "Oxygen use", quantity(Consumption), format="0", result=lambda plan: plan.blank_unless(
        "warmest fish_mass activity_mean", per_vessel.mean_rate(plan, plan["warmest"])), why="per kg of fish"),
    Field("excretion", "Ammonia given off", quantity(Excretion), result=lambda plan: plan.blank_unless(
        "warmest fish_mass", per_vessel.excretion(plan, plan["warmest"])), why="per kg of fish, as N"),
    Heading("Weight of fish that one vessel can hold"),
    Field("weight_plan", "By density, planned", quantity(Biomass),
          result=per_vessel.by_density("hauling_density_plan")),
    Field("weight_most", "By density, at most", quantity(Biomass),
          result=per_vessel.by_density("hauling_density_most")),
    Field("weight_oxygen", "By oxygen", quantity(Biomass), result=per_vessel.most("oxygen", "limit_oxygen_act"),
          why="oxygen reaches its act limit as the trip ends"),
    Field("tan_most", f"{TOTAL_AMMONIA} at the ammonia limit", quantity(TotalAmmonia), unit="mg/L as N",
          result=lambda plan: f'IF({plan["road_ready"]}<>"yes","",' + plan.book.call(
              "AMMONIA_TOTAL_AT", plan["limit_nh3_act"], road_table.at("ph", road_table.ON_TRIP),
              road_table.at("temperature", road_table.ON_TRIP), '""') + ")",
          why="at which un-ionised ammonia reaches its act limit"),
    Field("weight_ammonia", "By ammonia", quantity(Biomass), result=per_vessel.most("ammonia", "tan_most")),
    Field("weight_co2", "By carbon dioxide", quantity(Biomass), result=per_vessel.most("co2", "limit_co2_act")),
    Heading("Vessels needed"),
    *(field for key, by in (("plan", "density, planned"), ("most", "density, at most"), ("oxygen", "oxygen"),
                            ("ammonia", "ammonia"), ("co2", "carbon dioxide")) for field in (
        Field(f"fish_{key}", f"Fish in a vessel by {by}", _FISH, unit="fish",
              result=per_vessel.whole_fish(f"weight_{key}")),
        Field(f"vessels_{key}", f"Vessels by {by}", format="0", unit="vessels",
              result=per_vessel.vessels(f"fish_{key}")))),
    Field("fits_plan", f"Fish that fit into a vessel, {_PLANNED}", _FISH, unit="fish", result=per_vessel.fits("plan"),
          why="the smallest of the numbers above"),
    Field("vessels_needed", "Vessels needed", format="0", unit="vessels", why=_PLANNED,
          result=per_vessel.vessels("fits_plan")),
    Field("fits_most", f"Fish that fit into a vessel, {_MOST}", _FISH, unit="fish", result=per_vessel.fits("most"),
          why="the smallest of the numbers above"),
    Field("vessels_least", "Vessels needed at least", format="0", unit="vessels", why=_MOST,
          result=per_vessel.vessels("fits_most")),
    Field("vessels_by", "What decides that number", result=per_vessel.set_by),
    Field("vessels_verdict", "Are there enough vessels?",
          result=judged.text("enough_vessels"), verdict=True, wide=True),
    Heading("Air"),
    Field("air_needed", "Air flow that holds oxygen at its watch limit", quantity(AirFlow), format="0.0",
          result=per_vessel.air_needed, why="in the fullest vessel, for as long as it takes"),
    Field("air_verdict", "Is there enough air?", result=judged.text("enough_air"), verdict=True, wide=True),
    Heading("Fasting"),
    Field("fish_length", "Length of one fish", quantity(FishLength)),
    Field("fasting_hours", "Hours without feed before a long haul", unit="h", format="0", result=lambda plan:
          plan.blank_unless("fish_length", plan.book.call("FASTING_HOURS", plan["fish_length"])),
          why="only advice for a trip under two hours; shorter for fry"),
    Heading("Behind these weights: the end of the trip with one and two hundredths of the weight of fish"),
    *(Field(f"{gas}_of_{times}", f"{name}, {words}", unit=unit, format="0.0000", result=per_vessel.probe(gas, times))
      for gas, name, unit in (("oxygen", "Oxygen", "mg/L"), ("ammonia", "Total ammonia (TAN)", "mg/L as N"),
                              ("co2", "Carbon dioxide", "mg/L"))
      for times, words in ((1, "one hundredth"), (2, "two hundredths"))),
    Note("The limits of hauling density are on the sheet Limits."),
)
FORM = Form(SHEET, ITEMS)


def write(plan: Plan) -> None:
    """Writes the sheet."""
    sheet = plan.book.sheet(SHEET, "How many fish go into each vessel, and how many vessels the move needs.",
                            landscape=False)
    write_form(plan, sheet, plan.forms[SHEET])
    sheet.freeze_panes = "A5"
