"""How well a count of deaths shows the true survival."""

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
    "confidence share", "Confidence of the interval: 0.95 for a 95 % interval", low=0, high=1, above=True, below=True)]


def _wilson(dead: Any, total: Any, confidence: Any, side: float) -> Any:
    z = ops.normal_quantile(confidence)
    alive = ops.require(dead <= total, (total - dead) / total, "more fish died than there were")
    spread = z * ops.sqrt(alive * (1 - alive) / total + z**2 / (4 * total**2))
    bound = (alive + z**2 / (2 * total) + side * spread) / (1 + z**2 / total)
    return ops.maximum(ops.minimum(bound, 1.0), 0.0)  # float noise


@worksheet_function(category=CATEGORY, source=SOURCE, example=(1.0, 70.0))
def survival_low(dead: DeadCount, total: Moved, confidence: Confidence = 0.95) -> Survival:
    """Lowest survival that is likely in moves like this one, from how many of its fish died: the lower end of the
    interval, of 95 % if the confidence is left out.

    It is the Wilson interval: if none of 30 fish died, deaths of 11 % are still possible.
    """
    return _wilson(dead, total, confidence, -1.0)


@worksheet_function(category=CATEGORY, source=SOURCE, example=(1.0, 70.0))
def survival_high(dead: DeadCount, total: Moved, confidence: Confidence = 0.95) -> Survival:
    """Highest survival that is likely in moves like this one, from how many of its fish died: the upper end of the
    interval, of 95 % if the confidence is left out.
    """
    return _wilson(dead, total, confidence, 1.0)
