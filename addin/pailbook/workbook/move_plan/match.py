"""Sheet "Water match": both waters side by side, the gap, its limit, the verdict, and whether the kit can tell."""

from __future__ import annotations

from dataclasses import dataclass

from openpyxl.worksheet.worksheet import Worksheet

from pailbook.quantities import (
    PH,
    Alkalinity,
    Conductivity,
    PHTolerance,
    Quantity,
    TemperatureDifference,
    WaterTemperature,
)
from pailbook.workbook import style
from pailbook.workbook.form import Plan
from pailbook.workbook.lines import lines_of, set_height
from pailbook.workbook.measures import quantity
from pailbook.workbook.move_plan import measures
from pailbook.workbook.sheets import headings, number_input, put, section, widths
from pailbook.workbook.texts import first_that_holds

SHEET = "Water match"
_FIRST = 5
_WIDTHS = (20, 16, 10, 10, 10, 9, 9, 9, 42, 46)
_STEP, _STEP_USED, _GAP, _LIMIT, _VERDICT = "E", "F", "G", "H", "I"
USUAL_PH_STEP = 0.2
NO_VOUCHER = "the kit cannot vouch for it"


@dataclass(frozen=True)
class Pair:
    """A property of both waters: its key, the limit's key, the words for how far apart is too far."""

    key: str
    label: str
    quantity: Quantity
    limit: str
    difference: Quantity
    no_go: str = ""
    usual_step: float | None = None
    watch: str = "watch: far apart; smaller and more exchanges"
    act: str = ""
    shown: str = "0.0"


PAIRS = (
    Pair("ph", "pH", quantity(PH), "ph_within", quantity(PHTolerance), "ph_no_go", USUAL_PH_STEP,
         "watch: not within the limit; move pH first, see pH calendar",
         "act: too far apart for one day; move pH first, see pH calendar", "0.00"),
    Pair("temperature", "Water temperature", quantity(WaterTemperature), "temperature_watch",
         quantity(TemperatureDifference), "temperature_no_go", 0.5,
         "watch: more than one exchange and ten minutes can bridge; see Arrival",
         "act: too far apart; bring one system closer over days"),
    Pair("alkalinity", "Alkalinity", quantity(Alkalinity), "alkalinity_gap", quantity(Alkalinity), "", 17.8,
         "watch: pH will swing as the waters mix; see Arrival", shown="0"),
    Pair("hardness", "Hardness", measures.HARDNESS, "hardness_gap", measures.DIFFERENCE, "", 17.8, shown="0"),
    Pair("conductivity", "Conductivity (EC)", quantity(Conductivity), "conductivity_gap", quantity(Conductivity),
         "", 10, shown="0"),
)


def _row(key: str) -> int:
    return _FIRST + next(i for i, pair in enumerate(PAIRS) if pair.key == key)


def verdict(key: str) -> str:
    """The cell with the verdict on a property of both waters, or on the light."""
    row = _FIRST + len(PAIRS) if key == "light" else _row(key)
    return f"'{SHEET}'!${_VERDICT}${row}"


def gap(key: str) -> str:
    """The cell with the gap, without sign."""
    return f"'{SHEET}'!${_GAP}${_row(key)}"


def kit_resolution(key: str) -> str:
    """The cell with the step in which both waters were read."""
    return f"'{SHEET}'!${_STEP_USED}${_row(key)}"


def can_tell(key: str) -> str:
    """The cell that says whether the kit can show a match."""
    return f"'{SHEET}'!$J${_row(key)}"


def write(plan: Plan) -> None:
    """Writes the sheet."""
    book = plan.book
    sheet = book.sheet(SHEET, "Two readings that look alike can hide a gap of a whole kit step. Enter the step of your "
                              "kit or meter.")
    widths(sheet, *_WIDTHS)
    headings(sheet, _FIRST - 1, ("What", "Unit", "Where the fish are", "Where they go", "Step of your kit",
                                 "Step in use", "Gap",
                                 "Limit", "Verdict", "Can the kit tell?"), height=44)
    for row, pair in enumerate(PAIRS, _FIRST):
        _write_pair(plan, sheet, row, pair)
    row = _FIRST + len(PAIRS)
    first, second = plan["from_light"], plan["to_light"]
    put(sheet, f"A{row}", "Light", "strong")
    for letter, cell in (("C", first), ("D", second)):
        put(sheet, f"{letter}{row}", f'=IF({cell}="","",{cell})', "result", align="right")
    put(sheet, f"{_VERDICT}{row}", f'=IF(OR({first}="",{second}=""),"",IF({first}={second},"fine",'
                                   '"watch: light differs; shade the brighter tank for a day"))', "result",
        wrap=True, align="left")
    set_height(sheet, row, 2)
    style.verdict_colours(sheet, [f"{_VERDICT}{_FIRST}:{_VERDICT}{row}"])
    book.define("ph_gap", SHEET, f"${_GAP}${_FIRST}")
    book.define("ph_can_tell", SHEET, f"$J${_FIRST}")
    book.define("ph_match", SHEET, f"${_VERDICT}${_FIRST}")
    section(sheet, row + 2, "What to know", 10)
    notes = (
        "pH within 0.2 and 0.2 a day are common practice; a difference of 0.3 within a day can already harm "
        "(FAO 589, section 7.3), and above 0.5 it wants a day or more.",
        "Fish that live there and look well prove nothing: they drifted with their water, slowly. New fish meet it at "
        "once, and die within two days while the residents are fine. Go by readings.",
        "Both waters with the same kit, the same day, the same light. A kit at the end of its range shows its last "
        "colour, not the pH.",
        "Never average two pH values to foresee a mixture: alkalinity decides. The sheet Arrival works it out.",
    )
    for number, text in enumerate(notes, row + 3):
        sheet.merge_cells(f"A{number}:J{number}")
        put(sheet, f"A{number}", text, wrap=True)
        set_height(sheet, number, lines_of(text, sum(_WIDTHS)))
    sheet.freeze_panes = f"A{_FIRST}"
    sheet.print_area = f"A1:J{row + 2 + len(notes)}"


def _write_pair(plan: Plan, sheet: Worksheet, row: int, pair: Pair) -> None:
    book, units = plan.book, plan.book.units
    difference, shown = pair.difference, "0" if pair.shown == "0" else style.format_of(pair.quantity, units)
    put(sheet, f"A{row}", pair.label, "strong")
    put(sheet, f"B{row}", pair.quantity.unit_in(units))
    for letter, side in (("C", "from"), ("D", "to")):
        cell = plan[f"{side}_ph_now" if pair.key == "ph" else f"{side}_{pair.key}"]
        put(sheet, f"{letter}{row}", f'=IF({cell}="","",{cell})', "result", shown)
    number_input(book, sheet, f"{_STEP}{row}", measures.KIT_RESOLUTION, f"Step: {pair.label}",
                 help="The smallest difference that your kit or meter shows for this, in the unit of the row")
    book.define(f"kit_resolution_{pair.key}", SHEET, f"${_STEP}${row}")
    usual = pair.usual_step if pair.quantity.us_factor == 1 else book.show(difference, pair.usual_step or 0)
    put(sheet, f"{_STEP_USED}{row}", f'=IF(${_STEP}{row}="",{usual:.12g},${_STEP}{row})', "result", "0.0##")
    put(sheet, f"{_GAP}{row}", f'=IF(COUNT($C{row}:$D{row})<2,"",ROUND(ABS($D{row}-$C{row}),6))', "result",
        pair.shown)
    limit = plan[pair.limit]
    put(sheet, f"{_LIMIT}{row}", f"={limit}", "result", pair.shown)
    apart, step = f"${_GAP}{row}", f"${_STEP_USED}{row}"
    ladder = [(f'{apart}=""', '""')]
    if pair.no_go:
        ladder.append((f"{apart}>ROUND({plan[pair.no_go]},6)", f'"{pair.act}"'))
    ladder.append((f"{apart}>ROUND({limit},6)", f'"{pair.watch}"'))
    at_end = f'OR(MIN($C{row}:$D{row})<={plan["kit_lowest_ph"]},MAX($C{row}:$D{row})>={plan["kit_highest_ph"]})'
    if pair.key == "ph":
        ladder.append((at_end, f'"watch: end of its range; {NO_VOUCHER}"'))
        ladder.append((f"ROUND({apart}+{step},6)>ROUND({limit},6)",
                       f'"watch: within "&ROUND({limit},2)&" as read; {NO_VOUCHER}"'))
    put(sheet, f"{_VERDICT}{row}", "=" + first_that_holds(ladder, '"fine"'), "result", wrap=True, align="left")
    set_height(sheet, row, 2)
    assumed = f'IF(${_STEP}{row}="","assumed: ","")'
    unit = "" if pair.key == "ph" else f" {difference.unit_in(units) or pair.quantity.unit_in(units)}"
    kit = f'"your kit steps by "&{step}&"{unit}: "'
    ends = f'"an end of your kit ("&{plan["kit_lowest_ph"]}&" to "&{plan["kit_highest_ph"]}'
    tells = first_that_holds((
        (f'{apart}=""', '""'),
        *([(at_end, f'{ends}&"): the true pH may lie beyond it"')] if pair.key == "ph" else []),
        (f"ROUND({step},6)>ROUND({limit},6)", f'{assumed}&{kit}&"it cannot show a match within "&ROUND({limit},2)'),
        (f"ROUND({apart}+{step},6)>ROUND({limit},6)",
         f'{assumed}&{kit}&"the true gap may be up to "&ROUND({apart}+{step},2)'),
    ), f'{assumed}&{kit}&"it can tell"')
    put(sheet, f"J{row}", f"={tells}", "result", wrap=True, align="left")
