"""A farm log read from its file: the rules say of its rows what the log's own sheets say, however the file was kept."""

from __future__ import annotations

from pathlib import Path

import pytest

import filled
import logs
from pailbook.quantities import UNIT_SYSTEMS
from pailbook.workbook.farm_log import systems, water_rules, water_tests
from pailbook.workbook.log import water
from pailbook.workbook.log.cells import Cells
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
