"""Sheet "Start": what the plan is for, what to fill in first, the key results, safety notes."""

from __future__ import annotations

from pailbook import terms
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
    "Plans how many fish to keep, how much feed they need and when to harvest, week by week, a year ahead.",
    "Fish kept together are a cohort. Each cohort has its growth coefficient; growth follows from the warmth of the "
    "water, and feed from growth.",
    "It says whether water, filter, air, plants and pump can carry the plan, and what they would need if they cannot.",
)
_FIRST_STEPS = (
    (SHEETS["setup"], "the measured volume, temperature, filter media, air and flow"),
    (SHEETS["cohorts"], "each cohort: species, number, mean weight, growth and harvest weight"),
    (SHEETS["areas"], "which crop grows on which area"),
    (SHEETS["balance"], "what is too small, and what would be enough"),
    (SHEETS["weeks"], "every week; enter a temperature if a week will differ"),
)
_CAUTIONS = (
    "This is a forecast: weigh some fish every few weeks, enter the new number and mean weight, and look again. Fish "
    "that stop eating often mean bad water: stop feeding, test, then look further.",
    "Add fish and feed in small steps, as fast as the filter can follow: test total ammonia and nitrite after each.",
    "Without air, densely stocked fish die within the hour: keep a spare pump, air on a battery and an alarm.",
    front.MAINS_POWER,
    front.MEDICINES,
    front.REGULATED,
    "This plan informs; it is not professional advice.",
)
WIDE = {"answer": 1, "change_first": 2, "cohorts_to_put_right": 1, "next_harvest": 2, "small_system_warning": 2,
        "not_judged": 1, "count_fresh": 1}
_STALE = 42  # days after which a forecast from a weighing is too old: common practice


def _verdicts(plan: Plan) -> list[str]:
    return [balance.verdict(plan, key) for key in balance.keys(plan)]


def _beginning(cells: list[str], word: str) -> str:
    """Formula text for the number of cells that begin with a word."""
    return "+".join(f'IF(LEFT({cell},{len(word)})="{word}",1,0)' for cell in cells)


def _states(plan: Plan) -> list[str]:
    return [cohort(plan, number, "state") for number in range(COHORTS)]


def _missing(plan: Plan) -> list[tuple[str, str]]:
    return [
        (f"COUNT({plan['plan_start']})=0", "enter the first day of the plan on Setup"),
        (f"COUNT({plan['volume']},{plan['temperature']})<2", "enter the water's volume and usual temperature on Setup"),
        (f"SUM({plan.tables[SHEETS['cohorts']].range('ok')})=0", "enter a cohort and its growth on Cohorts"),
    ]


def _nothing(plan: Plan) -> str:
    typed = plan.tables[SHEETS["cohorts"]]
    return (f"AND(COUNT({plan['volume']},{plan['temperature']},{typed.range('count')})=0,"
            f"COUNTA({typed.range('species')})=0)")


def _answer(plan: Plan) -> str:
    every = _verdicts(plan) + _states(plan)
    return first_that_holds((
        (_nothing(plan), '""'),
        *((condition, f'"{terms.NOT_KNOWN}: {text}"') for condition, text in _missing(plan)),
        (f"({_beginning(every, terms.ACT)})>0",
         '"act: the system cannot carry this plan. Change it before you stock or feed"'),
        (f"({_beginning(every, terms.NOT_KNOWN)})>0", '"not known: part of the system is not judged yet; see below"'),
        (f"({_beginning(every, terms.WATCH)})>0", '"watch: the system can carry this plan, with care"'),
    ), '"fine: the system can carry this plan"')


def _change_first(plan: Plan) -> str:
    def saying(word: str, cells: list[str], where: str = "") -> list[tuple[str, str]]:
        """Of each cell, whether it begins with that word, and the rest of what it says."""
        rest = len(word) + len(": ") + 1
        return [(f'LEFT({cell},{len(word)})="{word}"', (f'"{where.format(number)}"&' if where else "")
                 + f"MID({cell},{rest},400)") for number, cell in enumerate(cells, 1)]

    row = "Cohorts, row {}: "
    return first_that_holds((
        (_nothing(plan), '""'), *((condition, f'"{text}"') for condition, text in _missing(plan)),
        *saying(terms.ACT, _verdicts(plan)), *saying(terms.ACT, _states(plan), row),
        *saying(terms.NOT_KNOWN, _verdicts(plan)), *saying(terms.NOT_KNOWN, _states(plan), row),
        *saying(terms.WATCH, _verdicts(plan)),
    ), '"nothing"')


def _not_judged(plan: Plan) -> str:
    parts = [f'IF({_beginning([balance.verdict(plan, key)], terms.NOT_KNOWN)}>0,", {key}","")'
             for key in ("filter", "air", "plants", "turnover", "pump")]
    none = f'IF({_nothing(plan)},"","none")'
    return f'IF({"&".join(parts)}="",{none},MID({"&".join(parts)},3,200))'


def _freshness(plan: Plan) -> str:
    days = f"(INT({AS_OF})-INT({plan['plan_start']}))"
    return first_that_holds((
        (f"COUNT({plan['plan_start']})=0", '""'),
        (f"COUNT({AS_OF})=0", '"enter today\'s date above"'),
        (f"{days}<0", f'"the plan begins in "&-{days}&" days"'),
        (f"{days}>{_STALE}", f'"watch: fish counted and weighed "&{days}&" days ago; weigh some and enter them again"'),
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
    wrong = f"{_beginning(_states(plan), terms.ACT)}+{_beginning(_states(plan), terms.NOT_KNOWN)}"
    return (
        Result("answer", "Can the system carry this plan?", _answer(plan)),
        Result("change_first", "Change this first", _change_first(plan)),
        Result("not_judged", "Not judged yet", _not_judged(plan)),
        Result("feed_now", "Daily feed this week", at_now("feed"), quantity(Feed)),
        Result("biomass_now", "Total weight of the fish this week", at_now("biomass"), quantity(BiomassOrNone),
               format="0.0"),
        Result("feed_most", "Highest daily feed", most("feed"), quantity(Feed)),
        Result("feed_most_week", "Week of the highest daily feed", f'IF(COUNT({weeks(plan, "feed")})=0,"",'
               f'MATCH(MAX({weeks(plan, "feed")}),{weeks(plan, "feed")},0))', format="0"),
        Result("biomass_most", "Highest total weight of the fish", most("biomass"), quantity(BiomassOrNone),
               format="0.0"),
        Result("density_most_reached", f"Highest {terms.STOCKING_DENSITY.lower()}", most("density"),
               quantity(FishDensity)),
        Result("feed_total", "Feed within the plan", f'IF(COUNT({weeks(plan, "feed")})=0,"",{feed_all})', TOTAL),
        Result("fish_harvested", "Fish harvested within the plan", summed("taken"), unit="fish", format="0"),
        Result("weight_harvested", "Weight harvested within the plan", summed("taken_weight"), TOTAL),
        Result("fish_lost", "Expected deaths", summed("dead"), unit="fish", format="0"),
        Result("next_harvest", "Next harvest",
               f'IF({upcoming}="","","in week "&{harvests.at("week", upcoming)}&": "&{harvests.at("what", upcoming)})'),
        Result("next_harvest_date", "Week of the next harvest", f'IF({upcoming}="","",{harvests.at("date", upcoming)})',
               format=style.DATE_FORMAT),
        Result("cohorts_to_put_right", "Cohorts to correct",
               f'IF({_nothing(plan)},"",IF(({wrong})=0,"none",({wrong})&"; see the sheet Cohorts"))'),
        Result("count_fresh", "Is the count recent?", _freshness(plan)),
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
