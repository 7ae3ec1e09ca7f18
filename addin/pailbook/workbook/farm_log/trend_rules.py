"""The rule of a trend: how soon alkalinity that falls will be at its limit."""

from __future__ import annotations

from dataclasses import replace
from typing import Annotated, Any

from pailbook.quantities import Alkalinity
from pailbook.quantity import Quantity
from pailbook.rules import Rungs, act, fine, is_blank, not_asked, not_asked_if_blank, rule, skips, watch
from pailbook.workbook.farm_log import limits
from pailbook.workbook.measures import quantity

# All of these are common practice, no source.
FEWEST = 3  # readings that a trend needs
BLUR = 0.5  # largest error of a trend, as a share of it
SOON, VERY_SOON = 14.0, 3.0  # days to the limit for act: watch, act
RAISE = "Raise the alkalinity in small doses before pH falls, and test again a day later."


@rule("Alkalinity, how it changes", asks={
    "now": Annotated[float, replace(quantity(Alkalinity), low=0, above=False), "the latest alkalinity",
                     not_asked_if_blank],
    "readings": Annotated[float, Quantity("readings", low=0), "the readings since the last dose or water change"],
    "fall": Annotated[float, Quantity("fall a day"), "how fast the alkalinity falls", skips],
    "error": Annotated[float, Quantity("error", low=0), "the error of that", skips],
    "least": limits.asked("alkalinity_act")})
def alkalinity_trend(now: Any, readings: Any, fall: Any, error: Any, least: Any) -> Rungs:
    """How soon falling alkalinity is at its limit for act, counted from its latest reading."""
    return (
        not_asked(is_blank(least), "there is no limit"),
        not_asked(now <= least, "the reading itself is at the limit"),
        not_asked(readings < FEWEST, "too few readings since the last dose or water change"),
        not_asked(is_blank(fall) | is_blank(error), "the readings are of one moment"),
        fine(fall <= 0),
        not_asked(error >= BLUR * fall, "the readings are too uneven for a trend"),
        act(now - least <= VERY_SOON * fall, "alkalinity will be at its limit within days", RAISE),
        watch(now - least <= SOON * fall, "alkalinity will be at its limit within two weeks", RAISE),
        fine(),
    )


RULES = (alkalinity_trend,)
