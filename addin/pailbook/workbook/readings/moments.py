"""The dates and times of a whole record: the order of day and month, and their time zone.

The order is settled by the record itself or by an option, never guessed. A log wants the local time, as a clock on the
wall shows it, so a record in one zone keeps its times; one in UTC or in several zones is converted or asked about.
"""

from __future__ import annotations

import datetime
import re
import zoneinfo
from collections.abc import Sequence
from dataclasses import dataclass, field

from pailbook.nearest import nearest
from pailbook.workbook.readings.answers import Question, ReadingsError
from pailbook.workbook.readings.dates import DMY, MDY, MONTHS, ORDERS, Stamp

UTC = "UTC"
_UTC_NAMES = frozenset(("z", "utc", "gmt", "etc/utc", "etc/gmt"))
_OFFSET = re.compile(r"([+-])([0-9]{2}):?([0-9]{2})?")
_ORDER_OPTIONS = {DMY: "--day-first", MDY: "--month-first"}
_YEARS_IN_FULL = "write the years with four digits in the record"


@dataclass
class Moments:
    """What became of a record's dates: one entry per stamp, None where the problem at that place says why."""

    dates: list[datetime.date | None] = field(default_factory=list)
    times: list[datetime.time | None] = field(default_factory=list)
    problems: list[str] = field(default_factory=list)
    time_problems: list[str] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)
    questions: list[Question] = field(default_factory=list)


def settle(
    stamps: Sequence[Stamp], texts: Sequence[str], rows: Sequence[int], zones: Sequence[str], *,
    day_first: bool | None, timezone: str | None,
) -> Moments:
    """The moments of a record.

    Parameters
    ----------
    stamps, texts, rows, zones : of each reading its stamp, its date as written, its row, and the zone that another
        column or the heading gives ("" for none).
    day_first : the order, if it was given, or None.
    timezone : the site's zone, such as "America/New_York", if it was given, or None.
    """
    moments = Moments(problems=[stamp.problem for stamp in stamps],
                      time_problems=[stamp.time_problem for stamp in stamps])
    order = _order(stamps, texts, rows, day_first, moments)
    for place, stamp in enumerate(stamps):
        date = stamp.dates.get(order)
        moments.dates.append(date)
        moments.times.append(stamp.time if date else None)
        if stamp.dates and date is None:
            moments.problems[place] = f"is not a date when read {order}, as the others are"
    timed = [time for time in moments.times if time is not None]
    if timed and all(time == datetime.time() for time in timed):
        moments.times = [None] * len(stamps)
        moments.remarks.append("every time of day is midnight, so the dates are taken to have no time")
    serials = sum(stamp.serial for stamp in stamps)
    if serials:
        moments.remarks.append(f"{_rows(serials, 'has its date', 'have their date')} as a spreadsheet's serial number")
    _to_site(moments, [_zone(stamp.zone or zone) for stamp, zone in zip(stamps, zones)], timezone)
    return moments


def _order(
    stamps: Sequence[Stamp], texts: Sequence[str], rows: Sequence[int], day_first: bool | None, moments: Moments
) -> str:
    given = {True: DMY, False: MDY, None: ""}[day_first]
    dated = [i for i, stamp in enumerate(stamps) if stamp.dates]
    possible = [order for order in ORDERS if all(order in stamps[i].dates for i in dated)]

    def shown(place: int) -> str:
        return f"{texts[place]} (row {rows[place]})"

    if not possible:
        by_order = {order: next((i for i in dated if set(stamps[i].dates) == {order}), None) for order in (DMY, MDY)}
        proof = [f"{shown(i)} can only be {order}" for order, i in by_order.items() if i is not None]
        if not given:
            moments.questions.append(Question("dates", "the record mixes two orders: " + ", ".join(proof), tuple(
                (option, f"reads them {order}; rows whose date does not fit are not entered")
                for order, option in _ORDER_OPTIONS.items()
            )))
        return given or DMY
    if given and given not in possible:
        proof_at = next(i for i in dated if given not in stamps[i].dates)
        raise ReadingsError(f"{_ORDER_OPTIONS[given]} says that the dates are {given}, but {shown(proof_at)} can only "
                            f"be {' or '.join(stamps[proof_at].dates)}; leave the option out")
    unsettled = next((i for i in dated if len({stamps[i].dates[order] for order in possible}) > 1), None)
    if given or unsettled is None:
        settled_by = next((i for i in dated if len(stamps[i].dates) == 1), None)
        if settled_by is not None and not given:
            moments.remarks.append(
                f"the dates are read {possible[0]}, because {shown(settled_by)} cannot be read otherwise")
        return given or possible[0]
    found = {order: _in_words(stamps[unsettled].dates[order]) for order in possible}
    moments.questions.append(Question(
        "dates", f"{shown(unsettled)} can be {' or '.join(found.values())}, and no other row settles it",
        tuple((_ORDER_OPTIONS.get(order, _YEARS_IN_FULL), words) for order, words in found.items()),
    ))
    return possible[0]


def _rows(count: int, one: str, many: str) -> str:
    """The number of rows with the verb that belongs to it."""
    return f"1 row {one}" if count == 1 else f"{count} rows {many}"


def _in_words(date: datetime.date) -> str:
    return f"{date.day} {MONTHS[date.month - 1]} {date.year}"


def _zone(text: str) -> str:
    """A zone's name in one spelling: "+05:30", "UTC", or as written."""
    text = text.strip()
    if match := _OFFSET.fullmatch(text):
        offset = f"{match[1]}{match[2]}:{match[3] or '00'}"
        return UTC if offset in ("+00:00", "-00:00") else offset
    return UTC if text.casefold() in _UTC_NAMES else text


def _to_site(moments: Moments, zones: Sequence[str], timezone: str | None) -> None:
    """Keep the local time if there is one zone, else convert to the site's zone or ask for it."""
    site = None if timezone is None else site_zone(timezone)
    timed = [i for i, date in enumerate(moments.dates) if date is not None and moments.times[i] is not None]
    found = list(dict.fromkeys(zones[i] for i in timed))
    if found in ([], [""]):
        if timezone is not None and found:
            moments.remarks.append("the times name no time zone; they are kept as written")
        return
    if site is None and len(found) == 1 and found != [UTC]:
        moments.remarks.append(f"the times are kept as local time in {found[0]}")
        return
    if site is None:
        listed = ", ".join(zone or "none" for zone in found[:6])
        what = f"the times are in {UTC}" if found == [UTC] else f"the times are in several zones: {listed}"
        moments.questions.append(Question("time zone", f"{what}; a log holds the local time of the site", (
            ("--timezone Area/City", "the site's zone, for instance --timezone America/New_York"),)))
        return
    for i in timed:
        zone = _tzinfo(zones[i]) if zones[i] else site
        date, time = moments.dates[i], moments.times[i]
        if zone is None or date is None or time is None:
            moments.problems[i] = f'has the time zone "{zones[i]}", which is not known; expected a name such as ' \
                                  "America/New_York or an offset such as +05:30"
            moments.dates[i] = None
            continue
        there = datetime.datetime.combine(date, time, zone).astimezone(site)
        moments.dates[i], moments.times[i] = there.date(), there.time()
    listed = ", ".join(zone or "no zone" for zone in found[:6])
    moments.remarks.append(f"the times are converted from {listed} to {timezone}")
    if "" in found:
        moments.remarks.append(f"times without a zone are taken as local time in {timezone}")
    if undated := sum(date is not None and moments.times[i] is None for i, date in enumerate(moments.dates)):
        moments.remarks.append(
            f"{_rows(undated, 'has', 'have')} a date without a time, which is kept as it is")


def site_zone(name: str) -> datetime.tzinfo:
    """The zone of the site by its name. ReadingsError if there is no zone of that name."""
    zone = _tzinfo(_zone(name))
    if zone is None:
        question = nearest(name, zoneinfo.available_timezones())
        raise ReadingsError(f'the time zone "{name}" is not known; expected a name such as America/New_York or an '
                            f"offset such as +05:30{'; ' if question else ''}{question}")
    return zone


def _tzinfo(zone: str) -> datetime.tzinfo | None:
    if match := _OFFSET.fullmatch(zone):
        minutes = int(match[2]) * 60 + int(match[3] or 0)
        sign = -1 if match[1] == "-" else 1
        return datetime.timezone(sign * datetime.timedelta(minutes=minutes)) if minutes < 24 * 60 else None
    try:
        return zoneinfo.ZoneInfo(zone)
    except (zoneinfo.ZoneInfoNotFoundError, ValueError, OSError):
        return None
