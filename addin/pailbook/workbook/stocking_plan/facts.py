"""The numbers of the whole plan that rules ask, in hidden columns of the sheet Balance, with their clean cells."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from openpyxl.worksheet.worksheet import Worksheet

from pailbook.rules import Rule, Sheet, clean, same_question
from pailbook.workbook.form import Plan
from pailbook.workbook.sheets import put
from pailbook.workbook.stocking_plan import areas
from pailbook.workbook.stocking_plan.all_rules import RULES
from pailbook.workbook.stocking_plan.places import AS_OF, FACTS, FIRST, SHEETS, this_week
from pailbook.workbook.stocking_plan.places import weeks as of_weeks
from pailbook.workbook.texts import blank_or

Text = Callable[[Plan], str]
_QUESTIONS = same_question(one for rule in RULES for one in rule.questions)


@dataclass(frozen=True)
class Fact:
    """A number, or a choice, of the whole plan.

    fault : condition under which it is not known, though it can be calculated, and what is said then.
    """

    text: Text
    fault: tuple[Text, str] | None = None


def largest(plan: Plan, key: str) -> str:
    """Formula text for the largest number of a column of Weeks; blank without one, an error where there is one."""
    column = of_weeks(plan, key)
    return f'IF(COUNT({column})+0*SUM({column})=0,"",MAX({column}))'


def week_of_largest(plan: Plan, key: str) -> str:
    """Formula text for the number of the week in which it is largest; blank without one."""
    column = of_weeks(plan, key)
    return f'IF(COUNT({column})=0,"",MATCH(MAX({column}),{column},0))'


def _most(key: str) -> Fact:
    return Fact(lambda plan: largest(plan, key))


def _week(key: str) -> Fact:
    return Fact(lambda plan: week_of_largest(plan, key))


def _first_short(key: str) -> Fact:
    return Fact(lambda plan: f'IFERROR(MATCH(1,{of_weeks(plan, f"{key}_short")},0),"")')


def _feed_then(key: str, needed: str) -> Fact:
    return Fact(lambda plan: f'IFERROR(INDEX({of_weeks(plan, key)},{week_of_largest(plan, needed)}),"")')


def _begun(plan: Plan) -> str:
    typed = plan.tables[SHEETS["cohorts"]]
    return (f'IF(COUNTA({plan["volume"]},{plan["temperature"]},{typed.range("count")},{typed.range("species")})=0,'
            '"no","yes")')


def _cohorts(plan: Plan) -> str:
    typed = plan.tables[SHEETS["cohorts"]]
    return f'IF(SUM({typed.range("filled")})=0,"",SUM({typed.range("ok")}))'


def _alkalinity_today(plan: Plan) -> str:
    now, column = this_week(plan), of_weeks(plan, "alkalinity")
    return f'IF({now}="",{largest(plan, "alkalinity")},INDEX({column},MAX(1,SUM({now}))))'


def _faulty(plan: Plan, sheet: str, key: str) -> str:
    """Condition that a clean cell of a column says what is wrong."""
    return f'SUMPRODUCT((LEFT({plan.tables[SHEETS[sheet]].range(key)},1)="?")*1)>0'


def _areas(key: str) -> Fact:
    return Fact(lambda plan: f'IF({areas.total(plan, key)}=0,"",{areas.total(plan, key)})',
                (lambda plan: f'COUNTIF({plan.tables[SHEETS["areas"]].range("word")},"not known")>0',
                 "A row of Areas is not in order"))


_FACTS: dict[str, Fact] = {
    "begun": Fact(_begun),
    "fish_planned": Fact(lambda plan: f"SUM({of_weeks(plan, 'fish')})",
                         (lambda plan: f"IF(ISNUMBER({_cohorts(plan)}),{_cohorts(plan)}=0,FALSE)",
                          "A cohort on Cohorts is not in order")),
    "cohorts": Fact(_cohorts),
    "temperatures": Fact(
        lambda plan: f"COUNT({of_weeks(plan, 'own_temperature')})",
        (lambda plan: _faulty(plan, "weeks", "clean_own_temperature"), "A temperature on Weeks is not in order")),
    "density_peak": _most("density"), "density_from": _first_short("density"), "density_week": _week("density"),
    "media_peak": _most("media"), "media_from": _first_short("media"), "media_week": _week("media"),
    "filter_feed": _feed_then("filter_feed", "media"),
    "air_peak": _most("air"), "air_from": _first_short("air"), "air_week": _week("air"),
    "air_feed": _feed_then("air_feed", "air"),
    "weeks_without_air": Fact(lambda plan: f"COUNT({of_weeks(plan, 'use')})-COUNT({of_weeks(plan, 'air')})"),
    "plant_feed": _areas("feed"), "plant_area": _areas("area"),
    "area_peak": _most("area"), "area_from": _first_short("area"), "area_week": _week("area"),
    "feed_peak": _most("feed"),
    "alkalinity_peak": _most("alkalinity"), "alkalinity_today": Fact(_alkalinity_today),
    "today": Fact(lambda _: blank_or(AS_OF)),
    "plan_end": Fact(lambda plan: f"MAX({of_weeks(plan, 'date')})+6"),
}

KEYS = tuple(_FACTS)


def asking(plan: Plan, rule: Rule, **here: str) -> Sheet:
    """The formulas of a rule; `here` are the clean cells of its own row."""
    return plan.asking(rule, **{key: clean_cell(key) for key in _FACTS}, **here)


def clean_cell(key: str) -> str:
    """The clean cell of a fact, as any sheet may name it."""
    return f"{SHEETS['balance']}!${FACTS[2]}${_row(key)}"


def _row(key: str) -> int:
    return FIRST + list(_FACTS).index(key)


def write(plan: Plan, sheet: Worksheet) -> None:
    """Writes the facts: what they are, the numbers, their clean cells."""
    for key, fact in _FACTS.items():
        row, asked = _row(key), _QUESTIONS[key]
        label, number, hidden = (f"{letter}{row}" for letter in FACTS)
        put(sheet, label, asked.label, "note")
        put(sheet, number, f"={fact.text(plan)}", "result")
        text = clean(asked, f"${FACTS[1]}${row}", plan.book.units)
        if fact.fault is not None:
            condition, words = fact.fault
            text = f'IF({condition(plan)},"? {words}",{text})'
        put(sheet, hidden, f"={text}", "result")
    for letter in FACTS:
        sheet.column_dimensions[letter].hidden = True
