"""Sheet "Vessels": the load, the fish in each, and the vessels needed by density, oxygen, ammonia and CO2."""

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
from pailbook.workbook.form import Field, Form, Heading, Item, Note, Plan, write_form
from pailbook.workbook.measures import quantity
from pailbook.workbook.move_plan import loads, measures, road_table
from pailbook.workbook.move_plan.trip import AIRED

SHEET = "Vessels"
NEEDED = "fish_count fish_weight vessel_count vessel_volume road_minutes from_ph from_temperature"



_FISH = quantity(FishCount)
ITEMS: tuple[Item, ...] = (
    Heading("The fullest vessel"),
    Field("water_each", "Water in it", quantity(Volume), result=lambda plan: plan.blank_unless(
        "vessel_volume", f'{plan["vessel_volume"]}*{plan["fill"]}'), why="its size times the share that is water"),
    Field("fish_each", "Fish in it", _FISH, unit="fish", result=loads.fish_in_fullest,
          why="the count shared out, rounded up"),
    Field("load_each", "Weight of fish in it", quantity(Biomass), result=loads.load_in_fullest),
    Field("hauling_density_each", "Density of the fish in it", quantity(FishDensity), result=lambda plan: plan.blank_unless(
        "load_each water_each", plan.book.call("VESSEL_DENSITY", plan["load_each"], plan["water_each"]))),
    Field("vessel_weight", "It weighs, full", measures.HEAVY, format="0", result=loads.full_weight,
          why="water and fish, without the vessel: straps, two people"),
    Heading("Time, air and rates"),
    Field("trip_minutes", "Minutes in the vessel, expected", quantity(MinutesLeft), format="0", result=lambda plan:
          plan.blank_unless("road_minutes",
                            f'{plan["loading_minutes"]}+{plan["road_minutes"]}+{plan["unloading_minutes"]}'),
          why="loading, road, unloading"),
    Field("worst_minutes", "Minutes in the vessel, worst case", quantity(MinutesLeft), format="0", result=lambda plan:
          plan.blank_unless("trip_minutes", f'{plan["trip_minutes"]}+{plan["delay_minutes"]}'), why="and the delay"),
    Field("air_used", "Air flow in use", unit="L/min", format="0.0", result=lambda plan:
          f'IF({plan["carried"]}="{AIRED}",{plan["air_flow"]},0)', why="none in still vessels and sealed bags"),
    Field("stone_used", "Air stone in use", result=lambda plan:
          f'IF(ISNUMBER({plan["stone_share"]}),{plan["stone_share"]},{plan["stone"]})', format="0.0000",
          why="its measured efficiency, else its kind"),
    Field("road_ready", "Can the trip be worked out?", result=lambda plan:
          f'IF(COUNT({",".join(plan[key] for key in NEEDED.split())},{plan["start_oxygen"]})'
          f'<{len(NEEDED.split()) + 1},"not yet","yes")', why="it takes the eight answers on Start"),
    Field("warmest", "Warmest water on the trip", quantity(WaterTemperature), result=loads.warmest),
    Field("activity_mean", "Breathing over the trip", unit="times resting", format="0.00", result=loads.mean_activity),
    Field("oxygen_use", "Oxygen use", quantity(Consumption), format="0", result=lambda plan: plan.blank_unless(
        "warmest fish_mass activity_mean", loads.mean_rate(plan, plan["warmest"])), why="per kg of fish"),
    Field("excretion", "Ammonia given off, as N", quantity(Excretion), result=lambda plan: plan.blank_unless(
        "warmest fish_mass", loads.excretion(plan, plan["warmest"])), why="per kg of fish"),
    Heading("Weight of fish that a vessel takes"),
    Field("load_plan", "By density, planned", quantity(Biomass), result=loads.by_density("hauling_density_plan")),
    Field("load_most", "By density, at most", quantity(Biomass), result=loads.by_density("hauling_density_most")),
    Field("load_oxygen", "By oxygen", quantity(Biomass), result=loads.most("oxygen", "limit_oxygen_act"),
          why="until oxygen is at its act limit as the trip ends"),
    Field("tan_most", "TAN-N at which NH3-N meets its limit", quantity(TotalAmmonia), result=lambda plan:
          f'IF({plan["road_ready"]}<>"yes","",' + plan.book.call(
              "AMMONIA_TOTAL_AT", plan["limit_nh3_act"], road_table.at("ph", road_table.ON_TRIP),
              road_table.at("temperature", road_table.ON_TRIP), '""') + ")"),
    Field("load_ammonia", "By ammonia", quantity(Biomass), result=loads.most("ammonia", "tan_most")),
    Field("load_co2", "By carbon dioxide", quantity(Biomass), result=loads.most("co2", "limit_co2_act")),
    Heading("Vessels needed"),
    Field("fish_plan", "Fish in a vessel by density, planned", _FISH, unit="fish",
          result=loads.whole_fish("load_plan")),
    Field("vessels_plan", "Vessels by density, planned", format="0", unit="vessels", result=loads.vessels("fish_plan")),
    Field("fish_most", "Fish in a vessel by density, at most", _FISH, unit="fish",
          result=loads.whole_fish("load_most")),
    Field("vessels_most", "Vessels by density, at most", format="0", unit="vessels", result=loads.vessels("fish_most")),
    Field("fish_oxygen", "Fish in a vessel by oxygen", _FISH, unit="fish", result=loads.whole_fish("load_oxygen")),
    Field("vessels_oxygen", "Vessels by oxygen", format="0", unit="vessels", result=loads.vessels("fish_oxygen")),
    Field("fish_ammonia", "Fish in a vessel by ammonia", _FISH, unit="fish", result=loads.whole_fish("load_ammonia")),
    Field("vessels_ammonia", "Vessels by ammonia", format="0", unit="vessels", result=loads.vessels("fish_ammonia")),
    Field("fish_co2", "Fish in a vessel by carbon dioxide", _FISH, unit="fish", result=loads.whole_fish("load_co2")),
    Field("vessels_co2", "Vessels by carbon dioxide", format="0", unit="vessels", result=loads.vessels("fish_co2")),
    Field("vessels_needed", "Vessels needed: the largest", format="0", unit="vessels", why="at the planned density",
          result=loads.largest("vessels_plan", "vessels_oxygen", "vessels_ammonia", "vessels_co2")),
    Field("vessels_least", "Vessels needed at the very least", format="0", unit="vessels", why="at the highest density",
          result=loads.largest("vessels_most", "vessels_oxygen", "vessels_ammonia", "vessels_co2")),
    Field("vessels_by", "What sets that number", result=loads.set_by),
    Field("vessels_verdict", "Enough vessels?", result=loads.verdict, verdict=True, wide=True),
    Heading("Air"),
    Field("air_needed", "Air flow that holds oxygen at the watch limit", quantity(AirFlow), format="0.0",
          result=loads.air_needed,
          why="in the fullest vessel, for as long as it takes"),
    Field("air_verdict", "Is there air enough?", result=loads.air_verdict, verdict=True, wide=True),
    Heading("Fasting"),
    Field("fish_length", "Length of one fish", quantity(FishLength)),
    Field("fasting_hours", "Hours without feed before a long haul", unit="h", format="0", result=lambda plan:
          plan.blank_unless("fish_length", plan.book.call("FASTING_HOURS", plan["fish_length"])),
          why="advice for a trip of less than two hours; shorter for fry"),
    Heading("How the loads were found: the end of the trip with a hundredth and two hundredths of the load"),
    *(Field(f"{gas}_of_{times}", f"{label}, {words}", unit="mg/L", format="0.0000", result=loads.probe(gas, times))
      for gas, label in (("oxygen", "Oxygen"), ("ammonia", "TAN-N"), ("co2", "Free CO2"))
      for times, words in ((1, "a hundredth"), (2, "two hundredths"))),
    Note("1 lb of fish in 5 US gal of water (24 kg/m³), at most 1.5 lb, is common practice for short moves in buckets. "
         "The largest of the needs counts."),
)
FORM = Form(SHEET, ITEMS)


def write(plan: Plan) -> None:
    """Writes the sheet."""
    sheet = plan.book.sheet(SHEET, "How many fish go into each vessel, and how many vessels that takes.",
                            landscape=False)
    write_form(plan, sheet, FORM)
    sheet.freeze_panes = "A5"
