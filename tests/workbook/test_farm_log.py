"""The farm log as a file: its inputs and their rules, protection, names, formulas that every engine knows, bytes."""

from __future__ import annotations

import re
import zipfile
from pathlib import Path

import pytest

import logs
from formula_rules import ALLOWED, check_formula
from locks import check_protection, rules_of
from pailbook.function import CATALOGUE
from pailbook.quantities import UNIT_SYSTEMS
from pailbook.workbook import validation
from pailbook.workbook.archive import WorkbookError
from pailbook.workbook.farm_log import start, water_tests
from pailbook.workbook.farm_log.build import farm_log
from pailbook.workbook.farm_log.log import Log
from pailbook.workbook.farm_log.settings import heading_cells
from pailbook.workbook.package import Workbook
from pailbook.workbook.recalc import own_cells
from pailbook.workbook.templates import WORKBOOKS, build, build_templates, template_files
from thorough import first, thorough

TEMPLATES = Path(__file__).parents[2] / "workbook_templates"
KINDS = [(units, plain) for units in UNIT_SYSTEMS for plain in (False, True)]

SETTINGS = ("units", "basis_ammonia", "basis_nitrite", "basis_nitrate", "basis_phosphate", "basis_alkalinity",
            "basis_hardness", "elevation", "as_of", "farm")


@pytest.mark.parametrize("units", UNIT_SYSTEMS)
def test_the_sheets_are_protected_and_exactly_the_cells_with_a_rule_are_free(units: str) -> None:
    for sheet in logs.sheets(logs.log(units)):
        check_protection(sheet)


@pytest.mark.parametrize("units", UNIT_SYSTEMS)
def test_numbers_are_held_to_the_limits_of_their_quantity(units: str) -> None:
    made = logs.log(units)
    checked = 0
    for table in made.tables.values():
        rules = rules_of(made.book.workbook[table.sheet])
        for column in table.inputs:
            rule = rules[f"{table.letter(column.key)}{table.first_row}"]
            assert rule is rules[f"{table.letter(column.key)}{table.last_row}"]
            assert rule.showErrorMessage
            assert rule.errorStyle == "stop"
            assert rule.prompt
            assert len(rule.prompt) <= 255
            assert rule.error
            assert len(rule.error) <= 255
            assert len(rule.promptTitle or "") <= 32
            if column.quantity is None:
                continue
            low, high = column.quantity.limits(units)
            assert low is not None
            assert high is not None
            assert rule.formula1
            assert rule.formula2
            factor = f"/{heading_cells()[column.basis][1]}" if column.basis else ""
            assert rule.type == ("whole" if column.quantity.whole else "decimal")
            assert float(rule.formula1) == pytest.approx(low, abs=2e-6)
            assert (float(rule.formula1) > low) is column.quantity.above
            assert float(rule.formula2.removesuffix(factor)) == pytest.approx(high, abs=2e-6)
            assert rule.formula2.endswith(factor)
            unit = column.quantity.unit_in(units)
            assert column.basis or f"{unit}." in rule.prompt, rule.prompt
            checked += 1
    assert checked >= 30


def test_drop_downs_fit_into_a_file() -> None:
    for sheet in logs.sheets(logs.log("metric")):
        for rule in sheet.data_validations.dataValidation:
            if rule.type == "list":
                assert len(rule.formula1) <= 255, (sheet.title, rule.formula1)
            elif rule.type == "date":
                assert (rule.formula1, rule.formula2) == (str(validation.EARLIEST), str(validation.LATEST))


@pytest.mark.parametrize("units", UNIT_SYSTEMS)
def test_every_heading_of_an_input_tells_its_unit(units: str) -> None:
    made = logs.log(units)
    for table in made.tables.values():
        sheet = made.book.workbook[table.sheet]
        for column in table.inputs:
            heading = str(sheet[f"{table.letter(column.key)}{table.heading_row}"].value)
            assert column.heading in heading
            if column.basis:
                assert "Settings!" in heading
            elif column.quantity is not None and column.unit(units):
                assert heading.endswith(f"\n{column.unit(units)}")
            assert "gal" not in heading or "US gal (3.785 L)" in heading


def test_readings_find_their_columns() -> None:
    assert [column.key for column in water_tests.INPUTS] == [
        "date", "time", "system", "temperature", "ph", "oxygen", "tan", "nitrite", "nitrate", "phosphate", "alkalinity",
        "hardness", "conductivity", "tester", "note"]
    table = logs.log("metric")[water_tests.SHEET]
    assert [table.letter(column.key) for column in table.inputs] == list("ABCDEFGHIJKLMNO")
    assert water_tests.table().rows >= 500


@pytest.mark.parametrize(("units", "plain"), first(KINDS, 3))
def test_names_stand_for_single_cells(units: str, plain: bool) -> None:
    made = logs.log(units, plain)
    names = made.book.names
    results = {result.name for result in start.key_results(made)}
    assert results | set(SETTINGS) | {"functions_answer", "trend_system"} == set(names)
    for name in names:
        sheet, cell = names[name].split("!")
        assert re.fullmatch(r"\$[A-Z]+\$\d+", cell)
        value = made.book.workbook[sheet.strip("'")][cell.replace("$", "")].value
        if name in results:
            assert str(value).startswith("="), name
    units_cell = made.book.workbook["Settings"][names["units"].split("!")[1].replace("$", "")]
    assert units_cell.value == units


@pytest.mark.parametrize("path", sorted(TEMPLATES.glob("*.xlsx")), ids=lambda path: path.name)
def test_only_the_cell_that_tells_whether_functions_answer_is_computed_on_opening(path: Path) -> None:
    book = Workbook(path)
    volatile = {(title, cell.address) for title, sheet in book.worksheets.items() for cell in sheet.cells()
                if re.search(r"\b(NOW|TODAY|RAND|OFFSET|INDIRECT)\(", cell.formula_text)}
    assert volatile == ({own_cells(book)["functions_answer"]} if book.calls_functions else set())


@pytest.mark.parametrize(("units", "plain"), first(KINDS, 3))
def test_formulas_keep_to_what_every_engine_knows(units: str, plain: bool) -> None:
    made = logs.log(units, plain)
    ours = frozenset() if plain else frozenset(CATALOGUE)
    for place, text in _all_formulas(made).items():
        # Rules and colours call none of ours: they would not resolve there.
        check_formula(place, text, ALLOWED if place[0] in ("rule", "colour") else ALLOWED | ours)


def _all_formulas(made: Log) -> dict[tuple[str, str], str]:
    found = dict(logs.formulas(made))
    for sheet in logs.sheets(made):
        for number, rule in enumerate(sheet.data_validations.dataValidation):
            for text in (rule.formula1, rule.formula2):
                if text and not text.startswith('"'):
                    found["rule", f"{sheet.title} {number} {text}"] = f"={text}"
        for span in sheet.conditional_formatting:
            for rule in span.rules:
                found["colour", f"{sheet.title} {span.sqref} {rule.formula}"] = f"={rule.formula[0]}"
    return found


def test_calls_carry_the_unit_system_in_a_us_log() -> None:
    metric, us = logs.formulas(logs.log("metric")), logs.formulas(logs.log("us"))
    converting = [name for name, function in CATALOGUE.items() if function.has_units]
    for place, text in us.items():
        calls = sum(len(re.findall(rf"\b{name}\(", text)) for name in converting)
        assert text.count(',"us")') == calls, (place, text)
        assert '"us"' not in metric[place]


def test_the_same_log_is_the_same_file_each_time(tmp_path: Path) -> None:
    first, second = (farm_log(rows=5).book.save(tmp_path / f"{n}.xlsx").read_bytes() for n in (1, 2))
    assert first == second


def test_the_templates_are_current(tmp_path: Path) -> None:
    names = [name for name, _, _ in template_files()]
    assert {path.name for path in TEMPLATES.glob("*.xlsx")} == set(names)
    if thorough():
        made = build_templates(tmp_path)
        assert [path.name for path in made] == names
    else:
        made = [build(workbook, tmp_path / name, units) for name, workbook, units in template_files()
                if units == UNIT_SYSTEMS[0]]
    for path in made:
        with zipfile.ZipFile(path) as new, zipfile.ZipFile(TEMPLATES / path.name) as kept:
            assert new.namelist() == kept.namelist(), path.name
            for part in new.namelist():
                assert new.read(part) == kept.read(part), f"{path.name}: {part}; rebuild workbook_templates/"


def test_a_file_that_is_there_is_kept(tmp_path: Path) -> None:
    path = tmp_path / "season.xlsx"
    path.write_bytes(b"a season's work")
    with pytest.raises(WorkbookError, match=r"season\.xlsx already exists"):
        build("function-guide", path)
    assert path.read_bytes() == b"a season's work"
    build("function-guide", path, overwrite=True)
    assert zipfile.is_zipfile(path)
    assert [file.name for file in tmp_path.iterdir()] == ["season.xlsx"]


def test_what_cannot_be_made_is_refused_with_what_can(tmp_path: Path) -> None:
    with pytest.raises(WorkbookError, match=", ".join(WORKBOOKS)):
        build("tax return", tmp_path / "a.xlsx")
    with pytest.raises(WorkbookError, match="metric, us"):
        build("farm-log", tmp_path / "a.xlsx", units="imperial")
    with pytest.raises(WorkbookError, match="cannot be written"):
        build("farm-log", tmp_path / "no such folder" / "a.xlsx")
    assert not list(tmp_path.iterdir())
