"""Formulas of the sheet Vessels: what the fullest vessel holds, what it could hold, how many vessels that makes."""

from __future__ import annotations

from pailbook.quantities import KG_PER_POUND, LITRES_PER_US_GALLON
from pailbook.workbook.form import Formula, Plan
from pailbook.workbook.move_plan import road_table
from pailbook.workbook.move_plan.trip import SEALED
from pailbook.workbook.texts import first_that_holds


def fish_in_fullest(plan: Plan) -> str:
    """How many fish the fullest vessel holds."""
    return plan.blank_unless("fish_count vessel_count", f'ROUNDUP({plan["fish_count"]}/{plan["vessel_count"]},0)')


def weight_in_fullest(plan: Plan) -> str:
    """What the fish in it weigh."""
    return plan.blank_unless("fish_each fish_weight fish_count",
                             f'{plan["fish_each"]}*{plan["fish_weight"]}/{plan["fish_count"]}')


def full_weight(plan: Plan) -> str:
    """What water and fish in a vessel weigh."""
    litre = {"metric": 1.0, "us": LITRES_PER_US_GALLON / KG_PER_POUND}[plan.book.units]  # weight of one of water
    return plan.blank_unless("water_each weight_each", f'{plan["water_each"]}*{litre:.10g}+{plan["weight_each"]}')


def mean_activity(plan: Plan) -> str:
    """Breathing over the trip as a multiple of resting."""
    first, calm, minutes = plan["activity_first"], plan["activity_after"], plan["trip_minutes"]
    return plan.blank_unless("trip_minutes", f"{calm}+({first}-{calm})*MIN(60,{minutes})/{minutes}")


def mean_rate(plan: Plan, warmth: str) -> str:
    """Formula text for the oxygen use over the trip, at a temperature."""
    return plan.book.call("OXYGEN_CONSUMPTION", plan["fish_mass"], warmth, plan["activity_mean"], plan["species"])


def excretion(plan: Plan, warmth: str) -> str:
    """Formula text for the ammonia given off, at a temperature."""
    return plan.book.call("AMMONIA_EXCRETION", plan["fish_mass"], warmth, plan["hours_fasted"], plan["species"])


def warmest(plan: Plan) -> str:
    """The warmest water on the trip, as far as the data on breathing reach."""
    top = "95" if plan.book.units == "us" else "35"
    first, last = (road_table.at("temperature", n) for n in (0, road_table.ON_TRIP))
    return f'IF(COUNT({first},{last})<2,"",MIN({top},MAX({first},{last})))'


def after(plan: Plan, gas: str, fish: str) -> str:
    """Oxygen, ammonia or CO2 at the end of the trip in a vessel with that weight of fish, in one calculation."""
    hours, water, warmth = f'{plan["trip_minutes"]}/60', plan["water_each"], plan["warmest"]
    use, out, air, depth = plan["oxygen_use"], plan["excretion"], plan["air_used"], plan["air_depth"]
    if gas == "oxygen":
        return plan.book.call("TRIP_OXYGEN", plan["start_oxygen"], fish, use, water, warmth, hours, air, depth,
                              plan["elevation"], plan["stone_used"])
    if gas == "ammonia":
        return plan.book.call("TRIP_AMMONIA", plan["start_tan"], fish, out, water, hours)
    return plan.book.call("TRIP_CARBON_DIOXIDE", road_table.at("co2", 0), fish, use, out, water, warmth, hours, air,
                          depth, plan["stone_used"], '"expected"')


def probe(gas: str, times: int) -> Formula:
    """The end of the trip with one or two hundredths of the weight of fish."""
    return lambda plan: (f'IF({plan["road_ready"]}<>"yes","",'
                         + after(plan, gas, f"{times}*{plan['weight_each']}/100") + ")")


def most(gas: str, limit: str) -> Formula:
    """The weight of fish that meets a limit: each value is a straight line in the weight, so two small ones give it."""
    def text(plan: Plan) -> str:
        one, two = plan[f"{gas}_of_1"], plan[f"{gas}_of_2"]
        weight = f"{plan['weight_each']}/100*(1+({plan[limit]}-{one})/({two}-{one}))"
        unknown = f"COUNT({one},{two},{plan[limit]})<3"
        if gas == "oxygen":
            unknown = f'OR({unknown},{plan["carried"]}="{SEALED}")'
        return f'IF({unknown},"",IFERROR({weight},0))'
    return text


def by_density(key: str) -> Formula:
    """The weight of fish that a density on Limits allows."""
    return lambda plan: plan.blank_unless("vessel_volume", plan.book.call(
        "BUCKET_LOAD", plan["vessel_volume"], plan["fill"], plan[key]))


def whole_fish(weight: str) -> Formula:
    """How many whole fish have that weight."""
    return lambda plan: plan.blank_unless(f"{weight} fish_weight fish_count",
        f'MAX(0,INT(ROUND({plan[weight]}/({plan["fish_weight"]}/{plan["fish_count"]}),6)))')


NONE = "none is big enough"  # in place of a number of vessels


def vessels(fish: str) -> Formula:
    """How many vessels it takes with that many fish in each."""
    def text(plan: Plan) -> str:
        each = plan[fish]
        return plan.blank_unless(f"{fish} fish_count",
                                 f'IF({each}<1,"{NONE}",ROUNDUP({plan["fish_count"]}/{each},0))')
    return text


def fits(density: str) -> Formula:
    """How many fish fit into a vessel by density, oxygen, ammonia and CO2 alike; blank until each is known."""
    def text(plan: Plan) -> str:
        cells = [plan[f"fish_{key}"] for key in (density, "oxygen", "ammonia", "co2")]
        needed = f'{len(cells)}-IF({plan["carried"]}="{SEALED}",1,0)'  # whose oxygen this plan does not calculate
        numbers = ",".join(cells)
        return f'IF({plan["road_ready"]}<>"yes","",IF(COUNT({numbers})<{needed},"",MIN({numbers})))'
    return text


def set_by(plan: Plan) -> str:
    """Which of the needs is the largest."""
    needed = plan["vessels_needed"]
    return first_that_holds((
        (f'{needed}=""', '""'), (f'{plan["vessels_oxygen"]}={needed}', '"oxygen"'),
        (f'{plan["vessels_ammonia"]}={needed}', '"ammonia"'), (f'{plan["vessels_co2"]}={needed}', '"carbon dioxide"'),
    ), '"density"')


def air_needed(plan: Plan) -> str:
    """The air flow that holds the oxygen at its watch limit."""
    call = plan.book.call("AIR_FLOW_NEEDED", plan["weight_each"], plan["oxygen_use"], plan["air_depth"],
                          plan["warmest"], plan["limit_oxygen_watch"], plan["elevation"], plan["stone_used"])
    return f'IF({plan["road_ready"]}<>"yes","",IFERROR({call},""))'
