"""What each check of the plan says, in words that begin with act, watch or fine; blank where it cannot be told."""

from __future__ import annotations

from pailbook.workbook.form import Formula, Plan
from pailbook.workbook.move_plan import match
from pailbook.workbook.move_plan.trip import AIRED, SEALED
from pailbook.workbook.texts import first_that_holds

LONG_TRIP = 120  # minutes, from which fasting counts


def same(key: str) -> Formula:
    """A verdict that stands on another sheet."""
    return lambda plan: f'IF({plan[key]}="","",{plan[key]})'


def of_match(key: str) -> Formula:
    """The verdict of the sheet Water match on that property."""
    return lambda plan: f'IF({match.verdict(key)}="","",{match.verdict(key)})'


def ph_gap(plan: Plan) -> str:
    """Whether pH is within its limit, as read."""
    verdict = match.verdict("ph")
    return f'IF({verdict}="","",IF(ISNUMBER(FIND("{match.NO_VOUCHER}",{verdict})),"fine",{verdict}))'


def ph_kit(plan: Plan) -> str:
    """Whether the kit is fine enough to show that pH matches."""
    verdict = match.verdict("ph")
    return f'IF({verdict}="","",IF(ISNUMBER(FIND("{match.NO_VOUCHER}",{verdict})),{verdict},"fine"))'


def if_read(keys: str, verdict: str) -> Formula:
    """A verdict at the door, once one of its readings is typed in; before that it only repeats the forecast."""
    def text(plan: Plan) -> str:
        given = ",".join(plan.given(key) for key in keys.split())
        return f'IF(COUNT({given})=0,"",{plan[verdict]})'
    return text


def oxygen(plan: Plan) -> str:
    """Whether oxygen falls too low, in the expected case."""
    lowest = plan["lowest_oxygen"]
    words = f'ROUND({lowest},1)&" mg/L at the lowest, expected"'
    return first_that_holds((
        (f'OR({lowest}="",{plan["carried"]}="{SEALED}")', '""'),
        (f'{lowest}<{plan["limit_oxygen_act"]}', f'"act: oxygen falls to "&{words}'),
        (f'{lowest}<{plan["limit_oxygen_watch"]}', f'"watch: oxygen falls to "&{words}'),
    ), '"fine"')


def above(key: str, words: str, limit: str, decimals: int) -> Formula:
    """Whether a value that is to stay low comes above its limits, in the expected case."""
    def text(plan: Plan) -> str:
        value = plan[key]
        said = f'"{words} comes to "&ROUND({value},{decimals})&" mg/L, expected"'
        return first_that_holds((
            (f'{value}=""', '""'), (f'{value}>{plan[f"limit_{limit}_act"]}', f'"act: "&{said}'),
            (f'{value}>{plan[f"limit_{limit}_watch"]}', f'"watch: "&{said}'),
        ), '"fine"')
    return text


def spare(plan: Plan) -> str:
    """Whether somebody who loses the pump has time, or a spare."""
    minutes = plan["minutes_without_air"]
    return first_that_holds((
        (f'OR({minutes}="",{plan["carried"]}<>"{AIRED}")', '""'), (f'{plan["spare_air"]}="yes"', '"fine"'),
        (f'{minutes}<{plan["limit_without_air"]}',
         f'"watch: if the pump stops, "&{minutes}&" minutes are left, and there is no spare"'),
    ), '"fine"')


def battery(plan: Plan) -> str:
    """Whether the battery outlasts trip and delay."""
    lasts = f'60*{plan["battery_hours"]}'
    return first_that_holds((
        (f'OR({plan["worst_minutes"]}="",{plan["carried"]}<>"{AIRED}")', '""'),
        (f'{lasts}<{plan["trip_minutes"]}', '"act: the battery gives out before the trip ends"'),
        (f'{lasts}<{plan["worst_minutes"]}', '"watch: the battery does not outlast a delay"'),
    ), '"fine"')


def bound(plan: Plan) -> str:
    """Whether one of the bounds, CO2 all kept in or all aired out, is beyond a no-go limit."""
    return first_that_holds((
        (f'{plan["bound_nh3"]}=""', '""'),
        (f'{plan["bound_nh3"]}>{plan["limit_nh3_act"]}',
         f'"watch: if air strips all CO2, NH3-N comes to "&ROUND({plan["bound_nh3"]},3)&" mg/L"'),
        (f'{plan["bound_co2"]}>{plan["limit_co2_act"]}',
         f'"watch: if CO2 stays in, it comes to "&ROUND({plan["bound_co2"]},0)&" mg/L"'),
    ), '"fine"')


def worst(plan: Plan) -> str:
    """Whether a limit is met in the worst case."""
    limit = plan["worst_limit"]
    return first_that_holds((
        (f'{limit}=""', '""'), (f'{limit}="none"', '"fine"'),
    ), f'"watch: in the worst case "&{limit}&" gives out after "&ROUND({plan["worst_limit_minute"]},0)&" minutes"')


def species(plan: Plan) -> str:
    """The coldest and the warmest water that the fish meet, against what the species bears."""
    waters = ",".join(plan[key] for key in ("from_temperature", "to_temperature", "end_temperature"))

    def beyond(function: str, level: str, sign: str) -> str:
        call = plan.book.call("SPECIES_LIMIT", plan["species"], '"temperature"', f'"{level}"')
        return f"IFERROR({function}({waters}){sign}({call}),FALSE)"

    return first_that_holds((
        (f"COUNT({waters})=0", '""'),
        (beyond("MIN", "act low", "<"), '"act: water too cold for the species"'),
        (beyond("MAX", "act high", ">"), '"act: water too warm for the species"'),
        (beyond("MIN", "handle low", "<"), '"act: too cold to handle the species"'),
        (beyond("MIN", "watch low", "<"), '"watch: cold for the species"'),
        (beyond("MAX", "watch high", ">"), '"watch: warm for the species"'),
    ), '"fine"')


def refill(plan: Plan) -> str:
    """Whether the water of the refill is free of chlorine."""
    source = plan["refill_source"]
    mains = f'OR({source}="tap water with chlorine",{source}="tap water with chloramine")'
    return first_that_holds((
        (f"NOT({mains})", '"fine"'), (f'{plan["chlorine"]}=""',
                                      '"act: tap water for the refill, its chlorine not tested"'),
        (f'{plan["chlorine"]}>0', '"act: chlorine in the refill; take it out and test again"'),
    ), '"fine"')


def fasting(plan: Plan) -> str:
    """Whether fish go on a long haul with full bellies."""
    fasted, minutes = plan["hours_fasted"], plan["trip_minutes"]
    wanted = f'IF({plan["fasting_hours"]}="",24,{plan["fasting_hours"]})'
    return first_that_holds((
        (f'{minutes}=""', '""'),
        (f"AND({minutes}>={LONG_TRIP},{fasted}<{wanted})", '"watch: a long haul of fish that were fed not long ago"'),
    ), '"fine"')


def quarantine(plan: Plan) -> str:
    """Whether the fish were kept apart before, where that was answered."""
    return (f'IF({plan["quarantine"]}="","",IF({plan["quarantine"]}="yes","fine",'
            '"watch: not kept apart before; disease shows up to three weeks later"))')
