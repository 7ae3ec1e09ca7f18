"""What feed does to the water: ammonia, the filter that turns it into nitrate, and what that uses and leaves behind."""

from __future__ import annotations

from typing import Annotated

from pailbook import ops
from pailbook.function import worksheet_function
from pailbook.functions.chemicals import molar_mass
from pailbook.functions.convert import MG_CACO3, MG_PER_UNIT
from pailbook.quantities import (
    AmmoniaLoad,
    Feed,
    FilterArea,
    Grams,
    MediaVolume,
    NitrificationRate,
    Nitrogen,
    PlantShare,
    Protein,
    SpecificSurface,
    WaterTemperature,
)
from pailbook.sources import COMMON_PRACTICE, FAO_589, GEOMETRY, IUPAC_2021, TIMMONS_EBELING

CATEGORY = "Filters and pumps"
AlkalinityUsed = Annotated[Grams, "Alkalinity used up, as CaCO3"]

TAN_PER_PROTEIN = 0.092  # g of ammonia nitrogen (TAN) from a g of protein fed
RATE_AT = 25.0  # °C
COLDER, WARMER = 1.10, 1.07  # for each °C: the published ends, each where it errs on the safe side
NO_GAIN_ABOVE = 30.0  # °C
ALKALINITY_PER_N = 2 * MG_CACO3["meq"] / molar_mass("N")  # NH4+ to NO3- sets two H+ free
OXYGEN_PER_N = 2 * molar_mass("O2") / molar_mass("N")


@worksheet_function(category=CATEGORY, source=TIMMONS_EBELING.at("TAN from feed (from memory)"), example=(400.0, 0.32))
def ammonia_from_feed(feed: Feed, protein: Protein) -> AmmoniaLoad:
    """Ammonia nitrogen (TAN), in g a day, from the daily feed: 0.092 g for each g of protein.

    Enter the protein as a share: 0.32 for 32 %.
    """
    return feed * protein * TAN_PER_PROTEIN


@worksheet_function(
    category=CATEGORY, source=(FAO_589.at("appendix 4"), TIMMONS_EBELING.at("0.2 to 0.6 g/m² a day (from memory)"),
                               COMMON_PRACTICE.at("10 % less for each °C colder, 7 % more for each warmer")),
    example=(11.8, 24.0),
)
def biofilter_area(tan_load: AmmoniaLoad, temperature: WaterTemperature, rate: NitrificationRate = 0.3) -> FilterArea:
    """Surface of filter media that turns this much ammonia nitrogen (TAN) a day into nitrate, in a mature, clean filter
    with enough oxygen.

    The rate is that at 25 °C (77 °F); if left out, it is 0.3 g/m² a day, from the lower half of the published 0.2 to
    0.6. Each °C (1.8 °F) colder lowers it by a tenth; warmer water raises it, up to 30 °C (86 °F). A new filter takes
    weeks to mature.
    """
    beyond = ops.minimum(temperature, NO_GAIN_ABOVE) - RATE_AT
    return tan_load / (rate * ops.where(beyond < 0, COLDER**beyond, WARMER**beyond))


@worksheet_function(category=CATEGORY, source=GEOMETRY.at("ratio"), example=(40.0, 300.0))
def media_volume(area: FilterArea, specific_surface: SpecificSurface) -> MediaVolume:
    """Volume of filter media with the given surface, from the specific surface of the media."""
    return area / specific_surface * 1000


@worksheet_function(
    category=CATEGORY, source=(IUPAC_2021.at("table 1"), GEOMETRY.at("NH4+ + 2 O2 = NO3- + H2O + 2 H+")),
    example=(11.8, 0.4),
)
def nitrification_alkalinity(nitrogen: Nitrogen, plant_uptake: PlantShare = 0.0) -> AlkalinityUsed:
    """Alkalinity, in g as CaCO3, that bacteria use up to turn ammonia nitrogen into nitrate: 7.145 g for each g.

    Plants that take up the nitrate give half of that back: enter the share of the nitrate that they take up.
    """
    return nitrogen * ALKALINITY_PER_N * (1 - plant_uptake / 2)


@worksheet_function(
    category=CATEGORY, source=(IUPAC_2021.at("table 1"), GEOMETRY.at("NH4+ + 2 O2 = NO3- + H2O + 2 H+")),
    example=(11.8,),
)
def nitrification_oxygen(nitrogen: Nitrogen) -> Annotated[Grams, "Oxygen that the bacteria use"]:
    """Oxygen, in g, that bacteria use to turn ammonia nitrogen into nitrate: 4.569 g for each g."""
    return nitrogen * OXYGEN_PER_N


@worksheet_function(category=CATEGORY, source=IUPAC_2021.at("table 1"), example=(11.8,))
def nitrate_made(nitrogen: Nitrogen) -> Annotated[Grams, "Nitrate as NO3"]:
    """Nitrate, in g as NO3, that bacteria make from ammonia nitrogen: 4.427 g for each g."""
    return nitrogen * MG_PER_UNIT["NO3"] / MG_PER_UNIT["N"]
