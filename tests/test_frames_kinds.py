"""Columns of every kind: numbers, options, flags, missing readings; columns together; single values in Python."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pandas as pd
import pytest

import pailbook
import pailbook.functions as _fills_the_catalogue  # noqa: F401
from pailbook.function import CATALOGUE
from pailbook.hosts import frames
from pailbook.hosts.call import call
from pailbook.outcomes import MissingInput, OutOfLimits, WrongKind
from pailbook.quantities import METRIC


@pytest.mark.parametrize("column", [
    np.array([7, 8]), np.array([7, 8], dtype=np.int8), np.array([7, 8], dtype=np.float32), np.array([7, 8], dtype="u2"),
    np.array([7.0, 8.0], dtype=object), np.array([[7.0], [8.0]]), np.array([7.0, 0.0, 8.0])[::2],
    pd.Series([7, 8]), pd.Series([7, 8], dtype="Int64"), pd.Series([7, 8], dtype="Float32"),
    pd.Series([7, 8], dtype=object), pd.Series([7.0, 8.0], dtype="category"), pd.Index([7.0, 8.0]),
])
def test_columns_of_any_numbers(column: Any) -> None:
    expected = [call(CATALOGUE["AMMONIA_FRACTION"], [ph, 25.0]) for ph in (7.0, 8.0)]
    result = pailbook.ammonia_fraction(column, 25.0)
    assert result.shape == column.shape
    assert np.asarray(result).ravel().tolist() == pytest.approx(expected, rel=1e-14)


@pytest.mark.parametrize("column", [
    pd.Series([7, None, 8], dtype="Int64"), pd.Series([7, None, 8], dtype="Float64"), pd.Series([7, pd.NA, 8]),
    pd.Series([7, None, 8], dtype=object), pd.Series([7.0, "", 8.0]), np.array([7.0, None, 8.0], dtype=object),
    np.ma.MaskedArray([7.0, 7.5, 8.0], mask=[False, True, False]), pd.Series([7.0, pd.NaT, 8.0], dtype=object),
])
def test_missing_readings_of_any_kind(column: Any) -> None:
    result = np.asarray(pailbook.ammonia_fraction(column, 25.0))
    assert np.isnan(result).tolist() == [False, True, False]


def test_empty_columns() -> None:
    assert pailbook.ammonia_fraction(np.array([]), 25.0).shape == (0,)
    assert pailbook.ammonia_fraction(pd.Series([], dtype=float), 25.0).empty
    assert pailbook.ammonia_criterion(7.0, 20.0, np.array([], dtype=object)).shape == (0,)
    assert pailbook.mean_mass(4.2, np.array([], dtype=int)).shape == (0,)


def test_all_missing() -> None:
    assert np.isnan(pailbook.ammonia_fraction(np.full(3, math.nan), 25.0)).all()


@pytest.mark.parametrize(("column", "what"), [
    (pd.Series(["7", "8"]), "ph is '7' at position 0; expected a number from 4 to 11"),
    (np.array([7.0, "n/a"], dtype=object), "ph is 'n/a' at position 1; expected a number"),
    (np.array([7.0, True], dtype=object), "ph is True at position 1; expected a number"),
    (np.array([True, False]), "ph is True at position 0; expected a number"),
    (np.array([7 + 1j]), r"ph is \(7\+1j\) at position 0; expected a number"),
    (pd.to_datetime(pd.Series(["2026-05-01"])), "ph is Timestamp.* at position 0; expected a number"),
    (np.array(["2026-05-01"], dtype="M8[D]"), "ph is .* at position 0; expected a number"),
    (pd.Series(pd.to_timedelta(["7 days"])), "ph is .* at position 0; expected a number"),
])
def test_columns_of_the_wrong_kind(column: Any, what: str) -> None:
    with pytest.raises(WrongKind, match=f"^AMMONIA_FRACTION: {what}"):
        pailbook.ammonia_fraction(column, 25.0)


def test_columns_of_options() -> None:
    criterion = CATALOGUE["AMMONIA_CRITERION"]
    expected = [call(criterion, [7.0, 20.0, exposure]) for exposure in ("acute", "chronic")]
    for column in (pd.Series(["Acute", "chronic", None]), pd.Series(["acute", "CHRONIC", ""], dtype="category"),
                   np.array(["acute", "chronic", None], dtype=object), pd.Series(["acute", "chronic", pd.NA])):
        result = np.asarray(pailbook.ammonia_criterion(7.0, 20.0, column)).tolist()
        assert result == pytest.approx([*expected, math.nan], nan_ok=True)
    assert pailbook.ammonia_criterion(7.0, 20.0, np.array(["acute", "chronic"])).tolist() == pytest.approx(expected)
    with pytest.raises(WrongKind, match="exposure is 'short' at position 1; expected \"acute\" or \"chronic\""):
        pailbook.ammonia_criterion(7.0, 20.0, pd.Series(["acute", "short"]))
    with pytest.raises(WrongKind, match=r"exposure is 1.0 at position 0; expected"):
        pailbook.ammonia_criterion(7.0, 20.0, np.array([1.0]))


def test_columns_of_flags() -> None:
    expected = [call(CATALOGUE["AMMONIA_CRITERION"], [7.0, 10.0, "acute", flag]) for flag in (True, False)]
    assert expected[0] != expected[1]
    for column in (np.array([True, False]), np.array([1, 0]), pd.Series([True, False], dtype="boolean"),
                   pd.Series([1.0, 0.0]), pd.Series([True, False], dtype=object)):
        result = np.asarray(pailbook.ammonia_criterion(7.0, 10.0, "acute", column)).tolist()
        assert result == pytest.approx(expected)
    with pytest.raises(WrongKind, match=r"salmonids is 2.0 at position 1; expected TRUE or FALSE"):
        pailbook.ammonia_criterion(7.0, 10.0, "acute", np.array([1.0, 2.0]))


def test_columns_of_options_beside_numbers() -> None:
    transfer = CATALOGUE["AIR_TRANSFER"]
    stones = ["fine", 0.02, "coarse", 1.0]
    expected = [call(transfer, [2.0, 30.0, 24.0, 5.0, None, stone]) for stone in stones]
    result = pailbook.air_transfer(2.0, 30.0, 24.0, 5.0, stone=np.array([*stones, None], dtype=object))
    assert result.tolist() == pytest.approx([*expected, math.nan], nan_ok=True)
    with pytest.raises(OutOfLimits, match=r"stone is 1.5 at position 1; expected"):
        pailbook.air_transfer(2.0, 30.0, 24.0, 5.0, stone=np.array(["fine", 1.5], dtype=object))
    with pytest.raises(OutOfLimits, match="stone is 0 at position 0; expected"):
        pailbook.air_transfer(2.0, 30.0, 24.0, 5.0, stone=np.array([0.0, 0.5]))


def test_products_beside_label_grades() -> None:
    dose = CATALOGUE["NUTRIENT_DOSE"]
    products = ["KCl", "15-5-30", "potassium sulfate", "NH4NO3"]  # the last brings ammonia and is refused
    expected = [call(dose, [product, "K", 100.0, 0.0, 10.0]) for product in products[:3]]
    result = pailbook.nutrient_dose(pd.Series(products), "K", 100.0, 0.0, 10.0).tolist()
    assert result == pytest.approx([*expected, math.nan], nan_ok=True)
    nutrients = pd.Series(["K", "Cl", "N"])
    result = pailbook.nutrient_dose("KCl", nutrients, 100.0, 0.0, 10.0).tolist()
    expected = [call(dose, ["KCl", nutrient, 100.0, 0.0, 10.0]) for nutrient in ("K", "Cl")]
    assert result == pytest.approx([*expected, math.nan], nan_ok=True)


def test_a_result_that_is_converted_beside_one_option_alone() -> None:
    limits = pailbook.species_limit(
        "tilapia", np.array(["temperature", "oxygen", "temperature"]), np.array(["feed low", "watch low", "best"]), "us"
    )
    # Tilapia, because its limits are published in °F: 63 °F and 85 to 88 °F, SRAC Publication 283. 5 mg/L: common
    # practice (no published source).
    assert limits.tolist() == pytest.approx([63.0, 5.0, 86.5], abs=0.51)


# Columns together --------------------------------------------------------------------------------------


def test_columns_of_different_length() -> None:
    message = "AMMONIA_FRACTION: columns must be of equal length, but ph has 2 and temperature has 3 values"
    with pytest.raises(WrongKind, match=message):
        pailbook.ammonia_fraction(np.array([7.0, 8.0]), np.array([20.0, 21.0, 22.0]))
    with pytest.raises(WrongKind, match="temperature has 3 and ph has 1 values"):
        pailbook.ammonia_fraction(np.array([7.0]), pd.Series([20.0, 21.0, 22.0]))
    with pytest.raises(WrongKind, match="ph has 2 x 1 and temperature has 2 values"):
        pailbook.ammonia_fraction(np.array([[7.0], [8.0]]), np.array([20.0, 21.0]))


def test_columns_with_different_indexes() -> None:
    ph, temperature = pd.Series([7.0, 8.0], index=[1, 2]), pd.Series([20.0, 21.0], index=[2, 1])
    with pytest.raises(WrongKind, match="the columns ph and temperature have different indexes; align them"):
        pailbook.ammonia_fraction(ph, temperature)
    paired = pailbook.ammonia_fraction(ph, temperature.to_numpy())
    assert paired.index.equals(ph.index)
    assert paired[2] == pytest.approx(call(CATALOGUE["AMMONIA_FRACTION"], [8.0, 21.0]), rel=1e-14)


def test_long_columns_are_calculated_in_blocks() -> None:
    rows = 2 * frames.BLOCK + 17
    temperature = np.linspace(1.0, 39.0, rows)
    result = pailbook.ammonia_fraction(8.0, temperature)
    for i in (0, frames.BLOCK - 1, frames.BLOCK, 2 * frames.BLOCK, rows - 1):
        assert result[i] == pytest.approx(call(CATALOGUE["AMMONIA_FRACTION"], [8.0, temperature[i]]), rel=1e-14)
    assert (np.diff(result) > 0).all()
    temperature[frames.BLOCK + 5] = 41.0
    with pytest.raises(OutOfLimits, match=f"temperature is 41 °C at position {frames.BLOCK + 5}; "):
        pailbook.ammonia_fraction(8.0, temperature)


def test_inputs_are_left_as_they_were() -> None:
    ph, temperature = pd.Series([7.0, math.nan]), np.array([70.0, 80.0])
    pailbook.ammonia_fraction(ph, temperature, units="us")
    assert ph.tolist() == pytest.approx([7.0, math.nan], nan_ok=True)
    assert temperature.tolist() == [70.0, 80.0]


# Single values in Python -------------------------------------------------------------------------------


def test_single_values_are_checked_as_a_cell_is() -> None:
    expected = call(CATALOGUE["AMMONIA_FRACTION"], [8.0, 25.0])
    for ph in (8, 8.0, np.float32(8), np.int64(8), np.array(8.0)):
        assert pailbook.ammonia_fraction(ph, 25.0) == expected
        assert type(pailbook.ammonia_fraction(ph, 25.0)) is float
    assert pailbook.ammonia_criterion(7.0, 20.0, np.str_("acute"), np.True_) == call(
        CATALOGUE["AMMONIA_CRITERION"], [7.0, 20.0, "acute", True])
    for blank in (None, "", pd.NA, pd.NaT):
        with pytest.raises(MissingInput, match="AMMONIA_FRACTION: temperature is missing"):
            pailbook.ammonia_fraction(8.0, blank)
        with pytest.raises(MissingInput, match="AMMONIA_FRACTION: temperature is missing"):
            pailbook.ammonia_fraction(np.array([8.0]), blank)
    with pytest.raises(MissingInput, match="expected a number above 32 and up to 104 °F"):
        pailbook.ammonia_fraction(np.array([8.0]), units="us")
    with pytest.raises(OutOfLimits, match="temperature is 99 °C; expected"):
        pailbook.ammonia_fraction(np.array([8.0]), 99.0)
    with pytest.raises(WrongKind, match="temperature is True; expected"):
        pailbook.ammonia_fraction(np.array([8.0]), np.True_)
    with pytest.raises(WrongKind, match=r"ph is \[7.0, 8.0\]; expected"):
        pailbook.ammonia_fraction([7.0, 8.0], 25.0)


def test_arguments_by_name() -> None:
    expected = call(CATALOGUE["AMMONIA_FRACTION"], [8.0, 77.0, None, "us"])
    assert pailbook.ammonia_fraction(8.0, units="us", temperature=77.0) == expected
    for wrong in ({"temp": 25.0}, {"ph": 7.2, "temperature": 25.0}):
        with pytest.raises(WrongKind, match="is not an argument, or is given twice; it takes: ph, temperature, "):
            pailbook.ammonia_fraction(8.0, **wrong)
    with pytest.raises(WrongKind, match="takes at most 4 arguments, not 5"):
        pailbook.ammonia_fraction(8.0, 25.0, None, METRIC, 1.0)


def test_units_of_columns() -> None:
    ph = np.array([7.0, 8.0])
    expected = pailbook.ammonia_fraction(ph, 25.0).tolist()
    assert pailbook.ammonia_fraction(ph, 77.0, units="US").tolist() == pytest.approx(expected, rel=1e-12)
    assert pailbook.ammonia_fraction(ph, 25.0, units="").tolist() == expected
    with pytest.raises(WrongKind, match="units is 'imperial'; expected \"metric\" or \"us\""):
        pailbook.ammonia_fraction(ph, 25.0, units="imperial")
    with pytest.raises(WrongKind, match="is not an argument"):
        pailbook.hardness_convert(ph, "dH", "CaCO3", units="us")


def test_functions_carry_their_name_and_help() -> None:
    assert pailbook.ammonia_fraction.__name__ == "ammonia_fraction"
    assert "un-ionised" in pailbook.ammonia_fraction.__doc__
