"""What the plan says in words: what to do first, whether the product suits, whether scale forms, other nutrients."""

from __future__ import annotations

from pailbook.rules import Rule
from pailbook.terms import FINE, WATCH
from pailbook.workbook.dosing_plan import facts
from pailbook.workbook.dosing_plan.nutrient_rules import AS_BELOW, NEXT_STEP, OVERDUE
from pailbook.workbook.dosing_plan.nutrients import BLEND, OTHERS, PHOSPHATE, Nutrient
from pailbook.workbook.dosing_plan.places import AS_OF, SHEETS, cell, clean_cell
from pailbook.workbook.form import Plan
from pailbook.workbook.texts import first_that_holds, with_numbers


def dose_unit() -> str:
    """Formula text for the unit of phosphate doses."""
    unit, product = cell(PHOSPHATE, "dose_unit"), cell(PHOSPHATE, "product")
    return f'IF({cell(PHOSPHATE, "next_dose")}="","",{unit}&IF({product}="{BLEND}"," monopotassium",""))'


def next_step(plan: Plan) -> str:
    """Formula text for what to do first."""
    used = clean_cell(PHOSPHATE, "used")
    return f'IF({used}=0,"Fill in the sheets above, in that order.",{facts.asking(plan, NEXT_STEP).remedy(NEXT_STEP)})'


def of_rule(plan: Plan, rule: Rule) -> str:
    """Formula text of the verdict of a rule on the whole plan."""
    return facts.asking(plan, rule).text(rule, unasked="")


def _calcium(plan: Plan) -> str:
    return f"SUM({plan['calcium']})"


def scale_index(plan: Plan) -> str:
    """Formula text for the saturation of calcium phosphate with phosphate at the upper end of the target."""
    call = plan.book.call("PHOSPHATE_SCALE_INDEX", _calcium(plan), cell(PHOSPHATE, "high"), plan["ph"],
                          plan["alkalinity"], plan["temperature"])
    needs = (cell(PHOSPHATE, "high"), plan["ph"], plan["alkalinity"], plan["temperature"])
    return with_numbers(needs, f'IF({_calcium(plan)}>0,IFERROR({call},""),"")')


def others(_: Plan) -> str:
    """Formula text for the other nutrients in use, one line for each: the verdict, when to dose next, how much."""
    return f"MID({'&'.join(_other(n) for n in OTHERS)},2,900)"


def _other(n: Nutrient) -> str:
    state, word, date, dose, unit, product = (
        cell(n, key) for key in ("state", "word", "next_date", "next_dose", "dose_unit", "product"))
    days = f"({date}-INT({AS_OF}))"
    when = first_that_holds((
        (f'{AS_OF}=""', '""'), (f"{days}<-1", f'" was due "&(-{days})&" days ago; test first"'),
        (f"{days}=-1", '" was due yesterday; test first"'), (f"{days}=0", '" today"'), (f"{days}=1", '" tomorrow"'),
    ), f'" in "&{days}&" days"')
    next_dose = f'{word}&": "&ROUND({dose},1)&" "&{unit}&" of "&{product}&{when}'
    overdue = f"{WATCH}: {OVERDUE}"
    all_here = f'OR({state}="{FINE}: {AS_BELOW}",LEFT({state},{len(overdue)})="{overdue}")'
    verdict = f'IF({date}="",{state},{next_dose}&IF({all_here},"","; see {SHEETS["targets"]}"))'
    return f'IF({state}="","",CHAR(10)&"{n.label}, "&{verdict})'


def rows_to_put_right(plan: Plan) -> str:
    """Formula text for the number of rows of readings whose verdict is neither fine nor watch."""
    table = plan.tables[SHEETS["readings"]]
    state = table.range("state")
    right = "+".join(f'(LEFT({state},{len(word)})="{word}")' for word in (FINE, WATCH))
    return f'IF(SUM({table.range("filled")})=0,"",SUMPRODUCT(({state}<>"")*(({right})=0)))'
