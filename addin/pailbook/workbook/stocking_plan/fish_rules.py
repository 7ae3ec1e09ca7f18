"""The rules of the balance that follow from the fish: water, filter, air and plants must carry them."""

from __future__ import annotations

from typing import Annotated

from pailbook import terms
from pailbook.quantities import (
    AirFlow,
    Depth,
    Elevation,
    Feed,
    FeedOxygenRatio,
    FishDensity,
    MediaVolume,
    NitrificationRate,
    Oxygen,
    PlantArea,
    SpecificSurface,
)
from pailbook.rules import Rungs, act, by_units, fine, needs, not_asked, rule, say, shown, skips, unit_of, watch
from pailbook.workbook.stocking_plan import measures
from pailbook.workbook.stocking_plan.questions import (
    COUNT,
    NEAR,
    STONES,
    WEEK,
    AirOfPump,
    Conversion,
    Deaths,
    DensityMost,
    FeedPeak,
    FeedProtein,
    FilterMedia,
    FishPlanned,
    Temperatures,
    TinySystem,
    WaterVolume,
    advice,
    found,
)

_FEW_PLANTS = 0.5  # of the feed that the plants could use: below it they go short


@rule(terms.STOCKING_DENSITY, rank=4, essential=True)
def density(
    fish_planned: FishPlanned, temperatures: Temperatures, conversion: Conversion, deaths: Deaths, volume: WaterVolume,
    density_peak: Annotated[float, found(FishDensity), f"Highest {terms.STOCKING_DENSITY.lower()} on Weeks"],
    density_most: DensityMost,
    density_from: Annotated[float, WEEK, "First week of too high a stocking density", skips],
    density_week: Annotated[float, WEEK, "Week of the highest stocking density", skips],
) -> Rungs:
    """Whether the fish have enough water."""
    too_many = (density_peak - density_most) * volume * by_units(1e-3, 1)
    return (
        not_asked(fish_planned == 0),
        needs(temperatures, conversion, deaths, volume),
        advice(act, density_peak > density_most,
                "the stocking density is too high from week ", shown(density_from, 0), " on; in week ",
                shown(density_week, 0), " there are ", shown(too_many, 1), " ", by_units("kg", "lb"),
                " of fish too many: harvest sooner or stock fewer fish"),
        advice(watch, density_peak > NEAR * density_most,
                "the stocking density is close to its limit in week ", shown(density_week, 0)),
        fine(True, say("at most ", shown(density_peak, 1, us=3), " ", unit_of(density_peak))),
    )


@rule("Filter media", rank=3, essential=True)
def filter_media(
    fish_planned: FishPlanned, temperatures: Temperatures, conversion: Conversion, deaths: Deaths,
    protein: FeedProtein,
    filter_rate: Annotated[NitrificationRate, "Total ammonia (TAN) that the filter removes (Setup)"],
    specific_surface: Annotated[SpecificSurface, "Kind of media, or its specific surface (Setup)"],
    media_volume: FilterMedia,
    media_peak: Annotated[float, found(MediaVolume), "Filter media needed on Weeks"],
    media_from: Annotated[float, WEEK, "First week of too small a filter", skips],
    media_week: Annotated[float, WEEK, "Week that needs the most filter", skips],
    filter_feed: Annotated[float, found(Feed), "Feed that the filter can take", skips],
) -> Rungs:
    """Whether the filter turns over all the ammonia."""
    spare = media_volume - media_peak
    lacks = say(shown(-spare, 0, us=1), " ", unit_of(media_volume))
    return (
        not_asked(fish_planned == 0),
        needs(temperatures, conversion, deaths, protein, filter_rate, specific_surface),
        advice(act, media_peak > media_volume,
                "the filter is too small from week ", shown(media_from, 0), " on; in week ", shown(media_week, 0),
                " it lacks ", lacks, " of media: add ", lacks, ", or feed no more than ",
                shown(filter_feed, 0, us=1), " ", unit_of(filter_feed), " a day that week"),
        advice(watch, media_peak > NEAR * media_volume,
                "the filter has little to spare in week ", shown(media_week, 0)),
        fine(True, say(shown(spare, 0, us=1), " ", unit_of(media_volume), " to spare in the fullest week")),
    )


@rule("Air", rank=2, essential=True)
def air(
    fish_planned: FishPlanned, temperatures: Temperatures, conversion: Conversion, deaths: Deaths,
    stone_depth: Annotated[Depth, "Depth of the stones (Setup)"],
    stone: Annotated[str, STONES, "Stones (Setup)"],
    stone_share: Annotated[float, measures.STONE_SHARE, "Efficiency of the stones, measured (Setup)", skips],
    oxygen_keep: Annotated[Oxygen, "Oxygen to keep (Setup)"],
    oxygen_ratio: Annotated[FeedOxygenRatio, "Oxygen that fish and filter use (Setup)"],
    peak: Annotated[float, measures.PEAK, "Peak of oxygen use after feeding (Setup)"],
    elevation: Annotated[Elevation, "Elevation (Setup)"],
    weeks_without_air: Annotated[float, COUNT, "Weeks that no air can serve"],
    air_flow: AirOfPump,
    air_peak: Annotated[float, found(AirFlow), "Air needed on Weeks"],
    air_from: Annotated[float, WEEK, "First week of too little air", skips],
    air_week: Annotated[float, WEEK, "Week that needs the most air", skips],
    air_feed: Annotated[float, found(Feed), "Feed that the air can take", skips],
) -> Rungs:
    """Whether the air pump brings the oxygen."""
    spare = air_flow - air_peak
    return (
        not_asked(fish_planned == 0),
        needs(temperatures, conversion, deaths, stone_depth, stone, stone_share, oxygen_keep, oxygen_ratio, peak,
              elevation),
        advice(act, weeks_without_air > 0,
                "in water this warm, air cannot keep the oxygen at the level on Setup: cool the water, or set a lower "
                "level"),
        advice(act, air_peak > air_flow,
                "the air pump is too small from week ", shown(air_from, 0), " on; in week ", shown(air_week, 0),
                " it lacks ", shown(-spare, 1), " L/min: use a larger one, finer or deeper stones, or feed no more "
                "than ", shown(air_feed, 0, us=1), " ", unit_of(air_feed), " a day that week"),
        advice(watch, air_peak > NEAR * air_flow,
                "the air pump has little to spare in week ", shown(air_week, 0)),
        fine(True, say(shown(spare, 1), " L/min to spare in the fullest week. Keep a spare pump and air on a battery")),
    )


@rule("Plants", rank=9, essential=True)
def plants(
    fish_planned: FishPlanned, temperatures: Temperatures, conversion: Conversion, deaths: Deaths, volume: WaterVolume,
    tiny_system: TinySystem,
    plant_feed: Annotated[float, found(Feed), "A crop on Areas"],
    plant_area: Annotated[float, found(PlantArea), "Area in plants on Areas"],
    area_peak: Annotated[float, found(PlantArea), "Plants needed on Weeks"],
    area_from: Annotated[float, WEEK, "First week of more feed than the plants can use", skips],
    area_week: Annotated[float, WEEK, "Week that needs the most plants", skips],
    feed_peak: FeedPeak,
) -> Rungs:
    """Whether plants and feed are in balance."""
    per_day = say(shown(plant_feed, 0, us=1), " ", unit_of(plant_feed))
    area = unit_of(plant_area)
    return (
        not_asked(fish_planned == 0),
        needs(temperatures, conversion, deaths, plant_feed),
        advice(watch, volume < tiny_system,
                "plan such a small system by its fish and its filter, not by its plants"),
        advice(watch, area_peak > plant_area,
                "the plants cannot use all the feed from week ", shown(area_from, 0),
                " on, and nitrate builds up: plant ", shown(area_peak - plant_area, 1, us=0), " ", area,
                " more by week ", shown(area_week, 0), ", feed no more than ", per_day, " a day, or change water"),
        advice(watch, feed_peak < _FEW_PLANTS * plant_feed,
                "even the highest daily feed is enough for only ", shown(area_peak, 1, us=0), " ", area, " of your ",
                shown(plant_area, 1, us=0), " ", area,
                " of plants: stock more fish, grow fewer plants, or dose nutrients"),
        fine(True, say("the plants can use up to ", per_day, " of feed a day")),
    )
