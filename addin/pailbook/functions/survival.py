"""How sure a count of deaths makes one of the survival."""

from __future__ import annotations

from typing import Annotated, Any

from pailbook import ops
from pailbook.function import worksheet_function
from pailbook.functions.transport import CATEGORY
from pailbook.quantities import FishCount, Fraction, Quantity
from pailbook.sources import WILSON_1927

SOURCE = WILSON_1927.at("score interval")

DeadCount = Annotated[float, Quantity("dead count", "Number of fish that died", low=0, high=1e9, whole=True)]
Moved = Annotated[FishCount, "Number of fish that were moved"]
Survival = Annotated[Fraction, "Share of the fish that survive, from 0 to 1"]
Confidence = Annotated[float, Quantity(
    "confidence share", "How often such an interval holds the true value", low=0, high=1, above=True, below=True)]


def _wilson(dead: Any, total: Any, confidence: Any, side: float) -> Any:
    z = ops.normal_quantile(confidence)
    alive = ops.require(dead <= total, (total - dead) / total, "more fish died than there were")
    spread = z * ops.sqrt(alive * (1 - alive) / total + z**2 / (4 * total**2))
    bound = (alive + z**2 / (2 * total) + side * spread) / (1 + z**2 / total)
    return ops.maximum(ops.minimum(bound, 1.0), 0.0)  # float noise


@worksheet_function(category=CATEGORY, source=SOURCE, example=(1.0, 30.0))
def survival_low(dead: DeadCount, total: Moved, confidence: Confidence = 0.95) -> Survival:
    """Lowest share of such fish that may survive such a move, given how many died: the lower end of the interval.

    The Wilson interval: none dead of 30 still allows 11 % deaths.
    """
    return _wilson(dead, total, confidence, -1.0)


@worksheet_function(category=CATEGORY, source=SOURCE, example=(1.0, 30.0))
def survival_high(dead: DeadCount, total: Moved, confidence: Confidence = 0.95) -> Survival:
    """Highest share of such fish that may survive such a move, given how many died: the upper end of the interval."""
    return _wilson(dead, total, confidence, 1.0)
