"""Values written into a workbook's file: computed ones behind its formulas, given ones into its input cells.

Only the elements of these cells change, and the mark that tells programs whether to compute on opening.
"""

from __future__ import annotations

import os
from collections import defaultdict
from collections.abc import Mapping
from typing import Any

from pailbook.hosts.areas import address_of, place_at
from pailbook.workbook.archive import WorkbookError
from pailbook.workbook.contents import Workbook
from pailbook.workbook.splice import Place, spliced
from pailbook.workbook.worksheet import Cell, Worksheet

__all__ = ["Workbook", "WorkbookError", "inject_values", "set_cells"]


def inject_values(
    source: str | os.PathLike[str] | Workbook, target: str | os.PathLike[str],
    values: Mapping[tuple[str, str], Any], *, overwrite: bool = False,
) -> None:
    """Write a copy in which formulas carry these values, for all who read a file without computing it.

    Parameters
    ----------
    source : the workbook's file.
    target : the file to write; it may be the source where it may be overwritten.
    values : float, str, bool or ErrorValue by sheet and address.
    overwrite : whether a file that is there may be replaced.

    Raises
    ------
    WorkbookError
        When a cell holds no formula, or a file cannot be read or written.

    A workbook that calls our functions is marked as computed by a current program, so that one without the
    functions shows these values instead of recalculating and failing; any other workbook keeps its mark.
    """
    book = source if isinstance(source, Workbook) else Workbook(source)
    changed = book.calculation(anew=False) if book.calls_functions and values else {}
    for title, wanted in _by_sheet(book, values).items():
        sheet = book.worksheets[title]
        cells = {(cell.row, cell.column): cell for cell in sheet.cells()}
        for place in wanted:
            if (place not in cells or cells[place].formula is None) and not _filled_by(sheet, place):
                raise sheet.error("has no formula whose value could be stored", address_of(place))
        changed[sheet.part] = spliced(sheet, wanted, behind_formulas=True)
    book.save(target, changed, overwrite=overwrite)


def set_cells(
    source: str | os.PathLike[str] | Workbook, target: str | os.PathLike[str],
    cells: Mapping[str, Mapping[str, Any]], *, overwrite: bool = False,
) -> None:
    """Write a copy in which input cells hold these values; styles stay, and text stays text, even if it begins with =.

    Parameters
    ----------
    source : the workbook's file.
    target : the file to write; it may be the source where it may be overwritten.
    cells : by sheet and address: None (to empty the cell), number, str, bool, date, datetime or time.
    overwrite : whether a file that is there may be replaced.

    Raises
    ------
    WorkbookError
        When a cell holds a formula or lies hidden in merged cells, a value cannot be held by a cell, or a file
        cannot be read or written. Nothing is written then.

    The formulas' stored values no longer fit, so the copy says that it must be computed on opening.
    """
    book = source if isinstance(source, Workbook) else Workbook(source)
    flat = {(title, address): value for title, inputs in cells.items() for address, value in inputs.items()}
    changed = book.calculation(anew=True) if flat else {}
    for title, wanted in _by_sheet(book, flat).items():
        sheet = book.worksheets[title]
        present = {(cell.row, cell.column): cell for cell in sheet.cells()}
        for place in wanted:
            _refuse_formula(sheet, place, present.get(place))
        changed[sheet.part] = spliced(sheet, wanted)
    book.save(target, changed, overwrite=overwrite)


def _by_sheet(book: Workbook, values: Mapping[tuple[str, str], Any]) -> dict[str, dict[Place, Any]]:
    found: dict[str, dict[Place, Any]] = defaultdict(dict)
    for (title, address), value in values.items():
        if title not in book.worksheets:
            raise book.error(f"has no sheet {title!r}; it has: {', '.join(book.worksheets)}")
        try:
            found[title][place_at(address)] = value
        except ValueError:
            raise book.error(f"has no cell {title}!{address}; expected an address such as B4") from None
    return found


def _filled_by(sheet: Worksheet, place: Place) -> Cell | None:
    return next((cell for area, cell in sheet.arrays if area.holds(*place)), None)


def _refuse_formula(sheet: Worksheet, place: Place, cell: Cell | None) -> None:
    if cell is not None and cell.formula is not None:
        text = f"={cell.formula_text}" if cell.formula_text else "shared with other cells"
        raise sheet.error(f"holds a formula ({text}), which is not overwritten", cell.address)
    if first := _filled_by(sheet, place):
        raise sheet.error(f"is filled by the formula in {first.address}, which is not overwritten", address_of(place))
    for area in sheet.merged:
        if area.holds(*place) and place != (area.top, area.left):
            raise sheet.error(f"is hidden in merged cells; their value is in {address_of((area.top, area.left))}",
                              address_of(place))
