"""Uptake from series of readings against a tank simulated day by day, numpy's least squares, and chance."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy import stats

import pailbook
from pailbook import ops
from thorough import first


class Tank:
    """A tank's true course: the same use every day, doses and changes at the end of a day."""

    def __init__(self, seed: int, rate: float, start: float, length: int = 28) -> None:
        chance = np.random.default_rng(seed)
        self.days = np.arange(length)
        self.additions = np.where(chance.random(length) < 0.15, chance.uniform(3, 15, length).round(1), 0.0)
        self.changed = np.where(chance.random(length) < 0.1, chance.uniform(0.05, 0.5, length).round(2), 0.0)
        self.incoming = chance.uniform(0, 10, length).round(1)
        self.read = chance.random(length) < 0.4
        self.read[[0, -1]] = True
        self.level = np.empty(length)
        level = start
        for day in self.days:
            self.level[day] = level
            level += self.changed[day] * (self.incoming[day] - level) + self.additions[day] - rate

    def columns(self, readings: np.ndarray) -> list[Any]:
        """As a table has them: blank where nothing was read, added or changed."""
        return [
            [46000.0 + day for day in self.days],
            [float(one) if read else None for one, read in zip(readings, self.read)],
            [float(one) or None for one in self.additions], [float(one) or None for one in self.changed],
            [float(one) for one in self.incoming],
        ]


tanks = st.builds(Tank, st.integers(0, 10**6), st.floats(-1, 3), st.floats(20, 80))


@given(st.integers(0, 10**6), st.floats(-1, 3), st.floats(20, 80))
def test_exact_readings_give_the_rate_back(seed: int, rate: float, start: float) -> None:
    tank = Tank(seed, rate, start)
    assume(tank.level.min() >= 0)
    columns = tank.columns(tank.level)
    assert pailbook.uptake_rate(*columns) == pytest.approx(rate, abs=1e-8)
    assert pailbook.uptake_error(*columns) == pytest.approx(0, abs=1e-4)


@given(tanks, st.integers(0, 10**6), st.sampled_from((0.0, 1.0, 2.0, 5.0)))
def test_scattered_readings_give_the_least_squares(tank: Tank, seed: int, kit_resolution: float) -> None:
    """The level is linear in the start and the rate, so three true courses give numpy's design matrix."""
    readings = np.maximum(tank.level + np.random.default_rng(seed).normal(0, 2, tank.days.size), 0).round(1)
    assume(tank.read.sum() >= 4)

    def course(start: float, rate: float) -> np.ndarray:
        level, found = start, []
        for share, brought, added in zip(tank.changed, tank.incoming, tank.additions):
            found.append(level)
            level += share * (brought - level) + added - rate
        return np.array(found)[tank.read]

    brought = course(0, 0)
    design = np.column_stack([course(1, 0) - brought, course(0, 1) - brought])
    (_, rate), (squares,), *_ = np.linalg.lstsq(design, readings[tank.read] - brought, rcond=None)
    columns = tank.columns(readings)
    assert pailbook.uptake_rate(*columns) == pytest.approx(rate, abs=1e-6)
    freedom = int(tank.read.sum()) - 2
    spread = max(stats.t.ppf(0.975, freedom) * (squares / freedom) ** 0.5, 1.959964 * kit_resolution / 12**0.5)
    half_width = spread * np.linalg.inv(design.T @ design)[1, 1] ** 0.5
    assert pailbook.uptake_error(*columns, kit_resolution or None) == pytest.approx(half_width, rel=1e-5)


# How often the error holds ----------------------------------------------------------------------------


def test_students_quantile_is_that_of_scipy() -> None:
    """From 1 to 100 degrees of freedom and at large numbers of them, alone and as a column."""
    for share in (0.5, 0.6, 0.8, 0.9, 0.95, 0.99, 0.999):
        freedom = np.array([*range(1, 101), 365.0, 1000.0])
        expected = stats.t.ppf((1 + share) / 2, freedom)
        assert ops.student_quantile(share, freedom) == pytest.approx(expected, rel=1e-11)
        assert ops.student_quantile(share, 3) == pytest.approx(expected[2], rel=1e-11)


def covered(count: int, kit_resolution: float, error: float, confidence: float = 0.95, trials: int = 1500) -> float:
    """Share of tanks whose rate lies within UPTAKE_ERROR of the found one, read `count` times on uneven days.

    Each reading is wrong by a normal error, and then rounded to the resolution of the kit.
    """
    chance, hits = np.random.default_rng(count), 0
    for _ in range(trials):
        rate, start = chance.uniform(0.3, 1.5), chance.uniform(100, 140)
        days = np.cumsum(chance.integers(2, 5, count)).astype(float)
        readings = start - rate * days + chance.normal(0, error, count)
        if kit_resolution:
            readings = np.round(readings / kit_resolution) * kit_resolution
        series = [list(46000 + days), list(readings)]
        found = pailbook.uptake_rate(*series)
        allowed = pailbook.uptake_error(*series, kit_resolution=kit_resolution or None, confidence=confidence)
        hits += abs(found - rate) <= allowed
    return hits / trials


@pytest.mark.parametrize("count", first([3, 4, 5, 8, 15], 3))
@pytest.mark.parametrize("confidence", [0.8, 0.95])
def test_scattered_readings_stay_within_the_error_as_often_as_it_says(count: int, confidence: float) -> None:
    """Within four standard deviations of the simulation; the normal one would hold 70 % of 95 at three readings."""
    chance = 4 * math.sqrt(confidence * (1 - confidence) / 1500)
    assert covered(count, 0.0, 1.5, confidence) == pytest.approx(confidence, abs=chance)


@pytest.mark.parametrize("count", first([3, 5, 8]))
@pytest.mark.parametrize("error", [0.0, 1.0])
def test_with_the_kits_rounding_they_do_so_at_least(count: int, error: float) -> None:
    assert covered(count, kit_resolution=2.0, error=error) > 0.93


def test_two_readings_have_the_kits_resolution_alone() -> None:
    """95 % of a reading's rounding, twice, over the days between; two readings do not show how far they scatter."""
    for day, resolution in ((2, 1.0), (2, 2.0), (2, 5.0), (7, 2.0)):
        series = [[46000.0, 46000.0 + day], [14.0, 11.0]]
        expected = 1.959964 * resolution / math.sqrt(12) * math.sqrt(2) / day
        assert pailbook.uptake_error(*series, kit_resolution=resolution) == pytest.approx(expected, rel=1e-6)
        assert pailbook.uptake_error(*series) == 0
    assert covered(2, kit_resolution=2.0, error=0.0) > 0.93
    assert covered(2, kit_resolution=2.0, error=1.5) < 0.8, "as the help says: it may well be more"
