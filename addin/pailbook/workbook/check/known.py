"""The rows of a farm log that the engine need not calculate.

In a log of many thousand rows that would take minutes. If a row's readings are in order and its formulas are those of a
blank log, they give what is calculated here, and no error can start in them.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import Any

from openpyxl.utils.cell import column_index_from_string, coordinate_to_tuple

from pailbook.hosts.cells import FormulaCell
from pailbook.workbook.check.log import FarmLog
from pailbook.workbook.check.overwritten import form_of, rough_form
from pailbook.workbook.check.subject import Spare
from pailbook.workbook.columns import Column, quoted
from pailbook.workbook.farm_log import limits, water_tests
from pailbook.workbook.farm_log.water_tests import INPUTS, RESULTS
from pailbook.workbook.log.locate import Located
from pailbook.workbook.log.water import Test

_FINE = {"verdict": "fine", "why": ""}  # texts on which nothing that is checked here depends


FEW = 1000  # rows that the engine calculates quickly


def known_values(log: FarmLog) -> tuple[dict[tuple[str, str], Any], Spare]:
    """What the formulas give in rows of water tests that are in order.

    Returns
    -------
    values, spare
        By sheet and address; and what may be left out: all but the last of these rows, and what summarises them.
    """
    placed = log.table(water_tests.SHEET)
    if placed is None or any(column.key not in placed.letters for column in (*INPUTS, *RESULTS)):
        return {}, Spare()
    contents = log.subject.contents[placed.sheet]
    usual = {column.key: text for column in RESULTS if (text := _usual(log, placed, column))}
    if len(usual) < len(RESULTS):
        return {}, Spare()
    known: dict[tuple[str, str], Any] = {}
    rows = []
    for test in log.all_tests:
        if not _in_order(log, test):
            continue
        row = test.row.number
        formulas = {key: contents.get(placed.cell(key, row)) for key in usual}
        if any(not isinstance(cell, FormulaCell) or rough_form(cell.text, row) != usual[key]
               for key, cell in formulas.items()):
            continue
        elevation = test.values["elevation"]
        found = {**_FINE, **{key: test.values[key] for key in usual if key in test.values},
                 "when": log.subject.value(placed.sheet, placed.cell("date", row)) + (
                     test.row.number_of("time") or 0.0) + row * 1e-9,
                 "kind": float(limits.KINDS.index(log.kind_of(test.of)) + 1), "height": elevation}
        known.update(((placed.sheet, placed.cell(key, row)), "" if found[key] is None else found[key])
                     for key in usual if key in found)  # the engine calculates the others
        rows.append(row)
    if len(rows) <= FEW:
        return known, Spare()
    return known, Spare(placed.sheet, frozenset(rows[:-FEW]), frozenset(_summarising(log, placed)))


def _summarising(log: FarmLog, placed: Located) -> Iterator[tuple[str, str]]:
    """The log's own formulas on other sheets that use the sheet of water tests."""
    mark = f"{quoted(placed.sheet)}!"
    for title, sheet in log.places.sheets.items():
        forms = {form_of(text, row, column) for (row, column), text in log.places.blank.formulas[title].items()}
        for address, content in log.subject.contents[sheet].items() if sheet != placed.sheet else ():
            if isinstance(content, FormulaCell) and mark in content.text:
                row, column = coordinate_to_tuple(address)
                if form_of(content.text, row, column) in forms:
                    yield sheet, address


def _usual(log: FarmLog, placed: Located, column: Column) -> str:
    """The formula that most rows of a column have, if it is that of a blank log: only that one is known."""
    contents, letter = log.subject.contents[placed.sheet], placed.letters[column.key]
    texts: Counter[str] = Counter()
    example: dict[str, tuple[str, int]] = {}
    for test in log.all_tests:
        row = test.row.number
        cell = contents.get(f"{letter}{row}")
        if isinstance(cell, FormulaCell):
            rough = rough_form(cell.text, row)
            texts[rough] += 1
            example.setdefault(rough, (cell.text, row))
    if not texts:
        return ""
    rough = texts.most_common(1)[0][0]
    table = placed.table
    own = table.letter(column.key)
    text, row = example[rough]
    blank = log.places.blank.formulas[table.sheet][table.first_row, column_index_from_string(own)]
    here = form_of(text, row, column_index_from_string(letter))
    return rough if here == form_of(blank, table.first_row, column_index_from_string(own)) else ""


def _in_order(log: FarmLog, test: Test) -> bool:
    """Whether a row holds a date, a registered system and readings that can be used, and all could be calculated."""
    time = test.row["time"]
    return (test.when is not None and test.of in log.systems and not test.wrong and None not in log.factors.values()
            and (time is None or (isinstance(time, float) and 0 <= time < 1))
            and isinstance(test.values["elevation"], float) and not test.unanswered)
