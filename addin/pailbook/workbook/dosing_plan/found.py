"""What the readings of a nutrient say: the latest level, the uptake and its 95 % interval, the next dose."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from pailbook import terms
from pailbook.terms import ACT, NOT_KNOWN
from pailbook.workbook import style
from pailbook.workbook.dosing_plan import fit
from pailbook.workbook.dosing_plan.nutrients import ACID, PHOSPHATE, Nutrient
from pailbook.workbook.dosing_plan.places import FOUND_KEYS, SHEETS, cell
from pailbook.workbook.dosing_plan.places import INPUT_KEYS as INPUT_KEYS
from pailbook.workbook.form import Plan
from pailbook.workbook.texts import first_that_holds, with_numbers

AS_BELOW = "fine: next dose as shown below"


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


def _no_number(n: Nutrient) -> str:
    """Condition that a text or an error stands in one of the boxes for the kit's and the target's numbers."""
    boxes = f"{cell(n, 'resolution')}:{cell(n, 'incoming').split('!')[1]}"
    return f"COUNTA({boxes})>COUNT({boxes})"


def _action(plan: Plan, n: Nutrient) -> str:
    low, high, resolution, factor, rate, error = (
        cell(n, key) for key in ("low", "high", "resolution", "factor", "uptake", "uptake_error"))
    known = plan.book.call("ACTION_LEVEL", low, rate, error, f"{resolution}*{factor}", plan["days_between"])
    known = f"IF(COUNT({rate},{error})<2,{low}+{resolution}*{factor}/2,{known})"
    ready = f"AND({low}<{high},NOT({_no_number(n)}))"
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


def missing(plan: Plan, n: Nutrient) -> list[tuple[str, str, str]]:
    """What is missing or wrong, the first thing first: (condition, verdict, words)."""
    name = n.label.lower()
    basis, resolution, low, high, product, per = (
        cell(n, key) for key in ("basis", "resolution", "low", "high", "product", "dose_per"))
    ladder = [
        (f'{basis}=""', NOT_KNOWN, f"does the {name} kit read {_or(n.bases)}? See its leaflet"),
        (_no_number(n), NOT_KNOWN, f"type plain numbers for {name} on {SHEETS['targets']}"),
        (f"COUNT({resolution})=0", NOT_KNOWN, f"enter the resolution of the {name} kit"),
        (f"COUNT({low},{high})<2", NOT_KNOWN, f"enter your target range for {name}"),
        (f"{low}>={high}", NOT_KNOWN, "the lower end of the target must be below its upper end"),
        (f"COUNT({plan['volume']})=0", NOT_KNOWN, "enter the measured water volume on Setup"),
        (f'{product}=""', NOT_KNOWN, f"choose a product for {name}"),
    ]
    if n is PHOSPHATE:
        ladder.append((f'AND({product}="{ACID}",{per}="")', NOT_KNOWN,
                       f"enter the strength of the {ACID} on the sheet {SHEETS['products']}"))
    ladder += [
        (f"NOT(ISNUMBER({per}))", NOT_KNOWN, "enter the strength from the label of the product in use"),
        (f"{cell(n, 'topped')}", ACT, "the kit is at its highest reading; dilute the water and test again"),
        (f'{cell(n, "latest")}=""', NOT_KNOWN, f"enter a first reading of {name}"),
    ]
    return ladder


def no_chemistry(plan: Plan) -> list[tuple[str, str, str]]:
    """What is missing for the effect of a dose on pH: (condition, verdict, words)."""
    return [
        (f"COUNT({plan['alkalinity']})=0", NOT_KNOWN, "test the alkalinity; without it no dose can be planned"),
        (f"COUNT({plan['ph']},{plan['temperature']})<2", NOT_KNOWN, "enter pH and temperature on Setup"),
        (f'{plan["free_co2"]}=""', ACT,
         "pH, alkalinity and phosphate contradict each other; check the basis of each kit"),
    ]


def _or(choices: tuple[str, ...]) -> str:
    return " or ".join((", ".join(choices[:-1]), choices[-1])) if len(choices) > 1 else f"as {choices[0]}"


def _state(plan: Plan, n: Nutrient) -> str:
    latest, low, high, rate, error, action, date = (
        cell(n, key) for key in ("latest", "low", "high", "uptake", "uptake_error", "action", "next_date"))
    unused = f'AND({cell(n, "basis")}="",{cell(n, "product")}="",{cell(n, "count")}="",{latest}="")'
    wrong = [*missing(plan, n), *(no_chemistry(plan) if n is PHOSPHATE else ())]
    ladder = [(unused, '""'), *((condition, f'"{verdict}: {words}"') for condition, verdict, words in wrong)]
    if n is PHOSPHATE:
        refilling = f"SUM({plan.tables[SHEETS['calendar']].range('refill')})>0"
        ladder.append(
            (f'AND({date}="",{refilling})', '"act: pH or alkalinity is at its limit on Setup; no dose is possible"'))
    ladder += [
        (f"{latest}>{high}", '"watch: above your target range; do not dose"'),
        (f"{latest}<{low}", '"act: below your target range; dose as the calendar says"'),
        (f"SUM({cell(n, 'count')})<2", '"watch: one reading is not enough for the uptake; test again in a few days"'),
        (f'{rate}=""', '"watch: the uptake needs readings from two different days"'),
        (f"{rate}<=0", '"watch: it does not fall, so no dose is due. Does feed or new water bring it?"'),
        (f"{error}>={rate}", '"watch: the uptake is not certain yet; its 95 % interval includes zero. Keep testing"'),
        (f"{action}>={high}",
         '"watch: too narrow a target range for this kit; widen it, test more often or use a finer kit"'),
        (f"ISNUMBER({date})", f'"{AS_BELOW}"'),
    ]
    return first_that_holds(ladder, '"fine: no dose is due within the calendar"')


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
    Found("days_to_low", f"Days to the {terms.LOWER_END.lower()}", _days_to_low, "0.0"),
    Found("next_row", "", _next_row, "0", hidden=True),
    Found("next_date", "Next dose on", _next_date, style.DATE_FORMAT),
    Found("next_dose", "Next dose", _next_dose, "0.0", "In g or mL, as above. For a blend, the monopotassium "
                                                         "part; see Calendar."),
)}
FOUND = tuple(_BY_KEY[key] for key in FOUND_KEYS)
