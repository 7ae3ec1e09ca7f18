"""What to do next, in words, from the reasons of the latest test and its age. The deadliest goes first."""

from __future__ import annotations

from pailbook import terms
from pailbook.workbook.farm_log import limits
from pailbook.workbook.farm_log import verdict as v
from pailbook.workbook.farm_log.usable import not_known

BY_REASON = (  # words of a reason, and what is to be done, the most urgent first
    *((v.says(one.words, terms.ACT), one.remedy)
      for one in sorted((*v.DEADLIEST, *v.OTHERS), key=lambda one: one.urgency) if one.act),
    (v.IMPOSSIBLE, "Read it again, calibrate the meter and correct the entry."),
    (not_known(""), "Correct the entry that is named under Why."),
)
NEVER, OLD, NO_AMMONIA, WATCH, FINE = (
    "Make the first test.", "Test today: the latest test is too old.", "Test ammonia together with pH and temperature.",
    "Fix the cause shown; test again within 2 days.", "Nothing to do now. Keep testing.",
)
STEPS = (*(step for _, step in BY_REASON), NEVER, OLD, NO_AMMONIA, WATCH, FINE)
CALM = len(STEPS)  # the urgency of a system with which all is fine


def urgency(position: str, why: str, days: str, ammonia_days: str) -> str:
    """Formula text for the number of the next step: 1 is the most urgent, CALM the least.

    Parameters
    ----------
    position : the cell with the row of the latest test; blank where there is none.
    why : the cell with its reasons, and what else is not known.
    days, ammonia_days : the cells with the days since a test, and since ammonia was known; a number, text or blank.
    """
    most, ammonia_most = limits.general("days_watch"), limits.general("days_act")
    # A text, "never", counts as more than any number.
    ammonia_old = f'IF({ammonia_days}="",FALSE,IF(ISNUMBER({ammonia_most}),{ammonia_days}>{ammonia_most},FALSE))'
    text = f'IF({why}="",{CALM},{CALM - 1})'
    text = f"IF({ammonia_old},{CALM - 2},{text})"
    text = f"IF({limits.over(days, most)},{CALM - 3},{text})"
    text = f'IF({position}="",{CALM - 4},{text})'  # after the reasons: what is not known may be why no test counts
    for number, (words, _) in reversed(list(enumerate(BY_REASON, 1))):
        text = f'IF(ISNUMBER(FIND("{words}",{why})),{number},{text})'
    return text


def step(number: str) -> str:
    """Formula text for the next step in words, from the cell with its number."""
    return f"CHOOSE({number}," + ",".join(f'"{words}"' for words in STEPS) + ")"
