"""Dates and times as records write them. The orders and clocks are common practice, no source."""

from __future__ import annotations

import datetime
from datetime import date, time

import pytest
from hypothesis import given
from hypothesis import strategies as st
from openpyxl.utils.datetime import from_excel, to_excel

from pailbook.workbook.readings.answers import ReadingsError
from pailbook.workbook.readings.dates import DMY, MDY, Stamp, read_stamp, read_time
from pailbook.workbook.readings.moments import Moments, settle

JUNE_10 = date(2024, 6, 10)


def moments(*texts: str, zones: str | list[str] = "", day_first: bool | None = None,
            timezone: str | None = None) -> Moments:
    stamps = [read_stamp(text) for text in texts]
    named = [zones] * len(texts) if isinstance(zones, str) else zones
    return settle(stamps, texts, range(2, len(texts) + 2), named, day_first=day_first, timezone=timezone)


@pytest.mark.parametrize("text", [
    "2024-06-10", "2024/6/10", "2024.06.10", "20240610", "10 June 2024", "10 Jun 2024", "10-Jun-24", "June 10, 2024",
    "Jun 10 2024", "10th of June 2024", "Mon 10 Jun 2024", "2024-Jun-10", "45453",
])
def test_dates_of_one_order(text: str) -> None:
    stamp = read_stamp(text)
    assert set(stamp.dates.values()) == {JUNE_10}
    assert stamp.time is None


@pytest.mark.parametrize(("text", "day_first", "month_first"), [
    ("03/04/2024", date(2024, 4, 3), date(2024, 3, 4)), ("3.4.24", date(2024, 4, 3), date(2024, 3, 4)),
    ("13/04/2024", date(2024, 4, 13), None), ("04/13/2024", None, date(2024, 4, 13)),
])
def test_dates_of_two_orders(text: str, day_first: date | None, month_first: date | None) -> None:
    dates = read_stamp(text).dates
    assert (dates.get(DMY), dates.get(MDY)) == (day_first, month_first)


@pytest.mark.parametrize("text",
                         ["", "hello", "Average", "12/03", "31/02/2024", "2024-13-01", "0000-00-00", "1970-01-01",
                                  "1718023500", "12 marble 2024", "2024-06-10 24:00", "2024-06-10 soon"])
def test_what_is_no_date(text: str) -> None:
    stamp = read_stamp(text)
    assert stamp.dates == {}
    assert stamp.problem


@pytest.mark.parametrize(("text", "expected", "zone"), [
    ("7:30", time(7, 30), ""), ("07:30:15", time(7, 30, 15), ""), ("7:30 PM", time(19, 30), ""), ("7pm", time(19), ""),
    ("12:30 a.m.", time(0, 30), ""), ("12:30 pm", time(12, 30), ""), ("7.30", time(7, 30), ""), ("0730", time(7, 30),
                                                                                                 ""),
    ("7h30", time(7, 30), ""), ("19:30Z", time(19, 30), "Z"), ("19:30 +05:30", time(19, 30), "+05:30"),
    ("12:45 America/New_York", time(12, 45), "America/New_York"), ("1899-12-30 07:30:00", time(7, 30), ""),
])
def test_times(text: str, expected: time, zone: str) -> None:
    assert read_time(text) == (expected, zone, "")


@pytest.mark.parametrize("text", ["morning", "25:00", "12:61", "13:00 PM", "7", "noon", "0.5"])
def test_what_is_no_time(text: str) -> None:
    found, _, problem = read_time(text)
    assert found is None
    assert problem


def test_date_and_time_in_one_text() -> None:
    assert read_stamp("10/06/2024 2:30:00 PM").time == time(14, 30)
    assert read_stamp("2024-06-10T12:45:00-04:00").zone == "-04:00"
    assert read_stamp("2024-06-10 00:00:00", "7:30").time == time(7, 30)
    assert read_stamp("2024-06-10 00:00:00", "").time is None  # a program's date that has no time
    assert read_stamp("2024-06-10 08:00", "7:30").problem


@given(st.datetimes(min_value=datetime.datetime(2000, 1, 1), max_value=datetime.datetime(2099, 1, 1)))
def test_serial_numbers_as_the_workbook_library_counts_them(moment: datetime.datetime) -> None:
    moment = moment.replace(microsecond=0)
    stamp = read_stamp(f"{to_excel(moment):.9f}")  # type: ignore[no-untyped-call]
    assert stamp.serial
    assert datetime.datetime.combine(stamp.dates[DMY], stamp.time or time()) == moment
    assert from_excel(45453) == datetime.datetime(2024, 6, 10)  # the number in the tests above


def test_one_row_settles_the_order_of_all() -> None:
    result = moments("03/04/2024", "13/04/2024")
    assert result.dates == [date(2024, 4, 3), date(2024, 4, 13)]
    assert any("13/04/2024 (row 3)" in remark for remark in result.remarks)
    assert moments("03/04/2024", "04/13/2024").dates == [date(2024, 3, 4), date(2024, 4, 13)]


def test_an_open_order_is_asked_for_with_both_readings() -> None:
    (question,) = moments("05/05/2024", "03/04/2024").questions
    assert "03/04/2024 (row 3)" in question.found
    assert question.choices == (("--day-first", "3 April 2024"), ("--month-first", "4 March 2024"))
    assert moments("03/04/2024", day_first=True).dates == [date(2024, 4, 3)]
    assert moments("03/04/2024", day_first=False).dates == [date(2024, 3, 4)]
    assert moments("05/05/2024", "06/06/2024").questions == []  # the same in both orders


def test_mixed_orders_are_asked_for_and_then_not_entered() -> None:
    (question,) = moments("13/04/2024", "04/13/2024").questions
    assert "13/04/2024 (row 2) can only be day first" in question.found
    assert "04/13/2024 (row 3) can only be month first" in question.found
    result = moments("13/04/2024", "04/13/2024", day_first=True)
    assert result.dates == [date(2024, 4, 13), None]
    assert result.problems[1]


def test_an_order_that_the_record_disproves_is_refused() -> None:
    with pytest.raises(ReadingsError, match=r"13/04/2024 \(row 2\)"):
        moments("13/04/2024", "03/04/2024", day_first=False)


def test_years_of_two_digits_that_may_stand_first_are_asked_for() -> None:
    (question,) = moments("24-03-05").questions
    assert [meaning for _, meaning in question.choices] == ["24 March 2005", "5 March 2024"]


def test_one_zone_keeps_the_clock_on_the_wall() -> None:
    result = moments("2024-06-10 12:45", "2024-12-10 12:45", zones="America/New_York")
    assert result.times == [time(12, 45), time(12, 45)]
    assert result.questions == []
    assert moments("2024-06-10T19:30+05:30").times == [time(19, 30)]


def test_utc_and_several_zones_are_asked_for_or_converted() -> None:
    for record in (("2024-06-10T12:45Z",), ("2024-06-10T12:45-04:00", "2024-12-10T12:45-05:00")):
        (question,) = moments(*record).questions
        assert question.about == "time zone"
    # New York is four hours behind UTC in June and five in December, India five and a half ahead: public law.
    assert moments("2024-06-10T12:45Z", timezone="America/New_York").times == [time(8, 45)]
    assert moments("2024-06-10T20:45Z", timezone="Asia/Kolkata").dates == [date(2024, 6, 11)]
    both = moments("2024-06-10T12:45-04:00", "2024-12-10T12:45-05:00", timezone="America/New_York")
    assert both.times == [time(12, 45), time(12, 45)]
    assert moments("2024-06-10T12:45Z", timezone="UTC").times == [time(12, 45)]


def test_zones_that_nobody_knows() -> None:
    with pytest.raises(ReadingsError, match="Nowhere/Land"):
        moments("2024-06-10T12:45Z", timezone="Nowhere/Land")
    result = moments("2024-06-10T12:45 XYZ", "2024-06-10T12:45Z", timezone="+02:00")
    assert result.dates == [None, JUNE_10]
    assert "XYZ" in result.problems[0]
    assert result.times[1] == time(14, 45)


def test_midnights_of_a_program_are_no_times() -> None:
    assert moments("2024-06-10 00:00:00", "2024-06-11 00:00:00").times == [None, None]


@given(st.text(max_size=40) | st.text(alphabet="0123456789-/.:TZ +apmJun", max_size=25), st.text(max_size=12))
def test_any_text_gives_a_date_or_a_problem(text: str, clock: str) -> None:
    stamp = read_stamp(text, clock)
    assert isinstance(stamp, Stamp)
    assert bool(stamp.dates) != bool(stamp.problem)
    result = settle([stamp], [text], [2], [clock], day_first=True, timezone="+02:00") if stamp.dates.get(DMY) else None
    assert result is None or (result.dates[0] is None) == bool(result.problems[0])


@given(st.dates(min_value=date(2000, 1, 1), max_value=date(2099, 12, 31)),
       st.times(), st.sampled_from(["%d/%m/%Y", "%d.%m.%Y", "%d-%m-%Y"]))
def test_a_written_date_reads_back_in_both_orders(day: date, clock: time, written: str) -> None:
    clock = clock.replace(microsecond=0)
    european = moments(day.strftime(written) + clock.strftime(" %H:%M:%S"), "31/12/2024 00:00", day_first=True)
    american = moments(day.strftime(written.replace("%d", "%_").replace("%m", "%d").replace("%_", "%m")) +
                       clock.strftime(" %I:%M:%S %p"), "12/31/2024 00:00", day_first=False)
    for result in (european, american):
        assert result.dates[0] == day
        assert result.times[0] == (None if clock == time() else clock)
