"""The functions as Excel sees them: names, signatures, help; and what they make of all that comes from cells."""

from __future__ import annotations

import datetime
import inspect
import json
import re
import subprocess
import sys
from decimal import Decimal
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import pailbook.hosts.excel as excel
from pailbook.function import CATALOGUE, WorksheetFunction
from pailbook.hosts.excel.functions import help_of
from pailbook.hosts.excel.values import received, sent
from pailbook.outcomes import ERROR_CODES, ErrorInput, MissingInput, NotInTable, OutOfLimits, WrongKind
from thorough import each
from xlwings_bridge import ERROR_NUMBERS, called

PACKAGE = Path(excel.__file__).parents[3]
each_function = each("function", CATALOGUE.values(), lambda function: function.name)


@each_function
def test_signatures_are_plain(function: WorksheetFunction) -> None:
    made = getattr(excel, function.name)
    parameters = list(inspect.signature(made).parameters.values())
    assert [p.name for p in parameters] == [a.name for a in function.cell_arguments]
    assert [p.default is None for p in parameters] == [not a.required for a in function.cell_arguments]
    assert all(p.kind is p.POSITIONAL_OR_KEYWORD and p.annotation is p.empty for p in parameters)
    assert made.__name__ == function.name
    assert made.__doc__ == function.summary
    assert made.__module__ == "pailbook.hosts.excel"


def test_importing_everything_gives_the_catalogue_alone() -> None:
    names: dict[str, Any] = {}
    exec("from pailbook.hosts.excel import *", names)
    assert {name for name in names if not name.startswith("__")} == set(CATALOGUE)


@pytest.mark.parametrize("xlwings", ["missing", "refusing", "installed"])
def test_it_imports_anywhere(xlwings: str, tmp_path: Path) -> None:
    """Without xlwings and all other packages, and where xlwings refuses; also what a browser's Python can import."""
    (tmp_path / "pailbook").symlink_to(PACKAGE / "pailbook", target_is_directory=True)  # alone, without its neighbours
    if xlwings == "refusing":
        (tmp_path / "xlwings.py").write_text("raise RuntimeError('no licence')\n")
    program = (
        "import json, sys\nfrom pailbook.hosts.excel import *\n"
        "foreign = {m.split('.')[0] for m in sys.modules} - set(sys.stdlib_module_names)\n"
        "json.dump([AMMONIA_FRACTION(8.0, 25.0), sorted(foreign)], sys.stdout)"
    )
    done = subprocess.run(
        [sys.executable, *(["-S"] if xlwings != "installed" else []), "-B", "-c", program], capture_output=True,
        text=True, check=False, timeout=60, env={"PYTHONPATH": str(tmp_path), "PYTHONUTF8": "1"},
    )
    assert done.returncode == 0, done.stderr
    value, foreign = json.loads(done.stdout)
    # Emerson et al. 1975, as in tests/published: pK = 0.09018 + 2729.92/T.
    assert value == [[pytest.approx(1 / (1 + 10 ** (0.09018 + 2729.92 / 298.15 - 8)), rel=1e-12)]]
    if xlwings != "installed":
        assert foreign == ["__main__", "pailbook"]


def test_xlwings_imports_every_function_by_hand_too() -> None:
    """Its own macros for our module, and what it shows of each function; a check of signatures and help."""
    (imported,) = called([("imported", "Book.xlam", ())])
    for function in CATALOGUE.values():
        category, doc, arguments = imported["functions"][function.name]
        assert category == f"Pailbook: {function.category}"
        assert doc == function.summary
        assert arguments == [
            (a.name, help_of(a), not a.required, {"ndim": 2, "err_to_str": True}) for a in function.cell_arguments]
        listed = ", ".join(a.name if a.required else f"Optional {a.name}" for a in function.cell_arguments)
        flat = re.sub(r" _\n\s*", " ", imported["macros"])
        assert f"Function {function.name}({listed})" in flat.replace("  ", " ")


@each_function
def test_help_tells_unit_limits_and_what_may_be_left_out(function: WorksheetFunction) -> None:
    for argument in function.cell_arguments:
        text = help_of(argument)
        assert 0 < len(text) <= 255
        assert text.endswith("Optional") != argument.required
        for units in ("metric", "us"):
            if argument.quantity.unit and argument.quantity.takes_number and len(text) < 200:
                assert argument.quantity.unit_in(units) in text


# Values ----------------------------------------------------------------------------------------------------

NOON = datetime.datetime(2026, 5, 1, 12)  # 46143.5 in a sheet


class JsNull:
    """Named like the browser's own nothing."""


@pytest.mark.parametrize(("value", "expected"), [
    (None, None), ("", None), (JsNull(), None), (7.5, 7.5), (7, 7), (True, True), ("x", "x"), (" ", " "),
    ("7.5", "7.5"),
    (Decimal("2.5"), 2.5), (np.float64(7.5), 7.5), (np.array(7.5), 7.5),
    (NOON, 46143.5), (NOON.replace(tzinfo=datetime.timezone.utc), 46143.5), (NOON.date(), 46143.0),
    (datetime.time(6), 0.25), (datetime.timedelta(hours=36), 1.5),
    ([[7.5]], 7.5), (((7.5,),), 7.5), ([7.5], 7.5), (np.array([[7.5]]), 7.5), ([], None), ([[None]], None),
    ([1.0, None], [[1.0, None]]), ([[1.0], [""]], [[1.0], [None]]),
    (((1.0, "a"), (True, NOON)), [[1.0, "a"], [True, 46143.5]]),
    (np.array([1.0, 2.0]), [[1.0, 2.0]]), (np.array([[1.0], [2.0]]), [[1.0], [2.0]]),
    ({"type": "FormattedNumber", "basicValue": 46143.5, "numberFormat": "yyyy"}, 46143.5),
    ({"type": "String", "basicValue": "x"}, "x"), ({"type": "Entity", "basicValue": {}}, None),
])
def test_what_comes_from_cells(value: Any, expected: Any) -> None:
    found = received(value)
    assert found == expected
    assert type(found) in (type(expected), np.float64)


@pytest.mark.parametrize(("value", "code"), [
    *((code, code) for code in ERROR_CODES), *((number, code) for code, number in ERROR_NUMBERS.items()),
    *(({"type": "Error", "errorType": "x", "basicValue": code}, code) for code in ERROR_CODES),
    # Errors newer than the policy's seven: what is still on its way is not there, all others are of a wrong kind.
    ("#SPILL!", "#VALUE!"), ("#CALC!", "#VALUE!"), ("#GETTING_DATA", "#N/A"), (-2146826245, "#N/A"),
    (-2146826243, "#VALUE!"), (-2146826238, "#VALUE!"), ({"type": "Error", "basicValue": "#NEW!"}, "#VALUE!"),
])
def test_errors_that_come_from_cells(value: Any, code: str) -> None:
    for given in (value, [[value]]):
        found = received(given)
        assert isinstance(found, ErrorInput)
        assert found.code == code
    assert excel.AMMONIA_FRACTION(value, 25.0) == [[code]]
    assert excel.AMMONIA_FRACTION([[8.0], [value]], 25.0)[1] == [code]


def test_numbers_near_those_of_errors_are_numbers() -> None:
    assert received(-2146826246.0) == -2146826246.0
    assert received(-2146826289) == -2146826289


@pytest.mark.parametrize(("outcome", "shown"), [
    (0.5, 0.5), ("oxygen", "oxygen"), (True, True), (MissingInput("x"), "#N/A"), (NotInTable("x"), "#N/A"),
    (WrongKind("x"), "#VALUE!"), (OutOfLimits("x"), "#NUM!"), (ErrorInput("#DIV/0!"), "#DIV/0!"),
    (ErrorInput("Err:504"), "#VALUE!"),
])
def test_what_goes_into_cells(outcome: Any, shown: Any) -> None:
    assert sent(outcome) == shown


@each_function
def test_no_answer_could_be_taken_for_an_error(function: WorksheetFunction) -> None:
    assert not any(choice.startswith("#") for choice in function.result.choices)


def test_ranges_of_different_sizes_meet_as_in_a_sheet() -> None:
    found = excel.AMMONIA_FRACTION([[7.0], [8.0], [9.0]], [[20.0], [25.0]])
    assert [type(row[0]) for row in found] == [float, float, str]
    assert found[2] == ["#N/A"]
    grid = excel.AMMONIA_FRACTION([[7.0], [8.0]], [[20.0, 25.0, 30.0]])
    assert [len(row) for row in grid] == [3, 3]
    assert grid[1][2] == excel.AMMONIA_FRACTION(8.0, 30.0)[0][0]
