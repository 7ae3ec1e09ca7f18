"""What each check of the plan says, in words that begin with act, not known, watch, fine or not asked."""

from __future__ import annotations

from pailbook.terms import NOT_ASKED, UNIONISED_AMMONIA
from pailbook.workbook.form import Formula, Plan
from pailbook.workbook.move_plan import known, match
from pailbook.workbook.move_plan.trip import AIRED, ANY_FISH, CHLORAMINE, CHLORINE, NO_REFILL, SEALED, SOURCES
from pailbook.workbook.texts import first_that_holds

LONG_TRIP = 120  # minutes, from which fasting counts


def same(key: str) -> Formula:
    """A verdict that stands on another sheet."""
    return lambda plan: plan[key]


def of_match(key: str) -> Formula:
    """The verdict of the sheet Water match on that property."""
    return lambda plan: match.verdict(key)


def ph_gap(plan: Plan) -> str:
    """Whether pH is within its limit, as read."""
    return first_that_holds(match.gap_rungs(plan, match.PAIRS[0]), '"fine"')


def ph_kit(plan: Plan) -> str:
    """Whether the kit is fine enough to show that pH matches."""
    apart = f'ROUND({match.gap("ph")},6)>ROUND({plan["ph_within"]},6)'
    return first_that_holds((
        *known.numbers(plan, "from_ph to_ph ph_within"), known.number(match.gap("ph"), "difference of the two pH"),
        (apart, f'"{NOT_ASKED}: the two pH do not match yet"'),
        *match.kit_rungs(plan),
    ), '"fine"')


def if_read(keys: str, verdict: str) -> Formula:
    """A verdict at the door, once one of its readings is typed in; before that it only repeats the forecast."""
    def text(plan: Plan) -> str:
        given = ",".join(plan.given(key) for key in keys.split())
        return f'IF(COUNTA({given})=0,"{NOT_ASKED}: not read yet; read it at the door",{plan[verdict]})'
    return text


def oxygen(plan: Plan) -> str:
    """Whether oxygen falls too low, in the expected case."""
    lowest = plan["lowest_oxygen"]
    words = f'"oxygen is expected to fall to "&ROUND({lowest},1)&" mg/L"'
    return first_that_holds((
        known.choice(plan, "carried"),
        (f'{plan["carried"]}="{SEALED}"', f'"{NOT_ASKED}: in a sealed bag the oxygen above the water decides, which '
         'this plan does not calculate"'),
        known.trip(plan), *known.numbers(plan, "lowest_oxygen limit_oxygen_act limit_oxygen_watch"),
        (f'{lowest}<{plan["limit_oxygen_act"]}', f'"act: "&{words}'),
        (f'{lowest}<{plan["limit_oxygen_watch"]}', f'"watch: "&{words}'),
    ), '"fine"')


def above(key: str, words: str, limit: str, decimals: int) -> Formula:
    """Whether a value that is to stay low comes above its limits, in the expected case."""
    def text(plan: Plan) -> str:
        value, act, watch = plan[key], f"limit_{limit}_act", f"limit_{limit}_watch"
        says = f'"{words} is expected to reach "&ROUND({value},{decimals})&" mg/L"'
        return first_that_holds((
            known.trip(plan), *known.numbers(plan, f"{key} {act} {watch}"),
            (f"{value}>{plan[act]}", f'"act: "&{says}'), (f"{value}>{plan[watch]}", f'"watch: "&{says}'),
        ), '"fine"')
    return text


def ammonia() -> Formula:
    """Whether un-ionised ammonia comes above its limits."""
    return above("highest_nh3", known.in_a_sentence(UNIONISED_AMMONIA), "nh3", 3)


def spare(plan: Plan) -> str:
    """Whether somebody who loses the pump has time, or a spare."""
    minutes = plan["minutes_without_air"]
    return first_that_holds((
        *_pumped(plan), known.choice(plan, "spare_air"), (f'{plan["spare_air"]}="yes"', '"fine"'),
        known.trip(plan), *known.numbers(plan, "minutes_without_air limit_without_air"),
        (f'{minutes}<{plan["limit_without_air"]}',
         f'"watch: if the pump stops, the fish have "&{minutes}&" minutes, and there is no spare pump"'),
    ), '"fine"')


def _pumped(plan: Plan) -> tuple[known.Rung, ...]:
    """Rungs for what is asked only where a pump runs."""
    return (known.choice(plan, "carried"),
            (f'{plan["carried"]}<>"{AIRED}"', f'"{NOT_ASKED}: no pump runs on this trip"'))


def battery(plan: Plan) -> str:
    """Whether the battery outlasts trip and delay."""
    lasts = f'60*{plan["battery_hours"]}'
    return first_that_holds((
        *_pumped(plan), known.trip(plan), *known.numbers(plan, "trip_minutes worst_minutes battery_hours"),
        (f'{lasts}<{plan["trip_minutes"]}', '"act: the battery runs out before the trip ends"'),
        (f'{lasts}<{plan["worst_minutes"]}', '"watch: the battery does not outlast the delay to allow for"'),
    ), '"fine"')


def bound(plan: Plan) -> str:
    """Whether one of the bounds, CO2 all kept in or all aired out, is beyond a no-go limit."""
    return first_that_holds((
        known.trip(plan), *known.numbers(plan, "bound_nh3 limit_nh3_act bound_co2 limit_co2_act"),
        (f'{plan["bound_nh3"]}>{plan["limit_nh3_act"]}',
         f'"watch: if the air removes all CO2, un-ionised ammonia reaches "&ROUND({plan["bound_nh3"]},3)&" mg/L"'),
        (f'{plan["bound_co2"]}>{plan["limit_co2_act"]}',
         f'"watch: if all CO2 stays in the water, it reaches "&ROUND({plan["bound_co2"]},0)&" mg/L"'),
    ), '"fine"')


def worst(plan: Plan) -> str:
    """Whether a limit is met in the worst case."""
    limit = plan["worst_limit"]
    return first_that_holds((
        known.trip(plan),
        known.one_of(limit, ("none", "oxygen", "ammonia", "carbon dioxide"), known.label(plan, "worst_limit")),
        (f'{limit}="none"', '"fine"'), *known.numbers(plan, "worst_limit_minute"),
    ), f'"watch: in the worst case the limit for "&{limit}&" is reached after "'
       f'&ROUND({plan["worst_limit_minute"]},0)&" minutes"')


def species(plan: Plan) -> str:
    """The coldest and the warmest water that the fish meet, against what the species bears."""
    keys = "from_temperature to_temperature end_temperature"
    waters = ",".join(plan[key] for key in keys.split())

    def beyond(function: str, level: str, sign: str) -> str:
        """Whether a limit is passed; a level that is not known for the species is passed by no water."""
        call = plan.book.call("SPECIES_LIMIT", plan["species"], '"temperature"', f'"{level}"')
        none = "-999" if sign == "<" else "999"
        return f"{function}({waters}){sign}IFERROR({call},{none})"

    return first_that_holds((
        known.choice(plan, "species"), *known.numbers(plan, keys),
        (f'{plan["species"]}="{ANY_FISH}"',
         '"watch: no species is chosen, so the temperatures could not be compared with its limits"'),
        (beyond("MIN", "act low", "<"), '"act: the water is too cold for the species"'),
        (beyond("MAX", "act high", ">"), '"act: the water is too warm for the species"'),
        (beyond("MIN", "handle low", "<"), '"act: the water is too cold to handle the species"'),
        (beyond("MIN", "watch low", "<"), '"watch: the water is cold for the species"'),
        (beyond("MAX", "watch high", ">"), '"watch: the water is warm for the species"'),
    ), '"fine"')


def refill(plan: Plan) -> str:
    """Whether the water of the refill is free of chlorine."""
    source, chlorine = plan["refill_source"], plan["chlorine"]
    return first_that_holds((
        known.one_of(source, SOURCES, known.label(plan, "refill_source")),
        (f'{source}="{NO_REFILL}"', f'"{NOT_ASKED}: no refill"'),
        (f'NOT(OR({source}="{CHLORINE}",{source}="{CHLORAMINE}"))', '"fine"'),
        (f'IF(ISERROR({chlorine}),FALSE,{chlorine}="")', '"act: the chlorine in the tap water has not been tested"'),
        *known.numbers(plan, "chlorine"),
        (f"{chlorine}>0", '"act: chlorine is left in the refill water; remove it and test again"'),
    ), '"fine"')


def salt(plan: Plan) -> str:
    """Whether salted haul water travels along."""
    return first_that_holds((*known.numbers(plan, "salt"), (f'{plan["salt"]}>0', plan["salt_verdict"])), '"fine"')


def fasting(plan: Plan) -> str:
    """Whether fish go on a long haul with full bellies."""
    fasted, minutes = plan["hours_fasted"], plan["trip_minutes"]
    wanted = f'IF(ISNUMBER({plan["fasting_hours"]}),{plan["fasting_hours"]},24)'
    return first_that_holds((
        known.trip(plan), *known.numbers(plan, "trip_minutes hours_fasted"),
        (f"AND({minutes}>={LONG_TRIP},{fasted}<{wanted})",
         f'"watch: a long haul, and the fish were fed only "&{fasted}&" hours before"'),
    ), '"fine"')


def quarantine(plan: Plan) -> str:
    """Whether the fish were kept apart before, where that was answered."""
    kept = plan["quarantine"]
    return first_that_holds((
        (f'IF(ISERROR({kept}),FALSE,{kept}="")', f'"{NOT_ASKED}: quarantine was not entered"'),
        known.choice(plan, "quarantine"), (f'{kept}="yes"', '"fine"'),
    ), '"watch: not kept apart before; a disease can show up to three weeks later"')
