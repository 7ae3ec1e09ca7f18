"""The verdict on a water test, in words: what is wrong, each with how bad it is.

A reason reads "oxygen low: act". Within a parameter act goes before watch; the first reasons are the deadliest.
"""

from __future__ import annotations

from pailbook.quantities import PH, Oxygen, WaterTemperature
from pailbook.workbook.farm_log import kits, limits, settings
from pailbook.workbook.farm_log.log import Log
from pailbook.workbook.measures import quantity

TEXT, IMPOSSIBLE = "a reading is text, not a number: act", "a reading is impossible, read again: act"
OXYGEN, NH3, NITRITE = "oxygen low", "ammonia (NH3) high", "nitrite high"
PH_LOW, PH_HIGH, ALKALINITY = "pH low", "pH high", "alkalinity low"
COLD, WARM, CO2 = "water too cold", "water too warm", "free CO2 high"


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

    def above(value: str, words: str, watch: str, act: str = "") -> str:
        # A number is never above a blank limit, which is an empty text.
        text = f'IF({value}>{limit(watch)},"; {words}: watch","")'
        if act:
            text = f'IF({value}>{limit(act)},"; {words}: act",{text})'
        return f'IF(ISNUMBER({value}),{text},"")'

    def below(value: str, words: str, watch: str, act: str = "", factor: str = "") -> str:
        # MAX makes 0 of a blank limit, and no reading is below that.
        shown = f"{value}*{factor}" if factor else value
        text = f'IF({shown}<MAX({limit(watch)}),"; {words}: watch","")'
        if act:
            text = f'IF({shown}<MAX({limit(act)}),"; {words}: act",{text})'
        return f'IF(ISNUMBER({value}),{text},"")'

    readings = t.span("temperature", "conductivity", row)
    alkalinity = settings.factor("basis_alkalinity")
    parts = [
        f'IF(COUNT({readings})<COUNTA({readings}),"; {TEXT}","")',
        f'IF(OR({_impossible(log, row)}>0,ISERROR({cell("nh3")}),ISERROR({cell("saturation")})),"; {IMPOSSIBLE}",'
        f'IF(ISERROR({cell("co2")}),"; alkalinity and phosphate contradict: watch",""))',
        below(cell("oxygen"), OXYGEN, "oxygen_watch", "oxygen_act"),
        below(cell("saturation"), "oxygen saturation low", "saturation_watch"),
        above(cell("nh3"), NH3, "nh3_watch", "nh3_act"),
        f'IF(AND({cell("tan")}<>"",COUNT({cell("ph")},{cell("temperature")})<2),'
        '"; ammonia without pH or temperature: watch","")',
        above(cell("no2"), NITRITE, "nitrite_watch", "nitrite_act"),
        below(cell("ph"), PH_LOW, "ph_watch_low", "ph_act_low"),
        above(cell("ph"), PH_HIGH, "ph_watch_high", "ph_act_high"),
        below(cell("alkalinity"), ALKALINITY, "alkalinity_watch", "alkalinity_act", alkalinity),
        below(cell("temperature"), COLD, "temperature_watch_low", "temperature_act_low"),
        above(cell("temperature"), WARM, "temperature_watch_high", "temperature_act_high"),
        above(cell("co2"), CO2, "co2_watch", "co2_act"),
        above(cell("no3"), "nitrate high", "nitrate_high"),
        below(cell("po4"), "phosphate low", "phosphate_low"),
        above(cell("po4"), "phosphate high", "phosphate_high"),
        *(_at_end(log, row, *end) for end in (
            ("ph", "low", "pH kit at its lowest, may be lower"), ("ph", "high", "pH kit at its highest, may be higher"),
            ("tan", "high", "ammonia kit at its highest"), ("nitrite", "high", "nitrite kit at its highest"),
            ("nitrate", "high", "nitrate kit at its highest"), ("phosphate", "high", "phosphate kit at its highest"),
            ("alkalinity", "low", "alkalinity kit at its lowest"),
        )),
        f'IF(SUMPRODUCT(({t.span("ph", "conductivity", row)}<>"")*({kits.expiries(log)}<{cell("date")}))>0,'
        '"; a kit past its use-by date: watch","")',
        f'IF(ISNUMBER({cell("date")}),"","; no proper date: watch")',
        f'IF(COUNTIF({log["Systems"].range("system")},{cell("system")})=0,"; system not on the list: watch","")',
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
