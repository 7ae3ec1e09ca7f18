"""The pH at which charges balance in fresh water, in a closed vessel or beside free carbon dioxide.

Alkalinity is counted from CO2 and H2PO4-, in equivalents per litre:

    alkalinity = carbonate * n(pH) + phosphate * m(pH) + hydroxide - hydrogen

with n and m the mean charge of a mol of carbonate and of phosphate above those two, ions in pairs with calcium and
magnesium counted with the free ones (see `ion_pairs`).
"""

from __future__ import annotations

from typing import Any

from pailbook import ops
from pailbook.functions.acids import LN_10, Constants, carbonate, hydrogen, hydroxide, phosphate
from pailbook.functions.chemicals import molar_mass
from pailbook.functions.ion_pairs import NO_PAIRS, Pairs

MG_CACO3_PER_EQ = 1000 * molar_mass("CaCO3") / 2
MG_PO4_PER_MOL = 1000 * molar_mass("PO4")
MG_CO2_PER_MOL = 1000 * molar_mass("CO2")
PAIRING_ROUNDS = 2  # each leaves a tenth of the error or less, up to pH 9
_PAIRING_STEPS = (2, 4, 6)  # Newton's, so that pH is near before a round and rests after the last: within 0.001 to pH 9
NEWTON_STEPS = 10  # enough for a move of three pH and nearly all larger ones; what has not come to rest is refused
LARGEST_STEP = 1.0  # pH; half as much loses the root beyond three pH, twice as much can run back and forth
LEAST_ALKALINITY = 1e-5  # eq/L, where a search begins that an acid has left with less
AT_REST = 1e-6  # pH of the last step: Newton's error is then its square
LOWEST_PH, HIGHEST_PH = 4, 11
TOO_LITTLE_ALKALINITY = (
    "phosphate and hydroxide alone give more alkalinity than was measured; check the basis of the phosphate, and the pH"
)


def alkalinity_beside_carbonate(ph: Any, phosphate_mol: Any, k: Constants) -> Any:
    """Alkalinity, eq/L, of phosphate and of water itself."""
    return _beside_carbonate(ph, phosphate_mol, k)[0]


def _beside_carbonate(ph: Any, phosphate_mol: Any, k: Constants) -> tuple[Any, Any]:
    """Alkalinity of phosphate and of water itself, and its buffering -d / d ln H, both in eq/L."""
    p, oh, h = phosphate(ph, k), hydroxide(ph, k), hydrogen(ph, k)
    spread = (p.h3po4 + p.hpo4 + 4 * p.po4) / p.total - p.charge**2
    return phosphate_mol * p.charge + oh - h, phosphate_mol * spread + oh + h


def carbonate_mol(ph: Any, alkalinity: Any, phosphate_mol: Any, k: Constants) -> Any:
    """Total carbonate, mol/L, of water with a given alkalinity, eq/L; an error where phosphate alone makes more."""
    c = carbonate(ph, k)
    carried = ops.positive(alkalinity - alkalinity_beside_carbonate(ph, phosphate_mol, k), TOO_LITTLE_ALKALINITY)
    return carried * c.total / c.charge


def paired(ph: Any, alkalinity: Any, phosphate_mol: Any, k: Constants, pairs: Pairs) -> tuple[Constants, Any]:
    """The constants as pairs make them act in water of that pH and alkalinity, and the metals' free share."""
    free: Any = 1.0
    for _ in range(PAIRING_ROUNDS):
        here = pairs.acting(k, free)
        carried = ops.maximum(alkalinity - alkalinity_beside_carbonate(ph, phosphate_mol, here), 0.0)
        free = pairs.free_beside_co2(ph, carried / carbonate(ph, here).charge, phosphate_mol, k, free)
    return pairs.acting(k, free), free


def balanced_ph(
    alkalinity: Any, carbonate_mol: Any, phosphate_mol: Any, k: Constants, start: Any, pairs: Pairs = NO_PAIRS,
    free: Any = 1.0,
) -> Any:
    """pH at which given alkalinity (eq/L), carbonate and phosphate (mol/L) balance.

    Found from a start: its pH, and the free share of the metals there.
    """
    before = ph = start
    for step in range(NEWTON_STEPS):
        if step in _PAIRING_STEPS:
            free = pairs.free_in_closed(ph, carbonate_mol, phosphate_mol, k, free)
        here = pairs.acting(k, free)
        c = carbonate(ph, here)
        n = c.charge / c.total
        spread = (c.bicarbonate + 4 * c.carbonate) / c.total - n**2  # -dn / d ln H: the variance of the charge
        beside, buffer = _beside_carbonate(ph, phosphate_mol, here)
        before, ph = ph, _step(ph, carbonate_mol * n + beside - alkalinity, carbonate_mol * spread + buffer)
    return _at_rest(ph, before)


def settled_ph(
    alkalinity: Any, co2_mol: Any, phosphate_mol: Any, k: Constants, pairs: Pairs = NO_PAIRS, free: Any = 1.0
) -> Any:
    """pH at which a given alkalinity (eq/L) balances while free CO2 and phosphate (mol/L) stay what they are."""
    # The start: all alkalinity as bicarbonate. Carbonate grows so fast with pH that from far above the way is long.
    as_bicarbonate = k.carbonic_1 + ops.log10(ops.maximum(alkalinity, LEAST_ALKALINITY) / co2_mol)
    before = ph = ops.minimum(as_bicarbonate, float(HIGHEST_PH))
    for step in range(NEWTON_STEPS):
        if step in _PAIRING_STEPS:
            free = pairs.free_beside_co2(ph, co2_mol, phosphate_mol, k, free)
        here = pairs.acting(k, free)
        c = carbonate(ph, here)
        beside, buffer = _beside_carbonate(ph, phosphate_mol, here)
        excess = co2_mol * c.charge + beside - alkalinity
        before, ph = ph, _step(ph, excess, co2_mol * (c.bicarbonate + 4 * c.carbonate) + buffer)
    return _at_rest(ph, before)


def _step(ph: Any, excess: Any, slope: Any) -> Any:
    newton = excess / (LN_10 * slope)
    return ph - ops.maximum(ops.minimum(newton, LARGEST_STEP), -LARGEST_STEP)


def _at_rest(ph: Any, before: Any) -> Any:
    """The pH, where the search has come to rest within the limits of a pH; an error elsewhere."""
    found = (ops.absolute(ph - before) < AT_REST) & (ph >= LOWEST_PH) & (ph <= HIGHEST_PH)
    return ops.require(
        found, ph, f"the pH leaves the range from {LOWEST_PH} to {HIGHEST_PH}, or changes too much to calculate"
    )
