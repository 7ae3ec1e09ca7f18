"""What is measured in LibreOffice: cells, arrays, and how long it takes to start."""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path

import openpyxl

import pailbook.functions as _fills_the_catalogue  # noqa: F401
from pailbook.formula.trace import plain_formula
from pailbook.function import CATALOGUE
from pailbook.hosts.calc import driver, extension

from .measure import Measured, race

sys.path.insert(0, str(Path(__file__).parents[1] / "calc_host"))
from office_session import Session, session

AMMONIA = CATALOGUE["AMMONIA_FRACTION"]


def cells_in_calc(cells: int, rows: int, rounds: int) -> list[Measured]:
    """Formula cells and one array call, computed by LibreOffice, beside native formulas that check and give the same.

    The times are LibreOffice's own, of `calculateAll`, without what drives it.
    """
    with tempfile.TemporaryDirectory() as folder:
        file = extension.build(Path(folder) / "pailbook.oxt")
        with session(driver.make_profile(Path(folder), extension=file)) as office:
            made = [
                _opened(office, Path(folder), "native formulas", cells, _native),
                _opened(office, Path(folder), "calls", cells, "=AMMONIA_FRACTION(A{0},B{0})".format),
                _opened(office, Path(folder), f"native formulas, {rows} rows", rows, _native),
                _opened(office, Path(folder), f"one array call, {rows} rows", rows, None),
            ]
            best = [min(office("calculate", name=name) for _ in range(rounds)) for name, _ in made]
    return [Measured(what, best[i], each, made[i - i % 2][0] if i % 2 else "")
            for i, (what, each) in enumerate(made)]


def _opened(
    office: Session, folder: Path, what: str, rows: int, formula: Callable[[int], str] | None
) -> tuple[str, int]:
    """The name of a document of so many rows, and their number; it is computed once, and right."""
    book = openpyxl.Workbook(write_only=True)
    sheet = book.create_sheet("Tests")
    for row in range(1, rows + 1):
        sheet.append([7 + row % 100 / 100, 20 + row % 50 / 10, *([formula(row)] if formula else [])])
    book.save(folder / "cells.xlsx")
    office("open", name=what, url=(folder / "cells.xlsx").as_uri())
    if formula is None:
        office("array_formula", name=what, area=f"C1:C{rows}", formula=f"=AMMONIA_FRACTION(A1:A{rows};B1:B{rows})")
    office("calculate", name=what)
    shown = office("read", name=what, area=f"C{rows}:C{rows}")[0][0]
    assert abs(shown - AMMONIA.body(7 + rows % 100 / 100, 20 + rows % 50 / 10)) < 1e-9
    return what, rows


def _native(row: int) -> str:
    return "=" + plain_formula(AMMONIA, [f"A{row}", f"B{row}"])


def start_in_calc(rounds: int) -> list[Measured]:
    """From the start of LibreOffice to its answer, with the extension and without, in a profile that has been used."""
    with tempfile.TemporaryDirectory() as folder:
        file = extension.build(Path(folder) / "pailbook.oxt")
        runners = {}
        for what, functions in (("without the functions", None), ("with the functions", file)):
            scratch = Path(folder) / what.replace(" ", "-")
            scratch.mkdir()
            runners[what] = partial(_started, driver.make_profile(scratch, extension=functions))
            runners[what]()  # the first start makes the profile
        best = race(runners, rounds)
    names = list(best)
    return [Measured(what, best[what], 1, "" if what == names[0] else names[0]) for what in names]


def _started(profile: Sequence[str]) -> None:
    with session(profile) as office, office.document():
        pass
