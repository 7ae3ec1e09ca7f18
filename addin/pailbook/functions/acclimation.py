"""Moving a system's pH in small daily steps."""

from __future__ import annotations

from typing import Annotated, Any

from pailbook import ops
from pailbook.function import worksheet_function
from pailbook.quantities import PH, Day, Days, PHStep, PHTolerance
from pailbook.sources import COMMON_PRACTICE, FAO_589

CATEGORY = "pH and carbon dioxide"
PHNow = Annotated[PH, "pH now"]
PHWanted = Annotated[PH, "Target pH"]
SOURCE = (COMMON_PRACTICE.at("0.2 pH a day, matched within 0.2"), FAO_589.at("section 7.3"))


def _days(ph_from: Any, ph_to: Any, daily_step: Any, tolerance: Any) -> Any:
    # Rounded before counting: in floats 5.2 - 5.0 is a little more than 0.2 and would ask for a day too many.
    return ops.maximum(ops.ceil(ops.round_to((ops.absolute(ph_to - ph_from) - tolerance) / daily_step, 6)), 0)


@worksheet_function(category=CATEGORY, source=SOURCE, example=(7.8, 7.1))
def ph_step_days(
    ph_from: PHNow, ph_to: PHWanted, daily_step: PHStep = 0.2, tolerance: PHTolerance = 0.2
) -> Days:
    """Number of days needed to bring the pH within the tolerance of the target, changing it by one step a day at most.
    """
    return _days(ph_from, ph_to, daily_step, tolerance)


@worksheet_function(category=CATEGORY, source=SOURCE, example=(7.8, 7.1, 2.0))
def ph_step_target(
    ph_from: PHNow, ph_to: PHWanted, day: Day, daily_step: PHStep = 0.2, tolerance: PHTolerance = 0.2
) -> Annotated[PH, "pH to reach on that day"]:
    """pH to reach on a given day of a stepwise change; once it is within the tolerance of the target, it stays there.
    """
    steps = ops.minimum(day, _days(ph_from, ph_to, daily_step, tolerance))
    moved = ops.minimum(daily_step * steps, ops.absolute(ph_to - ph_from))
    return ph_from + ops.where(ph_to < ph_from, -moved, moved)
