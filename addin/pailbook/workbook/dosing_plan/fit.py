"""Sheet "Uptake data": of each nutrient the latest rows that count for its uptake, oldest first."""

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
_KEYS = ("stamp", *SERIES)
_LABELS = ("Time stamp", "Date", "Reading", "Brought by a dose", "Share changed", "In the new water")
_FIRST = 6


def _letter(nutrient: Nutrient, key: str) -> str:
    return charts.block(NUTRIENTS.index(nutrient), len(_KEYS) + 1)[_KEYS.index(key)]


def column(nutrient: Nutrient, key: str) -> str:
    """The range of one of a nutrient's columns."""
    letter = _letter(nutrient, key)
    return f"{quoted(SHEET)}!${letter}${_FIRST}:${letter}${_FIRST + ROWS - 1}"


def place(nutrient: Nutrient, key: str) -> tuple[str, int]:
    """The letter and first row of one of a nutrient's columns."""
    return _letter(nutrient, key), _FIRST


def write(plan: Plan) -> None:
    """Writes the sheet."""
    sheet = plan.book.sheet(SHEET, f"The latest {ROWS} rows of Readings that count for each nutrient's uptake; nothing "
                                   "to fill in.", tab="A9B7BA")
    readings = plan.tables[SHEETS["readings"]]
    for nutrient in NUTRIENTS:
        letters = {key: _letter(nutrient, key) for key in _KEYS}
        rows = readings.range(f"{nutrient.key}_row")
        counting = f'COUNTIF({rows},">0")'
        put(sheet, f"{letters['stamp']}{_FIRST - 2}", f"{nutrient.label}, {nutrient.unit}", "strong")
        headings(sheet, _FIRST - 1, _LABELS, first=sheet[f"{letters['stamp']}1"].column, height=44)
        for number in range(ROWS):
            row = _FIRST + number
            stamp = f"${letters['stamp']}{row}"
            back = f"MIN({counting},{ROWS})-{number}"

            def of(text: str, stamp: str = stamp) -> str:
                return f'=IF({stamp}="","",{text})'

            at = f"MATCH({stamp},{rows},0)"
            fit, share = readings.at(f"{nutrient.key}_fit", at), readings.at("changed", at)
            put(sheet, f"{letters['stamp']}{row}", f'=IF({back}<1,"",LARGE({rows},MAX({back},1)))', "result",
                style.DATE_FORMAT)
            for key, text, number_format in (
                ("date", f"INT({stamp})", style.DATE_FORMAT),
                ("reading", fit, "0.00"),
                ("added", readings.at(f"{nutrient.key}_added", at), "0.00"),
                ("changed", f"IF(ISNUMBER({share}),{share}/100,0)", "0.00"),
                ("incoming", f"IF(ISNUMBER({cell(nutrient, 'incoming')}),{cell(nutrient, 'incoming')},0)", "0.00"),
            ):
                put(sheet, f"{letters[key]}{row}", of(text), "result", number_format)
        for key in _KEYS:
            sheet.column_dimensions[letters[key]].width = 11
        sheet.column_dimensions[charts.block(NUTRIENTS.index(nutrient), len(_KEYS) + 1)[-1]].width = 2
    sheet.print_area = f"A1:{_letter(NUTRIENTS[-1], _KEYS[-1])}{_FIRST + ROWS - 1}"
