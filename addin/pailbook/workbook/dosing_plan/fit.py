"""Sheet "Uptake data": the latest rows that count for the uptake of each nutrient, oldest first.

One block per nutrient, two blocks side by side, so that the sheet can be read on paper too.
"""

from __future__ import annotations

from pailbook.workbook import charts, style
from pailbook.workbook.columns import quoted
from pailbook.workbook.dosing_plan.nutrients import NUTRIENTS, Nutrient
from pailbook.workbook.dosing_plan.places import SHEETS, cell
from pailbook.workbook.form import Plan
from pailbook.workbook.sheets import headings, put

SHEET = SHEETS["fit"]
ROWS = 12
SERIES = ("date", "reading", "added", "changed", "incoming")
_KEYS = (*SERIES, "stamp")  # which finds the row of Readings, and is hidden
_LABELS = ("Date", "Reading", "Added by doses", "Share of water changed", "In the new water", "Row")
_FIRST, _BESIDE = 6, 2
_HEIGHT = ROWS + 4  # of a block, with its two headings and the space below


def place(nutrient: Nutrient, key: str) -> tuple[str, int]:
    """The letter and first row of one of a nutrient's columns."""
    down, across = divmod(NUTRIENTS.index(nutrient), _BESIDE)
    return charts.block(across, len(_KEYS) + 1)[_KEYS.index(key)], _FIRST + down * _HEIGHT


def column(nutrient: Nutrient, key: str) -> str:
    """The range of one of a nutrient's columns."""
    letter, first = place(nutrient, key)
    return f"{quoted(SHEET)}!${letter}${first}:${letter}${first + ROWS - 1}"


def write(plan: Plan) -> None:
    """Writes the sheet."""
    sheet = plan.book.sheet(SHEET, f"The latest {ROWS} rows of Readings that count for each nutrient's uptake; nothing "
                                   "to fill in.", landscape=False, tab="A9B7BA")
    readings = plan.tables[SHEETS["readings"]]
    for nutrient in NUTRIENTS:
        letters = {key: place(nutrient, key)[0] for key in _KEYS}
        first = place(nutrient, "date")[1]
        rows = readings.range(f"{nutrient.key}_row")
        counting = f'COUNTIF({rows},">0")'
        put(sheet, f"{letters['date']}{first - 2}", f"{nutrient.label}, {nutrient.unit}", "strong")
        headings(sheet, first - 1, _LABELS, first=sheet[f"{letters['date']}1"].column, height=30)
        for number in range(ROWS):
            row = first + number
            stamp = f"${letters['stamp']}{row}"
            back = f"MIN({counting},{ROWS})-{number}"

            def of(text: str, stamp: str = stamp) -> str:
                return f'=IF({stamp}="","",{text})'

            at = f"MATCH({stamp},{rows},0)"
            fit, share = readings.at(f"{nutrient.key}_fit", at), readings.at("clean_changed", at)
            put(sheet, f"{letters['stamp']}{row}", f'=IF({back}<1,"",LARGE({rows},MAX({back},1)))', "result")
            for key, text, number_format in (
                ("date", f"INT({stamp})", style.DATE_FORMAT),
                ("reading", fit, "0.00"),
                ("added", readings.at(f"{nutrient.key}_brought", at), "0.00"),
                ("changed", f"IF(ISNUMBER({share}),{share}/100,0)", "0%"),
                ("incoming", f"IF(ISNUMBER({cell(nutrient, 'incoming')}),{cell(nutrient, 'incoming')},0)", "0.00"),
            ):
                put(sheet, f"{letters[key]}{row}", of(text), "result", number_format)
        for key in _KEYS:
            sheet.column_dimensions[letters[key]].width = 14
        sheet.column_dimensions[letters["stamp"]].hidden = True
    for across in range(_BESIDE):
        sheet.column_dimensions[charts.block(across, len(_KEYS) + 1)[-1]].width = 3
    last = charts.block(_BESIDE - 1, len(_KEYS) + 1)[-2]
    sheet.print_area = f"A1:{last}{place(NUTRIENTS[-1], 'date')[1] + ROWS - 1}"
