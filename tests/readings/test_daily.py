"""A sensor's record reduced to daily rows, checked against sums calculated another way, and imported into a log."""

from __future__ import annotations

import csv
import math
import random
import statistics
from collections import defaultdict
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from pailbook.demo.scenario import NORTH_RAFT, SOUTH_BEDS
from pailbook.workbook.readings import NeedsAnswer, ReadingsError, import_readings, read_readings
from pailbook.workbook.readings.answers import decimal_sign
from pailbook.workbook.readings.daily import daily
from pailbook.workbook.readings.sensor import figures_of
from pailbook.workbook.readings.spread import on_cluster
from pailbook.workbook.templates import build
from thorough import examples

RAFT, BEDS = NORTH_RAFT.name, SOUTH_BEDS.name


def record(path: Path, rows: list[str], heading: str = "Timestamp,Tank,Water temp (C),pH,DO mg/L") -> Path:
    path.write_text("\n".join([heading, *rows]) + "\n", encoding="utf-8")
    return path


def written(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_a_day_is_the_mean_for_oxygen_the_lowest_and_for_ph_the_highest(tmp_path: Path) -> None:
    source = record(tmp_path / "s.csv", [
        f"2026-03-01 00:00:00,{RAFT},24.0,7.4,6.0", f"2026-03-01 12:00:00,{RAFT},26.0,7.6,4.5",
        f"2026-03-01 23:59:59,{RAFT},25.0,,7.0", f"2026-03-02 00:00:00,{RAFT},20.0,7.3,8.0",
        f"2026-03-01 06:00:00,{BEDS},22.0,7.2,5.0",
    ])
    report = daily(source, tmp_path / "d.csv")
    assert written(tmp_path / "d.csv") == [
        {"date": "2026-03-01", "system": RAFT, "Water temp (C)": "25", "pH": "7.6", "DO mg/L": "4.5",
         "note": "from 3 sensor readings: Water temp (C) 24 to 26; pH 7.4 to 7.6; DO mg/L 4.5 to 7"},
        {"date": "2026-03-01", "system": BEDS, "Water temp (C)": "22", "pH": "7.2", "DO mg/L": "5",
         "note": "from 1 sensor reading: Water temp (C) 22 to 22; pH 7.2 to 7.2; DO mg/L 5 to 5"},
        {"date": "2026-03-02", "system": RAFT, "Water temp (C)": "20", "pH": "7.3", "DO mg/L": "8",
         "note": "from 1 sensor reading: Water temp (C) 20 to 20; pH 7.3 to 7.3; DO mg/L 8 to 8"},
    ]
    assert (report.values, report.used, report.daily_rows, report.aside, report.unplaced) == (14, 14, 3, {}, 0)
    daily(source, tmp_path / "d2.csv", figures={"oxygen": "mean", "temperature": "highest", "ph": "lowest"})
    first = written(tmp_path / "d2.csv")[0]
    assert (first["Water temp (C)"], first["DO mg/L"], first["pH"]) == ("26", "5.833333333", "7.4")


def test_what_is_no_reading_is_not_used_but_counted(tmp_path: Path) -> None:
    source = record(tmp_path / "s.csv", [
        # What a probe that is not connected, a logger without a reading and a broken pH meter write.
        f"2026-03-01 00:00,{RAFT},24.0,7.4,6.0", f"2026-03-01 01:00,{RAFT},-127,7.4,-999",
        f"2026-03-01 02:00,{RAFT},error,99,6.2", f"yesterday,{RAFT},24.0,7.4,6.0", "2026-03-01 03:00,,24.0,7.4,6.0",
        f"2026-03-01 04:00,{RAFT},n/a,7.4,",
    ])
    report = daily(source, tmp_path / "d.csv")
    assert report.aside == {"Water temp (C)": 2, "pH": 1, "DO mg/L": 1}
    assert report.unplaced == 6
    assert [row["note"] for row in written(tmp_path / "d.csv")] == [
        "from 3 sensor readings: Water temp (C) 24 to 24; pH 7.4 to 7.4; DO mg/L 6 to 6.2"]
    assert "pH: 1 value not used" in str(report)
    assert daily(source, tmp_path / "e.csv", system=BEDS).daily_rows == 2


def test_one_row_per_value_day_first_with_decimal_commas(tmp_path: Path) -> None:
    source = record(tmp_path / "s.csv", [
        f"13/03/2026 10:00;{RAFT};Temperature;°C;24,5", f"13/03/2026 11:00;{RAFT};Temperature;°C;25,5",
        f"13/03/2026 11:00;{RAFT};pH;;7,25", f"13/03/2026 12:00;{RAFT};pH;;7,15", f"14/03/2026 11:00;{RAFT};pH;;bad",
    ], "Date time;Tank;Parameter;Unit;Value")
    report = daily(source, tmp_path / "d.csv", decimal=",")
    rows = written(tmp_path / "d.csv")
    assert [(row["date"], row["Temperature (°C)"], row["pH"]) for row in rows] == [("2026-03-13", "25", "7.25")]
    assert report.aside == {"pH": 1}


def test_times_with_zones_fall_on_the_days_of_the_site(tmp_path: Path) -> None:
    source = record(tmp_path / "s.csv", [
        f"2026-03-01T23:30:00Z,{RAFT},24,7.4,6", f"2026-03-02T03:30:00Z,{RAFT},26,7.4,6"])
    with pytest.raises(NeedsAnswer, match="--timezone AREA/CITY"):
        daily(source, tmp_path / "d.csv")
    daily(source, tmp_path / "d.csv", timezone="America/New_York")
    assert [row["date"] for row in written(tmp_path / "d.csv")] == ["2026-03-01"]
    daily(source, tmp_path / "e.csv", timezone="Asia/Tokyo")
    assert [row["date"] for row in written(tmp_path / "e.csv")] == ["2026-03-02"]


@pytest.mark.parametrize(("heading", "rows", "options", "message"), [
    ("Timestamp,Tank,Water temp (C)", [f"03/04/2026 10:00,{RAFT},24"], {}, "--day-first"),
    ("Timestamp,Water temp (C)", ["2026-03-01 10:00,24"], {}, "--system NAME"),
    ("Timestamp,Tank,Colour", [f"2026-03-01 10:00,{RAFT},green"], {}, "no column of readings was recognised"),
    ("Tank,Water temp (C)", [f"{RAFT},24"], {}, "no column of dates"),
    ("Timestamp,Tank,pH", [f"x,{RAFT},7.4"], {}, "no reading with a readable date"),
    ("Timestamp,Tank,pH", [f"2026-03-01,{RAFT},7.4", f"2026-03-01,{RAFT},7,4,9"], {},
     "row 3: has 5 cells under 3 headings"),
    ("Timestamp,Tank,pH", [f"2026-03-01,{RAFT},7.4"], {"figures": {"ph": "median"}}, "mean, lowest, highest"),
    ("Timestamp,Tank,pH", [f"2026-03-01,{RAFT},7.4"], {"figures": {"ph": "mean"}}, "expected lowest or highest"),
    ("Timestamp,Tank,pH", [f"2026-03-01,{RAFT},7.4"], {"mapping": ["Salt=conductivity"]}, "no such column"),
    ("Timestamp,Tank,pH", [], {}, "no rows below"),
])
def test_what_cannot_be_used_gives_a_message_and_nothing_is_written(
    tmp_path: Path, heading: str, rows: list[str], options: dict[str, Any], message: str
) -> None:
    source = record(tmp_path / "s.csv", rows, heading)
    with pytest.raises(ReadingsError, match=message):
        daily(source, tmp_path / "d.csv", **options)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["s.csv"]


def test_a_file_that_is_there_is_not_replaced_and_options_are_checked(tmp_path: Path) -> None:
    source = record(tmp_path / "s.csv", [f"2026-03-01 10:00,{RAFT},24,7.4,6"])
    (tmp_path / "d.csv").write_text("mine")
    with pytest.raises(ReadingsError, match="already exists"):
        daily(source, tmp_path / "d.csv")
    assert (tmp_path / "d.csv").read_text() == "mine"
    daily(source, tmp_path / "d.csv", overwrite=True)
    with pytest.raises(ReadingsError, match="No such file"):
        daily(tmp_path / "none.csv", tmp_path / "e.csv")
    with pytest.raises(ReadingsError, match="oxygen=mean"):
        figures_of(["oxygen"])
    with pytest.raises(ReadingsError, match="point"):
        decimal_sign("dot")
    with pytest.raises(ReadingsError, match="the decimal sign is 'dot'"):
        daily(source, tmp_path / "e.csv", decimal="dot")
    with pytest.raises(ReadingsError, match='the time zone "Mars/Base" is not known'):
        daily(source, tmp_path / "e.csv", timezone="Mars/Base")
    assert (figures_of(["oxygen = mean"]), decimal_sign("comma")) == ({"oxygen": "mean"}, ",")


@given(st.lists(st.tuples(st.integers(0, 3), st.sampled_from([RAFT, BEDS]), st.floats(0, 40), st.floats(0, 20)),
                min_size=1, max_size=60), st.integers(1, 7))
@settings(max_examples=examples(40), deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_pieces_of_any_size_give_the_same_as_the_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, rows: list[tuple[int, str, float, float]], size: int
) -> None:
    source = record(tmp_path / "s.csv", [f"2026-03-0{d + 1} 10:00,{s},{t!r},7.4,{o!r}" for d, s, t, o in rows])
    monkeypatch.setattr("pailbook.workbook.readings.daily.ROWS_AT_ONCE", size)
    daily(source, tmp_path / "d.csv", overwrite=True)
    by_day: dict[tuple[str, str], list[tuple[float, float]]] = defaultdict(list)
    for day, system, temperature, oxygen in rows:
        by_day[f"2026-03-0{day + 1}", system].append((temperature, oxygen))
    found = {(row["date"], row["system"]): row for row in written(tmp_path / "d.csv")}
    assert found.keys() == by_day.keys()
    for key, values in by_day.items():
        mean = statistics.fmean(t for t, _ in values)
        assert math.isclose(float(found[key]["Water temp (C)"]), mean, rel_tol=1e-9, abs_tol=1e-9)
        assert math.isclose(float(found[key]["DO mg/L"]), min(o for _, o in values), rel_tol=1e-9, abs_tol=1e-300)


def test_the_daily_rows_go_into_a_log(tmp_path: Path) -> None:
    chance = random.Random(5)
    source = record(tmp_path / "s.csv", [
        f"2026-03-{day:02d} {hour:02d}:00,{RAFT},{22 + chance.random():.2f},{7.4 + chance.random() / 10:.2f},"
        f"{6 + chance.random():.2f}"
        for day in range(1, 11) for hour in range(24)
    ])
    daily(source, tmp_path / "d.csv")
    frame = read_readings(tmp_path / "d.csv").frame
    assert len(frame) == 10
    assert frame["oxygen"].between(6, 6.3).all()
    log = build("farm-log", tmp_path / "log.xlsx")
    report = import_readings(tmp_path / "d.csv", log, tmp_path / "new.xlsx")
    assert report.entered == 10


@pytest.mark.long
def test_a_cluster_gives_the_same(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    source = record(tmp_path / "s.csv", [
        f"2026-03-{1 + i // 1440:02d} {i // 60 % 24:02d}:{i % 60:02d},{(RAFT, BEDS)[i % 2]},{20 + i % 7},"
        f"{7.2 + i % 3 / 10},{5 + i % 5}"
        for i in range(4000)
    ])
    daily(source, tmp_path / "one.csv")
    monkeypatch.setattr("pailbook.workbook.readings.spread.BLOCK", 20_000)  # seven blocks, the cuts within lines
    with on_cluster(2) as pieces:
        daily(source, tmp_path / "two.csv", pieces=pieces)
    assert (tmp_path / "two.csv").read_bytes() == (tmp_path / "one.csv").read_bytes()
