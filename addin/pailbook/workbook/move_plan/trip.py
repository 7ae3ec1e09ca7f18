"""Sheet "Trip": all that the questions on Start leave open; each value is assumed until the user enters one."""

from __future__ import annotations

from pailbook.quantities import (
    PH,
    AirFlow,
    AirTemperature,
    Alkalinity,
    BreathingSpecies,
    Conductivity,
    Depth,
    Elevation,
    FillShare,
    FishMass,
    Oxygen,
    Phosphate,
    TotalAmmonia,
)
from pailbook.terms import ALKALINITY, ALKALINITY_ONCE, DISSOLVED_OXYGEN, HARDNESS, HARDNESS_ONCE, TOTAL_AMMONIA
from pailbook.workbook.form import Field, Form, Formula, Heading, Item, Note, Plan, write_form
from pailbook.workbook.measures import quantity
from pailbook.workbook.move_plan import measures
from pailbook.workbook.move_plan.limits import constant

SHEET = "Trip"
FROM, TO = "where the fish are now", "at the destination"
AIRED, STILL, SEALED = "with an air stone", "without air", "sealed bag with oxygen"
COVERS = ("sheltered", "open", "wind", "foam")
LIGHT = ("dim", "medium", "bright")
NO_REFILL, CHLORINE, CHLORAMINE = "no refill", "tap water with chlorine", "tap water with chloramine"
SOURCES = (NO_REFILL, "rain", "well", CHLORINE, CHLORAMINE, "treated and tested free of chlorine")
YES_NO = ("yes", "no")
ANY_FISH = "any fish"
USUAL_CO2 = 10  # mg/L free CO2 in a stocked system, for an alkalinity that fits the pH
# The range of pH that a kit is assumed to show until the user enters his own kit's.
KIT_LOWEST, KIT_HIGHEST = 6.4, 8.2


def _text(words: str) -> Formula:
    return lambda plan: f'"{words}"'


def _alkalinity(side: str) -> Formula:
    """The alkalinity that goes with the pH where free CO2 is as usual; CO2 is proportional to alkalinity."""
    def text(plan: Plan) -> str:
        water = plan[f"{side}_ph"], "100", plan[f"{side}_temperature"]
        co2 = plan.book.call("CARBON_DIOXIDE", *water, "0", "0", "0", "0")
        return plan.blank_unless(f"{side}_ph {side}_temperature",
                                 f"MAX(10,MIN(250,ROUND({100 * USUAL_CO2}/({co2}),0)))")
    return text


def _oxygen(plan: Plan) -> str:
    call = plan.book.call("OXYGEN_SATURATION", plan["from_temperature"], "0", plan["elevation"])
    return plan.blank_unless("from_temperature", f"ROUND(0.85*({call}),1)")


def _one_fish(plan: Plan) -> str:
    return plan.blank_unless("fish_weight fish_count", plan.book.call("MEAN_MASS", plan["fish_weight"],
                                                                     plan["fish_count"]))


def _water(side: str, where: str, alkalinity: str = ALKALINITY, hardness: str = HARDNESS) -> tuple[Item, ...]:
    return (
        Field(f"{side}_alkalinity", f"{alkalinity} {where}", quantity(Alkalinity), assumed=_alkalinity(side),
              why=f"estimated from the pH, at {USUAL_CO2} mg/L of CO2; measure it", format="0"),
        Field(f"{side}_phosphate", f"Phosphate {where}", quantity(Phosphate), assumed=constant(quantity(Phosphate), 0),
              why="none; this overstates CO2, which is the cautious side", unit="mg/L as PO4"),
        Field(f"{side}_hardness", f"{hardness} {where}", measures.HARDNESS, help=f"General hardness {where}"),
        Field(f"{side}_conductivity", f"Conductivity (EC) {where}", quantity(Conductivity)),
        Field(f"{side}_light", f"Light {where}", kind="choice", choices=LIGHT),
    )


ITEMS: tuple[Item, ...] = (
    Heading("Who and when"),
    Field("client", "Client", kind="text"),
    Field("from_system", "System that the fish leave", kind="text"),
    Field("to_system", "System that the fish go to", kind="text"),
    Field("phone", "Number to call if something goes wrong", kind="text",
          why="it is printed at the top of the road card"),
    Field("move_date", "Day of the move", kind="date", help="Type a date, such as 2026-03-31 (year-month-day)"),
    Heading("Fish"),
    Field("species", "Species", kind="choice", choices=quantity(BreathingSpecies).choices, assumed=_text(ANY_FISH),
          why="the general curve, which breathes more than most species"),
    Field("fish_mass", "Weight of one fish", quantity(FishMass), result=_one_fish, why="total weight divided by count"),
    Field("hours_fasted", "Hours since the last feed", measures.HOURS_OR_NONE, format="0",
          assumed=constant(measures.HOURS_OR_NONE, 0), why="fed today, the cautious assumption"),
    Field("quarantine", "Quarantined for three weeks before the move?", kind="choice", choices=YES_NO,
          why="if you leave it blank, disease is not judged"),
    Heading("Time"),
    Field("loading_minutes", "Loading, with fish in the vessels", measures.MINUTES_OR_NONE, format="0",
          assumed=constant(measures.MINUTES_OR_NONE, 10), why="10 minutes"),
    Field("unloading_minutes", "Unloading, until the first exchange of water", measures.MINUTES_OR_NONE, format="0",
          assumed=constant(measures.MINUTES_OR_NONE, 10), why="10 minutes"),
    Field("delay_minutes", "Delay to allow for", measures.MINUTES_OR_NONE, format="0",
          assumed=constant(measures.MINUTES_OR_NONE, 30), why="30 minutes, in the worst case"),
    Heading("Vessels and air"),
    Field("carried", "How the fish travel", kind="choice", choices=(AIRED, STILL, SEALED), assumed=_text(AIRED),
          why="an air stone in each vessel"),
    Field("fill", "How full of water each vessel is", quantity(FillShare), assumed=constant(quantity(FillShare), 0.8),
          why="0.8 of its volume", format="0.00", unit="0 to 1"),
    Field("air_flow", "Air flow into each vessel", quantity(AirFlow), assumed=constant(quantity(AirFlow), 3),
          why="3 L/min; to measure it, time how fast it fills an upturned bottle"),
    Field("air_depth", "Depth of the air stone", quantity(Depth), assumed=constant(quantity(Depth), 30),
          why="30 cm (12 in)"),
    Field("stone", "Kind of air stone", kind="choice", choices=("fine", "coarse"), assumed=_text("coarse"),
          why="coarse, the cautious assumption"),
    Field("stone_share", "Measured efficiency of the air stone", measures.STONE_SHARE, format="0.0000", unit="0 to 1",
          why="leave blank to go by the kind of stone; the test is on the sheet On the road"),
    Field("battery_hours", "The pump can run for", measures.HOURS_OR_NONE,
          assumed=constant(measures.HOURS_OR_NONE, 24),
          why="24 hours, from the vehicle; for a battery, enter its rated hours"),
    Field("spare_air", "Spare pump with its own battery on board?", kind="choice", choices=YES_NO,
          assumed=_text("no"), why="no"),
    Field("pump_off_minutes", "Minutes during which the pump is off", measures.MINUTES_OR_NONE, format="0",
          assumed=constant(measures.MINUTES_OR_NONE, 0),
          why="none; they count from loading, when fish breathe most"),
    Field("cover", "Where the vessels stand", kind="choice", choices=COVERS, assumed=_text("sheltered"),
          why="sheltered",
          help="sheltered: in a closed vehicle. open: outdoors. wind: outdoors, in wind. foam: in foam boxes."),
    Field("air_temperature", "Air temperature on the road", quantity(AirTemperature),
          assumed=lambda plan: f'IF({plan["from_temperature"]}="","",{plan["from_temperature"]})',
          why="the same as the water"),
    Field("elevation", "Elevation", quantity(Elevation), assumed=constant(quantity(Elevation), 0), why="sea level"),
    Heading("Water where the fish are now; it travels with them"),
    Field("start_oxygen", f"{DISSOLVED_OXYGEN} at loading", quantity(Oxygen), assumed=_oxygen,
          why="85 % of saturation"),
    Field("start_tan", f"{TOTAL_AMMONIA} at loading", quantity(TotalAmmonia),
          assumed=constant(quantity(TotalAmmonia), 0.5), why="0.5 mg/L as N", unit="mg/L as N"),
    *_water("from", FROM, ALKALINITY_ONCE, HARDNESS_ONCE),
    Field("salt", "Salt added to the haul water", measures.SALT, assumed=constant(measures.SALT, 0), why="none"),
    Heading("Water at the destination"),
    *_water("to", TO),
    Heading("The kit or meter for pH"),
    Field("kit_lowest_ph", "Lowest pH that it shows", quantity(PH), assumed=constant(quantity(PH), KIT_LOWEST),
          why=f"{KIT_LOWEST:g}; where it shows this, the true pH may be lower"),
    Field("kit_highest_ph", "Highest pH that it shows", quantity(PH), assumed=constant(quantity(PH), KIT_HIGHEST),
          why=f"{KIT_HIGHEST:g}; where it shows this, the true pH may be higher"),
    Heading("Refilling the system that the fish leave"),
    Field("refill_source", "Source of the refill water", kind="choice", choices=SOURCES,
          assumed=_text(NO_REFILL), why=NO_REFILL),
    Field("refill_volume", "Volume of the refill water", measures.WATER_TO_ADD),
    Field("chlorine", "Total chlorine in the refill water, as tested", measures.CHLORINE),
    Field("dechlorinator", "Sodium thiosulfate pentahydrate to add", unit="g", format="0.0",
          result=lambda plan:
          plan.blank_unless("refill_volume chlorine", plan.book.call(
              "DECHLORINATOR_DOSE", plan["refill_volume"], plan["chlorine"])),
          why="then test again: chlorine must read 0 before the water goes in"),
    Field("chloramine_tan", "Ammonia that chloramine leaves behind", unit="mg/L as N", format="0.00",
          result=lambda plan:
          f'IF({plan["refill_source"]}="{CHLORAMINE}",' + plan.blank_unless("chlorine", plan.book.call(
              "CHLORAMINE_AMMONIA", plan["chlorine"])) + ',"")', why="the filter has to take it up"),
    Note("Wear gloves and goggles with acids, salt and dechlorinator. Weigh the product, dissolve it in clean water, "
         "and add it slowly."),
)
FORM = Form(SHEET, ITEMS)


def write(plan: Plan) -> None:
    """Writes the sheet."""
    sheet = plan.book.sheet(SHEET, "Leave a box blank to use the assumed value; your entry overrides it.",
                            landscape=False)
    write_form(plan, sheet, plan.forms[SHEET])
    sheet.freeze_panes = "A5"
