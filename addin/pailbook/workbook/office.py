"""A workbook's formulas computed by LibreOffice with the functions in it."""

from __future__ import annotations

from pailbook.files import scratch
from pailbook.hosts.areas import Area, address_of
from pailbook.hosts.calc import driver, extension
from pailbook.hosts.cells import ErrorValue, FormulaCell
from pailbook.hosts.results import Calculation, Problem
from pailbook.workbook.contents import Workbook


def calculate(book: Workbook) -> Calculation:
    """The values that LibreOffice gives for all formulas, and the errors among them.

    Raises
    ------
    WorkbookError
        When the file cannot be read.
    OfficeError
        When LibreOffice is missing, too old, fails or takes too long.
    """
    contents = book.contents()  # which refuses a damaged file, before LibreOffice makes of it what it can
    with scratch() as folder:
        functions = extension.build(folder / "pailbook.oxt")
        computed = folder / "computed.xlsx"
        driver.convert(book.path, computed, extension=functions)
        found = Workbook(computed).stored_values()
    values, problems = {}, []
    for title, cells in contents.items():
        for address, content in cells.items():
            if isinstance(content, FormulaCell):
                for place in Area.of(title, content.array or address).cells():
                    values[title, address_of(place)] = found.get((title, address_of(place)), "")
                value = values[title, address]
                if isinstance(value, ErrorValue):
                    problems.append(Problem(title, address, content.text, f"gives {value} in LibreOffice", True))
    return Calculation(values, tuple(problems))
