"""A workbook's formulas computed by LibreOffice with the functions in it."""

from __future__ import annotations

from pailbook.files import scratch
from pailbook.hosts.areas import read_reference
from pailbook.hosts.calc import driver, extension
from pailbook.hosts.cells import ErrorValue, FormulaCell
from pailbook.hosts.results import Calculation, Problem
from pailbook.workbook.contents import Workbook
from pailbook.workbook.splice import address_of


def calculate(book: Workbook) -> Calculation:
    """The values that LibreOffice gives for all formulas, and the errors among them.

    Raises
    ------
    OfficeError
        When LibreOffice is missing, too old, fails or takes too long.
    """
    with scratch() as folder:
        functions = extension.build(folder / "pailbook.oxt")
        computed = folder / "computed.xlsx"
        driver.convert(book.path, computed, extension=functions)
        found = Workbook(computed).stored_values()
    values, problems = {}, []
    for title, cells in book.contents().items():
        for address, content in cells.items():
            if isinstance(content, FormulaCell):
                for place in _filled(address, content):
                    values[title, place] = found.get((title, place), "")
                value = values[title, address]
                if isinstance(value, ErrorValue):
                    problems.append(Problem(title, address, content.text, f"gives {value} in LibreOffice", True))
    return Calculation(values, tuple(problems))


def _filled(address: str, formula: FormulaCell) -> list[str]:
    """The addresses of the cells that the formula fills."""
    reference = read_reference(formula.array, None, 1, 1) if formula.array else None
    area = reference.seen_from("", 1, 1) if reference else None
    return [address_of(place) for place in area.cells()] if area else [address]
