"""Calls over ranges: arrays of the same shape, in which one bad cell spoils only itself."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pytest

import pailbook.functions as _fills_the_catalogue  # noqa: F401
from pailbook.function import CATALOGUE
from pailbook.hosts.call import call, spread
from pailbook.outcomes import (
    DIV0,
    NA,
    NUM,
    VALUE,
    ErrorInput,
    Outcome,
)

AMMONIA, CRITERION = CATALOGUE["AMMONIA_FRACTION"], CATALOGUE["AMMONIA_CRITERION"]


def _values(rows: Sequence[Sequence[Any]]) -> list[list[Any]]:
    return [[value.code if isinstance(value, Outcome) else value for value in row] for row in rows]


def _fraction(ph: float, temperature: float) -> float:
    value = call(AMMONIA, [ph, temperature])
    assert isinstance(value, float)
    return value


def test_single_values_give_one_cell() -> None:
    assert spread(AMMONIA, [8.0, 25.0]) == [[_fraction(8, 25)]]
    assert _values(spread(AMMONIA, [])) == [[NA]]


def test_a_range_gives_an_array_of_its_shape() -> None:
    ph = [[7.0, 7.5, 8.0], [8.5, 9.0, 9.5]]
    assert spread(AMMONIA, [ph, 25.0]) == [[_fraction(one, 25) for one in row] for row in ph]
    assert spread(AMMONIA, [tuple(map(tuple, ph)), 25.0]) == spread(AMMONIA, [ph, 25.0])


def test_a_row_and_a_column_span_a_table() -> None:
    row, column = [[20.0, 25.0, 30.0]], [[7.0], [8.0]]
    assert spread(AMMONIA, [column, row]) == [[_fraction(ph, t) for t in row[0]] for (ph,) in column]


def test_cells_beyond_a_range_are_not_available() -> None:
    outcomes = _values(spread(AMMONIA, [[[7.0, 8.0, 9.0]], [[20.0, 25.0]]]))
    assert outcomes == [[_fraction(7, 20), _fraction(8, 25), NA]]
    outcomes = _values(spread(AMMONIA, [[[7.0], [8.0], [9.0]], [[20.0], [25.0]]]))
    assert outcomes == [[_fraction(7, 20)], [_fraction(8, 25)], [NA]]
    outcomes = _values(spread(AMMONIA, [[[7.0, 8.0], [7.5, 8.5], [9.0, 9.5]], [[20.0, 25.0], [21.0, 26.0]]]))
    assert outcomes[2] == [NA, NA]


def test_one_bad_cell_spoils_only_itself() -> None:
    ph = [[7.0], [None], ["x"], [70.0], [""], [ErrorInput(DIV0)], [True], [8.0]]
    assert _values(spread(AMMONIA, [ph, 25.0])) == [
        [_fraction(7, 25)], [NA], [VALUE], [NUM], [NA], [DIV0], [VALUE], [_fraction(8, 25)],
    ]


def test_ranges_may_hold_options_units_and_blanks() -> None:
    rows = spread(CRITERION, [7.0, [[20.0], [20.0], [68.0]], [["acute"], ["chronic"], ["acute"]], None,
                              [[None], ["metric"], ["us"]]])
    acute, chronic = call(CRITERION, [7.0, 20.0, "acute"]), call(CRITERION, [7.0, 20.0, "chronic"])
    assert rows == [[acute], [chronic], [pytest.approx(acute, rel=1e-12)]]
