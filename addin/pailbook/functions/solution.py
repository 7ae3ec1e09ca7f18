"""Ions in dilute water: activity coefficients from the conductivity."""

from __future__ import annotations

from typing import Any

from pailbook import ops

IONIC_STRENGTH_PER_CONDUCTIVITY = 1.3e-5  # mol/L per µS/cm at 25 °C, the usual factor for fresh waters


def debye_hueckel_slope(temperature: Any) -> Any:
    """The A of the Davies equation (0.51 at 25 °C), from water's dielectric constant.

    Malmberg & Maryott 1956 for that constant; the factor is Robinson & Stokes', from memory.
    """
    dielectric = 87.740 - 0.40008 * temperature + 9.398e-4 * temperature**2 - 1.410e-6 * temperature**3
    return 1.8246e6 / (dielectric * (temperature + 273.15)) ** 1.5


def activity_term(charge: int, temperature: Any, conductivity: Any) -> Any:
    """-log10 of an ion's activity coefficient, Davies 1962; 0 where the conductivity is 0."""
    strength = IONIC_STRENGTH_PER_CONDUCTIVITY * conductivity
    root_term = 1 - 1 / (1 + ops.sqrt(strength))  # root / (1 + root)
    return charge**2 * debye_hueckel_slope(temperature) * (root_term - 0.3 * strength)


def neutral_term(conductivity: Any) -> Any:
    """log10 of the activity coefficient of an uncharged molecule: dissolved salts drive it out a little."""
    return 0.1 * IONIC_STRENGTH_PER_CONDUCTIVITY * conductivity
