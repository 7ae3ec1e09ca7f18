"""Every check value through the functions as Excel calls them, in both forms, in single cells and in ranges."""

from __future__ import annotations

from typing import Any

import pytest

import hosts
from hosts import published
from inputs import agrees
from pailbook.function import CATALOGUE
from test_published import is_printed, with_other_units
from xlwings_bridge import FORMS, called, handed_over, left_out


@pytest.mark.parametrize("form", FORMS)
def test_every_check_value_in_single_cells(form: str) -> None:
    rows = with_other_units(published())
    answers = called([(form, row.function.name, [left_out(handed_over(v, form), form) for v in row.values])
                      for row in rows])
    wrong = [f"{row}: {answer}" for row, answer in zip(rows, answers, strict=True)
             if not (agrees(answer, hosts.in_python(row)) and is_printed(answer, row))]
    assert not wrong, "\n".join(wrong)


@pytest.mark.parametrize("form", FORMS)
def test_every_check_value_in_ranges(form: str) -> None:
    """The rows of a function one below the other, each argument a range of one column; what is left out is blank."""
    calls, expected = [], []
    for function in CATALOGUE.values():
        rows = hosts.rows_of(function)
        if len(rows) < 2 or any(argument.quantity.series for argument in function.arguments):
            continue  # those that take ranges whole have tests of their own
        columns: list[Any] = [[[row.values[i]] for row in rows] for i in range(len(function.cell_arguments))]
        calls.append((form, function.name, [handed_over(column, form) for column in columns]))
        expected.append(rows)
    for answer, rows in zip(called(calls), expected, strict=True):
        found = [one[0] if isinstance(one, list) else one for one in answer]
        assert len(found) == len(rows)
        for row, value in zip(rows, found):
            assert agrees(value, hosts.in_python(row)), f"{row}: {value}"
