"""US spelling and words for US workbooks: every text of cells, input messages and charts in its US form."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from openpyxl import Workbook
from openpyxl.chart.text import RichText
from openpyxl.worksheet.formula import ArrayFormula
from openpyxl.worksheet.worksheet import Worksheet

from pailbook.terms import american

_MESSAGES = ("prompt", "promptTitle", "error", "errorTitle", "formula1")  # the last one holds the choices of a list


def speak_american(workbook: Workbook) -> None:
    """Puts all that a person reads in a workbook in memory into US English; done twice, it changes nothing more."""
    for sheet in workbook.worksheets:
        for row in sheet.iter_rows():
            for cell in row:
                if isinstance(cell.value, str):
                    cell.value = american(cell.value)
                elif isinstance(cell.value, ArrayFormula):
                    cell.value.text = american(cell.value.text or "")
        for rule in sheet.data_validations.dataValidation:
            for name in _MESSAGES:
                if text := getattr(rule, name):
                    setattr(rule, name, american(text))
        for run in _chart_texts(sheet):
            run.t = american(run.t)


def _chart_texts(sheet: Worksheet) -> Iterator[Any]:
    """The runs of text in the titles of a sheet's charts and of their axes."""
    for chart in sheet._charts:  # type: ignore[attr-defined]  # openpyxl has no public list of them
        titles = [chart.title, *(getattr(getattr(chart, axis, None), "title", None) for axis in ("x_axis", "y_axis"))]
        for title in titles:
            rich = title.tx.rich if title is not None and title.tx is not None else None
            if isinstance(rich, RichText):
                yield from (run for paragraph in rich.p for run in paragraph.r or () if run.t)
