"""What may be typed where: the rules of a sheet's cells, and its protection."""

from __future__ import annotations

from openpyxl.utils.cell import range_boundaries
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.worksheet import Worksheet


def rules_of(sheet: Worksheet) -> dict[str, DataValidation]:
    """The rule of each cell that has one; none has two."""
    found: dict[str, DataValidation] = {}
    for rule in sheet.data_validations.dataValidation:
        for span in str(rule.sqref).split():
            left, top, right, bottom = range_boundaries(span)
            assert None not in (left, top, right, bottom)
            for row in sheet.iter_rows(top, bottom, left, right):
                for cell in row:
                    assert cell.coordinate not in found, (sheet.title, cell.coordinate)
                    found[cell.coordinate] = rule
    return found


def check_protection(sheet: Worksheet) -> set[str]:
    """The cells that may be typed into: exactly those with a rule, none of them a formula; all others are locked.

    Without a password, with rows to insert, sort and filter.
    """
    protection = sheet.protection
    assert protection.sheet, sheet.title
    assert protection.password is None
    assert [protection.insertRows, protection.sort, protection.autoFilter] == [False] * 3, sheet.title
    free = {cell.coordinate for row in sheet.iter_rows() for cell in row if not cell.protection.locked}
    assert free == set(rules_of(sheet)), sheet.title
    assert not {c for c in free if str(sheet[c].value or "").startswith("=")}, sheet.title
    return free
