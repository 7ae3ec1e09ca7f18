"""Water changed, evaporated and topped up, and levels reached: by steps, by sums and by the ends of the range."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

import pailbook
from pailbook.outcomes import NotPossible

concentrations = st.floats(0, 500)
fractions = st.floats(0, 1)


@given(concentrations, fractions, concentrations, st.integers(1, 40))
def test_changes_in_a_row_are_one_call(value: float, fraction: float, incoming: float, times: int) -> None:
    step_by_step = value
    for _ in range(times):
        step_by_step = step_by_step * (1 - fraction) + incoming * fraction
    found = pailbook.water_change_result(value, fraction, incoming, times)
    assert found == pytest.approx(step_by_step, rel=1e-9, abs=1e-9)


@given(concentrations, st.floats(0, 200), st.floats(0, 200), concentrations, st.integers(1, 60))
def test_topping_up_is_what_small_steps_make(
    value: float, evaporation: float, drain: float, incoming: float, days: int
) -> None:
    """A thousand steps of the mass balance, by the midpoint rule."""
    volume, steps = 1000.0, 1000
    dt = days / steps
    level = value
    for _ in range(steps):
        middle = level + dt / 2 * (incoming * (evaporation + drain) - drain * level) / volume
        level += dt * (incoming * (evaporation + drain) - drain * middle) / volume
    found = pailbook.topup_result(value, volume, evaporation, drain, incoming, days)
    assert found == pytest.approx(level, rel=1e-4, abs=1e-4)


@given(concentrations, st.floats(0, 50), concentrations, st.floats(0, 365), st.floats(-15, -2))
def test_next_to_nothing_drained_is_nothing_drained(
    value: float, evaporation: float, incoming: float, days: float, exponent: float
) -> None:
    """Draining a litre in centuries must not lose digits: both ways meet as the drain goes to 0."""
    drain = 10.0**exponent
    none = pailbook.topup_result(value, 1000, evaporation, 0, incoming, days)
    found = pailbook.topup_result(value, 1000, evaporation, drain, incoming, days)
    most = drain * days / 1000 * (value + incoming * (evaporation * days / 1000 + 1))  # drained, and made up
    assert abs(found - none) <= most * 1.001 + 1e-9 * (1 + none)


@given(concentrations, concentrations, st.floats(0.01, 50))
def test_a_straight_fall_reaches_the_limit_then(now: float, limit: float, rate: float) -> None:
    days = pailbook.days_until(now, limit, rate)
    if now > limit:
        assert now - rate * days == pytest.approx(limit, rel=1e-9, abs=1e-9)
    else:
        assert days == 0


@pytest.mark.parametrize("rate", [0, -0.5])
def test_what_does_not_fall_never_gets_there(rate: float) -> None:
    with pytest.raises(NotPossible, match="the level is not falling"):
        pailbook.days_until(14, 6, rate)


@given(st.floats(0, 100), st.floats(-2, 5), st.floats(0, 2), st.floats(0, 10), st.floats(0.5, 30), st.floats(-1, 1))
def test_the_action_level_keeps_the_next_test_above_the_low_end(
    low: float, rate: float, error: float, kit_resolution: float, days: float, luck: float
) -> None:
    """With a reading just above it, the true level (half a resolution less at worst) is not below it by then."""
    level = pailbook.action_level(low, rate, error, kit_resolution, days)
    assume(rate + luck * error > 0)
    assert level - kit_resolution / 2 - (rate + luck * error) * days >= low - 1e-9
    assert pailbook.action_level(low, rate, error + 0.1, kit_resolution, days) >= level
