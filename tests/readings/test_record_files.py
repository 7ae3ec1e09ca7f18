"""Record files of every shape, invented for the scenario's systems. What they mean is common practice, no source.

Records that test dates, units or signs alone call their system A or B, and may give a pH of 7.
"""

from __future__ import annotations

import datetime
import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import openpyxl
import pandas
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from pailbook.demo.scenario import NORTH_RAFT
from pailbook.workbook.readings import NeedsAnswer, Readings, ReadingsError, read_readings
from pailbook.workbook.readings.fields import MEASURED

Record = Callable[..., Path]
RAFT, INES = NORTH_RAFT.name, "Ines"


def asked(path: Path, **options: object) -> str:
    with pytest.raises(NeedsAnswer) as caught:
        read_readings(path, **options)  # type: ignore[arg-type]
    return str(caught.value)


def column(readings: Readings, key: str) -> list[float | None]:
    return [None if math.isnan(value) else value for value in readings.frame[key]]


def test_a_plain_record(record: Record) -> None:
    path = record(f"Date,Time,Tank,Temp (°C),pH,DO mg/L,By,Note\n2024-05-02,07:30,{RAFT},21.5,7.4,7.2,{INES},"
                  f"\"fed late, clear\"\n2024-05-01,,{RAFT},21.0,,7.5,,\n")
    frame = read_readings(path).frame
    assert list(frame["row"]) == [3, 2]  # by date
    first, second = frame.to_dict("records")
    assert (first["date"], first["time"], first["system"]) == (pandas.Timestamp("2024-05-01"), None, RAFT)
    assert (second["time"], second["temperature"], second["ph"], second["oxygen"]) == (
        datetime.time(7, 30), 21.5, 7.4, 7.2)
    assert (second["tester"], second["note"]) == (INES, "fed late, clear")
    assert math.isnan(first["ph"])


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "cp1252"])
@pytest.mark.parametrize("delimiter", [";", "\t", "|", ","])
def test_encodings_delimiters_and_decimal_commas(record: Record, encoding: str, delimiter: str) -> None:
    rows = [["Date", "Système", "System", "Temp °C", "pH"], ["13.05.2024", "é", "Süd", '"21,5"', '"7,4"'],
            ["14.05.2024", "", "Süd", '"22,25"', "7"]]  # letters that encodings write in different ways
    path = record("\r\n".join(delimiter.join(row) for row in rows) + "\r\n", encoding=encoding)
    readings = read_readings(path)
    assert column(readings, "temperature") == [21.5, 22.25]
    assert column(readings, "ph") == [7.4, 7.0]
    assert list(readings.frame["system"]) == ["Süd", "Süd"]


def test_title_lines_a_unit_row_quoted_line_ends_and_a_separator_line(record: Record) -> None:
    path = record('sep=;\nGreenhouse two\n\nDate;System;"Temp";DO;EC;Note\n;;°F;mg/L;mS/cm;\n'
                  '2024-05-01;A;68;8,1;0,4;"first\nsecond"\nMean;;68;8,1;0,4;\n')
    readings = read_readings(path)
    assert column(readings, "temperature") == [20.0]  # 68 °F by definition of the scale
    assert column(readings, "conductivity") == [400.0]
    assert list(readings.frame["note"]) == ["first\nsecond"]
    assert "Greenhouse two" in str(readings.account)
    (total,) = readings.account.rows_not_entered
    assert (total.row, "Mean" in str(total)) == (7, True)


def test_a_workbook_as_record(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.append(["Date", "Time", "System", "pH", "Temp °C"])
    sheet.append([datetime.date(2024, 5, 3), datetime.time(7, 30), RAFT, 7.4, "21,5"])
    sheet.append([datetime.datetime(2024, 5, 4), None, RAFT, 7.2, None])
    book.create_sheet("Other")
    book.save(tmp_path / "record.xlsx")
    readings = read_readings(tmp_path / "record.xlsx")
    assert list(readings.frame["time"]) == [datetime.time(7, 30), None]
    assert column(readings, "ph") == [7.4, 7.2]
    assert column(readings, "temperature") == [21.5, None]
    assert "Other" in str(readings.account)


@pytest.mark.parametrize(("text", "message"), [
    ("", "is empty"), ("\n\n", "is empty"), ("Date,System,pH\n", "no rows below"),
    ("a,b\n1,2\n", "no column of readings"),
    ('Date,System,pH\n2024-05-01,A,"7.4\n', "line 2"), ("\x00\x01\x02\x03", "is empty|UTF-16|no rows|zero bytes"),
])
def test_files_that_cannot_be_read(record: Record, text: str, message: str) -> None:
    with pytest.raises(ReadingsError, match=message):
        read_readings(record(text))


def test_a_missing_file_and_wrong_options(record: Record, tmp_path: Path) -> None:
    with pytest.raises(ReadingsError, match="No such file"):
        read_readings(tmp_path / "none.csv")
    path = record("Date,System,pH\n2024-05-01,A,7.4\n")
    wrong: tuple[dict[str, Any], ...] = (
        {"decimal": ";"}, {"units": {"warmth": "F"}}, {"units": {"ph": "F"}}, {"mapping": ["nowhere=ph"]},
        {"mapping": ["pH=ph", "pH=-"]}, {"timezone": "Nowhere/Land"},
    )
    for options in wrong:
        with pytest.raises(ReadingsError):
            read_readings(path, **options)


def test_all_questions_come_at_once_with_the_text_to_give(record: Record) -> None:
    path = record("When,Temp,Ammonia,Nitrate,Phosphate,KH\n03/04/2024,20,0.5,60,4,6\n04/04/2024,25,0.5,60,4,6\n")
    text = asked(path, mapping=["When=date"], units={"temperature": "C"})
    for answer in ('--map "Ammonia=tan:NH3"', '--map "Ammonia=-"', '--map "Nitrate=nitrate:N"',
                   '--map "Nitrate=nitrate:NO3"',
                   '--map "Phosphate=phosphate:P"', '--map "KH=alkalinity:dH"', '--map "KH=alkalinity:mg/L"',
                   "--day-first",
                   "3 April 2024", "4 March 2024", "--system NAME"):
        assert answer in text
    assert "column of dates" in asked(path)


def test_the_question_for_a_basis_gives_each_with_its_own_example(record: Record) -> None:
    """Of 1 mg/L: by IUPAC 2021 atomic weights NH3/N 1.21589, NH4/N 1.28786, NO3/N 4.42664, PO4/P 3.0661."""
    path = record("Date,System,Ammonia,Nitrate,Phosphate\n2024-05-01,A,0.5,60,4\n")
    text = asked(path)
    for line in (
        '"Ammonia=tan:N" if it is total ammonia as N, also written TAN (1 mg/L as N is 1.22 mg/L as NH3)',
        '"Ammonia=tan:NH3" if it is total ammonia as NH3 (1 mg/L as NH3 is 0.822 mg/L as N)',
        '"Ammonia=tan:NH4" if it is total ammonia as NH4 (1 mg/L as NH4 is 0.776 mg/L as N)',
        '"Nitrate=nitrate:N" if it is given as N, also written NO3-N (1 mg/L as N is 4.43 mg/L as NO3)',
        '"Nitrate=nitrate:NO3" if it is given as NO3 (1 mg/L as NO3 is 0.226 mg/L as N)',
        '"Phosphate=phosphate:P" if it is given as P, also written PO4-P (1 mg/L as P is 3.07 mg/L as PO4)',
    ):
        assert line in " ".join(text.split())
    ammonia = next(lines for lines in text.split("column ") if "Ammonia" in lines)
    assert "NO3" not in ammonia


def test_the_answers_are_used(record: Record) -> None:
    path = record("When,Temp,Ammonia,Nitrate,KH\n03/04/2024,20,0.5,10,6\n")
    readings = read_readings(path, mapping=["When=date", "Temp=temperature:C", "ammonia=tan:NH3", "Nitrate=nitrate:N",
                                            "KH=alkalinity:dH"], day_first=True, system="A")
    row = readings.frame.iloc[0]
    assert row["date"] == pandas.Timestamp("2024-04-03")
    # Factors by IUPAC 2021 atomic weights: NH3/N 1.21589, NO3/N 4.42664, mg/L CaCO3 per °dH 17.848.
    assert row["tan"] == pytest.approx(0.5 / 1.21589, rel=1e-5)
    assert row["nitrate"] == pytest.approx(44.2664, rel=1e-5)
    assert row["alkalinity"] == pytest.approx(6 * 17.848, rel=1e-5)


@pytest.mark.parametrize(("values", "unit"), [
    (["68", "86"], "°F"), (["15", "26"], "°C"), (["25", "33"], "°C"), (["33", "39"], None), (["24", "75"], None),
    (["24", "-127"], None),
])
def test_a_temperature_without_unit(record: Record, values: list[str], unit: str | None) -> None:
    path = record("Date,System,Temp\n" + "".join(f"2024-05-0{i},A,{value}\n" for i, value in enumerate(values, 1)))
    if unit is None:
        text = asked(path)
        assert '--map "Temp=temperature:F"' in text
        assert '--map "Temp=temperature:C"' in text
    else:
        readings = read_readings(path)
        assert readings.account.columns[-1].unit == unit
        assert f"all values, {values[0]} to {values[1]}" in str(readings.account)


@pytest.mark.parametrize(("heading", "values", "unit"), [
    ("DO", ["5.5", "9"], "mg/L"), ("DO", ["7", "95"], None), ("DO", ["88", "95"], None),
    ("EC", ["350", "900"], "µS/cm"),
    ("EC", ["0.35", "0.9"], None), ("EC", ["12", "900"], None), ("DO", ["8 mg/L", "9 ppm"], "mg/L"),
])
def test_oxygen_and_conductivity_without_unit(record: Record, heading: str, values: list[str],
                                              unit: str | None) -> None:
    path = record(f"Date,System,{heading}\n" + "".join(f"2024-05-0{i},A,{v}\n" for i, v in enumerate(values, 1)))
    if unit is None:
        assert f'column "{heading}"' in asked(path)
    else:
        assert read_readings(path).account.columns[-1].unit == unit


def test_a_unit_after_the_number_overrides_that_of_the_column(record: Record) -> None:
    path = record("Date,System,Temp (°C),DO (mg/L),pH\n2024-05-01,A,68F,85 %,7.1\n2024-05-02,A,20,8,7.2 furlongs\n")
    readings = read_readings(path)
    assert column(readings, "temperature") == [20.0, 20.0]
    assert column(readings, "oxygen") == [None, 8.0]
    assert [(one.row, one.column) for one in readings.account.values_not_entered] == [(2, "DO (mg/L)"), (3, "pH")]


def test_units_of_any_script_and_marks_of_doubt_are_not_overlooked(record: Record) -> None:
    path = record("Date,System,NO3 (mg/L),pH\n2024-05-01,A,25 мкг/л,7.3?\n2024-05-02,A,25,7.2*\n")
    readings = read_readings(path)
    assert column(readings, "nitrate") == [None, 25.0]  # µg/L in Cyrillic letters: a thousandth
    assert column(readings, "ph") == [7.3, 7.2]
    assert list(readings.frame["note"]) == ["pH was read as 7.3?", "pH was read as 7.2*"]
    assert "expected one of: mg/L, µg/L" in str(readings.account)


def test_decimal_signs_that_nothing_settles(record: Record) -> None:
    ambiguous = record('Date,System,EC (µS/cm)\n2024-05-01,A,"1,234"\n')
    assert "--decimal comma" in asked(ambiguous)
    assert column(read_readings(ambiguous, decimal="point"), "conductivity") == [1234.0]
    assert column(read_readings(ambiguous, decimal="comma"), "conductivity") == [1.234]
    settled = record('Date,System,EC (µS/cm),pH\n2024-05-01,A,"1,234",7.1\n')
    assert column(read_readings(settled), "conductivity") == [1234.0]
    semicolon = record("Date;System;pH\n2024-05-01;A;7,415\n")
    assert column(read_readings(semicolon), "ph") == [7.415]
    mixed = record('Date,System,EC (µS/cm),pH\n2024-05-01,A,"1,234",7.1\n2024-05-02,A,500,"7,1"\n')
    assert "both decimal points and decimal commas" in asked(mixed)


def test_sensor_nonsense_is_not_entered_with_the_reason(record: Record) -> None:
    path = record("Date,System,Temp (°C),pH,DO (mg/L),EC (µS/cm),TAN (mg/L)\n"  # wrong on purpose: no water reads so
                  "2024-05-01,A,-127,15.45,101,0,inf\n2024-05-02,A,85,-999,-999,25000,0.2\n2024-05-03,A,21,7.4,8,590,0.2\n")
    readings = read_readings(path)
    reasons = {(one.row, one.column): one.reason for one in readings.account.values_not_entered}
    assert len(reasons) == 9
    assert "not connected" in reasons[2, "Temp (°C)"]
    assert "power-on" in reasons[3, "Temp (°C)"]
    assert "from 4 to 11" in reasons[2, "pH"]
    assert "percent of saturation" in reasons[2, "DO (mg/L)"]
    assert "when there is no reading" in reasons[3, "DO (mg/L)"]
    assert "air" in reasons[2, "EC (µS/cm)"]
    assert "finite" in reasons[2, "TAN (mg/L)"]
    assert [one.row for one in readings.account.rows_not_entered] == [2]  # nothing was left of it
    assert column(readings, "tan") == [0.2, 0.2]


def test_oxygen_that_stays_at_0_and_a_single_0(record: Record) -> None:
    rows = "".join(f"2024-05-01,{hour:02}:00,A,{value},7\n" for hour,
                   value in enumerate(["8", "0", "0", "0", "7.5", "0", "7"]))
    readings = read_readings(record("Date,Time,System,DO mg/L,pH\n" + rows))
    assert column(readings, "oxygen") == [8.0, None, None, None, 7.5, 0.0, 7.0]
    assert [one.row for one in readings.account.values_not_entered] == [3, 4, 5]


def test_bounds_of_kits(record: Record) -> None:
    path = record("Date,System,TAN (mg/L),PO4,NO3,pH,DO mg/L\n2024-05-01,A,<0.2,>25,150+,<6.4,<2\n"
                  "2024-05-02,A,>4,<0.5,~20,>8.2,7\n2024-05-03,A,trace,nd,5-10,7.4,7\n")  # ends of the kits' ranges
    readings = read_readings(path)
    assert column(readings, "tan") == [0.2, 4.0, None]
    assert column(readings, "phosphate") == [None, 0.5, None]
    assert column(readings, "nitrate") == [150.0, 20.0, None]
    assert column(readings, "ph") == [None, None, 7.4]
    assert column(readings, "oxygen") == [2.0, 7.0, 7.0]
    first, second, third = readings.frame["note"]
    label = {key: field.label for key, field in MEASURED.items()}
    assert first == "; ".join(f"{label[key]} was read as {text}" for key, text in (
        ("tan", "<0.2"), ("phosphate", ">25"), ("nitrate", "150+"), ("ph", "<6.4"), ("oxygen", "<2")))
    assert f"{label['nitrate']} was read as ~20" in second
    assert f"{label['tan']} was read as trace" in third
    assert {(one.row, one.column) for one in readings.account.bounds} == {
        (2, "TAN (mg/L)"), (2, "NO3"), (2, "DO mg/L"), (3, "TAN (mg/L)"), (3, "PO4")}
    account = str(readings.account)
    assert '"<0.2" means that the true value may be lower, so 0.2 is on the safe side' in account
    assert '"<2" means that the true value may be lower; test again' in account  # less oxygen than 2 mg/L is worse
    assert '">25" means anything above 25, so it stands only in the note of the test' in account
    assert len(readings.account.values_not_entered) == 6


def test_repetitions_and_differing_readings_of_one_moment(record: Record) -> None:
    path = record("Date,Time,System,pH\n2024-05-01,07:00,A,7.1\n2024-05-01,07:00,A,7.1\n2024-05-01,7:00,a,7.10\n"
                  "2024-05-01,07:00,A,7.3\n")
    readings = read_readings(path)
    assert list(readings.frame["row"]) == [2, 5]
    assert sorted(readings.account.duplicates) == [(3, 2), (4, 2)]
    assert readings.account.conflicts == ["rows 2, 5"]


def test_two_columns_for_one_field(record: Record) -> None:
    overlapping = record("Date,System,pH,PH\n2024-05-01,A,7.1,7.2\n")
    assert '--map "PH=-"' in asked(overlapping)
    assert column(read_readings(overlapping, mapping=["PH=-"]), "ph") == [7.1]
    chosen = read_readings(overlapping, mapping=["pH=ph"])
    assert column(chosen, "ph") == [7.1]
    assert "PH: is not needed" in str(chosen.account)
    apart = read_readings(record("Date,System,pH,PH\n2024-05-01,A,7.1,\n2024-05-02,A,,7.2\n"))
    assert column(apart, "ph") == [7.1, 7.2]
    assert "never have a value in the same row" in str(apart.account)


def test_rows_that_cannot_go_in(record: Record) -> None:
    path = record("Date,Time,System,pH\n,07:00,A,7\n2024-05-01,07:00,,7\n2024-05-01,morning,A,7\n2024-05-02,07:00,A,\n"
                  "2024-05-03,07:00,A,7,4\nyesterday,07:00,A,7\n")
    account = read_readings(path).account
    assert {one.row: one.reason for one in account.rows_not_entered}.keys() == {2, 3, 5, 6, 7}
    assert [(one.row, one.column) for one in account.values_not_entered] == [(4, "Time")]
    assert "decimal comma" in next(one.reason for one in account.rows_not_entered if one.row == 6)
    named = read_readings(path, system="B")
    assert "1 reading names no system and is entered for B" in str(named.account)
    assert set(named.frame["system"]) == {"A", "B"}


def test_a_long_record(record: Record) -> None:
    path = record("date,site,depth,rep,parameter,result,units,remarks,by\n"
                  "2024-05-01,A,1,1,Water temperature,68,°F,,Ines\n2024-05-01,A,1,1,pH,7.1,,new probe,Marek\n"
                  "2024-05-01,A,1,2,pH,7.2,,,Ines\n2024-05-01,A,2,1,pH,7.5,,,Ines\n2024-05-01,A,2,1,pH,7.6,,,Ines\n"
                  "2024-05-01,A,2,1,nitrate,4,mg/L as N,,Ines\n2024-05-01,A,2,1,silica,4,mg/L,,Ines\n"
                  "2024-05-01,A,2,1,pH,7.6,,,Ines\n")
    readings = read_readings(path)
    assert column(readings, "ph") == [7.1, 7.2, 7.5, 7.6]
    assert column(readings, "temperature") == [20.0, None, None, None]
    assert readings.frame["nitrate"].iloc[2] == pytest.approx(4 * 4.42664, rel=1e-5)  # IUPAC 2021 atomic weights
    assert readings.frame["tester"].iloc[0] == "Ines, Marek"
    assert list(readings.frame["note"])[:3] == ["depth 1; replicate 1; pH: new probe", "depth 1; replicate 2",
                                                "depth 2; replicate 1"]
    assert readings.account.duplicates == [(9, 6)]
    assert ("silica in mg/L", "is no field of the log (1 row)") in readings.account.columns_not_used
    assert "8 rows read, with one reading per row; together they make 4 tests" in str(readings.account)


def test_a_long_record_s_variables_are_mapped_like_headings(record: Record) -> None:
    path = record("date,site,parameter,result\n2024-05-01,A,Kit ammonia,0.5\n2024-05-01,A,ammonia,0.5\n")
    readings = read_readings(path, mapping=["kit ammonia=tan:N", "ammonia=-"])
    assert column(readings, "tan") == [0.5]
    assert ("ammonia", "is left out, as the mapping says (1 row)") in readings.account.columns_not_used


def test_no_reading_at_all_gives_an_empty_frame(record: Record) -> None:
    readings = read_readings(record("Date,System,pH\nsoon,A,7\n"))
    assert len(readings.frame) == 0
    assert str(readings.frame["date"].dtype).startswith("datetime64")
    assert list(readings.account.not_entered_table()["row"]) == [2]


CELLS = st.sampled_from(["", "7.4", "7,4", "1,234", "<0.25", "trace", "inf", "-127", "85", "0", "75 F", "2024-06-10",
                         "13/04/2024",
                         "03/04/2024", "7:30 PM", "morning", "Z", "+05:30", "ph", "mg/L", "°C", "=1+1", 'a"b', "x\ny",
                         "20 %"])
HEADINGS = st.sampled_from(["Date", "Time", "timestamp (UTC)", "Tank", "Temp", "Temp °F", "pH", "DO", "DO mg/L", "TAN",
                            "NH3", "NO3",
                            "nitrate", "KH", "EC", "TDS", "By", "Note", "depth", "variable", "value", "units", "tz",
                            "", "foo"])


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=60, deadline=None)
@given(st.data())
def test_every_row_of_any_record_is_accounted_for(record: Record, data: st.DataObject) -> None:
    headings = ["Date", "System", *data.draw(st.lists(HEADINGS, min_size=1, max_size=6))]
    rows = data.draw(st.lists(st.lists(CELLS, min_size=len(headings), max_size=len(headings)), min_size=1, max_size=8))
    quoted = [",".join('"' + cell.replace('"', '""') + '"' for cell in row) for row in (headings, *rows)]
    try:
        readings = read_readings(record("\n".join(quoted)), day_first=True, timezone="+02:00", decimal="point",
                                 mapping=["NH3=-"] if "NH3" in headings else None,
                                 units={"temperature": "F", "oxygen": "mg/L", "conductivity": "mS/cm",
                                        "alkalinity": "dH"})
    except ReadingsError:
        return  # with a message
    account = readings.account
    assert account.rows_read <= len(rows)
    if not account.long:
        assert account.rows_read == len(readings.frame) + len(account.rows_not_entered) + len(account.duplicates)
    assert str(account)
