"""Sheet "Start": what the plan is for, what to fill in first, the key results, cautions."""

from __future__ import annotations

from pailbook.quantities import BiomassOrNone, Feed, FishDensity
from pailbook.workbook import front, style
from pailbook.workbook.form import Plan
from pailbook.workbook.front import SHEET, Result
from pailbook.workbook.measures import quantity
from pailbook.workbook.sheets import put, widths
from pailbook.workbook.stocking_plan import balance, harvest, words
from pailbook.workbook.stocking_plan.measures import TOTAL
from pailbook.workbook.stocking_plan.places import AS_OF, COHORTS, SHEETS, cohort, weeks
from pailbook.workbook.texts import blank_or, first_that_holds

_FOR = (
    "Plans how many fish, how much feed and when to harvest, a year ahead, a row a week.",
    "Each batch of fish (a cohort) grows by its own coefficient and the warmth of the water; feed follows from growth.",
    "It says whether water, filter, air, plants and pump can carry that, and what it would take where they cannot.",
)
_FIRST_STEPS = (
    (SHEETS["setup"], "measured volume, temperature, filter media, air, flow"),
    (SHEETS["cohorts"], "each batch of fish: species, number, weight, growth, from which weight to harvest"),
    (SHEETS["areas"], "what grows on which area"),
    (SHEETS["balance"], "what is short, and what it would take"),
    (SHEETS["weeks"], "week by week; enter a temperature where it will differ"),
)
_CAUTIONS = (
    "A forecast: weigh some fish every few weeks, enter the new count and weight, and look again. Fish that stop "
    "eating often mean bad water: stop feeding, test, then look further.",
    "Stock and raise feed in steps, and only as fast as the filter follows: test ammonia and nitrite after each step.",
    "Without air densely stocked fish die within the hour: spare pump, air on a battery, an alarm.",
    front.MAINS_POWER,
    front.MEDICINES,
    front.REGULATED,
    "The plan informs; it does not replace licensed practice.",
)
WIDE = {"answer": 1, "change_first": 2, "cohorts_to_put_right": 1, "next_harvest": 2, "small_system_warning": 2,
        "not_judged": 1, "count_fresh": 1}
_STALE = 42  # days after which a forecast from a weighing is stale: common practice


def _verdicts(plan: Plan) -> list[str]:
    return [balance.verdict(plan, key) for key in balance.keys(plan)]


def _said(cells: list[str], word: str) -> str:
    return "+".join(f'IF(LEFT({cell},{len(word)})="{word}",1,0)' for cell in cells)


def _states(plan: Plan) -> list[str]:
    return [cohort(plan, number, "state") for number in range(COHORTS)]


def _missing(plan: Plan) -> list[tuple[str, str]]:
    return [
        (f"COUNT({plan['plan_start']})=0", "enter the first day of the plan on Setup"),
        (f"COUNT({plan['volume']},{plan['temperature']})<2", "enter volume and temperature of the water on Setup"),
        (f"SUM({plan.tables[SHEETS['cohorts']].range('ok')})=0", "enter a cohort of fish, with its growth, on Cohorts"),
    ]


def _nothing(plan: Plan) -> str:
    typed = plan.tables[SHEETS["cohorts"]]
    return (f"AND(COUNT({plan['volume']},{plan['temperature']},{typed.range('count')})=0,"
            f"COUNTA({typed.range('species')})=0)")


def _answer(plan: Plan) -> str:
    every = _verdicts(plan) + _states(plan)
    return first_that_holds((
        (_nothing(plan), '""'),
        *((condition, f'"not yet: {text}"') for condition, text in _missing(plan)),
        (f"({_said(every, 'act')})>0", '"act: the system cannot carry this plan: change it before you stock or feed"'),
        (f"({_said(every, 'not yet')})>0", '"not yet: some of it is not judged yet, see below"'),
        (f"({_said(every, 'watch')})>0", '"watch: the system carries this plan, with care"'),
    ), '"fine: the system carries this plan"')


def _change_first(plan: Plan) -> str:
    cells = _verdicts(plan)

    def named(skipped: int) -> list[str]:
        return [f'"Cohorts, row {number + 1}: "&MID({cell},{skipped},300)' for number, cell in enumerate(_states(plan))]

    acts = [(f'LEFT({cell},3)="act"', f"MID({cell},6,400)") for cell in cells]
    acts += [(f'LEFT({cell},3)="act"', name) for cell, name in zip(_states(plan), named(6))]
    begun = [(f'LEFT({cell},7)="not yet"', f"MID({cell},10,400)") for cell in cells]
    begun += [(f'LEFT({cell},7)="not yet"', name) for cell, name in zip(_states(plan), named(10))]
    watches = [(f'LEFT({cell},5)="watch"', f"MID({cell},8,400)") for cell in cells]
    return first_that_holds((
        (_nothing(plan), '""'), *((condition, f'"{text}"') for condition, text in _missing(plan)), *acts, *begun,
        *watches,
    ), '"nothing"')


def _not_judged(plan: Plan) -> str:
    parts = [f'IF(LEFT({balance.verdict(plan, key)},7)="not yet",", {name}","")' for key, name in (
        ("filter", "filter"), ("air", "air"), ("plants", "plants"), ("turnover", "turnover"), ("pump", "pump"))]
    none = f'IF({_nothing(plan)},"","none")'
    return f'IF({"&".join(parts)}="",{none},MID({"&".join(parts)},3,200))'


def _freshness(plan: Plan) -> str:
    days = f"(INT({AS_OF})-INT({plan['plan_start']}))"
    return first_that_holds((
        (f"COUNT({plan['plan_start']})=0", '""'),
        (f"COUNT({AS_OF})=0", '"enter today\'s date above"'),
        (f"{days}<0", f'"the plan begins in "&-{days}&" days"'),
        (f"{days}>{_STALE}", f'"watch: counted and weighed "&{days}&" days ago; weigh some and enter them again"'),
    ), f'"yes: "&{days}&" days old"')


def key_results(plan: Plan) -> tuple[Result, ...]:
    """The key results, in the order in which they are shown."""
    now, upcoming = words.this_week(plan), harvest.next_one(plan)
    harvests = plan.tables[SHEETS["harvest"]]

    def at_now(key: str) -> str:
        return f'IF({now}="","",INDEX({weeks(plan, key)},{now}))'

    def most(key: str) -> str:
        return f'IF(COUNT({weeks(plan, key)})=0,"",MAX({weeks(plan, key)}))'

    def summed(key: str) -> str:
        return f'IF(COUNT({weeks(plan, key)})=0,"",SUM({weeks(plan, key)}))'

    feed_all = "+".join(f"SUM({cohort(plan, number, 'feed')})" for number in range(COHORTS))
    wrong = f'{_said(_states(plan), "act")}+{_said(_states(plan), "not yet")}'
    return (
        Result("answer", "Can the system carry it?", _answer(plan)),
        Result("change_first", "Change this first", _change_first(plan)),
        Result("not_judged", "Not judged yet", _not_judged(plan)),
        Result("feed_now", "Feed a day, this week", at_now("feed"), quantity(Feed)),
        Result("biomass_now", "Weight of the fish at this week's end", at_now("biomass"), quantity(BiomassOrNone),
               format="0.0"),
        Result("feed_most", "Feed a day at most", most("feed"), quantity(Feed)),
        Result("feed_most_week", "Week of the most feed", f'IF(COUNT({weeks(plan, "feed")})=0,"",'
               f'MATCH(MAX({weeks(plan, "feed")}),{weeks(plan, "feed")},0))', format="0"),
        Result("biomass_most", "Weight of the fish at most", most("biomass"), quantity(BiomassOrNone), format="0.0"),
        Result("density_most_reached", "Density at most", most("density"), quantity(FishDensity)),
        Result("feed_total", "Feed within the plan", f'IF(COUNT({weeks(plan, "feed")})=0,"",{feed_all})', TOTAL),
        Result("fish_harvested", "Fish harvested within the plan", summed("taken"), unit="fish", format="0"),
        Result("weight_harvested", "Weight harvested within the plan", summed("taken_weight"), TOTAL),
        Result("fish_lost", "Deaths to be expected", summed("dead"), unit="fish", format="0"),
        Result("next_harvest", "Next harvest",
               f'IF({upcoming}="","","in week "&{harvests.at("week", upcoming)}&": "&{harvests.at("what", upcoming)})'),
        Result("next_harvest_date", "Week of the next harvest", f'IF({upcoming}="","",{harvests.at("date", upcoming)})',
               format=style.DATE_FORMAT),
        Result("cohorts_to_put_right", "Cohorts to put right",
               f'IF({_nothing(plan)},"",IF(({wrong})=0,"none",({wrong})&", see the sheet Cohorts"))'),
        Result("count_fresh", "Is the count still fresh?", _freshness(plan)),
        Result("small_system_warning", "Size of the system", blank_or(balance.verdict(plan, "small"))),
    )


def write(plan: Plan) -> None:
    """Writes the sheet."""
    sheet = plan.book.sheet(SHEET, "", landscape=False)
    sheet["A1"].value = "Stocking and feed plan"
    put(sheet, "A2", f"={blank_or(plan['system'])}", "note")
    widths(sheet, 5, 40, 22, 18, 52)
    row = front.purpose(sheet, 4, _FOR)
    row = front.first_steps(plan.book, sheet, row + 2, _FIRST_STEPS)
    first = row + 3
    row = front.results(plan.book, sheet, row + 2, key_results(plan), wide=WIDE)
    style.verdict_colours(sheet, [f"C{first}:C{row}"])
    row = front.functions_answer(plan.book, sheet, row + 2)
    row = front.cautions(sheet, row + 2, _CAUTIONS)
    sheet.print_area = f"A1:E{row}"
