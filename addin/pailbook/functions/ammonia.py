"""Ammonia: the share that harms fish, and the water quality criterion for it."""

from __future__ import annotations

from typing import Any

from pailbook import ops
from pailbook.function import worksheet_function
from pailbook.functions.solution import activity_term, neutral_term
from pailbook.quantities import (
    PH,
    Conductivity,
    Exposure,
    Fraction,
    Salmonids,
    TotalAmmonia,
    UnionizedAmmonia,
    WaterTemperature,
)
from pailbook.sources import DAVIES_1962, EMERSON_1975, USEPA_2013

CATEGORY = "Ammonia"


def _pka(temperature: Any, conductivity: Any) -> Any:
    pka = 0.09018 + 2729.92 / (temperature + 273.15)
    return pka + activity_term(1, temperature, conductivity) + neutral_term(conductivity)


@worksheet_function(
    category=CATEGORY, source=(EMERSON_1975.at("equation 6"), DAVIES_1962.at("p. 39")), example=(7.6, 26.0)
)
def ammonia_fraction(ph: PH, temperature: WaterTemperature, conductivity: Conductivity = 0.0) -> Fraction:
    """Share of total ammonia (TAN) that is un-ionised ammonia (NH3-N), the form that harms fish.

    If conductivity is left out, dissolved salts are not corrected for. The share is then slightly too high, which is
    the safe side.
    """
    return 1 / (1 + 10 ** (_pka(temperature, conductivity) - ph))


@worksheet_function(category=CATEGORY, source=EMERSON_1975.at("equation 6"), example=(1.2, 7.6, 26.0))
def ammonia_unionized(
    tan: TotalAmmonia, ph: PH, temperature: WaterTemperature, conductivity: Conductivity = 0.0
) -> UnionizedAmmonia:
    """Un-ionised ammonia (NH3-N), in mg/L, from total ammonia (TAN, mg/L as N), pH and water temperature."""
    return tan * ammonia_fraction(ph, temperature, conductivity)


@worksheet_function(category=CATEGORY, source=EMERSON_1975.at("equation 6"), example=(0.05, 7.6, 26.0))
def ammonia_total_at(
    unionized: UnionizedAmmonia, ph: PH, temperature: WaterTemperature, conductivity: Conductivity = 0.0
) -> TotalAmmonia:
    """Total ammonia (TAN, mg/L as N) at which un-ionised ammonia (NH3-N) reaches the given value."""
    return unionized / ammonia_fraction(ph, temperature, conductivity)


@worksheet_function(category=CATEGORY, source=USEPA_2013.at("criteria statements"), example=(7.4, 20.0, "acute"))
def ammonia_criterion(
    ph: PH, temperature: WaterTemperature, exposure: Exposure, salmonids: Salmonids = False
) -> TotalAmmonia:
    """US EPA 2013 criterion for total ammonia (TAN, mg/L as N). It protects natural waters with mussels; on a farm it
    is only a caution.

    Acute means averaged over one hour, chronic over thirty days. Salmonids change only the acute criterion.
    """
    warm = 10 ** (0.036 * (20 - temperature))
    acute_by_ph = 0.7249 * (0.0114 / (1 + 10 ** (7.204 - ph)) + 1.6181 / (1 + 10 ** (ph - 7.204)))
    trout = 0.275 / (1 + 10 ** (7.204 - ph)) + 39.0 / (1 + 10 ** (ph - 7.204))
    chronic_by_ph = 0.8876 * (0.0278 / (1 + 10 ** (7.688 - ph)) + 1.1994 / (1 + 10 ** (ph - 7.688)))
    return ops.where(
        exposure == "acute",
        lambda: ops.where(
            salmonids,
            lambda: ops.minimum(trout, acute_by_ph * 23.12 * warm),
            lambda: acute_by_ph * ops.minimum(51.93, 23.12 * warm),
        ),
        lambda: chronic_by_ph * 2.126 * 10 ** (0.028 * (20 - ops.maximum(temperature, 7.0))),
    )
