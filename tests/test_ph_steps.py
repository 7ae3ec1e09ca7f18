"""Stepwise pH changes on the whole grid of pH values at one decimal, against decimal arithmetic.

Plain floats are wrong here for one pair in eight: 5.2 - 5.0 is a little more than 0.2 to them.
"""

from __future__ import annotations

import math
from decimal import ROUND_CEILING, Decimal
from itertools import product

import numpy as np
import pytest

import hosts
import pailbook
from pailbook.formula.trace import plain_formula
from pailbook.function import CATALOGUE
from pailbook.hosts import headless
from thorough import thorough

GRID = [Decimal(tenths) / 10 for tenths in range(40, 111)]
PAIRS = list(product(GRID, GRID))
STEPS = [Decimal(text) for text in ("0.1", "0.2", "0.3")]
TOLERANCES = [Decimal(text) for text in ("0", "0.1", "0.2")]
each_rule = pytest.mark.parametrize(("step", "tolerance"), list(product(STEPS, TOLERANCES)))
DAYS = CATALOGUE["PH_STEP_DAYS"]
TARGET = CATALOGUE["PH_STEP_TARGET"]


def days(ph_from: Decimal, ph_to: Decimal, step: Decimal, tolerance: Decimal) -> int:
    """Exactly: whole days of a step each until no more than the tolerance is left."""
    left = abs(ph_to - ph_from) - tolerance
    return int((left / step).to_integral_value(ROUND_CEILING)) if left > 0 else 0


@each_rule
def test_days_on_the_whole_grid(step: Decimal, tolerance: Decimal) -> None:
    # Through the bodies, since a tolerance of 0 stands for a blank cell in the cell form.
    wrong = [
        (a, b) for a, b in PAIRS
        if DAYS.body(float(a), float(b), float(step), float(tolerance)) != days(a, b, step, tolerance)
    ]
    assert not wrong


def test_days_on_the_whole_grid_as_columns() -> None:
    starts, ends = (np.array([float(pair[i]) for pair in PAIRS]) for i in (0, 1))
    for step, tolerance in product(STEPS, TOLERANCES[1:]):
        expected = [days(a, b, step, tolerance) for a, b in PAIRS]
        assert list(pailbook.ph_step_days(starts, ends, float(step), float(tolerance))) == expected


def test_days_on_the_whole_grid_in_sheets() -> None:
    """A plain formula and the function itself, over a range of all pairs with the defaults."""
    cells = {f"{column}{line}": float(pair[i]) for line, pair in enumerate(PAIRS, 1) for i, column in enumerate("AB")}
    expected = [days(a, b, Decimal("0.2"), Decimal("0.2")) for a, b in PAIRS]
    rows = headless.evaluate(f"=PH_STEP_DAYS(A1:A{len(PAIRS)},B1:B{len(PAIRS)})", cells)
    assert [row[0] for row in rows] == expected
    text = plain_formula(DAYS, ["A1", "B1"])
    some = range(0, len(PAIRS), 7 if thorough() else 21)
    for line in some:
        a, b = PAIRS[line]
        assert hosts.plain_in_formulas(text, {"A1": float(a), "B1": float(b)}) == expected[line], (a, b)


def test_plain_floats_would_be_wrong_for_one_pair_in_eight() -> None:
    """Why the grid is tested at all."""
    step = tolerance = Decimal("0.2")
    wrong = sum(
        max(math.ceil((abs(float(b) - float(a)) - 0.2) / 0.2), 0) != days(a, b, step, tolerance) for a, b in PAIRS
    )
    assert wrong / len(PAIRS) > 0.12
    assert pailbook.ph_step_days(5.0, 5.2) == 0


@each_rule
def test_targets_walk_to_within_the_tolerance_and_never_past(step: Decimal, tolerance: Decimal) -> None:
    starts, ends = (np.array([float(pair[i]) for pair in PAIRS]) for i in (0, 1))
    last = np.array([days(a, b, step, tolerance) for a, b in PAIRS])
    s, t, noise = float(step), float(tolerance), 1e-9
    before = starts
    for day in range(int(last.max()) + 2):
        now = TARGET.body(starts, ends, float(day), s, t)
        assert np.all(np.abs(now - before) <= (s + noise if day else noise)), "no more than a step a day"
        assert np.all((now - ends) * (starts - ends) >= -noise), "not past the aim"
        walking = day < last
        assert np.all(np.abs(now - ends)[walking] > t + noise), "not matched before its day"
        assert np.all(np.abs(now - ends)[~walking] <= np.maximum(t, 0) + noise), "matched from its day on"
        assert np.all((now == before)[day > last]), "then it stays"
        before = now


def test_targets_of_every_day_by_decimal_arithmetic() -> None:
    for a, b in PAIRS[::13]:
        for step, tolerance in product(STEPS, TOLERANCES[1:]):
            for day in range(5):
                moved = min(step * min(day, days(a, b, step, tolerance)), abs(b - a))
                expected = a + moved if b > a else a - moved
                found = pailbook.ph_step_target(float(a), float(b), day, float(step), float(tolerance))
                assert found == pytest.approx(float(expected), abs=1e-9)
