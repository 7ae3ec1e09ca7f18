"""Every function in real LibreOffice: check values, kinds of inputs, ranges, and the wizard.

The outcome of a kind of input follows the policy that stands in pailbook.outcomes; two facts of LibreOffice
(measured with 25.2) shape it: a single blank cell arrives as the number 0, and TRUE as the number 1.
"""

from __future__ import annotations

from typing import Any

import pytest

import hosts
import office_fixtures
from calls_in_sheet import Calls, is_error, omitted
from hosts import published
from inputs import agrees, typed
from office_session import Session
from pailbook.function import CATALOGUE, Argument, WorksheetFunction
from pailbook.hosts.calc.interface import gives_text
from pailbook.hosts.call import call
from pailbook.outcomes import Outcome
from test_published import with_other_units

pytestmark = pytest.mark.libreoffice
extension_file = office_fixtures.extension_file
office = office_fixtures.office
ROWS = with_other_units(published())


def test_published_values_by_cells_and_by_constants(office: Session) -> None:
    calls = Calls()
    for row in ROWS:
        calls.add(row.function, omitted(row.function, [_cell(value) for value in row.values]))
        calls.type(f"={row.function.name}({';'.join(hosts.constants(row))})")
    shown = calls.worked_out(office)
    assert len(shown) == 2 * len(ROWS) > 500
    wrong = [f"{row}: {by_cells} with cells, {by_constants} with constants, not {hosts.in_python(row)}"
             for row, by_cells, by_constants in zip(ROWS, shown[::2], shown[1::2])
             if not (agrees(by_cells, hosts.in_python(row)) and agrees(by_constants, hosts.in_python(row)))]
    assert not wrong, "\n".join(wrong)


def test_published_values_without_a_document(office: Session) -> None:
    """A call from a program: an empty text is what is left out there."""
    given = [[float(v) if isinstance(v, bool) else "" if v is None else v for v in row.values] for row in ROWS]
    shown = office("call", calls=[[row.function.name, values] for row, values in zip(ROWS, given)])
    wrong = [f"{row}: {value}" for row, value in zip(ROWS, shown)
             if not agrees(value[0][0] if isinstance(value, list) else value, hosts.in_python(row))]
    assert not wrong, "\n".join(wrong)


def _cell(value: Any) -> Any:
    """How it is typed into a cell: a label grade such as 15-5-30 would become a date."""
    return f"={str(value).upper()}()" if isinstance(value, bool) else f"'{value}" if isinstance(value, str) else value


# Kinds of input ---------------------------------------------------------------------------------------

KINDS: dict[str, tuple[Any, Any]] = {  # what is typed into the cell, and the value that the policy judges
    "a blank cell": (None, 0.0),
    "an empty text": ('=""', ""),
    "text": ("x", "x"),
    "a number as text": ("'7.5", "7.5"),
    "TRUE": ("=TRUE()", 1.0),
    "a date": ("2026-05-01", 46143.0),
    "zero": (0.0, 0.0),
    "an error": ("=1/0", None),
}


def _expected(function: WorksheetFunction, place: int, kind: str) -> Any:
    """A value, or an error's code."""
    argument = function.cell_arguments[place]
    if kind == "an error":
        return "#DIV/0!"
    value = KINDS[kind][1]
    if value == 0.0 and not isinstance(value, str):
        value = _zero(argument)
    values: list[Any] = [*function.example, *[None] * (len(function.cell_arguments) - len(function.example))]
    values[place] = value
    try:
        return call(function, values)
    except Outcome as reason:
        return reason.code


def _zero(argument: Argument) -> float | None:
    """A 0 where it can be no value says nothing, as a blank cell does; an optional number's 0 is refused instead."""
    quantity = argument.quantity
    if quantity.flag:
        return 0.0
    if not quantity.takes_number:
        return None
    excluded = all(any(quantity.outside(0, units)) for units in ("metric", "us"))
    return None if argument.required and excluded else 0.0


def test_every_kind_of_input_in_every_argument(office: Session) -> None:
    calls, expected, asked = Calls(), [], []
    for function in CATALOGUE.values():
        for place, argument in enumerate(function.cell_arguments):
            if argument.quantity.series:
                continue
            for kind, (entered, _) in KINDS.items():
                values = omitted(function, [_cell(value) for value in function.example])
                values[place] = entered
                calls.add(function, values)
                expected.append(_expected(function, place, kind))
                asked.append(f"{function.name}, {kind} for {argument.name}")
    shown = calls.worked_out(office)
    assert len(shown) > 2500
    wrong = [f"{what}: {one}, not {value}" for what, one, value in zip(asked, shown, expected) if not _is(one, value)]
    assert not wrong, f"{len(wrong)} are wrong\n" + "\n".join(wrong[:50])


def _is(shown: Any, expected: Any) -> bool:
    if expected == IN_RANGE:
        return bool(shown == expected)
    if isinstance(expected, str) and expected.startswith("#"):
        return is_error(shown, expected)
    return bool(agrees(shown, expected))


IN_RANGE = {"error": 504}  # what LibreOffice makes of an error within a range by itself; in .xlsx files #VALUE!
BESIDE: dict[str, Any] = {"blank": None, "empty text": '=""', "text": "x", "number as text": "'7.5", "error": "=1/0"}


def test_ranges_with_every_kind_of_cell(office: Session) -> None:
    """A range of the example's value and one other cell: the good one keeps its value, the other spoils only itself."""
    calls, asked = Calls(), []
    for function in CATALOGUE.values():
        for place, argument in enumerate(function.arguments[:len(function.example)]):
            if argument.quantity.series:
                continue
            for kind, cell in BESIDE.items():
                values = omitted(function, [_cell(value) for value in function.example])
                values[place] = [values[place], cell]
                for number in (1, 2):
                    calls.add(function, values, around=f"INDEX({{}};{number};1)")
                asked.append((function, argument, kind))
    shown = calls.worked_out(office)
    wrong = []
    for (function, argument, kind), good, other in zip(asked, shown[::2], shown[1::2]):
        expected: tuple[Any, Any]
        if kind == "error":
            expected = IN_RANGE, IN_RANGE
        else:
            left_out = call(function, [None if a is argument else v for a, v in zip(function.arguments,
                            function.example)]) if not argument.required else "#N/A"
            expected = call(function, function.example), left_out if kind in ("blank", "empty text") else "#VALUE!"
            if gives_text(function):  # which gives one value, never an array
                expected = "#VALUE!", "#VALUE!"
        if not (_is(good, expected[0]) and _is(other, expected[1])):
            wrong.append(f"{function.name}, {kind} beside {argument.name}: {good}, {other}, not {expected}")
    assert not wrong, f"{len(wrong)} are wrong\n" + "\n".join(wrong[:50])


def test_series_take_blanks_and_refuse_text_and_errors(office: Session) -> None:
    calls, expected, asked = Calls(), [], []
    for function in CATALOGUE.values():
        for place, argument in enumerate(function.arguments[:len(function.example)]):
            if not argument.quantity.series:
                continue
            series = list(function.example[place])
            for kind, entered, value in (
                ("as it is", series, series), ("text", ["x", *series[1:]], ["x", *series[1:]]),
                ("error", ["=1/0", *series[1:]], None), ("blank", [*series[:-1], None], [*series[:-1], None]),
            ):
                values = omitted(function, function.example)
                values[place] = entered
                calls.add(function, values)
                asked.append(f"{function.name}, {kind} in {argument.name}")
                try:
                    given = [*function.example]
                    given[place] = value
                    expected.append(IN_RANGE if value is None else call(function, given))
                except Outcome as reason:
                    expected.append(reason.code)
    shown = calls.worked_out(office)
    assert len(shown) >= 12
    wrong = [f"{what}: {one}, not {value}" for what, one, value in zip(asked, shown, expected) if not _is(one, value)]
    assert not wrong, "\n".join(wrong)


# What formulas do with calls --------------------------------------------------------------------------


def test_arrays_sums_and_error_functions(office: Session) -> None:
    fraction = CATALOGUE["AMMONIA_FRACTION"].body
    one, other = fraction(7.5, 20.0), fraction(8.0, 20.0)
    cases: dict[str, Any] = {
        "=ISNA(AMMONIA_FRACTION(;20))": 1.0,
        "=IFERROR(AMMONIA_FRACTION(50;20);-1)": -1.0,
        "=IFNA(AMMONIA_FRACTION(;20);-1)": -1.0,
        "=1+AMMONIA_FRACTION(7.5;20)": 1 + one,
        "=AMMONIA_FRACTION(7.5;68;;\"us\")": one,
        "=AMMONIA_FRACTION(7.5;68;;\"US\")": one,
        '="share "&ROUND(AMMONIA_FRACTION(7.5;20)*1000;0)': f"share {one * 1000:.0f}",
        '=IF(AMMONIA_FRACTION(7.5;20)>1;"a";"b")': "b",
        '=IF(AND(AMMONIA_FRACTION(7.5;20)>1);"a";IF(TRUE();"b";"c"))': "b",
        "=ammonia_fraction(7.5;20)": one,
    }
    with office.document() as name:
        office("fill", name=name, area="A1:A3", rows=[[7.5], [8.0], [None]])
        office("fill", name=name, area=f"D1:D{len(cases)}", rows=[[formula] for formula in cases])
        shown = office("read", name=name, area=f"D1:D{len(cases)}")
        wrong = [(formula, value[0]) for (formula, expected), value in zip(cases.items(), shown)
                 if not agrees(value[0], expected)]
        assert not wrong
        office("array_formula", name=name, area="F1:F4", formula="=AMMONIA_FRACTION(A1:A3;20)")
        column = [row[0] for row in office("read", name=name, area="F1:F4")]
        assert agrees(column[0], one)
        assert agrees(column[1], other)
        assert is_error(column[2], "#N/A")
        assert is_error(column[3], "#N/A")  # beyond the result
        office("fill", name=name, area="H1:H5", rows=[
            ["=SUMPRODUCT(AMMONIA_FRACTION(A1:A2;20))"], ["=SUMPRODUCT(AMMONIA_FRACTION(A1:A2;20);A1:A2)"],
            ["=SUM(AMMONIA_FRACTION(A1:A2;20))"], ["=ERROR.TYPE(F3)"], ["=SUM(AMMONIA_FRACTION(A1:A3;20))"]])
        sums = [row[0] for row in office("read", name=name, area="H1:H5")]
        assert agrees(sums[0], one + other)
        assert agrees(sums[1], 7.5 * one + 8 * other)
        assert agrees(sums[2], one + other)
        assert sums[3] == 7.0  # #N/A, as spreadsheets number their errors
        assert is_error(sums[4], "#N/A")


def test_texts_that_functions_give_equal_texts_in_the_sheet(office: Session) -> None:
    """From an array they would not: measured in LibreOffice 25.2, where ="oxygen" was FALSE."""
    functions = [function for function in CATALOGUE.values() if gives_text(function)]
    assert functions
    for function in functions:
        text = call(function, function.example)
        formula = f"{function.name}({';'.join(map(typed, function.example))})"
        with office.document() as name:
            office("fill", name=name, area="A1:A6", rows=[
                [f"={formula}"], [text], [f'={formula}="{text}"'], ["=A1=A2"], ["=MATCH(A2;A1:A1;0)"],
                [f'=COUNTIF(A1:A1;"{text}")']])
            shown = [row[0] for row in office("read", name=name, area="A1:A6")]
        assert shown == [text, text, 1.0, 1.0, 1.0, 1.0]


def test_whole_columns(office: Session) -> None:
    fraction = CATALOGUE["AMMONIA_FRACTION"].body
    with office.document() as name:
        office("fill", name=name, area="A1:A2", rows=[[7.5], [8.0]])
        office("fill", name=name, area="C1:C2", rows=[
            ["=SUMPRODUCT(IFERROR(AMMONIA_FRACTION(A:A;20);0))"], ["=ROWS(AMMONIA_FRACTION(A:A;20))"]])
        total, rows = (row[0] for row in office("read", name=name, area="C1:C2"))
    assert agrees(total, fraction(7.5, 20.0) + fraction(8.0, 20.0))
    assert rows == 2**20


# The wizard -------------------------------------------------------------------------------------------


def test_the_wizard_describes_every_function_and_argument(office: Session) -> None:
    known = office("described", names=list(CATALOGUE))
    assert set(known) == set(CATALOGUE)
    for name, function in CATALOGUE.items():
        text = known[name]["description"]
        assert text.startswith(function.summary)
        assert f"Example: {name}(" in text
        arguments = known[name]["arguments"]
        assert [argument[0] for argument in arguments] == [argument.name for argument in function.cell_arguments]
        for (_, help_text, _), argument in zip(arguments, function.cell_arguments):
            assert help_text.startswith(argument.quantity.help or argument.quantity.label)
            assert all(choice in help_text for choice in argument.quantity.choices)
            assert ("left out" in help_text.casefold()) is not argument.required


def test_the_example_of_the_wizard_can_be_typed(office: Session) -> None:
    known = office("described", names=list(CATALOGUE))
    calls, functions = Calls(), list(CATALOGUE.values())
    for function in functions:
        calls.type("=" + known[function.name]["description"].rpartition("Example: ")[2])
    for function, shown in zip(functions, calls.worked_out(office)):
        assert agrees(shown, call(function, function.example)), function.name
