"""The rules of the balance on the water itself: how much there is, its alkalinity, its flow."""

from __future__ import annotations

from typing import Annotated

from pailbook import ops, terms
from pailbook.quantities import (
    LITRES_PER_US_GALLON,
    Alkalinity,
    Grams,
    Head,
    PipeDiameter,
    PipeLength,
    PumpEfficiency,
    Roughness,
    Watts,
)
from pailbook.quantity import Quantity
from pailbook.rules import (
    Rungs,
    act,
    by_units,
    fine,
    fixed,
    is_blank,
    needs,
    not_asked,
    ours,
    rule,
    say,
    shown,
    skips,
    unit_of,
    watch,
)
from pailbook.workbook.stocking_plan import measures
from pailbook.workbook.stocking_plan.questions import (
    Begun,
    Conversion,
    Deaths,
    FeedProtein,
    FishPlanned,
    ReturnFlow,
    SmallSystem,
    Temperatures,
    TinySystem,
    WaterVolume,
    advice,
    found,
)

BASE = "potassium bicarbonate"
LOWEST_ALKALINITY = 20  # mg/L as CaCO3, below which pH can crash: common practice
_SOON = 21  # days until then: watch


@rule("Size of the system", rank=5, essential=True)
def small(begun: Begun, volume: WaterVolume, tiny_system: TinySystem, small_system: SmallSystem) -> Rungs:
    """Whether there is so little water that it changes fast."""
    return (
        not_asked(begun == "no"),
        advice(watch, volume < tiny_system,
                "very little water: a missed test, a power cut or a handful of feed too much can kill within hours. "
                "Keep few small fish, feed by hand, test daily, and plan by the fish, not by the plants (common "
                "practice)"),
        advice(watch, volume < small_system,
                "little water changes fast: stock half as densely as a large system, test every day or two, feed small "
                "portions, and keep air on a battery (common practice)"),
        fine(),
    )


@rule("Alkalinity used up", rank=6, essential=True)
def alkalinity_use(
    fish_planned: FishPlanned, temperatures: Temperatures, conversion: Conversion, deaths: Deaths,
    protein: FeedProtein, volume: WaterVolume,
    alkalinity_peak: Annotated[float, found(Grams), "Alkalinity used on Weeks"],
    alkalinity_today: Annotated[float, found(Grams), "Alkalinity used this week"],
    alkalinity: Annotated[Alkalinity, f"{terms.ALKALINITY} now (Setup)", skips],
) -> Rungs:
    """How long the alkalinity lasts, and what replaces it."""
    litres = volume * by_units(1, LITRES_PER_US_GALLON)
    per_gram = ours("ALKALINITY_ADDED", BASE, 1, fixed(1000, volume), 100)  # mg/L of 1000 L: g of a g
    uses = say("the filter uses up to ", shown(alkalinity_peak, 0), " g of alkalinity a day (",
               shown(alkalinity_peak * 1000 / litres, 1), " mg/L); about ", shown(alkalinity_peak / per_gram, 0),
               f" g a day of {BASE} replaces it, in small doses (see the dosing plan)")
    days = (alkalinity - LOWEST_ALKALINITY) / ops.maximum(alkalinity_today * 1000 / litres, 0.001)
    days = ops.minimum(days, 999)
    lasts = say(f". Without it, alkalinity falls to {LOWEST_ALKALINITY} mg/L in ",
                ops.where(days < 2, "a day", say("about ", shown(ops.floor(days), 0), " days")))
    return (
        not_asked(fish_planned == 0),
        needs(temperatures, conversion, deaths, protein, volume),
        fine(alkalinity_peak == 0, "no feed, so none is used up"),
        advice(watch, is_blank(alkalinity), uses, ". Test alkalinity weekly"),
        advice(act, alkalinity <= LOWEST_ALKALINITY,
                "alkalinity is too low and pH can crash overnight; ", uses),
        advice(watch, days < _SOON, uses, lasts),
        fine(True, say(uses, lasts)),
    )


@rule("Turnover of the water", rank=8, essential=True)
def turnover(
    begun: Begun, volume: WaterVolume, flow: ReturnFlow,
    turnover_now: Annotated[float, Quantity("turnover", low=0), "Turnover (Setup)"],
    turnover_least: Annotated[float, measures.TURNOVER, "Turnover, at least (Setup)"],
) -> Rungs:
    """Whether the whole water passes the filter often enough."""
    return (
        not_asked(begun == "no"),
        needs(volume, flow),
        advice(watch, turnover_now < turnover_least,
                "the flow is ", shown(turnover_least * volume - flow, 0), " ", unit_of(flow),
                " too small: clean the pump and the pipes, or fit a larger pump"),
        fine(),
    )


@rule("Head of the pump", rank=7, essential=True)
def pump(
    begun: Begun, flow: ReturnFlow,
    lift: Annotated[float, measures.LIFT, "Lift (Setup)"],
    pipe_diameter: Annotated[PipeDiameter, "Inside diameter of the pipe (Setup)"],
    pipe_length: Annotated[PipeLength, "Length of the pipe (Setup)"],
    elbows: Annotated[float, measures.ELBOWS, "Elbows in the pipe (Setup)", skips],
    roughness: Annotated[Roughness, "Roughness inside (Setup)"],
    pump_efficiency: Annotated[PumpEfficiency, "Efficiency of the pump (Setup)"],
    total_head: Annotated[float, found(Head), "Lift and pipe together (Setup)"],
    pump_head: Annotated[float, measures.PUMP_HEAD, "Head of the pump at that flow (Setup)", skips],
    pump_watts: Annotated[float, found(Watts), "Power of a pump for this (Setup)"],
) -> Rungs:
    """Whether the pump lifts that flow."""
    draws = say("a pump for this draws about ", shown(pump_watts, 0), " W")
    return (
        not_asked(begun == "no"),
        needs(flow, lift, pipe_diameter, pipe_length, elbows, roughness, pump_efficiency, total_head),
        advice(watch, is_blank(pump_head), "compare the head with the curve on the pump's label; ", draws),
        advice(act, total_head > pump_head,
                "the pump lacks ", shown(total_head - pump_head, 2, us=1), " ", unit_of(total_head),
                " of head at that flow: use a wider or shorter pipe, less lift, or another pump"),
        fine(True, draws),
    )
