"""Sheet "Water match": both waters side by side, the gap, its limit, the verdict, and what the kit can show."""

from __future__ import annotations

from openpyxl.worksheet.worksheet import Worksheet

from pailbook.rules import clean
from pailbook.terms import NOT_KNOWN
from pailbook.workbook import style
from pailbook.workbook.form import Plan
from pailbook.workbook.lines import lines_of, set_height
from pailbook.workbook.move_plan import judged
from pailbook.workbook.move_plan.waters import (
    FIRST,
    FROM_COLUMN,
    GAP,
    GIVEN,
    KIT,
    KIT_CLEAN,
    LIMIT,
    PAIRS,
    SHEET,
    TO_COLUMN,
    USED,
    VERDICT,
    Pair,
    resolution_quantity,
    row_of,
)
from pailbook.workbook.sheets import headings, number_input, put, section, widths
from pailbook.workbook.texts import first_that_holds

_WIDTHS = (20, 16, 11, 11, 11, 11, 9, 9, 44, 46)


def _at_end(plan: Plan) -> str:
    both = f"{FROM_COLUMN}{FIRST}:{TO_COLUMN}{FIRST}"
    return f'OR(MIN({both})<={plan["kit_lowest_ph"]},MAX({both})>={plan["kit_highest_ph"]})'


def write(plan: Plan) -> None:
    """Writes the sheet."""
    book = plan.book
    sheet = book.sheet(SHEET, "Two readings that look the same can differ by the resolution of the kit: enter the "
                              "resolution of your kit or meter.")
    widths(sheet, *_WIDTHS)
    headings(sheet, FIRST - 1, ("Property", "Unit", "Where the fish are now", "At the destination",
                                 "Resolution of your kit", "Resolution in use", "Gap", "Limit", "Verdict",
                                 "Can the kit show a match?"), height=44)
    for row, pair in enumerate(PAIRS, FIRST):
        _write_pair(plan, sheet, row, pair)
    row = row_of("light")
    first, second = plan["from_light"], plan["to_light"]
    put(sheet, f"A{row}", "Light", "strong")
    for letter, cell in ((FROM_COLUMN, first), (TO_COLUMN, second)):
        put(sheet, f"{letter}{row}", f'=IF({cell}="","",{cell})', "result", align="right")
    put(sheet, f"{VERDICT}{row}", f'={judged.text("light_match")(plan)}', "result", wrap=True, align="left")
    set_height(sheet, row, 2)
    style.verdict_colours(sheet, [f"{VERDICT}{FIRST}:{VERDICT}{row}"])
    asked = judged.rule_named(plan, "ph_match")
    resolution = next(one for one in asked.questions if one.name == "kit_resolution_ph")
    put(sheet, f"{KIT_CLEAN}{FIRST}", f'={clean(resolution, f"${USED}${FIRST}", book.units)}', "note")
    sheet.column_dimensions[KIT_CLEAN].hidden = True
    book.define("ph_gap", SHEET, f"${GAP}${FIRST}")
    book.define("ph_kit_shows", SHEET, f"${KIT}${FIRST}")
    book.define("ph_match", SHEET, f"${VERDICT}${FIRST}")
    section(sheet, row + 2, "What to know", len(_WIDTHS))
    notes = (
        "A pH within 0.2, and no more than 0.2 of change per day, is common practice. A change of 0.3 within a day can "
        "already harm (FAO 589, section 7.3); a difference above 0.5 takes a day or more.",
        "Healthy fish at the destination prove nothing: they have followed their water slowly. New fish meet it all at "
        "once and can die within two days while the others stay well. Go by the readings.",
        "Test both waters with the same kit, on the same day and in the same light. At the end of its range a kit "
        "shows its last colour, not the pH.",
        "Do not average two pH values to predict a mixture, because alkalinity decides it. The sheet Arrival "
        "calculates it.",
    )
    for number, text in enumerate(notes, row + 3):
        sheet.merge_cells(f"A{number}:J{number}")
        put(sheet, f"A{number}", text, wrap=True)
        set_height(sheet, number, lines_of(text, sum(_WIDTHS)))
    sheet.freeze_panes = f"A{FIRST}"
    sheet.print_area = f"A1:J{row + 2 + len(notes)}"


def _write_pair(plan: Plan, sheet: Worksheet, row: int, pair: Pair) -> None:
    book, units = plan.book, plan.book.units
    difference, shown = pair.difference, "0" if pair.shown == "0" else style.format_of(pair.quantity, units)
    put(sheet, f"A{row}", pair.heading or pair.label, "strong")
    put(sheet, f"B{row}", pair.quantity.unit_in(units))
    for letter, side in ((FROM_COLUMN, "from"), (TO_COLUMN, "to")):
        cell = plan[f"{side}_ph_now" if pair.key == "ph" else f"{side}_{pair.key}"]
        put(sheet, f"{letter}{row}", f'=IF({cell}="","",{cell})', "result", shown)
    number_input(book, sheet, f"{GIVEN}{row}", resolution_quantity(), f"Resolution: {pair.label}",
                 help="The smallest difference that your kit or meter shows, in the unit of this row")
    book.define(f"kit_resolution_{pair.key}", SHEET, f"${GIVEN}${row}")
    usual = pair.usual_resolution if pair.quantity.us_factor == 1 else book.show(difference, pair.usual_resolution)
    put(sheet, f"{USED}{row}", f'=IF(${GIVEN}{row}="",{usual:.12g},${GIVEN}{row})', "result", "0.0##")
    put(sheet, f"{GAP}{row}", f'=IF(COUNT($C{row}:$D{row})<2,"",ROUND(ABS($D{row}-$C{row}),6))', "result",
        pair.shown)
    limit = plan[pair.limit]
    put(sheet, f"{LIMIT}{row}", f"={limit}", "result", pair.shown)
    put(sheet, f"{VERDICT}{row}", f'={judged.text(f"{pair.key}_match")(plan)}', "result", wrap=True, align="left")
    set_height(sheet, row, 2)
    put(sheet, f"{KIT}{row}", f"={_can_show(plan, pair, row)}", "result", wrap=True, align="left")


def _can_show(plan: Plan, pair: Pair, row: int) -> str:
    """Whether the kit can show a match, yes or no and why; blank until both waters were tested."""
    units, limit = plan.book.units, plan[pair.limit]
    apart, finest = f"${GAP}{row}", f"${USED}{row}"
    unit = "" if pair.key == "ph" else f" {pair.difference.unit_in(units) or pair.quantity.unit_in(units)}"
    kit = f'IF(${GIVEN}{row}="","an assumed resolution of ","a resolution of ")&{finest}&"{unit}'
    ends = f'"no: the kit\'s range ends here ("&{plan["kit_lowest_ph"]}&" to "&{plan["kit_highest_ph"]}'
    return first_that_holds((
        (f'{apart}=""', '""'),
        (f"NOT(ISNUMBER({finest}))", f'"{NOT_KNOWN}: the resolution is not a number"'),
        *([(_at_end(plan), f'{ends}&"); the true pH may lie beyond it"')] if pair.key == "ph" else []),
        (f"ROUND({finest},6)>ROUND({limit},6)",
         f'"no: "&{kit} is too coarse to show a match within "&ROUND({limit},2)'),
        (f"ROUND({apart}+{finest},6)>ROUND({limit},6)",
         f'"no: with "&{kit} the true gap may be up to "&ROUND({apart}+{finest},2)'),
    ), f'"yes: "&{kit} is fine enough"')
