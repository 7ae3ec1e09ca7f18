"""The outcome policy in Excel: what each kind of input gives in each argument of each function, in both forms."""

from __future__ import annotations

import datetime
from typing import Any

import pytest

from inputs import with_argument
from pailbook.function import CATALOGUE, Argument, WorksheetFunction
from pailbook.hosts.call import call
from pailbook.outcomes import NA, VALUE, ErrorInput, Outcome
from xlwings_bridge import FORMS, called, handed_over

MAY_DAY = datetime.datetime(2026, 5, 1)
SERIAL = 46143.0  # 1 May 2026 as spreadsheets count days: DATE(2026,5,1)
INPUTS: dict[str, Any] = {
    "blank": None, "empty text": "", "text": "nonsense", "number as text": "7.5", "true": True, "date": MAY_DAY,
    "error": ErrorInput("#DIV/0!"), "missing value": ErrorInput("#N/A"),
}


def expected(function: WorksheetFunction, argument: Argument, value: Any) -> Any:
    """What the cell shows, by the policy's own words; a date is its number, TRUE is TRUE or FALSE's business alone."""
    if isinstance(value, ErrorInput):
        return value.code
    if value is None or value == "":
        return NA if argument.required else shown(function, argument, None)
    if isinstance(value, str) or (value is True and not argument.quantity.flag and not argument.quantity.series):
        return VALUE
    if value is MAY_DAY and argument.quantity.choices and not argument.quantity.takes_number:
        return VALUE
    return shown(function, argument, SERIAL if value is MAY_DAY else value)


def shown(function: WorksheetFunction, argument: Argument, value: Any) -> Any:
    try:
        return call(function, with_argument(function, argument.name, value))
    except Outcome as reason:
        return reason.code


@pytest.mark.parametrize("form", FORMS)
def test_each_kind_of_input_in_each_argument(form: str) -> None:
    calls, wanted, names = [], [], []
    for function in CATALOGUE.values():
        for argument in function.cell_arguments:
            at = [a.name for a in function.cell_arguments].index(argument.name)
            for kind, value in INPUTS.items():
                if argument.quantity.series and value is True:
                    continue
                values = with_argument(function, argument.name, value)
                if argument.name == "units":
                    values[at] = value
                values = [[list(v)] if isinstance(v, list) else v for v in values]
                single = [handed_over(v, form) for v in values]
                cell = [handed_over([[v]] if i == at else v, form) for i, v in enumerate(values)]
                for how, given in (("value", single), ("cell", cell)):
                    calls.append((form, function.name, given))
                    wanted.append(expected(function, argument, value))
                    names.append(f"{function.name} {argument.name} {kind} as a {how}")
    wrong = [f"{name}: {found!r}, not {want!r}" for name, found, want in zip(names, called(calls), wanted, strict=True)
             if not (found == want or (isinstance(want, float) and found == pytest.approx(want, rel=1e-12)))]
    assert not wrong, f"{len(wrong)} of {len(wanted)}:\n" + "\n".join(wrong[:40])


@pytest.mark.parametrize("form", FORMS)
def test_one_bad_cell_of_a_range_spoils_itself_alone(form: str) -> None:
    calls, wanted, names = [], [], []
    for function in CATALOGUE.values():
        for at, argument in enumerate(function.arguments):
            if argument.quantity.series:
                continue
            good = with_argument(function, argument.name, dict(zip(
                (a.name for a in function.arguments), function.example)).get(argument.name))
            column = [[good[at]], *([value] for value in INPUTS.values()), [good[at]]]
            values = [[list(v)] if isinstance(v, list) else v for v in good]
            values[at] = column
            calls.append((form, function.name, [handed_over(v, form) for v in values]))
            baseline = shown(function, argument, good[at])
            wanted.append([baseline, *(expected(function, argument, v) for v in INPUTS.values()), baseline])
            names.append(f"{function.name} {argument.name}")
    for name, found, want in zip(names, called(calls), wanted, strict=True):
        flat = [one[0] if isinstance(one, list) else one for one in found]
        assert flat == [one if isinstance(one, str) else pytest.approx(one, rel=1e-12) for one in want], name
