"""The visit report of a log whose values are old or missing: it says what the log would say, or that it cannot."""

from __future__ import annotations

import re
from pathlib import Path

import openpyxl
import pytest

from command_line import Run
from conftest import CLIENT
from hard_files import changed, part
from pailbook.visit_report.make import make_report
from pailbook.workbook.farm_log import water_tests
from pailbook.workbook.package import Workbook

PH = f"{water_tests.table().letter('ph')}{water_tests.table().first_row}"
SHEET = water_tests.SHEET


def readings(log: str) -> dict[str, float]:
    """The values that the report of a log shows, by what they are of."""
    (found,) = make_report(Path(log), CLIENT, "2026-05-01", Path("report.xlsx"), overwrite=True).content.found
    return {reading.parameter.key: reading.value for reading in found.readings}


def with_formula(text: str, stored: str = "") -> None:
    """Types a formula into the pH of the first water test; `stored`: what the file says that it gives."""
    book = openpyxl.load_workbook("log.xlsx")
    book[SHEET][PH].value = text
    book.save("typed.xlsx")
    name = Workbook("typed.xlsx").sheets[SHEET]
    data = Path("typed.xlsx").read_bytes()
    cell = re.compile(rf'(<c r="{PH}"[^>]*><f>[^<]*</f>)<v(?: ?/>|></v>)'.encode())
    sheet, count = cell.subn(rb"\1" + (f"<v>{stored}</v>".encode() if stored else b""), part(data, name))
    assert count == 1
    Path("typed.xlsx").write_bytes(changed(data, {name: sheet}))


def test_straight_after_an_import_it_says_what_it_says_after_a_recalculation(here: Path, run: Run) -> None:
    assert run("import", "readings.csv", "log.xlsx", "-o", "with.xlsx").code == 0
    assert run("recalc", "with.xlsx", "-o", "computed.xlsx").code in (0, 1)
    fresh, computed = readings("with.xlsx"), readings("computed.xlsx")
    assert fresh == computed
    assert fresh["ph"] == 7.7  # the imported one


@pytest.mark.parametrize("stored", ["", "7.2"])
def test_a_formula_that_was_typed_for_a_reading_counts_with_what_it_gives(here: Path, stored: str) -> None:
    """Other programs leave no value in the file; those that change inputs and do not compute leave an old one."""
    with_formula("=7.1+0.4", stored)
    assert readings("typed.xlsx")["ph"] == pytest.approx(7.5)


def test_a_day_that_is_a_formula_is_the_day_that_it_gives(here: Path) -> None:
    book = openpyxl.load_workbook("log.xlsx")
    sheet, cell = book.defined_names["log_as_of"].attr_text.split("!")
    book[sheet.strip("'")][cell.replace("$", "")].value = "=DATE(2026,5,4)"
    book.save("typed.xlsx")
    made = make_report(Path("typed.xlsx"), CLIENT, "2026-05-01", Path("report.xlsx"))
    assert made.content.until.isoformat() == "2026-05-04"


def test_a_formula_that_gives_an_error_is_no_reading(here: Path) -> None:
    with_formula("=1/0")
    assert "ph" not in readings("typed.xlsx")
