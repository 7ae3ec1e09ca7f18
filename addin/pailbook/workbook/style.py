"""How the workbooks look: what is typed in, what is worked out, notes, headings and verdicts.

They differ in fill, border and weight, so that they also differ in a black and white print. The verdict's colours
are distinct to colour-blind people (dark red-brown, yellow, pale blue-green) and differ in darkness; words come first.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, Literal

from openpyxl.cell.cell import Cell, MergedCell
from openpyxl.formatting.rule import FormulaRule
from openpyxl.styles import Alignment, Border, Font, PatternFill, Protection, Side
from openpyxl.worksheet.worksheet import Worksheet

from pailbook.quantities import US, Quantity

FONT = "Arial"
INK, HEADING, QUIET = "1B2A2E", "21474D", "5A6A6E"
ACT, WATCH, FINE = "9C3208", "F6D55C", "D9ECEA"
DATE_FORMAT, TIME_FORMAT = "yyyy-mm-dd", "hh:mm"

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
    if quantity.label in ("fish density", "hauling density"):
        return "0.000" if units == US else "0.0"
    if quantity.whole:
        return "0"
    return {
        "NH3-N": "0.000", "TAN-N": "0.00", "nitrite": "0.00", "pH": "0.00", "percent of saturation": "0",
        "free CO2": "0.0", "volume": "#,##0.0", "fish mass": "0.0",
        "biomass": "0.00", "oxygen": "0.0", "water temperature": "0.0", "elevation": "0", "share": "0",
    }.get(quantity.label, "0.0")


def typed_format(quantity: Quantity | None) -> str:
    """A number format for what is typed: a digit after the point where the trade writes one, else as typed."""
    decimal = quantity is not None and quantity.label in ("pH", "water temperature", "dissolved oxygen")
    return "0.0#" if decimal else "General"


def verdict_colours(
    sheet: Worksheet, ranges: Iterable[str], words: tuple[str, str, str] = ("act", "watch", "fine")
) -> None:
    """Colours the cells by the word that their text begins with, worst first; the words stand without it."""
    for span in ranges:
        first = span.split(":")[0]
        for word, font, fill in zip(
            words, (Font(bold=True, color="FFFFFF"), Font(bold=True, color="000000"), Font(color="000000")),
            (ACT, WATCH, FINE),
        ):
            sheet.conditional_formatting.add(span, FormulaRule(  # type: ignore[no-untyped-call]
                formula=[f'LEFT({first},{len(word)})="{word}"'], font=font,
                fill=PatternFill("solid", bgColor=fill, fgColor=fill),
            ))
