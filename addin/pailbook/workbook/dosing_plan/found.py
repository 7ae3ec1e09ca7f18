"""What the readings of a nutrient say: the latest level, the uptake and its 95 % interval, the next dose."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from pailbook.rules import Question, Sheet, clean
from pailbook.rules.declaration import question
from pailbook.workbook import style
from pailbook.workbook.dosing_plan import facts, fit
from pailbook.workbook.dosing_plan.nutrient_rules import OF_NUTRIENT
from pailbook.workbook.dosing_plan.nutrients import PHOSPHATE, Nutrient
from pailbook.workbook.dosing_plan.places import CLEAN_KEYS, FOUND_KEYS, SHEETS, cell, clean_cell
from pailbook.workbook.dosing_plan.places import INPUT_KEYS as INPUT_KEYS
from pailbook.workbook.dosing_plan.questions import of_nutrient
from pailbook.workbook.form import Plan
from pailbook.workbook.texts import with_numbers


@dataclass(frozen=True)
class Found:
    """A row of results."""

    key: str
    label: str
    text: Callable[[Plan, Nutrient], str]
    format: str = "0.0"
    note: str = ""
    wide: bool = False
    hidden: bool = False
    level: bool = False  # has the format of the nutrient's levels


def _words(_: Plan, n: Nutrient) -> str:
    basis = cell(n, "basis")
    return f'IF({basis}="","basis: see Nutrients","mg/L as "&{basis})'


def _factor(plan: Plan, n: Nutrient) -> str:
    basis = cell(n, "basis")
    if n.bases == (n.basis,):
        return f'IF({basis}="","",1)'
    call = plan.book.call("NUTRIENT_CONVERT", "1", basis, f'"{n.basis}"')
    return f'IF({basis}="","",{call})'


def _of_phosphate_product(plan: Plan, key: str) -> str:
    """Formula text for what the table of phosphate products holds on the one in use; blank without one."""
    product, table = cell(PHOSPHATE, "product"), plan.tables[SHEETS["products"]]
    at = f"MATCH({product},{table.range('product')},0)"
    return f'IF({product}="","",{table.at(key, at)})'


def _dose_per(plan: Plan, n: Nutrient) -> str:
    if n is PHOSPHATE:
        return _of_phosphate_product(plan, "per")
    product = cell(n, "product")
    call = plan.book.call("NUTRIENT_DOSE", product, f'"{n.basis}"', plan["volume"], "0", "1", cell(n, "strength"),
                          cell(n, "density"))
    return f'IF(OR({product}="",COUNT({plan["volume"]})=0),"",IFERROR({call},""))'


def _dose_unit(plan: Plan, n: Nutrient) -> str:
    if n is PHOSPHATE:
        return _of_phosphate_product(plan, "unit")
    return f'IF({cell(n, "product")}="","",IF(ISNUMBER({cell(n, "density")}),"mL","g"))'


def _of_readings(column: str, at: str) -> Callable[[Plan, Nutrient], str]:
    def text(plan: Plan, n: Nutrient) -> str:
        table = plan.tables[SHEETS["readings"]]
        place = f"MATCH({cell(n, at)},{table.range(f'{n.key}_at')},0)"
        return f'IF({cell(n, at)}="","",{table.at(column.format(n.key), place)})'
    return text


def _latest_at(plan: Plan, n: Nutrient) -> str:
    at = plan.tables[SHEETS["readings"]].range(f"{n.key}_at")
    return f'IF(MAX({at})=0,"",MAX({at}))'


def _topped(plan: Plan, n: Nutrient) -> str:
    table = plan.tables[SHEETS["readings"]]
    return f"MAX({table.range(f'{n.key}_top')})>MAX({table.range(f'{n.key}_at')})"


def _count(_: Plan, n: Nutrient) -> str:
    readings = fit.column(n, "reading")
    return f'IF(COUNT({readings})=0,"",COUNT({readings}))'


def _uptake(plan: Plan, n: Nutrient) -> str:
    call = plan.book.call("UPTAKE_RATE", *(fit.column(n, key) for key in fit.SERIES))
    return f'IF(SUM({cell(n, "count")})<2,"",IFERROR({call},""))'


def _error(plan: Plan, n: Nutrient) -> str:
    series = [fit.column(n, key) for key in fit.SERIES]
    resolution, factor = cell(n, "resolution"), cell(n, "factor")
    call = plan.book.call("UPTAKE_ERROR", *series, f"{resolution}*{factor}", "0.95")
    return f'IF(OR({cell(n, "uptake")}="",COUNT({resolution},{factor})<2),"",IFERROR({call},""))'


def _in_order(plan: Plan, n: Nutrient) -> str:
    """Condition that the readings and boxes of the nutrient, and for phosphate the rules of Setup, are in order."""
    boxes = f"{clean_cell(n, 'basis')}:{clean_cell(n, 'product').split('!')[1]}"
    rules = ["volume", "days_between"]
    if n is PHOSPHATE:
        rules += ["ph_rule", "ph_lowest", "ph_highest", "alkalinity_lowest"]
    faults = f'SUMPRODUCT((LEFT({boxes},1)="?")*1)=0'
    faults = f"COUNT({cell(n, 'readings')})=1,{faults}"
    return f"{faults},COUNT({','.join(plan.clean(key) for key in rules)})={len(rules)}"


def _action(plan: Plan, n: Nutrient) -> str:
    low, high, resolution, factor, rate, error = (
        cell(n, key) for key in ("low", "high", "resolution", "factor", "uptake", "uptake_error"))
    known = plan.book.call("ACTION_LEVEL", low, rate, error, f"{resolution}*{factor}", plan["days_between"])
    known = f"IF(COUNT({rate},{error})<2,{low}+{resolution}*{factor}/2,{known})"
    ready = f"AND({low}<{high},{_in_order(plan, n)})"
    return with_numbers((low, high, resolution, factor), f'IF({ready},MIN({known},{high}),"")')


def _days_to_low(plan: Plan, n: Nutrient) -> str:
    now, low, rate = (cell(n, key) for key in ("latest", "low", "uptake"))
    call = plan.book.call("DAYS_UNTIL", now, low, rate)
    return with_numbers((now, low, rate), f'IF({rate}>0,{call},IF({now}<={low},0,""))')


def _calendar(plan: Plan, n: Nutrient) -> tuple[str, str, str]:
    """The ranges of dates, doses and their amounts."""
    if n is PHOSPHATE:
        table = plan.tables[SHEETS["calendar"]]
        return table.range("date"), table.range("planned"), table.range("dose")
    table = plan.tables[SHEETS["others"]]
    return table.range("date"), table.range(f"{n.key}_dose"), table.range(f"{n.key}_dose")


def _next_row(plan: Plan, n: Nutrient) -> str:
    dates, doses, _ = _calendar(plan, n)
    first = f"SUMPRODUCT(MIN(1000-(1000-ROW({dates}))*ISNUMBER({doses})*({doses}>0)))"
    heading = plan.tables[SHEETS["calendar" if n is PHOSPHATE else "others"]].heading_row
    return f'IF(SUMPRODUCT(ISNUMBER({doses})*({doses}>0))=0,"",{first}-{heading})'


def _next_date(plan: Plan, n: Nutrient) -> str:
    row = cell(n, "next_row")
    return f'IF({row}="","",INDEX({_calendar(plan, n)[0]},{row}))'


def _next_dose(plan: Plan, n: Nutrient) -> str:
    row = cell(n, "next_row")
    return f'IF({row}="","",INDEX({_calendar(plan, n)[2]},{row}))'


def _asking(plan: Plan, n: Nutrient) -> Sheet:
    return facts.asking(plan, OF_NUTRIENT[n.key], n)


def _state(plan: Plan, n: Nutrient) -> str:
    return _asking(plan, n).text(OF_NUTRIENT[n.key], unasked="")


def _used(plan: Plan, n: Nutrient) -> str:
    """How many of its boxes are filled in, and its readings."""
    boxes = f"{cell(n, 'basis')}:{cell(n, 'product').split('!')[1]}"
    return f"COUNTA({boxes})+COUNTA({plan.tables[SHEETS['readings']].range(n.key)})"


def _readings(plan: Plan, n: Nutrient) -> str:
    """How many readings there are; what is wrong where a row that counts for it is not in order."""
    table = plan.tables[SHEETS["readings"]]

    def wrong(key: str) -> str:
        return f'(LEFT({table.range(f"clean_{key}")},1)="?")'

    keys = [n.key, f"{n.key}_dose", "changed", *(("ph", "alkalinity") if n is PHOSPHATE else ())]
    faults = "+".join((f"SUMPRODUCT({wrong('date')}*({table.range('filled')}>0))",
                       *(f"SUMPRODUCT({wrong(key)}*1)" for key in keys)))
    typed = table.range(f"clean_{n.key}")
    return (f'IF({faults}>0,"? A row of Readings is not in order",'
            f'IF(COUNT({typed})=0,"? {_question(n, "readings").label} is missing",COUNT({typed})))')


def _question(n: Nutrient, key: str) -> Question:
    return question(key, of_nutrient(n)[key])


def _clean(key: str) -> Callable[[Plan, Nutrient], str]:
    def text(plan: Plan, n: Nutrient) -> str:
        assumed = "0" if key == "count" else ""
        return clean(_question(n, key), cell(n, key), plan.book.units, assumed)
    return text


def _number_or_blank(key: str) -> Callable[[Plan, Nutrient], str]:
    return lambda _, n: f'IF(ISNUMBER({cell(n, key)}),{cell(n, key)},"")'


_BY_KEY = {f.key: f for f in (
    Found("state", "Verdict", _state, "General", "What is missing comes first, then what needs attention.", wide=True),
    Found("words", "", _words, "General", hidden=True),
    Found("factor", "1 mg/L on the kit equals, mg/L", _factor, "0.000", "In the basis at the top of the column."),
    Found("limit_factor", "", lambda _, n: f"IF(ISNUMBER({cell(n, 'factor')}),{cell(n, 'factor')},1)", hidden=True),
    Found("dose_unit", "Doses are in", _dose_unit, "General"),
    Found("dose_per", "Dose that raises it by 1 mg/L", _dose_per, "0.00",
          "In g or mL, as above, of the product in use."),
    Found("latest_at", "", _latest_at, "General", hidden=True),
    Found("latest_date", "Date of the latest reading",
          lambda _, n: f'IF({cell(n, "latest_at")}="","",INT({cell(n, "latest_at")}))', style.DATE_FORMAT),
    Found("latest", "Latest reading, mg/L", _of_readings("{}_level", "latest_at"), level=True),
    Found("topped", "", _topped, "General", hidden=True),
    Found("count", "Readings used for the uptake", _count, "0",
          f"Of the latest {fit.ROWS} rows; readings at an end of the kit's range are left out."),
    Found("uptake", "Uptake, mg/L a day", _uptake, "0.00", "Net: what plants, sludge and precipitation take, less "
                                                             "what feed brings. Doses and water changes count."),
    Found("uptake_error", "95 % interval of the uptake: ±", _error, "0.00",
          "In mg/L a day, up or down; never less than the kit's resolution allows."),
    Found("action", "Dose at or below, mg/L", _action,
          note="So that the next test does not find it below the target range.", level=True),
    Found("days_to_low", "Days until it is at the lower end", _days_to_low, "0.0", "From the latest reading."),
    Found("next_row", "", _next_row, "0", hidden=True),
    Found("next_date", "Next dose on", _next_date, style.DATE_FORMAT),
    Found("next_dose", "Next dose", _next_dose, "0.0", "In g or mL, as above. For a blend, the monopotassium "
                                                         "part; see Calendar."),
    Found("word", "", lambda plan, n: _asking(plan, n).word(OF_NUTRIENT[n.key]), "General", hidden=True),
    Found("used", "", _used, "General", hidden=True),
    Found("readings", "", _readings, "General", hidden=True),
    Found("topped_flag", "", lambda _, n: f"IF({cell(n, 'topped')},1,0)", "General", hidden=True),
    Found("known_factor", "", _number_or_blank("factor"), "General", hidden=True),
    Found("known_per", "", _number_or_blank("dose_per"), "General", hidden=True),
    *(Found(f"clean_{key}", "", _clean(key), "General", hidden=True) for key in CLEAN_KEYS),
)}
FOUND = tuple(_BY_KEY[key] for key in FOUND_KEYS)
