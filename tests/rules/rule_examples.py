"""Rules of every kind that there is, on the invented farm. Their limits are invented too: they judge no real water."""

from __future__ import annotations

from typing import Annotated

import pailbook.functions as _fills_the_catalogue  # noqa: F401
from pailbook import ops
from pailbook.quantities import (
    PH,
    SPECIES,
    Alkalinity,
    CarbonDioxide,
    Oxygen,
    Phosphate,
    TotalAmmonia,
    WaterTemperature,
)
from pailbook.quantity import Quantity
from pailbook.rules import (
    Rule,
    Rungs,
    act,
    fine,
    first_that_suffices,
    fixed,
    listed,
    not_asked,
    not_asked_if_blank,
    ours,
    rule,
    say,
    shown,
    skips,
    unit_of,
    watch,
)
from pailbook.rules.declaration import question

OPEN, SEALED, TANK = "open vessels, with air", "sealed bags, oxygen", "oxygen tank"
CARRIED = Quantity("carried", choices=(OPEN, SEALED, TANK))
WELL, MAINS = "rain or well", "tap water with chlorine"
SOURCE = Quantity("source", choices=("no refill", WELL, MAINS))
FISH = Quantity("species", choices=("any fish", *SPECIES))
YES_NO = Quantity("yes or no", choices=("yes", "no"))
DAY = Quantity("day", low=36526, high=73050, whole=True)  # 2000 to 2099
COUNT = Quantity("count", low=0, high=1e6, whole=True)
CHLORINE = Quantity("chlorine", unit="mg/L", low=0, high=10)
RESOLUTION = Quantity("resolution", low=0, high=1, above=True)
FALL = Quantity("fall", unit="mg/L a day", low=-1000, high=1000)
WEIGHT = Quantity("weight", unit="kg", us_unit="lb", us_factor=1 / 0.45359237, low=0, high=1000, above=True)
WATER = Quantity("water", unit="L", us_unit="US gal", us_factor=1 / 3.785411784, low=0, high=1e5, above=True)
USE = Quantity("use", unit="mg/kg/h", low=0, high=5000, above=True)
HOURS = Quantity("hours", unit="h", low=0, high=72)
AIR = Quantity("air", unit="L/min", low=0, high=1000)
EXAMPLE = question("example", Annotated[float, WATER, "Water"])
UNIONIZED = Quantity("un-ionised ammonia", unit="mg/L as N", low=0, high=10)


@rule("Oxygen on the road", rank=1, essential="oxygen")
def oxygen_on_the_road(
    carried: Annotated[str, CARRIED, "How the fish travel"],
    lowest: Annotated[Oxygen, "Lowest oxygen on the road"],
    act_below: Annotated[Oxygen, "Limit 'Oxygen: act below'"],
    watch_below: Annotated[Oxygen, "Limit 'Oxygen: watch below'", skips],
) -> Rungs:
    """Whether oxygen falls too low, in the expected case."""
    says = say("oxygen falls to ", shown(lowest, 1), " mg/L at the lowest")
    more = "More air in each vessel, or fewer fish in each"
    return (
        not_asked(carried == SEALED, "in sealed bags the oxygen on top decides"),
        act(lowest < act_below, says, more, urgency=1),
        watch(lowest < watch_below, says, more),
        fine(),
    )


@rule("Refill water", rank=13)
def refill_water(
    source: Annotated[str, SOURCE, "Water that refills the first system"],
    chlorine: Annotated[float, CHLORINE, "Total chlorine in the refill"],
) -> Rungs:
    """Whether the water of the refill is free of chlorine."""
    return (
        not_asked(source == "no refill"),
        fine(source != MAINS, say(source, " holds no chlorine")),
        act(chlorine > 0, say("the refill holds ", shown(chlorine, 2), " mg/L of chlorine"),
            "Dechlorinate, test for none, then refill", urgency=3),
        fine(),
    )


@rule("Species and temperature", rank=9, essential="temperature")
def species_and_temperature(
    species: Annotated[str, FISH, "Species"],
    here: Annotated[WaterTemperature, "Water temperature where the fish are"],
    there: Annotated[WaterTemperature, "Water temperature where they go"],
) -> Rungs:
    """The coldest and the warmest water that the fish meet, against what the species bears."""
    coldest, warmest = ops.minimum(here, there), ops.maximum(here, there)
    wait = "Wait for other weather, or warm or cool the water slowly"
    return (
        watch(species == "any fish", "the species is not picked, so its temperatures are not judged",
              "Pick the species"),
        act(listed(coldest < ours("SPECIES_LIMIT", species, "temperature", "act low")),
            say("the water is too cold for ", species, ", ", shown(coldest, 1), " ", unit_of(here)), wait, 5),
        watch(listed(warmest > ours("SPECIES_LIMIT", species, "temperature", "watch high")),
              say("the water is warm for ", species, ", ", shown(warmest, 1), " ", unit_of(here)), wait),
        fine(),
    )


@rule("The pH kit", rank=20, essential="pH")
def ph_kit(
    here: Annotated[PH, "pH where the fish are"],
    there: Annotated[PH, "pH where they go"],
    resolution: Annotated[float, RESOLUTION, "Resolution of the pH kit"],
    within: Annotated[float, RESOLUTION, "Limit 'pH: matched within'"],
) -> Rungs:
    """Whether the kit is fine enough to show that pH matches."""
    gap = ops.absolute(there - here)
    return (
        watch(gap > within, say("pH differs by ", shown(gap, 2)), "Bring both waters to one pH first"),
        watch(gap + resolution > within,
              say("pH matches within ", shown(within, 2), " as read, but the true gap may be up to ",
                  shown(gap + resolution, 2)),
              say("Read both waters with a kit that shows steps of ", shown(within - gap, 2))),
        fine(),
    )


@rule("Alkalinity running out", rank=9)
def alkalinity_running_out(
    readings: Annotated[float, COUNT, "Readings since the last dose"],
    now: Annotated[Alkalinity, "Latest alkalinity", not_asked_if_blank],
    least: Annotated[Alkalinity, "Limit 'Alkalinity: act below'"],
    fall: Annotated[float, FALL, "Fall of alkalinity in a day"],
) -> Rungs:
    """Whether alkalinity will soon be at the least that is safe."""
    days = ops.floor((now - least) / ops.maximum(fall, 0.000001))
    says = say("alkalinity is ", shown(now, 0), " mg/L as CaCO3 and falls by ", shown(fall, 1), " a day: about ",
               shown(days, 0), ops.where(days == 1, " day", " days"), " left")
    raise_it = say("Raise it by ", shown(least + 7 * fall - now, 0), " mg/L in small doses")
    return (
        not_asked(readings < 3, "there are too few readings for a trend"),
        act(now <= least, say("alkalinity is used up, ", shown(now, 0), " mg/L as CaCO3"), raise_it, 4),
        not_asked(fall <= 0, "alkalinity does not fall"),
        act(days <= 3, says, raise_it, 5),
        watch(days <= 14, says, raise_it, 30),
        fine(),
    )


@rule("Use-by date of a kit", rank=40)
def expired_kit(
    use_by: Annotated[float, DAY, "Use-by date", not_asked_if_blank],
    today: Annotated[float, DAY, "Date of the day"],
) -> Rungs:
    """Whether a kit is past its use-by date."""
    over = today - use_by
    return (
        watch(over > 0, say("it expired ", shown(over, 0), ops.where(over == 1, " day", " days"), " ago"),
              "Replace it; until then compare with a fresh one"),
        fine(),
    )


@rule("Phosphate", rank=12)
def phosphate(
    reading: Annotated[Phosphate, "Phosphate", not_asked_if_blank],
    low: Annotated[Phosphate, "Limit 'Phosphate: lower end'", skips],
    high: Annotated[Phosphate, "Limit 'Phosphate: upper end'", skips],
) -> Rungs:
    """A reading of a water test within its target range; a limit that is blank is not asked for."""
    return (
        watch(reading < low, say("phosphate is low, ", shown(reading, 1), " of at least ", shown(low, 1), " mg/L")),
        watch(reading > high,
              say("phosphate is high, ", shown(reading, 1), " mg/L; the range starts at ", shown(low, 1))),
        fine(),
    )


@rule("Un-ionised ammonia", rank=2, essential="ammonia")
def ammonia(
    tan: Annotated[TotalAmmonia, "Total ammonia (TAN)"],
    ph: Annotated[PH, "pH"],
    temperature: Annotated[WaterTemperature, "Water temperature"],
    act_above: Annotated[float, UNIONIZED, "Limit 'Un-ionised ammonia: act above'"],
) -> Rungs:
    """The part of ammonia that harms fish, calculated."""
    harmful = ours("AMMONIA_UNIONIZED", tan, ph, temperature)
    return (
        fine(tan == 0, "the test shows none"),
        act(harmful > act_above, say("un-ionised ammonia (NH3-N) is ", shown(harmful, 3), " mg/L"),
            "Stop feeding. Change part of the water.", 2),
        watch(2 * harmful > act_above, say("un-ionised ammonia (NH3-N) is ", shown(harmful, 3), " mg/L")),
        fine(),
    )


@rule("Oxygen and what would help", rank=3)
def oxygen_with_remedy(
    start: Annotated[Oxygen, "Oxygen at loading"],
    fish: Annotated[float, WEIGHT, "Weight of fish in a vessel"],
    use: Annotated[float, USE, "Oxygen use"],
    water: Annotated[float, WATER, "Water in a vessel"],
    warmest: Annotated[WaterTemperature, "Warmest water on the road"],
    hours: Annotated[float, HOURS, "Hours on the road"],
    act_below: Annotated[Oxygen, "Limit 'Oxygen: act below'"],
) -> Rungs:
    """A remedy that is calculated: the model once more, with fewer fish."""
    def end(share: float = 1.0) -> object:
        return ours("TRIP_OXYGEN", start, fish * share, use, water, warmest, hours)

    remedy = first_that_suffices(
        (0.8, 0.6), lambda share: end(share) >= act_below,  # type: ignore[operator]
        lambda share: f"Put {round(100 * (1 - share))} % fewer fish into each vessel",
        say("More air, or less than ", shown(hours, 1), " h on the road"),
    )
    low = end() < act_below  # type: ignore[operator]
    return act(low, say("oxygen falls to ", shown(end(), 1), " mg/L"), remedy, 1), fine()


@rule("Carbon dioxide", rank=6, essential="carbon dioxide")
def carbon_dioxide(
    measured: Annotated[CarbonDioxide, "Carbon dioxide at arrival"],
    act_above: Annotated[CarbonDioxide, "Limit 'Carbon dioxide: act above'"],
    ph: Annotated[PH, "pH at arrival"],
) -> Rungs:
    """Names a number that no rung asks for: it is shown as ? where it is not there."""
    return (
        act(measured > act_above, say("carbon dioxide is ", shown(measured, 0), " mg/L at pH ", shown(ph, 1)),
            "More air; open the lids", 4),
        fine(),
    )


@rule("Fish in each vessel", rank=7, essential="fish")
def fish_in_each_vessel(
    fish: Annotated[float, COUNT, "Number of fish"],
    vessels: Annotated[float, COUNT, "Number of vessels"],
    most: Annotated[float, COUNT, "Limit 'Fish in a vessel'"],
) -> Rungs:
    """A quotient, which has no answer where there are no vessels."""
    each = fish / vessels
    return (
        not_asked(fish == 0, "no fish travel"),
        act(each > most, say("each vessel holds ", shown(each, 1), " fish"), "More vessels, or fewer fish", 6),
        fine(True, say("each vessel holds ", shown(each, 1), " fish")),
    )


@rule("Frost on the road", rank=30)
def frost(
    air: Annotated[WaterTemperature, "Temperature in the vehicle", not_asked_if_blank],
    asked: Annotated[str, YES_NO, "Is the vehicle heated?", not_asked_if_blank],
) -> Rungs:
    """A limit that stands in the rule itself, in both unit systems."""
    return (
        fine(asked == "yes"),
        watch(air < fixed(4, air), say("the vehicle is at ", shown(air, 0), " ", unit_of(air)), "Heat the vehicle"),
        fine(),
    )


@rule("Water for each fish", rank=31)
def water_for_each_fish(
    water: Annotated[float, WATER, "Water in all vessels"],
    fish: Annotated[float, COUNT, "Number of fish"],
) -> Rungs:
    """Shows a quotient that has no answer without fish, in a rung that does not need it."""
    return (
        watch(water < fixed(500, water), say("each fish has ", shown(water / fish, 2), " ", unit_of(water))),
        fine(),
    )


@rule("Fertiliser in the water", rank=32)
def kept_in_water(
    what: Annotated[str, Quantity("what", choices=("nothing", "fertiliser")), "What gets into the water, in litres"],
) -> Rungs:
    """Words that are spelt in another way in US sheets, a choice among them."""
    return (
        act(what == "fertiliser", say("fertiliser gets into 1 ", unit_of(EXAMPLE), " of water"),
            "Keep fertiliser away from the water", 8),
        fine(),
    )


RULES: dict[str, Rule] = {one.name: one for one in (
    oxygen_on_the_road, refill_water, species_and_temperature, ph_kit, alkalinity_running_out, expired_kit, phosphate,
    ammonia, oxygen_with_remedy, carbon_dioxide, fish_in_each_vessel, frost,
    water_for_each_fish, kept_in_water,
)}
