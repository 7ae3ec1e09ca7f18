"""Sheet "Trip": all that the eight answers on Start leave open, assumed in sight until a measured value replaces it."""

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
from pailbook.workbook.form import Field, Form, Formula, Heading, Item, Note, Plan, write_form
from pailbook.workbook.measures import quantity
from pailbook.workbook.move_plan import measures
from pailbook.workbook.move_plan.limits import constant

SHEET = "Trip"
AIRED, STILL, SEALED = "with an air stone", "without air", "sealed bag with oxygen"
COVERS = ("sheltered", "open", "wind", "foam")
LIGHT = ("dim", "medium", "bright")
SOURCES = ("no refill", "rain", "well", "tap water with chlorine", "tap water with chloramine",
           "treated and tested free of chlorine")
YES_NO = ("yes", "no")
USUAL_CO2 = 10  # mg/L free CO2 in a stocked system, for an alkalinity that fits the pH


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


def _water(side: str, where: str) -> tuple[Item, ...]:
    return (
        Field(f"{side}_alkalinity", f"Alkalinity {where}", quantity(Alkalinity), assumed=_alkalinity(side),
              why=f"what goes with this pH at {USUAL_CO2} mg/L free CO2; measure it", format="0"),
        Field(f"{side}_phosphate", "Phosphate, as PO4", quantity(Phosphate), assumed=constant(quantity(Phosphate), 0),
              why="none, which overstates CO2: the safe side"),
        Field(f"{side}_hardness", "Hardness", measures.HARDNESS, help=f"General hardness {where}"),
        Field(f"{side}_conductivity", "Conductivity (EC)", quantity(Conductivity)),
        Field(f"{side}_light", "Light", kind="choice", choices=LIGHT),
    )


ITEMS: tuple[Item, ...] = (
    Heading("Who and when"),
    Field("client", "Client", kind="text"),
    Field("from_system", "System that the fish leave", kind="text"),
    Field("to_system", "System that they go to", kind="text"),
    Field("move_date", "Day of the move", kind="date", help="Type a date, such as 2026-03-31 (year-month-day)"),
    Heading("Fish"),
    Field("species", "Species", kind="choice", choices=quantity(BreathingSpecies).choices, assumed=_text("any fish"),
          why="the general line, which breathes more than most"),
    Field("fish_mass", "One fish weighs", quantity(FishMass), result=_one_fish, why="total weight by count"),
    Field("hours_fasted", "Hours since the last feed", measures.HOURS_OR_NONE, format="0",
          assumed=constant(measures.HOURS_OR_NONE, 0), why="fed today: the safe side"),
    Field("quarantine", "Kept apart or watched for three weeks before?", kind="choice", choices=YES_NO,
          why="blank: not judged"),
    Heading("Time"),
    Field("loading_minutes", "Loading, fish in the vessels", measures.MINUTES_OR_NONE, format="0",
          assumed=constant(measures.MINUTES_OR_NONE, 10), why="10 minutes"),
    Field("unloading_minutes", "Unloading, until the first exchange", measures.MINUTES_OR_NONE, format="0",
          assumed=constant(measures.MINUTES_OR_NONE, 10), why="10 minutes"),
    Field("delay_minutes", "Delay that must be survived", measures.MINUTES_OR_NONE, format="0",
          assumed=constant(measures.MINUTES_OR_NONE, 30), why="30 minutes, in the worst case"),
    Heading("Vessels and air"),
    Field("carried", "How the fish travel", kind="choice", choices=(AIRED, STILL, SEALED), assumed=_text(AIRED),
          why="an air stone in each vessel"),
    Field("fill", "Share of a vessel that is water", quantity(FillShare), assumed=constant(quantity(FillShare), 0.8),
          why="filled to four fifths", format="0.00", unit="0 to 1"),
    Field("air_flow", "Air flow into each vessel", quantity(AirFlow), assumed=constant(quantity(AirFlow), 3),
          why="3 L/min; measure it: bubbles into an upturned bottle, timed"),
    Field("air_depth", "Depth of the air stone", quantity(Depth), assumed=constant(quantity(Depth), 30),
          why="30 cm (12 in)"),
    Field("stone", "Air stone", kind="choice", choices=("fine", "coarse"), assumed=_text("coarse"),
          why="coarse: the safe side"),
    Field("stone_share", "Its efficiency, measured", measures.STONE_SHARE, format="0.0000", unit="0 to 1",
          why="blank: by the kind of stone; field test on the sheet On the road"),
    Field("battery_hours", "The pump runs for", measures.HOURS_OR_NONE,
          assumed=constant(measures.HOURS_OR_NONE, 24),
          why="from the vehicle, for 24 hours; a battery: its rated hours"),
    Field("spare_air", "Spare pump with a battery of its own on board?", kind="choice", choices=YES_NO,
          assumed=_text("no"), why="no"),
    Field("pump_off_minutes", "The pump will be off for", measures.MINUTES_OR_NONE, format="0",
          assumed=constant(measures.MINUTES_OR_NONE, 0), why="never; counted from loading on, when fish breathe most"),
    Field("cover", "Vessels stand", kind="choice", choices=COVERS, assumed=_text("sheltered"), why="sheltered",
          help="sheltered: in a closed vehicle. open: outdoors. wind: outdoors, in wind. foam: foam boxes."),
    Field("air_temperature", "Air temperature on the road", quantity(AirTemperature),
          assumed=lambda plan: f'IF({plan["from_temperature"]}="","",{plan["from_temperature"]})',
          why="as warm as the water"),
    Field("elevation", "Elevation", quantity(Elevation), assumed=constant(quantity(Elevation), 0), why="sea level"),
    Heading("Water where the fish are: it goes with them"),
    Field("start_oxygen", "Oxygen at loading", quantity(Oxygen), assumed=_oxygen, why="85 % of saturation"),
    Field("start_tan", "Total ammonia at loading, as N (TAN-N)", quantity(TotalAmmonia),
          assumed=constant(quantity(TotalAmmonia), 0.5), why="0.5 mg/L"),
    *_water("from", "where the fish are"),
    Field("salt", "Salt added to the haul water", measures.SALT, assumed=constant(measures.SALT, 0), why="none"),
    Heading("Water where they go"),
    *_water("to", "where they go"),
    Heading("The kit or meter for pH"),
    Field("kit_lowest_ph", "Lowest pH that it shows", quantity(PH), assumed=constant(quantity(PH), 6.0),
          why="6.0, as usual drops; there the true pH may be lower"),
    Field("kit_highest_ph", "Highest pH that it shows", quantity(PH), assumed=constant(quantity(PH), 8.8),
          why="8.8, as usual drops; there the true pH may be higher"),
    Heading("Refilling after the move"),
    Field("refill_source", "Water that refills the first system", kind="choice", choices=SOURCES,
          assumed=_text("no refill"), why="no refill"),
    Field("refill_volume", "Volume of the refill", measures.WATER_TO_ADD),
    Field("chlorine", "Total chlorine in the refill, by a test", measures.CHLORINE),
    Field("dechlorinator", "Sodium thiosulfate, pentahydrate, to add", unit="g", format="0.0",
          result=lambda plan:
          plan.blank_unless("refill_volume chlorine", plan.book.call(
              "DECHLORINATOR_DOSE", plan["refill_volume"], plan["chlorine"])),
          why="then test again: 0 before it goes in"),
    Field("chloramine_tan", "Ammonia that chloramine leaves behind, as N", unit="mg/L", format="0.00",
          result=lambda plan:
          f'IF({plan["refill_source"]}="tap water with chloramine",' + plan.blank_unless("chlorine", plan.book.call(
              "CHLORAMINE_AMMONIA", plan["chlorine"])) + ',"")', why="the filter has to take it up"),
    Note("Acids, salt, dechlorinator: gloves and goggles; weigh, dissolve in a bucket, add slowly."),
)
FORM = Form(SHEET, ITEMS)


def write(plan: Plan) -> None:
    """Writes the sheet."""
    sheet = plan.book.sheet(SHEET,
                            "Fill in what you know or measure: it replaces the assumption beside it. Blank boxes "
                                   "do no harm.", landscape=False)
    write_form(plan, sheet, FORM)
    sheet.freeze_panes = "A5"
