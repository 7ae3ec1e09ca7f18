"""Workbooks that Pailbook did not make, and the command: its text, its JSON, its exit codes."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from openpyxl.worksheet.datavalidation import DataValidation

from command_line import Run
from files import rich_workbook
from pailbook.workbook.archive import WorkbookError
from pailbook.workbook.check.finding import Finding, shown
from pailbook.workbook.check.limits import next_step
from pailbook.workbook.check.run import OTHER_WORKBOOK, check
from pailbook.workbook.farm_log import verdict
from small_log import LAST, edited, found_in, serious, small_log

W = "Water tests"


def strangers(path: Path) -> Path:
    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    sheet.title = "Pond book"
    for row in range(2, 12):
        sheet[f"A{row}"].value = row
        sheet[f"B{row}"].value = f"=A{row}*2"
        sheet[f"C{row}"].value = f"=C{row - 1}+A{row}" if row > 2 else 100
    rule = DataValidation("decimal", "4", "11", operator="between")
    rule.add("E1:E20")
    sheet.add_data_validation(rule)
    choice = DataValidation("list", "$G$1:$G$2")
    choice.add("F1:F20")
    sheet.add_data_validation(choice)
    sheet["G1"].value, sheet["G2"].value, sheet["F1"].value, sheet["E1"].value = "fed", "not fed", "Fed", 7.0
    book.save(path)
    return path


def test_another_workbook_is_said_to_be_no_log_or_plan(tmp_path: Path) -> None:
    (only,) = check(strangers(tmp_path / "book.xlsx"))
    assert (only.verdict, only.kind, only.place) == ("not asked", OTHER_WORKBOOK, "")


STRANGERS: list[tuple[dict[str, Any], set[tuple[str, str, str]]]] = [
    ({"B6": 12}, {("watch", "formula typed over", "Pond book!B6")}),
    ({"C6": 120, "C7": 130}, {("watch", "formula typed over", "Pond book!C6:C7")}),
    ({"B11": 22}, set()),  # at the end of a column a number may well be meant
    ({"H1": "=1/0", "H2": "=H1+1", "H3": "=SUM(H1:H2)"}, {("act", "error", "Pond book!H1")}),
    ({"H1": "=AMMONIA_FRACTION(99,20)"}, {("act", "error", "Pond book!H1")}),
    ({"H1": "#N/A", "H2": "=H1+1"}, {("act", "error", "Pond book!H1")}),
    ({"H1": "=H2", "H2": "=H1"}, {("act", "error", "Pond book!H1"), ("act", "error", "Pond book!H2")}),
    ({"H1": "=NA()"}, set()),
    ({"E2": 70}, {("watch", "refused input", "Pond book!E2")}),
    ({"E2": "seven"}, {("watch", "refused input", "Pond book!E2")}),
    ({"F2": "some"}, {("watch", "refused input", "Pond book!F2")}),
    ({"H1": "=[1]!AMMONIA_FRACTION(7,20)"}, {("watch", "tied to an add-in", "Pond book!H1")}),
    ({"H1": "=_xll.AMMONIA_FRACTION(7,20)"}, {("watch", "tied to an add-in", "Pond book!H1")}),
]


@pytest.mark.parametrize(("cells", "expected"), STRANGERS, ids=[str(cells) for cells, _ in STRANGERS])
def test_what_is_found_in_any_workbook(
    tmp_path: Path, cells: dict[str, Any], expected: set[tuple[str, str, str]]
) -> None:
    path = edited(strangers(tmp_path / "book.xlsx"), {"Pond book": cells})
    assert {finding for finding in found_in(path) if finding[0] != "not asked"} == expected


def test_why_an_error_starts_and_how_far_it_flows(tmp_path: Path) -> None:
    path = edited(strangers(tmp_path / "book.xlsx"), {"Pond book": {
        "H1": "=AMMONIA_FRACTION(99,20)", "H2": "=H1+1", "H3": "=H2+1"}})
    error = check(path)[0]
    assert "ph is 99; expected a number from 4 to 11" in error.what
    assert error.what.endswith("; 2 cells show it too")


# The command --------------------------------------------------------------------------------------------


def test_exit_codes_text_and_json(run: Run, tmp_path: Path) -> None:
    fine = small_log(tmp_path)
    before = fine.read_bytes()
    assert run("check", fine) == (0, "nothing found\n", "")
    assert run("check", fine, "--json") == (0, "[]\n", "")
    assert fine.read_bytes() == before
    book = strangers(tmp_path / "book.xlsx")
    code, out, _ = run("check", book)
    assert (code, out.splitlines()[0], out.splitlines()[-1]) == (0, "not asked", "1 not asked")
    wrong = small_log(tmp_path, {W: {("oxygen", LAST): 2.4, ("ph", 5): 8.7}}, name="wrong.xlsx")  # a jump of pH
    code, out, err = run("check", wrong)
    assert (code, err) == (1, "")
    # The log's own limit for yellow perch, common practice without a source.
    assert out.startswith(f"act\n  {W}!F14: {verdict.OXYGEN}: 2.4 mg/L in North raft on 2026-03-29; the limit for act "
                          f"is 3 mg/L for yellow perch\n      {next_step(verdict.DEADLIEST[0], 'act')}\n")
    assert "More air now." in next_step(verdict.DEADLIEST[0], "act")
    assert out.index("act\n") < out.index("\nwatch\n")
    code, out, _ = run("check", wrong, "--json")
    listed = json.loads(out)
    assert code == 1
    assert ("watch", "sudden jump", W, "E10") in {
        (one["verdict"], one["kind"], one["sheet"], one["cell"]) for one in listed}
    assert set(listed[0]) == {"sheet", "cell", "verdict", "kind", "what", "remedy", "more"}


def test_bad_input_ends_with_2_and_a_message(run: Run, tmp_path: Path) -> None:
    missing, text, locked, cut = (tmp_path / name for name in ("no.xlsx", "text.xlsx", "locked.xlsx", "cut.xlsx"))
    text.write_text("pH 7.4")
    # How encrypted workbooks begin and name their content: [MS-OFFCRYPTO] 2.3.4 and [MS-CFB] 2.2.
    locked.write_bytes(b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600) + "EncryptedPackage".encode("utf-16-le"))
    cut.write_bytes(small_log(tmp_path).read_bytes()[:5000])
    for path, words in ((missing, "cannot be read"), (text, "is not an .xlsx workbook"),
                        (locked, "protected by a password"), (cut, "cut off or damaged")):
        code, out, err = run("check", path)
        assert (code, out) == (2, ""), path
        assert path.name in err
        assert words in err
        assert "Traceback" not in err


def test_a_workbook_that_cannot_be_read_is_refused(tmp_path: Path) -> None:
    with pytest.raises(WorkbookError):
        check(tmp_path / "no.xlsx")


def test_of_a_kind_only_so_many_are_shown() -> None:
    many = [Finding("Sheet", f"A{i}", "watch", "jump", "it jumps", "look") for i in range(47)]
    act = Finding("Sheet", "B1", "act", "error", "it is wrong", "put it right")
    kept = shown([*many, act], 10)
    assert kept[0] == act
    assert [finding.cell for finding in kept[1:]] == [f"A{i}" for i in range(10)]
    assert [finding.more for finding in kept] == [0] * 10 + [37]
    assert len(shown([*many, act], None)) == 48


def test_what_is_not_known_is_no_go_for_a_script(run: Run, tmp_path: Path) -> None:
    """Another file is not checked, so what a cell takes from it is not known: the exit code is not that of fine."""
    book = edited(strangers(tmp_path / "book.xlsx"), {"Pond book": {"H1": "=[1]Prices!$A$1*2"}})
    assert ("not known", "reads another file", "Pond book!H1") in found_in(book)
    code, out, _ = run("check", book)
    assert (code, out.splitlines()[0]) == (1, "not known")


def test_a_workbook_with_all_that_libraries_lose(tmp_path: Path) -> None:
    assert serious(check(rich_workbook(tmp_path / "rich.xlsx"))) == []
