"""A rule in all its forms: Python, columns, and its formulas in two engines and in LibreOffice."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import openpyxl
import pandas
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.formula import ArrayFormula

import calc
from pailbook.hosts.cells import ErrorValue, FormulaCell
from pailbook.hosts.engines import REFERENCE, Formulas
from pailbook.rules import Rule, Sheet, clean, judge

Case = tuple[Rule, str, Mapping[str, Any]]  # the rule, the unit system, what its cells hold
Told = tuple[str, str, str, float]  # text, word, remedy, urgency
Cells = dict[str, Any]

PARTS = ("text", "word", "remedy", "urgency")
_CLEAN, _PARTS = 50, 110  # columns to the left of the clean cells, and of the formulas


def in_python(cases: Sequence[Case]) -> list[Told]:
    """One judgement after the other."""
    judged = [judge(rule, values, units) for rule, units, values in cases]
    return [(one.text, one.outcome, one.remedy, float(one.urgency)) for one in judged]


def in_columns(cases: Sequence[Case]) -> list[Told]:
    """One frame for each rule and unit system."""
    found: dict[int, Told] = {}
    groups: dict[tuple[str, str], list[int]] = {}
    for i, (rule, units, _) in enumerate(cases):
        groups.setdefault((rule.name, units), []).append(i)
    for places in groups.values():
        rule, units, _ = cases[places[0]]
        frame = pandas.DataFrame([cases[i][2] for i in places], index=places, dtype=object)
        for i, row in judge(rule, frame, units).iterrows():
            text = f"{row.outcome}: {row.says}" if row.says else row.outcome
            found[int(str(i))] = text, row.outcome, row.remedy, float(row.urgency)
    return [found[i] for i in range(len(cases))]


def sheet_of(cases: Sequence[Case], calls: bool = False) -> Cells:
    """One row for each case: what was typed, its clean twins, the four formulas."""
    cells: Cells = {}
    for row, (rule, units, values) in enumerate(cases, start=1):
        where = {}
        for i, question in enumerate(rule.questions, start=1):
            typed, twin = f"{get_column_letter(i)}{row}", f"{get_column_letter(i + _CLEAN)}{row}"
            if values[question.name] is not None:
                cells[typed] = values[question.name]
            cells[twin] = FormulaCell(clean(question, typed, units))
            where[question.name] = f"${twin}"
        sheet = Sheet(where, units, calls)
        for i, part in enumerate(PARTS, start=_PARTS):
            cells[f"{get_column_letter(i)}{row}"] = FormulaCell(getattr(sheet, part)(rule))
    return cells


def read(values: Mapping[tuple[str, str], Any], count: int) -> list[Told]:
    """The four formulas' values in each row; an empty text may be kept as a blank."""
    def told(row: int) -> Told:
        letters = [get_column_letter(i) for i in range(_PARTS, _PARTS + len(PARTS))]
        text, word, remedy, urgency = (values.get(("S", f"{letter}{row}")) for letter in letters)
        return str(text), str(word), str(remedy or ""), float(str(urgency))

    return [told(row) for row in range(1, count + 1)]


def in_engine(cases: Sequence[Case], engine: str, calls: bool = False) -> list[Told]:
    """The formulas in one of the two engines, and nothing but in that one."""
    return read(calculated(sheet_of(cases, calls), engine), len(cases))


def calculated(cells: Cells, engine: str) -> Mapping[tuple[str, str], Any]:
    """Every formula's value."""
    model = Formulas({"S": cells}, engine=engine)
    assert engine == REFERENCE or not model.unsuited, model.unsuited
    return model.calculate().values


def in_libreoffice(
    cases: Sequence[Case], folder: Path, calls: bool = False, extension: Path | None = None
) -> list[Told]:
    """The formulas in LibreOffice."""
    return read(recalculated(sheet_of(cases, calls), folder, extension), len(cases))


def recalculated(cells: Cells, folder: Path, extension: Path | None = None) -> Mapping[tuple[str, str], Any]:
    """Every cell's value in LibreOffice."""
    book = openpyxl.Workbook()
    sheet: Any = book.active
    sheet.title = "S"
    for address, value in cells.items():
        if isinstance(value, FormulaCell):
            text = f"={value.text}"
            sheet[address] = ArrayFormula(value.array, text) if value.array else text
        else:
            sheet[address] = value.code if isinstance(value, ErrorValue) else value
            if isinstance(value, (str, ErrorValue)):
                sheet[address].data_type = "s" if isinstance(value, str) else "e"
    path = folder / "rules.xlsx"
    book.save(path)
    found: Mapping[tuple[str, str], Any] = calc.recalculated(path, extension)
    return found


def differences(cases: Sequence[Case], wanted: Sequence[Told], found: Sequence[Told]) -> list[str]:
    """Where a form tells something else, in words."""
    return [f"{rule.name} ({units}) {dict(values)}: {one} instead of {other}"
            for (rule, units, values), other, one in zip(cases, wanted, found, strict=True) if one != other]
