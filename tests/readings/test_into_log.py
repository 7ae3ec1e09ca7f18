"""Readings in a farm log: its rows, its units and bases, and what it had before. The records are our own invention."""

from __future__ import annotations

import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from pailbook.demo.scenario import NORTH_RAFT, SOUTH_BEDS
from pailbook.workbook.farm_log import systems, water_tests
from pailbook.workbook.farm_log.build import farm_log
from pailbook.workbook.package import set_cells
from pailbook.workbook.readings import ImportReport, NeedsAnswer, ReadingsError, import_readings
from pailbook.workbook.readings.fields import MEASURED

Record = Callable[..., Path]
TABLE = water_tests.table(12)
PLAIN = ("Date,Time,System,Temp (°F),pH,TAN (mg/L N),NO3 (mg/L NO3),KH (°dH),EC (µS/cm),Note\n"
         f"2024-05-02,07:30,{NORTH_RAFT.name.casefold()},68,7.5,0.5,60,6,590,=cleaned\n"
         f"2024-05-01,,{SOUTH_BEDS.name},77,7.4,<0.2,50,5,620,+fed\n")


@pytest.fixture(scope="module")
def logs(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """Farm logs of twelve rows: metric, and US with other bases; each knows North raft."""
    folder = tmp_path_factory.mktemp("logs")
    made = {}
    known = f"{systems.table().letter('system')}{systems.table().first_row}"
    for units in ("metric", "us"):
        blank = farm_log(units, rows=12).book.save(folder / f"blank-{units}.xlsx")
        book = openpyxl.load_workbook(blank, read_only=True)
        bases = {name: next(iter(book.defined_names[f"log_{name}"].destinations))
                 for name in ("basis_ammonia", "basis_nitrate", "basis_alkalinity")}
        book.close()
        wanted: dict[str, dict[str, Any]] = {systems.SHEET: {known: NORTH_RAFT.name}}
        if units == "us":
            for (sheet, address), basis in zip(bases.values(), ("NH3", "N", "dH")):
                wanted.setdefault(sheet, {})[address.replace("$", "")] = basis
        made[units] = folder / f"{units}.xlsx"
        set_cells(blank, made[units], wanted)
    return made


def cells(path: Path, rows: range) -> list[dict[str, Any]]:
    """The typed cells of the log's rows, by field, read by the workbook library."""
    sheet = openpyxl.load_workbook(path)[water_tests.SHEET]
    return [{column.key: sheet[f"{TABLE.letter(column.key)}{row}"].value for column in TABLE.inputs} for row in rows]


def test_readings_go_into_the_first_free_rows_by_date(logs: dict[str, Path], record: Record, tmp_path: Path) -> None:
    report = import_readings(record(PLAIN), logs["metric"], tmp_path / "new.xlsx")
    assert isinstance(report, ImportReport)
    assert (report.entered, report.rows) == (2, [5, 6])
    first, second, third = cells(tmp_path / "new.xlsx", range(5, 8))
    assert str(first["date"])[:10] == "2024-05-01"
    assert (first["time"], first["system"], str(second["time"]), second["system"]) == (
        None, SOUTH_BEDS.name, "07:30:00", NORTH_RAFT.name)
    assert (second["temperature"], second["ph"], second["tan"], second["nitrate"], second["conductivity"]) == (
        20, 7.5, 0.5, 60, 590)
    assert second["alkalinity"] == pytest.approx(6 * 17.848, rel=1e-5)  # mg/L CaCO3 per °dH, IUPAC 2021 atomic weights
    assert (first["tan"], first["note"]) == (0.2, f"+fed; {MEASURED['tan'].label} was read as <0.2")
    assert set(third.values()) == {None}
    assert dict(report.not_registered) == {SOUTH_BEDS.name: 1}
    assert SOUTH_BEDS.name in str(report)


def test_text_that_looks_like_a_formula_stays_text(logs: dict[str, Path], record: Record, tmp_path: Path) -> None:
    path = record("Date,System,pH,By,Note\n2024-05-01,=1+1,7.4,@SUM(A1),-2+3\n")
    import_readings(path, logs["metric"], tmp_path / "new.xlsx")
    sheet = openpyxl.load_workbook(tmp_path / "new.xlsx")[water_tests.SHEET]
    for key, text in (("system", "=1+1"), ("tester", "@SUM(A1)"), ("note", "-2+3")):
        cell = sheet[f"{TABLE.letter(key)}5"]
        assert (cell.value, cell.data_type) == (text, "s")  # a formula would be "f"


def test_a_log_in_other_units_and_bases(logs: dict[str, Path], record: Record, tmp_path: Path) -> None:
    report = import_readings(record(PLAIN), logs["us"], tmp_path / "new.xlsx")
    _, second = cells(tmp_path / "new.xlsx", range(5, 7))
    assert second["temperature"] == 68  # °F, as in the record
    assert second["alkalinity"] == pytest.approx(6)  # °dH, as in the record
    # NH3/N 1.21589 and NO3/N 4.42664, IUPAC 2021 atomic weights
    assert second["tan"] == pytest.approx(0.5 * 1.21589, rel=1e-5)
    assert second["nitrate"] == pytest.approx(60 / 4.42664, rel=1e-5)
    assert f"{MEASURED['temperature'].label} °F" in str(report)
    assert f"{MEASURED['tan'].label} mg/L as NH3" in str(report)


def test_a_second_import_of_the_same_file_enters_nothing(logs: dict[str, Path], record: Record,
                                                          tmp_path: Path) -> None:
    path, once, twice = record(PLAIN), tmp_path / "once.xlsx", tmp_path / "twice.xlsx"
    for units in ("metric", "us"):
        import_readings(path, logs[units], once, overwrite=True)
        report = import_readings(path, once, twice, overwrite=True)
        assert (report.entered, sorted(report.already_there)) == (0, [2, 3])
        assert cells(once, range(5, 8)) == cells(twice, range(5, 8))
        assert "2 tests not entered, because the log has them already" in str(report)


def test_other_values_of_a_moment_that_the_log_has_go_in_beside_them(
    logs: dict[str, Path], record: Record, tmp_path: Path
) -> None:
    import_readings(record(PLAIN), logs["metric"], tmp_path / "once.xlsx")
    changed = record(PLAIN.replace(",7.5,", ",7.7,"), "changed.csv")
    report = import_readings(changed, tmp_path / "once.xlsx", tmp_path / "twice.xlsx")
    assert (report.entered, report.rows, report.already_there) == (1, [7], [3])
    assert report.beside_others == [f"row 2: {NORTH_RAFT.name}, 2024-05-02 07:30:00"]
    before, after = cells(tmp_path / "once.xlsx", range(5, 7)), cells(tmp_path / "twice.xlsx", range(5, 7))
    assert before == after


def test_too_few_free_rows_are_refused_before_anything_is_written(
    logs: dict[str, Path], record: Record, tmp_path: Path
) -> None:
    rows = "".join(f"2024-05-{day:02},{NORTH_RAFT.name},7.4\n" for day in range(1, 14))
    with pytest.raises(ReadingsError, match=r"12 free rows out of 12 .* 13 tests to enter"):
        import_readings(record("Date,System,pH\n" + rows), logs["metric"], tmp_path / "new.xlsx")
    assert not (tmp_path / "new.xlsx").exists()


def test_an_existing_file_is_not_replaced_unless_asked(logs: dict[str, Path], record: Record, tmp_path: Path) -> None:
    out = tmp_path / "new.xlsx"
    out.write_bytes(b"mine")
    with pytest.raises(ReadingsError, match="already exists"):
        import_readings(record(PLAIN), logs["metric"], out)
    assert out.read_bytes() == b"mine"
    assert import_readings(record(PLAIN), logs["metric"], out, overwrite=True).entered == 2


def test_a_question_leaves_everything_as_it_was(logs: dict[str, Path], record: Record, tmp_path: Path) -> None:
    path = record(f"Date,System,Nitrate\n2024-05-01,{NORTH_RAFT.name},60\n")
    with pytest.raises(NeedsAnswer):
        import_readings(path, logs["metric"], tmp_path / "new.xlsx")
    assert not (tmp_path / "new.xlsx").exists()


def test_files_that_are_not_a_farm_log(record: Record, tmp_path: Path) -> None:
    other = openpyxl.Workbook()
    other.save(tmp_path / "other.xlsx")
    for log in (tmp_path / "none.xlsx", record("Date\n", "log.xlsx"), tmp_path / "other.xlsx"):
        with pytest.raises(ReadingsError, match=log.name):
            import_readings(record(PLAIN), log, tmp_path / "new.xlsx")


def test_real_records_in_one_log(carp: Path, long_pond: Path, tmp_path: Path) -> None:
    log = farm_log(rows=30).book.save(tmp_path / "log.xlsx")
    first = import_readings(carp, log, tmp_path / "1.xlsx", mapping=["ammonia_tan_mg_l=tan:N"])
    second = import_readings(long_pond, tmp_path / "1.xlsx", tmp_path / "2.xlsx", mapping=["waterbody=system"])
    assert (first.entered, second.entered, second.rows) == (20, 3, [25, 26, 27])
    assert first.not_registered.total() == 20
    with zipfile.ZipFile(log) as old, zipfile.ZipFile(tmp_path / "2.xlsx") as new:
        assert set(old.namelist()) == set(new.namelist())
        differing = [name for name in old.namelist() if old.read(name) != new.read(name)]
    assert len(differing) <= 3  # the sheet, the workbook's mark to compute anew, and shared texts at most
