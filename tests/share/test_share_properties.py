"""Random formulas that nest our functions and a sheet's own keep their values when they are made plain."""

from __future__ import annotations

import tempfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from hypothesis.strategies import SearchStrategy

import calc
from copies import calls_in, in_office, off, stored
from test_share_formulas import shared, values_of, workbook
from thorough import examples

CELLS = st.sampled_from(["A1", "$A2", "A$3", "$B$4", "B5", "C1", "Tests!C2", "A5", "D5", "morning", "'Tests'!$B$1"])
NUMBERS = st.sampled_from(["7", "0.5", "12%", "-3", "1E+2", "25"])
RANGES = st.sampled_from(["A1:A5", "$B$1:$B$5", "Tests!C1:C6"])
UNITS = st.sampled_from(["", ',"metric"', ',"us"', ",F1", ",system_of_units"])
SLOW = [HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.filter_too_much]


def _between(low: float, high: float, x: str) -> str:
    return f"MAX({low},MIN({high},{x}))"


def _deeper(inner: SearchStrategy[str]) -> SearchStrategy[str]:
    ph, temperature = inner.map(lambda x: _between(5.5, 9, x)), inner.map(lambda x: _between(2, 38, x))
    free = st.one_of(ph, inner)  # which may lie outside the limits, or be an error
    return st.one_of(
        st.builds("({}{}{})".format, inner, st.sampled_from(["+", "-", "*", "/", "^"]), inner),
        st.builds("-{}".format, inner), st.builds("ROUND({},3)".format, inner), st.builds("({})%".format, inner),
        st.builds("IF({}{}{},{},{})".format, inner, st.sampled_from(["<", ">=", "=", "<>"]), inner, inner, inner),
        st.builds("IFERROR({},{})".format, inner, inner), st.builds("MAX({},{})".format, inner, RANGES),
        st.builds("INDEX({},{})".format, RANGES, st.sampled_from(["2", "MATCH(MAX(C1:C6),C1:C6,0)"])),
        st.builds("AMMONIA_FRACTION({},{}{})".format, free, temperature, st.sampled_from(["", ",", ",D2", ",0"])),
        st.builds("AMMONIA_FRACTION({},{},{}{})".format, ph, temperature, st.sampled_from(["", "D1", "D2"]), UNITS),
        st.builds("oxygen_saturation({})".format, temperature), st.builds("Carbon_Dioxide({},80,{})".format, ph, free),
        st.builds("PH_AERATED({},{})".format, inner.map(lambda x: _between(5, 300, x)), temperature),
        st.builds('NUTRIENT_CONVERT({},"N",{})'.format, inner, st.sampled_from(['"NO3"', "E1", "E3"])),
        st.builds("SUMPRODUCT(AMMONIA_FRACTION(A1:A5,{})*C1:C5)".format, st.one_of(temperature, st.just("B1:B5"))),
        st.builds("SUM(_xll.AMMONIA_FRACTION($A$1:$A$3,{}))".format, st.sampled_from(["{20;25;30}", "B1:B3", "25"])),
        st.builds('PH_AFTER_DOSE("potassium bicarbonate",5,1000,{},70,{})'.format, ph, temperature),
    )


FORMULAS = st.recursive(st.one_of(CELLS, NUMBERS), _deeper, max_leaves=6).filter(lambda text: "(" in text)


@settings(max_examples=examples(12), deadline=None, suppress_health_check=SLOW)
@given(st.lists(FORMULAS, min_size=15, max_size=25))
def test_random_formulas_keep_their_values(formulas: list[str]) -> None:
    with tempfile.TemporaryDirectory() as folder:
        original = workbook(Path(folder) / "own.xlsx", dict(enumerate(formulas)))
        copy, done = shared(original)
        assert not done.done.found.frozen
        assert not calls_in(copy)
        assert off(values_of(original), stored(copy)) == []


@pytest.mark.libreoffice
@settings(max_examples=2, deadline=None, suppress_health_check=SLOW, phases=[Phase.generate],
          derandomize=True)
@given(st.lists(FORMULAS, min_size=60, max_size=80))
def test_another_program_computes_the_same(formulas: list[str]) -> None:
    calc.needed()
    with tempfile.TemporaryDirectory() as folder:
        copy, _ = shared(workbook(Path(folder) / "own.xlsx", dict(enumerate(formulas))))
        assert off(values_of(copy), in_office(copy)) == []
