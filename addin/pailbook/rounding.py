"""Rounding as sheets do it: half away from zero, on the 15 digits that a person sees.

Python's own `round` takes the binary number and goes to the even neighbour: 0.575 becomes 0.57, and 28.5 becomes 28.
"""

from __future__ import annotations

import math
from decimal import ROUND_HALF_UP, Context, Decimal

_DIGITS = 15  # of a number in a sheet
_WIDE = Context(prec=400)  # enough for any float with any number of decimals


def half_up(value: float, digits: int) -> float:
    """The number rounded to so many decimals (tens, hundreds ... where negative), never -0.

    OpenFormula (OASIS, ODF 1.3 part 4), 6.17.5 ROUND: ties go away from zero.
    """
    if not math.isfinite(value):
        return value
    seen = Decimal(f"{value:.{_DIGITS}g}")
    return float(seen.quantize(Decimal(1).scaleb(-digits), ROUND_HALF_UP, _WIDE)) + 0.0
