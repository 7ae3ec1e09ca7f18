"""The rules of a cohort, of an area in plants and of a week, and those on the plan as a whole."""

from __future__ import annotations

from typing import Annotated, Any

from pailbook import ops
from pailbook.quantities import (
    AirFlow,
    BiomassOrNone,
    Crop,
    Feed,
    FeedRatio,
    FishCount,
    FishDensity,
    FishMass,
    GrowingDays,
    GrowthCoefficient,
    MediaVolume,
    PlantArea,
    Species,
    WaterTemperature,
)
from pailbook.quantity import Quantity
from pailbook.rules import (
    Rungs,
    act,
    fine,
    is_blank,
    listed,
    needs,
    not_asked,
    not_asked_if_blank,
    ours,
    rule,
    say,
    shown,
    skips,
    watch,
)
from pailbook.workbook.stocking_plan import measures
from pailbook.workbook.stocking_plan.questions import (
    COUNT,
    DATE,
    NEAR,
    AirOfPump,
    Begun,
    CohortsThere,
    DensityMost,
    FilterMedia,
    FirstDay,
    UsualTemperature,
    WaterVolume,
    found,
)

_STALE = 42  # days after which a forecast from a weighing is too old: common practice
_MOST_FED = 100  # g/m² a day, the most that is published, for large rafts
_AFTER_LINES = {act: 11, watch: 51}  # urgencies; those of the lines are 10 and 50
GROWTH = Quantity("growth", low=-100, high=100)
FLAG = Quantity("flag", low=0, high=1)

Filled = Annotated[float, COUNT, "Cells filled in"]


@rule("Fish", rank=1, essential="fish")
def planned(
    begun: Begun, plan_start: FirstDay, volume: WaterVolume, temperature: UsualTemperature, cohorts: CohortsThere
) -> Rungs:
    """Whether the plan has a beginning, water and fish."""
    return not_asked(begun == "no"), needs(plan_start, volume, temperature, cohorts), fine()


def _row(kind: Any, condition: Any, words: str) -> Any:
    """A rung whose sentence is also what to do; the lines of the balance come first."""
    return kind(condition, words, words, urgency=_AFTER_LINES[kind])


@rule("Cohort", rank=1, essential="fish")
def cohort(
    filled: Filled,
    species: Annotated[Species, "Species"],
    count: Annotated[FishCount, "Number of fish"],
    mass: Annotated[FishMass, "Mean weight then"],
    stocked: Annotated[float, DATE, "Date of arrival", skips],
    coefficient: Annotated[GrowthCoefficient, "Growth coefficient", skips],
    earlier_mass: Annotated[FishMass, "Earlier mean weight", skips],
    earlier_days: Annotated[GrowingDays, "Time between weighings", skips],
    earlier_temperature: Annotated[WaterTemperature, "Mean water temperature in between", skips],
    own_conversion: Annotated[float, measures.CONVERSION, "Feed conversion", skips],
    own_deaths: Annotated[float, measures.DEATHS, "Deaths", skips],
    target: Annotated[FishMass, "Weight at harvest", skips],
    per_week: Annotated[float, measures.TAKEN_OUT, "Number of fish taken out per week", skips],
    plan_start: FirstDay,
    temperature: UsualTemperature,
    growth: Annotated[float, GROWTH, "Growth coefficient or earlier weighing"],
    plan_end: Annotated[float, DATE, "Last day of the plan"],
    ready: Annotated[float, DATE, "Week of the first harvest", skips],
) -> Rungs:
    """Whether a cohort is complete, and whether it grows in this water up to its harvest."""
    def limit(level: str) -> Any:
        return ours("SPECIES_LIMIT", species, "temperature", level)

    return (
        not_asked(filled == 0),
        needs(species, count, mass, stocked, coefficient, earlier_mass, earlier_days, earlier_temperature,
              own_conversion, own_deaths, target, per_week, plan_start, temperature),
        _row(act, growth <= 0, "they lost weight; find out why before you plan"),
        _row(watch, stocked > plan_end, "they arrive after the end of the plan"),
        _row(act, listed(temperature > limit("act high")), "the water is too warm for this species"),
        _row(act, listed(temperature < limit("feed low")), "the water is too cold; they neither feed nor grow"),
        _row(watch, listed(temperature > limit("watch high")),
             "the water is warm for this species; they grow no faster than at the best temperature"),
        _row(watch, listed(temperature < limit("watch low")), "the water is cold for this species"),
        _row(watch, is_blank(ready) & ~is_blank(target), "they do not reach the harvest weight within the plan"),
        fine(is_blank(target), "no harvest is planned, because the weight at harvest is blank"),
        fine(),
    )


@rule("Area in plants")
def area(
    filled: Filled,
    crop: Annotated[Crop, "Crop"],
    area: Annotated[PlantArea, "Area in plants"],
    ratio: Annotated[FeedRatio, "Feed ratio", skips],
) -> Rungs:
    """Whether a bed or raft is complete, and fed as beds are."""
    return (
        not_asked(filled == 0),
        needs(crop, area),
        watch(ratio > _MOST_FED, "higher than any published feed ratio"),
        fine(),
    )


def _any(conditions: dict[str, Any]) -> Any:
    first, *others = conditions.values()
    for one in others:
        first = first | one
    return first


def _listed(conditions: dict[str, Any]) -> Any:
    """The texts whose conditions hold, with commas between."""
    parts, before = [], None
    for text, condition in conditions.items():
        here: Any = text if before is None else say(ops.where(before, ", ", ""), text)
        parts.append(ops.where(condition, here, ""))
        before = condition if before is None else before | condition
    return say(*parts)


@rule("Week")
def week(
    fish: Annotated[float, COUNT, "Fish", not_asked_if_blank],
    own_temperature: Annotated[WaterTemperature, "Temperature, if not as usual", skips],
    density_short: Annotated[float, FLAG, "Stocking density too high"],
    media_short: Annotated[float, FLAG, "Filter too small"],
    air_short: Annotated[float, FLAG, "Too little air"],
    area_short: Annotated[float, FLAG, "Too few plants"],
    density: Annotated[float, found(FishDensity), "Stocking density"],
    density_most: DensityMost,
    media: Annotated[float, found(MediaVolume), "Filter media needed"],
    media_volume: FilterMedia,
    air: Annotated[float, found(AirFlow), "Air needed"],
    air_flow: AirOfPump,
    feed: Annotated[Feed, "Daily feed"],
    biomass: Annotated[BiomassOrNone, "Total weight at the end"],
) -> Rungs:
    """Whether water, filter, air and plants carry the fish of a week."""
    short = {"stocking density too high": density_short == 1, "filter too small": media_short == 1,
             "too little air": air_short == 1}
    near = {"stocking density near its limit": density > NEAR * density_most,
            "little filter to spare": media > NEAR * media_volume, "little air to spare": air > NEAR * air_flow,
            "more feed than the plants can use": area_short == 1}
    return (
        not_asked(fish == 0, "no fish"),
        needs(own_temperature),
        act(_any(short), _listed(short), "see Balance"),
        needs(density, density_most, media, media_volume, air, air_flow),
        watch((feed == 0) & (biomass > 0), "too cold to feed"),
        watch(_any(near), _listed(near)),
        fine(),
    )


@rule("Age of the count")
def freshness(begun: Begun, plan_start: FirstDay, today: Annotated[float, DATE, "Today's date"]) -> Rungs:
    """Whether the fish were counted and weighed not long ago."""
    days = ops.floor(today) - ops.floor(plan_start)
    return (
        not_asked(begun == "no"),
        fine(days < 0, say("the plan begins in ", shown(-days, 0), ops.where(days == -1, " day", " days"))),
        watch(days > _STALE,
              say("the fish were counted and weighed ", shown(days, 0), " days ago; weigh some and enter them again")),
        fine(True, say(shown(days, 0), ops.where(days == 1, " day", " days"), " old")),
    )
