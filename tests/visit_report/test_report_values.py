"""What the report reads and judges is what the log itself gives when it is recalculated."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from pailbook import terms
from pailbook.quantities import METRIC, UNIT_SYSTEMS
from pailbook.visit_report.findings import found_in
from pailbook.visit_report.season import Season, day, read_season, systems_of
from pailbook.visit_report.water import frame_of, reasons_of
from pailbook.workbook.farm_log import fish, kits, limits, overview, stock, systems, water_rules, water_tests
from pailbook.workbook.farm_log.log import Log
from pailbook.workbook.log import schema, water
from pailbook.workbook.log.season import Row
from pailbook.workbook.package import Workbook
from pailbook.workbook.recalc import load_model

sys.path.insert(0, str(Path(__file__).parents[1] / "workbook"))
import filled
import logs

DEMO = Path(__file__).parents[2] / "demo_workbooks" / "farm-log.xlsx"
COMPUTED = ("nh3", "saturation", "co2", "tan_n", "no2", "no3", "po4")
Values = dict[tuple[str, str], Any]


@pytest.fixture(scope="module", params=["demo", *UNIT_SYSTEMS, "wrong"])
def season(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> tuple[Season, Values]:
    """A season as the report reads it, all its systems one client's, and what the log makes of it."""
    if request.param == "demo":
        path, values = DEMO, Workbook(DEMO).stored_values()
    elif request.param == "wrong":
        path = spoilt(tmp_path_factory.mktemp("season") / "log.xlsx")
        values = dict(load_model(path).calculate().values)
    else:
        log: Log = logs.log(request.param, False, True)
        path = log.book.save(tmp_path_factory.mktemp("season") / "log.xlsx")
        values = dict(logs.headless(request.param, True))
    read = read_season(path)
    rows = {table.sheet: read.rows(table.sheet) for table in schema.TABLES}
    rows[systems.SHEET] = [Row(row.number, {**row.cells, "client": "all"}) for row in rows[systems.SHEET]]
    return read.of_rows(rows, read.farm), values


def spoilt(path: Path) -> Path:
    """A log in which one entry after the other is a text or a number that cannot be."""
    log = filled.filled(METRIC, False, logs.ROWS)
    book = log.book.workbook
    tests = log[water_tests.SHEET]
    keys = [*(column.key for column in water_rules.VALUES.values()), "time", "date"]
    for number, (key, value) in enumerate((key, value) for value in ("abc", 5_000_000.0) for key in keys):
        book[tests.sheet][f"{tests.letter(key)}{tests.first_row + number % logs.ROWS}"].value = value
    cells = {key: f"{log[sheet].letter(key)}{log[sheet].first_row + row}" for sheet, key, row in (
        (systems.SHEET, "elevation", 0), (systems.SHEET, "volume", 1), (fish.SHEET, "count", 1),
        (kits.SHEET, "resolution", 1))}
    book[systems.SHEET][cells["elevation"]].value = book[systems.SHEET][cells["volume"]].value = "abc"
    book[fish.SHEET][cells["count"]].value = book[kits.SHEET][cells["resolution"]].value = "abc"
    for label in ("Alkalinity: watch below", "Days without a test: act above", "Fish lost in 7 days: watch above"):
        row = next(cell.row for cell in book[limits.SHEET]["A"] if cell.value == label)
        book[limits.SHEET][f"C{row}"].value = "abc"
    log.book.save(path)
    return path


def alike(one: Any, other: Any) -> bool:
    other = None if other in (terms.NOT_KNOWN, water_rules.BEYOND) else other
    if isinstance(one, (int, float)) and isinstance(other, (int, float)):
        return one == pytest.approx(other, rel=1e-9, abs=1e-12)
    return (one or None) == (other or None)


def test_water_is_calculated_and_judged_as_in_the_log(season: tuple[Season, Values]) -> None:
    read, values = season
    table, compared = water_tests.table(), 0
    tests = frame_of(water.water_tests(read))
    assert len(tests) > 20
    for _, test in tests.iterrows():
        for key in COMPUTED:
            mine = None if test[key] != test[key] else test[key]
            assert alike(mine, values.get((table.sheet, f"{table.letter(key)}{test['row']}"))), (test["row"], key)
            compared += mine is not None
        why = values.get((table.sheet, f"{table.letter('why')}{test['row']}")) or ""
        assert "; ".join(reasons_of(read, test["test"])) == terms.international(why), test["row"]
    assert compared > 100


def test_systems_are_judged_as_in_the_log(season: tuple[Season, Values]) -> None:
    read, values = season
    until = day(read.as_of).date()
    tests = frame_of(water.water_tests(read))
    latest, held = overview.table(systems.ROWS), stock.table(systems.ROWS)
    for number, system in enumerate(systems_of(read, "all")):
        found = found_in(read, system, tests, date(2026, 1, 1), until)

        def in_log(table: Any, key: str, row: int = number) -> Any:
            return values.get((table.sheet, f"{table.letter(key)}{table.first_row + row}"))

        assert in_log(latest, "system") == found.name
        assert (found.verdict, found.step) == (in_log(latest, "verdict"), in_log(latest, "next")), found.name
        assert "; ".join(found.reasons) == terms.international(in_log(latest, "why") or "")
        assert alike(found.days, in_log(latest, "days"))
        assert in_log(latest, "ammonia_days") in ((found.ammonia_days,) if found.ammonia_days is not None
                                                else ("never", "", None))
        fish = found.fish.stock
        for key, mine in (
            ("stock", fish.count), ("one", fish.one), ("biomass", fish.biomass), ("density", fish.density),
            ("lost", fish.lost), ("lost_share", fish.lost_share), ("feed", fish.feed), ("verdict", found.fish.verdict),
            ("feed_share", fish.feed_share), ("oxygen", fish.oxygen),
        ):
            assert alike(mine, in_log(held, key)), (found.name, key)


def test_limits_are_those_in_force(season: tuple[Season, Values]) -> None:
    """The sheet Limits shows them computed, by species."""
    read, values = season
    if read.cells.path == DEMO:
        pytest.skip("the other seasons have the same limits")
    sheets = read.cells.contents["Limits"]
    labels = {limit.label: limit.key for limit in limits.BY_SPECIES}
    seen: set[str] = set()
    compared = 0
    for row in range(1, 60):
        label = sheets.get(f"A{row}")
        label = terms.international(label) if isinstance(label, str) else label
        if not isinstance(label, str) or label not in labels or label in seen:
            continue
        seen.add(label)
        for kind, letter in zip(limits.KINDS, "EFGHIJKLMN"):
            number = read.limits.number(kind, labels[label])
            assert alike(number, values.get(("Limits", f"{letter}{row}"))), (label, kind)
            compared += 1
    assert compared == len(labels) * len(limits.KINDS)
