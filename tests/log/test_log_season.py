"""A farm log read from its file: the rules say of its rows what the log's own sheets say, however the file was kept."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

import filled
import logs
from pailbook.quantities import UNIT_SYSTEMS
from pailbook.terms import NOT_ASKED, international
from pailbook.workbook.farm_log import overview, stock, system_state_rules, systems, water_rules, water_tests
from pailbook.workbook.log import fish, registers, state, water
from pailbook.workbook.log.cells import Cells
from pailbook.workbook.log.registers import JudgedRow
from pailbook.workbook.log.season import Season

units_of_logs = pytest.mark.parametrize("units", UNIT_SYSTEMS)


def season_of(units: str, folder: Path) -> Season:
    return Season(Cells(logs.log(units, False, True).book.save(folder / "log.xlsx")))


@units_of_logs
def test_a_water_test_is_judged_as_on_its_sheet(units: str, tmp_path: Path) -> None:
    season, values = season_of(units, tmp_path), logs.headless(units, True)
    table = logs.log(units)[water_tests.SHEET]
    tests = water.water_tests(season)
    assert len(tests) == len(filled.water_tests())
    for test in tests:
        number = test.row.number
        assert water_rules.why(test.values, units) == values[water_tests.SHEET, f"{table.letter('why')}{number}"]
        for key in ("nh3", "saturation", "co2"):
            found = values[water_tests.SHEET, f"{table.letter(key)}{number}"]
            assert (test.values[key] or "") == (found if found == "" else pytest.approx(found)), (number, key)
        if test.when is not None:
            assert test.when == pytest.approx(values[water_tests.SHEET, f"{table.letter('when')}{number}"], abs=1e-5)


@units_of_logs
def test_a_system_has_the_volume_and_elevation_of_its_sheet(units: str, tmp_path: Path) -> None:
    season, values = season_of(units, tmp_path), logs.headless(units, True)
    table = logs.log(units)[systems.SHEET]
    assert [system.name for system in season.systems.values()] == [filled.NORTH, filled.SOUTH, filled.CLIENT,
                                                                   filled.WALL]
    for system in season.systems.values():
        for key, own in (("in_use", system.volume), ("elevation_used", system.elevation)):
            found = values[systems.SHEET, f"{table.letter(key)}{system.row.number}"]
            assert own == (None if found == "" else pytest.approx(found)), (system.name, key)


# The registers, by their sheet: how they are judged, and the column of the verdict.
REGISTERS: dict[str, tuple[Callable[[Season], list[JudgedRow]], str]] = {
    "Fish": (fish.fish_rows, "state"), "Doses": (registers.doses, "state"),
    "Water added and changed": (registers.water_in, "state"), "Upkeep": (registers.kept_up, "state"),
    "Incidents": (registers.incidents, "state"), "Kits": (registers.kits, "state"),
    "Systems": (registers.volumes, "check"),
}


@units_of_logs
@pytest.mark.parametrize("sheet", REGISTERS)
def test_a_row_of_a_register_is_judged_as_on_its_sheet(sheet: str, units: str, tmp_path: Path) -> None:
    season, values = season_of(units, tmp_path), logs.headless(units, True)
    judged, key = REGISTERS[sheet]
    letter = logs.log(units)[sheet].letter(key)
    rows = judged(season)
    assert len(rows) == len(season.rows(sheet)) > 1
    for one in rows:
        shown = "" if one.judged.text == NOT_ASKED else one.judged.text
        assert shown == values[sheet, f"{letter}{one.row.number}"], one.values


@units_of_logs
def test_a_system_has_the_fish_and_the_feed_of_its_sheet(units: str, tmp_path: Path) -> None:
    season, values = season_of(units, tmp_path), logs.headless(units, True)
    table = logs.log(units)[stock.SHEET]
    for row, system in enumerate(season.systems.values(), table.first_row):
        found = fish.stock_of(season, system)
        assert ("" if found.judged.outcome == NOT_ASKED else found.judged.text) == values[
            stock.SHEET, f"{table.letter('verdict')}{row}"], system.name
        for key, own in (("stock", found.count), ("one", found.one), ("weighed", found.weighed),
                         ("biomass", found.biomass), ("density", found.density), ("lost", found.lost),
                         ("lost_share", found.lost_share), ("feed", found.feed), ("feed_share", found.feed_share),
                         ("oxygen", found.oxygen)):
            there = values[stock.SHEET, f"{table.letter(key)}{row}"]
            assert own == (None if isinstance(there, str) else pytest.approx(there)), (system.name, key)


@units_of_logs
def test_a_system_has_the_state_of_the_overview(units: str, tmp_path: Path) -> None:
    season, values = season_of(units, tmp_path), logs.headless(units, True)
    table, tests = logs.log(units)[overview.SHEET], water.water_tests(season)
    for row, system in enumerate(season.systems.values(), table.first_row):
        found = state.state_of(season, system, tests)

        def shown(key: str, row: int = row) -> object:
            return values[overview.SHEET, f"{table.letter(key)}{row}"]

        assert (found.judged.outcome, found.why) == (shown("verdict"), shown("why")), system.name
        assert system_state_rules.STEPS[found.judged.urgency] == international(str(shown("next")))
        for key, own in (("days", found.days), ("ammonia_days", found.ammonia_days)):
            assert own == (None if isinstance(shown(key), str) else shown(key)), (system.name, key)
