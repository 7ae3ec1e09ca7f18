"""What is said of a water test: by which limits a value is watch or act, in which words, and what is to be done then.

A reason reads "oxygen low (act)" or "not known: pH is not a number". The deadliest come first, then what is not known.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from pailbook.workbook.columns import Column
from pailbook.workbook.farm_log import kits, systems

SHEET = "Water tests"
OXYGEN, NH3, NITRITE = "oxygen low", "un-ionised ammonia high", "nitrite high"
PH_LOW, PH_HIGH, ALKALINITY = "pH low", "pH high", "alkalinity low"
COLD, WARM, CO2 = "water too cold", "water too warm", "carbon dioxide high"
NO_NUMBER, IMPOSSIBLE = "is not a number", "is impossible"
DATE_WORDS, TIME_WORDS, SYSTEM_WORDS = (
    "is missing or wrong", "is not a time of day", f"is not on the sheet {systems.SHEET}")


def says(words: str, level: str) -> str:
    """A reason with its level."""
    return f"{words} ({level})"


CONTRADICT = "alkalinity and phosphate contradict each other"
ALONE = "total ammonia without pH and temperature"


@dataclass(frozen=True)
class Judged:
    """A value of a water test that is judged: what is said, and by which limits it is watch or act.

    above : whether being above the limits is what is wrong.
    remedy, urgency : what is to be done at once beyond the limit of act; 1 is the most urgent.
    """

    key: str
    words: str
    above: bool
    watch: str
    act: str = ""
    remedy: str = ""
    urgency: int = 10


DEADLIEST = (
    Judged("oxygen", OXYGEN, False, "oxygen_watch", "oxygen_act",
           "More air now. Stop feeding. Read oxygen again within the hour.", 1),
    Judged("saturation", "oxygen saturation low", False, "saturation_watch"),
    Judged("nh3", NH3, True, "nh3_watch", "nh3_act",
           "Stop feeding. Change part of the water, with water free of chlorine. Do not raise the pH. Test again "
           "tomorrow.", 2),
)
OTHERS = (
    Judged("no2", NITRITE, True, "nitrite_watch", "nitrite_act",
           "Stop feeding. Change part of the water, with water free of chlorine. Test again tomorrow.", 3),
    Judged("ph", PH_LOW, False, "ph_watch_low", "ph_act_low",
           "Stop feeding. Test alkalinity. Raise the pH in small doses, by 0.2 a day at most.", 4),
    Judged("ph", PH_HIGH, True, "ph_watch_high", "ph_act_high",
           "Find out what raised the pH. Let it come down by 0.2 a day at most. Watch ammonia.", 5),
    Judged("alkalinity", ALKALINITY, False, "alkalinity_watch", "alkalinity_act",
           "Raise alkalinity in small doses before the pH falls. Test again tomorrow.", 9),
    Judged("temperature", COLD, False, "temperature_watch_low", "temperature_act_low",
           "Warm the water slowly. Do not feed or handle the fish.", 7),
    Judged("temperature", WARM, True, "temperature_watch_high", "temperature_act_high",
           "Shade the water, give more air and cool it slowly. Feed little.", 6),
    Judged("co2", CO2, True, "co2_watch", "co2_act", "More air, and open the lid. Test the pH again.", 8),
    Judged("no3", "nitrate high", True, "nitrate_high"),
    Judged("po4", "phosphate low", False, "phosphate_low"),
    Judged("po4", "phosphate high", True, "phosphate_high"),
)
KIT_ENDS = tuple(  # what was read, which end of its kit's range was met, what is said
    (reads.key, end, reads.at_end(end)) for reads in kits.READS for end in ("low", "high") if reads.at_end(end)
)


def mentioned(column: Column) -> str:
    """What a column is called within a sentence: without its abbreviation and unit."""
    name = re.sub(r" \(.*", "", column.heading.split("\n")[0])
    return name if name[:2] == "pH" else name[0].lower() + name[1:]
