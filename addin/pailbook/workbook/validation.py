"""What a cell accepts: limits, drop-downs and input messages, from the quantity that it holds."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

from openpyxl.worksheet.datavalidation import DataValidation

from pailbook.quantities import Quantity
from pailbook.workbook.columns import Column

EXCLUDED = 1e-6  # how far inside a limit that is itself excluded
EARLIEST, LATEST = 36526, 73050  # 2000-01-01 to 2099-12-31 as sheets count days
LONGEST_TEXT = 250
_TITLE, _MESSAGE = 32, 255  # characters that spreadsheets allow


def of_column(column: Column, units: str, factor: str = "", unit: str = "") -> DataValidation:
    """The rule for a column's cells.

    Parameters
    ----------
    column : what the cells hold.
    units : the workbook's unit system.
    factor : address of the cell with which a reading in the user's basis is brought to the quantity's, if any.
    unit : the unit in words, where it is not the quantity's own.
    """
    if column.kind == "choice":
        rule = DataValidation("list", column.choices_from or _literal(column.choices))
        where = "Pick from the list." if column.choices else "Pick from the list, which comes from its own sheet."
        return _speaking(rule, column.heading, column.help or where, "Pick one from the list.")
    if column.kind == "date":
        expected = "A date, such as 2026-03-31 (year-month-day)."
        rule = DataValidation("date", str(EARLIEST), str(LATEST), operator="between")
    elif column.kind == "time":
        expected = "A time of day, such as 07:30 or 16:05."
        rule = DataValidation("time", "0", "0.999999", operator="between")
    elif column.kind == "text":
        expected = f"Any text, up to {LONGEST_TEXT} characters."
        rule = DataValidation("textLength", str(LONGEST_TEXT), operator="lessThanOrEqual")
    else:
        assert column.quantity is not None, column.key
        return of_quantity(column.quantity, units, column.heading, column.help, factor, unit)
    return _speaking(rule, column.heading, column.help or expected, expected)


def of_quantity(
    quantity: Quantity, units: str, heading: str, help: str = "", factor: str = "", unit: str = ""
) -> DataValidation:
    """The rule for a number of that quantity in that unit system."""
    low, high = quantity.limits(units)
    assert low is not None, f"{quantity.label} has no lower limit"
    assert high is not None, f"{quantity.label} has no upper limit"
    first = low + EXCLUDED if quantity.above else low
    last = high - EXCLUDED if quantity.below else high
    expected = f"Expected: {quantity.expected(units)}."
    if factor:
        expected = f"Expected: {'more than' if quantity.above else 'from'} {low:g}, in {unit or 'its basis'}."
    rule = DataValidation(
        "whole" if quantity.whole else "decimal", _number(first),
        f"{_number(last)}/{factor}" if factor else _number(last), operator="between",
    )
    about = help or quantity.help
    return _speaking(rule, heading, f"{about.rstrip('.')}. {expected}" if about else expected,
                     f"{expected} Type a plain number, with the decimal sign that your program uses.")


def _literal(choices: Sequence[str]) -> str:
    """A list written into the rule, where a comma ends a choice."""
    assert not any("," in choice for choice in choices), f"a choice with a comma would be offered as two: {choices}"
    text = ",".join(choices)
    assert len(text) <= _MESSAGE, f"spreadsheets allow {_MESSAGE} characters for a list: {text}"
    return f'"{text}"'


def _speaking(rule: DataValidation, heading: str, message: str, error: str) -> DataValidation:
    """The rule with its messages; a wrong entry is refused."""
    rule.allow_blank = rule.showInputMessage = rule.showErrorMessage = True
    rule.errorStyle = "stop"
    rule.promptTitle, rule.prompt = _whole_words(heading, _TITLE), _whole_words(message, _MESSAGE)
    rule.errorTitle, rule.error = "Not accepted", _whole_words(error, _MESSAGE)
    return rule


def _whole_words(text: str, most: int) -> str:
    """The text, cut between words where it is too long."""
    return text if len(text) <= most else textwrap.shorten(text, most, placeholder=" ...")


def _number(value: float) -> str:
    return f"{value:.12g}"
