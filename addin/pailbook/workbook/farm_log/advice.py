"""What to do next, in words, from the reasons of the latest test and its age. The deadliest goes first."""

from __future__ import annotations

from pailbook.workbook.farm_log import limits
from pailbook.workbook.farm_log import verdict as v

BY_REASON = (
    (f"{v.OXYGEN}: act", "More air now. No feed. Read oxygen again within the hour."),
    (f"{v.NH3}: act", "No feed. Change part of the water, free of chlorine. Do not raise pH. Test tomorrow."),
    (f"{v.NITRITE}: act", "No feed. Change part of the water, free of chlorine. Test tomorrow."),
    (f"{v.PH_LOW}: act", "Test alkalinity. Raise pH in small doses, 0.2 a day at most. No feed."),
    (f"{v.PH_HIGH}: act", "Find what raised pH. Let it come down by 0.2 a day at most. Watch ammonia."),
    (f"{v.WARM}: act", "Shade, more air, cool slowly. Feed little."),
    (f"{v.COLD}: act", "Warm slowly. No feed. Do not handle the fish."),
    (f"{v.CO2}: act", "More air; open the lid. Test pH again."),
    (f"{v.ALKALINITY}: act", "Raise alkalinity in small doses before pH falls. Test tomorrow."),
    (v.TEXT, "Put the reading right: a number, nothing else."),
    (v.IMPOSSIBLE, "Read again; calibrate the meter."),
)
NEVER, OLD, NO_AMMONIA, WATCH, FINE = (
    "Make the first test.", "Test today: the latest test is old.", "Test ammonia with pH and temperature.",
    "See why; test again in a day or two.", "Nothing now. Keep testing.",
)
STEPS = (*(step for _, step in BY_REASON), NEVER, OLD, NO_AMMONIA, WATCH, FINE)
CALM = len(STEPS)  # the urgency of a system with which all is fine


def urgency(position: str, why: str, days: str, ammonia_days: str) -> str:
    """Formula text for the number of the next step: 1 is the most urgent, CALM the least.

    Parameters
    ----------
    position : the cell with the row of the latest test; blank where there is none.
    why : the cell with its reasons.
    days, ammonia_days : the cells with the days since a test, and since ammonia was known; a number, text or blank.
    """
    most = limits.general("days_watch")
    text = f'IF({why}="",{CALM},{CALM - 1})'
    # A text, "never", counts as more than any number.
    text = f'IF(IF({ammonia_days}="",FALSE,{ammonia_days}>{limits.general("days_act")}),{CALM - 2},{text})'
    text = f"IF(IF(ISNUMBER({days}),{days}>{most},FALSE),{CALM - 3},{text})"
    for number, (words, _) in reversed(list(enumerate(BY_REASON, 1))):
        text = f'IF(ISNUMBER(FIND("{words}",{why})),{number},{text})'
    return f'IF({position}="",{CALM - 4},{text})'


def step(number: str) -> str:
    """Formula text for the next step in words, from the cell with its number."""
    return f"CHOOSE({number}," + ",".join(f'"{words}"' for words in STEPS) + ")"
