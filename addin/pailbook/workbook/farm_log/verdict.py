"""The verdict on a water test, in words: what is wrong, each with how bad it is.

A reason reads "oxygen low: act". Within a parameter act goes before watch; the first reasons are the deadliest.
"""

from __future__ import annotations

from dataclasses import dataclass

from pailbook.quantities import PH, Oxygen, WaterTemperature
from pailbook.workbook.farm_log import kits, limits, settings
from pailbook.workbook.farm_log.log import Log
from pailbook.workbook.measures import quantity

TEXT, IMPOSSIBLE = "a reading is text, not a number: act", "a reading is impossible, read again: act"
OXYGEN, NH3, NITRITE = "oxygen low", "ammonia (NH3) high", "nitrite high"
PH_LOW, PH_HIGH, ALKALINITY = "pH low", "pH high", "alkalinity low"
COLD, WARM, CO2 = "water too cold", "water too warm", "free CO2 high"
CONTRADICTION = "alkalinity and phosphate contradict: watch"
AMMONIA_ALONE = "ammonia without pH or temperature: watch"
KIT_OLD, NO_DATE = "a kit past its use-by date: watch", "no proper date: watch"
NO_SYSTEM = "system not on the list: watch"


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
KIT_ENDS = (  # what was read, which end of its kit's range was met, what is said
    ("ph", "low", "pH kit at its lowest, may be lower"), ("ph", "high", "pH kit at its highest, may be higher"),
    ("tan", "high", "ammonia kit at its highest"), ("nitrite", "high", "nitrite kit at its highest"),
    ("nitrate", "high", "nitrate kit at its highest"), ("phosphate", "high", "phosphate kit at its highest"),
    ("alkalinity", "low", "alkalinity kit at its lowest"),
)


def worst(why: str) -> str:
    """Formula text for the verdict's word from the cell with the reasons."""
    return f'IF(ISNUMBER(FIND(": act",{why})),"act",IF({why}="","fine","watch"))'


def reasons(log: Log, row: int) -> str:
    """Formula text for the reasons of a row of water tests; empty where all is fine."""
    t = log["Water tests"]

    def cell(key: str) -> str:
        return t.cell(key, row)

    def limit(key: str) -> str:
        return limits.for_kind(key, cell("kind"))

    def judged(rule: Judged) -> str:
        value, side = cell(rule.key), ">" if rule.above else "<"
        shown = f"{value}*{settings.factor(rule.basis)}" if rule.basis else value
        text = '""'
        for level, word in ((rule.watch, "watch"), (rule.act, "act")):
            if level:
                # A number is never above a blank limit, which is an empty text; MAX makes 0 of it, and no reading is
                # below that.
                bound = limit(level) if rule.above else f"MAX({limit(level)})"
                text = f'IF({shown}{side}{bound},"; {rule.words}: {word}",{text})'
        return f'IF(ISNUMBER({value}),{text},"")'

    readings = t.span("temperature", "conductivity", row)
    parts = [
        f'IF(COUNT({readings})<COUNTA({readings}),"; {TEXT}","")',
        f'IF(OR({_impossible(log, row)}>0,ISERROR({cell("nh3")}),ISERROR({cell("saturation")})),"; {IMPOSSIBLE}",'
        f'IF(ISERROR({cell("co2")}),"; {CONTRADICTION}",""))',
        *map(judged, DEADLIEST),
        f'IF(AND({cell("tan")}<>"",COUNT({cell("ph")},{cell("temperature")})<2),"; {AMMONIA_ALONE}","")',
        *map(judged, OTHERS),
        *(_at_end(log, row, *end) for end in KIT_ENDS),
        f'IF(SUMPRODUCT(({t.span("ph", "conductivity", row)}<>"")*({kits.expiries(log)}<{cell("date")}))>0,'
        f'"; {KIT_OLD}","")',
        f'IF(ISNUMBER({cell("date")}),"","; {NO_DATE}")',
        f'IF(COUNTIF({log["Systems"].range("system")},{cell("system")})=0,"; {NO_SYSTEM}","")',
    ]
    return f"MID({'&'.join(parts)},3,500)"


def _impossible(log: Log, row: int) -> str:
    """Formula text for the number of temperature, pH and oxygen readings outside what water can have."""
    span = log["Water tests"].span("temperature", "oxygen", row)
    bounds = [quantity(hint).limits(log.book.units) for hint in (WaterTemperature, PH, Oxygen)]
    lows, highs = (",".join(f"{bound:g}" for bound in side if bound is not None) for side in zip(*bounds))
    return f'SUMPRODUCT(({span}<>"")*(({span}<{{{lows}}})+({span}>{{{highs}}})))'


def _at_end(log: Log, row: int, key: str, end: str, words: str) -> str:
    value, bound = log["Water tests"].cell(key, row), kits.in_use(log, end, key)
    return f'IF(COUNT({value},{bound})=2,IF({value}{"<=" if end == "low" else ">="}{bound},"; {words}: watch",""),"")'
