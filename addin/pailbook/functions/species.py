"""What each species tolerates: limits with their sources."""

from __future__ import annotations

from typing import Annotated

from pailbook import ops
from pailbook.function import worksheet_function
from pailbook.quantities import SPECIES, Quantity, Species
from pailbook.sources import (
    AGRIFUTURES,
    COMMON_PRACTICE,
    FAO_589,
    HUYSMAN_2020,
    LAWSON_ALAKE_2011,
    NCRAC,
    NORIN_2014,
    QUEENSLAND,
    SRAC_283,
    UF_IFAS_FA16,
    USFWS_CATFISH,
    Citation,
)

SpeciesParameter = Annotated[str, Quantity(
    "parameter", "What the limit applies to; NH3-N is un-ionised ammonia",
    choices=("temperature", "oxygen", "pH", "NH3-N", "nitrite", "salinity"))]
SpeciesLevel = Annotated[str, Quantity(
    "level", "Which limit: low is the lower end of what the fish tolerate, high the upper end, best for best growth",
    choices=("lethal low", "act low", "watch low", "handle low", "feed low", "best", "watch high", "stress high",
             "act high", "lethal high"))]
SpeciesValue = Annotated[float, Quantity(
    "limit", "Temperature in °C or °F, pH, salinity in g/L, all others in mg/L (nitrite as NO2)",
    "°C or mg/L", "°F or mg/L", 1.8, 32.0, us_when=("parameter", "temperature"))]

_FAO = FAO_589.at("table 7.1")
_PRACTICE = COMMON_PRACTICE.at("lowest oxygen and caution levels, which users may change")
_NO_FEED = COMMON_PRACTICE.at("no feed in colder water")
_GILLS = UF_IFAS_FA16.at("harm to gills")

# (value, source) by species, parameter and level. Temperatures °C, oxygen and NH3-N mg/L, nitrite mg/L as NO2, salinity
# g/L. "watch" and "act" are what the log's verdicts use; a level that is missing is not known.
LIMITS: dict[tuple[str, str, str], tuple[float, Citation]] = {
    ("tilapia", "temperature", "lethal low"): (10.0, SRAC_283.at("temperature, 50-52 F")),
    ("tilapia", "temperature", "feed low"): (17.2, SRAC_283.at("temperature, 63 F")),
    ("tilapia", "temperature", "handle low"): (18.3, SRAC_283.at("temperature, 65 F")),
    ("tilapia", "temperature", "best"): (30.0, SRAC_283.at("temperature, 85-88 F")),
    ("tilapia", "temperature", "watch low"): (18.3, SRAC_283.at("temperature, 65 F")),
    ("tilapia", "temperature", "act low"): (14.0, _FAO),
    ("tilapia", "temperature", "watch high"): (34.0, _PRACTICE),
    ("tilapia", "temperature", "act high"): (36.0, _FAO),
    ("tilapia", "NH3-N", "watch high"): (0.05, _GILLS),
    ("tilapia", "NH3-N", "act high"): (0.08, SRAC_283.at("un-ionised ammonia depresses feeding")),
    ("tilapia", "nitrite", "act high"): (27.0, SRAC_283.at("nitrite")),
    ("goldfish", "temperature", "watch low"): (4.0, _PRACTICE),
    ("goldfish", "temperature", "feed low"): (10.0, _NO_FEED),
    ("goldfish", "temperature", "watch high"): (30.0, _PRACTICE),
    ("goldfish", "salinity", "watch high"): (5.0, LAWSON_ALAKE_2011.at("tolerated")),
    ("koi", "temperature", "watch low"): (4.0, _FAO),
    ("koi", "temperature", "feed low"): (10.0, _NO_FEED),
    ("koi", "temperature", "best"): (27.5, _FAO),
    ("koi", "temperature", "watch high"): (34.0, _FAO),
    ("common carp", "temperature", "watch low"): (4.0, _FAO),
    ("common carp", "temperature", "feed low"): (10.0, _NO_FEED),
    ("common carp", "temperature", "best"): (27.5, _FAO),
    ("common carp", "temperature", "watch high"): (34.0, _FAO),
    ("channel catfish", "temperature", "watch low"): (5.0, _FAO),
    ("channel catfish", "temperature", "feed low"): (18.0, USFWS_CATFISH.at("growth stops below")),
    ("channel catfish", "temperature", "best"): (27.0, _FAO),
    ("channel catfish", "temperature", "watch high"): (34.0, _FAO),
    ("rainbow trout", "temperature", "watch low"): (4.0, _PRACTICE),
    ("rainbow trout", "temperature", "feed low"): (4.0, _NO_FEED),
    ("rainbow trout", "temperature", "best"): (15.0, _FAO),
    ("rainbow trout", "temperature", "watch high"): (18.0, _FAO),
    ("rainbow trout", "temperature", "act high"): (22.0, _PRACTICE),
    ("rainbow trout", "temperature", "lethal high"): (25.0, HUYSMAN_2020.at("half survive 14 days")),
    ("jade perch", "temperature", "lethal low"): (13.0, QUEENSLAND.at("jade perch, mass deaths below")),
    ("jade perch", "temperature", "feed low"): (16.0, QUEENSLAND.at("jade perch, farmers often stop feeding")),
    ("jade perch", "temperature", "handle low"): (17.0, QUEENSLAND.at("jade perch, handling deaths below")),
    ("jade perch", "temperature", "watch low"): (17.0, QUEENSLAND.at("jade perch, handling deaths below")),
    ("jade perch", "temperature", "act low"): (13.0, QUEENSLAND.at("jade perch, mass deaths below")),
    ("jade perch", "temperature", "watch high"): (30.0, QUEENSLAND.at("jade perch, more air above")),
    ("jade perch", "oxygen", "act low"): (4.0, QUEENSLAND.at("jade perch, oxygen at least")),
    ("barramundi", "temperature", "lethal low"): (13.0, AGRIFUTURES.at("barramundi, deaths below")),
    ("barramundi", "temperature", "feed low"): (20.0, AGRIFUTURES.at("barramundi, feeding near zero")),
    ("barramundi", "temperature", "watch low"): (20.0, AGRIFUTURES.at("barramundi, feeding near zero")),
    ("barramundi", "temperature", "act low"): (18.0, _FAO),
    ("barramundi", "temperature", "best"): (27.5, _FAO),
    ("barramundi", "temperature", "watch high"): (34.0, _FAO),
    ("barramundi", "temperature", "lethal high"): (40.5, NORIN_2014.at("upper lethal")),
    ("yellow perch", "temperature", "best"): (24.0, NCRAC.at("yellow perch, 23-25 °C")),
    ("yellow perch", "temperature", "feed low"): (10.0, _NO_FEED),
    ("yellow perch", "temperature", "stress high"): (26.0, NCRAC.at("yellow perch, stress above")),
    ("yellow perch", "temperature", "watch high"): (26.0, NCRAC.at("yellow perch, stress above")),
}
for _species in SPECIES:
    _trout = _species == "rainbow trout"
    for _parameter, _level, _value, _source in (
        ("oxygen", "watch low", 6.0 if _trout else 5.0, _PRACTICE),
        ("oxygen", "act low", 5.0 if _trout else 3.0, _PRACTICE),
        ("NH3-N", "watch high", 0.02, _PRACTICE),
        ("NH3-N", "act high", 0.05, _GILLS),
        ("nitrite", "watch high", 1.0, _PRACTICE),
        ("pH", "act low", 5.5, _PRACTICE),
        ("pH", "watch low", 6.0, _PRACTICE),
        ("pH", "watch high", 8.5, FAO_589.at("section 7.3.2")),
        ("pH", "act high", 9.0, _PRACTICE),
    ):
        LIMITS.setdefault((_species, _parameter, _level), (_value, _source))

_VALUES = {key: value for key, (value, _) in LIMITS.items()}


@worksheet_function(
    category="Species",
    source=tuple(dict.fromkeys(source for _, source in LIMITS.values())),
    example=("jade perch", "temperature", "feed low"),
)
def species_limit(species: Species, parameter: SpeciesParameter, level: SpeciesLevel) -> SpeciesValue:
    """Limit of a species for temperature, oxygen, pH, un-ionised ammonia (NH3-N), nitrite (as NO2) or salinity; #N/A if
    none is known.
    """
    return ops.pick((species, parameter, level), _VALUES, "limit")
