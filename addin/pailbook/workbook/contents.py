"""What the cells of a workbook's file hold: values and formulas, as the headless engine takes them."""

from __future__ import annotations

from functools import cached_property
from typing import Any

from openpyxl.formula.tokenizer import TokenizerError
from openpyxl.formula.translate import Translator, TranslatorError
from openpyxl.utils.datetime import from_ISO8601

import pailbook.functions  # noqa: F401 - fills the catalogue
from pailbook.formula.call_names import may_call
from pailbook.hosts.cells import ErrorValue, FormulaCell, as_cell_value
from pailbook.workbook.parts import Package, unescaped
from pailbook.workbook.worksheet import Cell, Worksheet


class Workbook(Package):
    """A workbook's file and the cells in it."""

    @cached_property
    def worksheets(self) -> dict[str, Worksheet]:
        """The sheets that hold cells, read, by title."""
        return {title: Worksheet(self, title) for title in self.sheets}

    def contents(self) -> dict[str, dict[str, Any]]:
        """By sheet and address, what each cell that is not blank holds: a value or a FormulaCell.

        A formula that cells share is written out for each of them. The cells of a data table count as values.
        """
        return {title: _contents(sheet) for title, sheet in self.worksheets.items()}

    def stored_values(self) -> dict[tuple[str, str], Any]:
        """By sheet and address, the value that the file holds for each cell that is not blank, formula or not."""
        values = {(title, cell.address): stored_value(sheet, cell)
                  for title, sheet in self.worksheets.items() for cell in sheet.cells()}
        return {place: value for place, value in values.items() if value is not None}

    @cached_property
    def calls_functions(self) -> bool:
        """Whether a formula calls one of our functions, however its name is spelt."""
        return any(
            may_call(cell.formula_text) for sheet in self.worksheets.values() for cell in sheet.cells()
        )


def _contents(sheet: Worksheet) -> dict[str, Any]:
    found: dict[str, Any] = {}
    shared: dict[str, Cell] = {}
    for cell in sheet.cells():
        content = _formula(cell, shared) or stored_value(sheet, cell)
        if content is not None:
            found[cell.address] = content
    return found


def _formula(cell: Cell, shared: dict[str, Cell]) -> FormulaCell | None:
    if cell.formula is None or cell.formula.get("t") == "dataTable":
        return None
    text, kind, number = cell.formula_text, cell.formula.get("t"), cell.formula.get("si", "")
    if kind == "array":
        return FormulaCell(text, cell.formula.get("ref", cell.address))
    if kind != "shared":
        return FormulaCell(text) if text else None
    if text and "ref" in cell.formula:
        shared[number] = cell
    return FormulaCell(text or _moved(shared.get(number), cell))


def _moved(first: Cell | None, cell: Cell) -> str:
    """The formula of the first cell that shares it, as it reads in another; what cannot be read stays as it is."""
    if first is None:
        return ""
    try:
        moved = Translator("=" + first.formula_text, first.address).translate_formula(cell.address)
    except TranslatorError:
        return "#REF!"
    except (TokenizerError, IndexError, AssertionError):
        return first.formula_text
    return str(moved).removeprefix("=")


def stored_value(sheet: Worksheet, cell: Cell) -> Any:
    """The value that the file holds for a cell: None, float, str, bool or ErrorValue."""
    text, kind = cell.value, cell.kind
    if text is None:
        return "" if kind in ("str", "inlineStr") else None
    texts = sheet.package.texts if kind == "s" else []
    try:
        if kind == "s":
            return texts[int(text)]
        if kind in ("str", "inlineStr"):
            return unescaped(text)
        if kind == "b":
            return {"1": True, "0": False, "true": True, "false": False}[text.strip()]
        if kind == "e":
            return ErrorValue(text.strip())
        if kind == "d":
            return as_cell_value(from_ISO8601(text), sheet.package.from_1904)  # type: ignore[no-untyped-call]
        if kind == "n":
            return float(text) if text.strip() else None
    except (ValueError, KeyError, IndexError):
        pass
    raise sheet.error(f"is damaged: its value {text!r} is not of the kind {kind!r}", cell.address)
