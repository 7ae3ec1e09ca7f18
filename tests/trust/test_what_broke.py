"""What random inputs once broke, each with the answer that is right."""

from __future__ import annotations

import csv
import re
import time
import zipfile
from pathlib import Path

import pandas
import pytest

import pailbook
from files import TANK, rich_workbook, with_texts
from fuzz_seeds import small_workbook
from pailbook.files import replacing
from pailbook.formula.read import Unreadable, tokens
from pailbook.hosts.cells import FormulaCell
from pailbook.hosts.engines import ENGINES, Formulas
from pailbook.outcomes import BadInput, WrongKind
from pailbook.workbook.farm_log.build import farm_log
from pailbook.workbook.package import Workbook, WorkbookError
from pailbook.workbook.readings import ReadingsError, read_readings
from pailbook.workbook.readings.daily import daily
from pailbook.workbook.readings.table import read_table
from pailbook.workbook.share.share import share

ROWS = ["2026-05-03 06:00,North raft,7.1", "2026-05-03 18:00,North raft,7.3"]


@pytest.mark.parametrize("gone", [slice(0, 300), slice(100, 400), slice(-30, -10), slice(-200, -150)])
def test_a_workbook_that_lacks_bytes_anywhere(gone: slice, tmp_path: Path) -> None:
    data = bytearray(small_workbook())
    del data[gone]
    (tmp_path / "book.xlsx").write_bytes(data)
    with pytest.raises(WorkbookError, match=r"book\.xlsx"):
        Workbook(tmp_path / "book.xlsx").contents()


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-le", "utf-16-be"])
def test_a_sensors_record_in_utf_16_with_and_without_a_mark(encoding: str, tmp_path: Path) -> None:
    source = tmp_path / "sensor.csv"
    source.write_bytes("\n".join(["Timestamp,Tank,pH", *ROWS, ""]).encode(encoding))
    daily(source, tmp_path / "daily.csv")
    with (tmp_path / "daily.csv").open(encoding="utf-8", newline="") as file:
        assert [row["pH"] for row in csv.DictReader(file)] == ["7.3"]


def test_a_row_with_more_cells_than_headings_far_down_is_no_shifted_reading(tmp_path: Path) -> None:
    source = tmp_path / "sensor.csv"
    source.write_text("\n".join(["Timestamp,Tank,pH", *ROWS * 5000, "2026-05-04 06:00,North raft,7,1", ""]), "utf-8")
    with pytest.raises(ReadingsError, match=r"sensor\.csv"):
        daily(source, tmp_path / "daily.csv")
    assert not (tmp_path / "daily.csv").exists()


def test_a_record_whose_lines_end_as_on_old_computers(tmp_path: Path) -> None:
    source = tmp_path / "old.csv"
    source.write_bytes("\r".join(["Timestamp,Tank,pH", *ROWS, ""]).encode())
    assert list(read_readings(source).frame["ph"]) == [7.1, 7.3]


def test_thousands_of_columns_of_one_name(tmp_path: Path) -> None:
    source = tmp_path / "wide.csv"
    source.write_text(",".join(["x"] * 16_000) + "\n" + ",".join(["1"] * 16_000) + "\n", "utf-8")
    began = time.process_time()
    headings = read_table(source, lambda text: False).headings
    assert time.process_time() - began < 5
    assert headings[:3] == ["x", "x (2)", "x (3)"]
    assert len(set(headings)) == 16_000


@pytest.mark.parametrize("text", ["\ud800", '"\ud800"', "A1&\udfff"])
def test_half_a_character_is_no_formula(text: str) -> None:
    with pytest.raises(Unreadable):
        tokens(text)


@pytest.mark.parametrize("engine", ENGINES)
@pytest.mark.parametrize("text", [";", "A1;", ")", "A1)", "ROW(", "ROW(A1", "(", "\1=", "\1", "SUM(A:A)+$XFD$1000001"])
def test_formulas_that_stop_in_the_middle(text: str, engine: str) -> None:
    found = Formulas({"Log": {"A1": 5.0, "B1": FormulaCell(text)}}, {}, engine).calculate()
    assert set(found.values) == {("Log", "B1")}


@pytest.mark.parametrize("engine", ENGINES)
@pytest.mark.parametrize(("text", "value"), [
    ('"_IN0"', "_IN0"), ('A1&"_IN0"', "5_IN0"), ('A1&"_ROWS0"&ROW(A2)', "5_ROWS02"),
    ('A1&"$XFD$1000001"', "5$XFD$1000001"),
])
def test_a_text_that_looks_like_a_mark_of_the_engines(text: str, value: str, engine: str) -> None:
    found = Formulas({"Log": {"A1": 5.0, "A2": 6.0, "B1": FormulaCell(text)}}, {}, engine).calculate()
    assert found.values == {("Log", "B1"): value}


def test_a_column_of_unit_systems_is_refused_in_words() -> None:
    with pytest.raises(WrongKind, match=r'units is one unit system for all rows, .* expected "metric" or "us"'):
        pailbook.ammonia_fraction(pandas.Series([7.0, 8.0]), 25.0, units=pandas.Series(["us", "us"]))


def test_a_name_so_long_that_a_lock_has_no_room(tmp_path: Path) -> None:
    target = tmp_path / ("l" * 244 + ".xlsx")  # 249 bytes of the 255 that a name may have; a lock takes 8 more
    target.write_bytes(b"old")
    with replacing(target, overwrite=True) as file:
        file.write(b"new")
    assert target.read_bytes() == b"new"


def test_halves_of_characters_in_a_workbooks_texts(tmp_path: Path) -> None:
    """ECMA-376 part 1, 22.9.2.19: _xHHHH_ is a UTF-16 code unit; a lone half is no character."""
    book = with_texts(rich_workbook(tmp_path / "rich.xlsx"), tmp_path / "texts.xlsx",
                      "<si><t>a_xD83D__xDC1F_b</t></si><si><t>a_xD83D_b</t></si>")
    assert Workbook(book).texts == ["a\U0001f41fb", "a\ufffdb"]
    contents = {**Workbook(book).contents()[TANK], "A1": Workbook(book).texts[1], "B1": FormulaCell("A1&1")}
    assert Formulas({TANK: contents}).calculate().values[TANK, "B1"] == "a\ufffdb1"


def with_part(source: Path, target: Path, part: str, content: bytes) -> Path:
    """The workbook with another content of one part."""
    with zipfile.ZipFile(source) as old, zipfile.ZipFile(target, "w") as new:
        for name in old.namelist():
            new.writestr(name, content if name == part else old.read(name))
    return target


@pytest.mark.parametrize("part", ["docProps/app.xml", "[Content_Types].xml", "xl/workbook.xml"])
def test_a_part_of_zeros_gives_one_line(part: str, tmp_path: Path) -> None:
    log = farm_log(rows=2).book.save(tmp_path / "log.xlsx")
    broken = with_part(log, tmp_path / "broken.xlsx", part, b"\0" + Workbook(log).read(part))
    with pytest.raises(BadInput, match=re.escape(f"the part {part} is not well-formed")) as refused:
        share(broken, tmp_path / "copy.xlsx")
    assert "\n" not in str(refused.value)


@pytest.mark.parametrize("digits", [30, 400])
def test_a_number_of_hundreds_of_digits_is_no_reading(digits: int, tmp_path: Path) -> None:
    source = tmp_path / "sensor.csv"
    rows = [*ROWS, f"2026-05-03 19:00,North raft,{'9' * digits}"]
    source.write_text("\n".join(["Timestamp,Tank,pH", *rows, ""]), "utf-8")
    daily(source, tmp_path / "daily.csv")
    with (tmp_path / "daily.csv").open(newline="", encoding="utf-8") as file:
        (row,) = csv.DictReader(file)
    assert float(row["pH"]) == 7.3
