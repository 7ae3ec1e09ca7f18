"""What must hold of every dose: it hits its target, can be taken back, split, and is never silently wrong."""

from __future__ import annotations

import math
from functools import partial
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

import pailbook
from balance import BRINGS, MG_CACO3_PER_EQ, MG_PO4_PER_MOL, State
from pailbook.functions.chemicals import molar_mass
from pailbook.outcomes import NotPossible, OutOfLimits, WrongKind

BASES = ("KOH", "Ca(OH)2", "K2CO3", "KHCO3", "NaHCO3")
ACIDS = ("HCl", "H2SO4", "HNO3", "H3PO4")
BICARBONATES = ("KHCO3", "NaHCO3")
TIMINGS = ("at once", "settled")
timings = st.sampled_from(TIMINGS)


def logarithmic(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high).map(lambda exponent: float(10**exponent))


def states(
    low: float = 4, high: float = 11, conductivity: float = 4.3, alkalinity: tuple[float, float] = (0, 3),
    phosphate: float = 2.69,
) -> st.SearchStrategy[State]:
    """Waters within pH limits; conductivity, alkalinity and phosphate by the exponents of their largest values."""
    none = st.just(0.0)
    return st.builds(
        State, st.floats(low, high), logarithmic(*alkalinity), st.floats(0.1, 40),
        none | logarithmic(-2, phosphate), none | logarithmic(0, conductivity),
    ).filter(lambda state: state.carbonate > 0)


usual = states(5.5, 8.2, 3.3, (1, 2.4), 1.7)


def arguments(state: State, chemical: str, timing: str) -> dict[str, Any]:
    return {
        "alkalinity": state.alkalinity, "temperature": state.temperature, "phosphate": state.phosphate or None,
        "strength": 100 if chemical in ACIDS else None, "timing": timing, "conductivity": state.conductivity or None,
    }


def dose(state: State, chemical: str, to: float, timing: str, volume: float = 1000.0) -> float:
    return float(pailbook.ph_dose(
        chemical=chemical, volume=volume, ph_from=state.ph, ph_to=to, **arguments(state, chemical, timing)
    ))


def after(state: State, chemical: str, amount: float, timing: str, volume: float = 1000.0) -> float:
    return float(pailbook.ph_after_dose(
        chemical=chemical, amount=amount, volume=volume, ph=state.ph, **arguments(state, chemical, timing)
    ))


def dosed(state: State, chemical: str, amount: float, timing: str) -> State:
    """The water after the dose, as a grower knows it again; outside the limits of what can be entered: not tried."""
    strength = 100 if chemical in ACIDS else None
    alkalinity = state.alkalinity + pailbook.alkalinity_added(chemical, amount, 1000, strength)
    phosphate = state.phosphate + pailbook.nutrient_added(chemical, "PO4", amount, 1000, strength)
    assume(0.5 < alkalinity <= 1000 and phosphate <= 500)
    try:
        ph = after(state, chemical, amount, timing)
    except NotPossible:
        assume(False)
    return State(ph, alkalinity, state.temperature, phosphate, state.conductivity)


# Never silently wrong -----------------------------------------------------------------------------------


@settings(max_examples=300)
@given(states(), st.sampled_from((*BASES, *ACIDS)), logarithmic(-7, -1.5), timings)
def test_ph_after_a_dose_is_the_balance_or_a_refusal(state: State, chemical: str, mol: float, timing: str) -> None:
    expected = state.after(BRINGS[chemical], mol, timing)
    try:
        found = after(state, chemical, mol * 1000 * molar_mass(chemical), timing)
    except NotPossible:
        # It refuses what lies outside 4 to 11, and in water hardly found in life a move of more than 1.5 pH.
        assert not 4 <= expected <= 11 or abs(expected - state.ph) > 1.5
    else:
        assert found == pytest.approx(expected, abs=1e-6)
        assert 4 <= found <= 11


@settings(max_examples=200)
@given(usual, st.sampled_from((*BASES, *ACIDS)), logarithmic(-7, -2), timings)
def test_usual_water_is_refused_no_dose_within_three_ph(state: State, chemical: str, mol: float, timing: str) -> None:
    expected = state.after(BRINGS[chemical], mol, timing)
    assume(abs(expected - state.ph) < 3 and 4 < expected < 11)
    assert after(state, chemical, mol * 1000 * molar_mass(chemical), timing) == pytest.approx(expected, abs=1e-9)


@settings(max_examples=200)
@given(states(), st.sampled_from((*BASES, *ACIDS)), st.floats(4.001, 10.999), timings)
def test_a_dose_hits_its_target_or_is_refused(state: State, chemical: str, to: float, timing: str) -> None:
    try:
        grams = dose(state, chemical, to, timing)
    except NotPossible:
        return
    assert state.after(BRINGS[chemical], grams / 1e3 / molar_mass(chemical), timing) == pytest.approx(to, abs=1e-6)
    try:
        found = after(state, chemical, grams, timing)
    except (NotPossible, OutOfLimits):  # more than ten tonnes for a cubic metre
        assert abs(to - state.ph) > 1 or grams > 1e6
    else:
        assert found == pytest.approx(to, abs=1e-6)


@given(logarithmic(0, 3), st.floats(0.1, 40), st.just(0.0) | logarithmic(-2, 2.69), st.floats(100, 20000),
       st.just(0.0) | logarithmic(0, 4.3))
def test_aired_water_is_in_balance(
    alkalinity: float, temperature: float, phosphate: float, ppm: float, conductivity: float
) -> None:
    found = pailbook.ph_aerated(alkalinity, temperature, phosphate or None, ppm, conductivity or None)
    kelvin = temperature + 273.15
    # Weiss 1974, Mar. Chem. 2:203, fresh water, mol/(kg atm), from memory: another author, within 0.04 pH.
    henry = math.exp(-58.0931 + 90.5069 * 100 / kelvin + 22.2940 * math.log(kelvin / 100))
    state = State(7.0, alkalinity, temperature, phosphate, conductivity)
    expected = state.solve(alkalinity / MG_CACO3_PER_EQ, phosphate / MG_PO4_PER_MOL, None, henry * ppm * 1e-6)
    assert found == pytest.approx(expected, abs=0.04)


@given(states(), states(), logarithmic(-3, 3), logarithmic(-3, 3))
def test_mixed_water_is_in_balance(one: State, other: State, volume_1: float, volume_2: float) -> None:
    one = State(one.ph, one.alkalinity, one.temperature, one.phosphate, other.conductivity)
    assume(one.carbonate > 0)
    share = volume_1 / (volume_1 + volume_2)

    def mean(a: float, b: float) -> float:
        return share * a + (1 - share) * b

    mixture = State(7.0, 1.0, mean(one.temperature, other.temperature), 0.0, other.conductivity)
    expected = mixture.solve(
        mean(one.alkalinity, other.alkalinity) / MG_CACO3_PER_EQ, mean(one.phosphate, other.phosphate) / MG_PO4_PER_MOL,
        mean(one.carbonate, other.carbonate),
    )
    try:
        found = pailbook.ph_mix(
            volume_1, one.ph, one.alkalinity, one.temperature, volume_2, other.ph, other.alkalinity, other.temperature,
            one.phosphate or None, other.phosphate or None, other.conductivity or None,
        )
    except NotPossible:
        assert not 4 < expected < 11 or abs(expected - mean(one.ph, other.ph)) > 2
    else:
        assert found == pytest.approx(expected, abs=1e-6)


# There and back -----------------------------------------------------------------------------------------


@given(usual, st.sampled_from((("KOH", "HCl"), ("KOH", "HNO3"), ("Ca(OH)2", "H2SO4"))), logarithmic(-6, -3.3),
       st.booleans())
def test_a_dose_and_its_reverse_return_to_the_start(
    state: State, pair: tuple[str, str], mol: float, base_first: bool
) -> None:
    first, second = pair if base_first else reversed(pair)
    between = dosed(state, first, mol * 1000 * molar_mass(first), "at once")
    back = after(between, second, mol * 1000 * molar_mass(second), "at once")
    assert back == pytest.approx(state.ph, abs=1e-6)


@given(usual, st.sampled_from((*BASES, *ACIDS)), logarithmic(-6, -3.3), st.floats(0.05, 0.95))
def test_two_settled_doses_end_where_one_does(state: State, chemical: str, mol: float, share: float) -> None:
    amount = mol * 1000 * molar_mass(chemical)
    whole = dosed(state, chemical, amount, "settled")
    half_way = dosed(state, chemical, share * amount, "settled")
    assert after(half_way, chemical, (1 - share) * amount, "settled") == pytest.approx(whole.ph, abs=1e-6)


# Direction ----------------------------------------------------------------------------------------------


@given(states(4.1, 8.2), st.sampled_from((*BASES, *ACIDS)), logarithmic(-5, -3), timings)
def test_bases_raise_and_acids_lower_ph(state: State, chemical: str, mol: float, timing: str) -> None:
    """Bicarbonate at once pulls towards 8.3, and lower than that in warm or salty water."""
    if chemical in BICARBONATES:
        assume(state.ph < 8.0 and state.conductivity < 2000)
    try:
        found = after(state, chemical, mol * 1000 * molar_mass(chemical), timing)
    except NotPossible:
        assume(False)
    assert found > state.ph if chemical in BASES else found < state.ph


@given(states(4.1, 8.2), st.floats(4, 8.2), timings)
def test_an_acid_cannot_raise_ph_nor_a_base_lower_it(state: State, to: float, timing: str) -> None:
    assume(abs(to - state.ph) > 1e-6)
    for chemical in ACIDS if to > state.ph else ("KOH", "Ca(OH)2", "K2CO3"):
        with pytest.raises(NotPossible, match="cannot move the pH to that target") as refused:
            dose(state, chemical, to, timing)
        assert refused.value.code == "#NUM!"


def test_bicarbonate_turns_above_its_own_ph() -> None:
    state = State(9.0, 60, 25)
    assert after(state, "NaHCO3", 100, "at once") < 9.0 < after(state, "NaHCO3", 100, "settled")


@given(usual, st.sampled_from((*BASES, *ACIDS)), st.floats(0.05, 0.5))
def test_the_safe_dose_is_the_smaller_and_moves_ph_no_further(state: State, chemical: str, change: float) -> None:
    to = state.ph + (change if chemical in BASES else -change)
    try:
        doses = [dose(state, chemical, to, timing) for timing in (*TIMINGS, "safe")]
        default = pailbook.ph_dose(chemical, 1000, state.ph, to, **{**arguments(state, chemical, ""), "timing": None})
    except NotPossible:
        assume(False)
    assert doses[2] == default == min(doses)
    assume(chemical not in BICARBONATES or to < 8.0)
    for timing in TIMINGS:
        moved = state.after(BRINGS[chemical], doses[2] / 1e3 / molar_mass(chemical), timing) - state.ph
        assert abs(moved) <= change + 1e-9


# Refusals and nothing -----------------------------------------------------------------------------------


@given(states(), st.sampled_from((*BASES, *ACIDS)), timings)
def test_nothing_dosed_and_nothing_wanted(state: State, chemical: str, timing: str) -> None:
    assert after(state, chemical, 0, timing) == pytest.approx(state.ph, abs=1e-9)
    assert dose(state, chemical, state.ph, timing) == 0
    strength = 100 if chemical in ACIDS else None
    assert pailbook.alkalinity_added(chemical, 0, 1000, strength) == 0


@given(usual, st.sampled_from(BASES), logarithmic(-3, 8))
def test_a_dose_grows_with_the_volume(state: State, chemical: str, volume: float) -> None:
    whole = dose(state, chemical, state.ph + 0.2, "settled", volume)
    assert whole == pytest.approx(dose(state, chemical, state.ph + 0.2, "settled") * volume / 1000, rel=1e-12)


@given(usual, st.sampled_from(ACIDS), st.floats(0.001, 30))
def test_a_weak_acid_takes_more(state: State, chemical: str, strength: float) -> None:
    """mL of a solution, its density within the range that the tables have up to 30 %."""
    given_ = {**arguments(state, chemical, "at once"), "strength": strength}
    millilitres = pailbook.ph_dose(chemical, 1000, state.ph, state.ph - 0.2, **given_)
    pure = dose(state, chemical, state.ph - 0.2, "at once")
    assert 0.99 < pure / millilitres / (strength / 100) < 1.23
    assume(millilitres <= 1e7)
    back = pailbook.ph_after_dose(chemical, millilitres, 1000, state.ph, **given_)
    assert back == pytest.approx(state.ph - 0.2, abs=1e-6)


@given(usual, st.floats(0.05, 0.5))
def test_calcium_carbonate_answers_settled_and_below_its_limit_only(state: State, change: float) -> None:
    """Above pH 7.5 it dissolves too slowly (project's rule of thumb; common practice (no published source))."""
    to = state.ph + change
    if to > 7.5:
        for timing in ("settled", "safe"):
            with pytest.raises(NotPossible, match="dissolves too slowly"):
                dose(state, "CaCO3", to, timing)
        hydroxide = dose(state, "Ca(OH)2", to, "settled")
        with pytest.raises(NotPossible, match="dissolves too slowly"):
            after(state, "CaCO3", hydroxide / molar_mass("Ca(OH)2") * molar_mass("CaCO3"), "settled")
    else:
        settled = dose(state, "CaCO3", to, "settled")
        assert settled == dose(state, "calcium carbonate", to, "safe")
        assert after(state, "CaCO3", settled, "settled") == pytest.approx(to, abs=1e-6)
    for call in (partial(dose, state, "CaCO3", to, "at once"), partial(after, state, "CaCO3", 1.0, "at once")):
        with pytest.raises(NotPossible, match="dissolves too slowly"):
            call()


def test_refusals_say_what_is_wrong() -> None:
    with pytest.raises(WrongKind, match=r"chemical is 'lye'.*potassium hydroxide.*KOH.*nitric acid.*HNO3"):
        pailbook.ph_dose("lye", 1000, 6.4, 6.6, 20, 25)
    with pytest.raises(NotPossible, match="needs the strength printed on its label"):
        pailbook.ph_dose("HCl", 1000, 7.0, 6.8, 50, 25)
    with pytest.raises(NotPossible, match="phosphate and hydroxide alone give more alkalinity than was measured"):
        pailbook.ph_dose("KOH", 1000, 7.2, 7.4, 5, 25, 40)
    with pytest.raises(OutOfLimits, match="alkalinity is 0"):
        pailbook.ph_dose("KOH", 1000, 7.2, 7.4, 0, 25)
    with pytest.raises(NotPossible, match="pH leaves the range from 4 to 11"):
        pailbook.ph_after_dose("KOH", 1000, 1000, 7.0, 50, 25)
    with pytest.raises(NotPossible, match="pH leaves the range from 4 to 11"):
        pailbook.ph_after_dose("HCl", 1000, 1000, 7.0, 50, 25, strength=36)
