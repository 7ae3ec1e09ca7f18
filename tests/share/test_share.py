"""`pailbook share` as a command: what it refuses, what it says, and that it never leaves a wrong copy behind."""

from __future__ import annotations

import random
from collections.abc import Callable
from pathlib import Path
from typing import Any
from xml.sax.saxutils import escape

import openpyxl
import pytest
from typer.testing import CliRunner

import calc
import filled
import pailbook
import pailbook.cli as _enters_the_commands  # noqa: F401
from benchmarks.suite import sharing
from copies import calls_in, stored
from files import parts
from pailbook.commands.app import app
from pailbook.hosts.calc import driver
from pailbook.hosts.calc.program import OfficeError
from pailbook.outcomes import BadInput
from pailbook.workbook.share import share as module
from pailbook.workbook.share.copy import rewrite
from pailbook.workbook.share.proof import agree
from test_share_formulas import TESTS, workbook

ONE = {"one": "AMMONIA_FRACTION(A1,B1)", "two": 'PH_AFTER_DOSE("potassium bicarbonate",20,1000,A1,70,B1)'}


@pytest.fixture
def own(tmp_path: Path) -> Path:
    return workbook(tmp_path / "own.xlsx", ONE)


def run(workbook: Path, copy: Path, *options: str) -> Any:
    return CliRunner().invoke(app, ["share", str(workbook), "-o", str(copy), *options])


def test_the_report_says_what_was_done(own: Path, tmp_path: Path) -> None:
    before = own.read_bytes()
    done = run(own, tmp_path / "copy.xlsx")
    assert done.exit_code == 0, done.output
    assert "2 function calls in 2 cells became plain formulas" in done.output
    assert "0 function calls became fixed values" in done.output
    assert "2 formulas compared with the original: equal within 1e-9" in done.output
    assert own.read_bytes() == before
    assert stored(tmp_path / "copy.xlsx")[TESTS, "J1"] == pytest.approx(pailbook.ammonia_fraction(7.1, 24.0), rel=1e-12)


def test_frozen_cells_are_listed_with_the_reason(tmp_path: Path) -> None:
    own = workbook(tmp_path / "own.xlsx", {**ONE, "three": "UPTAKE_RATE(H:H,I:I)"})
    done = run(own, tmp_path / "copy.xlsx")
    assert done.exit_code == 0
    assert "1 function call became fixed values" in done.output
    assert "Tests!J3: H:H is a whole column or row" in done.output


@pytest.mark.parametrize(("target", "words"), [
    ("copy.xlsm", "a copy is an .xlsx file"), ("own.xlsx", "already exists"), ("there.xlsx", "already exists"),
    ("no/folder/copy.xlsx", "does not exist"),
])
def test_a_bad_target_is_refused(own: Path, tmp_path: Path, target: str, words: str) -> None:
    (tmp_path / "there.xlsx").write_bytes(b"mine")
    done = run(own, tmp_path / target)
    assert isinstance(done.exception, BadInput)
    assert words in str(done.exception)
    assert (tmp_path / "there.xlsx").read_bytes() == b"mine"


def test_the_original_is_not_replaced_by_its_copy(own: Path) -> None:
    before = own.read_bytes()
    done = run(own, own, "--overwrite")
    assert "is the original" in str(done.exception)
    assert own.read_bytes() == before


def test_a_file_that_is_no_workbook_is_refused(tmp_path: Path) -> None:
    (tmp_path / "text.xlsx").write_text("not a workbook", encoding="utf-8")
    done = run(tmp_path / "text.xlsx", tmp_path / "copy.xlsx")
    assert isinstance(done.exception, BadInput)
    assert not (tmp_path / "copy.xlsx").exists()


def test_a_copy_that_says_something_else_is_not_written(
    own: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The rewriting is spoilt on purpose: the comparison must find it."""
    real: Callable[..., Any] = rewrite

    def spoilt(book: Any, contents: Any, values: Any, target: Path, **options: Any) -> Any:
        done = real(book, contents, values, target, **options)
        made = openpyxl.load_workbook(target)
        made[TESTS]["J1"] = made[TESTS]["J1"].value + "*1.00000001"
        made.save(target)
        return done

    monkeypatch.setattr(module, "rewrite", spoilt)
    done = run(own, tmp_path / "copy.xlsx")
    assert done.exit_code == 1
    assert "no copy was written: 1 cell would show a different value in it" in done.output
    assert "Tests!J1: " in done.output
    assert sorted(path.name for path in tmp_path.iterdir()) == ["own.xlsx"]


def test_what_changes_at_each_calculation_is_no_difference(tmp_path: Path) -> None:
    own = workbook(tmp_path / "own.xlsx", {**ONE, "three": "RAND()*AMMONIA_FRACTION(A1,B1)", "four": "J3+J1"})
    done = run(own, tmp_path / "copy.xlsx")
    assert done.exit_code == 0, done.output
    assert "2 formulas not compared, because each calculation gives another value" in done.output


def test_numbers_agree_within_a_billionth() -> None:
    draw = random.Random(1984)
    for _ in range(200):
        number = draw.uniform(-1, 1) * 10 ** draw.randint(-6, 9)
        assert agree(number, number * (1 + 0.9e-9))
        assert not agree(number, number * (1 + 1.2e-9)) or abs(number) < 1e-3
    assert agree("", None)
    assert not agree(0.0, "")
    assert not agree(True, 1.0)


def test_if_asked_all_calls_become_values(own: Path, tmp_path: Path) -> None:
    done = run(own, tmp_path / "copy.xlsx", "--values")
    assert done.exit_code == 0
    assert "2 function calls became fixed values, as asked" in done.output
    assert b"<f>" not in parts(tmp_path / "copy.xlsx")["xl/worksheets/sheet1.xml"]


def test_without_libreoffice_there_is_no_pdf_and_nothing_is_written(
    own: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def missing() -> Any:
        raise OfficeError("LibreOffice is not installed")

    monkeypatch.setattr(driver, "needed", missing)
    done = run(own, tmp_path / "copy.xlsx", "--pdf")
    assert isinstance(done.exception, BadInput)  # which the command line turns into a message and exit code 2
    assert "LibreOffice is not installed" in str(done.exception)
    assert not (tmp_path / "copy.xlsx").exists()


@pytest.mark.libreoffice
def test_a_pdf_beside_the_copy(own: Path, tmp_path: Path) -> None:
    calc.needed()
    done = run(own, tmp_path / "copy.xlsx", "--pdf")
    assert done.exit_code == 0, done.output
    assert (tmp_path / "copy.pdf").read_bytes().startswith(b"%PDF")
    again = run(own, tmp_path / "other.xlsx", "--pdf")
    assert again.exit_code == 0
    (tmp_path / "other.xlsx").unlink()
    refused = run(own, tmp_path / "other.xlsx", "--pdf")
    assert "other.pdf already exists" in str(refused.exception)
    assert not (tmp_path / "other.xlsx").exists()


@pytest.mark.long
def test_making_a_log_plain_takes_less_time_than_recalculating_it() -> None:
    recalculated, made_plain, _ = sharing([1000], 3)
    assert made_plain.seconds < recalculated.seconds


def test_a_clients_copy_has_plain_formulas_and_no_other_client(tmp_path: Path) -> None:
    """Known failure 17: a workbook sent to a client that shows #NAME?, or carries another client's rows."""
    log = filled.filled("metric", False, 40).book.save(tmp_path / "log.xlsx")
    client = next(row["client"] for row in filled.SYSTEMS if row.get("client"))
    own = [row["system"] for row in filled.SYSTEMS if row.get("client") == client]
    done = run(log, tmp_path / "copy.xlsx", "--client", client.lower())
    assert done.exit_code == 0, done.output
    assert f"kept: {client} ({', '.join(own)})" in done.output
    assert not calls_in(tmp_path / "copy.xlsx")
    content = b"".join(parts(tmp_path / "copy.xlsx").values()).decode("utf-8", "ignore")
    assert "#NAME?" not in content
    assert all(escape(system) in content for system in own)
    others = [row["system"] for row in filled.SYSTEMS if row["system"] not in own]
    assert others
    assert not [system for system in others if escape(system) in content]
