"""The command line as a user meets it: what it prints, what it leaves, how it ends."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import openpyxl
import pytest

import pailbook.functions
from command_line import Run
from pailbook.function import CATALOGUE


def test_version_and_help(run: Run) -> None:
    assert run("--version") == (0, f"pailbook {pailbook.__version__}\n", "")
    code, out, _ = run("--help")
    assert code == 0
    assert all(command in out for command in ("new", "import", "recalc", "functions", "demo"))
    assert "\x1b[" not in out  # no colours away from a terminal


def test_functions_lists_every_function(run: Run) -> None:
    code, out, _ = run("functions")
    assert code == 0
    assert all(function.signature in out for function in CATALOGUE.values())


@pytest.mark.parametrize("name", sorted(CATALOGUE))
def test_functions_describes_each(run: Run, name: str) -> None:
    function = CATALOGUE[name]
    code, out, err = run("functions", name.lower())
    assert (code, err) == (0, "")
    assert function.signature in out
    for argument in function.cell_arguments:
        assert re.search(rf"^ *{argument.name}\b", out, re.MULTILINE)
    assert "Source: " in out
    assert f"Example: ={name}(" in out
    assert ("it takes several steps" if function.in_steps else "\n=") in out or "several steps" in out


def test_an_unknown_function_is_wrong_use_and_near_names_are_offered(run: Run) -> None:
    code, out, err = run("functions", "AMONIA_FRACTION")
    assert code == 2
    assert "did you mean AMMONIA_FRACTION" in err
    assert out == ""


def test_wrong_use_ends_with_2(run: Run) -> None:
    assert run("recalc")[0] == 2
    assert run("no-such-command")[0] == 2


def test_new_makes_a_plan_and_never_replaces_one_unasked(run: Run, tmp_path: Path) -> None:
    plan = tmp_path / "plan of the barn.xlsx"
    assert run("new", "stocking-plan", plan, "--units", "us")[0] == 0
    assert "US gal" in str([c.value for row in openpyxl.load_workbook(plan)["Setup"].iter_rows() for c in row])
    plan.write_bytes(b"a season's work")
    code, _, err = run("new", "stocking-plan", plan)
    assert code == 2
    assert plan.name in err
    assert plan.read_bytes() == b"a season's work"


@pytest.mark.parametrize(("arguments", "named"), [
    (("new", "fish-log", "x.xlsx"), "farm-log"),
    (("new", "farm-log", "x.xlsx", "--units", "imperial"), "metric"),
    (("recalc", "missing.xlsx"), "missing.xlsx"),
    (("import", "missing.csv", "missing.xlsx", "-o", "out.xlsx"), "missing"),
])
def test_bad_input_is_one_message_that_names_it(  # type: ignore[no-untyped-def]
    run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, arguments: tuple[str, ...], named: str
) -> None:
    monkeypatch.chdir(tmp_path)
    code, _, err = run(*arguments)
    assert code == 2
    assert err.startswith("pailbook: ")
    assert named in err
    assert "Traceback" not in err
    assert not list(tmp_path.iterdir())


def test_recalc_prints_key_results_and_writes_only_where_asked(run: Run, tmp_path: Path) -> None:
    source = tmp_path / "sums.xlsx"
    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    sheet["A1"], sheet["A2"] = 8.0, "=AMMONIA_FRACTION(A1,25)"
    book.defined_names["share"] = openpyxl.workbook.defined_name.DefinedName("share", attr_text="Sheet!$A$2")
    book.save(source)
    before = source.read_bytes()
    code, out, _ = run("recalc", source)
    assert code == 0
    # 5.34 %: phreeqpython with its own data base gives 0.053427 in pure water, within 0.7 %
    found = re.search(r"^share +([\d.]+)$", out, re.MULTILINE)
    assert found is not None
    assert float(found[1]) == pytest.approx(0.053427, rel=0.007)
    assert source.read_bytes() == before
    assert list(tmp_path.iterdir()) == [source]
    assert run("recalc", source, "-o", tmp_path / "done.xlsx")[0] == 0
    assert openpyxl.load_workbook(tmp_path / "done.xlsx", data_only=True).worksheets[0]["A2"].value is not None
    assert run("recalc", source, "-o", source)[0] == 2  # not without --overwrite
    assert source.read_bytes() == before


def test_recalc_prints_dates_and_times_as_such(run: Run, tmp_path: Path) -> None:
    """By hand: 6 June 2026 is the day 46179 since 30 December 1899; 0.25 of a day is 06:00."""
    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    for row, (name, formula, number_format) in enumerate((
        ("next_test", "=46178+1", "yyyy-mm-dd"), ("leaving_at", "=0.5/2", "hh:mm"), ("days", "=46178+1", "0"),
    ), start=1):
        sheet.cell(row, 1, formula).number_format = number_format
        book.defined_names[name] = openpyxl.workbook.defined_name.DefinedName(name, attr_text=f"Sheet!$A${row}")
    book.save(tmp_path / "dates.xlsx")
    assert run("recalc", tmp_path / "dates.xlsx").out == (
        "next_test   2026-06-06\nleaving_at  06:00\ndays        46179\n3 formula cells calculated\n")


def test_recalc_ends_with_1_if_a_cell_cannot_be_calculated(run: Run, tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    book.worksheets[0]["B3"] = "=NO_SUCH_FUNCTION(1)"
    book.save(tmp_path / "odd.xlsx")
    code, out, _ = run("recalc", tmp_path / "odd.xlsx")
    assert code == 1
    assert "Sheet!B3" in out
    assert "NO_SUCH_FUNCTION" in out


def test_the_console_script_is_installed() -> None:
    script = Path(sys.executable).with_name("pailbook")
    done = subprocess.run([script, "--version"], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == f"pailbook {pailbook.__version__}"
