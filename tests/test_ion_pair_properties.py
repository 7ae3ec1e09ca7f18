"""Doses where calcium and magnesium are given: the balance, there and back, and nothing changed where both are none."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

import pailbook
from balance import BRINGS, BRINGS_CALCIUM, State
from pailbook.functions.chemicals import molar_mass
from pailbook.outcomes import NotPossible

BASES, ACIDS = ("KOH", "Ca(OH)2", "K2CO3", "KHCO3"), ("HCl", "H2SO4", "H3PO4")
chemicals = st.sampled_from((*BASES, *ACIDS))
timings = st.sampled_from(("at once", "settled"))
small = st.floats(-5.5, -3.5).map(lambda exponent: float(10**exponent))  # mol/L: 0.2 to 40 g/m³
hard = st.builds(
    State, st.floats(6, 8), st.floats(20, 250), st.floats(5, 35), st.floats(0, 40), st.floats(300, 1500),
    st.floats(1, 150), st.floats(1, 50),
).filter(lambda state: state.carbonate > 1e-5)


def arguments(state: State, chemical: str, timing: str, metals: bool = True) -> dict[str, Any]:
    return {
        "alkalinity": state.alkalinity, "temperature": state.temperature, "phosphate": state.phosphate or None,
        "strength": 100 if chemical in ACIDS else None, "timing": timing, "conductivity": state.conductivity,
        **({"calcium": state.calcium, "magnesium": state.magnesium} if metals else {}),
    }


def after(state: State, chemical: str, mol: float, timing: str, **changed: Any) -> float:
    grams = mol * 1000 * molar_mass(chemical)
    given_ = {**arguments(state, chemical, timing), **changed}
    return float(pailbook.ph_after_dose(chemical=chemical, amount=grams, volume=1000, ph=state.ph, **given_))


def dosed(state: State, chemical: str, mol: float, timing: str) -> State:
    """The water after the dose; outside of usual water: not tried."""
    eq, _, po4 = (part * mol for part in BRINGS[chemical])
    alkalinity, phosphate = state.alkalinity + eq * 50043, state.phosphate + po4 * 94970
    assume(alkalinity > 10)
    try:
        ph = after(state, chemical, mol, timing)
    except NotPossible:
        assume(False)
    assume(5.5 < ph < 8.4)
    calcium = state.calcium + BRINGS_CALCIUM.get(chemical, 0) * mol * 40078
    return State(ph, alkalinity, state.temperature, phosphate, state.conductivity, calcium, state.magnesium)


@settings(max_examples=150)
@given(hard, chemicals, small, timings)
def test_ph_after_a_dose_is_the_balance(state: State, chemical: str, mol: float, timing: str) -> None:
    """Of calcium and magnesium that each have a free share of their own, where the function has one for both."""
    expected = state.after(BRINGS[chemical], mol, timing, BRINGS_CALCIUM.get(chemical, 0))
    assume(5.5 < expected < 8.5)
    assert after(state, chemical, mol, timing) == pytest.approx(expected, abs=0.003)


@settings(max_examples=100)
@given(hard, chemicals, st.floats(0.05, 0.3), timings)
def test_a_dose_hits_its_target(state: State, chemical: str, change: float, timing: str) -> None:
    to = state.ph + (change if chemical in BASES else -change)
    try:
        grams = float(pailbook.ph_dose(
            chemical=chemical, volume=1000, ph_from=state.ph, ph_to=to, **arguments(state, chemical, timing)))
    except NotPossible:
        assert chemical == "KHCO3"
        return
    assume(grams < 300)
    assert after(state, chemical, grams / 1000 / molar_mass(chemical), timing) == pytest.approx(to, abs=0.002)


@given(hard, st.sampled_from((("KOH", "HCl"), ("K2CO3", "H2SO4"))), small)
def test_a_dose_and_its_reverse_return_to_the_start(state: State, pair: tuple[str, str], mol: float) -> None:
    """Settled, where what carbonate a dose brings is gone again."""
    between = dosed(state, pair[0], mol, "settled")
    assert dosed(between, pair[1], mol, "settled").ph == pytest.approx(state.ph, abs=0.002)


@given(hard, chemicals, small, st.floats(0.1, 0.9))
def test_two_settled_doses_end_where_one_does(state: State, chemical: str, mol: float, share: float) -> None:
    whole = dosed(state, chemical, mol, "settled")
    half_way = dosed(state, chemical, share * mol, "settled")
    assert dosed(half_way, chemical, (1 - share) * mol, "settled").ph == pytest.approx(whole.ph, abs=0.002)


@given(hard, chemicals, small, timings)
def test_none_of_either_is_as_if_left_out(state: State, chemical: str, mol: float, timing: str) -> None:
    try:
        without = after(state, chemical, mol, timing, calcium=None, magnesium=None)
    except NotPossible:
        assume(False)
    assert after(state, chemical, mol, timing, calcium=0, magnesium=0) == without
    next_to_none = after(state, chemical, mol, timing, calcium=1e-9, magnesium=0)
    # Once any is given lime's own counts too, and pairs the more carbonate the higher the pH.
    own = (0.1 if without < 9 else 0.25) if chemical == "Ca(OH)2" else 1e-6
    assert next_to_none == pytest.approx(without, abs=own)


@given(hard)
def test_metals_that_are_given_leave_less_carbon_dioxide(state: State) -> None:
    """What they hold is alkalinity too, so that less of it is left for what CO2 stands beside."""
    basic = (state.ph, state.alkalinity, state.temperature, state.phosphate or None, state.conductivity)
    found = pailbook.carbon_dioxide(*basic, state.calcium, state.magnesium)
    assert found == pytest.approx(state.co2 * 44009, rel=0.01)
    try:
        assert found < pailbook.carbon_dioxide(*basic)
    except NotPossible:
        assume(False)
