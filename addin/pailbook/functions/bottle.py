"""From the pure substance to what is in the bottle or bag, and back: strength by label, density by table."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from pailbook import ops
from pailbook.functions.chemicals import IRON_CHELATE, Chemical

_NEEDS_LABEL = (
    "an acid or an iron chelate needs the strength printed on its label, and an acid stronger than the density table "
    "also needs its density"
)


def in_bottle(acids: Sequence[Chemical], product: Any, pure: Any, strength: Any, density: Any) -> Any:
    """What to measure out for a number of g of pure substance: mL if a density is known, otherwise g.

    acids : those that the product may be.
    strength : % by mass, 0 if it is not given; solids then count as pure, acids and iron chelates are refused.
    density : kg/L, 0 if it is not given; an acid's is then taken from the table, and an acid of 100 % is weighed.
    """
    return ops.require(
        _is_known(acids, product, strength, density),
        lambda: pure / _pure_per_measure(acids, product, strength, density), _NEEDS_LABEL,
    )


def pure_in(acids: Sequence[Chemical], product: Any, amount: Any, strength: Any, density: Any) -> Any:
    """g of pure substance in an amount, g or mL, of the product."""
    return ops.require(
        _is_known(acids, product, strength, density),
        lambda: amount * _pure_per_measure(acids, product, strength, density), _NEEDS_LABEL,
    )


def _pure_per_measure(acids: Sequence[Chemical], product: Any, strength: Any, density: Any) -> Any:
    percent = ops.where(strength > 0, strength, 100.0)
    return percent / 100 * ops.where(density > 0, density, lambda: _from_table(acids, product, strength))


def _from_table(acids: Sequence[Chemical], product: Any, strength: Any) -> Any:
    """kg/L of an acid within its table, 1 for what is weighed."""
    found: Any = 1.0
    for acid in acids:
        within = _is(product, acid) & (strength <= _strongest(acid))
        found = ops.where(within, lambda acid=acid: ops.interpolate(strength, acid.density), found)
    return found


def _is_known(acids: Sequence[Chemical], product: Any, strength: Any, density: Any) -> Any:
    known = ops.where(product == IRON_CHELATE, strength > 0, True)
    for acid in acids:
        in_range = (strength <= _strongest(acid)) | (strength == 100) | (density > 0)
        known = ops.where(_is(product, acid), (strength > 0) & in_range, known)
    return known


def _is(product: Any, chemical: Chemical) -> Any:
    is_it: Any = False
    for name in chemical.names:
        is_it = is_it | (product == name)
    return is_it


def _strongest(acid: Chemical) -> float:
    return acid.density[-1][0]
