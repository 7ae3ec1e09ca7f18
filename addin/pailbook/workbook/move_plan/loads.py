"""Formulas of the sheet Vessels: what the fullest vessel holds, what it could take, how many vessels that makes."""

from __future__ import annotations

from pailbook.quantities import KG_PER_POUND, LITRES_PER_US_GALLON
from pailbook.workbook.form import Formula, Plan
from pailbook.workbook.move_plan import road_table
from pailbook.workbook.move_plan.trip import SEALED
from pailbook.workbook.texts import first_that_holds


def fish_in_fullest(plan: Plan) -> str:
    """How many fish the fullest vessel holds."""
    return plan.blank_unless("fish_count vessel_count", f'-INT(-{plan["fish_count"]}/{plan["vessel_count"]})')


def load_in_fullest(plan: Plan) -> str:
    """What they weigh."""
    return plan.blank_unless("fish_each fish_weight fish_count",
                             f'{plan["fish_each"]}*{plan["fish_weight"]}/{plan["fish_count"]}')


def full_weight(plan: Plan) -> str:
    """What water and fish in a vessel weigh."""
    litre = {"metric": 1.0, "us": LITRES_PER_US_GALLON / KG_PER_POUND}[plan.book.units]  # weight of one of water
    return plan.blank_unless("water_each load_each", f'{plan["water_each"]}*{litre:.10g}+{plan["load_each"]}')


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


def after(plan: Plan, gas: str, load: str) -> str:
    """What oxygen, ammonia or CO2 comes to in a vessel with that load, over the trip in one go."""
    hours, water, warmth = f'{plan["trip_minutes"]}/60', plan["water_each"], plan["warmest"]
    use, out, air, depth = plan["oxygen_use"], plan["excretion"], plan["air_used"], plan["air_depth"]
    if gas == "oxygen":
        return plan.book.call("TRIP_OXYGEN", plan["start_oxygen"], load, use, water, warmth, hours, air, depth,
                              plan["elevation"], plan["stone_used"])
    if gas == "ammonia":
        return plan.book.call("TRIP_AMMONIA", plan["start_tan"], load, out, water, hours)
    return plan.book.call("TRIP_CARBON_DIOXIDE", road_table.at("co2", 0), load, use, out, water, warmth, hours, air,
                          depth, plan["stone_used"], '"expected"')


def probe(gas: str, times: int) -> Formula:
    """What a hundredth of the load, so many times, makes of a gas by the end of the trip."""
    return lambda plan: (f'IF({plan["road_ready"]}<>"yes","",'
                         + after(plan, gas, f"{times}*{plan['load_each']}/100") + ")")


def most(gas: str, limit: str) -> Formula:
    """The load at which a limit is met: each value is a straight line in the load, so two small loads tell it."""
    def text(plan: Plan) -> str:
        one, two = plan[f"{gas}_of_1"], plan[f"{gas}_of_2"]
        load = f"{plan['load_each']}/100*(1+({plan[limit]}-{one})/({two}-{one}))"
        known = f"COUNT({one},{two},{plan[limit]})<3"
        sealed = f'{plan["carried"]}="{SEALED}"'
        untold = f"OR({known},{sealed})" if gas == "oxygen" else known
        return f'IF({untold},"",IFERROR({load},0))'
    return text


def by_density(key: str) -> Formula:
    """The load that a density on Limits allows."""
    return lambda plan: plan.blank_unless("vessel_volume", plan.book.call(
        "BUCKET_LOAD", plan["vessel_volume"], plan["fill"], plan[key]))


def whole_fish(load: str) -> Formula:
    """How many whole fish a load is."""
    return lambda plan: plan.blank_unless(f"{load} fish_weight fish_count",
        f'MAX(0,INT(ROUND({plan[load]}/({plan["fish_weight"]}/{plan["fish_count"]}),6)))')


def vessels(fish: str) -> Formula:
    """How many vessels it takes at so many fish in each."""
    def text(plan: Plan) -> str:
        each = plan[fish]
        return plan.blank_unless(f"{fish} fish_count",
                                 f'IF({each}<1,"none is big enough",-INT(-{plan["fish_count"]}/{each}))')
    return text


def largest(*keys: str) -> Formula:
    """The largest of several numbers of vessels."""
    def text(plan: Plan) -> str:
        cells = [plan[key] for key in keys]
        none = ",".join(f'{cell}="none is big enough"' for cell in cells)
        return f'IF({plan["road_ready"]}<>"yes","",IF(OR({none}),"none is big enough",MAX({",".join(cells)})))'
    return text


def set_by(plan: Plan) -> str:
    """Which of the needs is the largest."""
    needed = plan["vessels_needed"]
    return first_that_holds((
        (f'{needed}=""', '""'), (f'{plan["vessels_oxygen"]}={needed}', '"oxygen"'),
        (f'{plan["vessels_ammonia"]}={needed}', '"ammonia"'), (f'{plan["vessels_co2"]}={needed}', '"carbon dioxide"'),
    ), '"density"')


def verdict(plan: Plan) -> str:
    """Whether there are vessels enough."""
    have, needed, least = plan["vessel_count"], plan["vessels_needed"], plan["vessels_least"]
    return first_that_holds((
        (f'{needed}=""', '""'),
        (f"NOT(ISNUMBER({least}))", '"act: one fish is too many for a vessel of that size; larger vessels"'),
        (f"{have}<{least}", f'"act: too few vessels; at least "&{least}&", better "&{needed}'),
        (f"NOT(ISNUMBER({needed}))", '"watch: denser than planned for; larger vessels are better"'),
        (f"{have}<{needed}", f'"watch: denser than planned for; "&{needed}&" vessels are better"'),
    ), '"fine"')


def air_needed(plan: Plan) -> str:
    """The air flow that holds the oxygen at its watch limit."""
    call = plan.book.call("AIR_FLOW_NEEDED", plan["load_each"], plan["oxygen_use"], plan["air_depth"], plan["warmest"],
                          plan["limit_oxygen_watch"], plan["elevation"], plan["stone_used"])
    return f'IF({plan["road_ready"]}<>"yes","",IFERROR({call},""))'


def air_verdict(plan: Plan) -> str:
    """Whether the pump gives that much."""
    have, needed = plan["air_used"], plan["air_needed"]
    return first_that_holds((
        (f'COUNT({have},{needed})<2', '""'),
        (f"{have}=0", '"watch: no air; see On the road for how long the oxygen lasts"'),
        (f"{have}<{needed}", '"watch: the pump does not hold the oxygen there for long; see On the road"'),
    ), '"fine"')
