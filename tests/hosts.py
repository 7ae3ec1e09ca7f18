"""The check values of tests/published, and each host's way of working one out.

A host is anything that evaluates a function: the Python callable, columns, a plain formula in `formulas`, the
function in the headless engine, a plain formula in LibreOffice.
"""

from __future__ import annotations

import csv
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from pathlib import Path
from typing import Any

import formulas
import numpy as np
import openpyxl
from openpyxl.utils import get_column_letter
from schedula import EMPTY

import calc
import pailbook
import pailbook.functions as _fills_the_catalogue  # noqa: F401
from inputs import typed
from pailbook.function import CATALOGUE, WorksheetFunction
from pailbook.hosts import headless
from plain import Form, plain_form

FOLDER = Path(__file__).parent / "published"
COLUMNS = ("function", "arguments", "expected", "tolerance", "unit", "source", "kind", "note")


@dataclass(frozen=True)
class Row:
    """One check value: a call, what it must give and who says so."""

    place: str  # file and line
    function: WorksheetFunction
    given: Mapping[str, Any]  # by argument name, `units` among them
    expected: Any  # a number, or a text where the function answers with one of its options
    tolerance: float
    unit: str
    source: str
    kind: str

    def __str__(self) -> str:
        call = ", ".join(f"{name}={value}" for name, value in self.given.items())
        return f"{self.place}: {self.function.name}({call})"

    @property
    def values(self) -> list[Any]:
        """The arguments in the order of the cell form, None where one is left out."""
        return [self.given.get(argument.name) for argument in self.function.cell_arguments]


@cache
def published() -> tuple[Row, ...]:
    """Every row of every file, in order."""
    rows = []
    for path in sorted(FOLDER.glob("*.csv")):
        with path.open(encoding="utf-8", newline="") as file:
            reader = csv.DictReader(file, strict=True)
            if tuple(reader.fieldnames or ()) != COLUMNS:
                raise ValueError(f"{path.name}: the columns must be {', '.join(COLUMNS)}")
            rows += [_row(f"{path.name}:{reader.line_num}", line) for line in reader]
    return tuple(rows)


def rows_of(function: WorksheetFunction) -> list[Row]:
    """The rows that check one function."""
    return [row for row in published() if row.function is function]


def _row(place: str, line: Mapping[str, str]) -> Row:
    function = CATALOGUE.get(line["function"])
    if function is None:
        raise ValueError(f"{place}: there is no function {line['function']}")
    given = {}
    for part in line["arguments"].split(";"):
        name, equals, text = (word.strip() for word in part.partition("="))
        if not equals or name in given or name not in [a.name for a in function.cell_arguments]:
            raise ValueError(f"{place}: {part.strip()!r} is no argument of {function.signature}")
        given[name] = _value(text)
    expected = line["expected"]
    option = bool(function.result.choices)
    return Row(place, function, given, expected if option else float(expected),
               0.0 if option else _tolerance(expected, line["tolerance"]), line["unit"], line["source"], line["kind"])


def _value(text: str) -> Any:
    if text in ("TRUE", "FALSE"):
        return text == "TRUE"
    try:
        return float(text)
    except ValueError:
        return text


def _tolerance(expected: str, text: str) -> float:
    """Absolute: half a unit of the last printed digit unless the row says otherwise."""
    if text.endswith("%"):
        return abs(float(expected)) * float(text[:-1]) / 100
    half_a_unit = 0.5 * 10.0 ** -len(expected.partition(".")[2])
    return (float(text) if text else half_a_unit) + 1e-12  # float noise of the printed numbers themselves


# The hosts --------------------------------------------------------------------------------------------


def in_python(row: Row) -> Any:
    """The call of the Python function by its argument names."""
    return getattr(pailbook, row.function.name.lower())(**row.given)


def in_columns(rows: Sequence[Row]) -> list[Any]:
    """One call with a column for each argument that is not the same option throughout."""
    given: dict[str, Any] = {}
    for name, value in rows[0].given.items():
        column = [row.given[name] for row in rows]
        if any(isinstance(one, str) for one in column):
            given[name] = value if len(set(column)) == 1 else np.array(column, dtype=object)
        else:
            given[name] = value if isinstance(value, bool) and len(set(column)) == 1 else np.array(column)
    result = getattr(pailbook, rows[0].function.name.lower())(**given)
    return [value if isinstance(value, str) else float(value) for value in np.broadcast_to(result, (len(rows),))]


def alike(rows: Iterable[Row], same_options: bool) -> list[list[Row]]:
    """Rows in groups that one call with columns can serve; at least three rows long, by repeating.

    The rows of a group give the same arguments, in the same unit system, and the same options where asked for.
    """
    groups: dict[Any, list[Row]] = {}
    for row in rows:
        varies = [name for name, value in row.given.items()
                  if isinstance(value, float) or not (same_options or name == "units")]
        fixed = {name: value for name, value in row.given.items() if name not in varies}
        groups.setdefault((tuple(sorted(varies)), tuple(sorted(fixed.items()))), []).append(row)
    return [(group * 3)[: max(3, len(group))] for group in groups.values()]


def addresses(row: Row, line: int) -> list[str]:
    """The cells of one sheet line that hold the arguments, left out ones as blank cells."""
    return [f"{get_column_letter(column)}{line}" for column in range(1, len(row.values) + 1)]


def constants(row: Row) -> list[str]:
    """The arguments as they are typed into a formula."""
    texts = list(map(typed, row.values))
    while texts and not texts[-1]:
        texts.pop()
    return texts


def plain_in_formulas(text: str, cells: Mapping[str, Any]) -> Any:
    """A plain formula's value by the library itself, none of our code in between."""
    compiled = _compiled(text)
    inputs = [
        formulas.Ranges().push(address, np.array([[EMPTY if cells[address] is None else cells[address]]], dtype=object))
        for address in compiled.inputs or ()
    ]
    with np.errstate(all="ignore"):
        value = np.asarray(compiled(*inputs), dtype=object).ravel()[0]
    return value.item() if isinstance(value, np.generic) else value


@lru_cache(maxsize=256)
def _compiled(text: str) -> Any:
    return formulas.Parser().ast(f"={text}")[1].compile()


def in_plain_formula(row: Row) -> tuple[Any, Any]:
    """Plain formulas in `formulas`: with cells for all arguments, and with constants."""
    cells = dict(zip(addresses(row, 1), row.values))
    return (
        _form_in_formulas(plain_form(row.function, list(cells)), cells),
        _form_in_formulas(plain_form(row.function, constants(row)), {}),
    )


def _form_in_formulas(form: Form, cells: Mapping[str, Any]) -> Any:
    known = dict(cells)
    for address, text in form.steps.items():
        known[address] = plain_in_formulas(text, known)
    return plain_in_formulas(form.final, known)


def in_headless(row: Row) -> tuple[Any, Any]:
    """The function in the headless engine: with cells for all arguments, and with constants."""
    cells = dict(zip(addresses(row, 1), row.values))
    return (
        headless.evaluate(f"={row.function.name}({','.join(cells)})", cells),
        headless.evaluate(f"={row.function.name}({','.join(constants(row))})"),
    )


def in_calc(rows: Sequence[Row], folder: Path) -> list[tuple[Any, Any]]:
    """Plain formulas in LibreOffice, all rows in one workbook: with cells for all arguments, and with constants."""
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    by_cells, by_constants = 31, 32  # columns, right of the longest list of arguments
    for line, row in enumerate(rows, start=1):
        for column, value in enumerate(row.values, start=1):
            sheet.cell(line, column, value)
        forms = [plain_form(row.function, addresses(row, line), line)]
        forms.append(plain_form(row.function, constants(row), line, first=len(forms[0].steps)))
        for column, form in zip((by_cells, by_constants), forms):
            for address, text in form.steps.items():
                sheet[address] = f"={text}"
            sheet.cell(line, column, f"={form.final}")
    path = folder / "published.xlsx"
    book.save(path)
    found = calc.recalculated(path)
    return [
        (found.get((sheet.title, f"{get_column_letter(by_cells)}{line}")),
         found.get((sheet.title, f"{get_column_letter(by_constants)}{line}")))
        for line in range(1, len(rows) + 1)
    ]
