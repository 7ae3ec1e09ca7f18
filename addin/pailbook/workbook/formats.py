"""Which numbers of a workbook are dates or times: what the number formats of their cells say."""

from __future__ import annotations

from typing import Any

from openpyxl.styles.numbers import BUILTIN_FORMATS, STRIP_RE, is_date_format, is_timedelta_format
from openpyxl.utils.datetime import CALENDAR_MAC_1904, CALENDAR_WINDOWS_1900, from_excel

from pailbook.workbook.parts import Package

GENERAL = BUILTIN_FORMATS[0]
_MINUTES_A_DAY = 24 * 60


def number_formats(book: Package) -> list[str]:
    """The number format of each style of cells, by the style's number.

    A file spells out only the formats that are its own; the others have fixed numbers (ECMA-376, part 1, 18.8.30).
    """
    part = next((part for kind, part in book.related(book.workbook_part).values() if kind == "styles"), None)
    if part is None:
        return []
    styles = book.xml(part)
    own = {one.get("numFmtId"): one.get("formatCode", GENERAL) for one in styles.iterfind("{*}numFmts/{*}numFmt")}
    built_in = {str(number): text for number, text in BUILTIN_FORMATS.items()}
    return [(built_in | own).get(style.get("numFmtId", "0"), GENERAL)
            for style in styles.iterfind("{*}cellXfs/{*}xf")]


def moment(value: Any, number_format: str, from_1904: bool = False) -> str:
    """A cell's value as a date, a time or both, such as 2026-06-06 07:15; empty if the cell does not show one."""
    if isinstance(value, (bool, str)) or not isinstance(value, (int, float)) or value < 0:
        return ""
    if is_timedelta_format(number_format):
        hours, minutes = divmod(round(value * _MINUTES_A_DAY), 60)
        return f"{hours}:{minutes:02d}"
    if not is_date_format(number_format):
        return ""
    marks = set(STRIP_RE.sub("", number_format.split(";")[0]).casefold())
    has_time = bool(marks & {"h", "s"})
    has_date = bool(marks & {"y", "d"}) or not has_time  # an m alone is a month, beside h or s it is minutes
    epoch = CALENDAR_MAC_1904 if from_1904 else CALENDAR_WINDOWS_1900
    if not has_date:
        value %= 1
    elif value < 1:
        return ""  # no date: spreadsheets show the day 0 of the calendar
    try:
        found = from_excel(value, epoch)
    except (OverflowError, ValueError):
        return ""
    fine = "seconds" if "s" in marks else "minutes"
    if not has_date:
        return str(found.isoformat(fine))
    return str(found.isoformat(" ", fine) if has_time else found.date().isoformat())
