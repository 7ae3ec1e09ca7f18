"""All that is invented belongs to one farm: its species, water, vessels and systems, with the same facts everywhere."""

from __future__ import annotations

import ast
import csv
import io
import tokenize
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from pailbook.demo import scenario
from pailbook.function import CATALOGUE
from pailbook.functions.convert import MG_CACO3
from pailbook.quantities import LITRES_PER_US_GALLON
from pailbook.quantities import SPECIES as EVERY_SPECIES

TESTS = Path(__file__).parent
ROOT = TESTS.parent
DEMO = ROOT / "addin" / "pailbook" / "demo"
OTHER_SPECIES = tuple(name for name in EVERY_SPECIES if name not in scenario.SPECIES)


def _rows(name: str, delimiter: str = ",") -> list[dict[str, str]]:
    with (DEMO / name).open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file, delimiter=delimiter))


def _number(text: str) -> float | None:
    try:
        return float(text.replace(",", "."))
    except ValueError:
        return None  # "<0.2", ">10" or a remark


def _within(value: float | None, limits: tuple[float, float], slack: float = 0.0) -> bool:
    return value is None or limits[0] - slack <= value <= limits[1] + slack


# The demo's records ---------------------------------------------------------------------------------------
SET_ASIDE = (15.45, -127.0, -999.0)  # what a broken probe or a logger writes, which an import sets aside


def _readings() -> Iterator[dict[str, Any]]:
    """Every water test of the demo's records: system, pH, alkalinity (mg/L as CaCO3), phosphate."""
    for row in _rows("readings-own.csv"):
        yield {"system": row["System"], "ph": _number(row["pH"]), "alkalinity": _number(row["Alkalinity (mg/L CaCO3)"]),
               "phosphate": _number(row["PO4 (mg/L PO4)"]), "temperature": _number(row["Temp (°C)"])}
    for row in _rows("readings-clients.csv", ";"):
        degrees = _number(row["KH °dH"])
        yield {"system": row["System"], "ph": _number(row["pH"]),
               "alkalinity": None if degrees is None else degrees * MG_CACO3["dH"],
               "phosphate": _number(row["Phosphate mg/l PO4"]), "temperature": _number(row["Water temp °C"])}
    for row in _rows("dosing-readings.csv"):
        yield {"system": scenario.NORTH_RAFT.name, "temperature": None,
               **{key: _number(row[key]) for key in ("ph", "alkalinity", "phosphate")}}


def test_the_water_of_the_demo_lies_within_the_scenario() -> None:
    count = 0
    for reading in _readings():
        count += 1
        assert reading["system"] in scenario.SYSTEMS, reading
        assert reading["ph"] in SET_ASIDE or _within(reading["ph"], scenario.PH), reading
        assert _within(reading["alkalinity"], scenario.ALKALINITY), reading
        assert _within(reading["phosphate"], scenario.PHOSPHATE), reading
    assert count > 80


def test_species_kits_targets_and_vessels_of_the_demo_are_the_scenarios() -> None:
    assert {system.species for system in scenario.SYSTEMS.values()} == set(scenario.SPECIES)
    assert {row["species"] for row in _rows("stocking-cohorts.csv")} <= set(scenario.SPECIES)
    assert scenario.MOVE["species"] in scenario.SPECIES
    assert scenario.BASE_MOVE["species"] in scenario.SPECIES
    assert {scenario.MOVE["vessel_volume"], scenario.BASE_MOVE["vessel_volume"]} <= set(scenario.VESSELS_L)
    for row in _rows("dosing-plan.csv"):
        if row["what"] in ("phosphate.low", "phosphate.high"):
            assert float(row["value"]) < scenario.PHOSPHATE_TARGET_MOST
    for move in (scenario.MOVE, scenario.BASE_MOVE):
        for key in ("from_ph", "to_ph"):
            assert _within(move[key], scenario.PH)
    assert all(_within(reading, scenario.PH) for reading in scenario.MORNINGS)
    assert {row["client"] for row in _rows("systems.csv")} - {""} == set(scenario.CLIENTS)
    for row in _rows("kits.csv"):
        if row["reads"] == "pH" and row["resolution"] == "0.2":
            assert (float(row["low"]), float(row["high"])) == (6.4, 8.2)


@pytest.mark.parametrize("name", sorted(path.name for path in DEMO.glob("*.csv")))
def test_a_record_speaks_of_the_scenarios_systems_alone(name: str) -> None:
    for row in _rows(name, ";" if "clients" in name else ","):
        for key, value in row.items():
            if key.casefold() in ("system", "from_system", "to_system") and value:
                assert value in scenario.SYSTEMS, row


@pytest.mark.parametrize("plan", ["dosing-plan.csv", "stocking-plan.csv"])
def test_a_plan_has_the_systems_own_volume(plan: str) -> None:
    values = {row["what"]: row["value"] for row in _rows(plan)}
    assert float(values["volume"]) == scenario.SYSTEMS[values["system"]].volume


def test_the_move_is_planned_with_the_water_of_the_logs_latest_tests() -> None:
    latest = {reading["system"]: reading for reading in _readings()}
    move = scenario.MOVE
    for end, system in (("from", scenario.SCHOOL_TANK), ("to", scenario.COURT_WALL)):
        assert move[f"{end}_system"] == system.name
        for key in ("ph", "temperature"):
            assert move[f"{end}_{key}"] == latest[system.name][key], (end, key)
        assert move[f"{end}_alkalinity"] == pytest.approx(latest[system.name]["alkalinity"], abs=3)  # drops of 0.1 °dH
        phosphate = latest[system.name]["phosphate"]
        assert phosphate is None or move[f"{end}_phosphate"] == phosphate
        assert _within(move[f"{end}_phosphate"], scenario.PHOSPHATE)
    assert move["to_volume"] == move["calendar_volume"] == scenario.COURT_WALL.volume
    assert move["client"] == scenario.COURT_WALL.client


# The workbooks ----------------------------------------------------------------------------------------------
WITH_EVERY_SPECIES = {
    "Limits", "Species", "Stocking and feeding", "Growth", "Moving fish", "Oxygen and air", "Ammonia", "Workings",
}
WORKBOOKS = sorted((ROOT / "demo_workbooks").glob("*.xlsx"))


@pytest.mark.parametrize("path", WORKBOOKS, ids=lambda path: path.stem)
def test_no_sheet_of_the_demo_speaks_of_another_species(path: Path) -> None:
    book = openpyxl.load_workbook(path, read_only=True)
    for sheet in book.worksheets:
        if sheet.title in WITH_EVERY_SPECIES:
            continue  # the species table, pages of the guide that list what an argument may be, formulas by species
        for row in sheet.iter_rows(values_only=True):
            for text in row:
                if isinstance(text, str) and not text.startswith("="):
                    assert not [name for name in OTHER_SPECIES if name in text.casefold()], (sheet.title, text)
    book.close()


def test_examples_of_functions_use_the_scenarios_water_vessels_and_species() -> None:
    for function in CATALOGUE.values():
        for argument, value in zip(function.arguments, function.example):
            reason = EXAMPLES.get((function.name, argument.name))
            if reason is None and (wrong := _wrong(argument.name, value)):
                pytest.fail(f"{function.name}: {wrong}")


# (function, argument): why its example needs something else
EXAMPLES: Mapping[tuple[str, str], str] = {}


# The fixtures of the tests --------------------------------------------------------------------------------
_ENDS = ("", "from_", "to_", "door_", "tank_")
PH_KEYS = {f"{end}ph" for end in _ENDS} | {f"ph_{end}" for end in ("start", "target", "from", "to", "vessel", "tank")}
ALKALINITY_KEYS, PHOSPHATE_KEYS = (
    {f"{end}{what}" for end in _ENDS} | {f"{what}_{end}" for end in ("start", "vessel", "tank")}
    for what in ("alkalinity", "phosphate")
)
NOT_MEANT = {"other", "any fish", "", None}


def _wrong(key: str, value: Any) -> str:
    """What is not of the scenario in a value of that name; blank where it is, or where the name says nothing."""
    if key == "species" and isinstance(value, str) and value not in {*scenario.SPECIES, *NOT_MEANT}:
        return f"species {value!r}"
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        return ""
    for keys, limits in (
        (PH_KEYS, scenario.PH), (ALKALINITY_KEYS, scenario.ALKALINITY), (PHOSPHATE_KEYS, scenario.PHOSPHATE),
    ):
        if key in keys and not _within(float(value), limits):
            return f"{key} {value:g}"
    sizes = {*scenario.VESSELS_L, *scenario.VESSELS_US_GAL, scenario.BAG_L, scenario.OXYGEN_TANK_L}
    if key == "vessel_volume" and not any(abs(value - size * factor) < 0.05 * factor for size in sizes
                                          for factor in (1.0, LITRES_PER_US_GALLON)):
        return f"vessel of {value:g}"
    return ""


@dataclass(frozen=True)
class Given:
    """A named value in a test, and the lines that a reason for it may stand on."""

    line: int
    key: str
    value: Any
    row: ast.AST | None  # the innermost tuple or call that holds it: a row of a table of cases


def _named_values(tree: ast.Module) -> Iterator[Given]:
    def walk(node: ast.AST, row: ast.AST | None) -> Iterator[Given]:
        row = node if isinstance(node, (ast.Tuple, ast.Call)) else row
        if isinstance(node, ast.Dict):
            for key, value in zip(node.keys, node.values):
                name = key.elts[1] if isinstance(key, ast.Tuple) and len(key.elts) == 3 else key  # (sheet, key, row)
                found = _constant(value)
                if isinstance(name, ast.Constant) and isinstance(name.value, str) and found is not None:
                    yield Given(value.lineno, name.value, found, row)
        if isinstance(node, ast.keyword) and node.arg and (found := _constant(node.value)) is not None:
            yield Given(node.value.lineno, node.arg, found, row)
        for child in ast.iter_child_nodes(node):
            yield from walk(child, row)

    yield from walk(tree, None)


def _constant(node: ast.AST) -> Any:
    if isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub) and isinstance(node.operand, ast.Constant):
        return -node.operand.value if isinstance(node.operand.value, (int, float)) else None
    return node.value if isinstance(node, ast.Constant) else None


def _commented(path: Path) -> frozenset[int]:
    """The lines with a comment that says something."""
    tokens = tokenize.generate_tokens(io.StringIO(path.read_text(encoding="utf-8")).readline)
    return frozenset(token.start[0] for token in tokens if token.type == tokenize.COMMENT and len(token.string) > 12
                     and "noqa" not in token.string and "type:" not in token.string)


ABOVE = 6  # how many lines below a comment its reason may still be meant


def _has_a_reason(path: Path, tree: ast.Module, given: Given) -> bool:
    """Whether a line says why: a comment beside or shortly above, its test's docstring, its case's own text."""
    commented = _commented(path)  # few files have anything to excuse, so this is seldom asked
    if commented.intersection(range(given.line - ABOVE, given.line + 1)):
        return True
    texts = [_constant(part) for part in ast.iter_child_nodes(given.row)] if given.row is not None else []
    if any(isinstance(text, str) and len(text) > 14 and " " in text for text in texts):
        return True
    around = [node for node in ast.walk(tree) if isinstance(node, ast.stmt)
              and node.lineno <= given.line <= (node.end_lineno or node.lineno)]
    for node in around:
        if isinstance(node, ast.FunctionDef) and ast.get_docstring(node):
            return True
    innermost = max(around, key=lambda node: node.lineno)
    return bool({innermost.lineno, innermost.lineno - 1} & commented)


FIXTURES = sorted(path for path in TESTS.rglob("*.py") if path != Path(__file__) and "published" not in path.parts)


@pytest.mark.parametrize("path", FIXTURES, ids=lambda path: str(path.relative_to(TESTS)))
def test_invented_data_of_a_test_is_the_scenarios_or_says_why_it_is_not(path: Path) -> None:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    wrong = [f"line {given.line}: {found}" for given in _named_values(tree)
             if (found := _wrong(given.key, given.value)) and not _has_a_reason(path, tree, given)]
    assert not wrong, "\n".join(wrong)


@pytest.mark.parametrize("path", FIXTURES, ids=lambda path: str(path.relative_to(TESTS)))
def test_a_system_of_the_scenario_has_its_own_facts(path: Path) -> None:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Dict):
            row = {key.value: _constant(value) for key, value in zip(node.keys, node.values)
                   if isinstance(key, ast.Constant)}
            system = scenario.SYSTEMS.get(str(row.get("system") or ""))
            if system is None:
                continue
            for key in ("client", "species", "source"):
                if row.get(key) is not None:
                    assert row[key] == getattr(system, key), (path.name, node.lineno, key)
            if isinstance(row.get("volume"), (int, float)) and "species" in row:
                volumes = system.volume, round(system.volume / LITRES_PER_US_GALLON)
                assert row["volume"] in volumes, (path.name, node.lineno)


@pytest.mark.parametrize("source", [
    'CASE = {"species": "tilapia", "ph": 7.4}', 'CASE = {"from_ph": 6.6}', 'CASES = [("odd", {"alkalinity": 20.0})]',
    'run(phosphate=40.0)', 'CELLS = {(TESTS, "ph", 0): 8.6}', 'CASE = {"vessel_volume": 18.927}',
])
def test_the_guard_sees_what_is_not_of_the_scenario(source: str, tmp_path: Path) -> None:
    path = tmp_path / "planted.py"
    path.write_text(source, encoding="utf-8")
    with pytest.raises(AssertionError):
        test_invented_data_of_a_test_is_the_scenarios_or_says_why_it_is_not(path)
    path.write_text(f"# A kit at the end of its range needs this.\n{source}", encoding="utf-8")
    test_invented_data_of_a_test_is_the_scenarios_or_says_why_it_is_not(path)


def test_the_guard_sees_a_system_with_other_facts(tmp_path: Path) -> None:
    path = tmp_path / "planted.py"
    path.write_text('ROW = {"system": "North raft", "species": "jade perch"}', encoding="utf-8")
    with pytest.raises(AssertionError):
        test_a_system_of_the_scenario_has_its_own_facts(path)
