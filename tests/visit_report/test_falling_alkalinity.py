"""Alkalinity that runs out is told by the check and by the visit report alike, from the one trend of a log.

Its limits are the log's own: common practice, no source.
"""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from pailbook.visit_report.make import make_report
from pailbook.workbook.check.run import check
from seasons import CLIENT, DAY, TANK, log_file, reading

# From 110 to 65 mg/L in ten days: 4.5 a day. The limit for act, 20, is ten days away.
FALLING = [reading(day, alkalinity=110.0 - 4.5 * day) for day in (0, 2, 4, 6, 8, 10)]


def _water(how: str | None, day: int) -> list[dict[str, Any]]:
    return [{"date": DAY + timedelta(days=day), "system": TANK, "how": how, "volume": 40, "source": "rain"}]


@pytest.mark.parametrize(("how", "warned"), [("topped up", True), ("changed", False)])
def test_water_that_was_topped_up_hides_no_falling_alkalinity(tmp_path: Path, how: str, warned: bool) -> None:
    """It replaces what evaporated. After a change, too few readings are left to say how the alkalinity falls."""
    log = log_file(tmp_path / "log.xlsx", {"Water tests": FALLING, "Water added and changed": _water(how, 7)},
                   as_of=DAY + timedelta(days=10))
    found = [one for one in check(log) if one.kind == "alkalinity running out"]
    assert [one.verdict for one in found] == (["watch"] if warned else [])
    report = make_report(log, CLIENT, "2026-05-01", tmp_path / "report.xlsx").files[0]
    shown = [str(cell.value) for row in openpyxl.load_workbook(report)["Visit report"].iter_rows() for cell in row]
    assert any("falls by 4.5 mg/L as CaCO3 a day" in text for text in shown) == warned
