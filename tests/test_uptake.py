"""Uptake from series of readings against a tank simulated day by day, numpy's least squares, and chance."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

import pailbook


class Tank:
    """A tank's true course: so much used a day, doses and changes at the end of a day."""

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
def test_scattered_readings_give_the_least_squares(tank: Tank, seed: int, kit_step: float) -> None:
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
    spread = max((squares / (tank.read.sum() - 2)) ** 0.5, kit_step / 12**0.5)
    half_width = 1.959964 * spread * np.linalg.inv(design.T @ design)[1, 1] ** 0.5
    assert pailbook.uptake_error(*columns, kit_step or None) == pytest.approx(half_width, rel=1e-5)


def covered(count: int, kit_step: float, error: float) -> float:
    """Share of tanks whose rate lies within UPTAKE_ERROR of the found one, read `count` times, three days apart."""
    chance, hits, trials = np.random.default_rng(count), 0, 600
    for _ in range(trials):
        rate, start = chance.uniform(0.3, 1.5), chance.uniform(40, 60)
        days = np.arange(count) * 3.0
        true = start - rate * days + chance.normal(0, error, count)
        readings = np.round(true / kit_step) * kit_step
        series = [list(46000 + days), list(readings)]
        found, allowed = pailbook.uptake_rate(*series), pailbook.uptake_error(*series, kit_step=kit_step)
        hits += abs(found - rate) <= allowed
    return hits / trials


@pytest.mark.parametrize("count", [3, 5, 8])
def test_the_kits_rounding_stays_within_the_error_as_often_as_it_says(count: int) -> None:
    assert covered(count, kit_step=2.0, error=0.0) > 0.93
