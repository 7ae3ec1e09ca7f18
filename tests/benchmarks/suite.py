"""What is measured."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from typing import Any

import gsw
import numpy as np
import openpyxl
import pandas as pd

import pailbook
import pailbook.functions as _fills_the_catalogue  # noqa: F401
from pailbook.formula.trace import plain_formula
from pailbook.function import CATALOGUE
from pailbook.hosts.call import call
from pailbook.workbook.contents import Workbook
from pailbook.workbook.recalc import recalc
from pailbook.workbook.share.copy import Rewritten, rewrite
from pailbook.workbook.share.share import share

from .measure import Measured, race

AMMONIA, OXYGEN = CATALOGUE["AMMONIA_FRACTION"], CATALOGUE["OXYGEN_SATURATION"]


def single_calls(count: int, rounds: int) -> list[Measured]:
    """A cell's call beside the bare body."""

    def repeated(run: Callable[[], object]) -> Callable[[], None]:
        def runs() -> None:
            for _ in range(count):
                run()

        return runs

    in_python = pailbook.ammonia_fraction
    dose = CATALOGUE["NUTRIENT_DOSE"]
    base, dose_base = "AMMONIA_FRACTION, bare body", "NUTRIENT_DOSE, bare body"
    best = race({name: repeated(run) for name, run in {
        base: lambda: AMMONIA.body(7.6, 26.0),
        "AMMONIA_FRACTION, as a cell calls it": lambda: call(AMMONIA, (7.6, 26.0)),
        "AMMONIA_FRACTION, in US units": lambda: call(AMMONIA, (7.6, 78.8, None, "us")),
        "AMMONIA_FRACTION, as Python calls it": lambda: in_python(7.6, 26.0),
        dose_base: lambda: dose.body(*dose.example),
        "NUTRIENT_DOSE, as a cell calls it": lambda: call(dose, dose.example),
    }.items()}, rounds)
    bases = [base] * 4 + [dose_base] * 2
    return [Measured(what, best[what], count, "" if what == of else of) for what, of in zip(best, bases)]


def columns(rows: int, rounds: int) -> list[Measured]:
    """Bare bodies and checked columns beside gsw, which calculates the oxygen that water holds.

    Checked columns of OXYGEN_SATURATION and AMMONIA_FRACTION are to take at most half of its time.
    """
    random = np.random.default_rng(1984)
    ph, temperature, salinity = random.uniform(5.5, 9, rows), random.uniform(1, 36, rows), random.uniform(0, 5, rows)
    warm, fahrenheit = pd.Series(temperature), 1.8 * temperature + 32
    absolute_salinity = gsw.SA_from_SP(salinity, 0, 0, 0)
    conservative = gsw.CT_from_pt(absolute_salinity, temperature)
    _same_oxygen(temperature[:1000], salinity[:1000])
    oxygen = "oxygen: gsw.O2sol"
    best = race({
        oxygen: lambda: gsw.O2sol(absolute_salinity, conservative, 0, 0, 0),
        "oxygen: gsw.O2sol_SP_pt": lambda: gsw.O2sol_SP_pt(salinity, temperature),
        "OXYGEN_SATURATION, bare body": lambda: OXYGEN.body(temperature, salinity),
        "OXYGEN_SATURATION, checked": lambda: pailbook.oxygen_saturation(temperature, salinity),
        "OXYGEN_SATURATION, checked, at 500 m": lambda: pailbook.oxygen_saturation(temperature, salinity, 500.0),
        "OXYGEN_SATURATION, checked, a pandas column": lambda: pailbook.oxygen_saturation(warm),
        "AMMONIA_FRACTION, bare body": lambda: AMMONIA.body(ph, temperature),
        "AMMONIA_FRACTION, checked": lambda: pailbook.ammonia_fraction(ph, temperature),
        "AMMONIA_FRACTION, checked, in US units": lambda: pailbook.ammonia_fraction(ph, fahrenheit, units="us"),
    }, rounds)
    return [Measured(what, seconds, rows, "" if what == oxygen else oxygen) for what, seconds in best.items()]


def _same_oxygen(temperature: Any, salinity: Any) -> None:
    """Both give the same oxygen, to the 0.2 % in which two fits of the same measurements differ."""
    density = gsw.rho_t_exact(gsw.SA_from_SP(salinity, 0, 0, 0), temperature, 0)  # kg/m³
    theirs = gsw.O2sol_SP_pt(salinity, temperature) * density / 1e6 * 31.998  # µmol/kg to mg/L
    np.testing.assert_allclose(pailbook.oxygen_saturation(temperature, salinity), theirs, rtol=2e-3)


def recalculation(sizes: Sequence[int], rounds: int) -> list[Measured]:
    """A file with so many formula cells, loaded and computed, as calls of the function and as plain formulas."""
    with tempfile.TemporaryDirectory() as folder:
        runners: dict[str, Callable[[], object]] = {}
        cells = []

        def once(path: Path, size: int) -> Callable[[], None]:
            return lambda: _recalculated(path, size)

        for kind, formula in (
            ("calls", lambda row: f"=AMMONIA_FRACTION(A{row},B{row})"),
            ("plain formulas", lambda row: "=" + plain_formula(AMMONIA, [f"A{row}", f"B{row}"])),
        ):
            for size in sizes:
                path = Path(folder) / f"{kind}-{size}.xlsx"
                _workbook(path, size, formula)
                runners[f"{size} {kind}"] = once(path, size)
                cells.append(size)
        best = race(runners, rounds)
    names = list(best)
    bases = [*[names[0]] * len(sizes), *names[:len(sizes)]]
    return [Measured(what, best[what], size, "" if what == base else base)
            for what, size, base in zip(names, cells, bases)]


def sharing(sizes: Sequence[int], rounds: int) -> list[Measured]:
    """A log of so many calls made plain, beside one recalculation of it; and all of `share`, with its proof."""
    with tempfile.TemporaryDirectory() as folder:
        runners: dict[str, Callable[[], object]] = {}
        copy = Path(folder) / "copy.xlsx"

        def made_plain(path: Path) -> Rewritten:
            book = Workbook(path)
            return rewrite(book, book.contents(), {}, copy)

        for size in sizes:
            path = Path(folder) / f"{size}.xlsx"
            _workbook(path, size, lambda row: f"=AMMONIA_FRACTION(A{row},B{row})")
            assert made_plain(path).found.replaced == size
            runners[f"{size} calls recalculated"] = partial(_recalculated, path, size)
            runners[f"{size} calls made plain"] = partial(made_plain, path)
            runners[f"{size} calls shared, with the proof"] = partial(share, path, copy, overwrite=True)
        best = race(runners, rounds)
    names = list(best)
    return [Measured(name, best[name], sizes[i // 3], "" if i % 3 == 0 else names[i - i % 3])
            for i, name in enumerate(names)]


def _workbook(path: Path, size: int, formula: Callable[[int], str]) -> None:
    book = openpyxl.Workbook(write_only=True)
    sheet = book.create_sheet("Tests")
    for row in range(1, size + 1):
        sheet.append([5.5 + 3.5 * row / size, 1 + 35 * ((row * 7) % size) / size, formula(row)])
    book.save(path)


def _recalculated(path: Path, size: int) -> None:
    done = recalc(path)
    assert len(done.values) == size
    assert not done.problems
    assert done.values["Tests", "C1"] == call(AMMONIA, (5.5 + 3.5 / size, 1 + 35 * (7 % size) / size))
