"""The workbooks that are looked at: each blank and filled, in both unit systems, as a user has them."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Mapping
from datetime import date
from functools import partial
from pathlib import Path
from typing import Any

import filled
import moves
import plans
import stocks
from pailbook.quantities import UNIT_SYSTEMS
from pailbook.visit_report.make import make_report
from pailbook.workbook import templates
from pailbook.workbook.builder import Book
from pailbook.workbook.dosing_plan.build import dosing_plan
from pailbook.workbook.farm_log.build import farm_log
from pailbook.workbook.recalc import recalc
from pailbook.workbook.share.share import share
from pailbook.workbook.stocking_plan.build import stocking_plan

Cells = Mapping[tuple[str, str], Any]
CLIENT_NAME = next(system["client"] for system in filled.SYSTEMS if system["system"] == filled.CLIENT)
SINCE = date(2026, 4, 1)


def _typed(book: Book, cells: Cells, path: Path) -> Path:
    """The workbook with these inputs typed in."""
    for (sheet, address), value in cells.items():
        book.workbook[sheet][address].value = value
    return book.save(path)


def _log(units: str, path: Path) -> Path:
    return filled.fill(farm_log(units)).book.save(path)


def _move(units: str, path: Path) -> Path:
    deaths = moves.dead((0, 0), (1, 1), (3, 2), (5, 0), residents=((2, 1),))
    return _typed(moves.filled(moves.DEMO, units, moves.DEMO_READINGS, figures=3).book, deaths, path)


def _dosing(units: str, path: Path) -> Path:
    return _typed(dosing_plan(units).book, plans.everything(units), path)


def _stocking(units: str, path: Path) -> Path:
    inputs = stocks.as_people_type(stocks.typed(units, temperatures={3: 24.0, 4: 23.0}))
    return _typed(stocking_plan(units).book, inputs, path)


def _computed_log(units: str, folder: Path) -> Path:
    target = folder / "computed.xlsx"
    recalc(_log(units, folder / "log.xlsx"), target)
    return target


def _report(units: str, path: Path) -> Path:
    with tempfile.TemporaryDirectory() as folder:
        make_report(_computed_log(units, Path(folder)), CLIENT_NAME, SINCE.isoformat(), path)
    return path


def _copy(units: str, path: Path) -> Path:
    with tempfile.TemporaryDirectory() as folder:
        share(_computed_log(units, Path(folder)), path, client=CLIENT_NAME)
    return path


_FILLED: dict[str, Callable[[str, Path], Path]] = {
    "farm-log": _log, "move-plan": _move, "dosing-plan": _dosing, "stocking-plan": _stocking,
    "visit-report": _report, "clients-copy": _copy,
}


BOOKS: Mapping[str, Callable[[Path], Path]] = {
    f"{name}-{units}-blank": partial(templates.build, name, units=units)
    for name in templates.WORKBOOKS for units in UNIT_SYSTEMS
} | {
    f"{name}-{units}-filled": partial(fill, units) for name, fill in _FILLED.items() for units in UNIT_SYSTEMS
}
"""What writes each workbook to a file, by the workbook's name, units and state."""
