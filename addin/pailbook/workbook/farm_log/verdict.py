"""The verdict on a water test, in words: what is wrong, each with how bad it is, and what is not known.

A reason reads "oxygen low (act)" or "not known: pH is not a number". The deadliest come first, then what is not known;
within a parameter act goes before watch.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from pailbook import terms
from pailbook.quantities import PH, Alkalinity, Conductivity, Oxygen, WaterTemperature
from pailbook.workbook.columns import Column
from pailbook.workbook.farm_log import kits, limits, settings, systems
from pailbook.workbook.farm_log.log import Log
from pailbook.workbook.farm_log.usable import not_known, outside, wrong
from pailbook.workbook.measures import quantity

SHEET = "Water tests"
OXYGEN, NH3, NITRITE = "oxygen low", "un-ionised ammonia high", "nitrite high"
PH_LOW, PH_HIGH, ALKALINITY = "pH low", "pH high", "alkalinity low"
COLD, WARM, CO2 = "water too cold", "water too warm", "carbon dioxide high"
NO_NUMBER, IMPOSSIBLE = "is not a number", "is impossible"
NO_DATE, NO_TIME = "Date is missing or wrong", "Time is not a time of day"
NO_SYSTEM = f"System is not on the sheet {systems.SHEET}"


def says(words: str, level: str) -> str:
    """A reason with its level."""
    return f"{words} ({level})"


CONTRADICTION = says("alkalinity and phosphate contradict each other", terms.WATCH)
AMMONIA_ALONE = says("total ammonia without pH and temperature", terms.WATCH)


@dataclass(frozen=True)
class Judged:
    """A value of a water test that is judged: what is said, and by which limits it is watch or act.

    above : whether being above the limits is what is wrong.
    basis : the setting that brings the value to the limit's basis, where its column holds what was typed.
    """

    key: str
    words: str
    above: bool
    watch: str
    act: str = ""
    basis: str = ""


DEADLIEST = (
    Judged("oxygen", OXYGEN, False, "oxygen_watch", "oxygen_act"),
    Judged("saturation", "oxygen saturation low", False, "saturation_watch"),
    Judged("nh3", NH3, True, "nh3_watch", "nh3_act"),
)
OTHERS = (
    Judged("no2", NITRITE, True, "nitrite_watch", "nitrite_act"),
    Judged("ph", PH_LOW, False, "ph_watch_low", "ph_act_low"),
    Judged("ph", PH_HIGH, True, "ph_watch_high", "ph_act_high"),
    Judged("alkalinity", ALKALINITY, False, "alkalinity_watch", "alkalinity_act", "basis_alkalinity"),
    Judged("temperature", COLD, False, "temperature_watch_low", "temperature_act_low"),
    Judged("temperature", WARM, True, "temperature_watch_high", "temperature_act_high"),
    Judged("co2", CO2, True, "co2_watch", "co2_act"),
    Judged("no3", "nitrate high", True, "nitrate_high"),
    Judged("po4", "phosphate low", False, "phosphate_low"),
    Judged("po4", "phosphate high", True, "phosphate_high"),
)
KIT_ENDS = tuple(  # what was read, which end of its kit's range was met, what is said
    (reads.key, end, reads.at_end(end)) for reads in kits.READS for end in ("low", "high") if reads.at_end(end)
)
# Readings whose numbers are judged or counted with as typed, with what such a number can be.
POSSIBLE = {"temperature": WaterTemperature, "ph": PH, "oxygen": Oxygen, "conductivity": Conductivity}
IN_BASIS = {"tan": "tan_n", "nitrite": "no2", "nitrate": "no3", "phosphate": "po4"}  # blank where it cannot be


def mentioned(column: Column) -> str:
    """What a column is called within a sentence: without its abbreviation and unit."""
    name = re.sub(r" \(.*", "", column.heading.split("\n")[0])
    return name if name[:2] == "pH" else name[0].lower() + name[1:]


def worst(why: str) -> str:
    """Formula text for the verdict's word from the cell with the reasons."""
    return (f'IF(ISNUMBER(FIND("({terms.ACT})",{why})),"{terms.ACT}",IF(ISNUMBER(FIND("{not_known("")}",{why})),'
            f'"{terms.NOT_KNOWN}",IF({why}="","{terms.FINE}","{terms.WATCH}")))')


def unknown(log: Log, row: int) -> str:
    """Formula text for what is not known of a row of water tests, each after ", "; empty where all is known."""
    t, units = log[SHEET], log.book.units

    def reading(column: Column) -> str:
        key, cell, name = column.key, t.cell(column.key, row), mentioned(column)
        impossible = f'", {name} {IMPOSSIBLE}"'
        if key in IN_BASIS:
            wrong = f'IF(ISNUMBER({t.cell(IN_BASIS[key], row)}),"",{impossible})'
        elif key in POSSIBLE:
            wrong = f'IF({outside(quantity(POSSIBLE[key]), units, cell)},{impossible},"")'
        else:
            factor = settings.factor(column.basis)
            assert column.quantity is not None, key
            beyond = outside(column.quantity, units, f"{cell}*{factor}")
            wrong = f'IF(ISNUMBER({factor}),IF({beyond},{impossible},""),{impossible})'
        return f'IF(ISNUMBER({cell}),{wrong},IF(ISBLANK({cell}),"",", {name} {NO_NUMBER}"))'

    time, place = t.cell("time", row), t.cell("place", row)
    doubt = log[systems.SHEET].at("doubt", place)
    parts = [
        *(reading(column) for column in t.inputs if column.quantity is not None),
        f'IF({t.cell("when", row)}=0,", {NO_DATE}","")',
        f'IF({wrong(t.column("time"), units, time)},", {NO_TIME}","")',
        f'IF({place}="",", {NO_SYSTEM}",IF({doubt}="","",", "&{doubt}))',
        limits.unknown(t.cell("kind", row)),
    ]
    return "&".join(parts)


def reasons(log: Log, row: int) -> str:
    """Formula text for the reasons of a row of water tests; empty where all is fine."""
    t, units = log[SHEET], log.book.units

    def cell(key: str) -> str:
        return t.cell(key, row)

    def limit(key: str) -> str:
        return limits.for_kind(key, cell("kind"))

    def judged(rule: Judged) -> str:
        value, side = cell(rule.key), ">" if rule.above else "<"
        shown = f"{value}*{settings.factor(rule.basis)}" if rule.basis else value
        text = '""'
        for level, word in ((rule.watch, terms.WATCH), (rule.act, terms.ACT)):
            if level:
                # A number is never above a blank limit, which is an empty text; MAX makes 0 of it, and no reading is
                # below that.
                bound = limit(level) if rule.above else f"MAX({limit(level)})"
                text = f'IF({shown}{side}{bound},"; {says(rule.words, word)}",{text})'
        known = f"ISNUMBER({value})"
        if rule.basis:
            known = f"COUNT({value},{settings.factor(rule.basis)})=2"
        if rule.basis or rule.key in POSSIBLE:  # an impossible reading is not known
            low, high = quantity(Alkalinity if rule.basis else POSSIBLE[rule.key]).limits(units)
            text = f'IF({shown}{f">{high:g}" if rule.above else f"<{low:g}"},"",{text})'
        return f'IF({known},{text},"")'

    def together(words: str, *keys: str) -> str:
        return f'IF(COUNT({",".join(map(cell, keys))})={len(keys)},"; {words}","")'

    parts = [
        *map(judged, DEADLIEST),
        f'IF({cell("unknown")}="","","; {not_known("")}"&MID({cell("unknown")},3,999))',
        f'IF(ISNUMBER({cell("tan_n")}),IF(COUNT({cell("ph")},{cell("temperature")})<2,"; {AMMONIA_ALONE}",""),"")',
        # Where all is known and carbon dioxide has no answer, phosphate would make more alkalinity than there is.
        f'IF({cell("unknown")}="",IF(ISNUMBER({cell("co2")}),"",'
        f'{together(CONTRADICTION, "ph", "alkalinity", "temperature")}),"")',
        *map(judged, OTHERS),
        *(_of_kit(log, row, reads) for reads in kits.READS),
    ]
    return f"MID({'&'.join(parts)},3,2000)"


def _of_kit(log: Log, row: int, reads: kits.Reads) -> str:
    """Formula text for what is said of a reading because of its kit: at an end of its range, expired, not known."""
    t = log[SHEET]
    value = t.cell(reads.key, row)
    parts = []
    for side, end in (("<=", "low"), (">=", "high")):
        if reads.at_end(end):
            bound, reason = (kits.in_use(log, f"{end}_{part}", reads.key) for part in ("end", "reason"))
            parts.append(f'IF({value}{side}{bound},{reason},"")')
    good_until, reason = (kits.in_use(log, part, reads.key) for part in ("good_until", "reason"))
    parts.append(f'IF({t.cell("when", row)}>{good_until}+1,{reason},"")')  # good to the end of that day
    return f'IF(ISNUMBER({value}),{"&".join(parts)},"")'
