"""Dates and times as records write them: ISO, US and European order, two clocks, time zones, serial numbers.

Here one stamp is taken apart; the order of day and month, and the time zone, are settled for a record as a whole
(`moments`).
"""

from __future__ import annotations

import datetime
import re
from dataclasses import dataclass, field

from pailbook.workbook import validation

ORDERS = DMY, MDY, YMD = "day first", "month first", "year first"
EPOCH = datetime.date(1899, 12, 30)  # from which spreadsheets count days
# The dates that the log accepts; a logger whose clock was never set shows earlier ones.
EARLIEST, LATEST = (EPOCH + datetime.timedelta(days) for days in (validation.EARLIEST, validation.LATEST))

# In English whatever the machine's own language is.
MONTHS = ("January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
          "December")
_MONTHS = {spelling.casefold(): number for number, month in enumerate(MONTHS, start=1)
           for spelling in (month, month[:3], month[:4])}
_WEEKDAY = re.compile(r"(mon|tues?|wed(nes)?|thu(rs)?|fri|sat(ur)?|sun)(day)?[.,]? +", re.I)
_YEAR_FIRST = re.compile(r"([0-9]{4})([-/.])([0-9]{1,2})\2([0-9]{1,2})(?![0-9])")
_COMPACT = re.compile(r"((?:19|20)[0-9]{2})([0-9]{2})([0-9]{2})(?=$|[T ])")
_NUMBERS = re.compile(r"([0-9]{1,2})([-/.])([0-9]{1,2})\2([0-9]{4}|[0-9]{2})(?![0-9])")
_NAMED = (
    re.compile(r"(?P<d>[0-9]{1,2})(?:st|nd|rd|th)?[-/. ]*(?:of )?(?P<m>[a-z]{3,9})[-/., ]*"
               r"(?P<y>[0-9]{4}|[0-9]{2})(?![0-9])", re.I),
    re.compile(r"(?P<m>[a-z]{3,9})\.? *(?P<d>[0-9]{1,2})(?:st|nd|rd|th)?[-/, ]+(?P<y>[0-9]{4})(?![0-9])", re.I),
    re.compile(r"(?P<y>[0-9]{4})[-/. ](?P<m>[a-z]{3,9})[-/. ](?P<d>[0-9]{1,2})(?![0-9])", re.I),
)
_SERIAL = re.compile(r"[2-7][0-9]{4}(?:[.,][0-9]+)?")
_TIME = re.compile(
    r"(?P<h>[0-9]{1,2})(?:[:.h](?P<m>[0-9]{2})(?:[:.](?P<s>[0-9]{2})(?:[.,][0-9]+)?)?)? *"
    r"(?P<half>[ap]\.?m\.?(?![a-z]))? *"
    r"(?P<zone>z|[+-][0-9]{2}(?::?[0-9]{2})?|[a-z]{3,5}|[a-z_]+/[a-z_/+-]+[0-9]*)?", re.I)
_MILITARY = re.compile(r"(?P<h>[0-9]{2})(?P<m>[0-9]{2})(?:h|hrs?)?")
_EMPTY_DAY = re.compile(r"(1899-12-3[01]|1900-01-0[01])[T ]")  # the day that a spreadsheet gives a bare time
_DAY_SHARE = re.compile(r"0?\.[0-9]{3,}")


@dataclass(frozen=True)
class Stamp:
    """One date and time taken apart: the date in each order in which it can be read, or the problem if in none."""

    dates: dict[str, datetime.date] = field(default_factory=dict)
    time: datetime.time | None = None
    zone: str = ""
    problem: str = ""
    time_problem: str = ""
    serial: bool = False


def day_of_cell(value: object) -> float | None:
    """A date in days from 1900, with its time of day; None for what is no date of a log."""
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        return None
    return value if validation.EARLIEST <= value < validation.LATEST + 1 else None


def read_stamp(date_text: str, time_text: str | None = None) -> Stamp:
    """A date, which may carry a time, and the time of a separate column if there is one; never an exception."""
    text = " ".join(date_text.split())
    if not text:
        return Stamp(problem="has no date")
    serial = _SERIAL.fullmatch(text) is not None
    if serial:
        moment = datetime.datetime.combine(EPOCH, datetime.time()) + datetime.timedelta(
            seconds=round(float(text.replace(",", ".")) * 86400))
        text = str(moment) if moment.time() != datetime.time() else str(moment.date())
    dates, rest, problem = _dates(_WEEKDAY.sub("", text, count=1))
    if problem:
        return Stamp(problem=problem)
    time: datetime.time | None = None
    zone = time_problem = ""
    if rest:
        time, zone, time_problem = read_time(rest)
        if time_problem:
            return Stamp(problem=f"has {rest!r} after the date, which is not a time")
    if time_text is not None and time == datetime.time():
        time = None  # the midnight that programs give a date without a time
    if time_text and time_text.strip():
        other, other_zone, time_problem = read_time(time_text)
        if other is not None and time not in (None, other):
            return Stamp(problem="has two different times of day")
        time, zone = (time if other is None else other), other_zone or zone
    return Stamp(dates, time, zone, time_problem=time_problem, serial=serial)


def read_time(text: str) -> tuple[datetime.time | None, str, str]:
    """A time of day, to the second, its zone if it names one, and the problem if it is none."""
    text = _EMPTY_DAY.sub("", " ".join(text.split()))
    if _DAY_SHARE.fullmatch(text):
        return (datetime.datetime.min + datetime.timedelta(seconds=round(float(text) * 86400))).time(), "", ""
    match = _MILITARY.fullmatch(text) or _TIME.fullmatch(text)
    parts = match.groupdict() if match else {}
    half = (parts.get("half") or "").casefold()
    if match is None or (parts["m"] is None and not half):
        stamp = _dates(text)
        if stamp[0] and stamp[1]:  # a full date and time in the time's column
            return read_time(stamp[1])
        return None, "", "is not a time of day"
    hour, minute, second = int(parts["h"]), int(parts["m"] or 0), int(parts.get("s") or 0)
    if half:
        if not 1 <= hour <= 12:
            return None, "", "is not a time of a twelve-hour clock"
        hour = hour % 12 + (12 if half.startswith("p") else 0)
    if hour > 23 or minute > 59 or second > 59:
        return None, "", "is not a time of day"
    return datetime.time(hour, minute, second), parts.get("zone") or "", ""


def _dates(text: str) -> tuple[dict[str, datetime.date], str, str]:
    """The date in each order that the text's start can be read in, the rest of the text, and the problem if none."""
    for pattern, fields in ((_YEAR_FIRST, (1, 3, 4)), (_COMPACT, (1, 2, 3))):
        if match := pattern.match(text):
            year, month, day = (int(match[i]) for i in fields)
            found = dict.fromkeys(ORDERS, (year, month, day))
            return _checked(found, text, match.end())
    if match := _NUMBERS.match(text):
        a, b, c = int(match[1]), int(match[3]), int(match[4])
        year = c if len(match[4]) == 4 else 2000 + c
        found = {DMY: (year, b, a), MDY: (year, a, b)}
        if len(match[4]) == 2 and match[2] == "-":
            found[YMD] = (2000 + a, b, c)
        return _checked(found, text, match.end())
    for named in _NAMED:
        if (match := named.match(text)) and match["m"].casefold() in _MONTHS:
            year = int(match["y"]) + (2000 if len(match["y"]) == 2 else 0)
            found = dict.fromkeys(ORDERS, (year, _MONTHS[match["m"].casefold()], int(match["d"])))
            return _checked(found, text, match.end())
    return {}, "", "is not a date with day, month and year"


def _checked(
    found: dict[str, tuple[int, int, int]], text: str, end: int
) -> tuple[dict[str, datetime.date], str, str]:
    dates = {}
    for order, (year, month, day) in found.items():
        try:
            dates[order] = datetime.date(year, month, day)
        except ValueError:
            continue
    if not dates:
        return {}, "", "is not a day of the calendar"
    sensible = {order: date for order, date in dates.items() if EARLIEST <= date <= LATEST}
    if not sensible:
        return {}, "", f"lies outside {EARLIEST} to {LATEST}; perhaps the clock was not set"
    rest = text[end:]
    if rest and not re.match(r"[T, ]", rest, re.I):
        return {}, "", "is not a date with day, month and year"
    return sensible, rest.lstrip("Tt, "), ""
