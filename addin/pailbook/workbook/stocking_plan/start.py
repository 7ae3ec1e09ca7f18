"""Sheet "Start": what the plan is for, what to fill in first, the key results, safety notes."""

from __future__ import annotations

from pailbook import terms
from pailbook.quantities import BiomassOrNone, Feed, FishDensity
from pailbook.workbook import front, style
from pailbook.workbook.form import Plan
from pailbook.workbook.front import SHEET, Result
from pailbook.workbook.measures import quantity
from pailbook.workbook.sheets import put, widths
from pailbook.workbook.stocking_plan import balance, board, facts, harvest, row_rules
from pailbook.workbook.stocking_plan.all_rules import LINES
from pailbook.workbook.stocking_plan.measures import TOTAL
from pailbook.workbook.stocking_plan.places import COHORTS, SHEETS, cohort, this_week, weeks
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
    "This plan is not professional advice.",
)
WIDE = {"answer": 1, "change_first": 2, "cohorts_to_put_right": 1, "next_harvest": 2, "small_system_warning": 2,
        "not_judged": 1, "count_fresh": 1}
_CALLED = {"alkalinity_use": "alkalinity", "small": "size"}  # a line's key in words, where it is none


def _answer(_: Plan) -> str:
    word = board.answer()
    return first_that_holds((
        (f'{facts.clean_cell("begun")}="no"', '""'),
        (f'{word}="{terms.NO_GO}"',
         '"act: the system cannot carry this plan. Change it before you stock or feed"'),
        (f'{word}="{terms.WITH_CARE}"', '"watch: the system can carry this plan, with care"'),
        (f'{word}="{terms.GO}"', '"fine: the system can carry this plan"'),
    ), '"not known: part of the system is not judged yet; see below"')


def _change_first(_: Plan) -> str:
    begun, first = facts.clean_cell("begun"), board.change_first()
    return f'IF({begun}="no","",IF({first}="","nothing",{first}))'


def _not_judged(_: Plan) -> str:
    parts = "&".join(f'IF({board.word(key)}="{terms.NOT_KNOWN}",", {_CALLED.get(key, key)}","")' for key in LINES)
    return f'IF({parts}="",IF({facts.clean_cell("begun")}="no","","none"),MID({parts},3,200))'


def _cohorts_to_correct(plan: Plan) -> str:
    """Cohorts whose verdict is act or not known, or no verdict at all."""
    words = plan.tables[SHEETS["cohorts"]].range("word")
    right = "+".join(f'COUNTIF({words},"{word}")' for word in (terms.WATCH, terms.FINE, terms.NOT_ASKED))
    wrong = f"({COHORTS}-({right}))"
    return (f'IF({facts.clean_cell("begun")}="no","",IF({wrong}=0,"none",{wrong}&"; see the sheet Cohorts"))')


def key_results(plan: Plan) -> tuple[Result, ...]:
    """The key results, in the order in which they are shown."""
    now, upcoming = this_week(plan), harvest.next_one(plan)
    harvests = plan.tables[SHEETS["harvest"]]

    def at_now(key: str) -> str:
        return f'IF({now}="","",INDEX({weeks(plan, key)},{now}))'

    def most(key: str) -> str:
        return f'IF(COUNT({weeks(plan, key)})=0,"",MAX({weeks(plan, key)}))'

    def summed(key: str) -> str:
        return f'IF(COUNT({weeks(plan, key)})=0,"",SUM({weeks(plan, key)}))'

    feed_all = "+".join(f"SUM({cohort(plan, number, 'feed')})" for number in range(COHORTS))
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
        Result("next_harvest_date", "First day of that week", f'IF({upcoming}="","",{harvests.at("date", upcoming)})',
               format=style.DATE_FORMAT),
        Result("cohorts_to_put_right", "Cohorts to correct", _cohorts_to_correct(plan)),
        Result("count_fresh", "Is the count recent?",
               facts.asking(plan, row_rules.freshness).text(row_rules.freshness, unasked="")),
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
