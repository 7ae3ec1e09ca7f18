"""How the workbooks look: what is typed in, what is calculated, notes, headings and verdicts.

They differ in fill, border and weight, so that they also differ in a black and white print. The verdict's colours
are distinct to colour-blind people (dark red-brown, grey, yellow, pale blue-green) and differ in darkness; words come
first.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, Literal

from openpyxl.cell.cell import Cell, MergedCell
from openpyxl.formatting.rule import FormulaRule
from openpyxl.styles import Alignment, Border, Font, PatternFill, Protection, Side
from openpyxl.worksheet.worksheet import Worksheet

from pailbook import terms
from pailbook.quantities import (
    PH,
    US,
    Biomass,
    CarbonDioxide,
    Elevation,
    FishDensity,
    FishMass,
    Fraction,
    HaulingDensity,
    Oxygen,
    OxygenMass,
    Percent,
    Quantity,
    TotalAmmonia,
    UnionizedAmmonia,
    Volume,
    WaterTemperature,
)
from pailbook.workbook.measures import NITRITE, quantity

FONT = "Arial"
INK, HEADING, QUIET = "1B2A2E", "21474D", "5A6A6E"
ACT, NOT_KNOWN, WATCH, FINE = "9C3208", "B4BEC6", "F6D55C", "D9ECEA"
DATE_FORMAT, TIME_FORMAT = "yyyy-mm-dd", "hh:mm"

# How many decimals a number of that kind deserves, by the label of its quantity; 1 for all others.
_DECIMALS = {quantity(hint).label: shown for shown, hints in {
    "0.000": (UnionizedAmmonia,), "0.00": (TotalAmmonia, PH, Biomass), "0.0": (CarbonDioxide, FishMass, OxygenMass),
    "#,##0.0": (Volume,), "0": (Percent, Elevation, Fraction),
}.items() for hint in hints} | {NITRITE.label: "0.00"}
_DENSITIES = {quantity(hint).label for hint in (FishDensity, HaulingDensity)}
_WITH_A_DIGIT = {quantity(hint).label for hint in (PH, WaterTemperature, Oxygen)}

_TOP = Alignment(vertical="top")
_THIN, _HAIRLINE = Side("thin", color="B5AA86"), Side("hair", color="A9B7BA")
_BOX = Border(left=_THIN, right=_THIN, top=_THIN, bottom=_THIN)
_HAIR = Border(left=_HAIRLINE, right=_HAIRLINE, top=_HAIRLINE, bottom=_HAIRLINE)
_FILL = {name: PatternFill("solid", fgColor=colour) for name, colour in {
    "input": "FFFBEB", "result": "EEF2F3", "heading": HEADING, "band_input": "F3E3B3", "band_result": "CFDADC",
    "section": "CFDADC", "key": "EEF2F3",
}.items()}
_ALIGN: dict[str, Literal["left", "center", "right"] | None] = {
    "": None, "left": "left", "center": "center", "right": "right",
}
_LOOK: dict[str, dict[str, Any]] = {
    "title": {"font": Font(FONT, 16, bold=True, color=HEADING)},
    "note": {"font": Font(FONT, 9, italic=True, color=QUIET), "alignment": _TOP},
    "text": {"font": Font(FONT, 10, color=INK), "alignment": _TOP},
    "strong": {"font": Font(FONT, 10, bold=True, color=INK), "alignment": _TOP},
    "section": {"font": Font(FONT, 11, bold=True, color=HEADING), "fill": _FILL["section"]},
    "heading": {
        "font": Font(FONT, 9, bold=True, color="FFFFFF"), "fill": _FILL["heading"], "border": _HAIR,
        "alignment": Alignment("center", "center", wrap_text=True),
    },
    "band_input": {"font": Font(FONT, 9, bold=True, color="5B4A12"), "fill": _FILL["band_input"]},
    "band_result": {"font": Font(FONT, 9, bold=True, color=HEADING), "fill": _FILL["band_result"]},
    "input": {
        "font": Font(FONT, 10, color=INK), "fill": _FILL["input"], "border": _BOX, "alignment": _TOP,
        "protection": Protection(locked=False),
    },
    "result": {
        "font": Font(FONT, 10, color=INK), "fill": _FILL["result"], "border": _HAIR, "alignment": _TOP,
    },
    "key": {"font": Font(FONT, 10, bold=True, color=INK), "fill": _FILL["key"], "border": _HAIR, "alignment": _TOP},
}


def look(
    cell: Cell | MergedCell, name: str, number_format: str = "", wrap: bool = False, align: str = ""
) -> Cell:
    """Gives a cell one of the looks and returns it.

    The looks: title, note, text, strong, section, heading, band_input, band_result, input, result, key.
    """
    assert isinstance(cell, Cell), f"{cell.coordinate} is hidden under a merged cell"
    for attribute, value in _LOOK[name].items():
        setattr(cell, attribute, value)
    if number_format:
        cell.number_format = number_format
    if wrap or align:
        cell.alignment = Alignment(_ALIGN[align], "top", wrap_text=wrap, indent=1 if align == "left" else 0)
    return cell


def format_of(quantity: Quantity | None, units: str) -> str:
    """A number format with as many decimals as the quantity deserves in that unit system."""
    if quantity is None:
        return "General"
    if quantity.label in _DENSITIES:
        return "0.000" if units == US else "0.0"
    if quantity.whole:
        return "0"
    return _DECIMALS.get(quantity.label, "0.0")


def typed_format(quantity: Quantity | None) -> str:
    """A number format for what is typed: a digit after the point where the trade writes one, else as typed."""
    decimal = quantity is not None and quantity.label in _WITH_A_DIGIT
    return "0.0#" if decimal else "General"


def verdict_colours(
    sheet: Worksheet, ranges: Iterable[str], words: tuple[str, str, str] = (terms.ACT, terms.WATCH, terms.FINE)
) -> None:
    """Colours the cells by the word that their text begins with; the words stand without it.

    words : the worst, the one between and the best; what is not known has a colour of its own between the first two.
    """
    act, watch, fine = words
    for span in ranges:
        first = span.split(":")[0]
        for word, font, fill in (
            (act, Font(bold=True, color="FFFFFF"), ACT), (terms.NOT_KNOWN, Font(bold=True, color="000000"), NOT_KNOWN),
            (watch, Font(bold=True, color="000000"), WATCH), (fine, Font(color="000000"), FINE),
        ):
            sheet.conditional_formatting.add(span, FormulaRule(  # type: ignore[no-untyped-call]
                formula=[f'LEFT({first},{len(word)})="{word}"'], font=font,
                fill=PatternFill("solid", bgColor=fill, fgColor=fill),
            ))
