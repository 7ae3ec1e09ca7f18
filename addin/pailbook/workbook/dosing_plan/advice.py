"""What the plan says in words: what to do first, whether the product suits, whether scale forms, other nutrients."""

from __future__ import annotations

from pailbook.workbook.dosing_plan import products
from pailbook.workbook.dosing_plan.calendar import AT_LIMIT
from pailbook.workbook.dosing_plan.found import AS_BELOW, missing, no_chemistry
from pailbook.workbook.dosing_plan.nutrients import ACID, BLEND, DI, MONO, NUTRIENTS, OTHERS, PHOSPHATE, Nutrient
from pailbook.workbook.dosing_plan.places import AS_OF, SCALE_INDEX, SHEETS, cell
from pailbook.workbook.form import Plan
from pailbook.workbook.texts import first_that_holds, with_numbers


def dose_unit() -> str:
    """Formula text for the unit of phosphate doses."""
    unit, product = cell(PHOSPHATE, "dose_unit"), cell(PHOSPHATE, "product")
    return f'IF({cell(PHOSPHATE, "next_dose")}="","",{unit}&IF({product}="{BLEND}"," monopotassium",""))'


def next_step(plan: Plan) -> str:
    """Formula text for what to do first."""
    n = PHOSPHATE
    row, date, dose, unit, product, rate, latest = (
        cell(n, key) for key in ("next_row", "next_date", "next_dose", "dose_unit", "product", "uptake", "latest"))
    calendar = plan.tables[SHEETS["calendar"]]
    second = calendar.at("second", row)
    again = f'" Test again in "&{plan["days_between"]}&" days."'
    amount = (f'ROUND({dose},1)&" "&{unit}&IF({product}="{BLEND}"," of monopotassium and "&ROUND(SUM({second}),1)'
              f'&" of dipotassium phosphate. "," of "&{product}&". ")')
    what = f'{amount}&"Test before you dose; if the reading is not the one expected, enter it first."'
    return first_that_holds((
        *((condition, f'"{_sentence(text)}"') for condition, _, text in (*missing(plan, n), *no_chemistry(plan))),
        (f'AND({row}="",SUM({calendar.range("refill")})>0)',
         '"No dose is possible: pH or alkalinity is at its limit on Setup. Raise the alkalinity in small doses, or '
         'use the blend."'),
        (f'AND({row}="",{latest}>{cell(n, "high")})', f'"Phosphate is above your target range: do not dose."&{again}'),
        (f'AND({row}="",SUM({cell(n, "count")})<2)', f'"One reading is not enough: the uptake needs two."&{again}'),
        (f'AND({row}="",{rate}="")', f'"The uptake needs readings from two different days."&{again}'),
        (f'AND({row}="",{rate}<=0)',
         '"Phosphate does not fall: do not dose. Find out what brings it (feed, new water), or test the kit."'),
        (f'{row}=""', f'"No dose is due within the calendar."&{again}'),
        (f'{AS_OF}=""', f'"On the day below: "&{what}'),
        (f"{AS_OF}>{date}",
         f'"A dose was due "&(INT({AS_OF})-{date})&" days ago. Test today and enter the reading; the plan then starts '
         f'from it."'),
        (f"INT({AS_OF})={date}", f'"Today: "&{what}'),
        (f"INT({AS_OF})+1={date}", f'"Tomorrow: "&{what}'),
    ), f'"In "&({date}-INT({AS_OF}))&" days: "&{what}')


def _sentence(words: str) -> str:
    begin = words if words.startswith("pH") else words[0].upper() + words[1:]
    return begin if words.endswith("?") else f"{begin}."


def split(plan: Plan, doses: str) -> str:
    """Formula text on the product in use; `doses` is formula text for the days that the next refill takes."""
    product, row = cell(PHOSPHATE, "product"), cell(PHOSPHATE, "next_row")
    mono, di = products.of(plan, BLEND, "refill"), products.of(plan, BLEND, "second")
    mono_unit, di_unit = products.of(plan, MONO, "unit"), products.of(plan, DI, "unit")
    one_day = products.in_use(plan, "days")
    what = plan.tables[SHEETS["calendar"]].range("what")
    many = f"IF({row}=\"\",{one_day}>=2,{doses}>=2)"
    blend = (f'"a blend leaves pH alone and fills the target range in one day, with "&ROUND({mono},0)&" "&{mono_unit}'
             f'&" of monopotassium and "&ROUND({di},0)&" "&{di_unit}&" of dipotassium phosphate"')
    return first_that_holds((
        (f'{product}=""', '""'),
        (f'{product}="{BLEND}"', '"fine: the blend leaves pH alone; test potassium now and then"'),
        (f"COUNT({mono},{di},{one_day})<3", '""'),
        (f'SUMPRODUCT((LEFT({what},10)="{AT_LIMIT[:10]}")*1)>0',
         f'"watch: it brings pH or alkalinity to its limit within the calendar; "&{blend}'),
        (many, f'"watch: pH allows only small daily doses; "&{blend}'),
        (f'{product}="{ACID}"', '"fine: it uses up alkalinity, so test alkalinity weekly"'),
    ), '"fine: the dose fits into one day"')


def _calcium(plan: Plan) -> str:
    return f"SUM({plan['calcium']})"


def scale_index(plan: Plan) -> str:
    """Formula text for the saturation of calcium phosphate with phosphate at the upper end of the target."""
    call = plan.book.call("PHOSPHATE_SCALE_INDEX", _calcium(plan), cell(PHOSPHATE, "high"), plan["ph"],
                          plan["alkalinity"], plan["temperature"])
    needs = (cell(PHOSPHATE, "high"), plan["ph"], plan["alkalinity"], plan["temperature"])
    return with_numbers(needs, f'IF({_calcium(plan)}>0,IFERROR({call},""),"")')


def scale_verdict(plan: Plan) -> str:
    """Formula text on scale."""
    return first_that_holds((
        (f"AND({_calcium(plan)}=0,COUNT({cell(PHOSPHATE, 'high')})>0)",
         '"not known: enter the calcium in the water on Setup"'),
        (f'{SCALE_INDEX}=""', '""'),
        (f"{SCALE_INDEX}>0",
         '"watch: calcium phosphate may precipitate as scale or cloud the water; lower pH or the target range"'),
        (f"{SCALE_INDEX}>-2", '"watch: calcium phosphate is close to precipitation; do not let pH or calcium rise"'),
    ), '"fine: no scale is expected"')


def others(_: Plan) -> str:
    """Formula text for the other nutrients in use, one line for each: the verdict, when to dose next, how much."""
    return f"MID({'&'.join(_other(n) for n in OTHERS)},2,900)"


def _other(n: Nutrient) -> str:
    state, date, dose, unit, product = (
        cell(n, key) for key in ("state", "next_date", "next_dose", "dose_unit", "product"))
    days = f"({date}-INT({AS_OF}))"
    when = first_that_holds((
        (f'{AS_OF}=""', '""'), (f"{days}<-1", f'", due "&(-{days})&" days ago; test first"'),
        (f"{days}=-1", '", due yesterday; test first"'), (f"{days}=0", '" today"'), (f"{days}=1", '" tomorrow"'),
    ), f'" in "&{days}&" days"')
    next_dose = f'LEFT({state},FIND(":",{state}))&" "&ROUND({dose},1)&" "&{unit}&" of "&{product}&{when}'
    verdict = f'IF({date}="",{state},{next_dose}&IF({state}="{AS_BELOW}","","; see {SHEETS["targets"]}"))'
    return f'IF({state}="","",CHAR(10)&"{n.label}, "&{verdict})'


def rows_to_put_right(plan: Plan) -> str:
    """Formula text for the number of rows of readings whose verdict is act."""
    table = plan.tables[SHEETS["readings"]]
    wrong = f'SUMPRODUCT((LEFT({table.range("state")},3)="act")*1)'
    return f'IF(COUNTA({table.range("date")})=0,"",{wrong})'


def date_check(plan: Plan) -> str:
    """Formula text on the date that the user typed."""
    latest = ",".join(cell(n, "latest_date") for n in NUTRIENTS)
    age = f"INT({AS_OF})-MAX({latest})"
    return first_that_holds((
        (f"COUNT({latest})=0", '""'),
        (f'{AS_OF}=""', '"enter today\'s date above"'),
        (f"{age}<0", '"some readings are later than this date: enter today\'s date"'),
        (f"{age}>2*{plan['days_between']}",
         f'"watch: the latest reading is "&({age})&" days old; test before you dose"'),
    ), '"yes"')
